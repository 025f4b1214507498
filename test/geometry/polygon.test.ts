import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { intersection, offset, overlapArea, union } from '../../src/geometry/clip.js';
import { endDirection, nodes, startDirection } from '../../src/geometry/path.js';
import {
  area,
  bounds,
  contains,
  counterClockwise,
  distanceToSegment,
  hull,
  perimeter,
  selfCrossing,
  signedArea,
} from '../../src/geometry/polygon.js';
import { splineThrough } from '../../src/geometry/spline.js';
import { rotate, type Vec } from '../../src/geometry/vec.js';

const square: Vec[] = [
  [0, 0],
  [10, 0],
  [10, 10],
  [0, 10],
];
const star = fc
  .array(fc.double({ min: 5, max: 50, noNaN: true }), { minLength: 5, maxLength: 24 })
  .map((radii) => radii.map((r, i): Vec => rotate([r, 0], (2 * Math.PI * i) / radii.length)));

describe('polygons', () => {
  it('have positive area counter-clockwise, and turning round flips the sign', () => {
    expect(signedArea(square)).toBe(100);
    expect(signedArea([...square].reverse())).toBe(-100);
    expect(counterClockwise([...square].reverse())).toEqual(square);
    expect(perimeter(square)).toBe(40);
  });

  it('keep their digits far from the origin', () => {
    const far = square.map(([x, y]): Vec => [x + 1e8, y - 1e8]);
    expect(signedArea(far)).toBe(100);
  });

  it('contain their kernel and not what lies beyond their box', () => {
    fc.assert(
      fc.property(star, (polygon) => {
        expect(contains(polygon, [0, 0])).toBe(true);
        expect(contains(polygon, [bounds(polygon).maxX + 1, 0])).toBe(false);
      }),
    );
  });

  it('of a star are simple; a swapped pair of vertices crosses', () => {
    fc.assert(
      fc.property(star, (polygon) => {
        expect(selfCrossing(polygon)).toBeUndefined();
      }),
    );
    expect(
      selfCrossing([
        [0, 0],
        [10, 10],
        [10, 0],
        [0, 10],
      ]),
    ).toEqual([0, 2]);
  });

  it('have a hull that contains them and is convex', () => {
    fc.assert(
      fc.property(star, (polygon) => {
        const ring = hull(polygon);
        expect(signedArea(ring)).toBeGreaterThanOrEqual(area(polygon) - 1e-9);
        for (const p of polygon) {
          const inside = contains(ring, p);
          const off = Math.min(...ring.map((a, i) => distanceToSegment(p, a, ring[(i + 1) % ring.length]!)));
          expect(inside || off < 1e-9).toBe(true);
        }
      }),
    );
  });
});

describe('clip', () => {
  it('offsets a square by mitres and by arcs', () => {
    expect(area(offset([square], 1, { join: 'miter' })[0]!)).toBeCloseTo(144, 6);
    // Arcs are chords within 0.05 mm, so the area falls short of the exact one by at most perimeter x 0.05.
    const rounded = area(offset([square], 1)[0]!);
    expect(rounded).toBeLessThan(140 + Math.PI);
    expect(rounded).toBeGreaterThan(140 + Math.PI - 2 * Math.PI * 0.06);
    expect(offset([square], -6)).toEqual([]);
  });

  it('obeys inclusion and exclusion: |A| + |B| = |A or B| + |A and B|', () => {
    fc.assert(
      fc.property(star, star, fc.double({ min: -40, max: 40, noNaN: true }), (a, b, shift) => {
        const moved = b.map(([x, y]): Vec => [x + shift, y]);
        const both = union([a, moved]).reduce((sum, p) => sum + signedArea(p), 0);
        const common = overlapArea([a], [moved]);
        expect(area(a) + area(b)).toBeCloseTo(both + common, 0);
        expect(intersection([a], [moved]).length === 0).toBe(common === 0);
      }),
    );
  });

  it('refuses what clipper-lib would silently turn into a wrong shape', () => {
    expect(() =>
      offset(
        [
          [
            [0, 0],
            [Number.NaN, 1],
            [1, 1],
          ],
        ],
        1,
      ),
    ).toThrow(/outside the 47000 mm/);
  });
});

describe('splineThrough', () => {
  it('passes its points smoothly and meets clamped ends', () => {
    const points: Vec[] = [
      [0, 0],
      [40, 10],
      [60, 60],
      [100, 70],
    ];
    const path = splineThrough(points, { start: [0, 1], end: [1, 0] });
    nodes(path).forEach((p, i) => {
      expect(p[0]).toBeCloseTo(points[i]![0], 9);
      expect(p[1]).toBeCloseTo(points[i]![1], 9);
    });
    expect(startDirection(path)).toEqual([0, 1]);
    expect(endDirection(path)[0]).toBeCloseTo(1, 9);
    for (let i = 0; i + 1 < path.length; i++) {
      const before = endDirection([path[i]!]);
      const after = startDirection([path[i + 1]!]);
      expect(before[0] * after[1] - before[1] * after[0]).toBeCloseTo(0, 9);
    }
  });

  it('through points of a line is that line', () => {
    const path = splineThrough([
      [0, 0],
      [1, 1],
      [3, 3],
    ]);
    for (const s of path) for (const p of [s.a, s.b]) expect(p[0]).toBeCloseTo(p[1], 12);
  });
});
