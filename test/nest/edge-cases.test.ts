import { describe, expect, it, vi } from 'vitest';
import type { Vec } from '../../src/geometry/vec.js';
import { type NestInstance, type NestOptions, nest, verify } from '../../src/nest/index.js';
import { corner, item, mixed, rectangle, triangle, worstOverlapOnGrid } from './shapes.js';

vi.setConfig({ testTimeout: 60_000 });

const quick: NestOptions = { iterations: 3, threads: 0, lanes: 1 };

/** Runs, checks the layout exactly and by clipper-lib, and returns it. */
async function packed(instance: NestInstance, options: NestOptions = quick) {
  const result = await nest(instance, options);
  expect(verify(instance, result.placements).faults).toEqual([]);
  expect(worstOverlapOnGrid(instance, result.placements)).toBeLessThan(1e-8);
  return result;
}

/** Comb of two teeth 1.96 wide, with a slot 2.04 wide and 5 deep between them. */
const comb: Vec[] = [
  [0, 0],
  [10, 0],
  [10, 2],
  [7.98, 2],
  [7.98, 7],
  [6.02, 7],
  [6.02, 2],
  [3.98, 2],
  [3.98, 7],
  [2.02, 7],
  [2.02, 2],
  [0, 2],
];

/** A frame open to the right: 10 x 10 with a slot 6 deep and `slot` high in the middle. */
const frame = (slot: number): Vec[] => [
  [0, 0],
  [10, 0],
  [10, 5 - slot / 2],
  [4, 5 - slot / 2],
  [4, 5 + slot / 2],
  [10, 5 + slot / 2],
  [10, 10],
  [0, 10],
];

describe('a piece exactly as wide as the strip', () => {
  it('is laid also where its width is no round number in binary', async () => {
    const instance: NestInstance = {
      name: 'full',
      stripWidth: 0.3,
      items: [
        item('wide', rectangle(0.1, 0.3), 4),
        item('turned', rectangle(0.3, 0.2), 2, { rotations: [90] }),
      ],
    };
    const result = await packed(instance);
    expect(result.length).toBeCloseTo(0.8, 6);
  });

  it('and where it is drawn across its origin, along either side', async () => {
    for (const edge of [undefined, 'low', 'high'] as const) {
      const across = rectangle(0.1, 0.3).map(([x, y]): Vec => [x, y === 0 ? -0.1 : 0.2]);
      const result = await packed({
        name: 'across',
        stripWidth: 0.3,
        items: [
          item('wide', across, 3, edge ? { edge, rotations: [0] } : {}),
          item('t', rectangle(0.1, 0.1), 3),
        ],
      });
      expect(result.length).toBeCloseTo(0.4, 6);
    }
  });

  it('beside pieces that fill the width only in pairs, which no packing of boxes finds', async () => {
    const half: Vec[] = [
      [0, 0],
      [0.2, 0],
      [0, 0.3],
    ];
    const result = await packed(
      {
        name: 'halves',
        stripWidth: 0.3,
        items: [item('wide', rectangle(0.1, 0.3), 3), item('half', half, 4)],
      },
      { ...quick, iterations: 10 },
    );
    // Boxes side by side take 1.1.
    expect(result.length).toBeLessThan(0.701);
  });

  it('and a slanted one too', async () => {
    const slanted: Vec[] = [
      [0, 0],
      [3, 0.1],
      [4, 7.3],
      [1, 7.2],
    ];
    const result = await packed({ name: 's', stripWidth: 7.3, items: [item('slanted', slanted, 5)] });
    expect(result.length).toBeLessThan(16.5);
  });
});

describe('many equal pieces', () => {
  it('tile as they can: 240 bricks', async () => {
    const result = await packed({
      name: 'bricks',
      stripWidth: 40,
      items: [item('brick', rectangle(5, 4), 240)],
    });
    expect(result.density).toBeGreaterThan(0.99);
  });

  it('tile from a start that strews them', async () => {
    const bricks = item('brick', rectangle(5, 4), 60);
    const start = Array.from({ length: 60 }, (_, copy) => ({
      item: 'brick',
      copy,
      rotation: 0,
      mirror: false,
      x: 7 * copy,
      y: copy % 30,
    }));
    const result = await packed(
      { name: 'strewn', stripWidth: 40, items: [bricks], start },
      { ...quick, iterations: 10 },
    );
    expect(result.trace[0]!.length).toBe(418);
    expect(result.density).toBeGreaterThan(0.8);
  });

  it('interlock as they can: 120 triangles', async () => {
    const result = await packed(
      { name: 'many', stripWidth: 40, items: [item('triangle', triangle, 120)] },
      {
        ...quick,
        iterations: 10,
      },
    );
    expect(result.density).toBeGreaterThan(0.75);
  });
});

describe('pieces that only just fit', () => {
  it('go into a slot with a thousandth to spare', async () => {
    const instance: NestInstance = {
      name: 'slot',
      stripWidth: 10,
      items: [item('frame', frame(4.01), 1, { rotations: [0] }), item('tongue', rectangle(6, 4), 1)],
    };
    const result = await packed(instance, { ...quick, iterations: 10 });
    expect(result.length).toBeCloseTo(10, 2);
  });

  it('interlock: two combs, turned, share their slots', async () => {
    const result = await packed(
      { name: 'combs', stripWidth: 9.001, items: [item('comb', comb, 2, { rotations: [0, 180] })] },
      { ...quick, iterations: 10 },
    );
    // Side by side they take 20; with teeth in slots 12.
    expect(result.length).toBeLessThan(12.1);
  });

  it('interlock: pairs of Ls fill their box', async () => {
    const result = await packed(
      { name: 'Ls', stripWidth: 12, items: [item('corner', corner, 2)] },
      { ...quick, iterations: 10 },
    );
    expect(result.length).toBeLessThan(11.001);
  });
});

