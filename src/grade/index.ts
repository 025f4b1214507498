export { baseOf, chartFailures, sizeChart } from './chart.js';
export {
  type Combination,
  type Distribution,
  HOUSE_DISTRIBUTION,
  type PointShare,
  type PointShares,
} from './distribution.js';
export { gradePattern } from './grade.js';
export {
  betweenSizes,
  growthBySize,
  type HalfSize,
  type Increment,
  type Ladder,
  stepsFromBase,
  wholeSizes,
} from './ladder.js';
export { MEASURE_NAMES, MEASURES, type Measure } from './measures.js';
export {
  type BodyChart,
  type IncrementPreset,
  parseBodyChart,
  parseIncrementPreset,
  presetGrowth,
} from './presets.js';
export { type GradePart, gradeSchema, incrementField, type RuleText } from './schema.js';
export { DISTRIBUTIONS } from './schools.js';
export { gradeSpec } from './spec.js';
export {
  type GrowthRow,
  type GrowthStep,
  growthRows,
  JUMP_DEFAULTS,
  type JumpCause,
  type JumpOptions,
  jumpsOf,
} from './steps.js';
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
