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
