import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  deriveFront,
  LEVEL_DEFAULTS,
  lengthen,
  levelSideSeams,
  lowerArmhole,
  markStretch,
  matchShoulders,
  reshapeArmhole,
  SIDE_SEAM_DEFAULTS,
  shapeSideSeam,
  widenNeckline,
} from '../../src/alter/index.js';
import { CheckError, InputError } from '../../src/errors.js';
import { end, endDirection, nodes, start, startDirection } from '../../src/geometry/path.js';
import { cross } from '../../src/geometry/vec.js';
import { edgeLength } from '../../src/pattern/measure.js';
import { edgeOf, type Pattern, pieceArea, pieceOf, pointOf, withPiece } from '../../src/pattern/model.js';
import { movePoints } from '../../src/pattern/reshape.js';
import { walkJoins, walkSeams } from '../../src/pattern/walk.js';
import { block } from '../bodies.js';
import { INCH, measured, noted } from './helpers.js';

const seam = (pattern: Pattern, name: string) => walkSeams(pattern).find((w) => w.seam === name)!;
const roughJoins = (pattern: Pattern) => walkJoins(pattern).filter((j) => !j.smooth);

describe('lengthen', () => {
  it('moves the hem down the grain and adds a strip of hem width', () => {
    const before = block();
    const after = lengthen(before, { pieces: ['back', 'front'], by: 100 });
    expect(measured(after, 'body length') - measured(before, 'body length')).toBeCloseTo(100, 9);
    expect(edgeLength(after, 'back', 'side') - edgeLength(before, 'back', 'side')).toBeCloseTo(100, 6);
    const strip = 100 * edgeLength(before, 'back', 'hem');
    expect(pieceArea(pieceOf(after, 'back')) - pieceArea(pieceOf(before, 'back'))).toBeCloseTo(strip, 3);
    expect(pointOf(pieceOf(after, 'back'), 'waist')).toEqual(pointOf(pieceOf(before, 'back'), 'waist'));
    expect(roughJoins(after)).toEqual([]);
  });

  it('shortened by what it was lengthened it is what it was', () => {
    const before = block();
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 150 }), (by) => {
        const there = lengthen(before, { pieces: ['back'], by });
        const back = lengthen(there, { pieces: ['back'], by: -by });
        expect(pieceArea(pieceOf(back, 'back'))).toBeCloseTo(pieceArea(pieceOf(before, 'back')), 3);
        expect(pointOf(pieceOf(back, 'back'), 'waist')).toEqual(pointOf(pieceOf(before, 'back'), 'waist'));
      }),
      { numRuns: 15 },
    );
  });

  it('spreads at a level: what lies below moves, the side seam is redrawn through', () => {
    const before = block();
    const after = lengthen(before, {
      pieces: ['back', 'front'],
      by: 30,
      at: { kind: 'name', name: 'waist' },
    });
    expect(measured(after, 'body length') - measured(before, 'body length')).toBeCloseTo(30, 9);
    expect(pointOf(pieceOf(after, 'back'), 'underarm')).toEqual(pointOf(pieceOf(before, 'back'), 'underarm'));
    expect(seam(after, 'side').matches).toBe(true);
  });

  it('refuses to shorten past the waist and to spread at the hem', () => {
    expect(() => lengthen(block(), { pieces: ['back'], by: -400 })).toThrow(CheckError);
    expect(() =>
      lengthen(block(), { pieces: ['back'], by: 10, at: { kind: 'name', name: 'center-hem' } }),
    ).toThrow(InputError);
  });
});

describe('lower-armhole', () => {
  it('lowers the underarm straight down: the girth stays, the armhole grows, joins stay smooth', () => {
    const before = block();
    const after = lowerArmhole(before, { pieces: ['back', 'front'], by: INCH });
    expect(measured(after, 'chest girth')).toBeCloseTo(measured(before, 'chest girth'), 9);
    for (const name of ['back', 'front']) {
      expect(pointOf(pieceOf(after, name), 'underarm')[1]).toBeCloseTo(
        pointOf(pieceOf(before, name), 'underarm')[1] - INCH,
        9,
      );
      const growth = edgeLength(after, name, 'armhole') - edgeLength(before, name, 'armhole');
      // Longer by less than the lowering itself: the curve trades depth for height.
      expect(growth).toBeGreaterThan(0.6 * INCH);
      expect(growth).toBeLessThan(INCH);
    }
    expect(roughJoins(after)).toEqual([]);
  });

  it('refuses to pass the waist', () => {
    expect(() => lowerArmhole(block(), { pieces: ['back'], by: 300 })).toThrow(/passes the next point/);
  });
});

