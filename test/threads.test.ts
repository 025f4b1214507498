import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { afterAll, afterEach, describe, expect, it } from 'vitest';
import { InputError } from '../src/errors.js';
import { ThreadError, ThreadPool, workerUrl } from '../src/threads.js';

// A worker for the tests, on the compiled `serve`: does what it is asked.
const folder = mkdtempSync(join(tmpdir(), 'walewise-threads-'));
const script = pathToFileURL(join(folder, 'worker.mjs'));
const built = (name: string) => new URL(`../dist/src/${name}.js`, import.meta.url).href;
writeFileSync(
  script,
  `import { serve } from ${JSON.stringify(built('threads'))};
   import { InputError } from ${JSON.stringify(built('errors'))};
   serve(async (request, progress) => {
     switch (request.do) {
       case 'echo': return request.value;
       case 'throw': throw new Error('it broke');
       case 'refuse': throw new InputError('too wide', { mend: 'narrow it' });
       case 'exit': process.exit(request.code);
       case 'hang': await new Promise((r) => setTimeout(r, 60000)); return 'late';
       case 'spin': for (;;) {}
       case 'count': for (let k = 1; k <= request.to; k++) progress(k); return request.to;
       case 'fill': { const all = []; for (;;) all.push(new Array(100000).fill(all.length)); }
       case 'late-failure': setTimeout(() => { throw new Error('after the answer'); }, 5); return 'answered';
     }
   });`,
);
const broken = pathToFileURL(join(folder, 'broken.mjs'));
writeFileSync(broken, 'this is not a program');

let pool = new ThreadPool(2);
afterEach(async () => {
  await pool.close();
  expect(pool.size).toBe(0);
  pool = new ThreadPool(2);
});
afterAll(() => rmSync(folder, { recursive: true }));

const hang = { do: 'hang' };

describe('ThreadPool.run', () => {
  it('resolves with any value, also 0, false, null and undefined', async () => {
    for (const value of [42, 0, false, null, undefined, '', { deep: [1, 2] }]) {
      expect(await pool.run(script, { do: 'echo', value })).toEqual(value);
    }
  });

  it('rejects when the worker throws, with its message', async () => {
    await expect(pool.run(script, { do: 'throw' })).rejects.toThrow(/^it broke$/);
  });

  it('keeps an input error an input error, with its mend', async () => {
    const failure = await pool.run(script, { do: 'refuse' }).catch((error: unknown) => error);
    expect(failure).toBeInstanceOf(InputError);
    expect((failure as InputError).mend).toBe('narrow it');
  });

  it('rejects when the worker exits without an answer, whatever the code', async () => {
    await expect(pool.run(script, { do: 'exit', code: 0 })).rejects.toThrow(
      /without an answer \(exit code 0\)/,
    );
    await expect(pool.run(script, { do: 'exit', code: 3 })).rejects.toThrow(
      /without an answer \(exit code 3\)/,
    );
  });

  it('rejects when the script cannot be run or found', async () => {
    await expect(pool.run(broken, {})).rejects.toThrow(ThreadError);
    await expect(pool.run(pathToFileURL(join(folder, 'none.mjs')), {})).rejects.toThrow(/the worker failed/);
  });

  it('rejects when the worker runs out of memory, and the pool lives on', async () => {
    await expect(pool.run(script, { do: 'fill' }, { maxHeapMb: 20 })).rejects.toThrow(/memory/);
    expect(await pool.run(script, { do: 'echo', value: 1 })).toBe(1);
  });

  it('ends a worker that is too slow, even one that never yields', async () => {
    await expect(pool.run(script, { do: 'spin' }, { timeoutMs: 150 })).rejects.toThrow(
      'no answer within 150 ms',
    );
  });

  it('passes progress on, in order, before the answer', async () => {
    const seen: number[] = [];
    const last = await pool.run(script, { do: 'count', to: 5 }, { onProgress: (k: number) => seen.push(k) });
    expect(seen).toEqual([1, 2, 3, 4, 5]);
    expect(last).toBe(5);
  });

  it('runs no more than its maximum at once, and all in the end', async () => {
    let most = 0;
    const jobs = Array.from({ length: 5 }, (_, value) =>
      pool.run(script, { do: 'echo', value }).then((v) => {
        most = Math.max(most, pool.size);
        return v;
      }),
    );
    expect(await Promise.all(jobs)).toEqual([0, 1, 2, 3, 4]);
    expect(most).toBeLessThanOrEqual(2);
  });
});

describe('abort', () => {
  it('rejects running and waiting requests with the reason, and frees the threads', async () => {
    const stop = new AbortController();
    const jobs = Array.from({ length: 6 }, () => pool.run(script, hang, { signal: stop.signal }));
    setTimeout(() => stop.abort(new Error('enough')), 100);
    const results = await Promise.allSettled(jobs);
    for (const result of results) {
      expect(result.status).toBe('rejected');
      expect((result as PromiseRejectedResult).reason.message).toBe('enough');
    }
    expect(await pool.run(script, { do: 'echo', value: 'free' })).toBe('free');
  });

  it('starts nothing when the signal has fired before', async () => {
    await expect(pool.run(script, hang, { signal: AbortSignal.abort(new Error('before')) })).rejects.toThrow(
      'before',
    );
    expect(pool.size).toBe(0);
  });
});

describe('close', () => {
  it('ends what runs, refuses what waits and starts none of it', async () => {
    const jobs = Array.from({ length: 8 }, () => pool.run(script, hang));
    const settled = Promise.allSettled(jobs);
    await new Promise((resolve) => setTimeout(resolve, 100));
    await pool.close();
    expect((await settled).every(({ status }) => status === 'rejected')).toBe(true);
    expect(pool.size).toBe(0);
    await expect(pool.run(script, { do: 'echo', value: 1 })).rejects.toThrow('the thread pool is closed');
  });
});

describe('Thread', () => {
  it('answers many requests, each with its own', async () => {
    const thread = await pool.open(script);
    const answers = await Promise.all([1, 2, 3].map((value) => thread.ask({ do: 'echo', value })));
    expect(answers).toEqual([1, 2, 3]);
    await expect(thread.ask({ do: 'throw' })).rejects.toThrow('it broke');
    expect(await thread.ask({ do: 'echo', value: 'still here' })).toBe('still here');
    await thread.stop();
    await expect(thread.ask({ do: 'echo', value: 1 })).rejects.toThrow('the thread was stopped');
  });

  it('settles a request once: a worker that fails after its answer changes nothing', async () => {
    const thread = await pool.open(script);
    expect(await thread.ask({ do: 'late-failure' })).toBe('answered');
    await expect(thread.ask(hang)).rejects.toThrow(/the worker failed: after the answer/);
  });
});

describe('workerUrl', () => {
  it('points at the compiled worker', () => {
    expect(workerUrl('nest-lane').pathname).toMatch(/\/dist\/workers\/nest-lane\.js$/);
  });
});
