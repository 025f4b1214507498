import { type FabricTask, plyLimit } from '../../src/plan/pricing.js';
import type { Order } from '../../src/plan/types.js';

/** Every size ratio of at most `garments` garments. */
export function allRatios(sizes: number, garments: number): number[][] {
  const found: number[][] = [];
  const walk = (counts: number[]): void => {
    if (counts.length === sizes) {
      const sum = counts.reduce((a, b) => a + b, 0);
      if (sum > 0 && sum <= garments) found.push(counts);
      return;
    }
    for (let n = 0; n <= garments; n++) walk([...counts, n]);
  };
  walk([]);
  return found;
}

/**
 * Least cost of an order by trying everything: all plies of all ratios in all colours, markers as long as their
 * garments. Shares the limit of plies with the plan, and takes from its caller what each garment left out costs
 * (`short`, which the tests have from the plan's own pricing); the rest is its own code.
 */
export function leastCost(task: FabricTask, order: Order, short: readonly number[]): number {
  const { rates, fabric, limits } = task;
  const sizes = task.content.sizes;
  const ratios = allRatios(sizes.length, limits.garments).filter((counts) => {
    const pieces = counts.reduce((sum, n, s) => sum + n * sizes[s]!.pieces, 0);
    return (
      pieces <= (limits.pieces ?? Number.POSITIVE_INFINITY) &&
      lengthOf(counts) + 2 * task.options.endAllowance <= (limits.tableLength ?? Number.POSITIVE_INFINITY)
    );
  });
  function lengthOf(counts: readonly number[]): number {
    return counts.reduce((sum, n, s) => sum + (n * sizes[s]!.area) / 1000, 0);
  }
  const cellOf = (colour: string, s: number) =>
    order.cells.find((c) => c.colour === colour && c.size === sizes[s]!.size)!;
  let best = Number.POSITIVE_INFINITY;

  /** Costs of everything but the plies of `from` on; `cut` by colour and size. */
  const walk = (from: number, cut: readonly (readonly number[])[], cost: number): void => {
    if (cost >= best) return;
    if (from === ratios.length) {
      let total = cost;
      for (const [c, colour] of order.colours.entries()) {
        for (let s = 0; s < sizes.length; s++) {
          const cell = cellOf(colour, s);
          if (cut[c]![s]! < cell.least) return;
          total += Math.max(0, cell.ordered - cut[c]![s]!) * short[s]!;
        }
      }
      best = Math.min(best, total);
      return;
    }
    const counts = ratios[from]!;
    const metres = (lengthOf(counts) + 2 * task.options.endAllowance) / 1000;
    const perPly = metres * fabric.pricePerMetre! + rates.spreadingPerPly + rates.spreadingPerMetre * metres;
    const cutMetres = counts.reduce((sum, n, s) => sum + (n * sizes[s]!.cutLength) / 1000, 0);
    const choose = (c: number, plies: number[]): void => {
      if (c === order.colours.length) {
        const total = plies.reduce((a, b) => a + b, 0);
        const lays = Math.ceil(total / plyLimit(task));
        const own = total * perPly + lays * (rates.lay + rates.cuttingPerMetre * cutMetres);
        const next = cut.map((row, k) => row.map((n, s) => n + plies[k]! * counts[s]!));
        walk(from + 1, next, cost + own + (total > 0 ? rates.marker : 0));
        return;
      }
      for (let n = 0; ; n++) {
        const fits = counts.every((count, s) => cut[c]![s]! + n * count <= cellOf(order.colours[c]!, s).most);
        if (!fits) break;
        choose(c + 1, [...plies, n]);
      }
    };
    choose(0, []);
  };
  walk(
    0,
    order.colours.map(() => sizes.map(() => 0)),
    0,
  );
  return best;
}
