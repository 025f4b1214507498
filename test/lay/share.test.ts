import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { roundTogether, shareOut } from '../../src/lay/share.js';

const weights = fc
  .array(fc.double({ min: 0, max: 1e6, noNaN: true }), { minLength: 1, maxLength: 12 })
  .filter((all) => all.every((w) => w === 0 || w > 1e-6));
const total = fc.double({ min: 1e-3, max: 1e6, noNaN: true });

describe('shares of a whole', () => {
  it('add up to it exactly, in any order', () => {
    fc.assert(
      fc.property(total, weights, (whole, parts) => {
        const shares = shareOut(whole, parts);
        expect(shares.reduce((sum, s) => sum + s, 0)).toBe(whole);
        expect([...shares].reverse().reduce((sum, s) => sum + s, 0)).toBe(whole);
      }),
    );
  });

  it('are in proportion to the weights, and equal where all weigh nothing', () => {
    fc.assert(
      fc.property(total, weights, (whole, parts) => {
        const sum = parts.reduce((a, b) => a + b, 0);
        shareOut(whole, parts).forEach((share, i) => {
          const wanted = sum === 0 ? whole / parts.length : (whole * parts[i]!) / sum;
          expect(Math.abs(share - wanted)).toBeLessThanOrEqual(1e-9 * whole);
        });
      }),
    );
    expect(shareOut(9, [0, 0, 0])).toEqual([3, 3, 3]);
    expect(shareOut(0, [1, 2])).toEqual([0, 0]);
    expect(shareOut(9, [])).toEqual([]);
  });
});

describe('numbers rounded together', () => {
  it('add up to their rounded sum, each less than one unit off', () => {
    fc.assert(
      fc.property(weights, fc.integer({ min: 0, max: 3 }), (values, decimals) => {
        const rounded = roundTogether(values, decimals);
        const unit = 10 ** -decimals;
        const whole = Math.round(values.reduce((a, b) => a + b, 0) / unit);
        const units = rounded.map((v) => Math.round(v / unit));
        expect(units.reduce((a, b) => a + b, 0)).toBe(whole);
        rounded.forEach((v, i) => {
          expect(Math.abs(v - values[i]!)).toBeLessThan(unit * 1.001);
        });
      }),
    );
  });

  it('gives the units that are left to the largest fractions', () => {
    // Three thirds of one: each alone rounds to 0.33, together they are 1.
    expect(roundTogether([1 / 3, 1 / 3, 1 / 3], 2)).toEqual([0.34, 0.33, 0.33]);
    expect(roundTogether([0.006, 0.006, 0.008], 2)).toEqual([0.01, 0, 0.01]);
  });
});
