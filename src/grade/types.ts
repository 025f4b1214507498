import type { Growth, Pattern } from '../pattern/model.js';
import type { JoinCheck, SeamWalk } from '../pattern/walk.js';

/** One size of the range: its pattern, and what was added to the base to reach it. */
export interface GradedSize {
  readonly size: string;
  /** Steps from the base size, negative below it. */
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
  readonly cells: readonly {
    readonly size: string;
    /** From the geometry, mm. */
    readonly measured: number;
    /** Base plus increments, mm; left out where the measure states no growth. */
    readonly expected?: number;
    readonly difference?: number;
    readonly within: boolean;
  }[];
}

/** Truing of one size. */
export interface SizeTruing {
  readonly size: string;
  readonly seams: readonly SeamWalk[];
  readonly joins: readonly JoinCheck[];
}
