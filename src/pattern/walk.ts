import { endDirection, startDirection } from '../geometry/path.js';
import { angleBetween, perp, scale, type Vec } from '../geometry/vec.js';
import { usedLength } from './measure.js';
import { edgeOf, type Pattern, type Piece, pieceOf, type Seam } from './model.js';

/** What walking one seam found; lengths in mm. */
export interface SeamWalk {
  readonly seam: string;
  readonly left: number;
  readonly right: number;
  /** Length the left side should have. */
  readonly wanted: number;
  /** left - wanted. */
  readonly difference: number;
  readonly tolerance: number;
  readonly matches: boolean;
}

/** Walks every seam of a pattern: measures both sides and compares. */
export const walkSeams = (pattern: Pattern): SeamWalk[] =>
  pattern.seams.map((seam) => walkSeam(pattern, seam));

export function walkSeam(pattern: Pattern, seam: Seam): SeamWalk {
  const left = usedLength(pattern, seam.left);
  const right = usedLength(pattern, seam.right);
  const wanted = seam.ratio * right + seam.plus;
  const difference = left - wanted;
  // A hair of float noise on the tolerance itself must not fail a seam trued exactly onto it.
  const matches = Math.abs(difference) <= seam.tolerance + 1e-6;
  return { seam: seam.name, left, right, wanted, difference, tolerance: seam.tolerance, matches };
}

/** A place where two edges meet when the garment is sewn, or where an edge meets a fold. */
export interface JoinCheck {
  readonly join: string;
  /** Degrees away from a smooth line; a dip reads negative, a peak positive. */
  readonly degrees: number;
  readonly tolerance: number;
  readonly smooth: boolean;
}

/** Degrees of turn that still sew as one smooth line (common practice, no source). */
export const JOIN_TOLERANCE_DEGREES = 3;

/** Edges that must meet a fold at a right angle: those that end on it. */
export function foldJoins(piece: Piece, tolerance = JOIN_TOLERANCE_DEGREES): JoinCheck[] {
  if (!piece.fold) return [];
  const index = piece.edges.findIndex((e) => e.name === piece.fold);
  const fold = edgeOf(piece, piece.fold);
  const along = startDirection(fold.path);
  const count = piece.edges.length;
  const before = piece.edges[(index + count - 1) % count]!;
  const after = piece.edges[(index + 1) % count]!;
  const right = perp(along);
  return [
    join(`${piece.name} ${before.name} at the fold`, endDirection(before.path), scale(right, -1), tolerance),
    join(`${piece.name} ${after.name} at the fold`, scale(startDirection(after.path), 1), right, tolerance),
  ];
}

/**
 * Lays two pieces seam to seam at a shared point and compares the directions of the edges that run on across
 * the seam, such as both armholes across the shoulder. Directions are taken relative to the seam edge, so the
 * pieces need not lie in one frame: the two turns away from the seam must add up to a straight angle.
 */
export function seamJoin(
  name: string,
  first: { seamDirection: Vec; edgeDirection: Vec },
  second: { seamDirection: Vec; edgeDirection: Vec },
  tolerance = JOIN_TOLERANCE_DEGREES,
): JoinCheck {
  const turn = (d: { seamDirection: Vec; edgeDirection: Vec }) =>
    Math.abs(angleBetween(d.seamDirection, d.edgeDirection));
  const degrees = ((turn(first) + turn(second) - Math.PI) * 180) / Math.PI;
  return { join: name, degrees, tolerance, smooth: Math.abs(degrees) <= tolerance };
}

/**
 * The joins of a pattern that its seams imply: where a seam of one edge against one edge ends, the edges that
 * follow on each piece must run on smoothly. Free ends that meet no named edge on the other piece are skipped.
 */
export function walkJoins(pattern: Pattern, tolerance = JOIN_TOLERANCE_DEGREES): JoinCheck[] {
  const checks: JoinCheck[] = pattern.pieces.flatMap((piece) => foldJoins(piece, tolerance));
  for (const seam of pattern.seams) {
    const [a, b] = [seam.left[0], seam.right[0]];
    if (seam.left.length !== 1 || seam.right.length !== 1 || !a || !b || a.piece === b.piece) continue;
    const first = neighbours(pieceOf(pattern, a.piece), a.edge);
    const second = neighbours(pieceOf(pattern, b.piece), b.edge);
    for (const [point, away] of first) {
      const other = second.get(point);
      if (other) checks.push(seamJoin(`${seam.name} at ${point}`, away, other, tolerance));
    }
  }
  return checks;
}

/** For both ends of an edge: the directions of the edge and of its neighbour, both pointing away from the end. */
function neighbours(piece: Piece, name: string): Map<string, { seamDirection: Vec; edgeDirection: Vec }> {
  const index = piece.edges.findIndex((e) => e.name === name);
  const count = piece.edges.length;
  const edge = edgeOf(piece, name);
  const before = piece.edges[(index + count - 1) % count]!;
  const after = piece.edges[(index + 1) % count]!;
  return new Map([
    [
      edge.from,
      {
        seamDirection: startDirection(edge.path),
        edgeDirection: scale(endDirection(before.path), -1),
      },
    ],
    [
      edge.to,
      { seamDirection: scale(endDirection(edge.path), -1), edgeDirection: startDirection(after.path) },
    ],
  ]);
}

const join = (name: string, actual: Vec, wanted: Vec, tolerance: number): JoinCheck => {
  const degrees = (angleBetween(wanted, actual) * 180) / Math.PI;
  return { join: name, degrees, tolerance, smooth: Math.abs(degrees) <= tolerance };
};
