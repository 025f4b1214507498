import { constructPlans, TRIALS } from './construct.js';
import { type Demand, laysFor, type Step } from './demand.js';
import type { EfficiencyModel } from './efficiency.js';
import type { Program, Solve } from './highs.js';
import { mostPlies } from './pool.js';
import {
  type Column,
  type FabricTask,
  factsOf,
  fitsTable,
  keyOf,
  layCost,
  modelledColumn,
  pliesStep,
  plyCost,
  plyLimit,
  withinCounts,
} from './pricing.js';

/** Limits of column generation. */
export const COLUMNS = {
  /** Ratios handed to the integer program at most. */
  most: 200,
  /** Ratios are listed one by one as long as there are no more than these. */
  listed: 20_000,
  /** Rounds of pricing by the continuous program, and ratios added in each. */
  rounds: 4,
  perRound: 15,
} as const;

export interface ColumnSet {
  readonly columns: readonly Column[];
  /** Whether these are all size ratios that the limits allow. */
  readonly complete: boolean;
  /** The cheapest plan found on the way; one of every size alone where nothing better was. */
  readonly start: readonly Step[] | undefined;
}

export interface ColumnOptions {
  /** Size ratios whose markers were nested, with their true lengths. */
  readonly nested: ReadonlyMap<string, Column>;
  /** Size ratios that turned out too long for the table. */
  readonly banned: ReadonlySet<string>;
  readonly short: readonly number[];
  readonly signal?: AbortSignal | undefined;
  /** Which ratios may be used; all when left out. */
  readonly allowed?: (counts: readonly number[]) => boolean;
}

/**
 * Size ratios for the integer program: all of them where they are few; otherwise those of one size, those of good
 * plans built lay by lay, and those that the continuous program asks for by their reduced cost.
 */
export async function generateColumns(
  task: FabricTask,
  model: EfficiencyModel,
  demand: Demand,
  options: ColumnOptions,
  solve: Solve,
): Promise<ColumnSet> {
  const columnOf = (counts: readonly number[]): Column =>
    options.nested.get(keyOf(counts)) ?? modelledColumn(task, model, counts);
  const usable = (column: Column): boolean =>
    withinCounts(task.limits, column) &&
    fitsTable(task, column.length) &&
    !options.banned.has(keyOf(column.counts)) &&
    (options.allowed?.(column.counts) ?? true) &&
    demand.most.some((open) => mostPlies(column.counts, open, pliesStep(task.fabric)) > 0);
  const ratios = listRatios(task, demand);
  const pool = (ratios ?? sampleRatios(task, demand)).map(columnOf).filter(usable);
  const complete = ratios !== undefined && pool.length <= COLUMNS.most;
  const trials = complete ? TRIALS.few : TRIALS.many;
  const built = await constructPlans(task, demand, pool, options.short, trials, options.signal);
  if (complete) return { columns: pool, complete, start: built.best };

  const chosen = new Map<string, Column>();
  const take = (column: Column): void => {
    if (chosen.size < COLUMNS.most) chosen.set(keyOf(column.counts), column);
  };
  for (const { column } of built.best ?? []) take(column);
  for (const column of pool) if (column.garments === Math.max(...column.counts)) take(column);
  for (const column of options.nested.values()) if (usable(column)) take(column);
  const half = (COLUMNS.most + chosen.size) / 2;
  for (const column of built.columns) if (chosen.size < half) take(column);
  for (let round = 0; round < COLUMNS.rounds && chosen.size < COLUMNS.most; round++) {
    const wanted = await askedFor(task, demand, [...chosen.values()], pool, solve);
    if (wanted.length === 0) break;
    wanted.forEach(take);
  }
  for (const column of built.columns) take(column);
  return { columns: [...chosen.values()], complete: false, start: built.best };
}

/** Every size ratio within the limit of garments and the order; undefined when they are too many to list. */
function listRatios(task: FabricTask, demand: Demand): number[][] | undefined {
  const most = mostOfSize(task, demand);
  const found: number[][] = [];
  const counts = most.map(() => 0);
  const walk = (s: number, left: number): boolean => {
    if (s === most.length) {
      if (left < task.limits.garments) found.push([...counts]);
      return found.length <= COLUMNS.listed;
    }
    for (let n = Math.min(left, most[s]!); n >= 0; n--) {
      counts[s] = n;
      if (!walk(s + 1, left - n)) return false;
    }
    return true;
  };
  return walk(0, task.limits.garments) ? found : undefined;
}

/** A size is laid at most as often as one colour asks for it. */
const mostOfSize = (task: FabricTask, demand: Demand): number[] =>
  task.content.sizes.map((_, s) => Math.max(...demand.most.map((row) => row[s]!)));

/**
 * Size ratios worth looking at where all of them are too many: the order divided by every height of stack at
 * which one of its sizes comes out even, colour by colour and for all colours, cut back to the limit of garments
 * from its largest or its smallest sizes; then what is left, the same way again.
 */
