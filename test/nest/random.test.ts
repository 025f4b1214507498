import { describe, expect, it } from 'vitest';
import { Random } from '../../src/nest/random.js';

describe('random numbers', () => {
  it('are those of sfc32, on every machine', () => {
    // The generator in whole numbers of any size, written from its description apart from the engine.
    const reference = (seed: number, lane: number, count: number): number[] => {
      const word = (v: bigint) => BigInt.asUintN(32, v);
      let [a, b, c, counter] = [
        word(BigInt(seed)),
        word(BigInt(seed) >> 32n),
        word(BigInt(lane + 1) * 0x9e3779b9n),
        1n,
      ];
      const draw = () => {
        const t = word(a + b + counter);
        counter = word(counter + 1n);
        a = b ^ (b >> 9n);
        b = word(c + (c << 3n));
        c = word(word((c << 21n) | (c >> 11n)) + t);
        return Number(t);
      };
      for (let k = 0; k < 20; k++) draw();
      return Array.from({ length: count }, draw);
    };
    for (const [seed, lane] of [
      [1, 0],
      [1, 1],
      [-7, 2],
      [2 ** 40 + 5, 0],
    ] as const) {
      const random = new Random(seed, lane);
      expect(Array.from({ length: 50 }, () => random.bits() >>> 0)).toEqual(reference(seed, lane, 50));
    }
  });

  it('are even over their range and shuffle every order alike', () => {
    const random = new Random(3);
    const bins = new Int32Array(10);
    for (let k = 0; k < 20_000; k++) bins[random.below(10)]!++;
    // Chi-squared with 9 degrees of freedom stays under 27.9 but once in a thousand (from memory, as is the next).
    expect(bins.reduce((sum, n) => sum + (n - 2000) ** 2 / 2000, 0)).toBeLessThan(27.9);
    const orders = new Map<string, number>();
    for (let k = 0; k < 6000; k++) {
      const list = Int32Array.of(0, 1, 2);
      random.shuffle(list, 3);
      orders.set(list.join(), (orders.get(list.join()) ?? 0) + 1);
    }
    // The same with 5 degrees: 20.5.
    expect(orders.size).toBe(6);
    expect([...orders.values()].reduce((sum, n) => sum + (n - 1000) ** 2 / 1000, 0)).toBeLessThan(20.5);
  });

  it('are low as often as the square of an even number is', () => {
    const random = new Random(4);
    const bins = new Int32Array(5);
    for (let k = 0; k < 20_000; k++) bins[random.low(5)]!++;
    const expected = Array.from(bins, (_, k) => 20_000 * (Math.sqrt((k + 1) / 5) - Math.sqrt(k / 5)));
    // The same with 4 degrees: 18.5.
    expect(bins.reduce((sum, n, k) => sum + (n - expected[k]!) ** 2 / expected[k]!, 0)).toBeLessThan(18.5);
    expect(random.low(1)).toBe(0);
  });
});
