import { CheckError } from '../errors.js';
import { mapPoints, type Path } from '../geometry/path.js';
import { contains, type Polygon, selfCrossing, signedArea } from '../geometry/polygon.js';
import type { Vec } from '../geometry/vec.js';
import type { SizeRange } from '../grade/types.js';
import { type Piece, pieceOf } from '../pattern/model.js';
import { addAllowances, type Side } from './allowance.js';
import { type Chords, commonChords } from './chords.js';
import { labelPlace } from './label.js';
import { cutNotches } from './notches.js';
import {
  allowanceOf,
  assertAllowances,
  assertCorners,
  isTurnedUp,
  shrinkageFactors,
  squaredEnds,
} from './options.js';
import type { CutPiece, FinishedSize, FinishOptions, Shrinkage } from './types.js';
import { foldLine, mirrorAt, onFold, openedRing, rightHalf } from './unfold.js';

/**
 * Finishes every piece of every size. An edge is flattened alike in all sizes, so that the vertices of the
 * sewing line correspond.
 *
 * @param shrinkageOf shrinkage of the fabric that a role (`self`, `rib`) is cut from.
 * @throws InputError for an allowance on an unknown edge, and whatever `finishPiece` throws.
 */
export function finishRange(
  range: SizeRange,
  options: FinishOptions,
  shrinkageOf: (fabric: string) => Shrinkage,
): FinishedSize[] {
  const first = range.sizes[0];
  if (!first) return [];
  assertAllowances(first.pattern, options);
  assertCorners(first.pattern, options);
  const chords = new Map(
    first.pattern.pieces.map((piece) => {
      const alike = range.sizes.map(({ pattern }) => pieceOf(pattern, piece.name));
      return [piece.name, pieceChords(alike, options, shrinkageOf(piece.fabric))] as const;
    }),
  );
  return range.sizes.map(({ size, pattern }) => ({
    size,
    pieces: pattern.pieces.map((piece) =>
      finishPiece(piece, size, options, shrinkageOf(piece.fabric), chords.get(piece.name)),
    ),
  }));
}

/**
 * From one graded piece to the polygons that are cut: enlarges the sewing line for shrinkage (x by the
 * coursewise, y by the walewise factor), opens a half across its fold, adds each edge's allowance (unscaled)
 * and carries the notches out to the cut line.
 *
 * @param chords how each edge is flattened, by name; on its own at the tolerance when left out.
 * @throws InputError for a notch that cannot be cut or a fold that is not vertical; CheckError for a sewing
 *   line that crosses itself.
 */
export function finishPiece(
  piece: Piece,
  size: string,
  options: FinishOptions,
  shrinkage: Shrinkage,
  chords: ReadonlyMap<string, Chords> = pieceChords([piece], options, shrinkage),
): CutPiece {
  const factors = shrinkageFactors(shrinkage);
  const enlarge = ([x, y]: Vec): Vec => [x * factors.x, y * factors.y];
  const fold = foldLine(piece);
  const foldX = fold === undefined ? undefined : fold * factors.x;
  const sides = openSides(piece, foldX, options, (name, path) => chords.get(name)!(mapPoints(path, enlarge)));
  const sew = sides.flatMap((side) => side.points.slice(0, -1));
  if (selfCrossing(sew) || signedArea(sew) <= 0) {
    throw new CheckError(`the sewing line of '${piece.name}' in size ${size} crosses itself`);
  }
  const outline = addAllowances(sides, options.cornerLimit);
  const half = foldX === undefined ? undefined : { cut: rightHalf(outline, foldX), foldX };
  const cut = half ? openedRing(half.cut, half.foldX) : outline;
  const label = labelPlace(cut);
  return {
    name: piece.name,
    size,
    fabric: piece.fabric,
    counts: piece.counts,
    cut,
    sew,
    ...(half ? { half } : {}),
    notches: cutNotches(piece, cut, enlarge, foldX, options),
    grain: grainInside(enlarge(piece.grain.from), enlarge(piece.grain.to), sew, label),
    ...(piece.stretch ? { stretch: piece.stretch } : {}),
    internals: internalLines(piece, enlarge, foldX, options.curveTolerance),
    label,
  };
}

/** How each edge of a piece is flattened in all its sizes, at the tolerance as cut. */
function pieceChords(
  sizes: readonly Piece[],
  options: FinishOptions,
  shrinkage: Shrinkage,
): ReadonlyMap<string, Chords> {
  const factors = shrinkageFactors(shrinkage);
  const enlarge = ([x, y]: Vec): Vec => [x * factors.x, y * factors.y];
  return new Map(
    sizes[0]!.edges.map((edge, i) => {
      const paths = sizes.map((piece) => mapPoints(piece.edges[i]!.path, enlarge));
      return [edge.name, commonChords(paths, options.curveTolerance)] as const;
    }),
  );
}

/** The outline as sides with one allowance each; a half is followed by its mirror image, names kept. */
export function openSides(
  piece: Piece,
  foldX: number | undefined,
  options: FinishOptions,
  flatten: (name: string, path: Path) => Vec[],
): Side[] {
  const start = piece.edges.findIndex((edge) => edge.name === piece.fold) + 1;
  const ordered = [...piece.edges.slice(start), ...piece.edges.slice(0, start)];
  const sides = ordered
    .filter((edge) => edge.name !== piece.fold)
    .map((edge) => ({
      points: flatten(edge.name, edge.path),
      allowance: allowanceOf(options, piece.name, edge.name),
      turnedUp: isTurnedUp(options, piece.name, edge.name),
      squared: squaredEnds(options, piece.name, edge),
    }));
  if (foldX === undefined) return sides;
  const mirror = mirrorAt(foldX);
  const mirrored = sides
    .map(({ points, squared, ...rest }) => ({
      points: points.map(mirror).reverse(),
      squared: { start: squared.end, end: squared.start },
      ...rest,
    }))
    .reverse();
  return [...sides, ...mirrored];
}

/** The grain as drawn, or upright through the label where a smaller size no longer holds it. */
function grainInside(
  from: Vec,
  to: Vec,
  sew: Polygon,
  label: { at: Vec; radius: number },
): { from: Vec; to: Vec } {
  if (contains(sew, from) && contains(sew, to)) return { from, to };
  const reach: Vec = [0, 0.8 * label.radius * (to[1] < from[1] ? -1 : 1)];
  return {
    from: [label.at[0], label.at[1] - reach[1]],
    to: [label.at[0], label.at[1] + reach[1]],
  };
}

function internalLines(
  piece: Piece,
  enlarge: (p: Vec) => Vec,
  foldX: number | undefined,
  tolerance: number,
): { name: string; points: readonly Vec[] }[] {
  return (piece.internals ?? []).flatMap(({ name, path }) => {
    const line = mapPoints(path, enlarge);
    const points = commonChords([line], tolerance)(line);
    if (foldX === undefined || points.every((p) => onFold(p, foldX))) return [{ name, points }];
    return [
      { name, points },
      { name, points: points.map(mirrorAt(foldX)) },
    ];
  });
}
