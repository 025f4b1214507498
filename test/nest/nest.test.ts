import { readFileSync } from 'node:fs';
import * as fc from 'fast-check';
import { describe, expect, it, vi } from 'vitest';
import { InputError } from '../../src/errors.js';
import type { Vec } from '../../src/geometry/vec.js';
import {
  type NestInstance,
  type NestProgress,
  type NestResult,
  nest,
  readInstance,
  verify,
} from '../../src/nest/index.js';
import {
  clearance,
  corner,
  item,
  laid,
  mixed,
  rectangle,
  starPolygon,
  triangle,
  worstOverlap,
} from './shapes.js';

// Rounds are a fixed amount of work: on a slow or busy machine they take as long as they take.
vi.setConfig({ testTimeout: 60_000 });

describe('nest', () => {
  it('places every copy once, inside the strip, with no shared area by polyclip-ts', async () => {
    const result = await nest(mixed, { iterations: 3, threads: 0, lanes: 1, seed: 4 });
    expect(result.placements).toHaveLength(15);
    expect(verify(mixed, result.placements).faults).toEqual([]);
    expect(worstOverlap(mixed, result.placements)).toBeLessThan(1e-9);
    for (const placement of result.placements) {
      for (const [x, y] of laid(mixed, placement)) {
        expect(x).toBeGreaterThan(-1e-9);
        expect(x).toBeLessThan(result.length + 1e-9);
        expect(y).toBeGreaterThan(-1e-9);
        expect(y).toBeLessThan(20 + 1e-9);
      }
    }
    expect(result.density).toBeGreaterThan(0.75);
    expect(result.verified).toBe(true);
  });

  it('gives the same layout in the calling thread and with 1, 2 or 4 workers', async () => {
    const options = { iterations: 2, seed: 9, lanes: 4 };
    const alone = await nest(mixed, { ...options, threads: 0 });
    for (const threads of [1, 2, 4]) {
      const result = await nest(mixed, { ...options, threads });
      expect(result.placements).toEqual(alone.placements);
      expect(result.moves).toBe(alone.moves);
    }
  });

  it('gives another layout for another seed', async () => {
    const [a, b] = await Promise.all(
      [1, 2].map((seed) => nest(mixed, { iterations: 4, seed, threads: 0, lanes: 1 })),
    );
    expect(a!.placements).not.toEqual(b!.placements);
  });

  it('is repeated by the rounds that a timed run reports', async () => {
    // A machine that stalls in the last rounds cuts a timed run short, and the result says so: try again.
    let timed: NestResult;
    let tries = 0;
    do timed = await nest(mixed, { seconds: 1 + tries, threads: 2, lanes: 2, seed: 3 });
    while (!timed.repeatable && ++tries < 4);
    expect(timed.repeatable).toBe(true);
    const again = await nest(mixed, { iterations: timed.iterations, threads: 1, lanes: 2, seed: 3 });
    expect(again.placements).toEqual(timed.placements);
  });

  it('survives being written and read: what is printed is what was checked', async () => {
    const result = await nest(mixed, { iterations: 2, threads: 0, lanes: 1 });
    const read = JSON.parse(JSON.stringify(result)) as typeof result;
    const report = verify(mixed, read.placements);
    expect(report.ok).toBe(true);
    expect(report.length).toBe(read.length);
  });

  it('returns the best so far when aborted, and at once when aborted before', async () => {
    for (const threads of [0, 2]) {
      const stop = new AbortController();
      let seen = Infinity;
      const result = await nest(mixed, {
        iterations: 1e6,
        threads,
        signal: stop.signal,
        onProgress: ({ round, length }) => {
          seen = length;
          if (round >= 2) stop.abort();
        },
      });
      expect(result).toMatchObject({ stopped: true, repeatable: false });
      expect(result.failure).toBeUndefined();
      expect(result.iterations).toBeLessThan(10);
      expect(result.length).toBeLessThanOrEqual(seen * (1 + 1e-12));
      expect(result.length).toBeLessThan(result.trace[0]!.length);
      expect(verify(mixed, result.placements).ok).toBe(true);
    }

    const before = await nest(mixed, { seconds: 60, threads: 0, signal: AbortSignal.abort() });
    expect(before.stopped).toBe(true);
    expect(before.iterations).toBe(0);
    expect(verify(mixed, before.placements).ok).toBe(true);
  });

  it('reports progress from start to done with lengths that never grow', async () => {
    const seen: NestProgress[] = [];
    const result = await nest(mixed, {
      iterations: 3,
      threads: 0,
      lanes: 1,
      onProgress: (p) => seen.push(p),
    });
    expect(seen[0]!.phase).toBe('start');
    expect(seen.at(-1)!.phase).toBe('done');
    expect(seen.at(-1)!.length).toBeCloseTo(result.length, 9);
    expect(new Set(seen.map((p) => p.phase))).toContain('tighten');
    for (let i = 1; i < seen.length; i++) expect(seen[i]!.length).toBeLessThanOrEqual(seen[i - 1]!.length);
    expect(result.trace.at(-1)!.length).toBeLessThan(result.trace[0]!.length);
  });

  it('keeps the gap between all pieces, and needs none to the edges', async () => {
    const instance: NestInstance = { ...mixed, gap: 0.75 };
    const result = await nest(instance, { iterations: 3, threads: 0, lanes: 1 });
    expect(verify(instance, result.placements).faults).toEqual([]);
    const polygons = result.placements.map((p) => laid(instance, p));
    let least = Infinity;
    for (let i = 0; i < polygons.length; i++) {
      for (let j = 0; j < i; j++) least = Math.min(least, clearance(polygons[i]!, polygons[j]!));
    }
    expect(least).toBeGreaterThan(0.75 - 1e-9);
    expect(Math.min(...polygons.flat().map(([, y]) => y))).toBeLessThan(0.1);
  });

  it('turns the pieces of a group alike', async () => {
    const groups = (count: number) => Array.from({ length: count }, (_, k) => `g${k % 3}`);
    const instance: NestInstance = {
      ...mixed,
      items: [
        item('corner', corner, 6, { groups: groups(6) }),
        item('triangle', triangle, 6, { groups: groups(6) }),
      ],
    };
    const result = await nest(instance, { iterations: 3, threads: 0, lanes: 2 });
    expect(verify(instance, result.placements).faults).toEqual([]);
    for (let g = 0; g < 3; g++) {
      const turns = result.placements.filter((p) => p.copy % 3 === g).map((p) => p.rotation);
      expect(new Set(turns).size).toBe(1);
    }
  });

  it('mirrors and turns freely where that is allowed', async () => {
    const instance: NestInstance = {
      ...mixed,
      items: [item('triangle', triangle, 8, { rotations: [0, 37.5, 90, 211], mirror: true })],
    };
    const result = await nest(instance, { iterations: 3, threads: 0, lanes: 1 });
    expect(verify(instance, result.placements).faults).toEqual([]);
    expect(worstOverlap(instance, result.placements)).toBeLessThan(1e-9);
    expect(result.placements.some((p) => p.mirror)).toBe(true);
  });

  it('lays one piece flush with the start', async () => {
    const instance = {
      name: 'one',
      stripWidth: 20,
      items: [item('corner', corner, 1, { rotations: [0, 90] })],
    };
    const result = await nest(instance, { iterations: 4, threads: 0 });
    expect(result.length).toBe(8);
  });

  it('packs a piece exactly as wide as the strip with others, without waste where there need be none', async () => {
    const instance: NestInstance = {
      name: 'full',
      stripWidth: 0.7,
      items: [item('wide', rectangle(0.3, 0.7), 3), item('half', rectangle(0.2, 0.35), 6)],
    };
    const result = await nest(instance, { iterations: 4, threads: 0, lanes: 1 });
    expect(result.length).toBeCloseTo(1.5, 5);
  });

  it('finds the tiling of equal rectangles to the last digit', async () => {
    const instance: NestInstance = {
      name: 'tiles',
      stripWidth: 40,
      items: [item('tile', rectangle(6, 10), 12)],
    };
    const result = await nest(instance, { iterations: 10, threads: 0, lanes: 1 });
    expect(result.density).toBe(1);
    expect(result.length).toBe(18);
  });

  it('never returns a faulty layout of random polygons', async () => {
    await fc.assert(
      fc.asyncProperty(
        fc.array(starPolygon(1, 4), { minLength: 1, maxLength: 4 }),
        fc.nat(1000),
        async (shapes, seed) => {
          const instance: NestInstance = {
            name: 'random',
            stripWidth: 9,
            items: shapes.map((polygon, i) =>
              item(String(i), polygon, 1 + (i % 3), { rotations: [0, 90, 180] }),
            ),
          };
          const result = await nest(instance, { iterations: 1, seed, threads: 0, lanes: 1 });
          expect(verify(instance, result.placements).faults).toEqual([]);
          expect(worstOverlap(instance, result.placements)).toBeLessThan(1e-9);
        },
      ),
      { numRuns: 8, seed: 2 },
    );
  });

  it('refuses what cannot be packed, saying what and where', async () => {
    const only = (polygon: readonly Vec[], rest = {}, strip = {}) =>
      nest(
        { name: 'bad', stripWidth: 10, items: [item('piece', polygon, 1, rest)], ...strip },
        { threads: 0 },
      );
    const bow: Vec[] = [
      [0, 0],
      [4, 4],
      [4, 0],
      [0, 6],
    ];
    await expect(only(rectangle(11, 12))).rejects.toThrow(
      /'piece' is too wide for the strip: 12 .* the strip is 10/,
    );
    await expect(only(rectangle(12, 4), { rotations: [90] })).rejects.toThrow(InputError);
    await expect(only(bow)).rejects.toThrow(/crosses or touches itself/);
    await expect(only([...rectangle(2, 3)].reverse())).rejects.toThrow(/clockwise/);
    await expect(
      only([
        [0, 0],
        [1, 1],
      ]),
    ).rejects.toThrow(/needs 3 vertices/);
    await expect(
      only([
        [0, 0],
        [1, 1],
        [2, 2],
      ]),
    ).rejects.toThrow(/no area/);
    await expect(
      only([
        [0, 0],
        [1, Number.NaN],
        [2, 2],
      ]),
    ).rejects.toThrow(/not a finite number/);
    await expect(only(triangle, { demand: 0 })).rejects.toThrow(/invalid demand: 0/);
    await expect(only(triangle, { demand: 1.5 })).rejects.toThrow(/invalid demand/);
    await expect(only(triangle, { rotations: [] })).rejects.toThrow(/invalid rotations/);
    await expect(only(triangle, { groups: ['a', 'b'] })).rejects.toThrow(/2 groups for 1 copies/);
    await expect(only(triangle, {}, { stripWidth: -3 })).rejects.toThrow(/invalid strip width: -3/);
    await expect(only(triangle, {}, { gap: -1 })).rejects.toThrow(/invalid gap: -1/);
    await expect(only(triangle, {}, { items: [] })).rejects.toThrow(/no items/);
    await expect(only(triangle, { demand: 1e9 })).rejects.toThrow(/the most in one layout are 5000/);
    await expect(only(triangle, {}, { zones: [rectangle(1e6, 1)] })).rejects.toThrow(
      /zone 1 is 1000000 long/,
    );
    await expect(nest(mixed, { seconds: 0 })).rejects.toThrow(/invalid seconds: 0/);
    await expect(nest(mixed, { iterations: 1.5 })).rejects.toThrow(/invalid iterations/);
    await expect(nest(mixed, { iterations: 1, seconds: 1 })).rejects.toThrow(/both/);
    await expect(nest(mixed, { seed: 0.5 })).rejects.toThrow(/invalid seed/);
  });
});