describe('reshape-armhole', () => {
  it('puts the guide point 1/4 in (back) and 1/2 in (front) inward of the middle (common practice, no source)', () => {
    for (const [name, inward] of [
      ['back', INCH / 4],
      ['front', INCH / 2],
    ] as const) {
      const piece = pieceOf(reshapeArmhole(block(), { pieces: [name], guide: { inward } }), name);
      const guide = nodes(edgeOf(piece, 'armhole').path)[1]!;
      const tip = pointOf(piece, 'shoulder-tip');
      expect(tip[0] - guide[0]).toBeCloseTo(inward, 9);
      expect(guide[1]).toBeCloseTo((tip[1] + pointOf(piece, 'underarm')[1]) / 2, 9);
    }
  });

  it('a deeper guide makes a longer armhole of a smaller piece', () => {
    const [shallow, deep] = [3, 20].map((inward) =>
      reshapeArmhole(block(), { pieces: ['front'], guide: { inward } }),
    );
    expect(edgeLength(deep!, 'front', 'armhole')).toBeGreaterThan(edgeLength(shallow!, 'front', 'armhole'));
    expect(pieceArea(pieceOf(deep!, 'front'))).toBeLessThan(pieceArea(pieceOf(shallow!, 'front')));
  });
});

describe('shape-side-seam', () => {
  it('straight and plumb: hem and chest girth agree', () => {
    const after = shapeSideSeam(block(), {
      ...SIDE_SEAM_DEFAULTS,
      as: 'straight',
      hem: 'plumb',
      waistIn: 0,
    });
    expect(measured(after, 'hem girth')).toBeCloseTo(measured(after, 'chest girth'), 9);
    expect(measured(after, 'waist girth')).toBeCloseTo(measured(after, 'chest girth'), 9);
    expect(roughJoins(after)).toEqual([]);
  });

  it('shaped: in at the waist by 1/2 in (common practice, no source) takes 2 in off the waist girth', () => {
    const straight = shapeSideSeam(block(), {
      ...SIDE_SEAM_DEFAULTS,
      as: 'straight',
      hem: 'plumb',
      waistIn: 0,
    });
    const shaped = shapeSideSeam(straight, {
      ...SIDE_SEAM_DEFAULTS,
      as: 'shaped',
      hem: 'plumb',
      waistIn: INCH / 2,
    });
    expect(measured(straight, 'waist girth') - measured(shaped, 'waist girth')).toBeCloseTo(2 * INCH, 9);
    const side = edgeOf(pieceOf(shaped, 'back'), 'side').path;
    expect(cross(endDirection([side[0]!]), startDirection([side[1]!]))).toBeCloseTo(0, 9);
    expect(roughJoins(shaped)).toEqual([]);
    expect(seam(shaped, 'side').matches).toBe(true);
  });
});

describe('shape-side-seam, flared', () => {
  const flared = (over: object) =>
    shapeSideSeam(block(), { ...SIDE_SEAM_DEFAULTS, as: 'flared', waistIn: 0, ...over });

  it('out by 2 in at the hem (common practice, no source) adds about 8 in, the hem square on seam and fold', () => {
    const straight = shapeSideSeam(block(), { ...SIDE_SEAM_DEFAULTS, as: 'straight', waistIn: 0 });
    const after = flared({ flare: 2 * INCH });
    const girth = measured(after, 'hem girth') - measured(straight, 'hem girth');
    // The corner is raised on the leaning seam, which takes a little back.
    expect(girth).toBeLessThan(8 * INCH);
    expect(girth).toBeGreaterThan(7.5 * INCH);
    expect(roughJoins(after)).toEqual([]);
    expect(seam(after, 'side').difference).toBeCloseTo(0, 9);
    const piece = pieceOf(after, 'back');
    expect(pointOf(piece, 'side-hem')[1]).toBeGreaterThan(pointOf(piece, 'center-hem')[1]);
  });

  it('with a waist and a hip curve is one smooth line, fullest below the waist', () => {
    const after = flared({ flare: INCH, waistIn: INCH / 2, hipOut: INCH / 2 });
    const { path, marks } = edgeOf(pieceOf(after, 'back'), 'side');
    for (let i = 0; i + 1 < path.length; i++) {
      expect(cross(endDirection([path[i]!]), startDirection([path[i + 1]!]))).toBeCloseTo(0, 6);
    }
    expect(marks).toEqual({ waist: 2 });
    const plain = flared({ flare: INCH, waistIn: INCH / 2 });
    expect(pieceArea(pieceOf(after, 'back'))).toBeGreaterThan(pieceArea(pieceOf(plain, 'back')));
    expect(roughJoins(after)).toEqual([]);
  });
});

