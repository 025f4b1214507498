import { type Demand, laysFor, type Step } from './demand.js';
import type { Program } from './highs.js';
import { mostPlies } from './pool.js';
import { type Column, type FabricTask, layCost, pliesStep, plyCost, plyLimit } from './pricing.js';

type Row = Program['rows'][number];
type Variable = Program['columns'][number];

/** The integer program of one fabric, and how its values read as a plan. */
export interface CutProgram {
  readonly program: Program;
  readonly steps: (values: readonly number[]) => Step[];
}

interface Choice {
  readonly column: Column;
  /** Variable of the plies (in steps) of each colour; undefined where the colour cannot take one. */
  readonly plies: readonly (number | undefined)[];
  readonly lays: number;
  /** Variable that is 1 when the marker is made; the same as `lays` where at most one lay is possible. */
  readonly made: number;
}

const NONE = Number.NEGATIVE_INFINITY;

/**
 * Least cost of an order over given size ratios:
 *
 *     minimise  sum over ratios j and colours c:  ply cost_j x_jc + lay cost_j L_j + marker cost y_j
 *               + sum over sizes s and colours c:  short cost_s h_sc
 *     where     least_sc <= sum_j a_js x_jc <= most_sc,   sum_j a_js x_jc + h_sc >= ordered_sc
 *               sum_c x_jc <= plies in a lay x L_j,   L_j <= lays it can ever need x y_j
 *               x_jc <= (min over s of most_sc / a_js) y_j
 *
 * with x, L, y whole. Every bound on x is the least that its sizes allow, and the number of lays that the order
 * needs at least, over all and size by size, is written in: both tighten the bound much.
 *
 * @param start a plan to start from; every column of it is one of `columns`.
 */
export function cutProgram(
  task: FabricTask,
  demand: Demand,
  columns: readonly Column[],
  short: readonly number[],
  start?: readonly Step[],
): CutProgram {
  const variables: Variable[] = [];
  const rows: Row[] = [];
  const add = (cost: number, upper: number, whole = true): number =>
    variables.push({ cost, lower: 0, upper, whole }) - 1;
  const step = pliesStep(task.fabric);
  const limit = plyLimit(task);

  // Variables of every ratio that at least one colour can take, and what links them.
  const choices: Choice[] = [];
  for (const column of columns) {
    const most = demand.most.map((open) => mostPlies(column.counts, open, step));
    const lays = laysFor(most, limit);
    if (lays === 0) continue;
    const lay = add(layCost(column, task.rates) + (lays === 1 ? task.rates.marker : 0), lays);
    const made = lays === 1 || task.rates.marker === 0 ? lay : add(task.rates.marker, 1);
    if (made !== lay) rows.push({ lower: NONE, upper: 0, entries: [entry(lay, 1), entry(made, -lays)] });
    const plies = most.map((n) => (n === 0 ? undefined : add(plyCost(column) * step, n / step)));
    const used = plies.filter((v) => v !== undefined);
    rows.push({
      lower: NONE,
      upper: 0,
      entries: [...used.map((v) => entry(v, step)), entry(lay, -limit)],
    });
    plies.forEach((v, c) => {
      if (v === undefined) return;
      const bound = (made === lay ? Math.min(most[c]!, limit) : most[c]!) / step;
      rows.push({ lower: NONE, upper: 0, entries: [entry(v, 1), entry(made, -bound)] });
    });
    choices.push({ column, plies, lays: lay, made });
  }

  // Every size in every colour, within its allowances.
  const shorts = new Map<string, number>();
  demand.ordered.forEach((row, c) => {
    row.forEach((ordered, s) => {
      const entries = choices.flatMap(({ column, plies }) =>
        plies[c] === undefined || column.counts[s] === 0 ? [] : [entry(plies[c], column.counts[s]! * step)],
      );
      const [least, most] = [demand.least[c]![s]!, demand.most[c]![s]!];
      if (most === 0) return;
      rows.push({ lower: least, upper: most, entries });
      if (least === ordered) return;
      const left = add(short[s]!, ordered - least, false);
      shorts.set(`${c}/${s}`, left);
      rows.push({ lower: ordered, upper: Number.POSITIVE_INFINITY, entries: [...entries, entry(left, 1)] });
    });
  });

  rows.push(...layBounds(demand, choices, limit));
  const steps = (values: readonly number[]): Step[] =>
    choices
      .map(({ column, plies }) => ({
        column,
        plies: plies.map((v) => (v === undefined ? 0 : Math.round(values[v]!) * step)),
      }))
      .filter(({ plies }) => plies.some((n) => n > 0));
  const values = start && startValues(start, choices, variables.length, { limit, step, demand, shorts });
  return { program: { columns: variables, rows, ...(values ? { start: values } : {}) }, steps };
}

/** Lays that the order needs at least: for all its garments, and for those of each size. */
function layBounds(demand: Demand, choices: readonly Choice[], limit: number): Row[] {
  const bound = (garments: number, of: (column: Column) => number): Row | undefined => {
    const able = choices.filter(({ column }) => of(column) > 0);
    if (garments === 0 || able.length === 0) return undefined;
    const perLay = limit * Math.max(...able.map(({ column }) => of(column)));
    return {
      lower: Math.ceil(garments / perLay - 1e-9),
      upper: Number.POSITIVE_INFINITY,
      entries: able.map(({ lays }) => entry(lays, 1)),
    };
  };
  const sizes = demand.least[0]?.length ?? 0;
  const ofSize = (s: number) => demand.least.reduce((sum, row) => sum + row[s]!, 0);
  const all = Array.from({ length: sizes }, (_, s) => ofSize(s)).reduce((a, b) => a + b, 0);
  return [
    bound(all, (column) => column.garments),
    ...Array.from({ length: sizes }, (_, s) => bound(ofSize(s), (column) => column.counts[s]!)),
  ].filter((row) => row !== undefined);
}

/** Values of all variables for a plan that is known; undefined where it does not fit the columns. */
function startValues(
  start: readonly Step[],
  choices: readonly Choice[],
  length: number,
  {
    limit,
    step,
    demand,
    shorts,
  }: { limit: number; step: number; demand: Demand; shorts: Map<string, number> },
): number[] | undefined {
  const values = new Array<number>(length).fill(0);
  const cut = demand.ordered.map((row) => row.map(() => 0));
  for (const { column, plies } of start) {
    const choice = choices.find((c) => c.column.counts.every((n, s) => n === column.counts[s]));
    if (!choice) return undefined;
    plies.forEach((n, c) => {
      const variable = choice.plies[c];
      if (variable !== undefined) values[variable]! += n / step;
      column.counts.forEach((count, s) => {
        cut[c]![s]! += n * count;
      });
    });
  }
  for (const { plies, lays, made } of choices) {
    const total = plies.reduce<number>((sum, v) => sum + (v === undefined ? 0 : values[v]! * step), 0);
    values[made] = total > 0 ? 1 : 0;
    values[lays] = Math.ceil(total / limit);
  }
  for (const [key, variable] of shorts) {
    const [c, s] = key.split('/').map(Number);
    values[variable] = Math.max(0, demand.ordered[c!]![s!]! - cut[c!]![s!]!);
  }
  return values;
}

const entry = (variable: number, value: number): readonly [number, number] => [variable, value];
