import * as fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Vec } from '../../src/geometry/vec.js';
import { decimals, exactOutline, exactUnits, interiorsMeet, placed } from '../../src/nest/exact.js';
import { type NestInstance, type Placement, verify } from '../../src/nest/index.js';
import { roundedUp } from '../../src/nest/verify.js';
import { corner, item, rectangle, sharedArea, starPolygon } from './shapes.js';

const tiles: NestInstance = {
  name: 'tiles',
  stripWidth: 10,
  items: [item('tile', rectangle(4, 5), 4, { groups: ['a', 'a', 'b', 'b'] })],
};

const at = (copy: number, x: number, y: number, rest: Partial<Placement> = {}): Placement => ({
  item: 'tile',
  copy,
  rotation: 0,
  mirror: false,
  x,
  y,
  ...rest,
});

const tiled = [at(0, 0, 0), at(1, 0, 5), at(2, 4, 0), at(3, 4, 5)];

const kinds = (instance: NestInstance, placements: readonly Placement[]) =>
  verify(instance, placements).faults.map((fault) => fault.kind);

describe('verify', () => {
  it('accepts tiles that touch along whole edges, and measures them', () => {
    expect(verify(tiles, tiled)).toEqual({ ok: true, length: 8, density: 1, faults: [] });
  });

  it('rejects an overlap of a millionth', () => {
    expect(kinds(tiles, [tiled[0]!, tiled[1]!, at(2, 4 - 1e-6, 0), tiled[3]!])).toEqual(['overlap']);
  });

  it('rejects the smallest overlap that can be written', () => {
    expect(kinds(tiles, [tiled[0]!, tiled[1]!, at(2, 3.9999999999999996, 0), tiled[3]!])).toEqual([
      'overlap',
    ]);
  });

  it('judges pieces drawn far from where they are placed by their decimals, not by their floats', () => {
    const far: NestInstance = {
      name: 'far',
      stripWidth: 10,
      gap: 0,
      items: [
        item(
          'tile',
          rectangle(0.2, 1).map(([x, y]): Vec => [x === 0 ? 100000.4 : 100000.6, y]),
          2,
        ),
      ],
    };
    // 100000.4 - 100000.2 is 0.2 and a bit in floats: the two touch, as the float boxes do not tell.
    const first = at(0, -100000.4, 0);
    expect(kinds(far, [first, at(1, -100000.2, 0.5)])).toEqual([]);
    // The next float below -100000.2.
    expect(kinds(far, [first, at(1, -100000.20000000001, 0.5)])).toEqual(['overlap']);
    expect(kinds({ ...far, gap: 0.1 }, [first, at(1, -100000.1, 0.5)])).toEqual([]);
    expect(kinds({ ...far, gap: 0.1 }, [first, at(1, -100000.10000000002, 0.5)])).toEqual(['gap']);
  });

  it('rejects a piece that lies exactly on another', () => {
    expect(kinds(tiles, [tiled[0]!, tiled[1]!, tiled[2]!, at(3, 4, 0)])).toEqual(['overlap']);
  });

  it('rejects a piece outside the strip on each side', () => {
    for (const [x, y] of [
      [4, -1e-9],
      [4, 5.000000001],
      [-1e-9, 5],
    ] as const) {
      const faults = kinds(tiles, [at(0, 20, 0), at(1, 30, 0), at(2, 40, 0), at(3, x, y)]);
      expect(faults).toEqual(['outside']);
    }
  });

  it('rejects rotations and mirrors that are not allowed, and groups turned apart', () => {
    expect(kinds(tiles, [at(0, 9, 0, { rotation: 90 }), at(1, 9, 5), tiled[2]!, tiled[3]!])).toContain(
      'transform',
    );
    expect(kinds(tiles, [at(0, 4, 0, { mirror: true }), at(1, 0, 5), at(2, 4, 0), at(3, 4, 5)])).toEqual([
      'transform',
    ]);
    expect(kinds(tiles, [at(0, 4, 5, { rotation: 180 }), tiled[1]!, tiled[2]!, tiled[3]!])).toContain(
      'group',
    );
    expect(
      kinds(tiles, [at(0, 4, 5, { rotation: 180 }), at(1, 4, 10, { rotation: -180 }), tiled[2]!, tiled[3]!]),
    ).toEqual([]);
  });

  it('rejects missing, repeated and unknown copies and numbers that are none', () => {
    expect(kinds(tiles, tiled.slice(1))).toEqual(['missing']);
    expect(kinds(tiles, [...tiled, at(3, 40, 0)])).toEqual(['repeated']);
    expect(kinds(tiles, [...tiled, at(4, 40, 0)])).toEqual(['unknown']);
    expect(kinds(tiles, [...tiled, { ...at(0, 40, 0), item: 'other' }])).toEqual(['unknown']);
    expect(kinds(tiles, [tiled[0]!, tiled[1]!, tiled[2]!, at(3, Number.NaN, 5)])).toEqual(['number']);
  });

  it('holds the gap to the last digit, along edges and at corners', () => {
    const pair = { name: 'pair', stripWidth: 30, gap: 5, items: [item('tile', rectangle(4, 5), 2)] };
    expect(kinds(pair, [at(0, 0, 0), at(1, 9, 0)])).toEqual([]);
    expect(kinds(pair, [at(0, 0, 0), at(1, 8.999999999, 0)])).toEqual(['gap']);
    // Corner to corner at 3, 4: the distance is exactly 5.
    expect(kinds(pair, [at(0, 0, 0), at(1, 7, 9)])).toEqual([]);
    expect(kinds(pair, [at(0, 0, 0), at(1, 7, 8.9999999999)])).toEqual(['gap']);
  });

  it('judges decimals as they are written, not as floats: 0.1 + 0.2 touches 0.3', () => {
    const thin = { name: 'thin', stripWidth: 1, items: [item('tile', rectangle(0.2, 1), 2)] };
    expect(0.1 + 0.2).not.toBe(0.3);
    expect(kinds(thin, [at(0, 0.1, 0), at(1, 0.3, 0)])).toEqual([]);
  });

  it('finds a piece that lies wholly inside another', () => {
    const nested = {
      name: 'nested',
      stripWidth: 30,
      items: [item('big', rectangle(20, 20), 1), item('small', rectangle(2, 2), 1)],
    };
    const big = { item: 'big', copy: 0, rotation: 0, mirror: false, x: 0, y: 0 };
    expect(kinds(nested, [big, { ...big, item: 'small', x: 9, y: 9 }])).toEqual(['overlap']);
  });
});

