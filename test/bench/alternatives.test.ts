import * as fc from 'fast-check';
import * as polyclip from 'polyclip-ts';
import { describe, expect, it } from 'vitest';
import { distanceToSegment } from '../../src/geometry/polygon.js';
import type { Vec } from '../../src/geometry/vec.js';
import { verify } from '../../src/nest/index.js';
import { Layout } from '../../src/nest/layout.js';
import { toPlacements } from '../../src/nest/placements.js';
import { Random } from '../../src/nest/random.js';
import { compareRounds } from './alternatives/engine-search.js';
import { GridCollider } from './alternatives/grid.js';
import { polesOf } from './alternatives/poles.js';
import { mapRates, queryRates } from './alternatives/queries.js';
import { type Contestant, lengthAfter, race, secondsTo, type Track } from './alternatives/race.js';
import { entriesFor, makeReady, measuresFor } from './alternatives/setup.js';
import { severity } from './alternatives/severity.js';
import type { Shape } from './alternatives/shapes.js';
import { TreeCollider } from './alternatives/tree.js';
import { syntheticInstance } from './synthetic.js';

const instance = syntheticInstance(8, 14);
const ready = makeReady(instance);
const { problem, shapes } = ready;
const { width, pieces, variants } = problem;

const corners = (k: number, dx = 0, dy = 0): Vec[] =>
  Array.from({ length: shapes[k]!.edges }, (_, e) => [
    shapes[k]!.points[2 * e]! + dx,
    shapes[k]!.points[2 * e + 1]! + dy,
  ]);

describe('poles', () => {
  it('lie inside their polygon, clear of one another, the largest first', () => {
    for (let k = 0; k < shapes.length; k++) {
      const polygon = corners(k);
      const poles = polesOf(polygon);
      expect(poles.length).toBeGreaterThan(4);
      poles.forEach(({ x, y, r }, n) => {
        polygon.forEach((p, e) => {
          const away = distanceToSegment([x, y], p, polygon[(e + 1) % polygon.length]!);
          expect(away).toBeGreaterThanOrEqual(r * (1 - 1e-9));
        });
        for (const other of poles.slice(0, n)) {
          expect(Math.hypot(x - other.x, y - other.y)).toBeGreaterThanOrEqual((r + other.r) * (1 - 1e-9));
        }
        expect(r).toBeLessThanOrEqual(poles[0]!.r);
      });
    }
  });

  it('of a square begin with its inscribed circle', () => {
    const [first] = polesOf([
      [0, 0],
      [6, 0],
      [6, 6],
      [0, 6],
    ]);
    expect(first!.r).toBeCloseTo(3, 1);
  });
});

describe('severity', () => {
  it('is that of the formula for two single circles, with no jump where the tail begins', () => {
    const shape = { ...shapes[0]!, poles: Float64Array.of(0, 0, 1), diameter: 10, size: 4 };
    // eps 0.1; depth 0.5, twice the smaller radius 2: sqrt(0.5 x 2) x 4.
    expect(severity(shape, shape, 1.5, 0)).toBeCloseTo(4, 12);
    // Touching circles count as half of eps: sqrt(0.05 x 2) x 4.
    expect(severity(shape, shape, 0, 2)).toBeCloseTo(4 * Math.sqrt(0.1), 12);
    expect(severity(shape, shape, 1.9 + 1e-9, 0)).toBeCloseTo(severity(shape, shape, 1.9 - 1e-9, 0), 6);
    expect(severity(shape, shape, 50, 0)).toBeLessThan(severity(shape, shape, 5, 0));
  });

  it('is above 0 exactly where an independent library finds common area, by grid, by hierarchy, by tables', () => {
    const measures = Object.values(measuresFor(ready));
    const ones = new Float64Array(pieces * pieces).fill(1);
    const seen = { apart: 0, over: 0 };
    const kind = fc.nat(variants.length - 1);
    const offset = fc.double({ min: -1.2, max: 1.2, noNaN: true });
    fc.assert(
      fc.property(kind, kind, offset, offset, (a, b, u, v) => {
        const at = [2 * width, width / 2] as const;
        const x = at[0] + u * (shapes[a]!.maxX - shapes[b]!.minX);
        const y = at[1] + v * (shapes[a]!.maxY - shapes[b]!.minY);
        const common = polyclip.intersection(
          [[corners(a, ...at)]] as [number, number][][][],
          [[corners(b, x, y)]] as [number, number][][][],
        );
        const over = common.length > 0;
        seen[over ? 'over' : 'apart']++;
        for (const measure of measures) {
          // All others far away: only the pair is measured.
          for (let i = 1; i < pieces; i++) measure.set(i, variants.length - 1, -1e6, -1e6);
          measure.set(0, a, ...at);
          const cost = measure.cost(1, b, x, y, ones, 0, Infinity);
          expect(cost > 0).toBe(over);
        }
      }),
      { numRuns: 400, seed: 5 },
    );
    expect(seen.apart).toBeGreaterThan(60);
    expect(seen.over).toBeGreaterThan(60);
  });
});

describe('collision by grid and by hierarchy', () => {
  it('gives the same costs to the last bit while pieces move', () => {
    const { circlesGrid, circlesTree } = measuresFor(ready);
    const random = new Random(3);
    const ones = new Float64Array(pieces * pieces).fill(1);
    const somewhere = () =>
      [random.below(variants.length), random.next() * width, random.next() * width] as const;
    for (let i = 0; i < pieces; i++) {
      const place = somewhere();
      for (const measure of [circlesGrid, circlesTree]) measure.set(i, ...place);
    }
    let free = 0;
    for (let k = 0; k < 500; k++) {
      const i = random.below(pieces);
      const place = somewhere();
      const cost = circlesGrid.cost(i, ...place, ones, 0, Infinity);
      expect(circlesTree.cost(i, ...place, ones, 0, Infinity)).toBe(cost);
      if (cost === 0) free++;
      if (k % 5 === 0) for (const measure of [circlesGrid, circlesTree]) measure.set(i, ...place);
    }
    expect(free).toBeGreaterThan(0);
  });
});

