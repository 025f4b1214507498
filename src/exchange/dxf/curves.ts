import { cubic, line, type Path, type Segment } from '../../geometry/path.js';
import { add, cross, distance, dot, perp, rotate, scale, sub, type Vec } from '../../geometry/vec.js';
import type { DxfPolyline } from './types.js';

/** Error of one cubic over a quarter circle of radius 1, Goldapp 1991 (CAGD 8); it falls with the 6th power of the angle. */
const QUARTER_ERROR = 2.73e-4;
const FULL_TURN = 2 * Math.PI;

/**
 * An ellipse's arc as cubics no farther than `tolerance` from it: centre + cos t * major + sin t * minor for t
 * from `from` by `sweep` (radians, negative clockwise).
 */
export function ellipticArc(
  centre: Vec,
  major: Vec,
  minor: Vec,
  from: number,
  sweep: number,
  tolerance: number,
): Segment[] {
  const radius = Math.max(distance([0, 0], major), distance([0, 0], minor));
  const widest = (Math.PI / 2) * Math.min(1, (tolerance / (QUARTER_ERROR * radius)) ** (1 / 6));
  const count = Math.max(1, Math.ceil(Math.abs(sweep) / widest - 1e-9));
  const step = sweep / count;
  const reach = (4 / 3) * Math.tan(step / 4);
  const point = (t: number): Vec => add(centre, add(scale(major, Math.cos(t)), scale(minor, Math.sin(t))));
  const speed = (t: number): Vec => add(scale(major, -Math.sin(t)), scale(minor, Math.cos(t)));
  const out: Segment[] = [];
  let a = point(from);
  for (let i = 0; i < count; i++) {
    const [t0, t1] = [from + i * step, from + (i + 1) * step];
    const whole = i === count - 1 && Math.abs(Math.abs(sweep) - FULL_TURN) < 1e-12;
    const b: Vec = whole ? (out[0]?.a ?? a) : point(t1);
    out.push(cubic(a, add(a, scale(speed(t0), reach)), sub(b, scale(speed(t1), reach)), b));
    a = b;
  }
  return out;
}

/** Degrees to go counter-clockwise from one angle to the other, in (0, 360]. */
export function sweepDegrees(from: number, to: number): number {
  const sweep = (((to - from) % 360) + 360) % 360;
  return sweep < 1e-9 ? 360 : sweep;
}

/** Parameter to go from one to the other, in (0, 2 pi]. */
export const sweepRadians = (from: number, to: number): number =>
  (sweepDegrees((from * 180) / Math.PI, (to * 180) / Math.PI) * Math.PI) / 180;

/**
 * A polyline as a chain without empty segments, bulges as arcs: a bulge is the tangent of a quarter of the
 * arc's angle (DXF reference, LWPOLYLINE). Empty when all vertices are one point.
 */
export function polylinePath({ vertices, closed }: DxfPolyline, tolerance: number): Path {
  const out: Segment[] = [];
  const count = closed ? vertices.length : vertices.length - 1;
  for (let i = 0; i < count; i++) {
    const { at: a, bulge } = vertices[i]!;
    const b = vertices[(i + 1) % vertices.length]!.at;
    if (a[0] === b[0] && a[1] === b[1]) continue;
    if (bulge === 0) out.push(line(a, b));
    else out.push(...bulgeArc(a, b, bulge, tolerance));
  }
  return out;
}

function bulgeArc(a: Vec, b: Vec, bulge: number, tolerance: number): Segment[] {
  const chord = distance(a, b);
  const sagitta = (Math.abs(bulge) * chord) / 2;
  if (sagitta <= tolerance / 4) return [line(a, b)];
  // The centre lies off the chord's middle, to the left for a bulge of (0, 1).
  const middle = scale(add(a, b), 0.5);
  const centre = add(middle, scale(perp(sub(b, a)), (1 - bulge * bulge) / (4 * bulge)));
  const arm = sub(a, centre);
  const arc = ellipticArc(centre, arm, rotate(arm, Math.PI / 2), 0, 4 * Math.atan(bulge), tolerance);
  return arc.map((s, i) => rejoined(s, i === 0 ? a : undefined, i === arc.length - 1 ? b : undefined));
}

/** The segment with ends put exactly where the neighbours are. */
function rejoined(s: Segment, a: Vec | undefined, b: Vec | undefined): Segment {
  if (s.kind === 'line') return line(a ?? s.a, b ?? s.b);
  return cubic(a ?? s.a, s.c, s.d, b ?? s.b);
}

/** Angle in degrees of the direction that a direction at `degrees` has under a linear map. */
export function mappedAngle(degrees: number, linear: (p: Vec) => Vec): number {
  const radians = (degrees * Math.PI) / 180;
  const along = linear([Math.cos(radians), Math.sin(radians)]);
  return (Math.atan2(cross([1, 0], along), dot([1, 0], along)) * 180) / Math.PI;
}
