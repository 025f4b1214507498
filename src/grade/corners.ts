import { cubic, type Path, turnBetween } from '../geometry/path.js';
import { rotate } from '../geometry/vec.js';
import type { Edge, Pattern, Piece } from '../pattern/model.js';

/** Turns smaller than this (radians) are rounding. */
const LEAST_TURN = 1e-9;

/**
 * A graded piece whose free curves meet their neighbours under the base's angles again: carried to new end
 * points, an armhole or a neckline leaves its seam a few degrees off, and would dip or peak where the pieces
 * are sewn together. The curve's end handle is turned about the corner; its length stays.
 *
 * @param seams edges that are sewn to one other edge (shoulder, side): they stay as carried, so that both
 *   sides of the seam keep their lengths.
 */
export function keepCorners(base: Piece, graded: Piece, seams: ReadonlySet<string>): Piece {
  const count = base.edges.length;
  const fixed = (edge: Edge) => seams.has(edge.name) || edge.name === base.fold;
  const paths = graded.edges.map((edge) => edge.path);
  base.edges.forEach((edge, i) => {
    const j = (i + 1) % count;
    const next = base.edges[j]!;
    if (fixed(edge) === fixed(next)) return;
    const turn = turnBetween(paths[i]!, paths[j]!) - turnBetween(edge.path, next.path);
    if (Math.abs(turn) < LEAST_TURN) return;
    if (fixed(edge)) paths[j] = turnStart(paths[j]!, -turn);
    else paths[i] = turnEnd(paths[i]!, turn);
  });
  return { ...graded, edges: graded.edges.map((edge, i) => ({ ...edge, path: paths[i]! })) };
}

/**
 * Edges of a piece that are sewn, length for length, to one edge of another piece. A seam with ease, or to a
 * piece that is drawn again from this one, leaves its edge free: the other side follows.
 */
export function seamEdges(pattern: Pattern, piece: string): Set<string> {
  const names = new Set<string>();
  const derived = new Set(pattern.pieces.filter((p) => p.derived).map((p) => p.name));
  for (const { left, right, ratio, plus } of pattern.seams) {
    if (left.length !== 1 || right.length !== 1 || ratio !== 1 || plus !== 0) continue;
    if (derived.has(left[0]!.piece) || derived.has(right[0]!.piece)) continue;
    for (const use of [left[0]!, right[0]!]) if (use.piece === piece) names.add(use.edge);
  }
  return names;
}

function turnStart(path: Path, radians: number): Path {
  const [first, ...rest] = path;
  if (first?.kind !== 'cubic') return path;
  return [cubic(first.a, rotate(first.c, radians, first.a), first.d, first.b), ...rest];
}

function turnEnd(path: Path, radians: number): Path {
  const last = path[path.length - 1];
  if (last?.kind !== 'cubic') return path;
  return [...path.slice(0, -1), cubic(last.a, last.c, rotate(last.d, radians, last.b), last.b)];
}
