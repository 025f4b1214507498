import { describe, expect, it } from 'vitest';
import { CheckError } from '../../src/errors.js';
import {
  assertTrued,
  capHeights,
  gradePattern,
  joinFailures,
  seamFailures,
  trueRange,
} from '../../src/grade/index.js';
import { EVERY_INCREMENT, SIZES, samplePattern, specOf } from './helpers.js';

const grade = (part: Record<string, unknown>) => gradePattern(samplePattern(), specOf(part));

describe('truing a range', () => {
  it('walks every seam of every size', () => {
    const truings = trueRange(grade({ increments: EVERY_INCREMENT }));
    expect(truings.map((t) => t.size)).toEqual(SIZES);
    for (const t of truings) expect(t.seams.map((s) => s.seam)).toEqual(['shoulder', 'side', 'cap', 'band']);
    expect(() => assertTrued(truings)).not.toThrow();
  });

  it('names the sizes in which a seam parts', () => {
    const truings = trueRange(grade({ rules: { 'back.shoulder-tip': { x: 0.25 } } }));
    const failures = seamFailures(truings);
    // 0.25 mm a size along a slope of 18 degrees: within 0.5 mm for two sizes, beyond it from three on.
    expect(failures.map((f) => [f.seam, f.size])).toEqual([
      ['shoulder', '2XL'],
      ['shoulder', '3XL'],
    ]);
    expect(failures[1]!.difference).toBeCloseTo(-4 * 0.25 * Math.cos((18 * Math.PI) / 180), 2);
    expect(() => assertTrued(truings)).toThrow(CheckError);
    expect(() => assertTrued(truings)).toThrow(/2 seams do not match: shoulder in 2XL is off by -0\.71 mm/);
  });

  it('tells rough joins apart from seams that part', () => {
    const truings = trueRange(grade({ rules: { 'back.side-hem': { y: -12 } } }));
    const failures = joinFailures(truings);
    expect(failures.some((f) => f.join === 'side at side-hem' && f.size === '3XL')).toBe(true);
    expect(failures.every((f) => Math.abs(f.degrees) > f.tolerance)).toBe(true);
  });
});

describe('cap heights', () => {
  it('rise with the size where armhole and bicep keep step', () => {
    const caps = capHeights(grade({ increments: EVERY_INCREMENT }));
    expect(caps.map((c) => c.size)).toEqual(SIZES);
    expect(caps.some((c) => c.falls)).toBe(false);
  });

  it('are flagged where a widening bicep makes the cap fall', () => {
    const caps = capHeights(grade({ increments: { ...EVERY_INCREMENT, bicep: 34 } }));
    expect(caps.slice(1).every((c) => c.falls)).toBe(true);
    expect(caps[0]!.falls).toBe(false);
  });

  it('are none for a style without a sleeve', () => {
    const pattern = samplePattern();
    const pieces = pattern.pieces.filter((p) => p.name !== 'sleeve');
    const seams = pattern.seams.filter((s) => s.name !== 'cap');
    const bare = { ...pattern, pieces, seams, measures: [] };
    expect(capHeights(gradePattern(bare, specOf({ increments: { bust: 40 } })))).toEqual([]);
  });
});
