import { describe, expect, it } from 'vitest';
import { Fields } from '../../src/nest/fields.js';
import { Layout } from '../../src/nest/layout.js';
import { createProblem } from '../../src/nest/problem.js';
import { squeeze } from '../../src/nest/squeeze.js';
import type { NestItem } from '../../src/nest/types.js';
import { poolsOf } from './pools.js';
import { item, rectangle } from './shapes.js';

function layoutOf(items: readonly NestItem[], places: readonly (readonly [number, number])[]): Layout {
  const problem = createProblem({ name: 'squeeze', stripWidth: 10, items });
  const layout = new Layout(problem, new Fields(poolsOf(problem)));
  layout.load({
    length: 40,
    x: Float64Array.from(places, ([x]) => x),
    y: Float64Array.from(places, ([, y]) => y),
    variant: Int32Array.from(problem.itemOf, (k) => problem.variantsOfItem[k]![0]!),
  });
  return layout;
}

/** Three columns of two pieces: nothing shorter than 9 + 5 + 7 = 21 keeps their order. */
const items = [
  item('long', rectangle(9, 5), 2, { rotations: [0] }),
  item('short', rectangle(5, 5), 2, { rotations: [0] }),
  item('middle', rectangle(7, 5), 2, { rotations: [0] }),
];

describe('squeeze', () => {
  it('brings a loose layout to contact', () => {
    const layout = layoutOf(items, [
      [0, 0],
      [0, 5],
      [11, 0],
      [13, 5],
      [19, 0],
      [19, 5],
    ]);
    const { best } = squeeze(layout, 20, 26, 30, 200);
    expect(layout.total()).toBe(0);
    expect(best!.length).toBeGreaterThanOrEqual(21 - 1e-9);
    expect(best!.length).toBeLessThan(21.01);
    expect(layout.usedLength()).toBeLessThanOrEqual(best!.length + 1e-9);
  });

  it('closes small overlaps when there is length for it', () => {
    const layout = layoutOf(items, [
      [0, 0],
      [0, 5],
      [8.9, 0],
      [8.8, 5],
      [13.7, 0],
      [13.6, 5],
    ]);
    expect(layout.total()).toBeGreaterThan(0.3);
    const { best } = squeeze(layout, 20.5, 21.5, 10, 200);
    expect(best!.length).toBeLessThan(21.05);
    expect(layout.total()).toBe(0);
  });

  it('finds nothing where the longest strip allowed is too short', () => {
    const layout = layoutOf(items, [
      [0, 0],
      [0, 5],
      [8.9, 0],
      [8.8, 5],
      [13.7, 0],
      [13.6, 5],
    ]);
    expect(squeeze(layout, 20, 20.9, 10, 200).best).toBeUndefined();
  });
});
