import { pieceShapes } from '../exchange/drawing/piece.js';
import { bestRowCount, rowEdge, rowNote, rowPicture, rowShapes } from '../exchange/drawing/rows.js';
import type { Shape } from '../exchange/drawing/shapes.js';
import { arrange } from '../exchange/drawing/sheet.js';
import { sizesIn } from '../exchange/drawing/size-key.js';
import { sizeNest } from '../exchange/drawing/size-nest.js';
import { paletteFor } from '../exchange/palette.js';
import type { Content } from '../exchange/pdf/content.js';
import type { CutPiece } from '../finish/types.js';
import { add, scale as scaled, type Vec } from '../geometry/vec.js';
import type { SizeRange } from '../grade/types.js';
import type { Marker } from '../lay/types.js';
import type { Picture } from './document.js';

/** A picture fitted into a room of a page, mm. */
export interface FittedPicture {
  readonly width: number;
  readonly height: number;
  /** Draws it with its lower left corner at `at`. */
  readonly draw: (content: Content, at: Vec) => void;
}

const PEN = 0.5;
const KEY_HEIGHT = 2;
/** Room for the key of sizes below a marker, mm. */
const SIZE_KEY = 5;

/** @throws InputError when a coordinate is not finite. */
export function fitPicture(picture: Picture, room: { width: number; height: number }): FittedPicture {
  if (picture.of === 'marker') return fitMarker(picture.marker, room);
  if (picture.of === 'pieces') return fitPieces(picture.pieces, room);
  return fitSizeNest(picture.range, picture.piece, room);
}

/** A long marker is shown in as many rows as make it largest. */
function fitMarker(marker: Marker, room: { width: number; height: number }): FittedPicture {
  const most = room.height - SIZE_KEY;
  const count = bestRowCount(marker, room.width, most);
  const picture = rowPicture(marker, count);
  const scale = Math.min(room.width / picture.width, most / picture.height);
  // A row alone has no note below it, and needs no room for one.
  const low = count === 1 ? -picture.rows[0]!.by[1] * scale : 0;
  const look = paletteFor(marker.sizes);
  const size = { max: 3 / scale, min: 1.3 / scale };
  const draw = (content: Content, corner: Vec): void => {
    drawSizeKey(content, marker, corner, room.width);
    const at = add(corner, [0, SIZE_KEY + low]);
    const letters: Shape[] = [];
    for (const row of picture.rows) {
      const [x, y] = add(at, scaled(add([row.from, 0], row.by), scale));
      const box = {
        minX: x - 0.3,
        minY: y - 0.3,
        maxX: x + picture.width * scale + 0.3,
        maxY: y + marker.width * scale + 0.3,
      };
      if (count > 1) letters.push(rowNote(row, 1.8 / scale));
      content.within(box, { scale, at }, () => {
        const strokes: Shape[] = [rowEdge(marker, row)];
        for (const placed of row.pieces) {
          const [own, label] = rowShapes(placed, row, size);
          strokes.push(...own);
          letters.push(...label);
          content.fill(
            placed.outline.map((p) => add(p, row.by)),
            look(placed.piece.size).tint,
          );
        }
        content.shapes(strokes, { penScale: PEN / scale });
      });
    }
    content.within(PAGE, { scale, at }, () => content.shapes(letters));
  };
  return { width: picture.width * scale, height: picture.height * scale + low + SIZE_KEY, draw };
}

/** Which fill is which size, and how many garments of it. */
function drawSizeKey(content: Content, marker: Marker, [left, low]: Vec, width: number): void {
  const sizes = sizesIn(marker);
  const step = Math.min(24, width / sizes.length);
  sizes.forEach(({ size, count, tint }, i) => {
    const [x, y] = [left + i * step, low];
    const square: Vec[] = [
      [x, y],
      [x + 3, y],
      [x + 3, y + 3],
      [x, y + 3],
    ];
    content.fill(square, tint);
    content.pen({ width: 0.2, dash: [], colour: '#000000' });
    content.stroke(square, true);
    content.text(`${count} x ${size}`, [x + 4.5, y + 0.6], { height: 1.8 });
  });
}

function fitPieces(pieces: readonly CutPiece[], room: { width: number; height: number }): FittedPicture {
  const layout = arrange(pieces, { width: 2000, gap: 30, edge: 20 });
  const scale = Math.min(room.width / layout.width, room.height / layout.height);
  const size = { max: 2.2 / scale, min: 1.3 / scale };
  const draw = (content: Content, at: Vec): void =>
    content.within(PAGE, { scale, at }, () => {
      for (const { piece, by } of layout.places) {
        content.shapes(pieceShapes(piece, { by, lettering: size }), { penScale: PEN / scale });
      }
    });
  return { width: layout.width * scale, height: layout.height * scale, draw };
}

/** All sizes of a piece with the key beside them. */
function fitSizeNest(
  range: SizeRange,
  piece: string,
  room: { width: number; height: number },
): FittedPicture {
  const nest = sizeNest(range, piece);
  const { minX, minY, maxX, maxY } = nest.room;
  const keyWidth = 24;
  const keyTall = nest.sizes.length * KEY_HEIGHT * 2;
  const scale = Math.min((room.width - keyWidth) / (maxX - minX), room.height / (maxY - minY));
  const height = Math.max((maxY - minY) * scale, keyTall);
  const width = (maxX - minX) * scale + keyWidth;
  const draw = (content: Content, at: Vec): void => {
    const put = (p: Vec): Vec => [at[0] + (p[0] - minX) * scale, at[1] + height + (p[1] - maxY) * scale];
    nest.sizes.forEach(({ size, isBase, look, ring }, i) => {
      const pen = isBase ? 0.4 : 0.22;
      content.pen({ width: pen, dash: look.dash.map((d) => d * pen * 1.5), colour: look.colour });
      content.stroke(ring.map(put), true);
      const [x, y] = [at[0] + width - keyWidth + 3, at[1] + height - (i + 1) * KEY_HEIGHT * 2 + KEY_HEIGHT];
      content.stroke([
        [x, y + KEY_HEIGHT / 2],
        [x + 6, y + KEY_HEIGHT / 2],
      ]);
      content.text(isBase ? `${size} (base)` : size, [x + 7.5, y], { height: 1.7 });
    });
  };
  return { width, height, draw };
}

/** Lettering may stand a little outside the picture. */
const PAGE = { minX: 0, minY: 0, maxX: 1000, maxY: 1000 };
