import type { Published } from './published.js';
import type { Run } from './runs.js';

/** Runs of one instance under one budget, over seeds. Densities in per cent. */
export interface Summary {
  readonly instance: string;
  readonly content: string;
  readonly seconds: number;
  readonly threads: number;
  readonly engine: string;
  readonly runs: number;
  readonly best: number;
  readonly mean: number;
  readonly worst: number;
  readonly firstFeasible: number;
  readonly preparation: number;
  readonly movesPerSecond: number;
  /** Moves per second of processor time, tables included: the fairer figure where others have the cores. */
  readonly movesPerCpu: number;
  /** Processor time over wall clock: below the number of threads when others had the cores. */
  readonly cores: number;
  readonly memory: number;
  readonly verified: boolean;
}

/** One summary per (instance, its content, seconds, threads, engine), in the order the runs come in. */
export function summarise(runs: readonly Run[]): Summary[] {
  const groups = new Map<string, Run[]>();
  for (const run of runs) {
    const key = JSON.stringify([run.instance, run.content, run.seconds, run.threads, run.engine]);
    const group = groups.get(key);
    if (group) group.push(run);
    else groups.set(key, [run]);
  }
  return [...groups.values()].map((group) => {
    const { instance, content, seconds, threads, engine } = group[0]!;
    const densities = group.map((run) => run.density);
    return {
      instance,
      content,
      seconds,
      threads,
      engine,
      runs: group.length,
      best: Math.max(...densities),
      mean: mean(densities),
      worst: Math.min(...densities),
      firstFeasible: Math.max(...group.map((run) => run.firstFeasible)),
      preparation: mean(group.map((run) => run.preparation)),
      movesPerSecond: mean(group.map((run) => run.movesPerSecond)),
      movesPerCpu: mean(group.map((run) => run.moves / run.cpu)),
      cores: mean(group.map((run) => run.cpu / run.wall)),
      memory: Math.max(...group.map((run) => run.memory)),
      verified: group.every((run) => run.verified),
    };
  });
}

/** Difference of one summary to another of the same instance and budget: points of density, ratios of speed. */
export interface Difference {
  readonly instance: string;
  readonly seconds: number;
  readonly threads: number;
  readonly mean: number;
  readonly best: number;
  readonly worst: number;
  readonly movesPerSecond: number;
  readonly movesPerCpu: number;
  readonly preparation: number;
  /** Mean difference over the seeds that both have, and its standard error; undefined for fewer than two. */
  readonly paired: { readonly mean: number; readonly error: number; readonly seeds: number } | undefined;
}

/** `now` against `other`, only where both measured the same instance, budget and threads. */
export function compareRuns(now: readonly Run[], other: readonly Run[]): Difference[] {
  const before = summarise(other);
  return summarise(now).flatMap((a) => {
    const same = (x: Summary | Run) =>
      x.instance === a.instance &&
      x.content === a.content &&
      x.seconds === a.seconds &&
      x.threads === a.threads;
    const b = before.findLast(same);
    if (!b) return [];
    return {
      instance: a.instance,
      seconds: a.seconds,
      threads: a.threads,
      mean: a.mean - b.mean,
      best: a.best - b.best,
      worst: a.worst - b.worst,
      movesPerSecond: a.movesPerSecond / b.movesPerSecond,
      movesPerCpu: a.movesPerCpu / b.movesPerCpu,
      preparation: a.preparation / b.preparation,
      paired: paired(
        now.filter((run) => same(run) && run.engine === a.engine),
        other.filter((run) => same(run) && run.engine === b.engine),
      ),
    };
  });
}

function paired(now: readonly Run[], other: readonly Run[]): Difference['paired'] {
  const differences = now.flatMap((run) => {
    const twin = other.find((o) => o.seed === run.seed);
    return twin ? [run.density - twin.density] : [];
  });
  const seeds = differences.length;
  if (seeds < 2) return undefined;
  const average = mean(differences);
  const variance = differences.reduce((sum, d) => sum + (d - average) ** 2, 0) / (seeds - 1);
  return { mean: average, error: Math.sqrt(variance / seeds), seeds };
}

/** Best density known after `seconds` of a run; 0 before the first layout. */
export function densityAt(trace: Run['trace'], seconds: number): number {
  let best = 0;
  for (const [at, density] of trace) if (at <= seconds) best = Math.max(best, density);
  return best;
}

/** The summary's mean against what is published: `+0.31` points, or nothing when it is not known. */
export const against = (value: number, published: number | undefined): string =>
  published === undefined ? '' : signed(value - published);

export const signed = (value: number, digits = 2): string =>
  `${value < 0 ? '-' : '+'}${Math.abs(value).toFixed(digits)}`;

/** Floor for this budget, when there is one. */
export const floorFor = (published: Published | undefined, seconds: number): number | undefined =>
  published?.floors[String(seconds)];

const mean = (values: readonly number[]): number => values.reduce((a, b) => a + b, 0) / values.length;
