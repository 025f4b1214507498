import { distanceToSegment } from '../geometry/polygon.js';
import { cross, distance, dot, sub, unit, type Vec } from '../geometry/vec.js';
import type { FitOptions } from './trace-fit.js';

/** A straight stretch is at least this long, mm, and this share of its edge. */
const LEAST_LENGTH = 40;
const LEAST_SHARE = 0.15;
/** A run bowed by more than this share of the tolerance is part of a gentle curve. */
const LEAST_BOW = 1 / 3;
/** A single side counts as straight when it is so much longer than its neighbours; else it may be a chord. */
const LONGER = 3;
/** Starts that are tried along an edge. */
const STARTS = 128;
/** Share of a run that certainly is straight: its line is extended as far as the points keep to it. */
const SURE_SHARE = 0.7;

/**
 * Stretches of a row of points that are straight, as index pairs in order: long runs within half the tolerance of
 * a line and without a bow, so that a gentle curve is not taken for a row of lines.
 */
export function straightRuns(points: readonly Vec[], { tolerance, noise }: FitOptions): [number, number][] {
  const at = cumulative(points);
  const total = at[at.length - 1]!;
  const least = Math.max(LEAST_LENGTH, LEAST_SHARE * total);
  const within = Math.max(tolerance / 2, 3 * noise);
  const step = Math.max(1, Math.floor(points.length / STARTS));
  const runs: [number, number][] = [];
  let i = 0;
  while (i + 1 < points.length) {
    const j = farthest(points, i, within);
    if (at[j]! - at[i]! >= least && isStraight(points, at, i, j, tolerance, noise)) {
      const [from, to] = settled(points, i, j, Math.max(tolerance / 4, 3 * noise));
      runs.push([from, to]);
      i = Math.max(to, i + 1);
    } else i += step;
  }
  return runs;
}

/** The farthest point up to which all keep to the chord from `i`, found by doubling and halving. */
function farthest(points: readonly Vec[], i: number, within: number): number {
  const keeps = (j: number) => {
    for (let k = i + 1; k < j; k++)
      if (distanceToSegment(points[k]!, points[i]!, points[j]!) > within) return false;
    return true;
  };
  const last = points.length - 1;
  let low = i + 1;
  let stride = 1;
  while (low + stride <= last && keeps(low + stride)) {
    low += stride;
    stride *= 2;
  }
  let high = Math.min(last, low + stride);
  while (low < high) {
    const middle = (low + high + 1) >> 1;
    if (keeps(middle)) low = middle;
    else high = middle - 1;
  }
  return low;
}

function isStraight(
  points: readonly Vec[],
  at: readonly number[],
  i: number,
  j: number,
  tolerance: number,
  noise: number,
): boolean {
  if (j - i < 3) {
    const length = at[j]! - at[i]!;
    const before = i > 0 ? at[i]! - at[i - 1]! : 0;
    const after = j + 1 < points.length ? at[j + 1]! - at[j]! : 0;
    return length >= LONGER * Math.max(before, after);
  }
  const scatter = bowScatter(noise, j - i + 1);
  return bow(points, i, j) <= (noise === 0 ? LEAST_BOW * tolerance : scatter);
}

/** A bow no larger than this may be chance: four standard errors of the height of a least-squares parabola, mm. */
const bowScatter = (noise: number, count: number): number => 4 * noise * Math.sqrt(5 / count);

/**
 * Whether a whole row is one straight line: all within the tolerance of its chord, and, where the points scatter,
 * without a bow that is more than chance.
 */
export function isOneLine(points: readonly Vec[], { tolerance, noise }: FitOptions): boolean {
  const [a, b] = [points[0]!, points[points.length - 1]!];
  if (points.some((p) => distanceToSegment(p, a, b) > tolerance)) return false;
  return (
    noise === 0 || points.length < 4 || bow(points, 0, points.length - 1) <= bowScatter(noise, points.length)
  );
}

/** Height of the least-squares parabola over the chord, mm. */
function bow(points: readonly Vec[], i: number, j: number): number {
  const origin = points[i]!;
  const along = unit(sub(points[j]!, origin));
  const reach = distance(points[j]!, origin);
  const us: number[] = [];
  const vs: number[] = [];
  for (let k = i; k <= j; k++) {
    const p = sub(points[k]!, origin);
    us.push((2 * dot(p, along)) / reach - 1);
    vs.push(cross(along, p));
  }
  // Gram-Schmidt: what is left of u^2 after 1 and u, and its share in v.
  const mean = (xs: readonly number[]) => xs.reduce((sum, x) => sum + x, 0) / xs.length;
  const m = mean(us);
  const u1 = us.map((u) => u - m);
  const n1 = u1.reduce((sum, u) => sum + u * u, 0);
  const squares = us.map((u) => u * u);
  const m2 = mean(squares);
  const slope = squares.reduce((sum, q, k) => sum + q * u1[k]!, 0) / n1;
  const u2 = squares.map((q, k) => q - m2 - slope * u1[k]!);
  const n2 = u2.reduce((sum, u) => sum + u * u, 0);
  return n2 < 1e-12 ? 0 : Math.abs(vs.reduce((sum, v, k) => sum + v * u2[k]!, 0) / n2);
}

/** A run whose ends are where the points leave the line through its sure part. */
function settled(points: readonly Vec[], i: number, j: number, within: number): [number, number] {
  const sureFrom = i === 0 ? i : j - Math.round((j - i) * SURE_SHARE);
  const sureTo = j === points.length - 1 ? j : i + Math.round((j - i) * SURE_SHARE);
  if (sureTo - sureFrom < 2) return [i, j];
  const origin = points[sureFrom]!;
  const along = unit(sub(points[sureTo]!, origin));
  const keeps = (k: number) => Math.abs(cross(along, sub(points[k]!, origin))) <= within;
  let to = sureTo;
  while (to < j && keeps(to + 1)) to++;
  let from = sureFrom;
  while (from > i && keeps(from - 1)) from--;
  return [from, to];
}

function cumulative(points: readonly Vec[]): number[] {
  let total = 0;
  return points.map((p, i) => {
    if (i > 0) total += distance(p, points[i - 1]!);
    return total;
  });
}
