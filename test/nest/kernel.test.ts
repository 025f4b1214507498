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

  /** Tables to add, wherever they fall on or beside the map. */
  const stamps = (heaviest: number) =>
    fc.array(
      fc.record({
        table: fc.nat(tables - 1),
        reflected: fc.boolean(),
        shiftX: fc.integer({ min: -70, max: 110 }),
        shiftY: fc.integer({ min: -70, max: 110 }),
        weight: fc.double({ min: 0.01, max: heaviest, noNaN: true }),
      }),
      { minLength: 1, maxLength: 12 },
    );

  it('runs in WebAssembly here', () => {
    expect(fast).not.toBeInstanceOf(PlainKernel);
  });

  it('gives the same map and the same minima, bit for bit, in WebAssembly and in plain loops', () => {
    let added = 0;
    let listed = 0;
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 60 }),
        fc.integer({ min: 1, max: 40 }),
        stamps(1e4),
        fc.double({ min: 0, max: 1e4, noNaN: true }),
        (nx, ny, laid, bound) => {
          plain.clear(nx * ny);
          fast.clear(nx * ny);
          for (const { table, reflected, shiftX, shiftY, weight } of laid) {
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
    const kernels = [plain, fast].map((kernel) => ({ kernel, kept: kernel.keep(columns * rows) }));
    let added = 0;
    fc.assert(
      fc.property(
        stamps(1e6),
        fc.integer({ min: 0, max: columns - 1 }),
        fc.integer({ min: 1, max: columns }),
        (laid, from, wide) => {
          const nx = Math.min(wide, columns - from);
          const addAll = ({ kernel, kept }: (typeof kernels)[number], sign: number) =>
            laid.map((s) =>
              kernel.addWhole(kept, s.table, s.reflected, columns, rows, s.shiftX, s.shiftY, sign * s.weight),
            );
          const [worked, same] = kernels.map((each) => addAll(each, 1));
          expect(same).toEqual(worked);
          added += worked!.reduce((a, b) => a + b, 0);
          for (const { kernel, kept } of kernels) {
            kernel.open(kept, columns, from, nx, rows);
            const { table, reflected, shiftX, shiftY, weight } = laid[0]!;
            kernel.addWhole(undefined, table, reflected, nx, rows, shiftX - from, shiftY, -weight);
            kernel.scale(nx * rows, 1 / 1024);
          }
          expect(fast.values.subarray(0, nx * rows)).toEqual(plain.values.subarray(0, nx * rows));
          for (const each of kernels) {
            addAll(each, -1);
            each.kernel.open(each.kept, columns, 0, columns, rows);
            each.kernel.scale(columns * rows, 1);
            expect(each.kernel.values.subarray(0, columns * rows).every((value) => value === 0)).toBe(true);
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
