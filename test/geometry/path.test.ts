import { Bezier } from 'bezier-js';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  type Cubic,
  crossings,
  cubic,
  directionAt,
  end,
  flatten,
  length,
  line,
  nodes,
  type Path,
  pointAt,
  polyline,
  reverse,
  segmentPoint,
  splitAt,
  start,
  sweptArea,
} from '../../src/geometry/path.js';
import { distanceToSegment, signedArea } from '../../src/geometry/polygon.js';
import { distance, type Vec } from '../../src/geometry/vec.js';

const coordinate = fc.double({ min: -1000, max: 1000, noNaN: true });
const point = fc.tuple(coordinate, coordinate);
const anyCubic = fc
  .tuple(point, point, point, point)
  .filter(([a, c, d, b]) => distance(a, c) > 1 && distance(c, d) > 1 && distance(d, b) > 1)
  .map(([a, c, d, b]) => cubic(a, c, d, b));

/** A quarter circle of radius 1 is within 2.8e-4 of this cubic (widely published constant). */
const QUARTER = 0.5522847498;

describe('length', () => {
  it('agrees with bezier-js, an independent library, where its fixed quadrature has converged', () => {
    // Gentle curves as pattern edges have them; bezier-js integrates with one 24-point rule.
    const gentle = fc
      .tuple(
        point,
        fc.double({ min: 0.1, max: 0.5, noNaN: true }),
        fc.double({ min: 0.1, max: 0.5, noNaN: true }),
      )
      .filter(([b]) => Math.hypot(...b) > 10);
    fc.assert(
      fc.property(gentle, ([b, bend, sway]) => {
        const c: Vec = [b[0] / 3 - b[1] * bend, b[1] / 3 + b[0] * bend];
        const d: Vec = [(2 * b[0]) / 3 + b[1] * sway, (2 * b[1]) / 3 - b[0] * sway];
        const outside = new Bezier(0, 0, ...c, ...d, ...b).length();
        expect(Math.abs(length([cubic([0, 0], c, d, b)]) - outside)).toBeLessThan(1e-6 * outside);
      }),
    );
  });

  it('lies between chord and polygon and equals fine flattening for any cubic, cusps included', () => {
    fc.assert(
      fc.property(anyCubic, (s) => {
        const total = length([s]);
        let chords = 0;
        let before = s.a;
        for (let i = 1; i <= 4_000; i++) {
          const next = segmentPoint(s, i / 4_000);
          chords += distance(before, next);
          before = next;
        }
        expect(Math.abs(total - chords)).toBeLessThan(1e-5 * total);
        expect(total).toBeGreaterThanOrEqual(distance(s.a, s.b) - 1e-9);
        expect(total).toBeLessThanOrEqual(
          distance(s.a, s.c) + distance(s.c, s.d) + distance(s.d, s.b) + 1e-9,
        );
      }),
      { numRuns: 40 },
    );
  });

  it('steps over no turning point: cubics that double back on one line', () => {
    // Found by chance: whole and halves agreed by coincidence, a ten-thousandth off.
    const back = cubic([572.4173164053283, 0], [1.0000000000000002, 0], [0, 0], [596.6058222855828, 0]);
    let chords = 0;
    for (let i = 1; i <= 100_000; i++) {
      chords += distance(segmentPoint(back, (i - 1) / 100_000), segmentPoint(back, i / 100_000));
    }
    expect(length([back])).toBeCloseTo(chords, 4);
  });

  it('measures a circle of cubics as 2 pi r to the error of the approximation', () => {
    const quarter = cubic([100, 0], [100, 100 * QUARTER], [100 * QUARTER, 100], [0, 100]);
    expect(length([quarter]) / (50 * Math.PI)).toBeCloseTo(1, 3);
  });
});

