import { blend, start, startDirection } from '../geometry/path.js';
import { perp, scale } from '../geometry/vec.js';
import { type Edge, edgeOf, type Piece, pointOf } from '../pattern/model.js';
import { trimStart } from './edge-start.js';

/** The hem from the centre, square to the fold, to the start of the side seam (a new one if given), square to it. */
export function withCurvedHem(piece: Piece, side: Edge = edgeOf(piece, 'side')): Piece {
  const hem = edgeOf(piece, 'hem');
  const arriving = scale(perp(startDirection(side.path)), -1);
  const curve = blend(start(hem.path), [1, 0], start(side.path), arriving, [0.4, 0.35]);
  return {
    ...piece,
    edges: piece.edges.map((edge) =>
      edge.name === 'side' ? side : edge.name === 'hem' ? { ...hem, path: [curve] } : edge,
    ),
  };
}

/**
 * The hem of a half whose side seam leans: its side corner is raised until an arc from the fold meets the seam
 * squarely. An arc over half width w that turns by the seam's lean a rises by w tan(a / 2).
 */
export function withSquareHem(piece: Piece): Piece {
  const side = edgeOf(piece, 'side');
  const lean = sideLean(piece);
  if (lean <= 0) return withCurvedHem(piece);
  const width = pointOf(piece, 'side-hem')[0] - pointOf(piece, 'center-hem')[0];
  return withCurvedHem(piece, trimStart(side, (width * Math.tan(lean / 2)) / Math.cos(lean)));
}

/** How far the side seam leans in off the grain where it leaves the hem, radians. */
export function sideLean(piece: Piece): number {
  const [x, y] = startDirection(edgeOf(piece, 'side').path);
  return Math.atan2(-x, y);
}
