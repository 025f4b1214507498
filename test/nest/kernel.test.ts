import * as fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { createKernel, PlainKernel } from '../../src/nest/kernel.js';
import { KernelMemory } from '../../src/nest/kernel-memory.js';
import { mixedPools } from './pools.js';

describe('the kernel of the strip map', () => {
  const pools = mixedPools();
  const tables = pools.rowBase.length;
  const plain = new PlainKernel(pools);
  const fast = createKernel(pools, KernelMemory.of(pools));

  it('runs in WebAssembly here', () => {
    expect(fast).not.toBeInstanceOf(PlainKernel);
  });

  it('gives the same map and the same minima, bit for bit, in WebAssembly and in plain loops', () => {
    const stamp = fc.record({
      table: fc.nat(tables - 1),
      reflected: fc.boolean(),
      shiftX: fc.integer({ min: -70, max: 110 }),
      shiftY: fc.integer({ min: -70, max: 110 }),
      weight: fc.double({ min: 0.01, max: 1e4, noNaN: true }),
    });
    let added = 0;
    let listed = 0;
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 60 }),
        fc.integer({ min: 1, max: 40 }),
        fc.array(stamp, { minLength: 1, maxLength: 12 }),
        fc.double({ min: 0, max: 1e4, noNaN: true }),
        (nx, ny, stamps, bound) => {
          plain.clear(nx * ny);
          fast.clear(nx * ny);
          for (const { table, reflected, shiftX, shiftY, weight } of stamps) {
            const work = plain.add(table, reflected, nx, ny, shiftX, shiftY, weight);
            expect(fast.add(table, reflected, nx, ny, shiftX, shiftY, weight)).toBe(work);
            added += work;
          }
          expect(fast.values.subarray(0, nx * ny)).toEqual(plain.values.subarray(0, nx * ny));
          const count = plain.minima(nx, ny, bound);
          expect(fast.minima(nx, ny, bound)).toBe(count);
          expect(fast.found.subarray(0, count)).toEqual(plain.found.subarray(0, count));
          listed += count;
        },
      ),
      { numRuns: 300, seed: 5 },
    );
    expect(added).toBeGreaterThan(5000);
    expect(listed).toBeGreaterThan(1000);
  });

  it('keeps the same whole numbers, takes away what it added, and opens the same windows of them', () => {
    const [columns, rows] = [60, 40];
    const [keptPlain, keptFast] = [plain.keep(columns * rows), fast.keep(columns * rows)];
    const stamp = fc.record({
      table: fc.nat(tables - 1),
      reflected: fc.boolean(),
      shiftX: fc.integer({ min: -70, max: 110 }),
      shiftY: fc.integer({ min: -70, max: 110 }),
      weight: fc.double({ min: 0.01, max: 1e6, noNaN: true }),
    });
    let added = 0;
    fc.assert(
      fc.property(
        fc.array(stamp, { minLength: 1, maxLength: 12 }),
        fc.integer({ min: 0, max: columns - 1 }),
        fc.integer({ min: 1, max: columns }),
        (stamps, from, wide) => {
          const nx = Math.min(wide, columns - from);
          const all = (kernel: typeof plain | typeof fast, kept: number, sign: number) =>
            stamps.map((s) =>
              kernel.addWhole(kept, s.table, s.reflected, columns, rows, s.shiftX, s.shiftY, sign * s.weight),
            );
          const worked = all(plain, keptPlain, 1);
          expect(all(fast, keptFast, 1)).toEqual(worked);
          added += worked.reduce((a, b) => a + b, 0);
          for (const [kernel, kept] of [
            [plain, keptPlain],
            [fast, keptFast],
          ] as const) {
            kernel.open(kept, columns, from, nx, rows);
            const [{ table, reflected, shiftX, shiftY, weight }] = stamps as [(typeof stamps)[0]];
            kernel.addWhole(undefined, table, reflected, nx, rows, shiftX - from, shiftY, -weight);
            kernel.scale(nx * rows, 1 / 1024);
          }
          expect(fast.values.subarray(0, nx * rows)).toEqual(plain.values.subarray(0, nx * rows));
          all(plain, keptPlain, -1);
          all(fast, keptFast, -1);
          for (const [kernel, kept] of [
            [plain, keptPlain],
            [fast, keptFast],
          ] as const) {
            kernel.open(kept, columns, 0, columns, rows);
            kernel.scale(columns * rows, 1);
            expect(kernel.values.subarray(0, columns * rows).every((value) => value === 0)).toBe(true);
          }
        },
      ),
      { numRuns: 200, seed: 6 },
    );
    expect(added).toBeGreaterThan(5000);
  });

  it('lists exactly the free nodes and the minima among eight neighbours, by a slow look at every node', () => {
    const [nx, ny] = [40, 30];
    plain.clear(nx * ny);
    plain.add(0, false, nx, ny, -5, -3, 1);
    plain.add(1, true, nx, ny, 30, 20, 2.5);
    const at = (row: number, col: number) => plain.values[row * nx + col]!;
    const expected: number[] = [];
    for (let row = 0; row < ny; row++) {
      for (let col = 0; col < nx; col++) {
        let least = true;
        for (let r = Math.max(0, row - 1); r <= Math.min(ny - 1, row + 1); r++) {
          for (let c = Math.max(0, col - 1); c <= Math.min(nx - 1, col + 1); c++) {
            const before = r < row || (r === row && c < col);
            if (before ? at(r, c) <= at(row, col) : at(r, c) < at(row, col)) least = false;
          }
        }
        if (at(row, col) < 3 && (at(row, col) === 0 || least)) expected.push(row * nx + col);
      }
    }
    const count = plain.minima(nx, ny, 3);
    expect([...plain.found.subarray(0, count)]).toEqual(expected);
    expect(count).toBeGreaterThan(10);
  });
});
