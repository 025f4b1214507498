import type { Vec } from '../geometry/vec.js';
import type { PlacedPiece } from './types.js';

/** Piece frame to marker frame before any turn: the wales (piece y) run along the fabric (marker X). */
export const walesAlong = ([x, y]: Vec): Vec => [y, -x];

/** The map that carries points of a placed piece from its own frame into the marker. */
export function toMarker(placed: Pick<PlacedPiece, 'mirrored' | 'rotation' | 'at'>): (point: Vec) => Vec {
  const [cos, sin] = unitTurn(placed.rotation);
  return (point) => {
    const [u, v] = walesAlong(placed.mirrored ? [-point[0], point[1]] : point);
    return [cos * u - sin * v + placed.at[0], sin * u + cos * v + placed.at[1]];
  };
}

/** Quarter turns are exact: no rounding drift from the cosine of 90 degrees. */
function unitTurn(degrees: number): readonly [number, number] {
  const quarter = (((degrees % 360) + 360) % 360) / 90;
  if (Number.isInteger(quarter)) {
    return (
      [
        [1, 0],
        [0, 1],
        [-1, 0],
        [0, -1],
      ] as const
    )[quarter as 0 | 1 | 2 | 3];
  }
  const radians = (degrees * Math.PI) / 180;
  return [Math.cos(radians), Math.sin(radians)];
}
