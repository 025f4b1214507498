import { orient2d } from 'robust-predicates';
import { cross, distance, sub, type Vec } from './vec.js';

/** A closed loop of vertices, the first not repeated. Counter-clockwise unless said otherwise. */
export type Polygon = readonly Vec[];

export interface Box {
  readonly minX: number;
  readonly minY: number;
  readonly maxX: number;
  readonly maxY: number;
}

/** Signed area in square units: positive when counter-clockwise. */
export function signedArea(polygon: Polygon): number {
  const origin = polygon[0];
  if (!origin) return 0;
  let doubled = 0;
  // Relative to the first vertex, so that a small shape far from the origin keeps its digits.
  for (let i = 1; i + 1 < polygon.length; i++) {
    doubled += cross(sub(polygon[i]!, origin), sub(polygon[i + 1]!, origin));
  }
  return doubled / 2;
}

export const area = (polygon: Polygon): number => Math.abs(signedArea(polygon));

export function perimeter(polygon: Polygon): number {
  let total = 0;
  for (let i = 0; i < polygon.length; i++) total += distance(polygon[i]!, polygon[(i + 1) % polygon.length]!);
  return total;
}

export function bounds(points: readonly Vec[]): Box {
  let minX = Infinity;
  let minY = Infinity;
  let maxX = -Infinity;
  let maxY = -Infinity;
  for (const [x, y] of points) {
    if (x < minX) minX = x;
    if (y < minY) minY = y;
    if (x > maxX) maxX = x;
    if (y > maxY) maxY = y;
  }
  return { minX, minY, maxX, maxY };
}

export const counterClockwise = (polygon: Polygon): Polygon =>
  signedArea(polygon) < 0 ? [...polygon].reverse() : polygon;

/** How often the polygon winds round `point`; 0 outside. A point on the boundary may read either way. */
export function windingNumber(polygon: Polygon, point: Vec): number {
  let winding = 0;
  const [px, py] = point;
  for (let i = 0; i < polygon.length; i++) {
    const [ax, ay] = polygon[i]!;
    const [bx, by] = polygon[(i + 1) % polygon.length]!;
    if (ay <= py) {
      if (by > py && orient2d(ax, ay, bx, by, px, py) < 0) winding++;
    } else if (by <= py && orient2d(ax, ay, bx, by, px, py) > 0) winding--;
  }
  return winding;
}

export const contains = (polygon: Polygon, point: Vec): boolean => windingNumber(polygon, point) !== 0;

/**
 * The first pair of non-neighbouring edges that meet, as edge indices, or undefined for a simple polygon.
 * Edges are compared by exact orientation signs in order of their smallest x.
 */
export function selfCrossing(polygon: Polygon): readonly [number, number] | undefined {
  const count = polygon.length;
  const left = (i: number) => Math.min(polygon[i]![0], polygon[(i + 1) % count]![0]);
  const right = (i: number) => Math.max(polygon[i]![0], polygon[(i + 1) % count]![0]);
  const order = Array.from({ length: count }, (_, i) => i).sort((i, j) => left(i) - left(j));
  for (let k = 0; k < count; k++) {
    const i = order[k]!;
    for (let m = k + 1; m < count && left(order[m]!) <= right(i); m++) {
      const j = order[m]!;
      const apart = Math.abs(i - j);
      if (apart <= 1 || apart === count - 1) continue;
      if (segmentsMeet(polygon[i]!, polygon[(i + 1) % count]!, polygon[j]!, polygon[(j + 1) % count]!)) {
        return i < j ? [i, j] : [j, i];
      }
    }
  }
  return undefined;
}

/** Whether the closed segments ab and cd share a point, by exact orientation signs. */
export function segmentsMeet(a: Vec, b: Vec, c: Vec, d: Vec): boolean {
  const abc = Math.sign(orient2d(...a, ...b, ...c));
  const abd = Math.sign(orient2d(...a, ...b, ...d));
  const cda = Math.sign(orient2d(...c, ...d, ...a));
  const cdb = Math.sign(orient2d(...c, ...d, ...b));
  if (abc !== abd && cda !== cdb) return true;
  return (
    (abc === 0 && inBox(c, a, b)) ||
    (abd === 0 && inBox(d, a, b)) ||
    (cda === 0 && inBox(a, c, d)) ||
    (cdb === 0 && inBox(b, c, d))
  );
}

/** Convex hull, counter-clockwise, collinear points dropped (Andrew's monotone chain). */
export function hull(points: readonly Vec[]): Polygon {
  const sorted = [...points].sort((a, b) => a[0] - b[0] || a[1] - b[1]);
  const chain = (source: readonly Vec[]) => {
    const out: Vec[] = [];
    for (const p of source) {
      while (out.length >= 2 && orient2d(...out[out.length - 2]!, ...out[out.length - 1]!, ...p) >= 0)
        out.pop();
      out.push(p);
    }
    out.pop();
    return out;
  };
  return [...chain(sorted), ...chain(sorted.reverse())];
}

/** Distance from `point` to the segment ab. */
export function distanceToSegment(point: Vec, a: Vec, b: Vec): number {
  const ab = sub(b, a);
  const lengthSquared = ab[0] * ab[0] + ab[1] * ab[1];
  const ap = sub(point, a);
  const t =
    lengthSquared === 0 ? 0 : Math.min(1, Math.max(0, (ap[0] * ab[0] + ap[1] * ab[1]) / lengthSquared));
  return Math.hypot(ap[0] - t * ab[0], ap[1] - t * ab[1]);
}

function inBox(p: Vec, a: Vec, b: Vec): boolean {
  return (
    p[0] >= Math.min(a[0], b[0]) &&
    p[0] <= Math.max(a[0], b[0]) &&
    p[1] >= Math.min(a[1], b[1]) &&
    p[1] <= Math.max(a[1], b[1])
  );
}
