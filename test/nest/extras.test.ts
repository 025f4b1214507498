import * as fc from 'fast-check';
import { describe, expect, it, vi } from 'vitest';
import { InputError } from '../../src/errors.js';
import type { Vec } from '../../src/geometry/vec.js';
import {
  type NestInstance,
  type NestOptions,
  nest,
  type Placement,
  readInstance,
  readPlacements,
  verify,
} from '../../src/nest/index.js';
import { corner, item, laid, mixed, rectangle, sharedArea, triangle, worstOverlap } from './shapes.js';

vi.setConfig({ testTimeout: 60_000 });

const quick: NestOptions = { iterations: 3, threads: 0, lanes: 1 };
const kinds = (instance: NestInstance, placements: readonly Placement[]) =>
  verify(instance, placements).faults.map((fault) => fault.kind);
const moved = (polygon: readonly Vec[], dx: number, dy: number): Vec[] =>
  polygon.map(([x, y]) => [x + dx, y + dy]);
const put = (id: string, copy: number, x: number, y: number, rest: Partial<Placement> = {}): Placement => ({
  item: id,
  copy,
  rotation: 0,
  mirror: false,
  x,
  y,
  ...rest,
});

describe('forbidden zones', () => {
  const flaw: Vec[] = [
    [6, 5],
    [10, 4],
    [11, 9],
    [7, 10],
  ];
  const splice = moved(rectangle(1, 40), 14, -5);
  const instance: NestInstance = { ...mixed, zones: [flaw, splice] };

  it('are entered by no piece, by polyclip-ts', async () => {
    const result = await nest(instance, quick);
    expect(verify(instance, result.placements).faults).toEqual([]);
    expect(worstOverlap(instance, result.placements)).toBeLessThan(1e-9);
    for (const placement of result.placements) {
      for (const zone of [flaw, splice]) {
        expect(sharedArea(laid(instance, placement), zone)).toBeLessThan(1e-9);
      }
    }
    // Pieces lie on both sides of the splice: it divides the strip and does not end it.
    expect(result.length).toBeGreaterThan(15);
    // Without zones 27.7 is what the search finds; the splice alone costs about 3.
    expect(result.length).toBeLessThan(37);
    expect(result.trace.at(-1)!.length).toBeLessThan(result.trace[0]!.length);
  });

  it('keep the gap from pieces', async () => {
    const apart: NestInstance = { ...instance, gap: 0.5 };
    const result = await nest(apart, quick);
    expect(verify(apart, result.placements).faults).toEqual([]);
    const tile = { name: 't', stripWidth: 9, gap: 2, items: [item('tile', rectangle(3, 3), 1)] };
    const zones = [moved(rectangle(4, 9), 5, 0)];
    expect(kinds({ ...tile, zones }, [put('tile', 0, 0, 0)])).toEqual([]);
    expect(kinds({ ...tile, zones }, [put('tile', 0, 0.001, 0)])).toEqual(['zone']);
  });

  it('that a piece touches are kept; that it enters by a hair, or fills, are not', () => {
    const tile = { name: 't', stripWidth: 9, items: [item('tile', rectangle(3, 3), 1)] };
    const zones = [moved(rectangle(3, 3), 3, 0)];
    expect(kinds({ ...tile, zones }, [put('tile', 0, 0, 0)])).toEqual([]);
    expect(kinds({ ...tile, zones }, [put('tile', 0, 3, 3)])).toEqual([]);
    expect(kinds({ ...tile, zones }, [put('tile', 0, 1e-9, 0)])).toEqual(['zone']);
    expect(kinds({ ...tile, zones }, [put('tile', 0, 3, 0)])).toEqual(['zone']);
  });

  it('do not count as length', () => {
    const tile = { name: 't', stripWidth: 9, items: [item('tile', rectangle(3, 3), 1)] };
    expect(verify({ ...tile, zones: [moved(rectangle(3, 3), 90, 0)] }, [put('tile', 0, 0, 0)]).length).toBe(
      3,
    );
  });

  it('must be simple polygons', async () => {
    const bow: Vec[] = [
      [0, 0],
      [4, 4],
      [4, 0],
      [0, 6],
    ];
    await expect(nest({ ...mixed, zones: [bow] }, quick)).rejects.toThrow(
      /zone 1: .*crosses or touches itself/,
    );
  });
});

