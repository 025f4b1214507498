/**
 * Which no-fit table serves which pair of variants.
 *
 * Few tables are distinct. Turning both pieces turns the no-fit polygon; swapping them reflects it in the
 * origin; and half a turn is that same reflection. So a table is built once per (outline, outline, relative
 * rotation), once more per quarter turn of the frame that is in use, and is read directly or reflected.
 */
import { buildField, type Field } from './field.js';
import { type FieldPools, packFields } from './fields.js';
import { noFitBoundary } from './nfp.js';
import type { Problem } from './problem.js';
import { cosSin, turn } from './transform.js';

/** One no-fit polygon to build, and the frames (rotations below 180) its tables are wanted in. */
export interface PairJob {
  readonly a: number;
  readonly b: number;
  /** Rotation of outline b relative to outline a. */
  readonly relative: number;
  /** Frame rotation and table number. */
  readonly frames: readonly (readonly [rotation: number, table: number])[];
}

export interface PairPlan {
  /** variants x variants: 2 x table number + 1 if it is read reflected. Row: fixed piece; column: moving. */
  readonly code: Int32Array;
  readonly jobs: readonly PairJob[];
  readonly tables: number;
}

/** Plans the tables that all pairs of variants of `problem` need. */
export function planPairs({ variants }: Problem): PairPlan {
  const count = variants.length;
  const code = new Int32Array(count * count);
  const jobs = new Map<string, { a: number; b: number; relative: number; frames: [number, number][] }>();
  let tables = 0;
  for (let i = 0; i < count; i++) {
    for (let j = 0; j < count; j++) {
      let fixed = variants[i]!;
      let moving = variants[j]!;
      let reflected = false;
      let relative = tidy(moving.rotation - fixed.rotation);
      if (fixed.outline > moving.outline || (fixed.outline === moving.outline && relative > 180)) {
        [fixed, moving] = [moving, fixed];
        reflected = true;
        relative = tidy(moving.rotation - fixed.rotation);
      }
      let frame = fixed.rotation;
      if (frame >= 180) {
        frame = tidy(frame - 180);
        reflected = !reflected;
      }
      const key = `${fixed.outline} ${moving.outline} ${relative}`;
      let job = jobs.get(key);
      if (!job) {
        job = { a: fixed.outline, b: moving.outline, relative, frames: [] };
        jobs.set(key, job);
      }
      let entry = job.frames.find(([rotation]) => rotation === frame);
      if (!entry) {
        entry = [frame, tables++];
        job.frames.push(entry);
      }
      code[i * count + j] = 2 * entry[1] + (reflected ? 1 : 0);
    }
  }
  return { code, jobs: [...jobs.values()], tables };
}

/** Builds the tables of one job, in the order of its frames. */
export function buildPair({ outlines, cell, gap }: Problem, job: PairJob): Field[] {
  const boundary = noFitBoundary(outlines[job.a]!, rotated(outlines[job.b]!, job.relative));
  return job.frames.map(([rotation]) => buildField(rotated(boundary, rotation), cell, gap));
}

/** All tables of `problem`, one job after another; yields after every `batch` of them. */
export function* buildTables(problem: Problem, batch = Infinity): Generator<void, FieldPools, void> {
  const plan = planPairs(problem);
  const tables: Field[] = new Array(plan.tables);
  for (let k = 0; k < plan.jobs.length; k++) {
    if (k % batch === 0) yield;
    store(tables, plan, k, buildPair(problem, plan.jobs[k]!));
  }
  return packTables(problem, plan, tables, false);
}

/** Puts what `buildPair` made of a job where its tables belong. */
export function store(tables: Field[], plan: PairPlan, job: number, built: readonly Field[]): void {
  plan.jobs[job]!.frames.forEach(([, table], k) => {
    tables[table] = built[k]!;
  });
}

/** The tables of a plan as flat arrays; `shared` puts them in shared memory. */
export const packTables = (
  problem: Problem,
  plan: PairPlan,
  tables: readonly Field[],
  shared: boolean,
): FieldPools => packFields(tables, plan.code, problem.variants.length, problem.cell, problem.gap, shared);

function rotated(points: Float64Array, degrees: number): Float64Array {
  if (degrees === 0) return points;
  const [c, s] = cosSin(degrees);
  const out = new Float64Array(points.length);
  for (let i = 0; i < points.length; i += 2) {
    out[i] = c * points[i]! - s * points[i + 1]!;
    out[i + 1] = s * points[i]! + c * points[i + 1]!;
  }
  return out;
}

/** An angle in [0, 360), rounded so that equal differences of angles compare equal. */
const tidy = (degrees: number): number => Math.round(turn(degrees) * 1e9) / 1e9;
