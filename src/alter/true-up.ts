import { type ArmholeGuide, armholePath } from '../draft/armhole.js';
import { necklinePath } from '../draft/neckline.js';
import { CheckError } from '../errors.js';
import { cubic, end, endDirection, line, type Path, start, startDirection } from '../geometry/path.js';
import { add, distance, perp, scale, sub, type Vec } from '../geometry/vec.js';
import { edgeOf, type Piece, pointOf, withEdge } from '../pattern/model.js';
import { movePoints } from '../pattern/reshape.js';

/**
 * Redraws what depends on the shoulder and the side seam of a body half: the armhole through its guide point
 * and the neckline's start at a right angle to the shoulder, so that both run on across the seams.
 */
export function trueBody(piece: Piece): Piece {
  return squareNeckline(redrawArmhole(piece));
}

/** The armhole drawn again between its present ends; what is given of `change` replaces how it was drawn. */
export function redrawArmhole(piece: Piece, change: Partial<ArmholeGuide> = {}): Piece {
  const armhole = edgeOf(piece, 'armhole');
  const known = armhole.drawn?.as === 'armhole' ? armhole.drawn : undefined;
  const inward = change.inward ?? known?.inward;
  if (inward === undefined) return piece;
  const guide: ArmholeGuide = { ...known, ...change, inward };
  const path = armholePath(
    {
      underarm: pointOf(piece, 'underarm'),
      tip: pointOf(piece, 'shoulder-tip'),
      side: endDirection(edgeOf(piece, 'side').path),
      shoulder: startDirection(edgeOf(piece, 'shoulder').path),
    },
    guide,
  );
  // Points that were named inside the old curve do not lie on the new one.
  const { marks: _, ...plain } = armhole;
  return withEdge(piece, { ...plain, path, drawn: { ...guide, as: 'armhole' } });
}

/**
 * The neckline square to the shoulder at its start: one of a known shape is drawn again, of any other the first
 * handle is turned and keeps its length.
 */
export function squareNeckline(piece: Piece): Piece {
  const neckline = edgeOf(piece, 'neckline');
  const along = endDirection(edgeOf(piece, 'shoulder').path);
  if (neckline.drawn?.as === 'neckline') {
    const { shape, fullness } = neckline.drawn;
    const path = necklinePath(start(neckline.path), end(neckline.path), along, { shape, fullness });
    return withEdge(piece, { ...neckline, path });
  }
  const [first, ...rest] = neckline.path;
  if (first?.kind !== 'cubic') return piece;
  const handle = distance(first.a, first.c);
  const turned = cubic(first.a, add(first.a, scale(perp(along), handle)), first.d, first.b);
  return withEdge(piece, { ...neckline, path: [turned, ...rest] });
}

/** Moves the shoulder tip; the shoulder becomes straight to it and the armhole is redrawn. */
export function moveTip(piece: Piece, tip: Vec): Piece {
  const shoulder = edgeOf(piece, 'shoulder');
  const neckPoint = pointOf(piece, 'neck-point');
  const moved = movePoints(piece, new Map([['shoulder-tip', sub(tip, pointOf(piece, 'shoulder-tip'))]]));
  return trueBody(withEdge(moved, { ...shoulder, path: [line(tip, neckPoint)] }));
}

/**
 * Shoulder tip at height `y` that keeps the shoulder `length` long.
 *
 * @throws CheckError when the shoulder is too short to reach down that far.
 */
export function tipAtHeight(piece: Piece, y: number, length: number): Vec {
  const neckPoint = pointOf(piece, 'neck-point');
  const drop = neckPoint[1] - y;
  if (Math.abs(drop) >= length) {
    throw new CheckError(
      `piece '${piece.name}': a shoulder ${length.toFixed(1)} mm long cannot drop ${drop.toFixed(1)} mm`,
    );
  }
  return [neckPoint[0] + Math.sqrt(length * length - drop * drop), y];
}

/** Moves the underarm straight up or down the grain by `up` mm; the side seam follows, the armhole is redrawn. */
export const raiseUnderarm = (piece: Piece, up: number): Piece =>
  redrawArmhole(movePoints(piece, new Map([['underarm', [0, up]]])));

export const isStraight = (path: Path): boolean => {
  const along = startDirection(path);
  const origin = start(path);
  return path.every((s) => {
    const off = sub(s.b, origin);
    return s.kind === 'line' && Math.abs(along[0] * off[1] - along[1] * off[0]) < 1e-6;
  });
};
