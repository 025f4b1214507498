import { bounds } from '../../geometry/polygon.js';
import { add, type Vec } from '../../geometry/vec.js';
import type { Marker, PlacedPiece } from '../../lay/types.js';
import type { LabelOptions } from './label.js';
import { fabricEdge, numberedShapes } from './marker.js';
import { drawingBox, type Lettering, type Shape, type Stroke } from './shapes.js';
import { zoneShapes } from './zones.js';

/** One length of a marker in a picture that shows a long marker in rows, as a text is set in lines. */
export interface Row {
  /** What the row shows of the marker's length, mm. */
  readonly from: number;
  readonly to: number;
  /** Moves the marker's frame into the picture's, whose origin is the lower left corner. */
  readonly by: Vec;
  /** Pieces of which the row shows at least a part. */
  readonly pieces: readonly PlacedPiece[];
}

export interface RowPicture {
  readonly rows: readonly Row[];
  readonly width: number;
  readonly height: number;
}

/** Space between rows, and below the last, as a share of the marker's width. */
const ROW_GAP = 0.12;

/** Divides a marker into `count` rows of equal length, the start of the lay on top. */
export function rowPicture(marker: Marker, count: number): RowPicture {
  const width = marker.length / count;
  const step = marker.width * (1 + ROW_GAP);
  const boxes = marker.pieces.map((placed) => bounds(placed.outline));
  const rows = Array.from({ length: count }, (_, i): Row => {
    const from = width * i;
    const to = from + width;
    const pieces = marker.pieces.filter((_, k) => boxes[k]!.minX < to && boxes[k]!.maxX > from);
    return { from, to, by: [-from, step * (count - 1 - i) + marker.width * ROW_GAP], pieces };
  });
  return { rows, width, height: step * count };
}

/** How many rows show a marker largest in a room. */
export function bestRowCount(marker: Marker, roomWidth: number, roomHeight: number): number {
  const scaleWith = (count: number) =>
    Math.min(roomWidth / (marker.length / count), roomHeight / (marker.width * (1 + ROW_GAP) * count));
  let best = 1;
  while (scaleWith(best + 1) > scaleWith(best)) best++;
  return best;
}

/** Lines of a piece in the picture's frame, to be clipped to the row, and the lettering that belongs to it. */
export function rowShapes(placed: PlacedPiece, row: Row, size: LabelOptions): [Stroke[], Lettering[]] {
  const strokes: Stroke[] = [];
  const letters: Lettering[] = [];
  for (const shape of numberedShapes(placed, size)) {
    if (shape.kind === 'stroke') strokes.push(moved(shape, row.by));
    else if (shape.at[0] >= row.from && shape.at[0] < row.to) letters.push(shape);
  }
  if (letters.length === 0) return [strokes, letters];
  // A label stands in the row that holds its middle, moved off the row's ends so that all of it is seen.
  const { minX, maxX } = drawingBox(letters);
  const inward = Math.max(0, row.from - minX) - Math.max(0, maxX - row.to);
  return [strokes, letters.map((l) => ({ ...l, at: add(l.at, [row.by[0] + inward, row.by[1]]) }))];
}

export const rowEdge = (marker: Marker, row: Row): Shape => moved(fabricEdge(marker), row.by);

/** Flaws and splices in the picture's frame, to be clipped to the row; without their words, which are small. */
export const rowZones = (marker: Marker, row: Row): Stroke[] =>
  zoneShapes(marker).flatMap((shape) => (shape.kind === 'stroke' ? moved(shape, row.by) : []));

/** Where the row begins, below its left end. */
export const rowNote = (row: Row, height: number): Lettering => ({
  kind: 'text',
  layer: 'NOTE',
  at: add([row.from, -height], row.by),
  height,
  angle: 0,
  text: `${(row.from / 1000).toFixed(2)} m`,
  align: 'start',
});

const moved = (shape: Stroke, by: Vec): Stroke => ({ ...shape, points: shape.points.map((p) => add(p, by)) });
