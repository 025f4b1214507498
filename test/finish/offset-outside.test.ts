import { Bezier } from 'bezier-js';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { addAllowances } from '../../src/finish/allowance.js';
import {
  type Cubic,
  cubic,
  directionAt,
  flatten,
  length,
  pointAt,
  segmentLength,
} from '../../src/geometry/path.js';
import { distanceToSegment } from '../../src/geometry/polygon.js';
import { add, distance, perp, scale, type Vec } from '../../src/geometry/vec.js';
import { radiusAt } from '../../src/pattern/curvature.js';
import { edgeOf, pieceOf } from '../../src/pattern/model.js';
import { block } from '../bodies.js';

const outside = ({ a, c, d, b }: Cubic) => new Bezier(...a, ...c, ...d, ...b);

/** A gentle curve such as pattern edges are, from the origin. */
const gentle = fc
  .tuple(
    fc.tuple(fc.double({ min: 60, max: 400, noNaN: true }), fc.double({ min: -200, max: 200, noNaN: true })),
    fc.double({ min: -0.3, max: 0.3, noNaN: true }),
    fc.double({ min: -0.3, max: 0.3, noNaN: true }),
  )
  .map(([b, bend, sway]): Cubic => {
    const off = (share: number, by: number): Vec => [b[0] * share - b[1] * by, b[1] * share + b[0] * by];
    return cubic([0, 0], off(1 / 3, bend), off(2 / 3, sway), b);
  });
const share = fc.double({ min: 0.02, max: 0.98, noNaN: true });
const allowance = fc.double({ min: 2, max: 30, noNaN: true });

describe('offsets against bezier-js, an independent library', () => {
  it('a point carried out along the normal, as notches are, agrees to 1e-6', () => {
    fc.assert(
      fc.property(gentle, share, allowance, (s, t, by) => {
        const at = segmentLength(s, 0, t);
        const ours = add(pointAt([s], at), scale(perp(directionAt([s], at)), -by));
        // Its normals point left of travel, ours out of a counter-clockwise piece.
        const theirs = outside(s).offset(t, -by) as { x: number; y: number };
        expect(distance(ours, [theirs.x, theirs.y])).toBeLessThan(1e-6 * (length([s]) + by));
      }),
    );
  });

  it('the cut line of every curve of the drafted block lies on its offset curve, to the flattening', () => {
    const by = 25.4 * (3 / 8);
    for (const piece of ['front', 'back', 'sleeve']) {
      const edges = pieceOf(block(), piece).edges.filter((e) => e.path.some((s) => s.kind === 'cubic'));
      for (const { name } of edges) {
        const path = edgeOf(pieceOf(block(), piece), name).path;
        // The curve closed by far straight sides without allowance, so that its own offset alone is looked at.
        const points = flatten(path, 0.002);
        const cut = addAllowances([{ points: [...points, ...farCorners(points)], allowance: by }], 2);
        for (const s of path) {
          if (s.kind !== 'cubic') continue;
          for (const t of [0.2, 0.4, 0.6, 0.8]) {
            if (radiusAt(s, t) < 2 * by) continue;
            const p = outside(s).offset(t, -by) as { x: number; y: number };
            const off = Math.min(
              ...cut.map((q, i) => distanceToSegment([p.x, p.y], q, cut[(i + 1) % cut.length]!)),
            );
            expect(off, `${piece} ${name}`).toBeLessThan(0.01);
          }
        }
      }
    }
  });
});

/** Corners far to the left of travel that close a curve to a counter-clockwise ring, back to its start. */
function farCorners(points: readonly Vec[]): Vec[] {
  const [first, last] = [points[0]!, points[points.length - 1]!];
  const inward = scale(perp([last[0] - first[0], last[1] - first[1]]), 3);
  return [add(last, inward), add(first, inward), first];
}
