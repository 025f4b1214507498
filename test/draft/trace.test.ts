import { Bezier } from 'bezier-js';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { traceOutline } from '../../src/draft/trace.js';
import {
  cubic,
  end,
  endDirection,
  flatten,
  length,
  type Path,
  pointAt,
  turnBetween,
} from '../../src/geometry/path.js';
import { distanceToSegment } from '../../src/geometry/polygon.js';
import { distance, rotate, type Vec } from '../../src/geometry/vec.js';
import type { Piece } from '../../src/pattern/model.js';
import { block } from '../bodies.js';

/** Points every `step` mm along each edge of a piece, corners included. */
const dense = (piece: Piece, step: number): Vec[] =>
  piece.edges.flatMap(({ path }) => {
    const total = length(path);
    const count = Math.round(total / step);
    return Array.from({ length: count }, (_, k) => pointAt(path, (total * k) / count));
  });

/**
 * Distance of a point from a path by bezier-js, an independent curve library: from 300 chords of its look-up
 * table, since its own projection stops at a thousandth of the parameter; mm.
 */
function independentDistance(path: Path, [x, y]: Vec): number {
  return Math.min(
    ...path.map((s) => {
      if (s.kind === 'line') return distanceToSegment([x, y], s.a, s.b);
      const [a, c, d, b] = [s.a, s.c, s.d, s.b].map(([px, py]) => ({ x: px, y: py }));
      const table = new Bezier(a!, c!, d!, b!).getLUT(300).map((p): Vec => [p.x, p.y]);
      return Math.min(...table.slice(1).map((q, i) => distanceToSegment([x, y], table[i]!, q)));
    }),
  );
}

/** A normal scatter of standard deviation `sigma`, the same for a seed (Park and Miller's generator, 1988). */
function scatter(points: readonly Vec[], sigma: number, seed: number): Vec[] {
  let state = seed;
  const random = () => {
    state = (state * 48_271) % 2_147_483_647;
    return state / 2_147_483_647;
  };
  const normal = () => Array.from({ length: 12 }, random).reduce((sum, u) => sum + u, -6);
  return points.map(([x, y]) => [x + sigma * normal(), y + sigma * normal()]);
}

const corners = (edges: readonly Path[]): Vec[] => edges.map((path) => path[0]!.a);
const nearest = (points: readonly Vec[], p: Vec): number => Math.min(...points.map((q) => distance(p, q)));