describe('pinned copies', () => {
  const pins = [put('corner', 2, 3.25, 4.5), put('bar', 1, 20, 12, { rotation: 180 })];
  const instance: NestInstance = { ...mixed, pins };

  it('stay to the last digit while the others are packed round them', async () => {
    const result = await nest(instance, quick);
    expect(verify(instance, result.placements).faults).toEqual([]);
    expect(worstOverlap(instance, result.placements)).toBeLessThan(1e-9);
    for (const pin of pins) expect(result.placements).toContainEqual(pin);
    expect(result.length).toBeLessThan(32);
    expect(result.trace.at(-1)!.length).toBeLessThan(result.trace[0]!.length);
  });

  it('may be all copies: the layout is then what was given', async () => {
    const tile = { name: 't', stripWidth: 9, items: [item('tile', rectangle(3, 3), 2)] };
    const all = [put('tile', 0, 1, 2), put('tile', 1, 4.5, 6)];
    const result = await nest({ ...tile, pins: all }, quick);
    expect(result.placements).toEqual(all);
    expect(result.length).toBe(7.5);
  });

  it('bind the rotation of their group', async () => {
    const groups = ['a', 'a', 'b', 'b', 'b', 'b'];
    const grouped: NestInstance = {
      name: 'grouped',
      stripWidth: 20,
      items: [item('corner', corner, 6, { groups }), item('triangle', triangle, 6, { groups })],
      pins: [put('corner', 0, 12, 14, { rotation: 180 })],
    };
    const result = await nest(grouped, quick);
    expect(verify(grouped, result.placements).faults).toEqual([]);
    for (const p of result.placements.filter(({ copy }) => copy < 2)) expect(p.rotation).toBe(180);
  });

  it('are missed when moved, by the verifier', () => {
    const tile = { name: 't', stripWidth: 9, items: [item('tile', rectangle(3, 3), 1)] };
    const pinned = { ...tile, pins: [put('tile', 0, 1, 2)] };
    expect(kinds(pinned, [put('tile', 0, 1, 2)])).toEqual([]);
    expect(kinds(pinned, [put('tile', 0, 1, 2.0000001)])).toEqual(['pin']);
    expect(kinds(pinned, [put('tile', 0, 4, 5, { rotation: 180 })])).toEqual(['pin']);
  });

  it('that overlap, leave the strip, lie in a zone or turn as they may not are refused', async () => {
    const withPins = (...list: Placement[]) => nest({ ...mixed, pins: list }, quick);
    await expect(withPins(put('bar', 0, 0, 0), put('bar', 1, 6, 1))).rejects.toThrow(
      /pins do not fit: bar#0 and bar#1 overlap/,
    );
    await expect(withPins(put('bar', 0, 0, 18.5))).rejects.toThrow(/bar#0 leaves the strip/);
    await expect(
      nest({ ...mixed, zones: [rectangle(3, 3)], pins: [put('bar', 0, 0, 0)] }, quick),
    ).rejects.toThrow(/bar#0 enters forbidden zone 1/);
    await expect(withPins(put('bar', 0, 9, 9, { rotation: 90 }))).rejects.toThrow(/does not allow/);
    await expect(withPins(put('bar', 9, 9, 9))).rejects.toThrow(/no such copy/);
    await expect(withPins(put('bar', 0, 9, 9), put('bar', 0, 0, 0))).rejects.toThrow(/placed twice/);
  });
});

describe('spans', () => {
  const spans = (count: number) => Array.from({ length: count }, (_, k) => `garment ${k % 3}`);
  const instance: NestInstance = {
    name: 'spans',
    stripWidth: 20,
    spanLength: 27,
    items: [
      item('corner', corner, 9, { spans: spans(9) }),
      item('triangle', triangle, 9, { spans: spans(9) }),
      item('bar', rectangle(7, 2), 4),
    ],
  };

  it('hold the pieces of each within the length allowed', async () => {
    const result = await nest(instance, { ...quick, iterations: 6 });
    expect(verify(instance, result.placements).faults).toEqual([]);
    expect(worstOverlap(instance, result.placements)).toBeLessThan(1e-9);
    for (let k = 0; k < 3; k++) {
      const xs = result.placements
        .filter((p) => p.item !== 'bar' && p.copy % 3 === k)
        .flatMap((p) => laid(instance, p).map(([x]) => x));
      expect(Math.max(...xs) - Math.min(...xs)).toBeLessThan(27 + 1e-9);
    }
    expect(result.length).toBeLessThan(50);
    expect(result.trace.at(-1)!.length).toBeLessThan(result.trace[0]!.length);
  });

  it('may hold a pinned piece: the rest stays near it', async () => {
    const pinned: NestInstance = { ...instance, pins: [put('corner', 0, 60, 0)] };
    const result = await nest(pinned, quick);
    expect(verify(pinned, result.placements).faults).toEqual([]);
    const first = result.placements.filter((p) => p.item !== 'bar' && p.copy % 3 === 0);
    const xs = first.flatMap((p) => laid(pinned, p).map(([x]) => x));
    expect(Math.max(...xs) - Math.min(...xs)).toBeLessThan(27 + 1e-9);
    expect(Math.min(...xs)).toBeGreaterThan(60 + 8 - 27 - 1e-9);
  });

  it('are measured exactly by the verifier', () => {
    const tile: NestInstance = {
      name: 't',
      stripWidth: 9,
      spanLength: 7,
      items: [item('tile', rectangle(3, 3), 2, { spans: ['a', 'a'] })],
    };
    expect(kinds(tile, [put('tile', 0, 0, 0), put('tile', 1, 4, 5)])).toEqual([]);
    expect(kinds(tile, [put('tile', 0, 0, 0), put('tile', 1, 4.000000001, 5)])).toEqual(['span']);
  });

  it('too short for their pieces are refused', async () => {
    await expect(nest({ ...instance, spanLength: 20 }, quick)).rejects.toThrow(
      /span 'garment 0' do not fit side by side in a length of 20/,
    );
    const { spanLength: _, ...without } = instance;
    await expect(nest(without, quick)).rejects.toThrow(/no span length/);
    await expect(nest({ ...instance, spanLength: 0 }, quick)).rejects.toThrow(/invalid span length: 0/);
    const items = [item('bar', rectangle(7, 2), 4, { spans: ['a'] })];
    await expect(nest({ ...instance, items }, quick)).rejects.toThrow(/1 spans for 4 copies/);
  });
});

describe('pieces glued to a side', () => {
  it('touch it, each its own', async () => {
    const instance: NestInstance = {
      ...mixed,
      items: [
        item('corner', corner, 4, { edge: 'low' }),
        item('triangle', triangle, 4, { edge: 'high', rotations: [0, 37] }),
        item('bar', rectangle(7, 2), 6),
      ],
    };
    const result = await nest(instance, quick);
    expect(verify(instance, result.placements).faults).toEqual([]);
    expect(worstOverlap(instance, result.placements)).toBeLessThan(1e-9);
    for (const p of result.placements) {
      const ys = laid(instance, p).map(([, y]) => y);
      if (p.item === 'corner') expect(Math.min(...ys)).toBeCloseTo(0, 8);
      if (p.item === 'triangle') expect(Math.max(...ys)).toBeCloseTo(20, 8);
    }
  });

  it('are missed when they stand off it, by the verifier', () => {
    const half = (edge: 'low' | 'high') => ({
      name: 't',
      stripWidth: 9,
      items: [item('tile', rectangle(3, 3), 1, { edge })],
    });
    expect(kinds(half('low'), [put('tile', 0, 0, 0)])).toEqual([]);
    expect(kinds(half('low'), [put('tile', 0, 0, 1e-6)])).toEqual(['edge']);
    expect(kinds(half('high'), [put('tile', 0, 0, 6)])).toEqual([]);
    expect(kinds(half('high'), [put('tile', 0, 0, 6 - 1e-6)])).toEqual(['edge']);
  });
});

describe('tilt', () => {
  // A parallelogram leaning by 3 degrees: upright it wastes room at both ends of a row, tilted it does not.
  const lean = Math.tan((3 * Math.PI) / 180);
  const leaning: Vec[] = [
    [0, 0],
    [4, 0],
    [4 + 19 * lean, 19],
    [19 * lean, 19],
  ];
  const instance: NestInstance = {
    name: 'leaning',
    stripWidth: 20,
    items: [item('leaning', leaning, 3, { rotations: [0] })],
  };

  it('saves what leaning outlines waste, and stays within its degrees', async () => {
    const upright = await nest(instance, quick);
    const tilting = { ...instance, items: [{ ...instance.items[0]!, tilt: 3 }] };
    const tilted = await nest(tilting, quick);
    expect(verify(tilting, tilted.placements).faults).toEqual([]);
    expect(worstOverlap(tilting, tilted.placements)).toBeLessThan(1e-9);
    for (const { rotation } of tilted.placements) {
      expect(Math.min(rotation, 360 - rotation)).toBeLessThanOrEqual(3);
    }
    expect(upright.length).toBeGreaterThan(12 + 18 * lean - 1e-6);
    // Upright copies are 4 cos 3 wide each and need no more than their width in a row.
    expect(tilted.length).toBeLessThan(12 + 19 * lean - 0.5);
  });

  it('is allowed up to its degrees by the verifier, from one rotation for all of a group', () => {
    const tilting = (groups: readonly string[]): NestInstance => ({
      name: 't',
      stripWidth: 90,
      items: [item('tile', rectangle(3, 3), 2, { tilt: 2, rotations: [0, 180], groups })],
    });
    const at = (a: number, b: number) => [
      put('tile', 0, 10, 10, { rotation: a }),
      put('tile', 1, 30, 10, { rotation: b }),
    ];
    expect(kinds(tilting(['a', 'a']), at(2, 358))).toEqual([]);
    expect(kinds(tilting(['a', 'a']), at(2.1, 0))).toContain('transform');
    expect(kinds(tilting(['a', 'a']), at(2, 181))).toEqual(['group']);
    expect(kinds(tilting(['a', 'b']), at(2, 181))).toEqual([]);
  });

  it('beyond fifteen degrees is refused', async () => {
    const wild = { ...instance, items: [{ ...instance.items[0]!, tilt: 16 }] };
    await expect(nest(wild, quick)).rejects.toThrow(/invalid tilt: 16/);
  });
});

describe('a given start', () => {
  it('is never made worse, and is improved where it can be', async () => {
    const first = await nest(mixed, { ...quick, iterations: 1, seed: 4 });
    const again = await nest({ ...mixed, start: first.placements }, { ...quick, iterations: 0 });
    expect(again.placements).toEqual(first.placements);
    expect(again.length).toBe(first.length);
    // A poor layout: all pieces in a row.
    let x = 0;
    const row = first.placements.map((p): Placement => {
      x += 9;
      return { ...p, rotation: 0, x: x - 9, y: 0 };
    });
    const better = await nest({ ...mixed, start: row }, quick);
    expect(better.trace[0]!.length).toBeGreaterThan(100);
    expect(better.length).toBeLessThan(30);
    expect(verify(mixed, better.placements).faults).toEqual([]);
  });

  it('may use a turn that the search leaves out as a symmetric piece does not need it', async () => {
    const tiles = { name: 't', stripWidth: 9, items: [item('tile', rectangle(3, 4), 2)] };
    const start = [put('tile', 0, 3, 4, { rotation: 180 }), put('tile', 1, 0, 4.5)];
    const result = await nest({ ...tiles, start }, { ...quick, iterations: 0 });
    expect(result.placements).toEqual(start);
  });

  it('with a fault is refused', async () => {
    const start = [put('tile', 0, 0, 0), put('tile', 1, 1, 1)];
    const tiles = { name: 't', stripWidth: 9, items: [item('tile', rectangle(3, 4), 2)], start };
    await expect(nest(tiles, quick)).rejects.toThrow(InputError);
    await expect(nest(tiles, quick)).rejects.toThrow(/without fault: tile#0 and tile#1 overlap/);
    await expect(nest({ ...tiles, start: [start[0]!] }, quick)).rejects.toThrow(/tile#1 is not placed/);
  });
});

describe('the extras together', () => {
  it('give the same layout in the calling thread and in workers', async () => {
    const instance: NestInstance = {
      ...mixed,
      gap: 0.2,
      spanLength: 30,
      items: [
        item('corner', corner, 5, { tilt: 2, spans: ['a', 'a', 'b', 'b', 'b'] }),
        item('triangle', triangle, 6, { edge: 'low' }),
        item('bar', rectangle(7, 2), 4),
      ],
      zones: [moved(rectangle(2, 3), 5, 9)],
      pins: [put('bar', 0, 12, 17)],
    };
    const options = { iterations: 2, lanes: 2, seed: 7 };
    const alone = await nest(instance, { ...options, threads: 0 });
    const threads = await nest(instance, { ...options, threads: 2 });
    expect(threads.placements).toEqual(alone.placements);
    expect(verify(instance, alone.placements).faults).toEqual([]);
  });
});

describe('any mixture of them', () => {
  it('never gives a faulty layout', async () => {
    const pair = fc.tuple(fc.integer({ min: 0, max: 60 }), fc.integer({ min: -4, max: 18 }));
    await fc.assert(
      fc.asyncProperty(
        fc.array(pair, { maxLength: 4 }),
        fc.constantFrom(undefined, 'low' as const, 'high' as const),
        fc.constantFrom(0, 1.5),
        fc.boolean(),
        async (corners, edge, tilt, spans) => {
          const instance: NestInstance = {
            ...mixed,
            gap: 0.1,
            spanLength: 24,
            zones: corners.map(([x, y]) => moved(triangle, x, y)),
            items: [
              item('corner', corner, 3, { tilt, ...(edge ? { edge } : {}) }),
              item('bar', rectangle(7, 2), 4, spans ? { spans: ['a', 'a', 'b', 'b'] } : {}),
            ],
          };
          const result = await nest(instance, { ...quick, iterations: 1 });
          expect(verify(instance, result.placements).faults).toEqual([]);
          for (const p of result.placements) {
            for (const zone of instance.zones!)
              expect(sharedArea(laid(instance, p), zone)).toBeLessThan(1e-9);
          }
        },
      ),
      { numRuns: 12, seed: 3 },
    );
  });
});

describe('their JSON form', () => {
  it('is read, with zones as rectangles or polygons', () => {
    const json = {
      name: 'x',
      stripWidth: 9,
      spanLength: 40,
      zones: [{ x: 1, y: 2, width: 3, height: 4 }, { polygon: [...triangle].reverse() }],
      pins: [{ item: 1, copy: 0, rotation: 0, x: 4, y: 4 }],
      items: [{ id: 1, demand: 1, polygon: rectangle(2, 2), tilt: 1.5, edge: 'low', spans: ['a'] }],
    };
    const instance = readInstance(json);
    expect(instance.zones![0]).toEqual(moved(rectangle(3, 4), 1, 2));
    expect(sharedArea(instance.zones![1]!, triangle)).toBeCloseTo(30, 9);
    expect(instance.pins).toEqual([put('1', 0, 4, 4)]);
    expect(instance.items[0]).toMatchObject({ tilt: 1.5, edge: 'low', spans: ['a'] });
    expect(instance.spanLength).toBe(40);
    expect('start' in instance).toBe(false);
    expect(() => readInstance({ ...json, zones: [{ x: 1 }] })).toThrow(/not a nesting instance/);
    expect(() => readPlacements({ placements: [{ item: 'a' }] })).toThrow(/not a layout/);
    expect(readPlacements({ placements: json.pins, length: 3 })).toEqual(instance.pins);
  });
});
