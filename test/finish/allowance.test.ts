import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { addAllowances, cutCorners, type Side } from '../../src/finish/allowance.js';
import { offset } from '../../src/geometry/clip.js';
import { area, type Polygon, perimeter, selfCrossing, signedArea } from '../../src/geometry/polygon.js';
import { distance, lerp, type Vec } from '../../src/geometry/vec.js';
import { outside, toBoundary } from './helpers.js';

const sidesOf = (polygon: Polygon, allowances: readonly number[]): Side[] =>
  polygon.map((a, i) => ({
    points: [a, polygon[(i + 1) % polygon.length]!],
    allowance: allowances[i % allowances.length]!,
  }));

const square: Polygon = [
  [0, 0],
  [100, 0],
  [100, 80],
  [0, 80],
];

/** Simple polygons round the origin with inner corners, counter-clockwise. */
const stars = fc
  .array(fc.double({ min: 60, max: 300, noNaN: true }), { minLength: 5, maxLength: 12 })
  .map((radii) =>
    radii.map((r, i): Vec => {
      const turn = (2 * Math.PI * i) / radii.length;
      return [r * Math.cos(turn), r * Math.sin(turn)];
    }),
  );

const allowances = fc.array(fc.double({ min: 0, max: 25, noNaN: true }), { minLength: 12, maxLength: 12 });

