import { InputError } from '../errors.js';
import { end, nodes, start } from '../geometry/path.js';
import type { Polygon } from '../geometry/polygon.js';
import { lerp, type Vec } from '../geometry/vec.js';
import { edgeOf, type Piece } from '../pattern/model.js';

/** Off the fold by less than this counts as on it, mm. */
const ON_FOLD = 1e-6;

/**
 * x of a piece's fold, undefined for a piece cut whole.
 *
 * @throws InputError when the fold does not run along the wales, or the piece lies left of it.
 */
export function foldLine(piece: Piece): number | undefined {
  if (!piece.fold) return undefined;
  const { path } = edgeOf(piece, piece.fold);
  const foldX = start(path)[0];
  const straight = path.every((s) => s.kind === 'line') && nodes(path).every((p) => onFold(p, foldX));
  if (!straight) {
    throw new InputError(`the fold of '${piece.name}' is not a straight line along the wales`, {
      mend: 'turn the piece so that its fold is vertical',
    });
  }
  if (start(path)[1] < end(path)[1]) {
    throw new InputError(`the half piece '${piece.name}' lies left of its fold`, {
      mend: 'draw the half to the right of the fold',
    });
  }
  return foldX;
}

export const mirrorAt =
  (foldX: number) =>
  ([x, y]: Vec): Vec => [2 * foldX - x, y];

export const onFold = (point: Vec, foldX: number): boolean => Math.abs(point[0] - foldX) <= 1e-4;

/** The part of a ring that is symmetric about the fold which lies right of it, the fold side closing it. */
export function rightHalf(ring: Polygon, foldX: number): Polygon {
  const half: Vec[] = [];
  ring.forEach((p, i) => {
    const q = ring[(i + 1) % ring.length]!;
    const inside = p[0] > foldX + ON_FOLD;
    const nextInside = q[0] > foldX + ON_FOLD;
    if (inside) half.push(p);
    if (inside !== nextInside) half.push([foldX, lerp(p, q, (foldX - p[0]) / (q[0] - p[0]))[1]]);
  });
  return half;
}

/** A half and its mirror image as one ring, exactly symmetric; the half is counter-clockwise, right of the fold. */
export function openedRing(half: Polygon, foldX: number): Polygon {
  // The fold side runs down: it starts at the upper of its two ends.
  const top = half.findIndex((p, i) => onFold(p, foldX) && onFold(half[(i + 1) % half.length]!, foldX));
  const from = (top + 1) % half.length;
  const chain = [...half.slice(from), ...half.slice(0, from)];
  const mirrored = chain.slice(1, -1).map(mirrorAt(foldX)).reverse();
  return [...chain, ...mirrored];
}
