import { UserError } from '../errors.js';
import { agree, clothPerArea, contentOf, type Knowledge, nestRequest, type PlanEffects } from './agree.js';
import { type Assembled, assemble } from './assemble.js';
import type { Demand, Step } from './demand.js';
import { totalOf } from './order.js';
import {
  type Column,
  type FabricTask,
  fitsTable,
  keyOf,
  modelledColumn,
  nestedColumn,
  pliesStep,
  shortCosts,
  withinCounts,
} from './pricing.js';
import type { Baseline } from './types.js';

/**
 * The order cut in two plain ways, to see what the plan is worth: each size in markers of its own (as many copies
 * and lays as cost least, found by the same program), and one marker for all sizes in the ratio of the order.
 * Priced as the plan is: nested where `effects.nest` is given, by the model otherwise.
 */
export async function baselinesOf(
  task: FabricTask,
  colours: readonly string[],
  demand: Demand,
  known: Knowledge,
  effects: PlanEffects,
): Promise<Baseline[]> {
  const one = 'one size per marker';
  const all = 'one marker for all sizes';
  return [
    await attempt(one, demand, async () => {
      const ofOneSize = (counts: readonly number[]) => counts.filter((n) => n > 0).length === 1;
      return (await agree(task, colours, demand, known, effects, ofOneSize)).plan;
    }),
    await attempt(all, demand, () => oneMarker(task, colours, demand, known, effects)),
  ];
}

async function attempt(
  name: Baseline['name'],
  demand: Demand,
  work: () => Promise<Assembled | string>,
): Promise<Baseline> {
  try {
    const plan = await work();
    if (typeof plan === 'string') return { name, why: plan };
    const rows = Object.values(plan.cut).map((row) => Object.values(row));
    const beyond = rows.reduce(
      (sum, row, c) => sum + row.reduce((part, n, s) => part + Math.max(0, n - demand.most[c]![s]!), 0),
      0,
    );
    return {
      name,
      result: {
        markers: plan.markers,
        lays: plan.lays.length,
        cloth: plan.cloth,
        cost: plan.cost,
        garments: totalOf(plan.cut),
        beyond,
        source: plan.source,
      },
    };
  } catch (error) {
    if (!(error instanceof UserError)) throw error;
    return { name, why: error.message };
  }
}

/**
 * One size ratio for the whole order, and as many plies of each colour as its neediest size asks for: the ratio,
 * among those nearest to the order's for each number of garments, that comes cheapest.
 */
async function oneMarker(
  task: FabricTask,
  colours: readonly string[],
  demand: Demand,
  known: Knowledge,
  { nest, signal }: PlanEffects,
): Promise<Assembled | string> {
  const short = shortCosts(task, clothPerArea(task, known.model));
  const write = (steps: readonly Step[]) => assemble(task, colours, demand, steps, short, known.markers);
  const totals = task.content.sizes.map((_, s) => demand.ordered.reduce((sum, row) => sum + row[s]!, 0));
  const wanted = totals.filter((n) => n > 0).length;
  const ratios = new Map<string, number[]>();
  for (let garments = wanted; garments <= task.limits.garments; garments++) {
    const counts = nearestRatio(totals, garments);
    ratios.set(keyOf(counts), counts);
  }
  const columnOf = (counts: number[]): Column =>
    known.columns.get(keyOf(counts)) ?? modelledColumn(task, known.model, counts);
  const steps = [...ratios.values()]
    .map(columnOf)
    .filter((column) => withinCounts(task.limits, column) && fitsTable(task, column.length))
    .map((column): Step => ({ column, plies: neededPlies(task, demand, column) }))
    .sort((a, b) => write([a]).cost.total - write([b]).cost.total);
  const cheapest = steps[0];
  if (!cheapest) {
    return `all ${wanted} sizes together do not fit the limits of one marker (${task.limits.garments} garments${task.limits.tableLength === undefined ? '' : `, ${(task.limits.tableLength / 1000).toFixed(2)} m of table`})`;
  }
  if (!nest || cheapest.column.source === 'nested') return write([cheapest]);
  const { counts } = cheapest.column;
  const marker = await nest(nestRequest(task, counts), signal);
  const column = nestedColumn(task, counts, contentOf(marker));
  if (!fitsTable(task, column.length)) return 'its marker is too long for the table';
  known.columns.set(keyOf(counts), column);
  known.markers.set(keyOf(counts), marker);
  return write([{ ...cheapest, column }]);
}

/** So many garments shared out over the sizes in the order's ratio, at least one of each that is ordered. */
export function nearestRatio(totals: readonly number[], garments: number): number[] {
  const counts: number[] = totals.map((n) => (n > 0 ? 1 : 0));
  let left = garments - counts.reduce((a, b) => a + b, 0);
  // Each further garment goes to the size that has fewest for what is ordered of it.
  for (; left > 0; left--) {
    let neediest = 0;
    totals.forEach((n, s) => {
      if (n / (counts[s]! || 1) > totals[neediest]! / (counts[neediest]! || 1)) neediest = s;
    });
    counts[neediest]!++;
  }
  return counts;
}

/** Plies of each colour until no size is short of its least. */
function neededPlies(task: FabricTask, demand: Demand, column: Column): number[] {
  const step = pliesStep(task.fabric);
  return demand.least.map((row) => {
    const needed = Math.max(0, ...row.map((n, s) => (n === 0 ? 0 : n / column.counts[s]!)));
    return Math.ceil(needed / step - 1e-9) * step;
  });
}
