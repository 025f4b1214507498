import {
  endDirection,
  lengthTo,
  type Path,
  type Segment,
  segmentPoint,
  startDirection,
} from '../geometry/path.js';
import { angleBetween, cross, norm, type Vec } from '../geometry/vec.js';

/** The tightest place of a curve; mm. */
export interface Tightest {
  /** Infinite on a straight line, 0 at a corner inside the curve. */
  readonly radius: number;
  readonly point: Vec;
  /** Arc length from the start. */
  readonly at: number;
}

/** Samples of the curvature along one cubic. */
const SAMPLES = 64;
/** Segments that turn by more than this where they meet make a corner, radians (3 degrees). */
const CORNER = Math.PI / 60;

/**
 * Least radius of curvature along a path, |B'|^3 / |B' x B''| on a cubic. Where a handle lies on its end the
 * curve has no direction there and is looked at just beside it.
 */
export function tightest(path: Path): Tightest {
  let best: Tightest = { radius: Number.POSITIVE_INFINITY, point: path[0]!.a, at: 0 };
  path.forEach((segment, i) => {
    const next = path[i + 1];
    if (next && Math.abs(angleBetween(endDirection([segment]), startDirection([next]))) > CORNER) {
      best = { radius: 0, point: segment.b, at: lengthTo(path, i, 1) };
    }
    if (segment.kind === 'line') return;
    for (let k = 0; k <= SAMPLES; k++) {
      const t = Math.min(1 - 1e-4, Math.max(1e-4, k / SAMPLES));
      const radius = radiusAt(segment, t);
      if (radius < best.radius) {
        best = { radius, point: segmentPoint(segment, t), at: lengthTo(path, i, t) };
      }
    }
  });
  return best;
}

/** Radius of curvature of one segment at parameter `t`, mm; infinite where it is straight. */
export function radiusAt(segment: Segment, t: number): number {
  if (segment.kind === 'line') return Number.POSITIVE_INFINITY;
  const { a, c, d, b } = segment;
  const u = 1 - t;
  const part = (k: 0 | 1): readonly [number, number] => [
    3 * (u * u * (c[k] - a[k]) + 2 * u * t * (d[k] - c[k]) + t * t * (b[k] - d[k])),
    6 * (u * (d[k] - 2 * c[k] + a[k]) + t * (b[k] - 2 * d[k] + c[k])),
  ];
  const [x, y] = [part(0), part(1)];
  const speed = norm([x[0], y[0]]);
  const bend = Math.abs(cross([x[0], y[0]], [x[1], y[1]]));
  return bend === 0 ? Number.POSITIVE_INFINITY : speed ** 3 / bend;
}
