import { CheckError } from '../errors.js';
import type { ColumnSet } from './columns.js';
import { costOfSteps, cutBy, type Demand, meets, type Step } from './demand.js';
import type { Solve, SolveLimits } from './highs.js';
import { type FabricTask, keyOf, layCost } from './pricing.js';
import { cutProgram } from './program.js';
import type { SolverNote } from './types.js';

/**
 * The nodes are what a small machine does in seconds. The time is a safety for slow machines and is told of when
 * it is reached, as the result then depends on the machine.
 */
export const SOLVE_DEFAULTS = { nodes: 150, seconds: 90 } as const;

/** The gap left open is this share of what one more lay costs, and no more than `most` of the whole. */
const GAP = { ofLay: 0.2, least: 1e-7, most: 1e-3 } as const;

export interface ChooseOptions {
  readonly solve: Solve;
  /** A gap that is left out follows from what a lay costs. */
  readonly limits?: Partial<SolveLimits> | undefined;
  readonly signal?: AbortSignal | undefined;
}

export interface Chosen {
  readonly steps: readonly Step[];
  readonly note: SolverNote;
}

/**
 * The cheapest plan over a set of columns that the integer program finds, or the plan that was built lay by lay
 * where it finds none better or is stopped. What it returns was rounded and meets the order.
 *
 * @throws CheckError when no plan over these columns meets the order.
 */
export async function choosePlan(
  task: FabricTask,
  demand: Demand,
  set: ColumnSet,
  short: readonly number[],
  { solve, limits, signal }: ChooseOptions,
): Promise<Chosen> {
  const built = set.start && {
    steps: merged(set.start),
    value: costOfSteps(task, demand, set.start, short),
  };
  const { program, steps } = cutProgram(task, demand, set.columns, short, set.start);
  const counts = { columns: set.columns.length, complete: set.complete };
  const solved = await solve(program, {
    ...SOLVE_DEFAULTS,
    gap: gapFor(task, set, built?.value),
    ...limits,
  });
  const found = solved.values && steps(solved.values);
  const value = found && costOfSteps(task, demand, found, short);
  const sound = found !== undefined && meets(demand, cutBy(demand, found));
  const nodes = solved.nodes ?? 0;
  const bound = solved.bound === undefined ? {} : { bound: solved.bound };
  if (sound && !(built && built.value < value! - 1e-6)) {
    const status = solved.status === 'unsolved' ? 'node limit' : (solved.status as SolverNote['status']);
    return { steps: found, note: { status, value: value!, ...bound, nodes, ...counts } };
  }
  if (built) {
    const status = signal?.aborted ? 'stopped' : 'heuristic only';
    return { steps: built.steps, note: { status, value: built.value, ...bound, nodes, ...counts } };
  }
  throw new CheckError(`no plan on '${task.fabric.name}' cuts the order within its allowances`, {
    mend: 'allow some garments over or under, more garments per marker, or a longer table',
  });
}

function gapFor(task: FabricTask, { columns }: ColumnSet, value: number | undefined): number {
  const lay = Math.min(...columns.map((column) => layCost(column, task.rates)));
  if (value === undefined || !(value > 0)) return GAP.most / 10;
  return Math.min(GAP.most, Math.max(GAP.least, (GAP.ofLay * lay) / value));
}

/** Steps of the same size ratio become one: its marker is made once. */
function merged(steps: readonly Step[]): Step[] {
  const byKey = new Map<string, Step>();
  for (const step of steps) {
    const key = keyOf(step.column.counts);
    const known = byKey.get(key);
    byKey.set(key, known ? { ...known, plies: known.plies.map((n, c) => n + step.plies[c]!) } : step);
  }
  return [...byKey.values()];
}
