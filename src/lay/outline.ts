import { counterClockwise, type Polygon } from '../geometry/polygon.js';
import type { Vec } from '../geometry/vec.js';
import { toMarker } from './frame.js';
import { onGrid, written } from './instance.js';
import type { PlacedPiece } from './types.js';

/**
 * The outline of a piece as a search that laid it there writes it, in the marker frame, mm: the same numbers, so
 * that what was checked exactly can be checked exactly again. A half on a fold needs its piece's `half`.
 */
export function laidOutline(
  placed: Pick<PlacedPiece, 'piece' | 'mirrored' | 'rotation' | 'at' | 'fold'>,
): Polygon {
  const { piece, fold } = placed;
  const cut = fold === undefined ? piece.cut : (piece.half?.cut ?? piece.cut);
  const map = toMarker(placed);
  return counterClockwise(
    onGrid(cut).map((p): Vec => {
      const [x, y] = map(p);
      return [written(x), written(y)];
    }),
  );
}
