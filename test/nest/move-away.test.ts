import { describe, expect, it } from 'vitest';
import { Fields } from '../../src/nest/fields.js';
import { Layout } from '../../src/nest/layout.js';
import { createProblem } from '../../src/nest/problem.js';
import { Random } from '../../src/nest/random.js';
import { Separator } from '../../src/nest/separate.js';
import { boxStart } from '../../src/nest/start.js';
import { mixedPools, movedCopies, poolsOf } from './pools.js';
import { item, mixed, rectangle } from './shapes.js';

describe('moving one piece away', () => {
  const problem = createProblem(mixed);
  const layout = new Layout(problem, new Fields(mixedPools()));
  const start = boxStart(problem);

  it('takes it from where it stands to where it overlaps less than at random, inside the strip', () => {
    const overlap = { chosen: 0, random: 0 };
    const variants = new Set<number>();
    for (let seed = 0; seed < 40; seed++) {
      const random = new Random(seed);
      const i = seed % layout.count;
      layout.load(start);
      expect(new Separator(layout, random).moveAway(i)).toBe(true);
      expect(movedCopies(start, layout)).toEqual([i]);
      expect(problem.variantsOfItem[problem.itemOf[i]!]).toContain(layout.variant[i]);
      if (layout.variant[i] === start.variant[i]) {
        const size = Math.sqrt(problem.totalArea / problem.pieces);
        expect(Math.hypot(layout.x[i]! - start.x[i]!, layout.y[i]! - start.y[i]!)).toBeGreaterThan(
          0.25 * size,
        );
      } else variants.add(layout.variant[i]!);
      const [x, y] = [layout.x[i]!, layout.y[i]!];
      layout.clamp(i);
      expect(layout.x[i]).toBeCloseTo(x, 9);
      expect(layout.y[i]).toBeCloseTo(y, 9);
      overlap.chosen += layout.total();
      layout.place(i, layout.variant[i]!, random.next() * layout.length, random.next() * problem.width);
      layout.clamp(i);
      layout.refresh();
      overlap.random += layout.total();
    }
    expect(variants.size).toBeGreaterThan(0);
    expect(overlap.chosen).toBeLessThan(overlap.random / 2);
  });

  it('leaves it where it can lie nowhere else', () => {
    const only = createProblem({
      name: 'only',
      stripWidth: 10,
      items: [item('only', rectangle(8, 10), 1, { rotations: [0] })],
    });
    const alone = new Layout(only, new Fields(poolsOf(only)));
    alone.load({ ...boxStart(only), length: 8 });
    const before = alone.save();
    expect(new Separator(alone, new Random(1)).moveAway(0)).toBe(false);
    expect(alone.save()).toEqual(before);
  });
});
