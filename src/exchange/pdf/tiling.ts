import { InputError } from '../../errors.js';
import type { CutPiece } from '../../finish/types.js';
import { overlapArea } from '../../geometry/clip.js';
import type { Box, Polygon } from '../../geometry/polygon.js';
import { add } from '../../geometry/vec.js';
import type { Marker } from '../../lay/types.js';
import { arrange, type Sheet } from '../drawing/sheet.js';
import { PAPERS, type Paper } from './paper.js';

/** Unprinted edge of the paper, and what a sheet shows again of the next one, mm. */
export const MARGIN = 10;
export const OVERLAP = 10;
const MOST_COLUMNS = 8;
/** Free paper round a marker, mm: the edge of the cloth is drawn whole. */
export const MARKER_EDGE = 4;

export interface Tile {
  /** Row letter and column number, such as `B3`. */
  readonly name: string;
  readonly row: number;
  readonly column: number;
  /** No piece reaches into it: it is not printed. */
  readonly blank: boolean;
  /** What its page shows of the sheet, overlap to the right and below included. */
  readonly minX: number;
  readonly minY: number;
  readonly maxX: number;
  readonly maxY: number;
}

/** A sheet of paper, too large to print, and the pages it is printed on. */
export interface Tiling {
  readonly sheet: Sheet;
  /** Size of every page, mm. */
  readonly page: { readonly width: number; readonly height: number };
  readonly rows: number;
  readonly columns: number;
  /** From one tile's corner to the next. */
  readonly stepX: number;
  readonly stepY: number;
  readonly tiles: readonly Tile[];
}

/**
 * Lays the pieces on a sheet and divides it into tiles, trying several widths for the fewest pages.
 *
 * @throws InputError when there is no piece.
 */
export function tilePieces(pieces: readonly CutPiece[], paper: Paper): Tiling {
  if (pieces.length === 0) throw new InputError('there is no piece to print');
  const page = PAPERS[paper];
  const { stepX, stepY } = stepsOf(page);
  let best: Tiling | undefined;
  for (let columns = 1; columns <= MOST_COLUMNS; columns++) {
    for (const snap of [undefined, { x: stepX, y: stepY }]) {
      const spacing = { width: columns * stepX, gap: 12, edge: 4 };
      const sheet = arrange(pieces, snap ? { ...spacing, snap } : spacing);
      const outlines = sheet.places.map(({ piece, by }) => piece.cut.map((p) => add(p, by)));
      const tiling = divide(sheet, page, (cell) => reaches(outlines, cell));
      if (!best || better(tiling, best)) best = tiling;
    }
  }
  return best!;
}

/**
 * Divides a marker into tiles, on upright or on level pages, whichever are fewer. The marker's own frame starts
 * `MARKER_EDGE` inside the sheet. Every tile is printed: the joined paper is as large as the cloth.
 */
export function tileMarker(marker: Marker, paper: Paper): Tiling {
  const { width, height } = PAPERS[paper];
  const sheet = {
    width: marker.length + 2 * MARKER_EDGE,
    height: marker.width + 2 * MARKER_EDGE,
    places: [],
  };
  const upright = divide(sheet, { width, height }, () => true);
  const level = divide(sheet, { width: height, height: width }, () => true);
  return upright.tiles.length < level.tiles.length ? upright : level;
}

/** From one tile's corner to the next on pages of a size. */
const stepsOf = (page: Tiling['page']) => ({
  stepX: page.width - 2 * MARGIN - OVERLAP,
  stepY: page.height - 2 * MARGIN - OVERLAP,
});

function divide(sheet: Sheet, page: Tiling['page'], isPrinted: (cell: Box) => boolean): Tiling {
  const { stepX, stepY } = stepsOf(page);
  const columns = Math.ceil(sheet.width / stepX);
  const rows = Math.ceil(sheet.height / stepY);
  const tiles = Array.from({ length: rows * columns }, (_, i): Tile => {
    const row = Math.floor(i / columns);
    const column = i % columns;
    const minX = column * stepX;
    const maxY = sheet.height - row * stepY;
    return {
      name: `${rowLetter(row)}${column + 1}`,
      row,
      column,
      blank: !isPrinted({ minX, minY: maxY - stepY, maxX: minX + stepX, maxY }),
      minX,
      minY: maxY - stepY - OVERLAP,
      maxX: minX + stepX + OVERLAP,
      maxY,
    };
  });
  return { sheet, page, rows, columns, stepX, stepY, tiles };
}

/** A tile inside a piece is printed though no line crosses it: without it the paper piece would have a hole. */
function reaches(outlines: readonly Polygon[], { minX, minY, maxX, maxY }: Box): boolean {
  const cell: Polygon = [
    [minX, minY],
    [maxX, minY],
    [maxX, maxY],
    [minX, maxY],
  ];
  return outlines.some((outline) => overlapArea([outline], [cell]) > 0);
}

/** Fewer pages; among equals the sheet that is about twice as wide as high, as its map is. */
function better(a: Tiling, b: Tiling): boolean {
  const spread = (t: Tiling) => Math.max((t.columns * t.stepX) / 2, t.rows * t.stepY);
  return printed(a) < printed(b) || (printed(a) === printed(b) && spread(a) < spread(b));
}

const printed = (tiling: Tiling): number => tiling.tiles.filter((tile) => !tile.blank).length;

/** A to Z, then AA, AB, ... */
function rowLetter(row: number): string {
  const letter = String.fromCharCode(65 + (row % 26));
  return row < 26 ? letter : rowLetter(Math.floor(row / 26) - 1) + letter;
}
