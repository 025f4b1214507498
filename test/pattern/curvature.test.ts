import { Bezier } from 'bezier-js';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type Cubic, cubic, line } from '../../src/geometry/path.js';
import { distance, type Vec } from '../../src/geometry/vec.js';
import { radiusAt, tightest } from '../../src/pattern/curvature.js';
import { edgeOf, pieceOf } from '../../src/pattern/model.js';
import { block } from '../bodies.js';

/** A quarter circle of radius 1 is within 2.8e-4 of this cubic (widely published constant). */
const QUARTER = 0.5522847498;

/** The library has it, its type declarations do not. */
const curvatureOf = (bezier: Bezier, t: number): { r: number } =>
  (bezier as unknown as { curvature: (t: number) => { r: number } }).curvature(t);

describe('tightest', () => {
  it('is the radius of a circle, all along it', () => {
    const quarter = cubic([50, 0], [50, 50 * QUARTER], [50 * QUARTER, 50], [0, 50]);
    expect(tightest([quarter]).radius / 50).toBeCloseTo(1, 1);
    expect(tightest([quarter]).radius).toBeGreaterThan(48.5);
  });

  it('is infinite on a line and 0 at a corner between two segments', () => {
    expect(tightest([line([0, 0], [10, 0])]).radius).toBe(Number.POSITIVE_INFINITY);
    const corner = tightest([line([0, 0], [10, 0]), line([10, 0], [10, 10])]);
    expect(corner).toEqual({ radius: 0, point: [10, 0], at: 10 });
  });

  it('agrees with bezier-js, an independent library, to 1e-6', () => {
    const mm = fc.double({ min: -200, max: 200, noNaN: true });
    const point = fc.tuple(mm, mm);
    const apart = (p: Vec, q: Vec) => distance(p, q) > 1;
    const share = fc.double({ min: 0.05, max: 0.95, noNaN: true });
    fc.assert(
      fc.property(point, point, point, point, share, (a, c, d, b, t) => {
        fc.pre(apart(a, c) && apart(c, d) && apart(d, b));
        const ours = radiusAt(cubic(a, c, d, b), t);
        const theirs = curvatureOf(new Bezier(...a, ...c, ...d, ...b), t);
        // Nearly straight or nearly stopped, both lose digits.
        fc.pre(Math.abs(theirs.r) > 1e-3 && Math.abs(theirs.r) < 1e6);
        expect(Math.abs(ours / Math.abs(theirs.r) - 1)).toBeLessThan(1e-6);
      }),
    );
  });

  it('finds no curve of the drafted block tighter than 8 mm', () => {
    for (const name of ['front', 'back']) {
      for (const edge of ['neckline', 'armhole']) {
        expect(tightest(edgeOf(pieceOf(block(), name), edge).path).radius).toBeGreaterThan(8);
      }
    }
  });

  it('lies on the curve where it says', () => {
    const s: Cubic = cubic([0, 0], [0, 80], [10, 100], [100, 100]);
    const found = tightest([s]);
    expect(found.at).toBeGreaterThan(0);
    expect(found.point[0]).toBeLessThan(50);
  });
});
