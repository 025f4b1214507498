import { CheckError, InputError } from '../../errors.js';
import { addAllowances, type CutCorner, cutCorners, type Side } from '../../finish/allowance.js';
import { type Chords, commonChords } from '../../finish/chords.js';
import { finishPiece, openSides } from '../../finish/finish.js';
import { shrinkageFactors } from '../../finish/options.js';
import type { CutPiece, FinishOptions, Shrinkage } from '../../finish/types.js';
import { foldLine, mirrorAt, onFold } from '../../finish/unfold.js';
import { mapPoints, type Path } from '../../geometry/path.js';
import type { Polygon } from '../../geometry/polygon.js';
import { angleBetween, distance, lerp, sub, type Vec } from '../../geometry/vec.js';
import type { GradedSize } from '../../grade/types.js';
import { type Piece, pieceOf } from '../../pattern/model.js';
import { closestOnRing } from '../drawing/lines.js';
import { DOUBLE_NOTCH_SPACING } from '../drawing/notch.js';
import { type Marked, markedChords } from './pattern-chords.js';

/** One nick of a notch: a double notch has two, side by side. */
export interface Nick {
  readonly key: string;
  /** On the boundary. */
  readonly at: Vec;
  /** Unit vector into the piece. */
  readonly inward: Vec;
  readonly depth: number;
}

/** One piece of one size as lines whose vertices have names that hold in every size. */
export interface MarkedPiece {
  readonly size: string;
  readonly piece: Piece;
  readonly finished: CutPiece;
  /** Cut line or sewing line, as asked; counter-clockwise. */
  readonly boundary: readonly Marked[];
  readonly sewLine: { readonly vertices: readonly Marked[]; readonly closed: boolean } | undefined;
  readonly internals: readonly (readonly Marked[])[];
  readonly nicks: readonly Nick[];
  readonly foldX: number | undefined;
}

export interface MarkedPieceOptions {
  readonly boundary: 'cut' | 'sew';
  readonly fold: 'half' | 'open';
  readonly finish: FinishOptions;
  readonly shrinkage: Shrinkage;
  /** Index of the base size. */
  readonly base: number;
}

/** In the name of a vertex that no other size has. */
export const ALONE = '(only in';

/** A bend sharper than this (radians) is a corner of a cut line that no vertex of the sewing line tells of. */
const CORNER = (20 * Math.PI) / 180;

/**
 * A piece in all its sizes, finished, with names on its vertices.
 *
 * @throws InputError and CheckError as finishing does.
 */
export function markedPieces(
  name: string,
  sizes: readonly GradedSize[],
  options: MarkedPieceOptions,
): MarkedPiece[] {
  const pieces = sizes.map(({ pattern }) => pieceOf(pattern, name));
  const lines = linesOf(pieces, options);
  const chords = chordsOf(pieces, options);
  const factors = shrinkageFactors(options.shrinkage);
  return sizes.map(({ size }, i): MarkedPiece => {
    const piece = pieces[i]!;
    const finished = finishPiece(piece, size, options.finish, options.shrinkage, chords);
    const fold = foldLine(piece);
    const foldX = fold === undefined ? undefined : fold * factors.x;
    const sides = piece.edges.map((edge) => lines.get(edge.name)![i]!);
    const half = foldX !== undefined && options.fold === 'half';
    const isShown = (p: Vec) => !half || p[0] >= foldX - 1e-4;
    const { sew, cut } = outlinesOf(piece, size, sides, foldX, options);
    const sewHalf = foldX === undefined ? sew : rightHalf(sew, foldX);
    const whole = options.boundary === 'cut' ? cut : sew;
    return {
      size,
      piece,
      finished,
      boundary: half ? rightHalf(whole, foldX) : whole,
      sewLine:
        options.boundary === 'sew'
          ? undefined
          : half
            ? { vertices: awayFromFold(sewHalf, foldX), closed: false }
            : { vertices: sew, closed: true },
      internals: internalsOf(piece, lines, i, foldX).filter((line) => line.every((v) => isShown(v.at))),
      nicks: nicksOf(finished, options.boundary, whole).filter((n) => isShown(n.at)),
      foldX,
    };
  });
}

