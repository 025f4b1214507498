import type { CutPiece } from '../../finish/types.js';
import type { Vec } from '../../geometry/vec.js';
import { pieceBox } from './piece.js';

/** A piece put on a sheet of paper: add `by` to its frame. */
export interface SheetPlace {
  readonly piece: CutPiece;
  readonly by: Vec;
}

export interface Sheet {
  readonly width: number;
  readonly height: number;
  readonly places: readonly SheetPlace[];
}

export interface SheetOptions {
  /** The sheet is no wider than this unless one piece alone is, mm. */
  readonly width: number;
  readonly gap: number;
  /** Free paper at the sheet's edges. */
  readonly edge: number;
  /** Pieces start at multiples of these, so that tiles are used from their corner. */
  readonly snap?: { readonly x: number; readonly y: number };
}

/** Pieces side by side on shelves, tallest first; the frame's origin is the sheet's lower left corner. */
export function arrange(pieces: readonly CutPiece[], options: SheetOptions): Sheet {
  const { gap, edge, snap } = options;
  const sorted = pieces
    .map((piece) => ({ piece, box: pieceBox(piece) }))
    .sort((a, b) => heightOf(b.box) - heightOf(a.box));
  const next = (value: number, step: number | undefined) =>
    step ? Math.ceil((value - edge) / step) * step + edge : value;
  let x = edge;
  let down = edge;
  let shelf = 0;
  let width = 0;
  const placed: { piece: CutPiece; left: number; top: number }[] = [];
  for (const { piece, box } of sorted) {
    const across = box.maxX - box.minX;
    if (x > edge && x + across + edge > options.width) {
      down = next(down + shelf + gap, snap?.y);
      x = edge;
      shelf = 0;
    }
    placed.push({ piece, left: x - box.minX, top: down + box.maxY });
    width = Math.max(width, x + across + edge);
    shelf = Math.max(shelf, heightOf(box));
    x = next(x + across + gap, snap?.x);
  }
  const height = down + shelf + edge;
  // Shelves were counted downwards; the frame's y points up.
  const places = placed.map(({ piece, left, top }): SheetPlace => ({ piece, by: [left, height - top] }));
  return { width, height, places };
}

const heightOf = (box: { minY: number; maxY: number }): number => box.maxY - box.minY;