describe.each(block().pieces)('a traced $name', (piece) => {
  // The crown is no corner: a sleeve has one edge less when nobody names it.
  const expected = piece.name === 'sleeve' ? 4 : 6;

  it('drawn exactly keeps its corners and stays within 0.1 mm of every point, by bezier-js', () => {
    const points = dense(piece, 2);
    const { edges, worst, noise } = traceOutline(points);
    expect(edges).toHaveLength(expected);
    expect(noise).toBe(0);
    for (const corner of corners(edges)) {
      expect(
        nearest(
          piece.edges.map((e) => e.path[0]!.a),
          corner,
        ),
      ).toBeLessThan(1e-9);
    }
    const off = Math.max(
      ...points
        .filter((_, i) => i % 3 === 0)
        .map((p) => Math.min(...edges.map((path) => independentDistance(path, p)))),
    );
    expect(off).toBeLessThan(0.1);
    expect(worst).toBeGreaterThanOrEqual(off - 1e-3);
    expect(worst).toBeLessThanOrEqual(0.1);
  });

  it('follows the true curve between the points too, and keeps the lengths of its edges', () => {
    const { edges } = traceOutline(dense(piece, 4));
    const between = dense(piece, 4.37);
    const off = Math.max(
      ...between.map((p) => Math.min(...edges.map((path) => independentDistance(path, p)))),
    );
    expect(off).toBeLessThan(0.15);
    const total = edges.reduce((sum, path) => sum + length(path), 0);
    const truth = piece.edges.reduce((sum, { path }) => sum + length(path), 0);
    expect(Math.abs(total - truth)).toBeLessThan(0.2);
  });

  it('finds the straight edges as single lines', () => {
    const { edges } = traceOutline(dense(piece, 2));
    const straight = piece.edges.filter((e) => e.path.every((s) => s.kind === 'line'));
    const found = edges.filter((path) => path.length === 1 && path[0]!.kind === 'line');
    for (const { path } of straight) {
      expect(
        found.some((f) => distance(f[0]!.a, path[0]!.a) < 1e-9 && distance(end(f), end(path)) < 1e-9),
      ).toBe(true);
    }
  });

  it.each([0.05, 0.1, 0.2])(
    'drawn with %f mm of wobble has the same corners and tells the wobble',
    (sigma) => {
      const points = scatter(dense(piece, 1.5), sigma, 20_260_311);
      const { edges, noise, tolerance, worst } = traceOutline(points);
      expect(edges).toHaveLength(expected);
      expect(noise).toBeGreaterThan(0.8 * sigma);
      expect(noise).toBeLessThan(1.2 * sigma);
      expect(tolerance).toBeCloseTo(Math.max(0.1, 4.5 * noise), 9);
      expect(worst).toBeLessThanOrEqual(tolerance);
      // A curve through the points one by one would follow the hand's every slip.
      expect(Math.max(...edges.map((path) => path.length))).toBeLessThanOrEqual(10);
      for (const corner of corners(edges)) {
        expect(
          nearest(
            piece.edges.map((e) => e.path[0]!.a),
            corner,
          ),
        ).toBeLessThan(1 + 5 * sigma);
      }
      // The edges run through the scatter, not with it. Only corners stay where the hand put them, and tilt the
      // straight edges between them.
      const truth = dense(piece, 7);
      const offs = truth.map((p) => Math.min(...edges.map((path) => independentDistance(path, p))));
      const rms = Math.sqrt(offs.reduce((sum, d) => sum + d * d, 0) / offs.length);
      expect(rms).toBeLessThan(1.15 * sigma);
    },
  );

  it('run the other way round comes out counter-clockwise all the same', () => {
    const points = dense(piece, 3);
    const there = traceOutline(points);
    const back = traceOutline([...points].reverse());
    const keys = (edges: readonly Path[]) =>
      corners(edges)
        .map((p) => p.map((k) => k.toFixed(3)).join())
        .sort();
    expect(keys(back.edges)).toEqual(keys(there.edges));
    for (let i = 0; i < back.edges.length; i++) {
      expect(distance(end(back.edges[i]!), back.edges[(i + 1) % back.edges.length]![0]!.a)).toBe(0);
    }
  });
});

