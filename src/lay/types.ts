import type { CutPiece } from '../finish/types.js';
import type { Vec } from '../geometry/vec.js';

export type LayMode = 'single' | 'tubular';
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
}

export interface LayOptions {
  /** Least distance between pieces, mm. */
  readonly gap: number;
  /** Kept free at both selvedges and at both ends of the marker, mm. */
  readonly sideMargin: number;
  readonly endMargin: number;
  /** Cloth spread beyond the marker at each end of every ply, mm. */
  readonly endAllowance: number;
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
  /** Cut line in the marker frame, counter-clockwise. */
  readonly outline: readonly Vec[];
}

export interface Marker {
  readonly name: string;
  readonly style: string;
  readonly fabric: Fabric;
  readonly options: LayOptions;
  /** Garments per size. */
  readonly ratio: Readonly<Record<string, number>>;
  readonly width: number;
  readonly length: number;
  readonly pieces: readonly PlacedPiece[];
  /** Layers of cloth that one laid ply cuts: 2 for a tube. */
  readonly layers: number;
  /** Pieces cut beyond what the garments need (a single piece from a tube), by name and size. */
  readonly spare: readonly { readonly piece: string; readonly size: string; readonly count: number }[];
  /** Area of the cut lines / (width x length). */
  readonly efficiency: number;
  readonly search: {
    readonly seconds: number;
    readonly seed: number;
    readonly threads: number;
    readonly rounds: number;
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
  /** Ply length and relaxation loss: what is drawn off the roll. */
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
