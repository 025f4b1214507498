import * as fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { Fields } from '../../src/nest/fields.js';
import { Layout } from '../../src/nest/layout.js';
import { createProblem } from '../../src/nest/problem.js';
import { boxStart } from '../../src/nest/start.js';
import { mixedPools } from './pools.js';
import { laid, mixed, sharedArea } from './shapes.js';

describe('a layout', () => {
  const problem = createProblem(mixed);
  const pools = mixedPools();
  const start = boxStart(problem);
  const moves = fc.array(
    fc.record({
      piece: fc.nat(problem.count - 1),
      way: fc.nat(3),
      x: fc.double({ min: 0, max: 40, noNaN: true }),
      y: fc.double({ min: 0, max: 20, noNaN: true }),
    }),
    { minLength: 1, maxLength: 12 },
  );
  const played = (list: readonly { piece: number; way: number; x: number; y: number }[]) => {
    const layout = new Layout(problem, new Fields(pools));
    layout.load(start);
    for (const { piece, way, x, y } of list) {
      const ways = layout.allowed(piece);
      layout.place(piece, ways[way % ways.length]!, x, y);
      layout.clamp(piece);
      layout.place(piece, layout.variant[piece]!, layout.x[piece]!, layout.y[piece]!);
    }
    return layout;
  };

  it('knows after every move what a fresh look at all pairs would tell', () => {
    fc.assert(
      fc.property(moves, (list) => {
        const layout = played(list);
        const kept = layout.overlap.slice();
        layout.refresh();
        // The same depth seen from either piece, but for the last digits.
        const off = kept.reduce((most, depth, k) => Math.max(most, Math.abs(depth - layout.overlap[k]!)), 0);
        expect(off).toBeLessThan(1e-9);
      }),
      { numRuns: 60, seed: 1 },
    );
  });

  it('calls just those pairs overlapping that share area by polyclip-ts', () => {
    let both = 0;
    fc.assert(
      fc.property(moves, (list) => {
        const layout = played(list);
        const polygons = Array.from({ length: layout.count }, (_, i) => {
          const v = problem.variants[layout.variant[i]!]!;
          const { id } = problem.items[v.item]!;
          const { rotation, mirror } = v;
          return laid(mixed, { item: id, copy: 0, rotation, mirror, x: layout.x[i]!, y: layout.y[i]! });
        });
        for (let i = 0; i < layout.count; i++) {
          for (let j = 0; j < i; j++) {
            const depth = layout.overlap[i * layout.count + j]!;
            const shared = sharedArea(polygons[i]!, polygons[j]!);
            if (depth > 1e-6) expect(shared).toBeGreaterThan(0);
            if (shared > 1e-6) expect(depth).toBeGreaterThan(0);
            if (shared > 1e-6 && depth > 1e-6) both++;
          }
        }
      }),
      { numRuns: 15, seed: 2 },
    );
    expect(both).toBeGreaterThan(50);
  });
});