/** How the edges are flattened, the same as everywhere else, so that the notches lie on the boundary. */
function chordsOf(pieces: readonly Piece[], options: MarkedPieceOptions): ReadonlyMap<string, Chords> {
  const { x, y } = shrinkageFactors(options.shrinkage);
  return new Map(
    pieces[0]!.edges.map((edge, k) => {
      const paths = pieces.map((piece) => mapPoints(piece.edges[k]!.path, (p) => [p[0] * x, p[1] * y]));
      return [edge.name, commonChords(paths, options.finish.curveTolerance)];
    }),
  );
}

/** Every edge and internal line of the piece, by name, in every size. */
function linesOf(pieces: readonly Piece[], options: MarkedPieceOptions): Map<string, Marked[][]> {
  const { x, y } = shrinkageFactors(options.shrinkage);
  const enlarge = (p: Vec): Vec => [p[0] * x, p[1] * y];
  const lines = new Map<string, Marked[][]>();
  const mark = (key: string, paths: readonly Path[]) => {
    const cut = paths.map((path) => mapPoints(path, enlarge));
    lines.set(key, markedChords(cut, options.base, options.finish.curveTolerance, key));
  };
  pieces[0]!.edges.forEach((edge, k) => {
    mark(
      edge.name,
      pieces.map((piece) => piece.edges[k]!.path),
    );
  });
  pieces[0]!.internals?.forEach(({ name }, k) => {
    const alike = pieces.map((piece) => piece.internals?.[k]?.path);
    if (alike.every((path) => path !== undefined)) mark(`internal ${k} ${name}`, alike);
  });
  return lines;
}

/** Sewing line and cut line, opened across the fold. */
function outlinesOf(
  piece: Piece,
  size: string,
  sides: readonly (readonly Marked[])[],
  foldX: number | undefined,
  options: MarkedPieceOptions,
): { sew: Marked[]; cut: Marked[] } {
  const { finish } = options;
  const foldAt = piece.edges.findIndex((edge) => edge.name === piece.fold);
  const order = piece.edges.map((_, i) => (foldAt + 1 + i) % piece.edges.length).filter((i) => i !== foldAt);
  const right = order.map((i) => sides[i]!);
  const all =
    foldX === undefined ? right : [...right, ...right.map((line) => mirrored(line, foldX)).reverse()];
  const sew = all.flatMap((line) => line.slice(0, -1));
  // Allowances and corners as the piece is cut; the points are ours, so that each is found again by its name.
  const outline = openSides(piece, foldX, finish, (name) =>
    sides[piece.edges.findIndex((edge) => edge.name === name)]!.map((v) => v.at),
  ).map((side, i): Side => ({ ...side, points: all[i]!.map((v) => v.at) }));
  const corners = cutCorners(outline, finish.cornerLimit);
  const cut = corners
    ? withoutRepeats(namedCut(corners, sew))
    : unnamed(addAllowances(outline, finish.cornerLimit), size);
  return { sew, cut };
}

/** Every vertex of the cut line with the name and kind of the sewing line's vertex that it comes from. */
function namedCut(corners: readonly CutCorner[], sew: readonly Marked[]): Marked[] {
  const names = new Map(sew.map((v) => [v.at, v]));
  return corners.flatMap(({ at, cut }) => {
    const { kind, key } = names.get(at)!;
    return cut.map((p, i): Marked => ({ at: p, kind, key: `${key}/${i}` }));
  });
}

/**
 * Where allowances overlap, the vertices of the cut line belong to no point of the pattern, nor to those of another
 * size; corners are told by their bend.
 */
const unnamed = (ring: readonly Vec[], size: string): Marked[] =>
  ring.map((at, i) => {
    const before = ring[(i + ring.length - 1) % ring.length]!;
    const after = ring[(i + 1) % ring.length]!;
    const bend = Math.abs(angleBetween(sub(at, before), sub(after, at)));
    return { at, kind: bend > CORNER ? 'turn' : 'curve', key: `${ALONE} ${size}:${i}` };
  });

const withoutRepeats = (ring: readonly Marked[]): Marked[] =>
  ring.filter((v, i) => distance(v.at, ring[(i + ring.length - 1) % ring.length]!.at) >= 1e-7);

