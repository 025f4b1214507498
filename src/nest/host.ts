import { type Thread, ThreadPool, workerUrl } from '../threads.js';
import type { Field } from './field.js';
import { type FieldPools, Fields, packFields } from './fields.js';
import { Lane, type LaneReport } from './lane.js';
import type { Snapshot } from './layout.js';
import { buildPair, type PairPlan, planPairs } from './pairs.js';
import type { Problem } from './problem.js';
import type { NestInstance } from './types.js';

/** Where lanes run. A round gives one report per lane, in the order of lanes. */
export interface LaneHost {
  /** Builds the tables; `onProgress` gets the share that is done. */
  prepare(onProgress: (share: number) => void): Promise<void>;
  start(seed: number, lanes: number, start: Snapshot): Promise<void>;
  round(best: Snapshot, tightening: number | undefined): Promise<LaneReport[]>;
  close(): Promise<void>;
}

/** What a lane worker is asked. */
export type LaneRequest =
  | { readonly kind: 'open'; readonly instance: NestInstance }
  | { readonly kind: 'build'; readonly jobs: readonly number[] }
  | { readonly kind: 'tables'; readonly pools: FieldPools }
  | {
      readonly kind: 'start';
      readonly seed: number;
      readonly lanes: readonly number[];
      readonly start: Snapshot;
    }
  | { readonly kind: 'round'; readonly best: Snapshot; readonly tightening: number | undefined };

/** Jobs per message while tables are built. */
const BATCH = 32;

/** The host for `threads` workers, or for the calling thread when it is 0. */
export function createHost(problem: Problem, threads: number, signal: AbortSignal): LaneHost {
  return threads === 0 ? new LocalHost(problem, signal) : new ThreadHost(problem, threads, signal);
}

/** Lanes in the calling thread, which comes up for air between batches and lanes. */
class LocalHost implements LaneHost {
  private readonly problem: Problem;
  private readonly signal: AbortSignal;
  private fields: Fields | undefined;
  private lanes: Lane[] = [];

  constructor(problem: Problem, signal: AbortSignal) {
    this.problem = problem;
    this.signal = signal;
  }

  async prepare(onProgress: (share: number) => void): Promise<void> {
    const { problem } = this;
    const plan = planPairs(problem);
    const tables: Field[] = new Array(plan.tables);
    for (let k = 0; k < plan.jobs.length; k++) {
      if (k % BATCH === 0) {
        onProgress(k / plan.jobs.length);
        await this.breathe();
      }
      store(tables, plan, k, buildPair(problem, plan.jobs[k]!));
    }
    this.fields = new Fields(packed(problem, plan, tables, false));
  }

  async start(seed: number, lanes: number, start: Snapshot): Promise<void> {
    this.lanes = Array.from(
      { length: lanes },
      (_, k) => new Lane(this.problem, this.fields!, seed, k, start),
    );
  }

  async round(best: Snapshot, tightening: number | undefined): Promise<LaneReport[]> {
    const reports: LaneReport[] = [];
    for (const lane of this.lanes) {
      await this.breathe();
      reports.push(lane.round(best, tightening));
    }
    return reports;
  }

  async close(): Promise<void> {}

  private async breathe(): Promise<void> {
    await new Promise((resolve) => setImmediate(resolve));
    this.signal.throwIfAborted();
  }
}

/** Lanes dealt out to worker threads, which share one copy of the tables. */
class ThreadHost implements LaneHost {
  private readonly problem: Problem;
  private readonly threads: number;
  private readonly signal: AbortSignal;
  private readonly pool: ThreadPool;
  private workers: Thread[] = [];

  constructor(problem: Problem, threads: number, signal: AbortSignal) {
    this.problem = problem;
    this.threads = threads;
    this.signal = signal;
    this.pool = new ThreadPool(threads);
  }

  async prepare(onProgress: (share: number) => void): Promise<void> {
    const { problem, signal } = this;
    const opened = Array.from({ length: this.threads }, () =>
      this.pool.open(workerUrl('nest-lane'), { signal }),
    );
    this.workers = await Promise.all(opened);
    await this.askAll<void>(() => ({ kind: 'open', instance: problem.instance }));

    // Batches go to whichever worker is free; tables do not depend on who builds them.
    const plan = planPairs(problem);
    const tables: Field[] = new Array(plan.tables);
    let next = 0;
    const work = async (worker: Thread) => {
      while (next < plan.jobs.length) {
        const jobs = Array.from({ length: Math.min(BATCH, plan.jobs.length - next) }, (_, k) => next + k);
        next += jobs.length;
        const built = await worker.ask<LaneRequest, Field[][]>({ kind: 'build', jobs });
        jobs.forEach((job, k) => {
          store(tables, plan, job, built[k]!);
        });
        onProgress(Math.min(1, next / plan.jobs.length));
      }
    };
    await Promise.all(this.workers.map(work));
    const pools = packed(problem, plan, tables, true);
    await this.askAll<void>(() => ({ kind: 'tables', pools }));
  }

  async start(seed: number, lanes: number, start: Snapshot): Promise<void> {
    const all = Array.from({ length: lanes }, (_, k) => k);
    await this.askAll<void>((worker) => ({
      kind: 'start',
      seed,
      lanes: all.filter((lane) => lane % this.threads === worker),
      start,
    }));
  }

  async round(best: Snapshot, tightening: number | undefined): Promise<LaneReport[]> {
    const replies = await this.askAll<LaneReport[]>(() => ({ kind: 'round', best, tightening }));
    const reports: LaneReport[] = [];
    replies.forEach((reply, worker) => {
      reply.forEach((report, k) => {
        reports[worker + k * this.threads] = report;
      });
    });
    return reports;
  }

  close(): Promise<void> {
    return this.pool.close();
  }

  private askAll<Reply>(request: (worker: number) => LaneRequest): Promise<Reply[]> {
    return Promise.all(this.workers.map((worker, k) => worker.ask<LaneRequest, Reply>(request(k))));
  }
}

function store(tables: Field[], plan: PairPlan, job: number, built: readonly Field[]): void {
  plan.jobs[job]!.frames.forEach(([, table], k) => {
    tables[table] = built[k]!;
  });
}

const packed = (problem: Problem, plan: PairPlan, tables: readonly Field[], shared: boolean): FieldPools =>
  packFields(tables, plan.code, problem.variants.length, problem.cell, problem.gap, shared);
