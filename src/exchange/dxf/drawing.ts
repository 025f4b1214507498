import type { Vec } from '../../geometry/vec.js';

/** What our own DXF writers draw: few kinds, which every version since R12 knows. Lengths in drawing units. */
export type Drawn =
  | {
      readonly kind: 'polyline';
      readonly layer: string;
      readonly points: readonly Vec[];
      readonly closed: boolean;
    }
  | { readonly kind: 'line'; readonly layer: string; readonly a: Vec; readonly b: Vec }
  | {
      readonly kind: 'point';
      readonly layer: string;
      readonly at: Vec;
      /** Groups 30, 39 and 50; a plain point leaves them out. */
      readonly z?: number;
      readonly thickness?: number;
      readonly angle?: number;
    }
  | {
      readonly kind: 'text';
      readonly layer: string;
      readonly at: Vec;
      readonly height: number;
      /** Degrees counter-clockwise. */
      readonly angle?: number;
      readonly text: string;
      /** `start` puts the baseline's start at `at`; `left` and `middle` put half the height of the capitals there. */
      readonly align?: 'start' | 'left' | 'middle';
    }
  | { readonly kind: 'insert'; readonly layer: string; readonly block: string; readonly at: Vec };

export interface DrawnBlock {
  readonly name: string;
  readonly entities: readonly Drawn[];
}

export interface DrawnLayer {
  readonly name: string;
  /** Index into the colour table of every reader. */
  readonly colour: number;
}

/** A whole drawing for `writeR12` and `writeR13`. */
export interface DrawnFile {
  readonly layers: readonly DrawnLayer[];
  readonly blocks: readonly DrawnBlock[];
  readonly entities: readonly Drawn[];
  /** Lower left and upper right corner. */
  readonly extent: readonly [Vec, Vec];
  /** Decimals of every coordinate. */
  readonly decimals: number;
}
