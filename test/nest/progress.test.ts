import { describe, expect, it } from 'vitest';
import { Progress } from '../../src/nest/progress.js';

describe('progress', () => {
  it('is not stale before the least work, whatever it gained', () => {
    const progress = new Progress(0, 100);
    expect(progress.isStale(9, 0.01, 10)).toBe(false);
    expect(progress.isStale(10, 0.01, 10)).toBe(true);
  });

  it('is stale when the later half of its work gained less than the share asked', () => {
    const progress = new Progress(50, 100);
    progress.add(60, 90);
    progress.add(90, 89);
    // Born at 50: at 100 its later half began at 75, when it was 90 long.
    expect(progress.isStale(100, 0.01, 10)).toBe(false);
    expect(progress.isStale(100, 0.012, 10)).toBe(true);
    // At 140 the half is at 95, after the last gain.
    expect(progress.isStale(140, 0.01, 10)).toBe(true);
  });

  it('knows its least length, whatever longer ones follow', () => {
    const progress = new Progress(0, 100);
    progress.add(10, 90);
    progress.add(20, 95);
    expect(progress.length).toBe(90);
    expect(progress.isStale(40, 0.01, 10)).toBe(true);
  });
});