describe('exact polygons', () => {
  const shape = (points: readonly Vec[], x = 0, y = 0) => placed(exactOutline(points, 20), x, y);

  it('agree with polyclip-ts on random star polygons at random places', () => {
    const place = fc.integer({ min: -1000, max: 1000 }).map((v) => v / 100);
    fc.assert(
      fc.property(starPolygon(), starPolygon(), place, place, (a, b, x, y) => {
        const shared = sharedArea(
          a,
          b.map(([u, v]): Vec => [u + x, v + y]),
        );
        if (shared === 0 || shared > 1e-9) expect(interiorsMeet(shape(a), shape(b, x, y))).toBe(shared > 0);
      }),
      { numRuns: 300, seed: 5 },
    );
  });

  it('see an L locked into another as touching, and a hair more as overlap', () => {
    const turned = corner.map(([x, y]): Vec => [-x, -y]);
    expect(interiorsMeet(shape(corner), shape(turned, 11, 12))).toBe(false);
    expect(interiorsMeet(shape(corner), shape(turned, 11 - 1e-12, 12))).toBe(false);
    expect(interiorsMeet(shape(corner), shape(turned, 8, 6))).toBe(true);
    expect(interiorsMeet(shape(corner), shape(corner, 3, 3))).toBe(false);
    expect(interiorsMeet(shape(corner), shape(corner, 3, 3 - 1e-12))).toBe(true);
  });

  it('see vertices that cut through a vertex of the other', () => {
    const diamond: Vec[] = [
      [0, -2],
      [2, 0],
      [0, 2],
      [-2, 0],
    ];
    // Its corners lie on the corners of the other and its edges run through the inside.
    const square = rectangle(2, 2).map(([x, y]): Vec => [x, y]);
    expect(interiorsMeet(shape(diamond), shape(square))).toBe(true);
    expect(interiorsMeet(shape(diamond), shape(diamond, 2, 2))).toBe(false);
    expect(interiorsMeet(shape(diamond), shape(diamond))).toBe(true);
  });

  it('read the decimals of numbers in every notation', () => {
    expect([1, 0.25, 1e-7, 1.5e-7, 1e21, -3.125].map(decimals)).toEqual([0, 2, 7, 8, 0, 3]);
    expect(exactUnits(-0.5, 3)).toBe(-500n);
    expect(exactUnits(1.5e-7, 8)).toBe(15n);
    expect(exactUnits(1e21, 0)).toBe(10n ** 21n);
    expect(() => exactUnits(0.25, 1)).toThrow('0.25 has more than 1 decimals');
  });

  it('round a length up to a number that prints as no less', () => {
    expect(roundedUp(15n, 1)).toBe(1.5);
    const units = 1234567890123456789012n;
    const value = roundedUp(units, 20);
    expect(exactUnits(value, 30) >= units * 10n ** 10n).toBe(true);
    expect(value).toBeLessThan(12.3456789012347);
  });
});
