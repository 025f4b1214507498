import { describe, expect, it } from 'vitest';
import { Random } from '../../src/nest/random.js';
import { Sieve } from '../../src/nest/sieve.js';

describe('a sieve', () => {
  /** Values over six powers of ten. */
  const values = (seed: number, scale: number) => {
    const random = new Random(seed);
    return Array.from({ length: 2000 }, () => scale * 10 ** (6 * random.next()));
  };
  const shareOf = (all: readonly boolean[]) => all.filter(Boolean).length / all.length;

  it.each([0.1, 0.3, 0.7])('lets a share of %d through', (share) => {
    const sieve = new Sieve(share);
    expect(shareOf(values(1, 1).map((value) => sieve.passes(value)))).toBeCloseTo(share, 1);
  });

  it('lets the low ones through', () => {
    const sieve = new Sieve(0.3);
    const all = values(2, 1);
    const through = all.map((value) => sieve.passes(value));
    const lowest = all.map((value) => value < 10 ** (6 * 0.15));
    const highest = all.map((value) => value > 10 ** (6 * 0.6));
    const among = (which: readonly boolean[]) => shareOf(through.filter((_, k) => which[k]));
    expect(among(lowest)).toBeGreaterThan(0.9);
    expect(among(highest)).toBeLessThan(0.05);
  });

  it('forgets the scale of what it was shown before', () => {
    const sieve = new Sieve(0.3);
    for (const value of values(3, 1)) sieve.passes(value);
    const after = values(4, 1e9).map((value) => sieve.passes(value));
    expect(shareOf(after.slice(500))).toBeCloseTo(0.3, 1);
  });

  it('lets the first through', () => {
    expect(new Sieve(0.01).passes(1e300)).toBe(true);
  });
});
