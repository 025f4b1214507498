import { CheckError } from '../errors.js';
import { end, length, line, start, startDirection } from '../geometry/path.js';
import { add, scale, sub, type Vec } from '../geometry/vec.js';
import { edgeOf, type NecklineShape, type Piece, pointOf } from '../pattern/model.js';
import { carry } from '../pattern/reshape.js';
import { isStraight, squareNeckline } from './true-up.js';

/** The least shoulder that a neckline may leave, mm. */
const LEAST_SHOULDER = 10;

export interface NeckChange {
  /** Along the shoulder towards the tip, mm; negative narrows the neck. */
  readonly along?: number;
  /** Where the centre neck goes, mm above the frame's origin; where it is when left out. */
  readonly center?: number;
  /** Drawn in this shape; the shape it has when left out. */
  readonly shape?: NecklineShape;
}

/**
 * A body half with its neck point moved along the shoulder and its centre neck along the fold; the neckline is
 * drawn between them, square to the shoulder.
 *
 * @throws CheckError for a shoulder that is not straight or too short, or a centre outside the piece.
 */
export function changeNeck(piece: Piece, change: NeckChange): Piece {
  const shoulder = edgeOf(piece, 'shoulder');
  const neckline = edgeOf(piece, 'neckline');
  const along = change.along ?? 0;
  if (along !== 0) assertShoulder(piece, along);
  const neckPoint = sub(end(shoulder.path), scale(startDirection(shoulder.path), along));
  const centerNeck: Vec = [end(neckline.path)[0], change.center ?? end(neckline.path)[1]];
  assertCenter(piece, centerNeck);
  const edges = piece.edges.map((edge) => {
    if (edge.name === 'shoulder' && along !== 0) {
      return { ...edge, path: [line(start(edge.path), neckPoint)] };
    }
    if (edge.name === piece.fold) return { ...edge, path: [line(centerNeck, end(edge.path))] };
    if (edge.name !== 'neckline') return edge;
    const { pointed: _, ...plain } = edge;
    const carried = { ...plain, path: carry(edge.path, neckPoint, centerNeck) };
    if (!change.shape) return edge.pointed ? { ...carried, pointed: true } : carried;
    const drawn = { as: 'neckline', shape: change.shape } as const;
    return { ...carried, drawn, ...(change.shape === 'v' ? { pointed: true } : {}) };
  });
  return squareNeckline({ ...piece, edges });
}

/** How far along its shoulder the neck point of a piece moves when it comes to lie `half` mm off the fold. */
export function alongToWidth(piece: Piece, half: number): number {
  const { path } = edgeOf(piece, 'shoulder');
  assertShoulder(piece, 0);
  const across = -startDirection(path)[0];
  return (half - (pointOf(piece, 'neck-point')[0] - pointOf(piece, 'center-neck')[0])) / across;
}

/** The neck point after a move along the shoulder. */
export function neckPointAfter(piece: Piece, along: number): Vec {
  const { path } = edgeOf(piece, 'shoulder');
  return add(end(path), scale(startDirection(path), -along));
}

function assertShoulder(piece: Piece, along: number): void {
  const { path } = edgeOf(piece, 'shoulder');
  if (!isStraight(path)) {
    throw new CheckError(
      `piece '${piece.name}': the shoulder is not straight, so its neckline cannot be moved along it`,
      { mend: 'draw the shoulder straight first, or leave the width as it is' },
    );
  }
  const size = length(path);
  if (size - along >= LEAST_SHOULDER) return;
  throw new CheckError(
    `piece '${piece.name}': the neckline cannot be widened by ${along.toFixed(1)} mm along a shoulder of ${size.toFixed(1)} mm`,
    { mend: `widen it by ${(size - LEAST_SHOULDER).toFixed(1)} mm at most` },
  );
}

function assertCenter(piece: Piece, [, y]: Vec): void {
  const hem = pointOf(piece, 'center-hem')[1];
  if (y - hem >= LEAST_SHOULDER) return;
  throw new CheckError(
    `piece '${piece.name}': a neckline this deep reaches the hem, ${(y - hem).toFixed(1)} mm above it`,
    { mend: 'make it less deep' },
  );
}
