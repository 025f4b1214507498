import { describe, expect, it } from 'vitest';
import type { Vec } from '../../src/geometry/vec.js';
import { Disturber } from '../../src/nest/disturb.js';
import { Fields } from '../../src/nest/fields.js';
import type { NestInstance } from '../../src/nest/index.js';
import { Layout } from '../../src/nest/layout.js';
import { createProblem } from '../../src/nest/problem.js';
import { Random } from '../../src/nest/random.js';
import { relax } from '../../src/nest/relax.js';
import { boxStart } from '../../src/nest/start.js';
import { poolsOf } from './pools.js';
import { clearance, item, mixed, rectangle, sharedArea } from './shapes.js';

const bar = rectangle(4, 10);

function bars(places: readonly number[], length: number, rest: Partial<NestInstance> = {}): Layout {
  const problem = createProblem({
    name: 'bars',
    stripWidth: 10,
    items: [item('bar', bar, places.length, { rotations: [0] })],
    ...rest,
  });
  const layout = new Layout(problem, new Fields(poolsOf(problem)));
  layout.load({
    length,
    x: Float64Array.from(layout.x, (_, i) => places[i] ?? problem.fixed[i]!.x),
    y: new Float64Array(layout.count),
    variant: Int32Array.from(problem.itemOf, (k) => problem.variantsOfItem[k]![0]!),
  });
  return layout;
}

const at = (polygon: readonly Vec[], x: number, y: number) =>
  polygon.map(([px, py]): Vec => [px + x, py + y]);

describe('relaxation', () => {
  it('passes a push on along a whole row, where no single piece could move alone', () => {
    // Five bars in 20.2: every one overlaps its neighbours, none has a free place.
    const layout = bars([0, 3.9, 7.8, 11.7, 15.6], 20.2);
    expect(layout.total()).toBeGreaterThan(0);
    relax(layout, 400);
    expect(layout.total()).toBe(0);
    const order = [...layout.x].sort((a, b) => a - b);
    expect(order).toEqual([...layout.x]);
    for (let i = 1; i < 5; i++) {
      expect(sharedArea(at(bar, order[i - 1]!, 0), at(bar, order[i]!, 0))).toBeLessThan(1e-7);
    }
    expect(order[4]! + 4).toBeLessThanOrEqual(20.2 + 1e-9);
  });

  it('leaves pinned pieces and zones where they are, and moves others away from them', () => {
    const pins = [{ item: 'bar', copy: 0, rotation: 0, mirror: false, x: 6, y: 0 }];
    const layout = bars([6, 9.5, 3], 30, { pins, zones: [at(rectangle(2, 10), 0, 0)] });
    relax(layout, 400);
    expect(layout.x[0]).toBe(6);
    expect(layout.x[1]!).toBeGreaterThanOrEqual(10 - 1e-8);
    // Between zone and pin are four, just what it needs.
    expect(layout.x[2]!).toBeCloseTo(2, 4);
  });

  it('brings all pieces so far apart as it is asked to, and does not push what is further apart', () => {
    const layout = bars([0, 4, 8, 20], 40);
    const looked = relax(layout, 400, 0.01);
    const [a, b, c, d] = [...layout.x] as [number, number, number, number];
    for (const [p, q] of [
      [a, b],
      [b, c],
    ] as const) {
      expect(clearance(at(bar, p, 0), at(bar, q, 0))).toBeGreaterThan(0.01 - 1e-6);
      expect(clearance(at(bar, p, 0), at(bar, q, 0))).toBeLessThan(0.02);
    }
    expect(d).toBe(20);
    // It ends when all is done, not when its sweeps are over.
    expect(looked).toBeLessThan(400);
  });

  it.each([0, 0.5])(
    'comes to the same by looking less: a clear pair cannot meet within its distance, gap %s',
    (gap) => {
      const problem = createProblem({ ...mixed, gap });
      const pools = poolsOf(problem);
      // Told that all clear pairs touch, it looks at every pair again that has moved at all.
      const wary = new Fields(pools);
      const slope = wary.slope.bind(wary);
      wary.slope = (...where) => Math.max(0, slope(...where));
      const [layout, other] = [new Layout(problem, new Fields(pools)), new Layout(problem, wary)];
      let [looks, all] = [0, 0];
      for (let seed = 1; seed <= 20; seed++) {
        layout.load({ ...boxStart(problem), length: (3 * problem.totalArea) / problem.width });
        new Disturber(layout, new Random(seed, 0)).scatter(Infinity, 0);
        relax(layout, 300);
        layout.load({ ...layout.save(), length: 0.999 * layout.usedLength() });
        other.load(layout.save());
        looks += relax(layout, 300);
        all += relax(other, 300);
        expect(layout.save()).toEqual(other.save());
      }
      expect(looks).toBeLessThan(0.95 * all);
    },
  );
});
