import { type Thread, ThreadPool, workerUrl } from '../threads.js';
import type { Field } from './field.js';
import { type FieldPools, Fields } from './fields.js';
import { Lane, type LaneReport } from './lane.js';
import type { Snapshot } from './layout.js';
import { buildTables, packTables, planPairs, store } from './pairs.js';
import type { Problem } from './problem.js';
import type { NestInstance } from './types.js';

/** Where lanes run. A round gives one report per lane, in the order of lanes. */
export interface LaneHost {
  /** Builds the tables; `onProgress` is called now and then. */
  prepare(onProgress: () => void): Promise<void>;
  start(seed: number, lanes: number, start: Snapshot): Promise<void>;
  /** May be asked for again before it has ended: rounds follow one another, each lane going on as soon as it can. */
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
  private last: Promise<LaneReport[]> = Promise.resolve([]);

  constructor(problem: Problem, signal: AbortSignal) {
    this.problem = problem;
    this.signal = signal;
  }

  async prepare(onProgress: () => void): Promise<void> {
    const building = buildTables(this.problem, BATCH);
    let step = building.next();
    for (; !step.done; step = building.next()) {
      onProgress();
      await this.breathe();
    }
    this.fields = new Fields(step.value);
  }

  async start(seed: number, lanes: number, start: Snapshot): Promise<void> {
    this.lanes = Array.from(
      { length: lanes },
      (_, k) => new Lane(this.problem, this.fields!, seed, k, start),
    );
  }

  round(best: Snapshot, tightening: number | undefined): Promise<LaneReport[]> {
    const round = this.last.then(() => this.runRound(best, tightening));
    this.last = round.catch(() => []);
    return round;
  }

  private async runRound(best: Snapshot, tightening: number | undefined): Promise<LaneReport[]> {
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

/**
 * Lanes dealt out to worker threads. They are sent one copy of the tables in shared memory; each then makes one of its
 * own where WebAssembly can read it.
 */
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

  async prepare(onProgress: () => void): Promise<void> {
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
        onProgress();
      }
    };
    await Promise.all(this.workers.map(work));
    const pools = packTables(problem, plan, tables, true);
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
