import { describe, expect, it } from 'vitest';
import { Random } from '../../src/nest/random.js';
import { Shrink } from '../../src/nest/shrink.js';

describe('what is asked of a layout', () => {
  const failedTimes = (n: number): Shrink => {
    const shrink = new Shrink(new Random(5));
    for (let k = 0; k < n; k++) shrink.failed();
    return shrink;
  };

  it('is ever less as it fails, until lengths come hard', () => {
    let before = failedTimes(0).ratio;
    expect(before).toBe(0.02);
    let n = 1;
    for (; !failedTimes(n).hard; n++) {
      const { ratio } = failedTimes(n);
      expect(ratio).toBeLessThan(before);
      expect(ratio).toBeGreaterThanOrEqual(0.001);
      before = ratio;
    }
    expect(before).toBe(0.001);
    expect(n).toBe(6);
  });

  it('is anything from then on, every order of magnitude as often as another', () => {
    const shrink = failedTimes(6);
    const ratios = Array.from({ length: 4000 }, () => {
      shrink.failed();
      return shrink.ratio;
    });
    expect(Math.min(...ratios)).toBeGreaterThan(0.0002);
    expect(Math.max(...ratios)).toBeLessThanOrEqual(0.02);
    const middle = Math.sqrt(0.0002 * 0.02);
    expect(ratios.filter((ratio) => ratio < middle).length / ratios.length).toBeCloseTo(0.5, 1);
    expect(shrink.hard).toBe(true);
  });

  it('is much again of a layout just laid', () => {
    const shrink = failedTimes(9);
    shrink.begin();
    expect(shrink.hard).toBe(false);
    expect(shrink.ratio).toBe(0.02);
  });
});
