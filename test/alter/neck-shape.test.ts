import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { NECK_SHAPE_DEFAULTS, neckShape, recipeSchema, widenNeckline } from '../../src/alter/index.js';
import { necklinePath } from '../../src/draft/neckline.js';
import { CheckError } from '../../src/errors.js';
import {
  end,
  endDirection,
  length,
  line,
  pointAt,
  splitAt,
  start,
  startDirection,
} from '../../src/geometry/path.js';
import { distanceToSegment } from '../../src/geometry/polygon.js';
import { dot } from '../../src/geometry/vec.js';
import { edgeLength } from '../../src/pattern/measure.js';
import { edgeOf, type Pattern, pieceOf, pointOf, withEdge, withPiece } from '../../src/pattern/model.js';
import { walkJoins } from '../../src/pattern/walk.js';
import { block } from '../bodies.js';
import { INCH, measured, noted } from './helpers.js';

const rough = (pattern: Pattern) => walkJoins(pattern).filter((j) => !j.smooth);
const SHAPES = ['crew', 'v', 'scoop', 'boat'] as const;

describe('neck-shape', () => {
  it('draws a V 15 to 16 cm wide and 12 to 14 cm deep (weak trade source: printed tee specifications)', () => {
    const v = neckShape(block(), {
      shape: 'v',
      width: { whole: 155 },
      front: { depth: 130 },
      back: { lower: 0 },
    });
    expect(noted(v, 'width')).toBeCloseTo(155, 6);
    expect(measured(v.pattern, 'neck width')).toBeCloseTo(155, 6);
    expect(measured(v.pattern, 'front neck depth')).toBeCloseTo(130, 6);
    const { path } = edgeOf(pieceOf(v.pattern, 'front'), 'neckline');
    // The lower half is as good as a straight line to the point.
    const half = splitAt(path, length(path) / 2)[1];
    for (const share of [0.25, 0.5, 0.75]) {
      const p = pointAt(half, share * length(half));
      expect(distanceToSegment(p, start(half), end(half))).toBeLessThan(1);
    }
    expect(rough(v.pattern)).toEqual([]);
  });

  it('lets a V alone meet the fold at an angle', () => {
    const v = neckShape(block(), { shape: 'v', ...NECK_SHAPE_DEFAULTS.v }).pattern;
    expect(walkJoins(v).map((j) => j.join)).not.toContain('front neckline at the fold');
    expect(walkJoins(v).map((j) => j.join)).toContain('back neckline at the fold');
    const again = neckShape(v, { shape: 'crew', ...NECK_SHAPE_DEFAULTS.crew }).pattern;
    expect(walkJoins(again).map((j) => j.join)).toContain('front neckline at the fold');
    expect(rough(again)).toEqual([]);
    const front = pieceOf(v, 'front');
    const { pointed: _, ...plain } = edgeOf(front, 'neckline');
    expect(rough(withPiece(v, withEdge(front, plain))).map((j) => j.join)).toEqual([
      'front neckline at the fold',
    ]);
  });

  it('stays a V when it is widened or its shoulder moves afterwards', () => {
    const v = neckShape(block(), { shape: 'v', ...NECK_SHAPE_DEFAULTS.v }).pattern;
    const wider = widenNeckline(v, { by: 10, front: 'even', back: 'shoulder' });
    expect(edgeOf(pieceOf(wider, 'front'), 'neckline')).toMatchObject({
      pointed: true,
      drawn: { as: 'neckline', shape: 'v' },
    });
    expect(rough(wider)).toEqual([]);
  });

  it('draws every shape square to the shoulder, smooth, and keeps the shoulders matched', () => {
    const mm = (min: number, max: number) => fc.double({ min, max, noNaN: true });
    fc.assert(
      fc.property(
        fc.constantFrom(...SHAPES),
        mm(-10, 60),
        mm(30, 200),
        mm(8, 40),
        (shape, widen, depth, back) => {
          const result = neckShape(block(), {
            shape,
            width: { widen },
            front: { depth },
            back: { depth: back },
          }).pattern;
          expect(rough(result)).toEqual([]);
          for (const name of ['front', 'back'] as const) {
            const piece = pieceOf(result, name);
            const leaving = startDirection(edgeOf(piece, 'neckline').path);
            expect(dot(leaving, endDirection(edgeOf(piece, 'shoulder').path))).toBeCloseTo(0, 9);
            expect(edgeLength(block(), name, 'shoulder') - edgeLength(result, name, 'shoulder')).toBeCloseTo(
              widen,
              6,
            );
          }
          expect(measured(result, 'front neck depth')).toBeCloseTo(depth, 6);
          expect(edgeLength(result, 'back', 'armhole')).toBe(edgeLength(block(), 'back', 'armhole'));
        },
      ),
      { numRuns: 60 },
    );
  });

  it('makes a scoop rounder and so longer than a crew neck of the same width and depth', () => {
    const at = (shape: 'crew' | 'scoop') =>
      edgeLength(
        neckShape(block(), { shape, width: { widen: INCH }, front: { depth: 150 }, back: { lower: 0 } })
          .pattern,
        'front',
        'neckline',
      );
    expect(at('scoop')).toBeGreaterThan(at('crew') + 3);
  });

  it('makes a boat neck wide and shallow', () => {
    const boat = neckShape(block(), { shape: 'boat', ...NECK_SHAPE_DEFAULTS.boat }).pattern;
    expect(measured(boat, 'front neck depth')).toBeCloseTo(1.5 * INCH, 6);
    expect(measured(boat, 'neck width') - measured(block(), 'neck width')).toBeGreaterThan(3.5 * INCH);
    expect(rough(boat)).toEqual([]);
  });

  it('refuses a neckline without depth, a used-up shoulder and a shoulder that is not straight', () => {
    const with_ = (over: object) => () =>
      neckShape(block(), { shape: 'crew', ...NECK_SHAPE_DEFAULTS.crew, ...over });
    expect(with_({ width: { widen: 70 } })).toThrow(/back neckline would be -?\d+\.\d mm deep once/);
    expect(with_({ width: { widen: 118 } })).toThrow(/along a shoulder of 122.0 mm/);
    expect(with_({ front: { depth: 2000 } })).toThrow(/reaches the hem/);
    const front = pieceOf(block(), 'front');
    const tip = pointOf(front, 'shoulder-tip');
    const neck = pointOf(front, 'neck-point');
    const bent = withEdge(front, {
      ...edgeOf(front, 'shoulder'),
      path: [line(tip, [130, 405]), line([130, 405], neck)],
    });
    const pattern = withPiece(block(), bent);
    expect(() => widenNeckline(pattern, { by: 10, front: 'even', back: 'even' })).toThrow(CheckError);
    expect(() => widenNeckline(pattern, { by: 10, front: 'even', back: 'even' })).toThrow(
      /the shoulder is not straight/,
    );
  });

  it('takes either of two ways to say a width or a depth, not both', () => {
    const read = (options: object) => recipeSchema('in').safeParse([{ 'neck-shape': options }]);
    expect(read({ as: 'v', depth: 5, width: 6 }).success).toBe(true);
    expect(read({ as: 'v', depth: 5, lower: 1 }).error!.issues[0]!.message).toBe(
      "give 'depth' or 'lower', not both",
    );
    expect(read({ as: 'polo' }).error!.issues[0]!.message).toMatch(/not one of crew, v, scoop, boat/);
  });
});

describe('necklinePath of a V', () => {
  it('leaves squarely and has no wiggle: it turns one way only', () => {
    const slope = (20 * Math.PI) / 180;
    for (const depth of [60, 130, 220]) {
      const [s] = necklinePath([75, depth], [0, 0], [-Math.cos(slope), Math.sin(slope)], { shape: 'v' });
      const { a, c, d, b } = s as {
        a: readonly number[];
        c: readonly number[];
        d: readonly number[];
        b: readonly number[];
      };
      const turn = (p: readonly number[], q: readonly number[], r: readonly number[]) => {
        const doubled = (q[0]! - p[0]!) * (r[1]! - q[1]!) - (q[1]! - p[1]!) * (r[0]! - q[0]!);
        return Math.abs(doubled) < 1e-6 ? 0 : Math.sign(doubled);
      };
      const turns = [turn(a, c, d), turn(c, d, b)].filter((t) => t !== 0);
      expect(new Set(turns).size).toBeLessThanOrEqual(1);
    }
  });
});
