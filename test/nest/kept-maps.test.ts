import { describe, expect, it } from 'vitest';
import { Disturber } from '../../src/nest/disturb.js';
import { Fields } from '../../src/nest/fields.js';
import { KeptMaps } from '../../src/nest/kept-maps.js';
import { Layout } from '../../src/nest/layout.js';
import { createProblem } from '../../src/nest/problem.js';
import { Random } from '../../src/nest/random.js';
import { relax } from '../../src/nest/relax.js';
import { boxStart } from '../../src/nest/start.js';
import { StripMap } from '../../src/nest/strip-map.js';
import { mixedPools } from './pools.js';
import { mixed } from './shapes.js';

describe.each([
  ['in WebAssembly', true],
  ['in plain loops', false],
])('maps kept from move to move, %s,', (_, fast) => {
  const problem = createProblem(mixed);
  const { cell } = problem;
  const fields = new Fields(mixedPools(), fast);

  /** A layout of which everything changes now and then, in all the ways that the search changes it. */
  function* changes(layout: Layout, random: Random): Generator<void> {
    const disturber = new Disturber(layout, random);
    for (let k = 0; k < 60; k++) {
      const i = random.below(layout.count);
      const allowed = layout.allowed(i);
      if (k % 20 === 10) disturber.shorten(0.97 * layout.length);
      else if (k % 20 === 15) disturber.scatter(Infinity, 0.3);
      else if (k % 20 === 18) relax(layout);
      else {
        layout.place(
          i,
          allowed[random.below(allowed.length)]!,
          random.next() * layout.length,
          random.next() * problem.width,
        );
      }
      yield;
    }
  }

  it('are what all tables added anew come to, whatever has moved, in any window', () => {
    const layout = new Layout(problem, fields);
    layout.load(boxStart(problem));
    const random = new Random(8);
    const kept = new KeptMaps(layout);
    const map = new StripMap();
    const weights = layout.baseWeight.slice();
    let [nodes, free, taken, worst] = [0, 0, 0, 0];
    for (const _step of changes(layout, random)) {
      const at = random.below(weights.length);
      weights[at] = layout.baseWeight[at]! * (random.next() < 0.5 ? 1 : 1 + 5 * random.next());
      const i = random.below(layout.count);
      const [first, last] =
        random.next() < 0.5
          ? [-Infinity, Infinity]
          : [0.3 * layout.length * random.next(), (0.5 + random.next()) * layout.length];
      for (const variant of layout.allowed(i)) {
        if (!kept.fill(map, i, variant, weights, first, last)) continue;
        const values = map.values.slice(0, map.nx * map.ny);
        const v = problem.variants[variant]!;
        expect(map.fromX).toBeLessThanOrEqual(map.leastX + 1e-9);
        expect(map.fromX + (map.nx - 1) * cell).toBeGreaterThanOrEqual(map.toX - 1e-9);
        // Added anew on the same nodes: for a piece that may begin where the kept map does.
        const from = map.fromX + v.minX;
        const [nx, ny] = [map.nx, map.ny];
        layout.length += cell;
        expect(map.fill(layout, i, variant, weights, from, map.fromX + (nx - 1) * cell + v.minX)).toBe(true);
        layout.length -= cell;
        expect(map.ny).toBe(ny);
        for (let node = 0; node < nx * ny; node++) {
          const row = Math.floor(node / nx);
          const anew = map.values[row * map.nx + node - row * nx]!;
          // Whole numbers are cut, at most by one for each copy.
          worst = Math.max(worst, Math.abs(values[node]! - anew) / (1e-4 * cell + 1e-5 * anew));
          if (anew === 0) free++;
          if (anew === 0 && values[node] !== 0) taken++;
          nodes++;
        }
      }
    }
    expect(worst).toBeLessThanOrEqual(1);
    expect(taken).toBe(0);
    expect(nodes).toBeGreaterThan(20000);
    expect(free).toBeGreaterThan(1000);
  });

  it('do not depend on what happened before', () => {
    const layout = new Layout(problem, fields);
    layout.load(boxStart(problem));
    const random = new Random(9);
    const old = new KeptMaps(layout);
    const [oldMap, newMap] = [new StripMap(), new StripMap()];
    for (const _step of changes(layout, random)) {
      const i = random.below(layout.count);
      const variant = layout.variant[i]!;
      const filled = old.fill(oldMap, i, variant, layout.baseWeight, -Infinity, Infinity);
      const values = oldMap.values.slice(0, oldMap.nx * oldMap.ny);
      const fresh = new KeptMaps(layout);
      expect(fresh.fill(newMap, i, variant, layout.baseWeight, -Infinity, Infinity)).toBe(filled);
      expect(newMap.values.slice(0, newMap.nx * newMap.ny)).toEqual(values);
    }
  });
});
