import { contains, type Polygon } from '../../geometry/polygon.js';
import { add, cross, distance, dot, lerp, scale, sub, type Vec } from '../../geometry/vec.js';

/** The point of a closed ring nearest to `p`, and how far it is. */
export function closestOnRing(ring: Polygon, p: Vec): { point: Vec; distance: number } {
  let best = { point: ring[0]!, distance: distance(ring[0]!, p) };
  for (let i = 0; i < ring.length; i++) {
    const a = ring[i]!;
    const ab = sub(ring[(i + 1) % ring.length]!, a);
    const squared = dot(ab, ab);
    if (squared === 0) continue;
    const t = Math.min(1, Math.max(0, dot(sub(p, a), ab) / squared));
    const point = add(a, scale(ab, t));
    const away = distance(point, p);
    if (away < best.distance) best = { point, distance: away };
  }
  return best;
}

/** The parts of a chain of lines that lie inside a polygon, in order of travel. */
export const partsInside = (points: readonly Vec[], polygon: Polygon): Vec[][] =>
  partsWhere(points, polygon, true);

/** The parts of a chain of lines outside the box of half size `half` round `centre`. */
export function partsOutsideBox(points: readonly Vec[], centre: Vec, half: Vec): Vec[][] {
  const [x, y] = centre;
  const [dx, dy] = half;
  const box: Polygon = [
    [x - dx, y - dy],
    [x + dx, y - dy],
    [x + dx, y + dy],
    [x - dx, y + dy],
  ];
  return partsWhere(points, box, false);
}

function partsWhere(points: readonly Vec[], polygon: Polygon, inside: boolean): Vec[][] {
  const parts: Vec[][] = [];
  let open: Vec[] | undefined;
  for (let i = 0; i + 1 < points.length; i++) {
    const a = points[i]!;
    const b = points[i + 1]!;
    const cuts = [0, ...crossingsOf(a, b, polygon), 1];
    for (let k = 0; k + 1 < cuts.length; k++) {
      const from = cuts[k]!;
      const to = cuts[k + 1]!;
      if (to - from < 1e-9) continue;
      if (contains(polygon, lerp(a, b, (from + to) / 2)) !== inside) {
        open = undefined;
        continue;
      }
      if (!open) {
        open = [lerp(a, b, from)];
        parts.push(open);
      }
      open.push(lerp(a, b, to));
    }
  }
  return parts;
}

/** Parameters in (0, 1) where the segment ab crosses a polygon's edges, ascending. */
function crossingsOf(a: Vec, b: Vec, polygon: Polygon): number[] {
  const along = sub(b, a);
  const found: number[] = [];
  for (let i = 0; i < polygon.length; i++) {
    const c = polygon[i]!;
    const edge = sub(polygon[(i + 1) % polygon.length]!, c);
    const denominator = cross(along, edge);
    if (denominator === 0) continue;
    const ac = sub(c, a);
    const t = cross(ac, edge) / denominator;
    const u = cross(ac, along) / denominator;
    if (t > 0 && t < 1 && u >= 0 && u <= 1) found.push(t);
  }
  return found.sort((p, q) => p - q);
}
