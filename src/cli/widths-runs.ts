import { createHash } from 'node:crypto';
import { mkdir, readFile } from 'node:fs/promises';
import { join } from 'node:path';
import { writeFileAtomic } from '../exchange/index.js';
import {
  consumption,
  laidWidth,
  layMarker,
  type Marker,
  type MarkerSpec,
  sizesOf,
  spreadOf,
  type WidthRun,
} from '../lay/index.js';
import type { NestProgress } from '../nest/index.js';

/** One search: one marker at one width, in one mode, with one seed. */
export interface WidthTask {
  /** Index of its width and mode among the cells. */
  readonly cell: number;
  readonly seed: number;
  readonly spec: MarkerSpec;
}

export type WidthBudget = { readonly seconds: number } | { readonly iterations: number };

/** What is kept of a finished search. Lengths mm. */
interface Kept {
  readonly format: typeof KEPT_FORMAT;
  readonly marker: string;
  readonly width: number;
  readonly mode: string;
  readonly seed: number;
  readonly budget: WidthBudget;
  readonly length: number;
  readonly efficiency: number;
  readonly search: Marker['search'];
  readonly placements: readonly {
    readonly item: string;
    readonly size: string;
    readonly garment: string;
    readonly mirror: boolean;
    readonly rotation: number;
    readonly x: number;
    readonly y: number;
    readonly fold?: string;
  }[];
}

/** Goes up when a search of the same inputs may end otherwise than it did: older runs are then done anew. */
const KEPT_FORMAT = 1;

export interface RunWatch {
  readonly onProgress: (task: WidthTask, progress: NestProgress) => void;
  readonly onDone: (task: WidthTask, kept: { readonly resumed: boolean }) => void;
}

/**
 * Runs the searches, `threads` at a time and each in one thread, and keeps every finished one in `folder` under the
 * hash of all it depends on; one that is there already is read instead. When `signal` fires, those that run are
 * given up, for they had less than their budget. Returns what each task gave, undefined for those given up.
 */
export async function runTasks(
  tasks: readonly WidthTask[],
  budget: WidthBudget,
  { folder, threads, signal }: { folder: string; threads: number; signal: AbortSignal },
  watch: RunWatch,
): Promise<(Omit<WidthRun, 'seed'> | undefined)[]> {
  await mkdir(folder, { recursive: true });
  const results = new Array<Omit<WidthRun, 'seed'> | undefined>(tasks.length).fill(undefined);
  let next = 0;
  // A fault of one search ends the others too, which would otherwise go on unheard.
  const fault = new AbortController();
  const stop = AbortSignal.any([signal, fault.signal]);
  const work = async () => {
    while (next < tasks.length && !stop.aborted) {
      const index = next++;
      const task = tasks[index]!;
      const path = join(folder, `${taskHash(task, budget)}.json`);
      const known = await readKept(path);
      const kept = known ?? (await search(task, budget, stop, watch));
      if (!kept) continue;
      if (!known) await writeFileAtomic(path, `${JSON.stringify(kept)}\n`);
      results[index] = figures(task.spec, kept);
      watch.onDone(task, { resumed: known !== undefined });
    }
  };
  const workers = Array.from({ length: Math.min(threads, tasks.length) }, () =>
    work().catch((error: unknown) => {
      fault.abort();
      throw error;
    }),
  );
  const failed = (await Promise.allSettled(workers)).find((end) => end.status === 'rejected');
  if (failed) throw failed.reason;
  return results;
}

async function search(
  task: WidthTask,
  budget: WidthBudget,
  signal: AbortSignal,
  watch: RunWatch,
): Promise<Kept | undefined> {
  const marker = await layMarker(task.spec, {
    ...budget,
    seed: task.seed,
    threads: 1,
    signal,
    onProgress: (progress) => watch.onProgress(task, progress),
  });
  if (signal.aborted) return undefined;
  return {
    format: KEPT_FORMAT,
    marker: marker.name,
    width: marker.fabric.usableWidth,
    mode: marker.spread.mode,
    seed: task.seed,
    budget,
    length: marker.length,
    efficiency: marker.efficiency,
    search: marker.search,
    placements: marker.pieces.map((p) => ({
      item: p.piece.name,
      size: p.piece.size,
      garment: p.garment,
      mirror: p.mirrored,
      rotation: p.rotation,
      x: p.at[0],
      y: p.at[1],
      ...(p.fold ? { fold: p.fold } : {}),
    })),
  };
}

/** Hash of all that a search depends on: shapes, counts, cloth and rules of laying, seed and budget; not prices. */
export function taskHash({ spec, seed }: WidthTask, budget: WidthBudget): string {
  const { usableWidth, orientation, mode, stretchAlong } = spec.fabric;
  const pieces = spec.pieces
    .filter((p) => p.fabric === spec.fabric.name && (spec.ratio[p.size] ?? 0) > 0)
    .map(({ name, size, counts, cut, half, stretch, notches, internals }) => [
      name,
      size,
      counts,
      cut,
      half,
      stretch,
      notches,
      internals,
    ]);
  const cloth = { usableWidth, orientation, mode, stretchAlong };
  const inputs = [KEPT_FORMAT, spec.name, pieces, cloth, spec.ratio, spec.options, spec.flaws, seed, budget];
  return createHash('sha256').update(JSON.stringify(inputs)).digest('hex').slice(0, 24);
}

async function readKept(path: string): Promise<Kept | undefined> {
  try {
    const kept = JSON.parse(await readFile(path, 'utf8')) as Partial<Kept>;
    const whole = kept.format === KEPT_FORMAT && Number.isFinite(kept.length) && kept.length! > 0;
    return whole ? (kept as Kept) : undefined;
  } catch {
    // Not there, or cut short by another program: it is laid anew.
    return undefined;
  }
}

/** Cloth of one ply, by the formulae of consumption. */
function figures(spec: MarkerSpec, kept: Kept): Omit<WidthRun, 'seed'> {
  const { fabric, options, ratio } = spec;
  const width = laidWidth(fabric);
  const spread = spreadOf(fabric);
  const used = consumption({
    name: spec.name,
    style: spec.style,
    fabric,
    options,
    ratio,
    sizes: sizesOf(spec.pieces),
    width,
    length: kept.length,
    pieces: [],
    spread,
    layers: spread.layers,
    spare: [],
    efficiency: kept.efficiency,
    search: kept.search,
    verified: true,
  });
  return {
    length: used.rollLength,
    area: used.area,
    mass: used.mass,
    ...(used.cost === undefined ? {} : { cost: used.cost }),
    garments: used.garments,
    efficiency: kept.efficiency,
    rounds: kept.search.rounds,
  };
}
