import { describe, expect, it } from 'vitest';
import { Choice } from '../../src/nest/choice.js';
import { Random } from '../../src/nest/random.js';

/** How often each of two ways is taken in the last `count` of `trials`, their costs and chances being given. */
function shares(ways: readonly { work: number; chance: number }[], trials: number, count: number): number[] {
  const [choice, random, taken] = [new Choice(ways.length, 50), new Random(5, 0), ways.map(() => 0)];
  for (let k = 0; k < trials; k++) {
    const way = choice.pick(random);
    if (k >= trials - count) taken[way] = taken[way]! + 1 / count;
    choice.add(way, ways[way]!.work, random.next() < ways[way]!.chance);
  }
  return taken;
}

describe('a choice among ways', () => {
  it('takes all alike before it knows anything', () => {
    const [choice, random] = [new Choice(4, 50), new Random(1, 0)];
    const taken = [0, 0, 0, 0];
    for (let k = 0; k < 4000; k++) taken[choice.pick(random)]! += 1;
    for (const times of taken) expect(Math.abs(times - 1000)).toBeLessThan(120);
  });

  it('prefers what succeeds more often, and what takes less work for the same, but gives up neither', () => {
    const [often, seldom] = shares(
      [
        { work: 10, chance: 0.5 },
        { work: 10, chance: 0.1 },
      ],
      4000,
      3000,
    );
    expect(often).toBeGreaterThan(0.75);
    expect(seldom).toBeGreaterThan(0.02);
    const [cheap, dear] = shares(
      [
        { work: 10, chance: 0.3 },
        { work: 40, chance: 0.3 },
      ],
      4000,
      3000,
    );
    expect(cheap).toBeGreaterThan(0.75);
    expect(dear).toBeGreaterThan(0.02);
  });

  it('forgets: a way that has come to serve better is taken soon', () => {
    const [choice, random] = [new Choice(2, 50), new Random(3, 0)];
    const serve = (good: number, trials: number) => {
      let taken = 0;
      for (let k = 0; k < trials; k++) {
        const way = choice.pick(random);
        choice.add(way, 10, way === good);
        if (way === good) taken++;
      }
      return taken / trials;
    };
    serve(0, 1000);
    expect(serve(0, 100)).toBeGreaterThan(0.8);
    serve(1, 300);
    expect(serve(1, 100)).toBeGreaterThan(0.8);
  });

  it('is taken between two ways that never succeed by the work they had', () => {
    const [first, second] = shares(
      [
        { work: 10, chance: 0 },
        { work: 10, chance: 0 },
      ],
      2000,
      1500,
    );
    expect(Math.abs(first! - second!)).toBeLessThan(0.1);
  });
});
