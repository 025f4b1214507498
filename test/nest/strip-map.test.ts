import { describe, expect, it } from 'vitest';
import { Fields } from '../../src/nest/fields.js';
import { Layout } from '../../src/nest/layout.js';
import { createProblem } from '../../src/nest/problem.js';
import { Random } from '../../src/nest/random.js';
import { boxStart } from '../../src/nest/start.js';
import { StripMap } from '../../src/nest/strip-map.js';
import { mixedPools } from './pools.js';
import { mixed } from './shapes.js';

describe('the map of the strip', () => {
  const problem = createProblem(mixed);
  const { width, cell } = problem;
  const fields = new Fields(mixedPools());
  const layout = new Layout(problem, fields);
  layout.load(boxStart(problem));
  const random = new Random(4);
  const weights = Float64Array.from({ length: layout.count ** 2 }, () => 0.5 + random.next());

  /** Sum of weighted depths of copy i at a place, pair by pair, and of the weights of the pairs that may matter there. */
  const looked = (i: number, variant: number, x: number, y: number) => {
    let [sum, doubt] = [0, 0];
    for (let j = 0; j < layout.count; j++) {
      if (j === i) continue;
      const code = fields.pools.code[layout.variant[j]! * problem.variants.length + variant]!;
      const depth = fields.depth(code, x - layout.x[j]!, y - layout.y[j]!);
      const weight = weights[i * layout.count + j]!;
      sum += weight * Math.max(0, depth);
      // Far apart it is given as 0.
      if (depth !== 0 && depth > -cell) doubt += weight;
    }
    return { sum, doubt };
  };

  for (const [name, first, last] of [
    ['all along it', -Infinity, Infinity],
    ['in a window', 7.3, 19.1],
    ['in a window over its end', 30, 90],
  ] as const) {
    it(`tells at every node the weighted depths, ${name}, to what rounding to nodes costs`, () => {
      const map = new StripMap();
      let nodes = 0;
      for (const i of [0, 6, 12]) {
        for (const variant of layout.allowed(i)) {
          expect(map.fill(layout, i, variant, weights, first, last)).toBe(true);
          const v = problem.variants[variant]!;
          expect(map.fromX + v.minX).toBeGreaterThanOrEqual(Math.max(0, first) - 1e-9);
          expect(map.toX + v.minX).toBeLessThanOrEqual(last + 1e-9);
          expect(map.toX + v.maxX).toBeLessThanOrEqual(layout.length + 1e-9);
          for (let node = 0; node < map.nx * map.ny; node++) {
            const row = Math.floor(node / map.nx);
            const x = map.fromX + (node - row * map.nx) * cell;
            const y = map.fromY + row * cell;
            const { sum, doubt } = looked(i, variant, x, y);
            // Depth changes by no more than the way moved: half a cell either way, for each pair.
            expect(Math.abs(map.values[node]! - sum)).toBeLessThanOrEqual(doubt * cell * Math.SQRT1_2 + 1e-4);
            nodes++;
          }
        }
      }
      expect(nodes).toBeGreaterThan(1000);
    });
  }

  it('is not filled where a piece cannot begin', () => {
    expect(new StripMap().fill(layout, 0, layout.variant[0]!, weights, 5 * width, 6 * width)).toBe(false);
  });
});
