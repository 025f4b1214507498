import { describe, expect, it } from 'vitest';
import { chartFailures, gradePattern, sizeChart } from '../../src/grade/index.js';
import type { PointOfMeasure } from '../../src/pattern/model.js';
import { EVERY_INCREMENT, SIZES, samplePattern, specOf } from './helpers.js';

const base = samplePattern();
const chart = sizeChart(gradePattern(base, specOf({ increments: EVERY_INCREMENT })));
const row = (name: string) => chart.find((r) => r.measure === name)!;

describe('the size chart', () => {
  it('measures every size from the geometry and finds base plus increments', () => {
    expect(chartFailures(chart)).toEqual([]);
    for (const { measure, cells } of chart) {
      expect(cells.map((c) => c.size)).toEqual(SIZES);
      for (const c of cells) expect(c.difference ?? 0, `${measure} ${c.size}`).toBeCloseTo(0, 6);
    }
  });

  it('adds the increment once a size', () => {
    const chest = row('chest').cells.map((c) => c.measured);
    expect(chest.map((mm) => Math.round(mm * 1e6) / 1e6)).toEqual([980, 1030, 1080, 1130, 1180, 1230, 1280]);
  });

  it('only observes a measure that states no growth', () => {
    for (const c of row('cap height').cells) {
      expect(c.measured).toBeGreaterThan(50);
      expect(c).not.toHaveProperty('expected');
      expect(c.within).toBe(true);
    }
  });

  it('finds a measure that grows otherwise than it says', () => {
    const hem: PointOfMeasure = {
      name: 'back hem',
      terms: [{ kind: 'edge', piece: 'back', edge: 'hem', times: 2 }],
      grows: { bust: 1 },
      tolerance: 1,
    };
    const wrong = { ...base, measures: [...base.measures, hem] };
    const failures = chartFailures(sizeChart(gradePattern(wrong, specOf({ increments: EVERY_INCREMENT }))));
    expect(failures.map((f) => f.size)).toEqual(SIZES.filter((s) => s !== 'M'));
    // The half hem grows by 48/2 a size, the statement by 50.
    expect(failures.find((f) => f.size === 'L')).toMatchObject({ measure: 'back hem', within: false });
    expect(failures.find((f) => f.size === 'L')!.difference).toBeCloseTo(24 - 50, 6);
  });
});
