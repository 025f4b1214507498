import * as fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { Fields } from '../../src/nest/fields.js';
import { createNear, PlainNear } from '../../src/nest/near.js';
import { createProblem } from '../../src/nest/problem.js';
import { mixedPools } from './pools.js';
import { mixed } from './shapes.js';

describe('the exact look round a piece', () => {
  const problem = createProblem(mixed);
  const fields = new Fields(mixedPools());
  const { cell, variants } = fields.pools;
  const copies = 12;
  const plain = new PlainNear(fields, copies);
  const fast = createNear(fields, copies);
  const box = { minX: 0, minY: 0, maxX: 3 * problem.width, maxY: problem.width };

  const place = fc.record({
    x: fc.double({ min: box.minX, max: box.maxX, noNaN: true }),
    y: fc.double({ min: box.minY, max: box.maxY, noNaN: true }),
    variant: fc.nat(variants - 1),
    weight: fc.double({ min: 0.01, max: 1e3, noNaN: true }),
  });
  const layouts = fc.array(place, { minLength: copies, maxLength: copies });

  /** Both look round among the same copies, the first about to move. */
  function observe(places: readonly { x: number; y: number; variant: number; weight: number }[]) {
    const x = Float64Array.from(places, (p) => p.x);
    const y = Float64Array.from(places, (p) => p.y);
    const variant = Int32Array.from(places, (p) => p.variant);
    const weights = Float64Array.from(places, (p) => p.weight);
    for (const near of [plain, fast]) near.observe(x, y, variant, weights, 0);
    return { x, y, variant, weights };
  }

  it('runs in WebAssembly here', () => {
    expect(fast).not.toBeInstanceOf(PlainNear);
  });

  it('gathers, counts and refines to the same numbers, bit for bit, in WebAssembly and in plain loops', () => {
    let overlapping = 0;
    let looked = 0;
    fc.assert(
      fc.property(layouts, fc.nat(variants - 1), fc.nat(2000), (places, variant, ray) => {
        observe(places);
        const { x, y } = places[0]!;
        const count = plain.gather(0, variant, x, y, 3 * cell, 1e-9);
        expect(fast.gather(0, variant, x, y, 3 * cell, 1e-9)).toBe(count);
        const cost = plain.costAt(x, y);
        expect(fast.costAt(x, y)).toBe(cost);
        if (cost > 0) overlapping++;
        const steps = plain.refine(x, y, cost, cell / 2, cell / 100, box, ray);
        expect(fast.refine(x, y, cost, cell / 2, cell / 100, box, ray)).toBe(steps);
        expect([fast.x, fast.y, fast.cost]).toEqual([plain.x, plain.y, plain.cost]);
        looked += steps;
      }),
      { numRuns: 300, seed: 3 },
    );
    expect(overlapping).toBeGreaterThan(100);
    expect(looked).toBeGreaterThan(3000);
  });

  it('counts the weighted depths of all pairs, and never ends a refinement worse or outside the box', () => {
    fc.assert(
      fc.property(layouts, fc.nat(variants - 1), (places, variant) => {
        const { x, y, variant: laid, weights } = observe(places);
        fast.gather(0, variant, x[0]!, y[0]!, 3 * cell, 0);
        let sum = 0;
        for (let j = 1; j < copies; j++) {
          const code = fields.pools.code[laid[j]! * variants + variant]!;
          sum += Math.max(0, fields.depth(code, x[0]! - x[j]!, y[0]! - y[j]!)) * weights[j]!;
        }
        const cost = fast.costAt(x[0]!, y[0]!);
        expect(cost).toBeCloseTo(sum, 9);
        fast.refine(x[0]!, y[0]!, cost, cell / 2, cell / 25, box, 0);
        expect(fast.cost).toBeLessThanOrEqual(cost);
        expect(fast.x).toBeGreaterThanOrEqual(box.minX);
        expect(fast.x).toBeLessThanOrEqual(box.maxX);
        expect(fast.y).toBeGreaterThanOrEqual(box.minY);
        expect(fast.y).toBeLessThanOrEqual(box.maxY);
        expect(fast.costAt(fast.x, fast.y)).toBe(fast.cost);
      }),
      { numRuns: 200, seed: 4 },
    );
  });

  it('goes on where it was when lanes of one thread take turns', () => {
    const other = createNear(fields, copies);
    fc.assert(
      fc.property(layouts, layouts, (mine, theirs) => {
        observe(theirs);
        other.observe(
          Float64Array.from(theirs, (p) => p.x),
          Float64Array.from(theirs, (p) => p.y),
          Int32Array.from(theirs, (p) => p.variant),
          Float64Array.from(theirs, (p) => p.weight),
          0,
        );
        const { x, y } = observe(mine);
        plain.gather(0, 0, x[0]!, y[0]!, cell, 0);
        fast.gather(0, 0, x[0]!, y[0]!, cell, 0);
        expect(fast.costAt(x[0]!, y[0]!)).toBe(plain.costAt(x[0]!, y[0]!));
      }),
      { numRuns: 50, seed: 5 },
    );
  });
});
