import type { Polygon } from '../geometry/polygon.js';
import type { Vec } from '../geometry/vec.js';
import type { Counts, Stretch } from '../pattern/model.js';

/** A notch as it is cut: a nick from the cut line towards the sewing line. */
export interface CutNotch {
  readonly name: string;
  readonly kind: 'single' | 'double';
  /** On the cut line, piece frame, mm. */
  readonly at: Vec;
  /** Unit vector into the piece. */
  readonly inward: Vec;
  /** mm. */
  readonly depth: number;
}

/** One graded piece of one size, opened and ready to cut; piece frame (y along the wales), mm, counter-clockwise. */
export interface CutPiece {
  readonly name: string;
  readonly size: string;
  readonly fabric: string;
  readonly counts: Counts;
  readonly cut: Polygon;
  readonly sew: Polygon;
  /** The half on the fold, when the piece is symmetric about a fold: its cut line, the fold on x = `foldX`. */
  readonly half?: { readonly cut: Polygon; readonly foldX: number };
  readonly notches: readonly CutNotch[];
  readonly grain: { readonly from: Vec; readonly to: Vec };
  readonly stretch?: Stretch;
  readonly internals: readonly { readonly name: string; readonly points: readonly Vec[] }[];
  /** Where a label has most room, and the radius of the clear circle there (mm). */
  readonly label: { readonly at: Vec; readonly radius: number };
}
