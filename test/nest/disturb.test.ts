import * as fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { Disturber } from '../../src/nest/disturb.js';
import { Fields } from '../../src/nest/fields.js';
import { Layout } from '../../src/nest/layout.js';
import { createProblem } from '../../src/nest/problem.js';
import { Random } from '../../src/nest/random.js';
import { boxStart } from '../../src/nest/start.js';
import { mixedPools, movedCopies, poolsOf } from './pools.js';
import { mixed } from './shapes.js';

describe('a disturbance', () => {
  const problem = createProblem(mixed);
  const layout = new Layout(problem, new Fields(mixedPools()));
  const start = boxStart(problem);
  const centre = (x: ArrayLike<number>, variant: ArrayLike<number>, i: number) => {
    const v = problem.variants[variant[i]!]!;
    return x[i]! + (v.minX + v.maxX) / 2;
  };
  const assertInside = () => {
    for (let i = 0; i < layout.count; i++) {
      const v = problem.variants[layout.variant[i]!]!;
      expect(layout.x[i]! + v.minX).toBeGreaterThanOrEqual(-1e-9);
      expect(layout.x[i]! + v.maxX).toBeLessThanOrEqual(layout.length + 1e-9);
      expect(layout.y[i]!).toBeGreaterThanOrEqual(v.leastY - 1e-9);
      expect(layout.y[i]!).toBeLessThanOrEqual(v.mostY + 1e-9);
      expect(problem.variantsOfItem[problem.itemOf[i]!]).toContain(layout.variant[i]);
    }
  };

  it('scatters a stretch inside the strip, lengthened for it, and leaves the pieces before it as they lie', () => {
    let scattered = 0;
    fc.assert(
      fc.property(fc.integer(), fc.double({ min: 0.1, max: 3, noNaN: true }), (seed, widths) => {
        layout.load(start);
        const before = layout.save();
        const added = new Disturber(layout, new Random(seed)).scatter(widths * problem.width, 0.1);
        expect(added).toBeCloseTo(0.1 * Math.min(widths * problem.width, before.length), 9);
        expect(layout.length).toBeCloseTo(before.length + added, 9);
        assertInside();
        // Pieces that were not scattered stay, or move along by what was added; sorted by place, they stand at both ends.
        const order = [...before.x.keys()].sort(
          (i, j) => centre(before.x, before.variant, i) - centre(before.x, before.variant, j),
        );
        const moved = order.map((i) => {
          if (layout.variant[i] !== before.variant[i] || layout.y[i] !== before.y[i]) return 'scattered';
          const by = layout.x[i]! - before.x[i]!;
          return Math.abs(by) < 1e-9 ? 'kept' : Math.abs(by - added) < 1e-9 ? 'shifted' : 'scattered';
        });
        expect(moved.join(' ')).toMatch(/^(kept ?)*(scattered ?)*(shifted ?)*$/);
        scattered += moved.filter((m) => m === 'scattered').length;
      }),
      { numRuns: 60, seed: 7 },
    );
    expect(scattered).toBeGreaterThan(60);
  });

  it('shortens by moving what lies behind a cut, all by the same', () => {
    let moved = 0;
    fc.assert(
      fc.property(fc.integer(), (seed) => {
        layout.load(start);
        const before = layout.save();
        new Disturber(layout, new Random(seed)).shorten(0.98 * before.length);
        expect(layout.length).toBe(0.98 * before.length);
        assertInside();
        // Left of the cut all stay, right of it all move by what was cut off, but for what the ends stop.
        const cut = 0.02 * before.length;
        const order = [...before.x.keys()].sort(
          (i, j) => centre(before.x, before.variant, i) - centre(before.x, before.variant, j),
        );
        const shifts = order.map((i) => {
          const v = problem.variants[layout.variant[i]!]!;
          const by = before.x[i]! - layout.x[i]!;
          const stopped = layout.x[i]! + v.minX < 1e-9 || layout.x[i]! + v.maxX > layout.length - 1e-9;
          return Math.abs(by) < 1e-9
            ? 'stays'
            : Math.abs(by - cut) < 1e-9
              ? 'moves'
              : stopped
                ? 'stopped'
                : 'else';
        });
        expect(shifts.join(' ')).toMatch(/^((stays|stopped) ?)*((moves|stopped) ?)*$/);
        moved += shifts.filter((shift) => shift === 'moves').length;
      }),
      { numRuns: 40, seed: 8 },
    );
    expect(moved).toBeGreaterThan(100);
  });

  it('lays one piece elsewhere where all are alike', () => {
    const alike = createProblem({ ...mixed, items: [{ ...mixed.items[1]!, demand: 12 }] });
    const one = new Layout(alike, new Fields(poolsOf(alike)));
    const laid = boxStart(alike);
    for (let seed = 0; seed < 20; seed++) {
      one.load(laid);
      new Disturber(one, new Random(seed)).swap();
      const touched = movedCopies(laid, one);
      expect(touched).toHaveLength(1);
      const v = alike.variants[one.variant[touched[0]!]!]!;
      expect(one.x[touched[0]!]! + v.minX).toBeGreaterThanOrEqual(-1e-9);
      expect(one.x[touched[0]!]! + v.maxX).toBeLessThanOrEqual(one.length + 1e-9);
    }
  });

  it('swaps two pieces of different items and leaves the others', () => {
    fc.assert(
      fc.property(fc.integer(), (seed) => {
        layout.load(start);
        const before = layout.save();
        new Disturber(layout, new Random(seed)).swap();
        const touched = movedCopies(before, layout);
        expect(touched).toHaveLength(2);
        expect(problem.itemOf[touched[0]!]).not.toBe(problem.itemOf[touched[1]!]);
        assertInside();
      }),
      { numRuns: 40, seed: 9 },
    );
  });

  it('swaps where that leaves little overlap, as exchanges at random do not', () => {
    const better = { than: 0, of: 0 };
    for (let seed = 0; seed < 20; seed++) {
      const random = new Random(100 + seed);
      layout.load(start);
      layout.length *= 1.05;
      new Disturber(layout, new Random(seed)).swap();
      const chosen = layout.total();
      for (let k = 0; k < 20; k++) {
        layout.load(start);
        layout.length *= 1.05;
        const i = random.below(layout.count);
        const others = [...start.x.keys()].filter((j) => problem.itemOf[j] !== problem.itemOf[i]);
        const j = others[random.below(others.length)]!;
        layout.place(i, layout.variant[i]!, start.x[j]!, start.y[j]!);
        layout.place(j, layout.variant[j]!, start.x[i]!, start.y[i]!);
        layout.clamp(i);
        layout.clamp(j);
        layout.refresh();
        better.of++;
        if (chosen <= layout.total()) better.than++;
      }
    }
    expect(better.than / better.of).toBeGreaterThan(0.95);
  });
});