const mirrored = (line: readonly Marked[], foldX: number): Marked[] =>
  line.map(({ at, kind, key }) => ({ at: mirrorAt(foldX)(at), kind, key: `${key}'` })).reverse();

/** The part of an opened ring right of the fold, closed by the fold: a vertex on the fold keeps its name. */
function rightHalf(ring: readonly Marked[], foldX: number): Marked[] {
  const half: Marked[] = [];
  ring.forEach((p, i) => {
    const q = ring[(i + 1) % ring.length]!;
    const [inside, nextInside] = [p, q].map((v) => v.at[0] > foldX + 1e-6);
    if (inside) half.push(p);
    if (inside === nextInside) return;
    const at: Vec = [foldX, lerp(p.at, q.at, (foldX - p.at[0]) / (q.at[0] - p.at[0]))[1]];
    const [inner, outer] = inside ? [p, q] : [q, p];
    const key = onFold(outer.at, foldX) ? outer.key : `${inner.key}|fold`;
    half.push({ at, kind: 'turn', key: key.replace(/'$/, '') });
  });
  return half;
}

/** A half without its fold side, from the lower end of the fold round to the upper one. */
function awayFromFold(half: readonly Marked[], foldX: number): Marked[] {
  const isFold = (i: number) => onFold(half[i]!.at, foldX) && onFold(half[(i + 1) % half.length]!.at, foldX);
  const start = (half.findIndex((_, i) => isFold(i)) + 1) % half.length;
  return [...half.slice(start), ...half.slice(0, start)];
}

function internalsOf(
  piece: Piece,
  lines: ReadonlyMap<string, Marked[][]>,
  size: number,
  foldX: number | undefined,
): Marked[][] {
  return (piece.internals ?? []).flatMap(({ name }, k) => {
    const line = lines.get(`internal ${k} ${name}`)?.[size];
    if (!line) throw new InputError(`the line '${name}' of '${piece.name}' is not there in every size`);
    if (foldX === undefined || line.every((v) => onFold(v.at, foldX))) return [line];
    return [line, mirrored(line, foldX)];
  });
}

/** Half the room between the two nicks of a double notch, mm. */
const HALF_DOUBLE = DOUBLE_NOTCH_SPACING / 2;

/** Nicks at the boundary that is written: where no allowance is, each stands on the sewing line. */
function nicksOf(finished: CutPiece, boundary: 'cut' | 'sew', ring: readonly Marked[]): Nick[] {
  const points = ring.map((v) => v.at);
  const seen = new Map<string, number>();
  return finished.notches.flatMap(({ name, kind, at, inward, depth }): Nick[] => {
    const nth = seen.get(name) ?? 0;
    seen.set(name, nth + 1);
    const key = `notch ${name} ${nth}`;
    const foot = boundary === 'cut' ? at : alongRay(at, inward, points);
    if (!foot) throw new CheckError(`notch '${name}' of '${finished.name}' meets no sewing line`);
    if (kind === 'single') return [{ key, at: foot, inward, depth }];
    // On a curve both nicks start on the line, not beside it.
    return [HALF_DOUBLE, -HALF_DOUBLE].map((along, i) => {
      const beside: Vec = [foot[0] - inward[1] * along, foot[1] + inward[0] * along];
      return { key: `${key}/${i}`, at: closestOnRing(points, beside).point, inward, depth };
    });
  });
}

/** The nearest point of the ring on a ray. */
function alongRay(from: Vec, along: Vec, ring: Polygon): Vec | undefined {
  let nearest = Number.POSITIVE_INFINITY;
  ring.forEach((a, i) => {
    const b = ring[(i + 1) % ring.length]!;
    const side = sub(b, a);
    const turn = along[0] * side[1] - along[1] * side[0];
    if (turn === 0) return;
    const off = sub(a, from);
    const reach = (off[0] * side[1] - off[1] * side[0]) / turn;
    const share = (off[0] * along[1] - off[1] * along[0]) / turn;
    if (share >= -1e-9 && share <= 1 + 1e-9 && reach >= -1e-6) nearest = Math.min(nearest, reach);
  });
  if (nearest === Number.POSITIVE_INFINITY) return undefined;
  return [from[0] + along[0] * nearest, from[1] + along[1] * nearest];
}