describe('lengthen at the hem of a flared piece', () => {
  it('runs the slanted seam on without a knee and keeps the hem square', () => {
    const flared = shapeSideSeam(block(), { ...SIDE_SEAM_DEFAULTS, as: 'flared', waistIn: 0, flare: 20 });
    for (const by of [40, -40]) {
      const after = lengthen(flared, { pieces: ['back', 'front'], by });
      const side = edgeOf(pieceOf(after, 'back'), 'side').path;
      expect(cross(startDirection(side), endDirection(side))).toBeCloseTo(0, 6);
      expect(measured(after, 'body length') - measured(flared, 'body length')).toBeCloseTo(by, 6);
      expect(roughJoins(after)).toEqual([]);
      expect(seam(after, 'side').matches).toBe(true);
    }
  });
});

describe('lengthen at a line', () => {
  it('spreads between named points: half-way down the side seam everything below moves, what is above stays', () => {
    const before = block();
    const at = { kind: 'ratio', edge: 'side', ratio: 0.6 } as const;
    const after = lengthen(before, { pieces: ['back', 'front'], by: 25, at });
    expect(measured(after, 'body length') - measured(before, 'body length')).toBeCloseTo(25, 9);
    const waist = (p: Pattern) => pointOf(pieceOf(p, 'back'), 'waist')[1];
    expect(waist(after) - waist(before)).toBeCloseTo(-25, 9);
    expect(roughJoins(after)).toEqual([]);
    expect(seam(after, 'side').matches).toBe(true);
  });

  it('refuses to close more than lies between the named points', () => {
    const at = { kind: 'name', name: 'waist' } as const;
    expect(() => lengthen(block(), { pieces: ['back'], by: -900, at })).toThrow(
      /cannot be shortened by 900.0 mm/,
    );
  });
});

describe('reshape-armhole by its other guides', () => {
  it('lifts the guide and deepens the scoop, and later steps keep both', () => {
    const guide = { inward: 8, height: 0.4, scoop: 0.75 };
    const shaped = reshapeArmhole(block(), { pieces: ['front'], guide });
    expect(edgeOf(pieceOf(shaped, 'front'), 'armhole').drawn).toEqual({ as: 'armhole', ...guide });
    const lowered = lowerArmhole(shaped, { pieces: ['front'], by: 20 });
    expect(edgeOf(pieceOf(lowered, 'front'), 'armhole').drawn).toEqual({ as: 'armhole', ...guide });
    const deeper = reshapeArmhole(shaped, { pieces: ['front'], guide: { scoop: 0.9 } });
    expect(pieceArea(pieceOf(deeper, 'front'))).toBeLessThan(pieceArea(pieceOf(shaped, 'front')));
    expect(roughJoins(shaped)).toEqual([]);
  });
});

describe('derive-front', () => {
  const derived = () => deriveFront(block(), { raise: INCH / 2, guide: INCH / 2 }, block());

  it('raises the shoulder by 1/2 in, as long as the back’s (common practice, no source)', () => {
    const pattern = derived();
    const [front, back] = [pieceOf(pattern, 'front'), pieceOf(pattern, 'back')];
    for (const name of ['neck-point', 'shoulder-tip']) {
      expect(pointOf(front, name)[1] - pointOf(back, name)[1]).toBeCloseTo(INCH / 2, 9);
    }
    expect(seam(pattern, 'shoulder').difference).toBeCloseTo(0, 9);
    expect(seam(pattern, 'side').difference).toBeCloseTo(0, 9);
  });

  it('keeps the depth of the block’s own front neckline and its armhole guide', () => {
    const pattern = derived();
    expect(measured(pattern, 'front neck depth')).toBeCloseTo(measured(block(), 'front neck depth'), 9);
    const front = pieceOf(pattern, 'front');
    expect(pointOf(front, 'shoulder-tip')[0] - nodes(edgeOf(front, 'armhole').path)[1]![0]).toBeCloseTo(
      INCH / 2,
      9,
    );
    expect(roughJoins(pattern)).toEqual([]);
  });
});

describe('match-shoulders', () => {
  it('both meet half-way', () => {
    const front = pieceOf(block(), 'front');
    const off = withPiece(block(), movePoints(front, new Map([['shoulder-tip', [6, -2] as const]])));
    const { pattern } = matchShoulders(off, { change: 'both' });
    const half = (edgeLength(off, 'front', 'shoulder') + edgeLength(off, 'back', 'shoulder')) / 2;
    expect(edgeLength(pattern, 'front', 'shoulder')).toBeCloseTo(half, 9);
    expect(edgeLength(pattern, 'back', 'shoulder')).toBeCloseTo(half, 9);
  });

  it.each(['front', 'back', 'longer', 'shorter'] as const)('changing the %s makes both equal', (change) => {
    const front = pieceOf(block(), 'front');
    const off = withPiece(block(), movePoints(front, new Map([['shoulder-tip', [6, -2] as const]])));
    const result = matchShoulders(off, { change });
    expect(seam(result.pattern, 'shoulder').difference).toBeCloseTo(0, 9);
    expect(noted(result, 'front before')).toBeCloseTo(edgeLength(off, 'front', 'shoulder'), 9);
    const untouched = change === 'front' || change === 'longer' ? 'back' : 'front';
    expect(edgeLength(result.pattern, untouched, 'shoulder')).toBeCloseTo(
      edgeLength(off, untouched, 'shoulder'),
      9,
    );
  });
});

