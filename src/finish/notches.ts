import { InputError } from '../errors.js';
import { directionAt, length, type Path, pointAt } from '../geometry/path.js';
import type { Polygon } from '../geometry/polygon.js';
import { add, cross, perp, scale, sub, unit, type Vec } from '../geometry/vec.js';
import { edgeOf, type Notch, type Piece } from '../pattern/model.js';
import { allowanceOf } from './options.js';
import type { CutNotch, FinishOptions } from './types.js';
import { mirrorAt, onFold } from './unfold.js';

/**
 * Notches of a piece on its cut line. Each is found by its length along the sewing line as sewn, carried
 * along with the shrinkage, and then out along the normal of its edge. A piece that opens on a fold gets the
 * mirror image of each, save one that lies on the fold itself.
 *
 * @param enlarge carries the sewing line as sewn to the sewing line as cut; linear.
 * @throws InputError for a notch on the fold or beyond its edge, or as deep as the allowance there.
 */
export function cutNotches(
  piece: Piece,
  cut: Polygon,
  enlarge: (p: Vec) => Vec,
  foldX: number | undefined,
  options: FinishOptions,
): CutNotch[] {
  return piece.notches.flatMap((notch) => {
    const made = cutNotch(piece, notch, cut, enlarge, foldX, options);
    if (foldX === undefined || onFold(made.at, foldX)) return [made];
    const [x, y] = made.inward;
    return [made, { ...made, at: mirrorAt(foldX)(made.at), inward: [-x, y] as const }];
  });
}

function cutNotch(
  piece: Piece,
  notch: Notch,
  cut: Polygon,
  enlarge: (p: Vec) => Vec,
  foldX: number | undefined,
  options: FinishOptions,
): CutNotch {
  const edge = edgeOf(piece, notch.edge);
  if (edge.name === piece.fold) throw refused(piece, notch, 'lies on the fold, which is not cut');
  const allowance = allowanceOf(options, piece.name, edge.name);
  if (options.notchDepth >= allowance) {
    throw refused(
      piece,
      notch,
      `is ${options.notchDepth.toFixed(1)} mm deep, but '${edge.name}' has an allowance of ${allowance.toFixed(1)} mm`,
      'cut it less deep (finish: { notch-depth: 2 mm }) or widen the allowance',
    );
  }
  const at = placeOn(piece, notch, edge.path);
  const sewn = enlarge(pointAt(edge.path, at));
  // Shrinkage is linear, so the direction is carried like the point.
  const normal = scale(perp(unit(enlarge(directionAt(edge.path, at)))), -1);
  // On the fold it is cut along the fold: the point of a V neck has an edge to either side.
  const outward: Vec = foldX !== undefined && onFold(sewn, foldX) ? [0, Math.sign(normal[1])] : normal;
  const reach = firstHit(sewn, outward, cut);
  if (reach === undefined) throw refused(piece, notch, 'meets no cut line');
  return {
    name: notch.name,
    kind: notch.kind,
    at: add(sewn, scale(outward, reach)),
    inward: scale(outward, -1),
    depth: options.notchDepth,
  };
}

/** Arc length of a notch along its edge, mm. */
function placeOn(piece: Piece, notch: Notch, path: Path): number {
  const total = length(path);
  const at = 'length' in notch.at ? notch.at.length : notch.at.ratio * total;
  if (at >= -1e-6 && at <= total + 1e-6) return Math.min(total, Math.max(0, at));
  throw refused(
    piece,
    notch,
    `lies at ${at.toFixed(1)} mm of '${notch.edge}', which is ${total.toFixed(1)} mm long`,
  );
}

/** Distance along the ray to the nearest side of the polygon. A ray through a vertex counts. */
function firstHit(origin: Vec, along: Vec, polygon: Polygon): number | undefined {
  let nearest: number | undefined;
  polygon.forEach((a, i) => {
    const b = polygon[(i + 1) % polygon.length]!;
    const side = sub(b, a);
    const turn = cross(along, side);
    if (turn === 0) return;
    const reach = cross(sub(a, origin), side) / turn;
    const share = cross(sub(a, origin), along) / turn;
    if (share < -1e-9 || share > 1 + 1e-9 || reach < -1e-6) return;
    if (nearest === undefined || reach < nearest) nearest = reach;
  });
  return nearest;
}

function refused(piece: Piece, notch: Notch, what: string, mend?: string): InputError {
  return new InputError(
    `notch '${notch.name}' of '${piece.name}' ${what}`,
    mend === undefined ? {} : { mend },
  );
}
