import { cubic, end, length, lengthTo, line, nodes, type Path, start } from '../geometry/path.js';
import { add, samePoint, type Vec } from '../geometry/vec.js';
import { assertClosed, type Edge, type Piece } from './model.js';

/** Below this extent (mm) along an axis proportions are meaningless and arc length decides. */
const LEAST_EXTENT = 1;

/**
 * The chain carried to new end points. Each axis is scaled on its own by proportion, so horizontal and
 * vertical tangents stay so; where the chain leaves the range of its ends it moves with the end it leaves, so
 * that an armhole keeps its scoop beside the shoulder tip. On an axis where the ends are closer than 1 mm, or
 * where the chain leaves their range by more than the range itself, the displacement is spread by arc length.
 */
export function carry(path: Path, from: Vec, to: Vec): Path {
  if (samePoint(start(path), from) && samePoint(end(path), to)) return path;
  const shiftX = axisMap(path, 0, from[0], to[0]);
  const shiftY = axisMap(path, 1, from[1], to[1]);
  const total = length(path);
  const last = path.length - 1;
  const place = (p: Vec, share: number): Vec => [shiftX(p[0], share), shiftY(p[1], share)];
  return path.map((s, i) => {
    const share = (t: number) => (total === 0 ? t : lengthTo(path, i, t) / total);
    const a = i === 0 ? from : place(s.a, share(0));
    const b = i === last ? to : place(s.b, share(1));
    return s.kind === 'line' ? line(a, b) : cubic(a, place(s.c, share(1 / 3)), place(s.d, share(2 / 3)), b);
  });
}

/** Moves named points of a piece by the displacements given; edges between them are carried along. */
export function movePoints(piece: Piece, moves: ReadonlyMap<string, Vec>): Piece {
  const edges = piece.edges.map((edge) => moveEdge(edge, (name) => moves.get(name) ?? [0, 0]));
  return assertClosed({ ...piece, edges });
}

/** One edge with its ends and marks moved; the chain between neighbouring named nodes is carried. */
export function moveEdge(edge: Edge, moveOf: (point: string) => Vec): Edge {
  const chain = nodes(edge.path);
  const stops: { node: number; name: string }[] = [
    { node: 0, name: edge.from },
    ...Object.entries(edge.marks ?? {})
      .map(([name, node]) => ({ node, name }))
      .sort((a, b) => a.node - b.node),
    { node: chain.length - 1, name: edge.to },
  ];
  const path: Path[number][] = [];
  for (let i = 0; i + 1 < stops.length; i++) {
    const here = stops[i]!;
    const next = stops[i + 1]!;
    const part = edge.path.slice(here.node, next.node);
    const from = add(chain[here.node]!, moveOf(here.name));
    const to = add(chain[next.node]!, moveOf(next.name));
    path.push(...carry(part, from, to));
  }
  return { ...edge, path };
}

function axisMap(
  path: Path,
  axis: 0 | 1,
  from: number,
  to: number,
): (value: number, share: number) => number {
  const a = start(path)[axis];
  const b = end(path)[axis];
  const extent = b - a;
  if (Math.abs(extent) < Math.max(LEAST_EXTENT, overshoot(path, axis, a, b))) {
    return (value, share) => value + (from - a) * (1 - share) + (to - b) * share;
  }
  return (value) => {
    const share = Math.min(1, Math.max(0, (value - a) / extent));
    return value + (from - a) * (1 - share) + (to - b) * share;
  };
}

/** How far the chain's nodes and handles leave the range of its ends on one axis, mm. */
function overshoot(path: Path, axis: 0 | 1, a: number, b: number): number {
  const values = path.flatMap((s) => (s.kind === 'line' ? [s.b] : [s.c, s.d, s.b])).map((p) => p[axis]);
  return Math.max(Math.min(a, b) - Math.min(...values), Math.max(...values) - Math.max(a, b));
}
