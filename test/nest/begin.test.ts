import { describe, expect, it } from 'vitest';
import { Beginner } from '../../src/nest/begin.js';
import { Disturber } from '../../src/nest/disturb.js';
import { Fields } from '../../src/nest/fields.js';
import { verify } from '../../src/nest/index.js';
import { Keeper } from '../../src/nest/keep.js';
import { Layout, type Snapshot } from '../../src/nest/layout.js';
import { toPlacements } from '../../src/nest/placements.js';
import { createProblem } from '../../src/nest/problem.js';
import { Random } from '../../src/nest/random.js';
import { Separator } from '../../src/nest/separate.js';
import { Sieve } from '../../src/nest/sieve.js';
import { mixedPools, movedCopies, outcome } from './pools.js';
import { mixed } from './shapes.js';

describe('layouts to go on from', () => {
  const problem = createProblem(mixed);
  const fields = new Fields(mixedPools());
  const setUp = (seed: number) => {
    const layout = new Layout(problem, fields);
    const random = new Random(seed);
    const separator = new Separator(layout, random);
    const disturber = new Disturber(layout, random);
    const beginner = new Beginner(layout, separator, disturber, new Keeper(layout, separator), random);
    return { beginner, separator };
  };
  const expectSound = (found: Snapshot) =>
    expect(verify(mixed, toPlacements(problem, found)).faults).toEqual([]);

  it('are laid without fault, and in another way for another order', () => {
    const lengths = [1, 2, 3, 4].map((seed) => {
      const found = setUp(seed).beginner.lay(0.3)!;
      expectSound(found);
      return found.length;
    });
    expect(new Set(lengths).size).toBeGreaterThan(1);
  });

  it('are walked to: other layouts without fault, no longer than they may be', () => {
    let found = 0;
    let others = 0;
    for (let seed = 0; seed < 30; seed++) {
      const { beginner, separator } = setUp(seed);
      const from = beginner.lay(0.3)!;
      const longest = from.length * (1 + 0.02 * (seed % 3));
      const before = separator.work;
      const beside = outcome(beginner.walk(from, longest, new Sieve(0.3)));
      expect(separator.work).toBeGreaterThan(before);
      if (!beside) continue;
      found++;
      expectSound(beside);
      expect(beside.length).toBeLessThanOrEqual(longest);
      // A piece that moved away may find back.
      if (movedCopies(from, beside).length > 0) others++;
    }
    expect(found).toBeGreaterThan(5);
    expect(others).toBeGreaterThan(found / 2);
  });

  it('are scattered and untangled in a stretch, a little longer', () => {
    let found = 0;
    for (let seed = 0; seed < 10; seed++) {
      const { beginner } = setUp(seed);
      const from = beginner.lay(0)!;
      const anew = outcome(beginner.scatter(from));
      if (!anew) continue;
      found++;
      expectSound(anew);
      expect(anew.length).toBeLessThan(1.5 * from.length);
    }
    expect(found).toBeGreaterThan(0);
  });
});
