/**
 * Worker threads with promises, on worker-threads-pool.
 *
 * The package starts workers up to a maximum and no more; what a program needs beside that lives here: a
 * request gets exactly one answer, whatever becomes of the worker; a signal or a timeout ends it; what still
 * waits for a thread when the pool closes is refused instead of started. The package's own queue is never
 * used, because it cannot be emptied and counts a failed worker's slot as free before the worker is gone.
 */
import { parentPort, type Worker, type WorkerOptions } from 'node:worker_threads';
import Pool from 'worker-threads-pool';
import { InputError } from './errors.js';

/** A thread that failed, ended or was stopped before it answered. */
export class ThreadError extends Error {
  override readonly name = 'ThreadError';
}

export interface ThreadOptions {
  /** Ends the thread; its requests are rejected with the signal's reason. */
  readonly signal?: AbortSignal;
  /** Limit of the worker's heap in MB; beyond it the worker ends with an error. */
  readonly maxHeapMb?: number;
}

export interface AskOptions<Progress> {
  readonly onProgress?: (progress: Progress) => void;
  /** Milliseconds after which the thread is ended and the request rejected. */
  readonly timeoutMs?: number;
}

/** URL of the compiled worker `workers/NAME.ts`, also when this module itself runs from its source. */
export function workerUrl(name: string): URL {
  const workers = import.meta.url.endsWith('.ts') ? '../dist/workers/' : '../workers/';
  return new URL(`${workers}${name}.js`, import.meta.url);
}

interface Waiting {
  readonly start: () => void;
  readonly refuse: (reason: Error) => void;
}

/** At most `max` worker threads at a time; further ones wait their turn. */
export class ThreadPool {
  private readonly max: number;
  private readonly pool: Pool;
  private readonly waiting: Waiting[] = [];
  private readonly live = new Set<Thread>();
  private busy = 0;
  private closed = false;

  constructor(max: number) {
    if (!(Number.isInteger(max) && max > 0)) throw new RangeError(`invalid number of threads: ${max}`);
    this.max = max;
    this.pool = new Pool({ max });
  }

  /** Threads that run now. */
  get size(): number {
    return this.busy;
  }

  /** Starts a thread that answers many requests; waits while all are busy. Stop it when done with it. */
  open(script: URL, options: ThreadOptions = {}): Promise<Thread> {
    const { signal } = options;
    return new Promise((resolve, reject) => {
      if (this.closed) return reject(new ThreadError('the thread pool is closed'));
      if (signal?.aborted) return reject(signal.reason);
      const entry: Waiting = {
        start: () => {
          signal?.removeEventListener('abort', giveUp);
          this.acquire(script, options).then(resolve, reject);
        },
        refuse: (reason) => {
          signal?.removeEventListener('abort', giveUp);
          reject(reason);
        },
      };
      const giveUp = () => {
        this.waiting.splice(this.waiting.indexOf(entry), 1);
        reject(signal!.reason);
      };
      signal?.addEventListener('abort', giveUp, { once: true });
      this.waiting.push(entry);
      this.startNext();
    });
  }

  /** One request in a thread of its own. Rejects when the worker throws, dies, is aborted or is too slow. */
  async run<Request, Reply, Progress = unknown>(
    script: URL,
    request: Request,
    options: ThreadOptions & AskOptions<Progress> = {},
  ): Promise<Reply> {
    const thread = await this.open(script, options);
    try {
      return await thread.ask<Request, Reply, Progress>(request, options);
    } finally {
      await thread.stop();
    }
  }

  /** Ends all threads and refuses those that wait; resolves when every worker is gone. */
  async close(): Promise<void> {
    this.closed = true;
    for (const entry of this.waiting.splice(0)) entry.refuse(new ThreadError('the thread pool is closed'));
    await Promise.all([...this.live].map((thread) => thread.stop()));
  }

  private startNext(): void {
    while (this.busy < this.max && this.waiting.length > 0) {
      this.busy++;
      this.waiting.shift()!.start();
    }
  }

  private acquire(script: URL, { signal, maxHeapMb }: ThreadOptions): Promise<Thread> {
    const options: WorkerOptions =
      maxHeapMb === undefined ? {} : { resourceLimits: { maxOldGenerationSizeMb: maxHeapMb } };
    return new Promise((resolve, reject) => {
      const free = () => {
        this.busy--;
        this.startNext();
      };
      try {
        this.pool.acquire(script, options, (error, worker) => {
          if (error) {
            free();
            reject(error);
            return;
          }
          const thread = new Thread(worker, signal);
          this.live.add(thread);
          worker.once('exit', () => {
            this.live.delete(thread);
            free();
          });
          if (this.closed) void thread.stop();
          resolve(thread);
        });
      } catch (error) {
        free();
        reject(error);
      }
    });
  }
}