describe('near-degenerate outlines', () => {
  it('are laid: slivers, needles, edges a millionth long, almost straight corners', async () => {
    const sliver: Vec[] = [
      [0, 0],
      [10, 0],
      [10, 0.001],
    ];
    const needle: Vec[] = [
      [0, 0],
      [4, 1],
      [12, 1.0001],
      [4, 1.5],
      [0, 3],
    ];
    const tiny: Vec[] = [
      [0, 0],
      [5, 0],
      [5.000001, 0.000001],
      [5, 4],
      [2.5, 4.0000001],
      [0, 4],
    ];
    const spike: Vec[] = [
      [0, 0],
      [6, 0],
      [6, 3],
      [3.0001, 3],
      [3, 8],
      [2.9999, 3],
      [0, 3],
    ];
    const result = await packed({
      name: 'degenerate',
      stripWidth: 20,
      items: [
        item('sliver', sliver, 6),
        item('needle', needle, 4),
        item('tiny', tiny, 4),
        item('spike', spike, 4),
      ],
    });
    expect(result.density).toBeGreaterThan(0.45);
  });

  it('with repeated vertices and vertices on straight edges pack as without', async () => {
    const plain = rectangle(6, 10);
    const busy: Vec[] = [
      [0, 0],
      [0, 0],
      [2, 0],
      [6, 0],
      [6, 10],
      [6, 10],
      [3, 10],
      [0, 10],
      [0, 4],
    ];
    const lay = (polygon: Vec[]) =>
      packed(
        { name: 'tiles', stripWidth: 20, items: [item('tile', polygon, 6)] },
        { ...quick, iterations: 6 },
      );
    expect((await lay(busy)).length).toBe((await lay(plain)).length);
  });
});

describe('any size of coordinates', () => {
  // As a file would hold them: 0.00045, not the 0.00045000000000000004 that floats make of 9 x 5e-5.
  const even = (value: number) => Number(value.toPrecision(12));
  const scaled = (factor: number): NestInstance => ({
    name: 'scaled',
    stripWidth: even(mixed.stripWidth * factor),
    items: mixed.items.map((it) => ({
      ...it,
      polygon: it.polygon.map(([x, y]): Vec => [even(x * factor), even(y * factor)]),
    })),
  });

  it('packs alike: 1e-3, 1, 1e7', async () => {
    const densities: number[] = [];
    for (const factor of [5e-5, 1, 5e5]) {
      densities.push((await packed(scaled(factor), { ...quick, iterations: 10 })).density);
    }
    expect(Math.min(...densities)).toBeGreaterThan(0.78);
    expect(Math.max(...densities) - Math.min(...densities)).toBeLessThan(0.03);
  });

  it('packs pieces drawn far from their origin', async () => {
    const far = (polygon: readonly Vec[]) => polygon.map(([x, y]): Vec => [x + 1e5, y - 3e5]);
    const instance = { ...mixed, items: mixed.items.map((it) => ({ ...it, polygon: far(it.polygon) })) };
    expect((await packed(instance)).density).toBeGreaterThan(0.75);
  });
});

describe('few and many', () => {
  it('one piece in one way is flush with both the start and its own length', async () => {
    const result = await packed({
      name: 'one',
      stripWidth: 20,
      items: [item('t', triangle, 1, { rotations: [0] })],
    });
    expect(result.length).toBe(9);
    expect(result.placements[0]!.x).toBeCloseTo(0, 12);
  });

  it('a piece too large is told by name, in every allowed way of laying it', async () => {
    const instance = {
      name: 'x',
      stripWidth: 8,
      items: [item('long', rectangle(9, 10), 1, { rotations: [0, 90] })],
    };
    await expect(nest(instance, quick)).rejects.toThrow(
      /'long' is too wide for the strip: 9 in its narrowest allowed rotation, the strip is 8/,
    );
  });

  it('tables of hundreds of outlines stay within a budget of nodes, at the price of coarser cells', async () => {
    const { createProblem } = await import('../../src/nest/problem.js');
    const distinct = (count: number): NestInstance => ({
      name: 'distinct',
      stripWidth: 40,
      items: Array.from({ length: count }, (_, k) =>
        item(String(k), rectangle(4 + k / 1000, 6), 1, { rotations: [0, 90] }),
      ),
    });
    expect(createProblem(distinct(20)).cell).toBeCloseTo(createProblem(distinct(40)).cell, 2);
    const many = createProblem(distinct(1000));
    const nodes = many.variants.reduce((sum, v) => sum + (v.maxX - v.minX) * (v.maxY - v.minY), 0);
    expect((many.variants.length * nodes) / many.cell ** 2).toBeLessThan(1.3e7);
    expect(many.cell).toBeGreaterThan(createProblem(distinct(40)).cell);
  });
});