function sampleRatios(task: FabricTask, demand: Demand): number[][] {
  const found = new Map<string, number[]>();
  const limit = plyLimit(task);
  const keep = (counts: number[]): void => {
    if (found.size < COLUMNS.listed && counts.some((n) => n > 0)) found.set(keyOf(counts), counts);
  };
  const visit = (open: readonly number[], depth: number): void => {
    for (const height of heights(open, task.limits.garments, limit)) {
      const whole = open.map((n) => Math.floor(n / height));
      const parts = [cutBack(whole, task, 'largest'), cutBack(whole, task, 'smallest')];
      for (const counts of parts) {
        keep(counts);
        if (depth < 2) {
          visit(
            open.map((n, s) => n - counts[s]! * height),
            depth + 1,
          );
        }
      }
    }
  };
  mostOfSize(task, demand).forEach((n, s, all) => {
    for (let k = 1; k <= Math.min(n, task.limits.garments); k++) keep(all.map((_, t) => (t === s ? k : 0)));
  });
  const together = task.content.sizes.map((_, s) => demand.most.reduce((sum, row) => sum + row[s]!, 0));
  for (const open of [together, ...demand.most]) visit(open, 0);
  return [...found.values()];
}

/** Most heights of stack looked at. */
const HEIGHTS = 24;

function heights(open: readonly number[], garments: number, limit: number): number[] {
  const all = new Set<number>();
  for (const n of open) {
    for (let k = 1; k <= garments; k++) {
      const height = Math.floor(n / k);
      if (height > 0) all.add(Math.min(height, limit));
    }
  }
  const sorted = [...all].sort((a, b) => b - a);
  const every = Math.max(1, Math.ceil(sorted.length / HEIGHTS));
  return sorted.filter((_, i) => i % every === 0);
}

function cutBack(counts: readonly number[], task: FabricTask, from: 'largest' | 'smallest'): number[] {
  const kept = [...counts];
  const over = () => !withinCounts(task.limits, factsOf(task.content, kept));
  while (over()) {
    const open = kept.filter((n) => n > 0);
    if (open.length === 0) break;
    const at = kept.indexOf(from === 'largest' ? Math.max(...open) : Math.min(...open));
    kept[at]!--;
  }
  return kept;
}

/** Ratios that would make the continuous program cheaper, the most promising first. */
async function askedFor(
  task: FabricTask,
  demand: Demand,
  columns: readonly Column[],
  pool: readonly Column[],
  solve: Solve,
): Promise<Column[]> {
  const known = new Set(columns.map((column) => keyOf(column.counts)));
  const { program, rowOf } = continuous(task, demand, columns);
  const { duals } = await solve(program, { gap: 0, nodes: 1, seconds: 10 });
  if (!duals) return [];
  const scored: { column: Column; gain: number }[] = [];
  for (const column of pool) {
    if (known.has(keyOf(column.counts))) continue;
    const cost = spreadCost(task, demand, column);
    let gain = 0;
    demand.most.forEach((open, c) => {
      if (mostPlies(column.counts, open, pliesStep(task.fabric)) === 0) return;
      const worth = column.counts.reduce((sum, n, s) => {
        const row = rowOf.get(`${c}/${s}`);
        return row === undefined ? sum : sum + n * duals[row]!;
      }, 0);
      gain = Math.max(gain, (worth - cost) / cost);
    });
    if (gain > 1e-9) scored.push({ column, gain });
  }
  scored.sort((a, b) => b.gain - a.gain);
  return scored.slice(0, COLUMNS.perRound).map(({ column }) => column);
}

/** Cost of a ply when its lays are full and its marker is made once for all plies it could ever have. */
function spreadCost(task: FabricTask, demand: Demand, column: Column): number {
  const step = pliesStep(task.fabric);
  const most = demand.most.map((open) => mostPlies(column.counts, open, step));
  const plies = Math.max(
    1,
    most.reduce((sum, n) => sum + n, 0),
  );
  const limit = plyLimit(task);
  const lays = Math.max(plies / limit, laysFor([Math.min(plies, limit)], limit));
  return plyCost(column) + (lays * layCost(column, task.rates) + task.rates.marker) / plies;
}

function continuous(
  task: FabricTask,
  demand: Demand,
  columns: readonly Column[],
): { program: Program; rowOf: Map<string, number> } {
  const variables: Program['columns'][number][] = [];
  const entries = new Map<string, [number, number][]>();
  for (const column of columns) {
    const cost = spreadCost(task, demand, column);
    demand.most.forEach((open, c) => {
      const upper = mostPlies(column.counts, open, pliesStep(task.fabric));
      if (upper === 0) return;
      const variable = variables.push({ cost, lower: 0, upper: Number.POSITIVE_INFINITY, whole: false }) - 1;
      column.counts.forEach((n, s) => {
        if (n > 0) entries.set(`${c}/${s}`, [...(entries.get(`${c}/${s}`) ?? []), [variable, n]]);
      });
    });
  }
  const rowOf = new Map([...entries.keys()].map((key, i) => [key, i]));
  const rows = [...entries].map(([key, of]) => {
    const [c, s] = key.split('/').map(Number);
    return { lower: demand.least[c!]![s!]!, upper: Math.max(demand.most[c!]![s!]!, 0), entries: of };
  });
  return { program: { columns: variables, rows }, rowOf };
}
