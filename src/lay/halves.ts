import type { CutPiece } from '../finish/types.js';
import { rightHalf } from '../finish/unfold.js';
import { bounds, hull, type Polygon, selfCrossing } from '../geometry/polygon.js';
import { lerp, samePoint, type Vec } from '../geometry/vec.js';

/** The half of a symmetric piece, the fold on x = `foldX` and the rest right of it; piece frame, mm. */
export type Half = NonNullable<CutPiece['half']>;

/** How far (mm) mirrored vertices may lie from the piece's own for it to count as symmetric. */
const SYMMETRY_TOLERANCE = 0.05;
/** The same of notches and internal lines, which are seen by eye. */
const MARK_TOLERANCE = 0.5;

/** Whether a polygon is its own mirror image about the upright axis through the middle of its box. */
export function isSymmetric(polygon: Polygon): boolean {
  const mirror = mirrorOf(polygon);
  return polygon.every((p) => {
    const image = mirror(p);
    return polygon.some((q) => samePoint(image, q, SYMMETRY_TOLERANCE));
  });
}

/**
 * Whether a piece and its mirror image are one: outline, notches and internal lines. A sleeve whose outline
 * happens to be symmetric is not, where its notches tell front from back.
 */
export function isSymmetricPiece(piece: Pick<CutPiece, 'cut' | 'half' | 'notches' | 'internals'>): boolean {
  if (piece.half) return true;
  if (!isSymmetric(piece.cut)) return false;
  const mirror = mirrorOf(piece.cut);
  const near = (p: Vec, q: Vec) => samePoint(p, q, MARK_TOLERANCE);
  return (
    piece.notches.every((n) => piece.notches.some((m) => m.kind === n.kind && near(mirror(n.at), m.at))) &&
    piece.internals.every(({ points }) =>
      piece.internals.some(
        (other) =>
          points.every((p) => other.points.some((q) => near(mirror(p), q))) &&
          other.points.every((q) => points.some((p) => near(mirror(p), q))),
      ),
    )
  );
}

/** The half that lies on a fold; undefined for a piece that is not symmetric. */
export function halfOf(piece: CutPiece): Half | undefined {
  if (piece.half) return piece.half;
  if (!isSymmetricPiece(piece)) return undefined;
  const { minX, maxX } = bounds(piece.cut);
  const foldX = (minX + maxX) / 2;
  return { cut: rightHalf(piece.cut, foldX), foldX };
}

/**
 * What a half on the fold keeps of the cloth farther than `margin` from the fold: the half without the strip next
 * to the fold, whose width along the fold it keeps in full. So two such halves that keep a distance keep it beside
 * the fold too, and whole pieces, which stay `margin` away, keep theirs. Undefined for a half that is no wider.
 *
 *     fold |  :_____          the corner beside the fold is
 *          |  :     \    ->   carried out to the margin line
 *          |__:______\
 */
export function beyondMargin({ cut, foldX }: Half, margin: number): Polygon | undefined {
  if (margin === 0) return cut;
  const line = foldX + margin;
  const far = (p: Vec) => p[0] > line;
  if (!cut.some(far)) return undefined;
  const near: Vec[] = [];
  let ends = 0;
  let first = 0;
  cut.forEach((p, i) => {
    const q = cut[(i + 1) % cut.length]!;
    if (!far(p)) near.push(p);
    if (far(p) === far(q)) return;
    near.push([line, lerp(p, q, (line - p[0]) / (q[0] - p[0]))[1]]);
    ends++;
    if (!far(p)) first = i + 1;
  });
  const { minY, maxY } = bounds(near);
  const run = [...cut.slice(first), ...cut.slice(0, first)].filter(far);
  const kept: Vec[] = [...run, [line, maxY], [line, minY]];
  // An outline that comes back to the fold: its hull keeps more than is needed, which does no harm.
  return ends === 2 && !selfCrossing(kept) ? kept : hull([...run, [line, maxY], [line, minY]]);
}

function mirrorOf(polygon: Polygon): (p: Vec) => Vec {
  const { minX, maxX } = bounds(polygon);
  return ([x, y]) => [minX + maxX - x, y];
}
