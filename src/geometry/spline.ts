import { cubic, type Path } from './path.js';
import { add, distance, scale, sub, unit, type Vec } from './vec.js';

/**
 * One smooth chain of cubics through `points`, continuous in direction and curvature with chord-length
 * parameters. An end direction, where given, is met exactly; a free end has no curvature.
 * The tangents solve the usual tridiagonal system of an interpolating cubic spline.
 */
export function splineThrough(points: readonly Vec[], ends: { start?: Vec; end?: Vec } = {}): Path {
  const n = points.length - 1;
  const h = points.slice(1).map((p, i) => distance(points[i]!, p));
  const tangents = solveTangents(points, h, ends);
  return Array.from({ length: n }, (_, i) =>
    cubic(
      points[i]!,
      add(points[i]!, scale(tangents[i]!, h[i]! / 3)),
      sub(points[i + 1]!, scale(tangents[i + 1]!, h[i]! / 3)),
      points[i + 1]!,
    ),
  );
}

function solveTangents(
  points: readonly Vec[],
  h: readonly number[],
  ends: { start?: Vec; end?: Vec },
): Vec[] {
  const n = points.length - 1;
  const slope = (i: number): Vec => scale(sub(points[i + 1]!, points[i]!), 1 / h[i]!);
  const lower = new Array<number>(n + 1).fill(0);
  const diagonal = new Array<number>(n + 1).fill(1);
  const upper = new Array<number>(n + 1).fill(0);
  const right: Vec[] = new Array<Vec>(n + 1);
  for (let i = 1; i < n; i++) {
    lower[i] = h[i]!;
    diagonal[i] = 2 * (h[i - 1]! + h[i]!);
    upper[i] = h[i - 1]!;
    right[i] = add(scale(slope(i - 1), 3 * h[i]!), scale(slope(i), 3 * h[i - 1]!));
  }
  // A clamped end has unit speed along the given direction; a free end has zero second derivative.
  if (ends.start) right[0] = unit(ends.start);
  else {
    diagonal[0] = 2;
    upper[0] = 1;
    right[0] = scale(slope(0), 3);
  }
  if (ends.end) right[n] = unit(ends.end);
  else {
    lower[n] = 1;
    diagonal[n] = 2;
    right[n] = scale(slope(n - 1), 3);
  }
  for (let i = 1; i <= n; i++) {
    const factor = lower[i]! / diagonal[i - 1]!;
    diagonal[i] = diagonal[i]! - factor * upper[i - 1]!;
    right[i] = sub(right[i]!, scale(right[i - 1]!, factor));
  }
  const tangents = new Array<Vec>(n + 1);
  tangents[n] = scale(right[n]!, 1 / diagonal[n]!);
  for (let i = n - 1; i >= 0; i--) {
    tangents[i] = scale(sub(right[i]!, scale(tangents[i + 1]!, upper[i]!)), 1 / diagonal[i]!);
  }
  return tangents;
}
