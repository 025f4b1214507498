import { describe, expect, it } from 'vitest';
import { Race } from '../../src/nest/race.js';

/** Lengths of attempts at the ages 10, 20, 40, and at which of them each was found behind. */
function run(race: Race, lengths: readonly (readonly [number, number, number])[]) {
  return lengths.map((attempt, k) => {
    race.begin(1000 * k);
    return [10, 20, 40].find((age, heat) => race.isBehind(1000 * k + age, attempt[heat]!));
  });
}

describe('a race', () => {
  it('lets the first three through, then ends what is longer than the median at the same age', () => {
    const first = [
      [10, 9, 8],
      [12, 11, 10],
      [14, 9, 9],
    ] as const;
    // Medians of those before: 12 at the first age, 9 at the second, 9 at the third.
    expect(run(new Race([10, 20, 40]), [...first, [13, 1, 1]])).toEqual([
      undefined,
      undefined,
      undefined,
      10,
    ]);
    expect(run(new Race([10, 20, 40]), [...first, [12, 10, 1]]).at(-1)).toBe(20);
    expect(run(new Race([10, 20, 40]), [...first, [12, 9, 9.5]]).at(-1)).toBe(40);
    expect(run(new Race([10, 20, 40]), [...first, [12, 9, 9]]).at(-1)).toBeUndefined();
  });

  it('ends about half of attempts that come in any order at the first age', () => {
    const lengths = Array.from({ length: 400 }, (_, k) => ((k * 157) % 400) + 1);
    const ended = run(
      new Race([10, 20, 40]),
      lengths.map((length) => [length, length, length] as const),
    );
    const share = ended.filter((age) => age === 10).length / lengths.length;
    expect(share).toBeGreaterThan(0.4);
    expect(share).toBeLessThan(0.6);
  });

  it('asks at ages alone, and stays behind until the next begins', () => {
    const race = new Race([10]);
    run(race, [
      [1, 1, 1],
      [1, 1, 1],
      [1, 1, 1],
    ]);
    race.begin(5000);
    expect(race.isBehind(5009, 7)).toBe(false);
    expect(race.isBehind(5010, 7)).toBe(true);
    expect(race.isBehind(5011, 0)).toBe(true);
    race.begin(6000);
    expect(race.isBehind(6000, 7)).toBe(false);
  });
});
