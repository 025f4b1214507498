import { Random } from '../nest/random.js';
import { costOfSteps, cutBy, type Demand, type Step } from './demand.js';
import { type Pool, poolOf } from './pool.js';
import { type Column, type FabricTask, keyOf, layCost, plyCost, plyLimit } from './pricing.js';

/** How wide a search is: unfinished plans kept after each lay, followers of each, those of them that are varied. */
interface Beam {
  readonly width: number;
  readonly followers: number;
  readonly varied: number;
}

const NARROW: Beam = { width: 30, followers: 30, varied: 8 };
const WIDE: Beam = { width: 120, followers: 40, varied: 0 };
const DEPTH = 40;
/** Plans that can only become this much dearer than the best one are given up. */
const SLACK = 1.03;

/** How often is searched: from nothing, and to plan again what a few markers of the best plan cut. */
export interface Trials {
  readonly built: number;
  readonly mended: number;
  /** Whether a wide search is made as well. */
  readonly wide: boolean;
}

/** Where the integer program sees every ratio, a quick start is enough. */
export const TRIALS = {
  few: { built: 8, mended: 8, wide: false },
  many: { built: 120, mended: 80, wide: true },
} as const;

/** Markers taken out of a plan at a time. */
const TAKEN_OUT = 3;

/** Range of what is still to be cut being judged anew: between the best ratio (0) and size by size (1). */
const WEIGHTS = { least: 0.2, most: 1, bySize: 0.25 } as const;

interface Unfinished {
  readonly steps: readonly Step[];
  readonly open: readonly (readonly number[])[];
  readonly cost: number;
  readonly score: number;
}

export interface Constructed {
  /** The cheapest whole plan found, if any. */
  readonly best: readonly Step[] | undefined;
  /** Size ratios of the whole plans found, cheapest plans first. */
  readonly columns: readonly Column[];
}

/**
 * Builds plans lay by lay by beam search: to each unfinished plan, the size ratios are added that take as many
 * plies as the open order lets them, and the best few plans go on. What is still open is judged at prices that are
 * drawn anew for each search, so that searches differ. Then markers of the best plan are taken out and what they
 * cut is planned again, as long as that makes it cheaper. The idea of filling an order lay after lay, and of
 * mending such plans, is that of the heuristics for cut order planning (Jacobs-Blecha, Ammons, Schutte and Smith
 * 1998, named from memory); beam, prices and mending are ours. The same input gives the same plans; a signal that
 * fires ends the search with what it has.
 */
export async function constructPlans(
  task: FabricTask,
  demand: Demand,
  columns: readonly Column[],
  short: readonly number[],
  trials: Trials,
  signal?: AbortSignal,
): Promise<Constructed> {
  const search = new Search(task, demand, columns, short);
  for (let trial = 0; trial < trials.built; trial++) {
    // One search is made in any case: there is a plan to fall back on.
    if (trial > 0 && signal?.aborted) break;
    search.from([], trial);
    if (trial % BREATH === 0) await breathe();
  }
  if (trials.wide && !signal?.aborted) search.from([], 0, WIDE);
  let trial = 0;
  for (let before = Number.POSITIVE_INFINITY; search.best && search.best.cost < before - 1e-9; ) {
    before = search.best.cost;
    for (const kept of withoutSome(search.best.steps)) {
      if (signal?.aborted || trial++ >= trials.mended || search.best.cost < before - 1e-9) break;
      search.from(kept, trials.built + trial);
      if (trial % BREATH === 0) await breathe();
    }
  }
  return { best: search.best?.steps, columns: search.columns() };
}

/** So many searches are made before others get their turn, so that progress shows and Ctrl-C is heard. */
const BREATH = 5;
const breathe = () => new Promise<void>((resolve) => setImmediate(resolve));

/** Searches one after the other; the best plan of all cuts the later ones short. */
class Search {
  best: { readonly steps: readonly Step[]; readonly cost: number } | undefined;
  private readonly task: FabricTask;
  private readonly demand: Demand;
  private readonly short: readonly number[];
  private readonly pool: Pool;
  private readonly rest: RestPrices;
  private readonly differ: boolean;
  /** Size ratios of whole plans, with the cost of the cheapest plan each is part of. */
  private readonly used = new Map<string, { readonly column: Column; readonly cost: number }>();

  constructor(task: FabricTask, demand: Demand, columns: readonly Column[], short: readonly number[]) {
    this.task = task;
    this.demand = demand;
    this.short = short;
    this.pool = poolOf(task, columns);
    this.rest = restPrices(task, columns);
    this.differ = demand.most.some((row, c) => row.some((n, s) => n !== demand.ordered[c]![s]!));
  }

