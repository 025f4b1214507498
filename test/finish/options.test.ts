import { describe, expect, it } from 'vitest';
import { InputError } from '../../src/errors.js';
import {
  allowanceOf,
  assertAllowances,
  FINISH_DEFAULTS,
  finishSchema,
  shrinkageFactors,
} from '../../src/finish/index.js';
import { samplePattern } from '../grade/helpers.js';

const issueOf = (part: unknown) => finishSchema('in').safeParse(part).error?.issues[0];

describe('the finish part of a style', () => {
  it('has the trade defaults: 3/8 in, notches 3 mm deep', () => {
    expect(finishSchema('in').parse({})).toEqual(FINISH_DEFAULTS);
    expect(FINISH_DEFAULTS.allowances.default).toBeCloseTo(9.525, 12);
    expect(FINISH_DEFAULTS.notchDepth).toBe(3);
  });

  it('lets piece and edge beat edge, and edge beat the default', () => {
    const edges = { hem: 1, 'front.side': '1/2', neckline: '6 mm' };
    const options = finishSchema('in').parse({ allowances: { default: '3/8', edges } });
    expect(allowanceOf(options, 'back', 'hem')).toBeCloseTo(25.4, 12);
    expect(allowanceOf(options, 'front', 'side')).toBeCloseTo(12.7, 12);
    expect(allowanceOf(options, 'back', 'side')).toBeCloseTo(9.525, 12);
    expect(allowanceOf(options, 'front', 'neckline')).toBe(6);
  });

  it('refuses a negative allowance and tells why', () => {
    expect(issueOf({ allowances: { edges: { hem: '-1/4' } } })).toMatchObject({
      path: ['allowances', 'edges', 'hem'],
      message: '-1/4 must not be negative',
    });
    expect(issueOf({ allowances: { default: -1 } })!.message).toBe('-1 must not be negative');
    expect(issueOf({ 'notch-depth': 0 })!.message).toBe('0 must be more than 0');
    expect(issueOf({ allowance: {} })!.message).toContain('allowance');
  });

  it('refuses an allowance for an edge that no piece has, or on the fold', () => {
    const pattern = samplePattern();
    const check = (edges: Record<string, number>) =>
      assertAllowances(pattern, { ...FINISH_DEFAULTS, allowances: { default: 10, edges, hems: {} } });
    expect(() => check({ hem: 25, 'sleeve.wrist': 25, fold: 0 })).not.toThrow();
    expect(() => check({ hemm: 25 })).toThrow("no piece has an edge 'hemm'");
    expect(() => check({ 'back.wrist': 25 })).toThrow("no piece has an edge 'back.wrist'");
    expect(() => check({ 'back.fold': 10 })).toThrow("'back.fold' lies on the fold");
  });
});

describe('shrinkage', () => {
  // Published formula: pattern = finished / (1 - s) (trade writing on shrinkage); factors computed from it.
  it('enlarges by 1 / (1 - s), not by 1 + s', () => {
    const { x, y } = shrinkageFactors({ coursewise: 3, walewise: 5 });
    expect(x).toBeCloseTo(1.03093, 5);
    expect(y).toBeCloseTo(1.05263, 5);
    expect(700 * y).toBeCloseTo(736.84, 2);
    expect(shrinkageFactors({ coursewise: 7, walewise: 0 })).toEqual({ x: expect.closeTo(1.07527, 5), y: 1 });
  });

  // ISO 5077 states dimensional change as (after - before) / before x 100: washing must give the size back.
  it('is undone by the wash', () => {
    for (const percent of [-3, 0, 2.5, 12]) {
      const { x } = shrinkageFactors({ coursewise: percent, walewise: 0 });
      expect(500 * x * (1 - percent / 100)).toBeCloseTo(500, 9);
    }
  });

  it('is refused out of reason', () => {
    for (const walewise of [100, 50, Number.NaN, -60]) {
      expect(() => shrinkageFactors({ coursewise: 0, walewise })).toThrow(InputError);
    }
  });
});
