import { z } from 'zod';
import { CheckError } from '../errors.js';
import { lengthField } from '../fields.js';
import {
  crossings,
  end,
  length,
  line,
  mapPoints,
  type Path,
  reverse,
  splitAt,
  start,
  startDirection,
} from '../geometry/path.js';
import { add, dot, perp, scale, sub, type Vec } from '../geometry/vec.js';
import { frontAndBack } from '../pattern/measure.js';
import { type Edge, edgeOf, type Pattern, type Piece, pieceOf, withPiece } from '../pattern/model.js';
import { carry } from '../pattern/reshape.js';
import { type Altered, altered, assertSound, defineAlteration } from './alteration.js';
import { isStraight } from './true-up.js';

export interface ForwardShoulderOptions {
  /** How far the seam moves to the front, square to it, mm. */
  readonly by: number;
}

/** Shoulders sew together within this, mm: closer they need not be to hand a strip over. */
const MATCHED = 0.5;

/**
 * Shifts the shoulder seam to the front: a strip `by` wide is cut off the front along its shoulder and laid on
 * the back's. Whole neckline and whole armholes keep their lengths and their run across the seam; both
 * shoulders are the cut line and so match. The armholes and necklines are then no longer as drafted, so that
 * later steps carry them instead of drawing them again: shift last, before the sleeve.
 *
 * @throws CheckError for shoulders that do not match or are not straight, or a strip wider than the front has.
 */
export function forwardShoulder(pattern: Pattern, options: ForwardShoulderOptions): Altered {
  const shoulders = frontAndBack(pattern, 'shoulder');
  if (Math.abs(shoulders.front - shoulders.back) > MATCHED) {
    throw new CheckError(
      `the shoulders measure ${shoulders.front.toFixed(1)} mm (front) and ${shoulders.back.toFixed(1)} mm (back): a strip of one does not fit the other`,
      { mend: 'put match-shoulders before this step' },
    );
  }
  const before = frontAndBack(pattern, 'armhole');
  const { front, strip } = cutStrip(pieceOf(pattern, 'front'), options.by);
  const back = laidOn(pieceOf(pattern, 'back'), pieceOf(pattern, 'front'), strip);
  const result = withPiece(withPiece(pattern, assertSound(front)), assertSound(back));
  const after = frontAndBack(result, 'armhole');
  return altered(result, [
    {
      subject: 'armholes',
      values: [
        { name: 'front before', mm: before.front },
        { name: 'back before', mm: before.back },
        { name: 'front after', mm: after.front },
        { name: 'back after', mm: after.back },
      ],
    },
  ]);
}

export const forwardShoulderAlteration = defineAlteration({
  name: 'forward-shoulder',
  summary: 'shift the shoulder seam to the front',
  schema: (unit) =>
    z
      .strictObject({ by: lengthField(unit, 'positive') })
      .transform((o): ForwardShoulderOptions => ({ by: o.by })),
  apply: forwardShoulder,
});

/** What the front gives: the ends of its armhole and neckline beside the shoulder, in its own frame. */
interface Strip {
  readonly armhole: Path;
  readonly neckline: Path;
}

function cutStrip(piece: Piece, by: number): { front: Piece; strip: Strip } {
  const shoulder = edgeOf(piece, 'shoulder').path;
  if (!isStraight(shoulder)) {
    throw new CheckError("the front's shoulder is not straight", { mend: 'draw it straight first' });
  }
  const along = startDirection(shoulder);
  const origin = add(start(shoulder), scale(perp(along), by));
  const armhole = edgeOf(piece, 'armhole').path;
  const neckline = edgeOf(piece, 'neckline').path;
  // Of several crossings the one beside the shoulder is the seam's.
  const tip = crossings(armhole, origin, along).at(-1);
  const neck = crossings(neckline, origin, along)[0];
  if (!tip || !neck || tip.at <= 0 || neck.at >= length(neckline)) {
    throw new CheckError(
      `a strip of ${by.toFixed(1)} mm along the front's shoulder runs past its armhole or neckline`,
      { mend: 'shift the seam less' },
    );
  }
  const [armholeLeft, armholeCut] = splitAt(armhole, tip.at);
  const [necklineCut, necklineLeft] = splitAt(neckline, neck.at);
  const paths: Readonly<Record<string, Path>> = {
    armhole: armholeLeft,
    shoulder: [line(end(armholeLeft), start(necklineLeft))],
    neckline: necklineLeft,
  };
  return { front: redrawn(piece, paths), strip: { armhole: armholeCut, neckline: necklineCut } };
}

/** The back with the strip sewn on: turned over so that the front's shoulder lies on the back's. */
function laidOn(back: Piece, front: Piece, strip: Strip): Piece {
  const from = edgeOf(front, 'shoulder').path;
  const to = edgeOf(back, 'shoulder').path;
  const [fromAlong, toAlong] = [startDirection(from), startDirection(to)];
  const lay = (p: Vec): Vec => {
    const off = sub(p, end(from));
    // What lies inside the front, left of its shoulder, comes to lie outside the back.
    const across = scale(perp(toAlong), -dot(off, perp(fromAlong)));
    return add(end(to), add(scale(toAlong, dot(off, fromAlong)), across));
  };
  const armholeEnd = reverse(mapPoints(strip.armhole, lay));
  const necklineStart = reverse(mapPoints(strip.neckline, lay));
  const armhole = edgeOf(back, 'armhole').path;
  const neckline = edgeOf(back, 'neckline').path;
  // Shoulders a hair apart: the strip is carried onto the back's tip.
  const joined = carry(armholeEnd, start(to), end(armholeEnd));
  return redrawn(back, {
    armhole: [...armhole, ...joined],
    shoulder: [line(end(joined), start(necklineStart))],
    neckline: [...necklineStart, ...neckline],
  });
}

function redrawn(piece: Piece, paths: Readonly<Record<string, Path>>): Piece {
  const edges = piece.edges.map((edge): Edge => {
    const path = paths[edge.name];
    if (!path) return edge;
    const { drawn: _, ...plain } = edge;
    if (edge.name !== 'armhole') return { ...plain, path };
    // Balance is judged as if the seam still were where both armholes were drawn to.
    return { ...plain, path, shifted: (edge.shifted ?? 0) + length(path) - length(edge.path) };
  });
  return { ...piece, edges };
}
