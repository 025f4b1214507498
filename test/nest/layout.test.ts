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

  /** Depths, the copies that overlap and the sum are those of a layout that never was anything else. */
  const expectAsAnew = (layout: Layout) => {
    const fresh = new Layout(problem, new Fields(pools));
    fresh.load(layout.save());
    // The same depth seen from either piece, but for the last digits.
    const off = (depth: number, k: number) => Math.abs(depth - fresh.overlap[k]!);
    expect(layout.overlap.reduce((most, depth, k) => Math.max(most, off(depth, k)), 0)).toBeLessThan(1e-9);
    expect(Math.abs(layout.total() - fresh.total())).toBeLessThan(1e-8);
    for (let i = 0; i < layout.count; i++) {
      const row = layout.overlap.subarray(i * layout.count, (i + 1) * layout.count);
      expect(layout.overlaps(i)).toBe(row.some((depth) => depth > 0));
    }
  };

  it('knows after every move what a fresh look at all pairs would tell', () => {
    fc.assert(
      fc.property(moves, (list) => {
        const layout = played(list);
        expectAsAnew(layout);
        // Moved behind its back: a few copies, then all.
        layout.y[0] = 0.5 * (layout.y[0]! + layout.y[1]!);
        layout.refresh();
        expectAsAnew(layout);
        for (let i = 0; i < layout.count; i++) layout.x[i] = 0.9 * layout.x[i]!;
        layout.refresh();
        expectAsAnew(layout);
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
