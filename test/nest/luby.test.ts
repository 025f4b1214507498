import { describe, expect, it } from 'vitest';
import { luby } from '../../src/nest/luby.js';

const terms = (count: number) => Array.from({ length: count }, (_, k) => luby(k));

describe('the sequence of Luby, Sinclair, Zuckerman', () => {
  it('begins as it stands in the paper (Information Processing Letters 47, 1993, p. 173 to 180; from memory)', () => {
    expect(terms(15)).toEqual([1, 1, 2, 1, 1, 2, 4, 1, 1, 2, 1, 1, 2, 4, 8]);
  });

  it('gives every length as much in all as any other', () => {
    const inAll = new Map<number, number>();
    for (const length of terms(2 ** 10 - 1)) inAll.set(length, (inAll.get(length) ?? 0) + length);
    expect([...inAll.keys()].sort((a, b) => a - b)).toEqual(Array.from({ length: 10 }, (_, k) => 2 ** k));
    for (const sum of inAll.values()) expect(sum).toBe(2 ** 9);
  });
});
