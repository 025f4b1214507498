import type { Polygon } from '../geometry/polygon.js';
import type { Vec } from '../geometry/vec.js';
import type { Counts, Stretch } from '../pattern/model.js';

/** How sewing lines become cut lines; lengths mm. */
export interface FinishOptions {
  readonly allowances: {
    readonly default: number;
    /** By edge name, or by `piece.edge`, which wins. */
    readonly edges: Readonly<Record<string, number>>;
    /** Edges that are turned up instead of seamed, likewise; they go before `edges`. */
    readonly hems: Readonly<Record<string, number>>;
  };
  /** Depth of a notch from the cut line; less than the allowance it is cut into. */
  readonly notchDepth: number;
  /** A corner reaches at most this many times the larger allowance out; beyond it is cut off square. */
  readonly cornerLimit: number;
  /** The seam whose allowance ends square at a corner, by the corner's point or by `piece.point`, which wins. */
  readonly corners?: Readonly<Record<string, string>>;
  /** Greatest distance of a chord from the curve it stands for. */
  readonly curveTolerance: number;
}

/** Length lost in the wash, percent of the length as cut. */
export interface Shrinkage {
  readonly walewise: number;
  readonly coursewise: number;
}

/** Every cut piece of one size, in pattern order. */
export interface FinishedSize {
  readonly size: string;
  readonly pieces: readonly CutPiece[];
}

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
