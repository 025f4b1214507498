import type { CutPiece } from '../finish/types.js';
import type { Box } from '../geometry/polygon.js';
import { add, lerp, sub, type Vec } from '../geometry/vec.js';
import type { SizeRange } from '../grade/types.js';
import type { Marker, PlacedPiece } from '../lay/types.js';
import { fabricEdge, markerNote, placedShapes, warningsOn } from './drawing/marker.js';
import { pieceShapes } from './drawing/piece.js';
import { rowEdge, rowNote, rowPicture, rowShapes, rowZones } from './drawing/rows.js';
import { type Lettering, lineWidth, type Shape, stroke } from './drawing/shapes.js';
import { arrange } from './drawing/sheet.js';
import { nestNote, nestTitle, type SizeNestOptions, sizeNest } from './drawing/size-nest.js';
import { zoneShapes } from './drawing/zones.js';
import { paletteFor } from './palette.js';
import { path, SvgSheet } from './svg-sheet.js';

const MARGIN = 20;
/** A marker picture is parted into rows of about this length, mm, and is shown about this many dots wide. */
const ROW_LENGTH = 4500;
const PICTURE_DOTS = 1100;
/** Height that a warning above a drawing takes, mm. */
const STAMP_ROOM = 70;

/**
 * A marker at true scale: X along the fabric to the right, the lower selvedge below; pieces filled by size, each
 * with its whole label.
 *
 * @throws InputError when a coordinate is not finite.
 */
export function markerSvg(marker: Marker): string {
  const warnings = warningsOn(marker);
  const head = warnings.length * STAMP_ROOM;
  const box: Box = {
    minX: -MARGIN,
    minY: -MARGIN,
    maxX: marker.length + MARGIN,
    maxY: marker.width + MARGIN + head,
  };
  const sheet = new SvgSheet(box, aboutMarker(marker));
  const look = paletteFor(marker.sizes);
  sheet.shapes([fabricEdge(marker), ...zoneShapes(marker)]);
  for (const placed of marker.pieces) {
    sheet.group(nameOf(placed), () => {
      sheet.fill(placed.outline, look(placed.piece.size).tint);
      sheet.shapes(placedShapes(marker, placed));
    });
  }
  warnings.forEach((text, i) => {
    const at: Vec = [0, marker.width + MARGIN + head - 40 - STAMP_ROOM * i];
    sheet.shapes([note(text, at, stampHeight(text, marker.length))]);
  });
  return sheet.toString();
}

/** A marker as a picture on a page: a long one in rows, each piece with its number and name. */
export function markerPictureSvg(marker: Marker): string {
  const count = Math.max(1, Math.round(marker.length / ROW_LENGTH));
  const picture = rowPicture(marker, count);
  const dot = picture.width / PICTURE_DOTS;
  const box: Box = { minX: -6 * dot, minY: 0, maxX: picture.width + 6 * dot, maxY: picture.height + 6 * dot };
  const sheet = new SvgSheet(box, aboutMarker(marker), penScaleFor(box));
  const look = paletteFor(marker.sizes);
  const size = { max: 15 * dot, min: 8 * dot };
  for (const row of picture.rows) {
    const [left, bottom] = add([row.from, 0], row.by);
    const letters: Shape[] = count > 1 ? [rowNote(row, 9 * dot)] : [];
    const edge = 2 * dot;
    const view = {
      minX: left - edge,
      minY: bottom - edge,
      maxX: left + picture.width + edge,
      maxY: bottom + marker.width + edge,
    };
    sheet.window(view, () => {
      sheet.shapes([rowEdge(marker, row), ...rowZones(marker, row)]);
      for (const placed of row.pieces) {
        const [strokes, own] = rowShapes(placed, row, size);
        letters.push(...own);
        sheet.group(nameOf(placed), () => {
          const outline = placed.outline.map((p) => add(p, row.by));
          sheet.fill(outline, look(placed.piece.size).tint);
          sheet.shapes(strokes);
        });
      }
    });
    sheet.shapes(letters);
  }
  return sheet.toString();
}

export interface PiecesSvgOptions {
  readonly title?: string;
  /** Widest sheet before a new row begins, mm. Default 2000. */
  readonly width?: number;
  /** Warning that stands above the pieces. */
  readonly stamp?: string;
}