describe('readInstance', () => {
  const square = { id: 's', demand: 2, allowedOrientations: [0], polygon: rectangle(2, 2) };

  it('reads the JSON form, turns polygons counter-clockwise and opens closed ones', () => {
    const clockwise = [...rectangle(2, 2)].reverse();
    const instance = readInstance({
      name: 'x',
      stripWidth: 5,
      items: [{ ...square, id: 7, polygon: [...clockwise, clockwise[0]] }],
    });
    expect(instance.items[0]!.id).toBe('7');
    expect(instance.items[0]!.polygon).toEqual(rectangle(2, 2));
  });

  it('names the field that is wrong', () => {
    const bad = () => readInstance({ name: 'x', stripWidth: 5, items: [{ ...square, demand: -2 }] });
    expect(bad).toThrow(InputError);
    try {
      bad();
    } catch (error) {
      expect((error as InputError).place.path).toBe('items.0.demand');
    }
  });

  it('refuses slips in names of fields, which would be lost, and passes over fields of other programs', () => {
    const base = { name: 'x', stripWidth: 5 };
    for (const [json, path, meant] of [
      [
        { ...base, items: [{ ...square, alowedOrientations: [90] }] },
        'items.0.alowedOrientations',
        /allowedOri/,
      ],
      [
        { ...base, items: [square, { ...square, id: 't', rotations: [90] }] },
        'items.1.rotations',
        /allowedOri/,
      ],
      [{ ...base, items: [{ ...square, mirror: true }] }, 'items.0.mirror', /allowMirror/],
      [{ ...base, spanLenght: 4, items: [square] }, 'spanLenght', /spanLength/],
    ] as const) {
      const error = (() => {
        try {
          return readInstance(json);
        } catch (thrown) {
          return thrown as InputError;
        }
      })();
      expect(error).toBeInstanceOf(InputError);
      expect((error as InputError).place.path).toBe(path);
      expect((error as InputError).mend).toMatch(meant);
    }
    const foreign = {
      ...base,
      notes: 'n',
      date: 1,
      width: 3,
      items: [{ ...square, colour: 'red', area: 4 }],
    };
    expect(readInstance(foreign)).toEqual(readInstance({ ...base, items: [square] }));
  });
});

// Open instances of the ESICUP collection (2d_irregular, CC0), converted to JSON; published densities in
// Gardeyn, Vanden Berghe, Wauters 2025, arXiv:2509.13329. Set WALEWISE_BENCHMARKS to their folder to run.
const folder = process.env['WALEWISE_BENCHMARKS'];
describe.skipIf(!folder)('nest on open instances (set WALEWISE_BENCHMARKS to their folder)', () => {
  // Well below the published averages of 20 minutes: what a few rounds must reach on any machine.
  for (const [name, floor] of [
    ['shirts', 0.83],
    ['trousers', 0.86],
    ['dagli', 0.83],
    ['albano', 0.85],
    ['fu', 0.87],
    ['jakobs1', 0.85],
  ] as const) {
    it(`packs ${name} to at least ${floor} in 20 rounds`, async () => {
      const instance = readInstance(JSON.parse(readFileSync(`${folder}/${name}.json`, 'utf8')));
      const result = await nest(instance, { iterations: 20 });
      expect(result.density).toBeGreaterThan(floor);
      expect(verify(instance, result.placements).ok).toBe(true);
    });
  }
});