  /** Looks for whole plans that hold the kept steps. */
  from(kept: readonly Step[], trial: number, beam = NARROW): void {
    const { demand, pool, rest } = this;
    const random = new Random(1, trial);
    // A wide search has room for plans that start dear: it takes the best ratio's price as it is.
    const narrow = beam === NARROW ? 1 : 0;
    const weight = narrow * (WEIGHTS.least + (WEIGHTS.most - WEIGHTS.least) * random.next());
    const prices = rest.best.map((n, s) => {
      const factor = 1 + narrow * WEIGHTS.bySize * (2 * random.next() - 1);
      return (n + weight * (rest.single[s]! - n)) * factor;
    });
    const has = cutBy(demand, kept);
    const left = (rows: Demand['most']) =>
      rows.map((row, c) => row.map((n, s) => Math.max(0, n - has[c]![s]!)));
    const start = left(this.differ && trial % 3 === 2 ? demand.most : demand.ordered);
    const needed = left(demand.least);
    const paid = costOfSteps(
      this.task,
      demand,
      kept,
      this.short.map(() => 0),
    );
    let plans: Unfinished[] = [{ steps: kept, open: start, cost: paid, score: 0 }];
    for (let depth = 0; depth < DEPTH && plans.length > 0; depth++) {
      const next = new Map<string, Unfinished>();
      for (const plan of plans) {
        const value = plan.cost + openValue(plan.open, prices);
        const best = pool.best(plan.open, prices, beam.followers);
        const fewer = best.slice(0, beam.varied).flatMap((follower) => pool.fewer(follower, prices));
        for (const { column, plies, cost, score } of [...best, ...fewer]) {
          const open = plan.open.map((row, c) => row.map((n, s) => n - plies[c]! * column.counts[s]!));
          const key = open.map(keyOf).join('/');
          const sum = plan.cost + cost;
          if (sum >= (next.get(key)?.cost ?? Number.POSITIVE_INFINITY)) continue;
          next.set(key, { steps: [...plan.steps, { column, plies }], open, cost: sum, score: value + score });
        }
      }
      for (const { steps, open } of next.values()) {
        if (open.every((row, c) => row.every((n, s) => n <= start[c]![s]! - needed[c]![s]!)))
          this.take(steps);
      }
      plans = [...next.values()]
        .filter(({ open, cost }) => !this.best || cost + openValue(open, rest.best) < SLACK * this.best.cost)
        .sort((a, b) => a.score - b.score)
        .slice(0, beam.width);
    }
  }

  /** Size ratios of whole plans, those of the cheapest plans first. */
  columns(): Column[] {
    return [...this.used.values()].sort((a, b) => a.cost - b.cost).map(({ column }) => column);
  }

  private take(steps: readonly Step[]): void {
    const cost = costOfSteps(this.task, this.demand, steps, this.short);
    if (!this.best || cost < this.best.cost) this.best = { steps, cost };
    for (const { column } of steps) {
      const key = keyOf(column.counts);
      if (cost < (this.used.get(key)?.cost ?? Number.POSITIVE_INFINITY)) this.used.set(key, { column, cost });
    }
  }
}

/** The plan without one, two or three of its markers: the most first, as they leave most room. */
function* withoutSome(steps: readonly Step[]): Generator<Step[]> {
  const most = Math.min(TAKEN_OUT, steps.length - 1);
  for (let size = most; size >= 1; size--) yield* leaving(steps, size, 0);
}

function* leaving(steps: readonly Step[], size: number, from: number): Generator<Step[]> {
  if (size === 0) {
    yield [...steps];
    return;
  }
  for (let i = from; i <= steps.length - size; i++) {
    yield* leaving(
      steps.filter((_, k) => k !== i),
      size - 1,
      i,
    );
  }
}

/** What is open at the prices of the rest. */
const openValue = (open: Demand['most'], prices: readonly number[]): number =>
  open.reduce((sum, row) => sum + row.reduce((part, n, s) => part + n * prices[s]!, 0), 0);

interface RestPrices {
  readonly best: readonly number[];
  readonly single: readonly number[];
}

/** Per garment of each size: in the cheapest ratio at full stacks, and laid alone at full stacks. */
function restPrices(task: FabricTask, pool: readonly Column[]): RestPrices {
  const limit = plyLimit(task);
  const areas = task.content.sizes.map((size) => size.area);
  const perArea = (column: Column) => (plyCost(column) + layCost(column, task.rates) / limit) / column.area;
  const least = Math.min(...pool.map(perArea));
  const single = areas.map((area, s) => {
    const alone = pool.filter((column) => column.counts[s]! === column.garments);
    const most = alone.length > 0 ? Math.max(...alone.map(perArea)) : 2 * least;
    return most * area;
  });
  return { best: areas.map((area) => area * least), single };
}
