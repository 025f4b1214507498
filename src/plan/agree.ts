import { CheckError } from '../errors.js';
import { area, perimeter } from '../geometry/polygon.js';
import type { Fabric, Marker, SizeRatio } from '../lay/index.js';
import { type Assembled, assemble, markerName, ratioOf } from './assemble.js';
import { type ColumnOptions, generateColumns } from './columns.js';
import type { Demand, Step } from './demand.js';
import type { EfficiencyModel, NestRecord } from './efficiency.js';
import type { Solve, SolveLimits } from './highs.js';
import {
  type Column,
  type FabricTask,
  factsOf,
  fitsTable,
  groupOf,
  keyOf,
  nestedColumn,
  plyCost,
  shortCosts,
} from './pricing.js';
import { choosePlan } from './solve.js';
import type { FabricPlan, SolverNote } from './types.js';

/** One marker to lay, as the plan asks for it. */
export interface NestRequest {
  readonly name: string;
  readonly fabric: Fabric;
  readonly ratio: SizeRatio;
}

/** Lays a marker. Once the signal has fired it returns at once with the best it has. */
export type Nest = (request: NestRequest, signal: AbortSignal | undefined) => Promise<Marker>;

export interface PlanProgress {
  readonly fabric: string;
  readonly round: number;
  readonly phase: 'solving' | 'solved' | 'nested';
  /** Cost of the plan at hand in the style's currency, once there is one. */
  readonly cost?: number;
  readonly markers?: number;
  readonly lays?: number;
  readonly source?: 'nested' | 'modelled';
  /** The marker that was nested. */
  readonly marker?: string;
  /** Nested length over modelled length. */
  readonly ratio?: number;
}

export interface PlanEffects {
  readonly solve: Solve;
  /** Lays markers; without it every length is the model's. */
  readonly nest?: Nest;
  readonly limits?: Partial<SolveLimits>;
  /** Solving and nesting in turn, at most so often. Default `ROUNDS`. */
  readonly rounds?: number;
  readonly signal?: AbortSignal;
  readonly onProgress?: (progress: PlanProgress) => void;
}

export const ROUNDS = 8;

/** What is known of a fabric's markers; nests made for one plan serve the next. */
export interface Knowledge {
  model: EfficiencyModel;
  readonly columns: Map<string, Column>;
  readonly markers: Map<string, Marker>;
  /** Size ratios whose nested marker is too long for the table. */
  readonly banned: Set<string>;
}

export const knowledge = (model: EfficiencyModel): Knowledge => ({
  model,
  columns: new Map(),
  markers: new Map(),
  banned: new Set(),
});

export interface Agreed {
  readonly plan: Assembled;
  readonly steps: readonly Step[];
  readonly note: SolverNote;
  readonly rounds: number;
  readonly ended: FabricPlan['ended'];
}

/**
 * Plans one fabric: prices size ratios with the efficiency model, chooses, nests the markers that were chosen,
 * refits the model to them, and chooses again with their true lengths, until only nested markers are chosen. The
 * cheapest plan of nested markers seen on the way is kept.
 *
 * @throws CheckError when nothing meets the order.
 */
export async function agree(
  task: FabricTask,
  colours: readonly string[],
  demand: Demand,
  known: Knowledge,
  effects: PlanEffects,
  allowed?: ColumnOptions['allowed'],
): Promise<Agreed> {
  const { nest, signal, onProgress } = effects;
  const short = shortCosts(task, clothPerArea(task, known.model));
  const write = (steps: readonly Step[]) => assemble(task, colours, demand, steps, short, known.markers);
  let best: { steps: readonly Step[]; plan: Assembled; note: SolverNote } | undefined;
  let ended: FabricPlan['ended'] = 'round limit';
  let round = 0;
  while (round < (effects.rounds ?? ROUNDS)) {
    round++;
    onProgress?.({ fabric: task.fabric.name, round, phase: 'solving' });
    const { steps, note } = await chooseOnce(task, demand, known, short, effects, allowed);
    const plan = write(steps);
    onProgress?.({
      fabric: task.fabric.name,
      round,
      phase: 'solved',
      cost: plan.cost.total,
      markers: plan.markers.length,
      lays: plan.lays.length,
      source: plan.source,
    });
    if (!nest) return { plan, steps, note, rounds: round, ended: 'not nested' };
    const missing = steps.filter(({ column }) => column.source === 'modelled');
    if (missing.length === 0) {
      // Solved with true lengths and nothing new to lay: plan and markers agree.
      if (!best || plan.cost.total <= best.plan.cost.total + 1e-9) best = { steps, plan, note };
      ended = signal?.aborted ? 'stopped' : 'agreed';
      break;
    }
    await layAll(task, missing, known, nest, effects, round);
    const laid = withNested(steps, known);
    if (laid) {
      const priced = write(laid);
      if (!best || priced.cost.total < best.plan.cost.total) best = { steps: laid, plan: priced, note };
    }
    if (signal?.aborted) {
      ended = 'stopped';
      if (best) break;
    }
  }
  if (!best) {
    throw new CheckError(`no plan on '${task.fabric.name}' was found whose markers fit the table`, {
      mend: 'give the search more time, a longer table, or fewer garments per marker',
    });
  }
  return { ...best, rounds: round, ended };
}

