/** worker-threads-pool ships no types; this is the part of it that threads.ts uses. */
declare module 'worker-threads-pool' {
  import type { Worker, WorkerOptions } from 'node:worker_threads';

  export default class Pool {
    constructor(options?: { max?: number; maxWaiting?: number });
    readonly size: number;
    acquire(
      file: string | URL,
      options: WorkerOptions,
      callback: (error: Error | null, worker: Worker) => void,
    ): void;
  }
}