describe('the edge tests', () => {
  const square = (side: number, at: number): Shape => ({
    points: Float64Array.of(at, at, at + side, at, at + side, at + side, at, at + side, at, at),
    edges: 4,
    poles: new Float64Array(0),
    minX: at,
    minY: at,
    maxX: at + side,
    maxY: at + side,
    diameter: side * Math.SQRT2,
    size: side,
  });
  const squares = [square(10, 0), square(2, 4), square(30, -10)];
  const open = Int32Array.of(0);

  it.each([
    ['grid', new GridCollider(squares, 2, 40, 40)],
    ['hierarchy', new TreeCollider(squares, 2)],
  ])('by %s tell crossing, touching, within, around and apart', (_, collider) => {
    const hits = (shape: number, x: number, y: number) => {
      const hit = Uint8Array.of(9, 9);
      collider.resolve(squares[shape]!, x, y, open, 1, hit);
      return hit[0];
    };
    collider.set(0, 0, 30, 30);
    collider.set(0, 0, 10, 10);
    expect(hits(0, 15, 13)).toBe(1);
    expect(hits(0, 20, 10)).toBe(1);
    expect(hits(1, 10, 10)).toBe(1);
    expect(hits(2, 10, 10)).toBe(1);
    expect(hits(0, 20.001, 10)).toBe(0);
    expect(hits(1, 17, 10)).toBe(0);
  });
});

describe('the searches', () => {
  const { searches, entries } = entriesFor(ready, 1);

  it('end in layouts that pass the exact check, no longer than they began', () => {
    const before = entries.map(({ search }) => search.best.length);
    entries.forEach(({ name, search }, k) => {
      for (let step = 0; step < (name.endsWith('sampled') ? 12 : 2); step++) search.step();
      const report = verify(instance, toPlacements(problem, search.best));
      expect(report.faults).toEqual([]);
      expect(report.length).toBeLessThan(before[k]!);
      expect(search.moves).toBeGreaterThan(0);
    });
  });

  it('are the same to the last bit in WebAssembly and in plain TypeScript', () => {
    expect(compareRounds(searches.engineFast, searches.enginePlain)).toEqual({ rounds: 2, alike: true });
    expect(ready.fast.memory).toBeDefined();
    expect(ready.plain.memory).toBeUndefined();
    const other = entriesFor(ready, 2).searches;
    other.enginePlain.step();
    expect(compareRounds(searches.engineFast, other.enginePlain)).toEqual({ rounds: 1, alike: false });
  });

  it('by circles take the same way whether collisions come from the grid or the hierarchy', () => {
    const { circlesGrid, circlesTree } = entriesFor(ready, 4).searches;
    for (let k = 0; k < 20; k++) for (const search of [circlesGrid, circlesTree]) search.step();
    expect(circlesTree.queries).toBe(circlesGrid.queries);
    expect(circlesTree.best).toEqual(circlesGrid.best);
  });

  it('refuse what the circle scheme does not know', () => {
    expect(() => makeReady({ ...instance, gap: 2 })).toThrow(/without gap/);
  });
});

describe('single questions', () => {
  it('get the same answer from every scheme, and maps are filled', () => {
    const layouts = [ready.fast, ready.plain].map((fields) => new Layout(problem, fields));
    const { searches } = entriesFor(ready, 1);
    for (const layout of layouts) layout.load(searches.engineFast.best);
    const [first, second] = layouts as [Layout, Layout];
    const rates = queryRates(first, Object.entries(measuresFor(ready)), 1);
    expect(rates).toHaveLength(5);
    expect(new Set(rates.map(({ free }) => free)).size).toBe(1);
    expect(rates[0]!.free).toBeGreaterThan(0);
    for (const { perSecond } of mapRates(
      [
        ['a', first],
        ['b', second],
      ],
      1,
    ))
      expect(perSecond).toBeGreaterThan(0);
  });
});

describe('a race', () => {
  const track: Track = {
    name: 'a',
    preparation: 1,
    seconds: 9,
    trace: [
      [1, 50],
      [4, 40],
      [6, 30],
    ],
  };

  it('is read as the best length known so far', () => {
    expect([0, 1, 3.9, 4, 9].map((at) => lengthAfter(track, at))).toEqual([50, 50, 50, 40, 30]);
    expect([50, 41, 30, 29].map((length) => secondsTo(track, length))).toEqual([1, 4, 6, undefined]);
  });

  it('gives everyone turns until the processor time is used, preparation included', () => {
    const snapshot = {
      length: 9,
      x: new Float64Array(0),
      y: new Float64Array(0),
      variant: new Int32Array(0),
    };
    const runner = (): Contestant & { steps: number } => ({
      best: snapshot,
      moves: 0,
      steps: 0,
      step() {
        this.steps++;
      },
    });
    const [a, b] = [runner(), runner()];
    const tracks = race(
      [
        { name: 'a', search: a, preparation: 0 },
        { name: 'b', search: b, preparation: 5 },
      ],
      0.05,
    );
    expect(b.steps).toBe(0);
    expect(a.steps).toBeGreaterThan(0);
    expect(tracks[0]!.seconds).toBeGreaterThanOrEqual(0.05);
    expect(tracks[1]!.seconds).toBe(5);
  });
});