async function chooseOnce(
  task: FabricTask,
  demand: Demand,
  known: Knowledge,
  short: readonly number[],
  { solve, limits, signal }: PlanEffects,
  allowed: ColumnOptions['allowed'],
) {
  const careful = stoppable(solve, signal);
  const options = {
    nested: known.columns,
    banned: known.banned,
    short,
    signal,
    ...(allowed === undefined ? {} : { allowed }),
  };
  const set = await generateColumns(task, known.model, demand, options, careful);
  assertCoverable(task, demand, set.columns, known.model);
  return choosePlan(task, demand, set, short, { solve: careful, limits, signal });
}

/** Solves no more once the signal has fired: what was built without the solver still stands. */
export const stoppable =
  (solve: Solve, signal: AbortSignal | undefined): Solve =>
  async (program, limits) => {
    if (signal?.aborted) return { status: 'unsolved', nodes: 0 };
    try {
      return await solve(program, limits);
    } catch (error) {
      if (signal?.aborted) return { status: 'unsolved', nodes: 0 };
      throw error;
    }
  };

/** Lays what was chosen, learns its length, and sets aside what the table does not take. */
export async function layAll(
  task: FabricTask,
  missing: readonly Pick<Step, 'column'>[],
  known: Knowledge,
  nest: Nest,
  { signal, onProgress }: PlanEffects,
  round: number,
): Promise<void> {
  const records: NestRecord[] = [];
  for (const { column } of missing) {
    const request = nestRequest(task, column.counts);
    const marker = await nest(request, signal);
    const key = keyOf(column.counts);
    const nested = nestedColumn(task, column.counts, contentOf(marker));
    const facts = factsOf(task.content, column.counts);
    records.push({ group: groupOf(task), ...facts, ...contentOf(marker) });
    known.markers.set(key, marker);
    if (fitsTable(task, nested.length)) known.columns.set(key, nested);
    else known.banned.add(key);
    onProgress?.({
      fabric: task.fabric.name,
      round,
      phase: 'nested',
      marker: request.name,
      ratio: nested.length / column.length,
    });
  }
  known.model = known.model.learn(records);
}

export const nestRequest = (task: FabricTask, counts: readonly number[]): NestRequest => ({
  name: markerName(task, counts),
  fabric: task.fabric,
  ratio: ratioOf(task, counts),
});

/** What a nested marker holds. Lengths mm. */
export const contentOf = (marker: Marker) => ({
  length: marker.length,
  pieces: marker.pieces.length,
  area: marker.pieces.reduce((sum, p) => sum + area(p.outline), 0),
  cutLength: marker.pieces.reduce((sum, p) => sum + perimeter(p.outline), 0),
});

/** The same plan at nested lengths; undefined when one of its markers does not fit the table. */
function withNested(steps: readonly Step[], known: Knowledge): Step[] | undefined {
  const laid = steps.map(({ column, plies }) => {
    const nested = known.columns.get(keyOf(column.counts));
    return nested && { column: nested, plies };
  });
  return laid.every((step) => step !== undefined) ? laid : undefined;
}

/** Cloth cost per area of pieces in a marker as large as the limits let it be. */
export function clothPerArea(task: FabricTask, model: EfficiencyModel): number {
  const counts = typicalCounts(task);
  const facts = factsOf(task.content, counts);
  const { length } = model.predict(facts, groupOf(task));
  const column = nestedColumn(task, counts, { ...facts, length });
  return plyCost(column) / facts.area;
}

/** Garments of a marker as large as the limits let it be, spread over the sizes from the middle outwards. */
export function typicalCounts(task: FabricTask): number[] {
  const { sizes } = task.content;
  const counts = sizes.map(() => 0);
  const most = Math.max(1, Math.min(task.limits.garments, 4 * sizes.length));
  for (let n = 0; n < most; n++) counts[Math.floor(((n + 0.5) * sizes.length) / most)]!++;
  return counts;
}

/** @throws CheckError naming the size that no marker within the limits holds, and what one garment of it takes. */
function assertCoverable(
  task: FabricTask,
  demand: Demand,
  columns: readonly Column[],
  model: EfficiencyModel,
): void {
  const { content, limits, options } = task;
  content.sizes.forEach(({ size, pieces }, s) => {
    if (demand.least.every((row) => row[s] === 0)) return;
    if (columns.some((column) => column.counts[s]! > 0)) return;
    const alone = content.sizes.map((_, i) => (i === s ? 1 : 0));
    const { length } = model.predict(factsOf(content, alone), groupOf(task));
    const cm = (mm: number) => `${(mm / 10).toFixed(1)} cm`;
    const facts = [
      ...(limits.tableLength === undefined
        ? []
        : [`about ${cm(length + 2 * options.endAllowance)} of a table of ${cm(limits.tableLength)}`]),
      ...(limits.pieces === undefined ? [] : [`${Math.ceil(pieces)} of ${limits.pieces} pieces`]),
    ];
    throw new CheckError(
      `no marker within the limits holds size ${size} on '${task.fabric.name}': one garment takes ${facts.join(' and ')}`,
      {
        mend: 'give a longer table, a wider fabric or more pieces to a marker',
        place: { path: 'table' },
      },
    );
  });
}
