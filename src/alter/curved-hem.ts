import { blend, start, startDirection } from '../geometry/path.js';
import { perp, scale } from '../geometry/vec.js';
import { type Edge, edgeOf, type Piece } from '../pattern/model.js';

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
