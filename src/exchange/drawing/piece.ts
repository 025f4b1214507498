import type { CutPiece } from '../../finish/types.js';
import { type Box, bounds, contains } from '../../geometry/polygon.js';
import { add, type Vec } from '../../geometry/vec.js';
import type { Counts } from '../../pattern/model.js';
import { oneLine } from '../text.js';
import { grainArrow } from './grain.js';
import { fitLabel, type LabelOptions, lettering } from './label.js';
import { partsInside, partsOutsideBox } from './lines.js';
import { nicks } from './notch.js';
import { ring, type Shape, stroke } from './shapes.js';
import { stretchAlong, stretchArrow } from './stretch.js';

export interface PieceDrawing {
  /** Moves the piece's frame, mm. */
  readonly by?: Vec;
  /** First line of the label, such as the style. */
  readonly title?: string;
  readonly lettering?: LabelOptions;
}

const PAPER_LETTERING: LabelOptions = { max: 5, min: 2.5 };

/** A piece opened and ready to cut: cut line, sewing line, notches, internal and centre lines, grain, stretch, label. */
export function pieceShapes(piece: CutPiece, options: PieceDrawing = {}): Shape[] {
  const by = options.by ?? [0, 0];
  const map = (p: Vec): Vec => add(p, by);
  const cut = piece.cut.map(map);
  const sew = piece.sew.map(map);
  const at = map(piece.label.at);
  // Inside the sewing line where it can be, so that neither line runs through the lettering.
  const room = contains(sew, at) ? sew : cut;
  const label = fitLabel(room, at, wordings(piece, options.title), options.lettering ?? PAPER_LETTERING);
  const clear = (line: readonly Vec[]) => partsOutsideBox(line, label.at, label.half);
  const [from, to] = [map(piece.grain.from), map(piece.grain.to)];
  const onCentre =
    piece.half !== undefined && [piece.grain.from, piece.grain.to].every(near(piece.half.foldX));
  const grain = grainArrow(from, to, cut, label, { heads: 1, beside: onCentre });
  return [
    ring('CUT', cut),
    ring('SEW', sew),
    ...piece.notches.flatMap((notch) => nicks(notch, cut, map)),
    ...piece.internals.flatMap(({ points }) =>
      clear(points.map(map)).map((part) => stroke('INTERNAL', part)),
    ),
    ...centreLine(piece, map).flatMap((line) => clear(line).map((part) => stroke('FOLD', part))),
    ...grain,
    ...(piece.stretch ? stretchArrow(stretchAlong(piece.stretch, map), room, label, grain) : []),
    ...lettering('LABEL', label),
  ];
}

/** `cut 2: 1 as drawn, 1 mirrored`. */
export function cutCount({ asDrawn, mirrored }: Counts): string {
  const total = `cut ${asDrawn + mirrored}`;
  if (mirrored === 0) return total;
  return asDrawn === 0 ? `${total}, mirrored` : `${total}: ${asDrawn} as drawn, ${mirrored} mirrored`;
}

export const pieceBox = (piece: CutPiece): Box => bounds(piece.cut);

/** The line on which a piece cut on the fold would be folded, where it lies inside the cut line. */
function centreLine(piece: CutPiece, map: (p: Vec) => Vec): Vec[][] {
  if (!piece.half) return [];
  const { minY, maxY } = pieceBox(piece);
  const x = piece.half.foldX;
  const upright: Vec[] = [
    [x, minY - 1],
    [x, maxY + 1],
  ];
  return partsInside(upright, piece.cut).map((part) => part.map(map));
}

/** Whether a grain line at this x would be hidden by the centre line, mm. */
const near =
  (x: number) =>
  (p: Vec): boolean =>
    Math.abs(p[0] - x) < 3;

function wordings(piece: CutPiece, title: string | undefined): string[][] {
  const name = `${piece.name}, size ${piece.size}`;
  const count = cutCount(piece.counts);
  const head = title ? [title] : [];
  return [
    [...head, name, count, piece.fabric],
    [...head, name, `${count}, ${piece.fabric}`],
    [name, `${count}, ${piece.fabric}`],
    [`${name}, ${count}, ${piece.fabric}`],
    [`${name}, cut ${piece.counts.asDrawn + piece.counts.mirrored}`],
    [piece.name],
  ].map((lines) => lines.map(oneLine));
}
