import { distanceToSegment, segmentsMeet } from '../geometry/polygon.js';
import { cross, sub, type Vec } from '../geometry/vec.js';

/**
 * A polygon of fewer vertices that contains the given one and leaves it nowhere by more than `tolerance`.
 *
 * Two steps, cheapest added area first: a reflex vertex is bridged by its chord, and an edge between two
 * convex vertices is removed by extending its neighbours until they meet. Both only add area, so what is
 * packed without overlap in the simpler outline is without overlap in the true one. The errors of merged
 * edges add up, so the bound holds for any number of steps.
 */
export function simplifyOutward(polygon: readonly Vec[], tolerance: number): Vec[] {
  const points = [...polygon];
  const errors = points.map(() => 0);
  while (points.length > 4) {
    const step = cheapestStep(points, errors, tolerance);
    if (!step) break;
    apply(points, errors, step);
  }
  return points;
}

/** Drops repeated vertices and vertices in the middle of a straight edge. */
export function withoutStraightVertices(polygon: readonly Vec[]): Vec[] {
  const points = polygon.filter((p, i) => {
    const before = polygon[(i + polygon.length - 1) % polygon.length]!;
    return p[0] !== before[0] || p[1] !== before[1];
  });
  let changed = true;
  while (changed && points.length > 3) {
    changed = false;
    for (let i = 0; i < points.length && points.length > 3; i++) {
      const a = points[(i + points.length - 1) % points.length]!;
      const b = points[(i + 1) % points.length]!;
      if (cross(sub(points[i]!, a), sub(b, points[i]!)) !== 0) continue;
      points.splice(i, 1);
      changed = true;
      i--;
    }
  }
  return points;
}

/** Bridge: drop vertex `at`. Extend: drop edge (at, at + 1) and put `corner` in its place. */
interface Step {
  readonly at: number;
  readonly corner: Vec | undefined;
  readonly area: number;
  readonly error: number;
}

function cheapestStep(
  points: readonly Vec[],
  errors: readonly number[],
  tolerance: number,
): Step | undefined {
  let best: Step | undefined;
  for (let i = 0; i < points.length; i++) {
    for (const step of [bridge(points, errors, i), extend(points, errors, i)]) {
      if (!step || step.error > tolerance || (best && step.area >= best.area)) continue;
      if (staysSimple(points, step)) best = step;
    }
  }
  return best;
}

function bridge(points: readonly Vec[], errors: readonly number[], i: number): Step | undefined {
  const count = points.length;
  const a = points[(i + count - 1) % count]!;
  const b = points[i]!;
  const c = points[(i + 1) % count]!;
  const doubled = cross(sub(b, a), sub(c, b));
  if (doubled >= 0) return undefined;
  const error = distanceToSegment(b, a, c) + Math.max(errors[(i + count - 1) % count]!, errors[i]!);
  return { at: i, corner: undefined, area: -doubled / 2, error };
}

function extend(points: readonly Vec[], errors: readonly number[], i: number): Step | undefined {
  const count = points.length;
  const a = points[(i + count - 1) % count]!;
  const b = points[i]!;
  const c = points[(i + 1) % count]!;
  const d = points[(i + 2) % count]!;
  const into = sub(b, a);
  const edge = sub(c, b);
  const out = sub(d, c);
  if (cross(into, edge) <= 0 || cross(edge, out) <= 0) return undefined;
  const turn = cross(into, out);
  if (turn <= 0) return undefined;
  const t = cross(edge, out) / turn;
  const corner: Vec = [b[0] + into[0] * t, b[1] + into[1] * t];
  const height = distanceToSegment(corner, b, c);
  return { at: i, corner, area: Math.abs(cross(edge, sub(corner, b))) / 2, error: height + errors[i]! };
}

function apply(points: Vec[], errors: number[], step: Step): void {
  const count = points.length;
  const before = (step.at + count - 1) % count;
  if (!step.corner) {
    errors[before] = step.error;
    points.splice(step.at, 1);
    errors.splice(step.at, 1);
    return;
  }
  const after = (step.at + 1) % count;
  errors[before] = Math.max(errors[before]!, step.error);
  errors[after] = Math.max(errors[after]!, step.error);
  points[after] = step.corner;
  points.splice(step.at, 1);
  errors.splice(step.at, 1);
}

function staysSimple(points: readonly Vec[], step: Step): boolean {
  const count = points.length;
  const at = (k: number) => points[(step.at + k + count) % count]!;
  const sides: [Vec, Vec][] = step.corner
    ? [
        [at(0), step.corner],
        [step.corner, at(1)],
      ]
    : [[at(-1), at(1)]];
  // Edges that share a vertex with the changed chain touch it by right.
  const [first, last] = step.corner ? [2, count - 2] : [2, count - 3];
  for (let k = first; k <= last; k++) {
    for (const [p, q] of sides) if (segmentsMeet(p, q, at(k), at(k + 1))) return false;
  }
  return true;
}
