import { describe, expect, it } from 'vitest';
import { BALANCE_DEFAULTS, balanceArmholes, LEVEL_DEFAULTS, levelSideSeams } from '../../src/alter/index.js';
import { moveTip } from '../../src/alter/true-up.js';
import { CheckError } from '../../src/errors.js';
import { solveBetween } from '../../src/geometry/solve.js';
import { edgeLength } from '../../src/pattern/measure.js';
import { type Pattern, pieceOf, pointOf, withPiece } from '../../src/pattern/model.js';
import { walkJoins, walkSeams } from '../../src/pattern/walk.js';
import { block } from '../bodies.js';
import { INCH, noted } from './helpers.js';

/** The block with its armholes made to measure by raising or lowering each shoulder tip. */
function withArmholes(back: number, front: number): Pattern {
  return (
    [
      ['back', back],
      ['front', front],
    ] as const
  ).reduce((pattern, [name, wanted]) => {
    const piece = pieceOf(pattern, name);
    const [x, y] = pointOf(piece, 'shoulder-tip');
    const raised = (by: number) => withPiece(pattern, moveTip(piece, [x, y + by]));
    const by = solveBetween((up) => edgeLength(raised(up), name, 'armhole') - wanted, -60, 60);
    return raised(by);
  }, block());
}

describe('balance-armholes', () => {
  const OUT = withArmholes(8.75 * INCH, 9.25 * INCH);

  it('brings 8 3/4 in (back) and 9 1/4 in (front) within 1/4 in by shortening the front’s (common practice, no source)', () => {
    expect(edgeLength(OUT, 'front', 'armhole')).toBeCloseTo(9.25 * INCH, 5);
    const result = balanceArmholes(OUT, {
      ...BALANCE_DEFAULTS,
      within: INCH / 4,
      tip: INCH / 4,
      underarm: INCH / 4,
    });
    const front = edgeLength(result.pattern, 'front', 'armhole');
    expect(front).toBeLessThanOrEqual(9 * INCH);
    expect(front).toBeGreaterThan(9 * INCH - 0.01);
    expect(edgeLength(result.pattern, 'back', 'armhole')).toBeCloseTo(8.75 * INCH, 5);
    expect(noted(result, 'front before')).toBeCloseTo(9.25 * INCH, 5);
    expect(noted(result, 'tip lowered')).toBeLessThanOrEqual(INCH / 4);
  });

  it('keeps shoulders matched and leaves a side-seam difference that level-side-seams takes up', () => {
    const balanced = balanceArmholes(OUT, {
      ...BALANCE_DEFAULTS,
      within: INCH / 4,
      tip: INCH / 4,
      underarm: INCH / 4,
    });
    const walks = new Map(walkSeams(balanced.pattern).map((w) => [w.seam, w]));
    const before = new Map(walkSeams(OUT).map((w) => [w.seam, w]));
    expect(walks.get('shoulder')!.left).toBeCloseTo(before.get('shoulder')!.left, 6);
    expect(walks.get('side')!.difference).toBeGreaterThan(0.5);
    const levelled = levelSideSeams(balanced.pattern, { ...LEVEL_DEFAULTS, how: 'hem' }).pattern;
    expect(walkSeams(levelled).find((w) => w.seam === 'side')!.matches).toBe(true);
    expect(walkJoins(levelled).filter((j) => j.join.startsWith('shoulder at neck') && !j.smooth)).toEqual([]);
  });

  it('leaves balanced armholes alone', () => {
    const pattern = withArmholes(9 * INCH, 9.2 * INCH);
    expect(
      balanceArmholes(pattern, { ...BALANCE_DEFAULTS, within: INCH / 4, tip: INCH, underarm: INCH }).pattern,
    ).toBe(pattern);
  });

  it('shortens the back when the back is longer', () => {
    const pattern = withArmholes(9.5 * INCH, 9 * INCH);
    const result = balanceArmholes(pattern, {
      ...BALANCE_DEFAULTS,
      within: INCH / 8,
      tip: INCH / 2,
      underarm: INCH / 2,
    });
    expect(edgeLength(result.pattern, 'back', 'armhole')).toBeCloseTo(9.125 * INCH, 1);
    expect(pieceOf(result.pattern, 'front')).toBe(pieceOf(pattern, 'front'));
  });

  it('lengthens the shorter armhole instead when that one is to give way, by the reverse moves', () => {
    const options = { within: INCH / 4, tip: INCH / 4, underarm: INCH / 4, change: 'shorter' } as const;
    const result = balanceArmholes(OUT, options);
    expect(edgeLength(result.pattern, 'back', 'armhole')).toBeCloseTo(9 * INCH, 2);
    expect(edgeLength(result.pattern, 'front', 'armhole')).toBeCloseTo(9.25 * INCH, 5);
    expect(noted(result, 'underarm raised')).toBeLessThan(0);
    const named = balanceArmholes(OUT, { ...options, change: 'back' });
    expect(edgeLength(named.pattern, 'back', 'armhole')).toBe(edgeLength(result.pattern, 'back', 'armhole'));
  });

  it('refuses with the numbers when its limits do not suffice', () => {
    const pattern = withArmholes(8.75 * INCH, 10 * INCH);
    try {
      balanceArmholes(pattern, { ...BALANCE_DEFAULTS, within: INCH / 4, tip: INCH / 4, underarm: INCH / 4 });
      expect.unreachable();
    } catch (error) {
      expect(error).toBeInstanceOf(CheckError);
      expect((error as CheckError).message).toMatch(
        /front armhole measures 10 in and can be shortened to 9 \d+\/\d+ in.*asks for 9 in/,
      );
    }
  });
});
