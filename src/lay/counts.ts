import { CheckError, InputError, suggest } from '../errors.js';
import type { CutPiece } from '../finish/types.js';
import { bounds } from '../geometry/polygon.js';
import { samePoint, type Vec } from '../geometry/vec.js';
import type { SizeRatio } from './schema.js';
import type { Fabric } from './types.js';

/** Copies of one cut piece that a marker holds, and for which wearables. */
export interface Demand {
  readonly piece: CutPiece;
  readonly mirrored: boolean;
  /** One entry per copy: the garment it is for, such as `M-2`. */
  readonly garments: readonly string[];
}

export interface MarkerDemand {
  readonly demands: readonly Demand[];
  readonly spare: readonly { readonly piece: string; readonly size: string; readonly count: number }[];
  readonly garments: number;
}

/** How far (mm) mirrored vertices may lie from the piece's own for it to count as symmetric. */
const SYMMETRY_TOLERANCE = 0.05;

/**
 * What a marker must hold so that one ply gives the garments of a size ratio.
 *
 * Single, face up: exactly as drawn and mirrored. Tubular: one placement cuts two layers, the lower one
 * mirrored, so a pair is placed once; symmetric pieces are placed for every two needed, and one that stays
 * over is reported as spare.
 *
 * @throws InputError for a size without pieces; CheckError when a tube cannot give a piece's hands.
 */
export function markerDemand(pieces: readonly CutPiece[], fabric: Fabric, ratio: SizeRatio): MarkerDemand {
  const sizes = [...new Set(pieces.map((p) => p.size))];
  const unknown = Object.keys(ratio).find((size) => !sizes.includes(size));
  if (unknown !== undefined) {
    throw new InputError(`unknown size '${unknown}' in a size ratio`, { mend: suggest(unknown, sizes) });
  }
  const demands: Demand[] = [];
  const spare: { piece: string; size: string; count: number }[] = [];
  let garments = 0;
  for (const [size, count] of Object.entries(ratio)) {
    garments += count;
    const names = Array.from({ length: count }, (_, i) => `${size}-${i + 1}`);
    for (const piece of pieces.filter((p) => p.size === size && p.fabric === fabric.name)) {
      if (fabric.mode === 'single') demands.push(...singleDemand(piece, names));
      else {
        const tube = tubeDemand(piece, names);
        demands.push(tube.demand);
        if (tube.spare > 0) spare.push({ piece: piece.name, size, count: tube.spare });
      }
    }
  }
  return { demands: demands.filter((d) => d.garments.length > 0), spare, garments };
}

function singleDemand(piece: CutPiece, garments: readonly string[]): Demand[] {
  const copies = (count: number) => garments.flatMap((g) => new Array<string>(count).fill(g));
  return [
    { piece, mirrored: false, garments: copies(piece.counts.asDrawn) },
    { piece, mirrored: true, garments: copies(piece.counts.mirrored) },
  ];
}

function tubeDemand(piece: CutPiece, garments: readonly string[]): { demand: Demand; spare: number } {
  const { asDrawn, mirrored } = piece.counts;
  if (asDrawn === mirrored) {
    const copies = garments.flatMap((g) => new Array<string>(asDrawn).fill(g));
    return { demand: { piece, mirrored: false, garments: copies }, spare: 0 };
  }
  if (!isSymmetric(piece.cut)) {
    throw new CheckError(
      `piece '${piece.name}' (${asDrawn} as drawn, ${mirrored} mirrored) cannot be cut from a tube: each placement gives one of each hand`,
      { mend: 'lay it on fabric opened to single width' },
    );
  }
  const needed = garments.flatMap((g) => new Array<string>(asDrawn + mirrored).fill(g));
  const placed = Array.from({ length: Math.ceil(needed.length / 2) }, (_, i) => {
    const [first, second] = [needed[2 * i]!, needed[2 * i + 1]];
    return second === undefined || second === first ? first : `${first}+${second}`;
  });
  return { demand: { piece, mirrored: false, garments: placed }, spare: 2 * placed.length - needed.length };
}

/** Whether a polygon is its own mirror image about the upright axis through the middle of its box. */
export function isSymmetric(polygon: readonly Vec[]): boolean {
  const { minX, maxX } = bounds(polygon);
  const mirror = ([x, y]: Vec): Vec => [minX + maxX - x, y];
  return polygon.every((p) => {
    const image = mirror(p);
    return polygon.some((q) => samePoint(image, q, SYMMETRY_TOLERANCE));
  });
}
