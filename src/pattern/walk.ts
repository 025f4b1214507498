import { endDirection, startDirection } from '../geometry/path.js';
import { angleBetween, perp, scale, type Vec } from '../geometry/vec.js';
import { usedLength } from './measure.js';
import { type Edge, edgeOf, type Pattern, type Piece, pieceOf, type Seam } from './model.js';

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
  /** What is eased in where a seam may be: positive when the left side is the longer one. Part of `wanted`. */
  readonly eased?: number;
}

/** Walks every seam of a pattern: measures both sides and compares. */
export const walkSeams = (pattern: Pattern): SeamWalk[] =>
  pattern.seams.map((seam) => walkSeam(pattern, seam));

export function walkSeam(pattern: Pattern, seam: Seam): SeamWalk {
  const left = usedLength(pattern, seam.left);
  const right = usedLength(pattern, seam.right);
  const even = seam.ratio * right + seam.plus;
  const most = seam.easeUpTo ?? 0;
  const eased = Math.min(most, Math.max(-most, left - even));
  const wanted = even + eased;
  const difference = left - wanted;
  // A hair of float noise on the tolerance itself must not fail a seam trued exactly onto it.
  const matches = Math.abs(difference) <= seam.tolerance + 1e-6;
  const walk = { seam: seam.name, left, right, wanted, difference, tolerance: seam.tolerance, matches };
  return seam.easeUpTo === undefined ? walk : { ...walk, eased };
}

/** A place where two edges meet when the garment is sewn, or where an edge meets a fold. */
export interface JoinCheck {
  readonly join: string;
  /** Degrees away from a smooth line; a dip reads negative, a peak positive. */
  readonly degrees: number;
  readonly tolerance: number;
  readonly smooth: boolean;
  /** The named point where it is, on every piece that meets there. */
  readonly at: readonly { readonly piece: string; readonly point: string }[];
}

/** Degrees of turn that still sew as one smooth line (common practice, no source). */
export const JOIN_TOLERANCE_DEGREES = 3;

/** Edges that must meet a fold at a right angle: those that end on it, save one that is pointed. */
export function foldJoins(piece: Piece, tolerance = JOIN_TOLERANCE_DEGREES): JoinCheck[] {
  if (!piece.fold) return [];
  const index = piece.edges.findIndex((e) => e.name === piece.fold);
  const fold = edgeOf(piece, piece.fold);
  const along = startDirection(fold.path);
  const count = piece.edges.length;
  const before = piece.edges[(index + count - 1) % count]!;
  const after = piece.edges[(index + 1) % count]!;
  const right = perp(along);
  const meets = (edge: Edge, point: string, actual: Vec, wanted: Vec): JoinCheck[] => {
    if (edge.pointed) return [];
    const degrees = (angleBetween(wanted, actual) * 180) / Math.PI;
    const at = [{ piece: piece.name, point }];
    return [check(`${piece.name} ${edge.name} at the fold`, degrees, tolerance, at)];
  };
  return [
    ...meets(before, fold.from, endDirection(before.path), scale(right, -1)),
    ...meets(after, fold.to, startDirection(after.path), right),
  ];
}

/**
 * The joins of a pattern that its seams imply: where a seam of one edge against one edge ends, the edges that
 * follow on either side must run on smoothly. Ends meet by the name of their point; where both edges are of
 * one piece, such as a sleeve's underarm, the end of one meets the start of the other.
 */
export function walkJoins(pattern: Pattern, tolerance = JOIN_TOLERANCE_DEGREES): JoinCheck[] {
  const checks: JoinCheck[] = pattern.pieces.flatMap((piece) => foldJoins(piece, tolerance));
  for (const seam of pattern.seams) {
    const [a, b] = [seam.left[0], seam.right[0]];
    if (seam.left.length !== 1 || seam.right.length !== 1 || !a || !b) continue;
    const first = corners(pieceOf(pattern, a.piece), a.edge);
    const second = corners(pieceOf(pattern, b.piece), b.edge);
    for (const end of first) {
      const meets =
        a.piece === b.piece ? (c: Corner) => c.isStart !== end.isStart : (c: Corner) => c.point === end.point;
      const other = second.find(meets);
      // Both legs of a dart end in one point: nothing runs on across it.
      if (!other || (a.piece === b.piece && other.point === end.point)) continue;
      const at = [
        { piece: a.piece, point: end.point },
        { piece: b.piece, point: other.point },
      ];
      checks.push(seamJoin(`${seam.name} at ${end.point}`, end, other, tolerance, at));
    }
  }
  return checks;
}

interface Corner {
  readonly point: string;
  readonly isStart: boolean;
  /** Angle inside the piece between the seam and the edge that follows there, radians. */
  readonly inside: number;
}

/** The corners of a piece at both ends of one of its edges. */
function corners(piece: Piece, name: string): Corner[] {
  const index = piece.edges.findIndex((e) => e.name === name);
  const count = piece.edges.length;
  const edge = edgeOf(piece, name);
  const before = piece.edges[(index + count - 1) % count]!;
  const after = piece.edges[(index + 1) % count]!;
  return [
    { point: edge.from, isStart: true, inside: insideAngle(before, edge) },
    { point: edge.to, isStart: false, inside: insideAngle(edge, after) },
  ];
}

/** Angle inside a counter-clockwise piece where one edge ends and the next starts, 0 to 2 pi. */
const insideAngle = (before: Edge, after: Edge): number =>
  Math.PI - angleBetween(endDirection(before.path), startDirection(after.path));

/**
 * Laid seam to seam, the angles inside both pieces must add up to a straight one, so that the edges run on
 * smoothly across the seam. The pieces need not lie in one frame.
 */
function seamJoin(
  name: string,
  first: Corner,
  second: Corner,
  tolerance: number,
  at: JoinCheck['at'],
): JoinCheck {
  return check(name, ((first.inside + second.inside - Math.PI) * 180) / Math.PI, tolerance, at);
}

const check = (join: string, degrees: number, tolerance: number, at: JoinCheck['at']): JoinCheck => ({
  join,
  degrees,
  tolerance,
  smooth: Math.abs(degrees) <= tolerance,
  at,
});
