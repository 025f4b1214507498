import * as fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { Fields } from '../../src/nest/fields.js';
import { Layout } from '../../src/nest/layout.js';
import { createProblem } from '../../src/nest/problem.js';
import { boxStart } from '../../src/nest/start.js';
import { Weights } from '../../src/nest/weights.js';
import { mixedPools } from './pools.js';
import { mixed } from './shapes.js';

describe('weights of pairs', () => {
  const problem = createProblem(mixed);
  const fields = new Fields(mixedPools());
  const started = (): Layout => {
    const layout = new Layout(problem, fields);
    layout.load(boxStart(problem));
    return layout;
  };
  const moved = (layout: Layout, i: number, x: number, y: number): void =>
    layout.place(i, layout.variant[i]!, x, y);

  /** What weights come to when every pair is looked at. */
  const learnt = ({ overlap, baseWeight }: Layout, weights: Float64Array): Float64Array => {
    const depth = overlap.map((d, k) => d * baseWeight[k]!);
    const greatest = depth.reduce((most, d) => Math.max(most, d), 0);
    return weights.map((weight, k) =>
      depth[k]! > 0
        ? weight * (1 + 0.8 * Math.max(0.2, depth[k]! / greatest))
        : Math.max(baseWeight[k]!, 0.9 * weight),
    );
  };

  it('learn as if every pair were looked at, however pieces move in between', () => {
    const places = fc.array(
      fc.record({
        piece: fc.nat(problem.count - 1),
        x: fc.double({ min: 0, max: 40, noNaN: true }),
        y: fc.double({ min: 0, max: 20, noNaN: true }),
      }),
      { minLength: 1, maxLength: 30 },
    );
    fc.assert(
      fc.property(places, (list) => {
        const layout = started();
        const weights = new Weights(layout);
        let all: Float64Array = layout.baseWeight.slice();
        for (const { piece, x, y } of list) {
          moved(layout, piece, x, y);
          all = learnt(layout, all);
          weights.learn();
          expect(weights.pairs).toEqual(all);
        }
      }),
      { numRuns: 50 },
    );
  });

  it('pass by copies that lie well and lately have', () => {
    const layout = started();
    const weights = new Weights(layout);
    const [x, y] = [layout.x[0]!, layout.y[0]!];
    expect(layout.total()).toBe(0);
    expect(weights.learn()).toBe(0);
    moved(layout, 0, layout.x[1]!, layout.y[1]!);
    const tangled = [...layout.x.keys()].filter((i) => layout.overlaps(i)).length;
    expect(tangled).toBeGreaterThan(1);
    expect(tangled).toBeLessThan(layout.count);
    for (let k = 0; k < 3; k++) expect(weights.learn()).toBe(tangled);

    // Apart again, they are looked at until nothing of it is left.
    moved(layout, 0, x, y);
    let looked = 0;
    while (weights.learn() > 0) looked++;
    expect(looked).toBeGreaterThan(3);
    expect(weights.pairs).toEqual(layout.baseWeight);
  });

  it('forget', () => {
    const layout = started();
    const weights = new Weights(layout);
    moved(layout, 0, layout.x[1]!, layout.y[1]!);
    weights.learn();
    expect(weights.pairs).not.toEqual(layout.baseWeight);
    layout.load(boxStart(problem));
    weights.forget();
    expect(weights.pairs).toEqual(layout.baseWeight);
    expect(weights.learn()).toBe(0);
  });
});
