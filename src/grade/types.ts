import type { Vec } from '../geometry/vec.js';
import type { Growth, Pattern } from '../pattern/model.js';
import type { JoinCheck, SeamWalk } from '../pattern/walk.js';
import type { PointShares } from './distribution.js';
import type { Ladder } from './ladder.js';

/** Growth of one measure against the base, mm, one value per size of the ladder. */
export interface MeasureGrowth {
  readonly bySize: readonly number[];
  /** A preset or a distribution may carry measures that a style has no use for; a style may not. */
  readonly from: 'style' | 'preset' | 'distribution';
}

/** Moves of one named point against the base, mm, one per size of the ladder. Replaces the distribution there. */
export interface PointRule {
  readonly piece: string;
  readonly point: string;
  readonly bySize: readonly Vec[];
}

/** Everything grading needs beside the base pattern. */
export interface GradeSpec extends Ladder {
  readonly increments: Readonly<Record<string, MeasureGrowth>>;
  /** The named distribution a style starts from. */
  readonly distribution: PointShares;
  /** The style's own shares, which win over the distribution and must match a point. */
  readonly shares: PointShares;
  readonly rules: readonly PointRule[];
  /** Derived pieces that are graded by rules instead of being drawn again. */
  readonly byRules: readonly string[];
}

/** One size of the range: its pattern, and what was added to the base to reach it. */
export interface GradedSize {
  readonly size: string;
  /** Steps from the base size, negative below it; a half size lies between whole steps. */
  readonly steps: number;
  readonly growth: Growth;
  readonly pattern: Pattern;
}

export interface SizeRange {
  readonly base: string;
  readonly sizes: readonly GradedSize[];
}

/** One point of measure across the range. */
export interface ChartRow {
  readonly measure: string;
  readonly tolerance: number;
  readonly cells: readonly ChartCell[];
}

export interface ChartCell {
  readonly size: string;
  /** From the geometry, mm. */
  readonly measured: number;
  /** Base plus increments, mm; left out where the measure states no growth. */
  readonly expected?: number;
  readonly difference?: number;
  readonly within: boolean;
}

/** Truing of one size. */
export interface SizeTruing {
  readonly size: string;
  readonly seams: readonly SeamWalk[];
  readonly joins: readonly JoinCheck[];
}