describe('pointAt and splitAt', () => {
  it('cut a chain where the lengths say, and lose none of it', () => {
    fc.assert(
      fc.property(anyCubic, point, fc.double({ min: 0.02, max: 0.98, noNaN: true }), (s, p, share) => {
        const path: Path = [s, line(s.b, [p[0] + 2000, p[1]])];
        const total = length(path);
        const [head, tail] = splitAt(path, share * total);
        // A millionth is what lengths promise; a cusp, where the speed is zero, comes close to it.
        expect(Math.abs(length(head) - share * total)).toBeLessThan(1e-6 * total);
        expect(Math.abs(length(head) + length(tail) - total)).toBeLessThan(1e-6 * total);
        expect(distance(end(head), pointAt(path, share * total))).toBeLessThan(1e-6);
        expect(start(tail)).toEqual(end(head));
      }),
    );
  });

  it('splits a cubic like bezier-js does', () => {
    const s = cubic([0, 0], [10, 40], [70, 60], [100, 0]);
    const half = new Bezier(0, 0, 10, 40, 70, 60, 100, 0).split(0.3).left.points;
    const outsideMiddle = new Bezier(0, 0, 10, 40, 70, 60, 100, 0).split(0.3).left.length();
    const at03 = splitAt([s], outsideMiddle)[0][0] as Cubic;
    expect(at03.c[0]).toBeCloseTo(half[1]!.x, 4);
    expect(at03.c[1]).toBeCloseTo(half[1]!.y, 4);
  });

  it('splits any gentle cubic as bezier-js does, to 1e-6 of its length', () => {
    const handle = fc.double({ min: -0.4, max: 0.4, noNaN: true });
    const share = fc.double({ min: 0.05, max: 0.95, noNaN: true });
    fc.assert(
      fc.property(fc.double({ min: 20, max: 500, noNaN: true }), handle, handle, share, (x, up, down, t) => {
        const s = cubic([0, 0], [x / 3, x * up], [(2 * x) / 3, x * down], [x, 0]);
        const { left, right } = new Bezier(0, 0, ...s.c, ...s.d, x, 0).split(t);
        const [ours, rest] = splitAt([s], left.length());
        const parts = [
          [ours[0] as Cubic, left],
          [rest[0] as Cubic, right],
        ] as const;
        for (const [own, { points }] of parts) {
          for (const [i, p] of [own.a, own.c, own.d, own.b].entries()) {
            expect(Math.hypot(p[0] - points[i]!.x, p[1] - points[i]!.y)).toBeLessThan(1e-6 * length([s]));
          }
        }
      }),
    );
  });

  it('makes no empty segment when a cut falls on a node', () => {
    const path = polyline([
      [0, 0],
      [10, 0],
      [10, 10],
    ]);
    const [head, tail] = splitAt(path, 10);
    expect(head).toEqual([path[0]]);
    expect(tail).toEqual([path[1]]);
  });
});

describe('flatten', () => {
  it('stays within its tolerance of the curve', () => {
    fc.assert(
      fc.property(anyCubic, fc.constantFrom(0.1, 0.5, 2), (s, tolerance) => {
        const points = flatten([s], tolerance);
        for (let i = 0; i <= 200; i++) {
          const p = segmentPoint(s, i / 200);
          const off = Math.min(...points.slice(1).map((q, k) => distanceToSegment(p, points[k]!, q)));
          expect(off).toBeLessThanOrEqual(tolerance + 1e-9);
        }
      }),
      { numRuns: 30 },
    );
  });
});

describe('reverse, crossings, directions and area', () => {
  it('reversing twice is the identity and keeps length', () => {
    fc.assert(
      fc.property(anyCubic, (s) => {
        expect(reverse(reverse([s]))).toEqual([s]);
        expect(length(reverse([s]))).toBeCloseTo(length([s]), 6);
      }),
    );
  });

  it('finds every crossing of an S curve with a line, in order of travel', () => {
    const s: Path = [cubic([0, 0], [40, 90], [60, -90], [100, 0])];
    const found = crossings(s, [0, 0], [1, 0]);
    expect(found.map((c) => c.point[0].toFixed(6))).toEqual(['0.000000', '50.000000', '100.000000']);
    expect(found.map((c) => c.at)).toEqual([...found.map((c) => c.at)].sort((a, b) => a - b));
  });

  it('sums to the area of the loop it closes', () => {
    const loop: Path = [
      line([0, 0], [80, 0]),
      cubic([80, 0], [110, 30], [70, 60], [80, 100]),
      line([80, 100], [0, 100]),
      line([0, 100], [0, 0]),
    ];
    const fine = flatten(loop, 0.0001).slice(0, -1);
    expect(sweptArea(loop)).toBeCloseTo(signedArea(fine), 1);
    expect(sweptArea(loop)).toBeGreaterThan(0);
  });

  it('gives a direction where handles lie on their ends', () => {
    const flat = cubic([0, 0], [0, 0], [10, 0], [10, 0]);
    expect(directionAt([flat], 0)).toEqual([1, 0]);
    expect(nodes([flat])).toHaveLength(2);
  });
});
