import { distance, dot, perp, sub, unit, type Vec } from '../geometry/vec.js';
import type { Loop } from './trace-corners.js';

/** Points of a window; a parabola through them leaves four degrees of freedom. */
const WINDOW = 7;
/** Median of a standard deviation found with four degrees of freedom, as a share of the true one. */
const MEDIAN_SHARE = 0.916;
/** Points farther apart than this on average were not traced, mm. */
const DENSE = 4;
/** Below this an outline counts as exact: the rounding of files, mm. */
const ROUNDING = 0.002;

/**
 * How far traced points scatter about smooth curves: the median over the outline of the standard deviation
 * about parabolas through seven neighbours, mm. Corners and kinks are few and do not move a median. 0 for an
 * exact outline or one of long sides.
 */
export function noiseOf(loop: Loop): number {
  const points = loop.nodes.map((i) => loop.points[i]!);
  if (points.length < 3 * WINDOW || loop.total / points.length > DENSE) return 0;
  const spreads: number[] = [];
  for (let i = 0; i < points.length; i++) {
    const window = Array.from({ length: WINDOW }, (_, k) => points[(i + k) % points.length]!);
    const spread = spreadAbout(window);
    if (spread !== undefined) spreads.push(spread);
  }
  if (spreads.length === 0) return 0;
  spreads.sort((a, b) => a - b);
  const median = spreads[spreads.length >> 1]! / MEDIAN_SHARE;
  return median < ROUNDING ? 0 : median;
}

/** Standard deviation of the points about the parabola over their chord, mm. */
function spreadAbout(window: readonly Vec[]): number | undefined {
  const origin = window[0]!;
  const chord = sub(window[WINDOW - 1]!, origin);
  const reach = distance(window[WINDOW - 1]!, origin);
  if (reach === 0) return undefined;
  const along = unit(chord);
  const across = perp(along);
  // Legendre polynomials over the window keep the fit well conditioned.
  const us = window.map((p) => (2 * dot(sub(p, origin), along)) / reach - 1);
  const vs = window.map((p) => dot(sub(p, origin), across));
  const basis = orthogonal(us);
  const rest = basis.reduce((left, b) => {
    const share = b.reduce((sum, w, i) => sum + w * left[i]!, 0);
    return left.map((v, i) => v - share * b[i]!);
  }, vs);
  return Math.sqrt(rest.reduce((sum, v) => sum + v * v, 0) / (WINDOW - 3));
}

/** Orthonormal vectors spanning 1, u and u^2 on the given places. */
function orthogonal(us: readonly number[]): number[][] {
  const basis: number[][] = [];
  for (let n = 0; n < 3; n++) {
    let v = us.map((u) => u ** n);
    for (const b of basis) {
      const share = b.reduce((sum, w, i) => sum + w * v[i]!, 0);
      v = v.map((x, i) => x - share * b[i]!);
    }
    const size = Math.hypot(...v);
    if (size > 1e-12) basis.push(v.map((x) => x / size));
  }
  return basis;
}