interface Pending {
  readonly resolve: (value: never) => void;
  readonly reject: (reason: unknown) => void;
  readonly onProgress: ((progress: never) => void) | undefined;
  readonly timer: NodeJS.Timeout | undefined;
}

/** A running worker that answers requests (see `serve`). Made by `ThreadPool.open`. */
export class Thread {
  private readonly worker: Worker;
  private readonly pending = new Map<number, Pending>();
  private readonly gone: Promise<void>;
  private next = 0;
  private ended: Error | undefined;

  constructor(worker: Worker, signal: AbortSignal | undefined) {
    this.worker = worker;
    const abort = () => this.end(toError(signal!.reason));
    if (signal?.aborted) queueMicrotask(abort);
    else signal?.addEventListener('abort', abort, { once: true });
    worker.on('message', (message: Message) => this.receive(message));
    worker.once('error', (error) =>
      this.end(new ThreadError(`the worker failed: ${error.message}`, { cause: error })),
    );
    worker.once('messageerror', (error) =>
      this.end(new ThreadError('the worker sent what cannot be read', { cause: error })),
    );
    this.gone = new Promise((resolve) => {
      worker.once('exit', (code) => {
        signal?.removeEventListener('abort', abort);
        this.end(new ThreadError(`the worker ended without an answer (exit code ${code})`));
        resolve();
      });
    });
  }

  /** Sends a request; the promise settles exactly once. */
  ask<Request, Reply, Progress = unknown>(
    request: Request,
    options: AskOptions<Progress> = {},
  ): Promise<Reply> {
    return new Promise<Reply>((resolve, reject) => {
      if (this.ended) return reject(this.ended);
      const id = this.next++;
      const { timeoutMs, onProgress } = options;
      const late = () => this.end(new ThreadError(`no answer within ${timeoutMs} ms`));
      this.pending.set(id, {
        resolve: resolve as Pending['resolve'],
        reject,
        onProgress: onProgress as Pending['onProgress'],
        timer: timeoutMs === undefined ? undefined : setTimeout(late, timeoutMs),
      });
      this.worker.postMessage({ id, request });
    });
  }

  /** Ends the worker and rejects what it has not answered; resolves when it is gone. */
  async stop(): Promise<void> {
    this.end(new ThreadError('the thread was stopped'));
    await this.gone;
  }

  private receive(message: Message): void {
    const pending = this.pending.get(message.id);
    if (!pending) return;
    if (message.kind === 'progress') {
      pending.onProgress?.(message.value as never);
      return;
    }
    this.pending.delete(message.id);
    clearTimeout(pending.timer);
    if (message.kind === 'reply') pending.resolve(message.value as never);
    else pending.reject(revived(message.error));
  }

  private end(reason: Error): void {
    if (this.ended) return;
    this.ended = reason;
    for (const { reject, timer } of this.pending.values()) {
      clearTimeout(timer);
      reject(reason);
    }
    this.pending.clear();
    void this.worker.terminate();
  }
}

type Message =
  | { readonly id: number; readonly kind: 'progress'; readonly value: unknown }
  | { readonly id: number; readonly kind: 'reply'; readonly value: unknown }
  | { readonly id: number; readonly kind: 'error'; readonly error: FlatError };

interface FlatError {
  readonly name: string;
  readonly message: string;
  readonly stack: string | undefined;
  readonly mend: string | undefined;
}

/**
 * The worker's side: answers each request with what `handle` returns or throws. Requests are taken one after
 * another. Throws when called outside a worker thread.
 */
export function serve<Request, Reply, Progress = unknown>(
  handle: (request: Request, progress: (value: Progress) => void) => Reply | Promise<Reply>,
): void {
  const port = parentPort;
  if (!port) throw new Error('serve() works in a worker thread only');
  let queue = Promise.resolve();
  port.on('message', ({ id, request }: { id: number; request: Request }) => {
    queue = queue.then(async () => {
      try {
        const value = await handle(request, (progress) =>
          port.postMessage({ id, kind: 'progress', value: progress }),
        );
        port.postMessage({ id, kind: 'reply', value });
      } catch (error) {
        port.postMessage({ id, kind: 'error', error: flattened(error) });
      }
    });
  });
}

const toError = (reason: unknown): Error => (reason instanceof Error ? reason : new Error(String(reason)));

function flattened(error: unknown): FlatError {
  const { name, message, stack } = toError(error);
  return { name, message, stack, mend: error instanceof InputError ? error.mend : undefined };
}

function revived({ name, message, stack, mend }: FlatError): Error {
  if (name === 'InputError') return new InputError(message, mend === undefined ? {} : { mend });
  const error = new ThreadError(message);
  if (stack !== undefined) error.stack = stack;
  return error;
}
