export { baseOf, chartFailures, sizeChart } from './chart.js';
export {
  type Combination,
  DISTRIBUTIONS,
  HOUSE_DISTRIBUTION,
  type PointShare,
  type PointShares,
} from './distribution.js';
export { gradePattern } from './grade.js';
export { growthBySize, type Increment, type Ladder } from './ladder.js';
export { MEASURE_NAMES, MEASURES, type Measure } from './measures.js';
export {
  type BodyChart,
  type IncrementPreset,
  parseBodyChart,
  parseIncrementPreset,
  presetGrowth,
} from './presets.js';
export { type GradePart, gradeSchema, incrementField, type RuleText } from './schema.js';
export { gradeSpec } from './spec.js';
export {
  assertTrued,
  type CapHeight,
  capHeights,
  type JoinFailure,
  joinFailures,
  type SeamFailure,
  seamFailures,
  trueRange,
} from './truing.js';
export type {
  ChartCell,
  ChartRow,
  GradedSize,
  GradeSpec,
  MeasureGrowth,
  PointRule,
  SizeRange,
  SizeTruing,
} from './types.js';
