import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { solveBetween } from '../../src/geometry/solve.js';

describe('solveBetween', () => {
  it('finds the root of monotone functions, however bent', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0.01, max: 0.99, noNaN: true }),
        fc.integer({ min: 1, max: 9 }),
        fc.boolean(),
        (root, power, falling) => {
          const f = (x: number) => (x ** power - root ** power) * (falling ? -1 : 1);
          expect(solveBetween(f, 0, 1)).toBeCloseTo(root, 6);
        },
      ),
    );
  });

  it('takes few steps where the function is nearly straight', () => {
    let calls = 0;
    solveBetween(
      (x) => {
        calls++;
        return Math.sqrt(1 + x) - 1.2;
      },
      0,
      1,
    );
    expect(calls).toBeLessThan(15);
  });

  it('refuses an interval without a change of sign', () => {
    expect(() => solveBetween((x) => x * x + 1, -1, 1)).toThrow(RangeError);
  });
});
