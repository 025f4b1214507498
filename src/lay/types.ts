import type { CutPiece } from '../finish/types.js';
import type { Polygon } from '../geometry/polygon.js';
import type { Vec } from '../geometry/vec.js';

/** How cloth is spread: opened face up, opened in pairs of plies face to face, folded lengthwise, a tube laid flat. */
export const LAY_MODES = ['single', 'face-to-face', 'folded', 'tubular'] as const;
export type LayMode = (typeof LAY_MODES)[number];
/** Side of the laid cloth: Y = 0 or Y = its width. */
export type Side = 'low' | 'high';
export type Orientation = 'one-way' | 'garment-one-way' | 'either-way';

/** A fabric as bought and laid; lengths mm, percentages as percent. */
export interface Fabric {
  readonly name: string;
  readonly description: string;
  /** Width that may be cut: after selvedges; for a tube its flat width. */
  readonly usableWidth: number;
  /** Width bought, selvedges included; the usable width where it is not given. */
  readonly fullWidth?: number;
  readonly gramsPerSquareMetre: number;
  readonly pricePerMetre?: number;
  readonly pricePerKilogram?: number;
  readonly currency: string;
  readonly shrinkage: { readonly walewise: number; readonly coursewise: number };
  /** Length lost when the roll relaxes, percent of the length drawn off. */
  readonly relaxationLoss: number;
  readonly orientation: Orientation;
  readonly mode: LayMode;
  readonly stretchPercent?: number;
  /** Direction in which it stretches most; across (along the courses) where it is not given, as knits do. */
  readonly stretchAlong?: 'course' | 'wale';
  /** Bought beyond what is laid, for faults and re-cuts, percent; none where it is not given. */
  readonly sparePercent?: number;
  /** Length of a roll as delivered, mm: cloth is then bought in whole rolls. */
  readonly rollLength?: number;
  /** Cloth lost where the next roll is spliced into a ply, mm; where it is not given every ply is of one roll. */
  readonly spliceWaste?: number;
}

export interface LayOptions {
  /** Least distance between pieces, mm. */
  readonly gap: number;
  /** Kept free at both selvedges and at both ends of the marker, mm. */
  readonly sideMargin: number;
  readonly endMargin: number;
  /** Cloth spread beyond the marker at each end of every ply, mm. */
  readonly endAllowance: number;
  /** Kept free of whole pieces at a fold, mm; a half on the fold needs none. `FOLD_MARGIN` when left out. */
  readonly foldMargin?: number;
  /** Which pieces that a garment needs singly lie as a half on a fold. `odd` when left out. */
  readonly onFold?: OnFold;
  /** Greatest turn off the grain, degrees. 0 when left out. */
  readonly tilt?: number;
  /** The pieces of a garment lie within this length of cloth, because it shades along the roll, mm. */
  readonly shadeSpan?: number;
}

/**
 * `odd`: symmetric pieces are laid opened, one for every two needed, and the one that stays over as a half on
 * the fold; `all`: every such piece is a half on the fold; `none`: none is, and what is cut beyond need is spare.
 * A piece too wide to be laid opened is a half on the fold unless `none`.
 */
export const ON_FOLD = ['odd', 'all', 'none'] as const;
export type OnFold = (typeof ON_FOLD)[number];

/** Cloth that must not be cut into, in the marker frame. */
export interface ClothZone {
  /** A flaw is an area to avoid; a splice a line across the cloth that no piece may cross. */
  readonly kind: 'flaw' | 'splice';
  readonly outline: Polygon;
  /** How far the two ends of cloth lie over each other at a splice, mm. */
  readonly overlap?: number;
  readonly note?: string;
}

/** What a lay mode makes of a fabric: how it is spread and what one ply is. */
export interface Spread {
  readonly mode: LayMode;
  /** Thicknesses of cloth that one laid ply cuts. */
  readonly layers: 1 | 2;
  /** Sides of the laid cloth that are folds. */
  readonly folds: readonly Side[];
  /** `even`: plies are spread in pairs, and one alone would give one hand only. */
  readonly plies: 'any' | 'even';
  /** How to spread, in a sentence or two. */
  readonly note: string;
}

/** One piece laid in the marker frame: X along the fabric, Y across from the lower selvedge, mm. */
export interface PlacedPiece {
  readonly piece: CutPiece;
  /** Wearable it belongs to, such as `M-2`. */
  readonly garment: string;
  /** Running number in the marker, from 1, in order of X. */
  readonly number: number;
  readonly mirrored: boolean;
  /** Degrees counter-clockwise in the marker frame after walewise is laid along X. */
  readonly rotation: number;
  readonly at: Vec;
  /** Cut line in the marker frame, counter-clockwise; of a half on a fold with the fold line that closes it. */
  readonly outline: readonly Vec[];
  /** The fold that it lies on as a half: it opens to one whole piece. */
  readonly fold?: Side;
}

export interface Marker {
  readonly name: string;
  readonly style: string;
  readonly fabric: Fabric;
  readonly options: LayOptions;
  /** Garments per size. */
  readonly ratio: Readonly<Record<string, number>>;
  /** All sizes of the style in its order, laid here or not: by it a size looks the same in every picture. */
  readonly sizes: readonly string[];
  /** Width of the laid cloth: half the usable width where it is folded. */
  readonly width: number;
  readonly length: number;
  readonly pieces: readonly PlacedPiece[];
  readonly spread: Spread;
  /** Layers of cloth that one laid ply cuts: 2 for a tube or a folded ply. */
  readonly layers: number;
  /** Flaws and splices that were kept free. */
  readonly zones?: readonly ClothZone[];
  /** Pieces cut beyond what the garments need (a single piece from a tube), by name and size. */
  readonly spare: readonly { readonly piece: string; readonly size: string; readonly count: number }[];
  /** Area of the cut lines / (width x length). */
  readonly efficiency: number;
  readonly search: {
    readonly seconds: number;
    readonly seed: number;
    readonly threads: number;
    readonly rounds: number;
    /** What ended the search before its time, if anything did. */
    readonly failure?: string;
  };
  /** What the exact check found: true only when no two pieces are closer than the gap and all lie inside. */
  readonly verified: boolean;
  /** Set when a check was overridden; printed on every output. */
  readonly stamp?: string;
}

/** Fabric used, with its formula in consumption.ts. Lengths m, areas m2, masses kg. */
export interface Consumption {
  readonly marker: string;
  readonly fabric: string;
  readonly garments: number;
  readonly markerLength: number;
  /** Marker length and both end allowances. */
  readonly plyLength: number;
  /** Cloth that lies double at the splices of one ply; left out where there are none. */
  readonly spliceOverlap?: number;
  /** Ply length, splices and relaxation loss: what is drawn off the roll. */
  readonly rollLength: number;
  readonly area: number;
  readonly mass: number;
  readonly cost?: number;
  readonly currency: string;
  readonly efficiency: number;
  /** Share of the fabric spread that ends up in pieces, end allowances counted. */
  readonly utilisation: number;
  readonly perGarment: {
    readonly length: number;
    readonly area: number;
    readonly mass: number;
    readonly cost?: number;
  };
  /** Shares by size, in proportion to the area of the size's pieces. */
  readonly bySize: readonly {
    readonly size: string;
    readonly garments: number;
    readonly length: number;
    readonly area: number;
    readonly mass: number;
    readonly cost?: number;
  }[];
}
