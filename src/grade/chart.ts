import { measure } from '../pattern/measure.js';
import type { PointOfMeasure } from '../pattern/model.js';
import { combined } from './distribution.js';
import type { ChartCell, ChartRow, GradedSize, SizeRange } from './types.js';

/**
 * Measures every point of measure in every size from the geometry and compares it with the base size plus
 * the increments it should show. A point of measure that states no growth is only observed.
 */
export function sizeChart(range: SizeRange): ChartRow[] {
  const base = baseOf(range);
  return base.pattern.measures.map((point) => ({
    measure: point.name,
    tolerance: point.tolerance,
    cells: range.sizes.map((size) => cell(point, size, measure(base.pattern, point))),
  }));
}

/** Cells of a chart that are out of tolerance, with their measure. */
export const chartFailures = (chart: readonly ChartRow[]): (ChartCell & { measure: string })[] =>
  chart.flatMap((row) => row.cells.filter((c) => !c.within).map((c) => ({ ...c, measure: row.measure })));

/** The size a range was graded from. */
export const baseOf = (range: SizeRange): GradedSize => range.sizes.find((s) => s.size === range.base)!;

function cell(point: PointOfMeasure, graded: GradedSize, atBase: number): ChartCell {
  const measured = measure(graded.pattern, point);
  if (!point.grows) return { size: graded.size, measured, within: true };
  const expected = atBase + combined(point.grows, graded.growth);
  const difference = measured - expected;
  const within = Math.abs(difference) <= point.tolerance + 1e-6;
  return { size: graded.size, measured, expected, difference, within };
}
