import { describe, expect, it } from 'vitest';
import { type Program, solveHere } from '../../src/plan/highs.js';
import { solverThread } from '../../src/plan/thread.js';

const PROGRAM: Program = {
  columns: [
    { cost: 4, lower: 0, upper: 9, whole: true },
    { cost: 6, lower: 0, upper: 9, whole: true },
  ],
  rows: [
    {
      lower: 7,
      upper: Number.POSITIVE_INFINITY,
      entries: [
        [0, 3],
        [1, 5],
      ],
    },
  ],
};
const LIMITS = { gap: 0, nodes: 100, seconds: 30 };

describe('the solver in a worker thread', () => {
  it('answers as the solver in this thread does, program after program', async () => {
    const solver = solverThread();
    try {
      const here = await solveHere(PROGRAM, LIMITS);
      expect(await solver.solve(PROGRAM, LIMITS)).toEqual(here);
      expect(await solver.solve(PROGRAM, LIMITS)).toEqual(here);
    } finally {
      await solver.close();
    }
  });

  it('is ended by its signal', async () => {
    const stop = new AbortController();
    const solver = solverThread(stop.signal);
    await solver.solve(PROGRAM, LIMITS);
    stop.abort(new Error('enough'));
    await expect(solver.solve(PROGRAM, LIMITS)).rejects.toThrow('enough');
    await solver.close();
  });
});
