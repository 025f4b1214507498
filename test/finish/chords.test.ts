import { describe, expect, it } from 'vitest';
import { commonChords } from '../../src/finish/chords.js';
import { cubic, length, line, type Path, pointAt } from '../../src/geometry/path.js';
import { toBoundary } from './helpers.js';

const curve = (width: number): Path => [cubic([0, 0], [0, 60], [width - 20, 80], [width, 80])];

function worst(path: Path, tolerance: number, common = commonChords([path], tolerance)): number {
  const chords = common(path);
  // Closed along itself, the chain has only its own sides.
  const there = [...chords, ...chords.slice(1, -1).reverse()];
  const total = length(path);
  return Math.max(
    ...Array.from({ length: 400 }, (_, k) => toBoundary(pointAt(path, (total * k) / 399), there)),
  );
}

describe('chords common to all sizes', () => {
  it('give every size as many vertices and keep within the tolerance', () => {
    const paths = [80, 120, 300].map(curve);
    const common = commonChords(paths, 0.1);
    expect(new Set(paths.map((p) => common(p).length)).size).toBe(1);
    for (const path of paths) expect(worst(path, 0.1, common)).toBeLessThanOrEqual(0.1);
  });

  it('are one line for a line', () => {
    expect(commonChords([[line([0, 0], [9, 3])]], 0.1)([line([0, 0], [9, 3])])).toEqual([
      [0, 0],
      [9, 3],
    ]);
  });

  it('fall back to equal shares of the length where an edge is built differently in some size', () => {
    const one = curve(100);
    const two: Path = [
      cubic([0, 0], [0, 30], [10, 60], [40, 70]),
      cubic([40, 70], [70, 80], [90, 80], [110, 80]),
    ];
    const common = commonChords([one, two], 0.1);
    expect(common(one).length).toBe(common(two).length);
    expect(common(two)[0]).toEqual([0, 0]);
    expect(common(two).at(-1)).toEqual([110, 80]);
    for (const path of [one, two]) expect(worst(path, 0.1, common)).toBeLessThanOrEqual(0.11);
  });
});
