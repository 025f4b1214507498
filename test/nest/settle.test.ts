import { describe, expect, it } from 'vitest';
import { decimals } from '../../src/nest/exact.js';
import { Fields } from '../../src/nest/fields.js';
import { type NestInstance, verify } from '../../src/nest/index.js';
import { Layout, type Snapshot } from '../../src/nest/layout.js';
import { toPlacements } from '../../src/nest/placements.js';
import { createProblem } from '../../src/nest/problem.js';
import { Settler } from '../../src/nest/settle.js';
import { poolsOf } from './pools.js';
import { item, rectangle, triangle } from './shapes.js';

/** Settles pieces, each in its first way of lying, from `places`. */
function settled(instance: NestInstance, places: readonly (readonly [number, number])[], length = 100) {
  const problem = createProblem(instance);
  const layout = new Layout(problem, new Fields(poolsOf(problem)));
  const candidate: Snapshot = {
    length,
    x: Float64Array.from(places, ([x]) => x),
    y: Float64Array.from(places, ([, y]) => y),
    variant: Int32Array.from(problem.itemOf, (k) => problem.variantsOfItem[k]![0]!),
  };
  const found = new Settler(problem).settle(layout, candidate);
  return found && { ...found, report: verify(instance, toPlacements(problem, found)) };
}

describe('settling', () => {
  const tiles: NestInstance = {
    name: 'tiles',
    stripWidth: 10,
    items: [item('tile', rectangle(4, 5), 4, { rotations: [0] })],
  };

  it('draws what is a hair off a lattice back to it, so that touching pieces touch', () => {
    const hair = 3e-10;
    const found = settled(tiles, [
      [hair, -hair],
      [-hair, 5 - hair],
      [4 - hair, hair],
      [4 + hair, 5 + hair],
    ])!;
    expect([...found.x]).toEqual([0, 0, 4, 4]);
    expect([...found.y]).toEqual([0, 5, 0, 5]);
    expect(found.length).toBe(8);
    expect(found.report.faults).toEqual([]);
  });

  it('parts by hairs what rounding to the lattice makes overlap', () => {
    const instance: NestInstance = {
      name: 'odd',
      stripWidth: 10,
      items: [item('third', rectangle(10 / 3, 10), 3, { rotations: [0] })],
    };
    const third = 10 / 3;
    const found = settled(instance, [
      [0, 0],
      [third - 2e-10, 0],
      [2 * third - 4e-10, 0],
    ])!;
    expect(found.report.faults).toEqual([]);
    expect(found.length).toBeLessThan(10 + 1e-6);
  });

  it('writes every position in so many decimals as can be relied on', () => {
    const instance: NestInstance = {
      name: 't',
      stripWidth: 10,
      items: [item('t', triangle, 2, { rotations: [0] })],
    };
    const found = settled(instance, [
      [Math.SQRT2, Math.SQRT1_2],
      [11 + Math.SQRT1_2, Math.E],
    ])!;
    // Twelve digits behind the width: 1e-12 x 10.
    for (const value of [...found.x, ...found.y]) expect(decimals(value)).toBeLessThanOrEqual(11);
    expect(found.x[0]).toBeCloseTo(Math.SQRT2, 10);
    expect(found.report.faults).toEqual([]);
  });

  it('keeps the gap exactly', () => {
    const found = settled({ ...tiles, gap: 0.3, stripWidth: 10.3 }, [
      [0, 0],
      [0, 5.3 - 1e-10],
      [4.3 - 1e-10, 0],
      [4.3, 5.3],
    ])!;
    expect(found.report.faults).toEqual([]);
    expect(found.length).toBeCloseTo(8.3, 8);
  });

  it('gives up on what overlaps by more than hairs', () => {
    expect(
      settled(tiles, [
        [0, 0],
        [0, 5],
        [2, 0],
        [4, 5],
      ]),
    ).toBeUndefined();
  });
});