describe('level-side-seams', () => {
  const longerFront = () => {
    const front = pieceOf(block(), 'front');
    return withPiece(block(), movePoints(front, new Map([['underarm', [0, 8] as const]])));
  };

  it('takes the difference off at the hem, curving to the centre', () => {
    const off = longerFront();
    const { pattern } = levelSideSeams(off, { ...LEVEL_DEFAULTS, how: 'hem' });
    expect(seam(pattern, 'side').difference).toBeCloseTo(0, 6);
    const hem = edgeOf(pieceOf(pattern, 'front'), 'hem').path;
    expect(start(hem)).toEqual(start(edgeOf(pieceOf(off, 'front'), 'hem').path));
    expect(startDirection(hem)[1]).toBeCloseTo(0, 9);
    expect(end(hem)[1]).toBeGreaterThan(start(hem)[1]);
    expect(pieceOf(pattern, 'back')).toEqual(pieceOf(off, 'back'));
    expect(roughJoins(pattern).filter((j) => j.join.includes('hem'))).toEqual([]);
  });

  it('equalises: half off the longer, half onto the shorter', () => {
    const off = longerFront();
    const { pattern } = levelSideSeams(off, { ...LEVEL_DEFAULTS, how: 'equalise' });
    const difference = edgeLength(off, 'front', 'side') - edgeLength(off, 'back', 'side');
    expect(seam(pattern, 'side').difference).toBeCloseTo(0, 6);
    expect(edgeLength(pattern, 'back', 'side') - edgeLength(off, 'back', 'side')).toBeCloseTo(
      difference / 2,
      6,
    );
  });

  it('eases in: shapes stay, the seam wants the difference', () => {
    const off = longerFront();
    const { pattern } = levelSideSeams(off, { ...LEVEL_DEFAULTS, how: 'ease-in' });
    expect(pattern.pieces).toEqual(off.pieces);
    expect(seam(pattern, 'side').matches).toBe(true);
    expect(seam(off, 'side').matches).toBe(false);
  });

  it('eases in what the seam differs by at the time, in a later step and in every size, up to the most', () => {
    const { pattern } = levelSideSeams(longerFront(), { how: 'ease-in', most: 12 });
    const first = seam(pattern, 'side');
    expect(first.eased).toBeCloseTo(first.left - first.right, 9);
    const later = lowerArmhole(pattern, { pieces: ['front'], by: 3 });
    const now = seam(later, 'side');
    expect(now.matches).toBe(true);
    expect(now.eased).toBeCloseTo(now.left - now.right, 9);
    expect(now.eased).toBeLessThan(first.eased! - 2);
    const beyond = lowerArmhole(pattern, { pieces: ['back'], by: 8 });
    expect(seam(beyond, 'side').matches).toBe(false);
    expect(seam(beyond, 'side').eased).toBe(12);
    expect(() => levelSideSeams(longerFront(), { how: 'ease-in', most: 5 })).toThrow(
      /front side seam is 5\/16 in longer than the back's, and 3\/16 in at most are eased in/,
    );
  });
});

describe('widen-neckline', () => {
  it('takes the same off both shoulders, front even all round and back at the shoulder only', () => {
    const before = block();
    const after = widenNeckline(before, { by: INCH, front: 'even', back: 'shoulder' });
    for (const name of ['front', 'back']) {
      expect(edgeLength(before, name, 'shoulder') - edgeLength(after, name, 'shoulder')).toBeCloseTo(INCH, 9);
    }
    const drop = (name: string) =>
      pointOf(pieceOf(before, name), 'center-neck')[1] - pointOf(pieceOf(after, name), 'center-neck')[1];
    expect(drop('front')).toBeCloseTo(INCH, 9);
    expect(drop('back')).toBe(0);
    expect(roughJoins(after)).toEqual([]);
  });

  it('refuses to use up the shoulder', () => {
    expect(() => widenNeckline(block(), { by: 130, front: 'even', back: 'even' })).toThrow(
      /cannot be widened/,
    );
  });
});

describe('mark-stretch', () => {
  it('marks the pieces named, or all of them', () => {
    const stretch = { along: 'course', percent: 30 } as const;
    const one = markStretch(block(), { pieces: ['front'], stretch });
    expect(one.pieces.filter((p) => p.stretch).map((p) => p.name)).toEqual(['front']);
    expect(markStretch(block(), { stretch }).pieces.every((p) => p.stretch === stretch)).toBe(true);
  });
});