describe('allowances', () => {
  it('move every edge out by its own', () => {
    expect(addAllowances(sidesOf(square, [25, 10, 6, 10]), 2)).toEqual([
      [-10, -25],
      [110, -25],
      [110, 86],
      [-10, 86],
    ]);
  });

  it('of nothing leave the outline', () => {
    expect(addAllowances(sidesOf(square, [0]), 2)).toEqual(square);
  });

  it('belong to the vertices of the outline, one after another, unless they run into each other', () => {
    fc.assert(
      fc.property(stars, allowances, (polygon, widths) => {
        const sides = sidesOf(polygon, widths);
        const corners = cutCorners(sides, 2);
        if (!corners) return;
        const cut = addAllowances(sides, 2);
        const known = corners.flatMap((corner) => corner.cut);
        // Vertices that fall together are written once.
        expect(cut.every((p) => known.some((q) => distance(p, q) === 0))).toBe(true);
        expect(known.every((p) => cut.some((q) => distance(p, q) < 1e-6))).toBe(true);
        expect(corners.map((corner) => corner.at)).toEqual(polygon);
      }),
    );
    const slotted: Polygon = [
      [0, 0],
      [100, 0],
      [100, 100],
      [52, 100],
      [52, 20],
      [48, 20],
      [48, 100],
      [0, 100],
    ];
    expect(cutCorners(sidesOf(slotted, [10]), 2)).toBeUndefined();
    expect(cutCorners(sidesOf(square, [10]), 2)).toHaveLength(4);
  });

  it('of one width agree with an independent offset, mitred alike', () => {
    fc.assert(
      fc.property(stars, fc.double({ min: 1, max: 20, noNaN: true }), (polygon, allowance) => {
        // A limit that no corner reaches, so that both only mitre.
        const cut = addAllowances(sidesOf(polygon, [allowance]), 1000);
        const independent = offset([polygon], allowance, { join: 'miter', miterLimit: 1000 });
        const outer = independent.sort((a, b) => area(b) - area(a))[0]!;
        // clipper-lib rounds to the micrometre, most felt at the tips of long mitres.
        const tolerance = 0.01 * perimeter(outer);
        expect(outside(cut, outer)).toBeLessThan(tolerance);
        expect(outside(outer, cut)).toBeLessThan(tolerance);
      }),
      { numRuns: 200 },
    );
  });

  it('make a simple counter-clockwise line that holds every edge with its whole allowance', () => {
    fc.assert(
      fc.property(stars, allowances, (polygon, widths) => {
        const sides = sidesOf(polygon, widths);
        const cut = addAllowances(sides, 2);
        expect(signedArea(cut)).toBeGreaterThan(0);
        expect(selfCrossing(cut)).toBeUndefined();
        expect(outside(polygon, cut)).toBeLessThan(0.01 * perimeter(polygon));
        for (const { points, allowance } of sides) {
          const [a, b] = [points[0]!, points[1]!];
          const out: Vec = [
            ((b[1] - a[1]) / distance(a, b)) * allowance,
            (-(b[0] - a[0]) / distance(a, b)) * allowance,
          ];
          const strip: Polygon = [a, [a[0] + out[0], a[1] + out[1]], [b[0] + out[0], b[1] + out[1]], b];
          expect(outside(strip, cut)).toBeLessThan(0.01 * perimeter(strip));
        }
      }),
      { numRuns: 200 },
    );
  });

  it('reach at most the limit beyond a corner', () => {
    fc.assert(
      fc.property(stars, allowances, (polygon, widths) => {
        const cut = addAllowances(sidesOf(polygon, widths), 2);
        const widest = Math.max(...widths.slice(0, polygon.length));
        // Cut off at 2 allowances along the corner's direction, at most 1 beside it.
        const reach = Math.hypot(2, 1) * widest + 0.01;
        for (const vertex of cut) expect(toBoundary(vertex, polygon)).toBeLessThanOrEqual(reach);
      }),
      { numRuns: 200 },
    );
  });

  it('cut a sharp corner off square to its bisector, at the limit', () => {
    const needle: Polygon = [
      [0, 0],
      [400, -20],
      [400, 20],
    ];
    const cut = addAllowances(sidesOf(needle, [10]), 2);
    const tip = cut.filter(([x]) => x < 0);
    expect(tip).toHaveLength(2);
    for (const [x] of tip) expect(x).toBeCloseTo(-20, 9);
    // Unlimited, the mitre would run 10 / sin(half the angle) out.
    const half = Math.atan2(20, 400);
    const [spike] = addAllowances(sidesOf(needle, [10]), 1000);
    expect(spike![0]).toBeCloseTo(-10 / Math.sin(half), 6);
  });

  it('end a wide allowance square where it runs on into a narrow one', () => {
    const straight: Polygon = [[0, 0], [50, 0], ...square.slice(1)];
    const cut = addAllowances(sidesOf(straight, [25, 10, 10, 10, 10]), 2);
    expect(cut).toContainEqual([50, -25]);
    expect(cut).toContainEqual([50, -10]);
    expect(area(cut)).toBeCloseTo(120 * 100 + 60 * 15, 6);
  });

  it('fill an inner curve tighter than themselves', () => {
    // A slot 10 mm wide with a round bottom; an allowance of 8 mm on both sides closes it.
    const slot = Array.from({ length: 21 }, (_, i): Vec => {
      const turn = (Math.PI * i) / 20;
      return [50 + 5 * Math.cos(turn), 40 - 5 * Math.sin(turn)];
    });
    const slotted: Polygon = [[0, 0], [100, 0], [100, 80], [55, 80], ...slot, [45, 80], [0, 80]];
    const cut = addAllowances(sidesOf(slotted, [8]), 2);
    expect(selfCrossing(cut)).toBeUndefined();
    expect(area(cut)).toBeCloseTo(116 * 96, 0);
  });

  it('follow a curve at their distance from every chord', () => {
    const bow = Array.from(
      { length: 41 },
      (_, i): Vec => [100 - 2.5 * i, 80 - 30 * Math.sin((Math.PI * i) / 40)],
    );
    const sides: Side[] = [
      {
        points: [
          [0, 80],
          [0, 0],
          [100, 0],
          [100, 80],
        ],
        allowance: 10,
      },
      { points: bow, allowance: 6 },
    ];
    const cut = addAllowances(sides, 2);
    for (let i = 3; i + 4 < bow.length; i++) {
      expect(Math.abs(toBoundary(lerp(bow[i]!, bow[i + 1]!, 0.5), cut) - 6)).toBeLessThan(0.02);
    }
  });

  it('of a turned-up hem mirror the cut lines beside it: folded up, the hem lies on the piece', () => {
    // Width of a shape at height y: the span of its crossings with a level line.
    const widthAt = (polygon: Polygon, y: number) => {
      const xs = polygon.flatMap((a, i) => {
        const b = polygon[(i + 1) % polygon.length]!;
        return a[1] > y === b[1] > y ? [] : [a[0] + ((b[0] - a[0]) * (y - a[1])) / (b[1] - a[1])];
      });
      return Math.max(...xs) - Math.min(...xs);
    };
    const slopes = fc.double({ min: -60, max: 60, noNaN: true });
    fc.assert(
      fc.property(slopes, slopes, fc.integer({ min: 10, max: 40 }), (left, right, hem) => {
        const corners: Vec[] = [
          [0, 0],
          [200, 0],
          [200 + right, 150],
          [left, 150],
        ];
        const sides = corners.map((a, i): Side => {
          const points = [a, corners[(i + 1) % 4]!];
          return i === 0 ? { points, allowance: hem, turnedUp: true } : { points, allowance: 10 };
        });
        const cut = addAllowances(sides, 2);
        expect(selfCrossing(cut)).toBeUndefined();
        for (const share of [0.1, 0.5, 0.95]) {
          expect(widthAt(cut, -share * hem)).toBeCloseTo(widthAt(cut, share * hem), 6);
        }
        expect(Math.min(...cut.map((p) => p[1]))).toBeCloseTo(-hem, 9);
      }),
    );
  });
});
