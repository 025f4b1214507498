import { describe, expect, it } from 'vitest';
import { type Program, solveHere } from '../../src/plan/highs.js';

const LIMITS = { gap: 0, nodes: 10_000, seconds: 20 };
const whole = (cost: number, upper = 100) => ({ cost, lower: 0, upper, whole: true });

describe('solving a program', () => {
  it('finds the least cost in whole numbers, where rounding the continuous answer would not', async () => {
    // 3x + 5y >= 7 at costs 4 and 6: continuous y = 1.4 for 8.4; in whole numbers x = 1, y = 1 for 10.
    const program: Program = {
      columns: [whole(4), whole(6)],
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
    const solved = await solveHere(program, LIMITS);
    expect(solved.status).toBe('gap reached');
    expect(solved.values!.map(Math.round)).toEqual([1, 1]);
    expect(solved.value).toBeCloseTo(10, 6);
    expect(solved.bound).toBeCloseTo(10, 6);
  });

  it('says infeasible as a status, without values', async () => {
    const solved = await solveHere(
      { columns: [whole(1, 3)], rows: [{ lower: 4, upper: 5, entries: [[0, 1]] }] },
      LIMITS,
    );
    expect(solved.status).toBe('infeasible');
    expect(solved.values).toBeUndefined();
  });

  it('gives shadow prices of a continuous program', async () => {
    const columns = [{ cost: 2, lower: 0, upper: 10, whole: false }];
    const solved = await solveHere({ columns, rows: [{ lower: 3, upper: 9, entries: [[0, 1.5]] }] }, LIMITS);
    expect(solved.value).toBeCloseTo(4, 9);
    expect(solved.duals![0]).toBeCloseTo(2 / 1.5, 9);
  });

  it('stops at the node limit, the same way each time', async () => {
    // A knapsack equation with many ties: no node, no proof.
    const columns = Array.from({ length: 30 }, (_, i) => whole(100 + ((i * 37) % 17), 1));
    const rows = [0, 1, 2].map((k) => ({
      lower: 500 + k,
      upper: 500 + k,
      entries: columns.map((_, i) => [i, 20 + ((i * (7 + k) + 3) % 31)] as [number, number]),
    }));
    const solved = await solveHere({ columns, rows }, { ...LIMITS, nodes: 1 });
    expect(solved.status).toBe('node limit');
    expect(solved.values).toBeUndefined();
    const again = await solveHere({ columns, rows }, { ...LIMITS, nodes: 1 });
    expect(again).toEqual(solved);
  });
});
