import { segmentPoint } from '../../geometry/path.js';
import { add, distance, sub, type Vec } from '../../geometry/vec.js';
import { type Edge, type Piece, pointsOf } from '../../pattern/model.js';
import { moveEdge } from '../../pattern/reshape.js';
import type { BuiltPiece } from './build-piece.js';
import { nearestOn, placeOn } from './near-path.js';
import { withMark } from './roles.js';
import type { Grading } from './source.js';
import type { PointMoves } from './style-text.js';

/** A rule stands at a point of the outline within this, mm. */
const AT_POINT = 0.05;
/** Moves of a vertex that both sizes have. */
type Moves = readonly (readonly [string, Vec])[];

/** Grade rules of every named point, from where the marked points of the file lie in the other sizes. */
export function gradingOf(built: readonly BuiltPiece[], sizes: readonly string[], base: string): Grading {
  const notes: string[] = [];
  const rules: PointMoves[] = [];
  const pieces = built.map((one) => {
    const moved = (one.found.marked ?? []).flatMap(({ at, sizes: places }): MovedPoint[] =>
      places ? [{ at, moves: places.map(([size, there]) => [size, sub(there, at)] as const) }] : [],
    );
    if (moved.length === 0) {
      if (sizes.length > 1) {
        notes.push(`'${one.piece.name}' has no grade rules: it keeps one size, or grows by increments`);
      }
      return one;
    }
    const ruled = withRuledPoints(one.piece, moved);
    notes.push(...ruled.notes);
    rules.push(...ruled.moves);
    return { ...one, piece: ruled.piece };
  });
  if (rules.length > 0 || sizes.length === 1) return { sizes, base, rules, pieces, notes };
  notes.push(`sizes ${sizes.join(', ')} are listed; nothing in the file says how points move`);
  return { sizes: [base], base, rules, pieces, notes };
}

interface MovedPoint {
  readonly at: Vec;
  readonly moves: Moves;
}

/** A curve carried between its named points that strays farther than this from a ruled one needs it named, mm. */
const STRAYS = 0.3;

interface Ruled {
  readonly piece: Piece;
  readonly moves: PointMoves[];
  readonly notes: string[];
}

/**
 * Rules at named points. Corners always follow theirs. A ruled point inside an edge becomes a named point where the
 * edge, carried between its corners, would not go through it in some size.
 */
function withRuledPoints(piece: Piece, points: readonly MovedPoint[]): Ruled {
  const corners = new Map<string, Moves>();
  const inner: { edge: string; off: number; point: MovedPoint }[] = [];
  let missed = 0;
  for (const point of points) {
    const name = [...pointsOf(piece)].find(([, p]) => distance(p, point.at) <= AT_POINT)?.[0];
    if (name !== undefined) {
      if (!corners.has(name)) corners.set(name, point.moves);
      continue;
    }
    const near = piece.edges
      .map((edge) => ({ edge: edge.name, point, off: placeOn(edge.path, point.at).off }))
      .sort((a, b) => a.off - b.off)[0]!;
    if (near.off <= AT_POINT) inner.push(near);
    else missed += 1;
  }
  const notes = missed > 0 ? [`${missed} rules of '${piece.name}' stand at no point of its outline`] : [];
  const moves = new Map(corners);
  const edges = piece.edges.map((edge) => {
    const own = inner.filter((i) => i.edge === edge.name && edge.name !== piece.fold).map((i) => i.point);
    const ruled = withNeededMarks(edge, corners, own);
    for (const [name, point] of ruled.marks) moves.set(name, point.moves);
    if (ruled.marks.size > 0 && edge.name !== 'side') {
      notes.push(
        `'${piece.name}.${edge.name}' has ${ruled.marks.size} points that follow rules of the file (${edge.name}-1 and on): take them and their rules out before a step reshapes it`,
      );
    }
    return ruled.edge;
  });
  const told = [...moves].map(([point, bySize]): PointMoves => ({ piece: piece.name, point, bySize }));
  return { piece: { ...piece, edges }, moves: told, notes };
}

/**
 * The edge with named points where its ruled ends and the points named so far would not carry it past its ruled
 * points, the worst first.
 */
function withNeededMarks(
  edge: Edge,
  corners: ReadonlyMap<string, Moves>,
  points: readonly MovedPoint[],
): { edge: Edge; marks: ReadonlyMap<string, MovedPoint> } {
  const marks = new Map<string, MovedPoint>();
  const left = [...points];
  let now = edge;
  while (left.length > 0) {
    const offs = straying(now, corners, marks, left);
    const worst = offs.reduce((best, off, i) => (off > offs[best]! ? i : best), 0);
    if (offs[worst]! <= STRAYS) break;
    const [point] = left.splice(worst, 1);
    const alone = points.length === 1 && edge.name === 'side';
    const name = alone ? 'waist' : `${edge.name}-${marks.size + 1}`;
    const marked = withMark(now, name, nearestOn(now.path, point!.at).at);
    if (marked === now) continue;
    now = marked;
    marks.set(name, point!);
  }
  return { edge: now, marks };
}

/** How far an edge carried between its named points strays from each ruled one in the worst size, mm. */
function straying(
  edge: Edge,
  corners: ReadonlyMap<string, Moves>,
  marks: ReadonlyMap<string, MovedPoint>,
  points: readonly MovedPoint[],
): number[] {
  const straight = edge.path.every((s) => s.kind === 'line');
  const bases = points.map((point) => placeOn(edge.path, point.at));
  const worst = points.map(() => 0);
  points[0]!.moves.forEach((_, k) => {
    const { path } = moveEdge(
      edge,
      (name) => corners.get(name)?.[k]?.[1] ?? marks.get(name)?.moves[k]?.[1] ?? [0, 0],
    );
    points.forEach((point, i) => {
      const truth = add(point.at, point.moves[k]![1]);
      const { segment, t } = bases[i]!;
      // On a straight line a point may also slide along: its own place counts, not only the line.
      const off = straight ? distance(segmentPoint(path[segment]!, t), truth) : placeOn(path, truth).off;
      worst[i] = Math.max(worst[i]!, off);
    });
  });
  return worst;
}