describe('traceOutline', () => {
  const back = block().pieces.find((p) => p.name === 'back')!;

  it('splits where corners are named, whatever it would find itself', () => {
    const named = ['hem', 'armhole', 'neckline'].map(
      (name) => back.edges.find((e) => e.name === name)!.path[0]!.a,
    );
    const { edges } = traceOutline(dense(back, 2), { corners: named.map(([x, y]) => [x + 1, y - 1]) });
    expect(edges).toHaveLength(3);
    for (const corner of corners(edges)) expect(nearest(named, corner)).toBeLessThan(1e-9);
  });

  it('refuses a named corner that is far off the outline, with the distance', () => {
    expect(() =>
      traceOutline(dense(back, 2), {
        corners: [
          [0, 0],
          [1000, 1000],
        ],
      }),
    ).toThrow(
      /no point of the outline is near the corner named at \(1000\.0, 1000\.0\) mm: the nearest is \d+\.\d mm off/,
    );
  });

  it('parts an edge smoothly at a joint: both parts have one direction there', () => {
    const sleeve = block().pieces.find((p) => p.name === 'sleeve')!;
    const crown = end(sleeve.edges.find((e) => e.name === 'front-cap')!.path);
    const { edges } = traceOutline(dense(sleeve, 2), { joints: [crown] });
    expect(edges).toHaveLength(5);
    const at = edges.findIndex((path) => distance(end(path), crown) < 1.5);
    const turn = turnBetween(edges[at]!, edges[(at + 1) % 5]!);
    expect(Math.abs(turn)).toBeLessThan(1e-9);
  });

  it('reaches a corner in the direction that is asked for', () => {
    const square = (corner: Vec, found: Vec): Vec | undefined =>
      Math.abs(corner[0]) < 1 && Math.abs(found[1]) < 0.1 ? [Math.sign(found[0]), 0] : undefined;
    const { edges } = traceOutline(scatter(dense(back, 2), 0.1, 7), { square });
    const neckline = edges.find(
      (path) => Math.abs(end(path)[0]) < 1 && path.length + 1 > 1 && path[0]!.a[0] > 50,
    )!;
    expect(endDirection(neckline)[1]).toBeCloseTo(0, 12);
  });

  it('keeps curves that are curves already, and long straight sides that meet at a small angle', () => {
    const drawn = back.edges.flatMap((e) => [...e.path]);
    const { edges, worst } = traceOutline(drawn);
    expect(edges.flat()).toEqual(drawn);
    expect(worst).toBe(0);
    const kinked: Vec[] = [
      [0, 0],
      [200, 0],
      [210, 150],
      [200, 300],
      [0, 300],
    ];
    const side = traceOutline(kinked).edges.find((path) => path.length === 2)!;
    expect(side.map((s) => s.kind)).toEqual(['line', 'line']);
    expect(side[0]!.b).toEqual([210, 150]);
  });

  it('cuts a loop without corners in two smooth halves', () => {
    const circle = Array.from({ length: 120 }, (_, k) => rotate([80, 0], (k * Math.PI) / 60));
    const { edges, worst } = traceOutline(circle);
    expect(edges).toHaveLength(2);
    expect(worst).toBeLessThan(0.1);
    const total = edges.reduce((sum, path) => sum + length(path), 0);
    expect(total / (2 * Math.PI * 80)).toBeCloseTo(1, 3);
  });

  it('takes a gentle arc for a curve and its straight run-in for a line', () => {
    // A straight side of 200 mm that runs on as an arc of radius 250 mm through 40 degrees.
    const arc = Array.from({ length: 60 }, (_, k): Vec => {
      const t = (k * 40 * Math.PI) / 180 / 59;
      return [200 + 250 * Math.sin(t), 250 - 250 * Math.cos(t)];
    });
    const run = Array.from({ length: 67 }, (_, k): Vec => [3 * k, 0]);
    const last = arc[arc.length - 1]!;
    const { edges } = traceOutline([...run, ...arc, [last[0], 300], [0, 300]]);
    const lower = edges.find((path) => distance(path[0]!.a, [0, 0]) < 1e-9)!;
    expect(lower[0]!.kind).toBe('line');
    expect(length([lower[0]!])).toBeGreaterThan(180);
    expect(length([lower[0]!])).toBeLessThan(215);
    expect(lower.slice(1).every((s) => s.kind === 'cubic')).toBe(true);
    for (let i = 0; i + 1 < lower.length; i++) {
      expect(Math.abs(turnBetween([lower[i]!], [lower[i + 1]!]))).toBeLessThan(1e-6);
    }
  });

  it.each([
    ['fewer than two sides', [[0, 0]] as Vec[], /fewer than two sides/],
    [
      'no area',
      [
        [0, 0],
        [100, 0],
        [50, 0],
      ] as Vec[],
      /encloses no area/,
    ],
  ])('refuses an outline of %s', (_, points, message) => {
    expect(() => traceOutline(points)).toThrow(message);
  });

  it('traces random smooth outlines between random corners within its tolerance (property)', () => {
    const side = fc.record({
      out: fc.double({ min: -60, max: 60, noNaN: true }),
      in: fc.double({ min: -60, max: 60, noNaN: true }),
    });
    fc.assert(
      fc.property(
        fc.array(side, { minLength: 4, maxLength: 4 }),
        fc.integer({ min: 1, max: 6 }),
        (sides, step) => {
          const square: Vec[] = [
            [0, 0],
            [300, 0],
            [300, 400],
            [0, 400],
          ];
          const drawn = sides.map((s, i): Path => {
            const [a, b] = [square[i]!, square[(i + 1) % 4]!];
            const along: Vec = [(b[0] - a[0]) / 3, (b[1] - a[1]) / 3];
            const across: Vec = [along[1] / 133, -along[0] / 133];
            return [
              cubic(
                a,
                [a[0] + along[0] + across[0] * s.out, a[1] + along[1] + across[1] * s.out],
                [b[0] - along[0] + across[0] * s.in, b[1] - along[1] + across[1] * s.in],
                b,
              ),
            ];
          });
          const points = drawn.flatMap((path) => {
            const count = Math.round(length(path) / step);
            return Array.from({ length: count }, (_, k) => pointAt(path, (length(path) * k) / count));
          });
          const { edges } = traceOutline(points);
          expect(edges).toHaveLength(4);
          for (const p of points.filter((_, i) => i % 7 === 0)) {
            expect(Math.min(...edges.map((path) => independentDistance(path, p)))).toBeLessThanOrEqual(
              0.1001,
            );
          }
          for (const path of edges) expect(flatten(path, 0.5).length).toBeGreaterThan(1);
        },
      ),
      { numRuns: 25, seed: 4 },
    );
  });
});
