import { type Column, type FabricTask, layCost, plyCost, plyLimit } from './pricing.js';
import type { Order } from './types.js';

/** The order as numbers: colour by colour, size by size. */
export interface Demand {
  readonly ordered: readonly (readonly number[])[];
  readonly least: readonly (readonly number[])[];
  readonly most: readonly (readonly number[])[];
}

export function demandOf(order: Order): Demand {
  const rows = (of: 'ordered' | 'least' | 'most') =>
    order.colours.map((colour) =>
      order.sizes.map((size) => order.cells.find((c) => c.colour === colour && c.size === size)?.[of] ?? 0),
    );
  return { ordered: rows('ordered'), least: rows('least'), most: rows('most') };
}

/** Plies of one size ratio by colour. */
export interface Step {
  readonly column: Column;
  readonly plies: readonly number[];
}

export const laysFor = (plies: readonly number[], limit: number): number =>
  Math.ceil(plies.reduce((sum, n) => sum + n, 0) / limit);

/** What a plan of such steps costs over its columns; garments left out are reckoned at `short`. */
export function costOfSteps(
  task: FabricTask,
  demand: Demand,
  steps: readonly Step[],
  short: readonly number[],
): number {
  const limit = plyLimit(task);
  let cost = 0;
  for (const { column, plies } of steps) {
    const total = plies.reduce((sum, n) => sum + n, 0);
    if (total === 0) continue;
    cost += total * plyCost(column) + laysFor(plies, limit) * layCost(column, task.rates) + task.rates.marker;
  }
  const cut = cutBy(demand, steps);
  demand.ordered.forEach((row, c) => {
    row.forEach((n, s) => {
      cost += Math.max(0, n - cut[c]![s]!) * short[s]!;
    });
  });
  return cost;
}

/** Garments that steps cut, by colour and size. */
export function cutBy(demand: Demand, steps: readonly Step[]): number[][] {
  return demand.ordered.map((row, c) =>
    row.map((_, s) => steps.reduce((sum, { column, plies }) => sum + plies[c]! * column.counts[s]!, 0)),
  );
}

export const meets = (demand: Demand, cut: readonly (readonly number[])[]): boolean =>
  demand.least.every((row, c) => row.every((n, s) => cut[c]![s]! >= n && cut[c]![s]! <= demand.most[c]![s]!));
