import { nodes, type Path } from '../geometry/path.js';
import { add, sub, type Vec } from '../geometry/vec.js';
import type { Edge, Piece } from '../pattern/model.js';
import { moveEdge } from '../pattern/reshape.js';

/**
 * An edge that grading has carried, with the curve it was carried from. Carrying bends a curve a little, and not
 * quite back again on the way home; carried anew from where it was drawn, it is the same curve in a size however
 * often the range is graded up and down. An edge drawn otherwise since has another path, and is its own origin.
 */
interface CarriedEdge extends Edge {
  readonly carried?: { readonly from: Path; readonly as: Path };
}

/** Moves the points that have a move; marks that have none are carried with their edge instead of held. */
export function moveRuled(piece: Piece, moves: ReadonlyMap<string, Vec>): Piece {
  const edges = piece.edges.map((edge): Edge => {
    const ruled = Object.entries(edge.marks ?? {}).filter(([name]) => moves.has(name));
    const from = originOf(edge);
    const [there, here] = [nodes(from), nodes(edge.path)];
    const at = new Map([[edge.from, 0], [edge.to, here.length - 1], ...Object.entries(edge.marks ?? {})]);
    const origin: Edge = { ...edge, path: from, marks: Object.fromEntries(ruled) };
    const { path } = moveEdge(origin, (name) => {
      const move = moves.get(name) ?? [0, 0];
      const node = at.get(name)!;
      return from === edge.path ? move : add(sub(here[node]!, there[node]!), move);
    });
    // Carrying keeps the number of segments, so the marks still count the same nodes.
    return { ...edge, path };
  });
  return { ...piece, edges };
}

/** The moved piece, its curves knowing what they were carried from. */
export function remembering(before: Piece, after: Piece): Piece {
  const edges = after.edges.map((edge, i): Edge => {
    const { carried: _, ...plain } = edge as CarriedEdge;
    const old = before.edges[i]!;
    const from = originOf(old);
    if (sameChain(edge.path, old.path)) return old;
    if (sameChain(edge.path, from) || edge.path.every((s) => s.kind === 'line')) return plain;
    const kept: CarriedEdge = { ...plain, carried: { from, as: edge.path } };
    return kept;
  });
  return { ...after, edges };
}

function originOf(edge: CarriedEdge): Path {
  return edge.carried?.as === edge.path ? edge.carried.from : edge.path;
}

const sameChain = (a: Path, b: Path): boolean => a.length === b.length && a.every((s, i) => s === b[i]);
