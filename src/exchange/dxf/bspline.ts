import { cubic, line, type Path, type Segment } from '../../geometry/path.js';
import { distanceToSegment } from '../../geometry/polygon.js';
import { splineThrough } from '../../geometry/spline.js';
import { distance, lerp, type Vec } from '../../geometry/vec.js';
import type { DxfSpline } from './types.js';

const HIGHEST_DEGREE = 11;
const MOST_HALVINGS = 9;

type Homogeneous = readonly [x: number, y: number, w: number];

/**
 * A B-spline as lines and cubics: exact up to degree 3 without weights, else a chain of chords no farther than
 * `tolerance` from it. A spline by fit points alone becomes a smooth cubic chain through them.
 *
 * The control points of each piece are values of the spline's polar form ("blossom") at its knots: L. Ramshaw,
 * Blossoming: a connect-the-dots approach to splines, DEC SRC report 19, 1987.
 *
 * @param most segments to make: a spline of more is broken off after them, so that its caller can refuse it.
 * @returns the reason when the numbers make no spline.
 */
export function splinePath(spline: DxfSpline, tolerance: number, most: number): Path | string {
  const { degree, knots, control, weights, fit } = spline;
  if (control.length === 0) return throughFit(fit);
  if (degree < 1 || degree > HIGHEST_DEGREE) return 'of a degree that no curve has';
  if (control.length <= degree) return 'with too few control points';
  if (knots.length !== control.length + degree + 1) return 'whose knots do not match its control points';
  if (knots.some((k, i) => i > 0 && k < knots[i - 1]!)) return 'whose knots fall';
  const rational = weights.some((w) => w !== weights[0]);
  if (rational && (weights.length !== control.length || weights.some((w) => w <= 0))) {
    return 'whose weights do not match its control points';
  }
  const points = control.map(([x, y], i): Homogeneous => {
    const w = rational ? weights[i]! : 1;
    return [x * w, y * w, w];
  });
  const path: Segment[] = [];
  let at: Vec | undefined;
  for (let k = degree; k < control.length && path.length <= most; k++) {
    if (!(knots[k + 1]! > knots[k]!)) continue;
    const piece = pieceOf(points, knots, degree, k);
    at ??= flat(piece[0]!);
    at = rational || degree > 3 ? addChords(path, at, piece, tolerance) : addExact(path, at, piece);
  }
  return path.length > 0 ? path : 'without length';
}

/** Bezier control points of the spline between knots k and k + 1. */
function pieceOf(
  points: readonly Homogeneous[],
  knots: readonly number[],
  degree: number,
  k: number,
): Homogeneous[] {
  const [from, to] = [knots[k]!, knots[k + 1]!];
  return Array.from({ length: degree + 1 }, (_, j) => {
    // The polar form with `degree - j` arguments at the start and j at the end, by de Boor's triangle.
    const d = points.slice(k - degree, k + 1);
    for (let r = 1; r <= degree; r++) {
      const u = r <= degree - j ? from : to;
      for (let i = degree; i >= r; i--) {
        const low = knots[k - degree + i]!;
        const high = knots[k + 1 + i - r]!;
        d[i] = mix(d[i - 1]!, d[i]!, (u - low) / (high - low));
      }
    }
    return d[degree]!;
  });
}

/** Degree 1 to 3 as one segment from `at`; a parabola is raised to a cubic. Returns its end. */
function addExact(path: Segment[], at: Vec, piece: readonly Homogeneous[]): Vec {
  const [, p1, p2, p3] = piece.map(flat);
  const last = flat(piece[piece.length - 1]!);
  if (p3) path.push(cubic(at, p1!, p2!, last));
  else if (p2) path.push(cubic(at, lerp(at, p1!, 2 / 3), lerp(last, p1!, 2 / 3), last));
  else path.push(line(at, last));
  return last;
}

/** Halves the piece until its control points lie within `tolerance` of the chord: the hull holds the curve. */
function addChords(path: Segment[], at: Vec, piece: readonly Homogeneous[], tolerance: number): Vec {
  let from = at;
  const go = (part: readonly Homogeneous[], depth: number): void => {
    const corners = part.map(flat);
    const last = corners[corners.length - 1]!;
    if (
      depth >= MOST_HALVINGS ||
      corners.every((p) => distanceToSegment(p, corners[0]!, last) <= tolerance)
    ) {
      path.push(line(from, last));
      from = last;
      return;
    }
    const [head, tail] = halves(part);
    go(head, depth + 1);
    go(tail, depth + 1);
  };
  go(piece, 0);
  return from;
}

function halves(piece: readonly Homogeneous[]): [Homogeneous[], Homogeneous[]] {
  const head: Homogeneous[] = [];
  const tail: Homogeneous[] = [];
  let row = [...piece];
  while (row.length > 0) {
    head.push(row[0]!);
    tail.unshift(row[row.length - 1]!);
    row = row.slice(1).map((p, i) => mix(row[i]!, p, 0.5));
  }
  return [head, tail];
}

function throughFit(fit: readonly Vec[]): Path | string {
  const points = fit.filter((p, i) => i === 0 || distance(p, fit[i - 1]!) > 0);
  return points.length < 2 ? 'without control points' : splineThrough(points);
}

const mix = (a: Homogeneous, b: Homogeneous, t: number): Homogeneous => [
  a[0] + (b[0] - a[0]) * t,
  a[1] + (b[1] - a[1]) * t,
  a[2] + (b[2] - a[2]) * t,
];

const flat = ([x, y, w]: Homogeneous): Vec => [x / w, y / w];
