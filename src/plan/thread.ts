import { type Thread, ThreadPool, workerUrl } from '../threads.js';
import type { Program, Solve, Solved, SolveLimits } from './highs.js';

/**
 * Solves programs in a worker thread, so that the caller stays awake and a signal can end a solve. The thread is
 * started with the first program and serves all; close it when done. A solve whose signal fires is rejected.
 */
export function solverThread(signal?: AbortSignal): { readonly solve: Solve; close: () => Promise<void> } {
  const pool = new ThreadPool(1);
  let thread: Promise<Thread> | undefined;
  return {
    solve: async (program, limits) => {
      thread ??= pool.open(workerUrl('solve'), signal ? { signal } : {});
      return (await thread).ask<{ program: Program; limits: SolveLimits }, Solved>({ program, limits });
    },
    close: () => pool.close(),
  };
}