/** Pieces of one size side by side, with cut and sewing lines, notches, grain and labels. */
export function piecesSvg(pieces: readonly CutPiece[], options: PiecesSvgOptions = {}): string {
  const layout = arrange(pieces, { width: options.width ?? 2000, gap: 30, edge: MARGIN });
  const { stamp } = options;
  const head = stamp === undefined ? 0 : STAMP_ROOM;
  const box = { minX: 0, minY: 0, maxX: layout.width, maxY: layout.height + head };
  const sheet = new SvgSheet(
    box,
    {
      title: options.title ?? 'Pattern pieces',
      description: 'Solid: cut line. Dashed: sewing line. Dash-dot: centre line. Arrow: along the wales.',
    },
    penScaleFor(box),
  );
  if (stamp !== undefined) {
    sheet.shapes([
      note(stamp, [MARGIN, layout.height + head / 2], stampHeight(stamp, layout.width - 2 * MARGIN)),
    ]);
  }
  for (const { piece, by } of layout.places) {
    sheet.group(`${piece.name} ${piece.size}`, () => {
      sheet.shapes(pieceShapes(piece, { by, lettering: { max: 22, min: 12 } }));
    });
  }
  return sheet.toString();
}

/**
 * One piece in all sizes, sewing lines stacked in the piece's own frame or at one of its points; each size has a
 * colour and a line pattern, named in the key. A derived piece that a size lacks is left out there.
 *
 * @throws InputError when no size has a piece of that name, or the piece has no point to stack at.
 */
export function sizeNestSvg(range: SizeRange, pieceName: string, options: SizeNestOptions = {}): string {
  const nest = sizeNest(range, pieceName, options);
  const { sizes, room } = nest;
  const lettering = Math.max((room.maxY - room.minY) / 40, (room.maxX - room.minX) / 40, 6);
  const keyX = room.maxX + lettering * 2;
  const box: Box = {
    minX: room.minX - MARGIN,
    minY: Math.min(room.minY, room.maxY - lettering * 2.4 * (sizes.length + 1)) - MARGIN,
    maxX: keyX + lettering * 16,
    maxY: room.maxY + MARGIN + (options.stamp === undefined ? 0 : STAMP_ROOM),
  };
  const sheet = new SvgSheet(box, { title: nestTitle(nest), description: nestNote(nest) });
  if (options.stamp !== undefined) {
    const height = stampHeight(options.stamp, box.maxX - room.minX);
    sheet.shapes([note(options.stamp, [room.minX, room.maxY + MARGIN + STAMP_ROOM / 2], height)]);
  }
  const width = lettering / 7;
  sizes.forEach(({ size, isBase, look, ring, fold }, i) => {
    const pen = {
      width: isBase ? width * 1.8 : width,
      dash: look.dash.map((d) => d * width),
      colour: look.colour,
    };
    sheet.group(size, () => {
      sheet.path(path(ring, true), pen);
      if (fold) sheet.shapes([stroke('FOLD', fold)]);
      const y = room.maxY - lettering * (1 + 2.4 * i);
      const sample: Vec[] = [
        [keyX, y],
        [keyX + lettering * 5, y],
      ];
      sheet.path(path(sample, false), pen);
      sheet.shapes([note(isBase ? `${size} (base)` : size, [keyX + lettering * 6, y], lettering)]);
    });
  });
  const { fold } = sizes[sizes.length - 1]!;
  if (fold) {
    const at = lerp(fold[0], fold[1], 0.5);
    sheet.shapes([note('fold', [at[0] + lettering, at[1]], lettering * 0.8)]);
  }
  if (nest.stack) {
    const arm = lettering * 0.8;
    for (const by of [
      [arm, 0],
      [0, arm],
    ] as const) {
      sheet.shapes([stroke('NOTE', [sub(nest.stack.at, by), add(nest.stack.at, by)])]);
    }
  }
  return sheet.toString();
}

const aboutMarker = (marker: Marker) => ({
  title: `${marker.style}: ${marker.name}`,
  description: markerNote(marker, 'mm').join('; '),
});

const nameOf = ({ number, piece, garment }: PlacedPiece): string =>
  `${number}: ${piece.name} ${piece.size}, garment ${garment}`;

/** Pens that stay visible where the drawing is shown about a thousand dots wide. */
const penScaleFor = ({ minX, maxX }: Box): number => Math.max(1, (maxX - minX) / 450);

/** Height of a warning's capitals, so that it fits into a width, mm. */
const stampHeight = (text: string, width: number): number => Math.min(40, width / lineWidth(text));

const note = (text: string, at: Vec, height: number): Lettering & Shape => ({
  kind: 'text',
  layer: 'NOTE',
  at,
  height,
  angle: 0,
  text,
  align: 'start',
});
