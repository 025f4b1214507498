import Clipper from 'clipper-lib';
import { InputError } from '../errors.js';
import { type Polygon, signedArea } from './polygon.js';

/** clipper-lib counts in integers: one unit is a micrometre. */
const UNITS_PER_MM = 1000;
/** Beyond this clipper-lib leaves its exact fast range. */
const LIMIT_MM = 47_000;
const ARC_TOLERANCE_MM = 0.05;

export type Join = 'round' | 'miter';

/**
 * Polygons at distance `delta` (mm) outside (positive) or inside (negative) the given ones; an inward offset
 * larger than the shape leaves none. Vertices are rounded to the micrometre.
 */
export function offset(
  polygons: readonly Polygon[],
  delta: number,
  options: { join?: Join; miterLimit?: number } = {},
): Polygon[] {
  const engine = new Clipper.ClipperOffset(options.miterLimit ?? 10, ARC_TOLERANCE_MM * UNITS_PER_MM);
  const join = options.join === 'miter' ? Clipper.JoinType.jtMiter : Clipper.JoinType.jtRound;
  engine.AddPaths(polygons.map(toIntegers), join, Clipper.EndType.etClosedPolygon);
  const solution: Clipper.Path[] = [];
  engine.Execute(solution, delta * UNITS_PER_MM);
  return solution.map(toPolygon);
}

/** Union under the non-zero rule; outer rings counter-clockwise, holes clockwise. */
export const union = (polygons: readonly Polygon[]): Polygon[] =>
  combine(Clipper.ClipType.ctUnion, polygons, []);

export const intersection = (a: readonly Polygon[], b: readonly Polygon[]): Polygon[] =>
  combine(Clipper.ClipType.ctIntersection, a, b);

export const difference = (a: readonly Polygon[], b: readonly Polygon[]): Polygon[] =>
  combine(Clipper.ClipType.ctDifference, a, b);

/** Area common to both sets, square millimetres. */
export const overlapArea = (a: readonly Polygon[], b: readonly Polygon[]): number =>
  intersection(a, b).reduce((sum, polygon) => sum + signedArea(polygon), 0);

function combine(type: Clipper.ClipType, subject: readonly Polygon[], clip: readonly Polygon[]): Polygon[] {
  const engine = new Clipper.Clipper();
  engine.AddPaths(subject.map(toIntegers), Clipper.PolyType.ptSubject, true);
  if (clip.length > 0) engine.AddPaths(clip.map(toIntegers), Clipper.PolyType.ptClip, true);
  const solution: Clipper.Path[] = [];
  const fill = Clipper.PolyFillType.pftNonZero;
  engine.Execute(type, solution, fill, fill);
  return solution.map(toPolygon);
}

function toIntegers(polygon: Polygon): Clipper.Path {
  return polygon.map(([x, y]) => {
    // clipper-lib does not refuse floats or NaN: it returns wrong shapes, so the guard stands here.
    if (!(Math.abs(x) < LIMIT_MM && Math.abs(y) < LIMIT_MM)) {
      throw new InputError(`coordinate (${x}, ${y}) is outside the ${LIMIT_MM} mm that can be cut`);
    }
    return { X: Math.round(x * UNITS_PER_MM), Y: Math.round(y * UNITS_PER_MM) };
  });
}

const toPolygon = (path: Clipper.Path): Polygon =>
  path.map((p) => [p.X / UNITS_PER_MM, p.Y / UNITS_PER_MM] as const);
