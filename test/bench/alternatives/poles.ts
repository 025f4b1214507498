/**
 * Poles of a polygon: its largest inscribed circles, one after the other. The first is centred at the pole of
 * inaccessibility, each later one is the largest that lies in the polygon and outside the circles before it.
 * They stand in for the polygon where an overlap is to be weighed (Gardeyn, Vanden Berghe and Wauters 2025,
 * arXiv:2509.13329).
 */
import polylabel from 'polylabel';
import { bounds, distanceToSegment } from '../../../src/geometry/polygon.js';
import type { Vec } from '../../../src/geometry/vec.js';

export interface Pole {
  readonly x: number;
  readonly y: number;
  readonly r: number;
}

/** Poles per polygon, and the radius of the last as a share of the first below which no more are drawn. */
const POLES = 12;
const LEAST = 0.05;
/** Corners of the polygon that stands for a circle already drawn. */
const CORNERS = 24;
/** To what share of the polygon's smaller side a centre is found. */
const PRECISION = 0.005;

/** The poles of a simple polygon, largest first; each circle lies inside it and clear of the others. */
export function polesOf(polygon: readonly Vec[]): Pole[] {
  const { minX, minY, maxX, maxY } = bounds(polygon);
  const precision = PRECISION * Math.min(maxX - minX, maxY - minY);
  const rings: Vec[][] = [[...polygon]];
  const poles: Pole[] = [];
  while (poles.length < POLES) {
    const [x, y] = polylabel(rings, precision);
    // The rings only approximate the circles: the radius is what is truly free.
    const r = free(polygon, poles, [x!, y!]);
    if (r <= 0 || r < LEAST * (poles[0]?.r ?? 0)) break;
    poles.push({ x: x!, y: y!, r });
    rings.push(
      Array.from({ length: CORNERS }, (_, k): Vec => {
        const angle = (2 * Math.PI * k) / CORNERS;
        return [x! + r * Math.cos(angle), y! + r * Math.sin(angle)];
      }),
    );
  }
  return poles;
}

function free(polygon: readonly Vec[], poles: readonly Pole[], at: Vec): number {
  let least = Infinity;
  polygon.forEach((p, k) => {
    least = Math.min(least, distanceToSegment(at, p, polygon[(k + 1) % polygon.length]!));
  });
  for (const { x, y, r } of poles) least = Math.min(least, Math.hypot(at[0] - x, at[1] - y) - r);
  return least;
}
