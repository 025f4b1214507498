import { type Cubic, cubic, type Path, segmentPoint } from '../geometry/path.js';
import { splineThrough } from '../geometry/spline.js';
import { add, distance, dot, norm, scale, sub, unit, type Vec } from '../geometry/vec.js';
import type { FitOptions } from './trace-fit.js';

/** Rounds of parameters and handles in turn before a curve is given up and parted. */
const ROUNDS = 40;
/** A round that gains less than this share is the last. */
const LEAST_GAIN = 0.002;
/** More points than this are thinned while a curve is fitted; its distance is judged by all. */
const MOST_POINTS = 160;
/** A curve has at least this many points more than its start. */
const LEAST_POINTS = 3;
/** Handles longer than this share of the points' length make loops and cusps. */
const LONGEST_HANDLE = 1.2;
/** Arc length over which a direction is measured, mm: exact points, and traced ones. */
const NEAR = 6;
const NEAR_NOISY = 20;

/**
 * Cubics through points, smooth where they meet: the method of Schneider, An Algorithm for Automatically Fitting
 * Digitized Curves (Graphics Gems, 1990). Parameters from chord lengths, handles by least squares, parameters
 * again by Newton's step to the nearest point (Plass and Stone 1983), until the points are within the tolerance.
 * Beyond it, a free end leaves both coordinates of its handle to the least squares instead of fixing a direction
 * guessed beforehand, and a row that one curve cannot follow is parted where the first has gone as far as it can,
 * which makes fewer curves than parting at the worst point.
 *
 * @param leaving unit direction at the start; free when left out. So `arriving` at the end.
 */
export function fitCubics(
  points: readonly Vec[],
  leaving: Vec | undefined,
  arriving: Vec | undefined,
  options: FitOptions,
): { path: Path; worst: number } {
  const whole = fitOne(points, leaving, arriving, options);
  if (fits(whole, points.length, options)) return { path: [whole.curve], worst: whole.worst };
  if (points.length < 2 * LEAST_POINTS) return { path: splineBetween(points, leaving, arriving), worst: 0 };
  const tangent = (cut: number) => tangentAt(points, cut, options.noise);
  const head = (cut: number) => fitOne(points.slice(0, cut + 1), leaving, tangent(cut), options);
  const tail = (cut: number) => fitOne(points.slice(cut), tangent(cut), arriving, options);
  const headFits = (cut: number) => fits(head(cut), cut + 1, options);
  const tailFits = (cut: number) => fits(tail(cut), points.length - cut, options);
  const [least, most] = [LEAST_POINTS, points.length - 1 - LEAST_POINTS];
  const reach = Math.max(least, last(least, most, headFits));
  // Where two curves do, they share the row; the first need not go as far as it can.
  const shortest = most - last(0, most - least, (back) => tailFits(most - back));
  const cut = shortest <= reach ? (shortest + reach) >> 1 : reach;
  const before = head(cut);
  const good = fits(before, cut + 1, options);
  const start: Path = good ? [before.curve] : splineBetween(points.slice(0, cut + 1), leaving, tangent(cut));
  const after = fitCubics(points.slice(cut), tangent(cut), arriving, options);
  return { path: [...start, ...after.path], worst: Math.max(good ? before.worst : 0, after.worst) };
}

/**
 * Whether a curve follows its points: all of them within the tolerance, and where they scatter, on the whole no
 * farther off than they scatter. A curve that is bent too little stays inside the reach of the scatter for long.
 */
function fits({ worst, rms }: Fitted, count: number, { tolerance, noise }: FitOptions): boolean {
  return worst <= tolerance && (noise === 0 || rms <= noise * (1.1 + 1.5 / Math.sqrt(count)));
}

/** One smooth curve through every point: what is left where points are too few to average. */
export const splineBetween = (
  points: readonly Vec[],
  leaving: Vec | undefined,
  arriving: Vec | undefined,
): Path =>
  splineThrough(points, {
    ...(leaving ? { start: leaving } : {}),
    ...(arriving ? { end: arriving } : {}),
  });

/** Largest whole number in low..high for which `holds`, by halving; `low` when none does. */
function last(low: number, high: number, holds: (n: number) => boolean): number {
  let [a, b] = [low, high];
  while (a < b) {
    const middle = (a + b + 1) >> 1;
    if (holds(middle)) a = middle;
    else b = middle - 1;
  }
  return a;
}

/** Direction of travel at one of a row of points: the tangent of a least-squares parabola near it. */
export function tangentAt(points: readonly Vec[], index: number, noise: number): Vec {
  const near = noise > 0 ? NEAR_NOISY : NEAR;
  const at = points[index]!;
  let [low, high] = [index, index];
  const least = (from: number, to: number) => to - from < 3;
  for (let way = 0; low > 0 && (way < near || least(low, index)); low--)
    way += distance(points[low]!, points[low - 1]!);
  for (let way = 0; high < points.length - 1 && (way < near || least(index, high)); high++) {
    way += distance(points[high]!, points[high + 1]!);
  }
  // Parabola through the point itself, by arc length from it: x(s) = x0 + b s + c s^2.
  let s = 0;
  const rows: { s: number; d: Vec }[] = [];
  for (let k = index + 1; k <= high; k++) {
    s += distance(points[k]!, points[k - 1]!);
    rows.push({ s, d: sub(points[k]!, at) });
  }
  s = 0;
  for (let k = index - 1; k >= low; k--) {
    s -= distance(points[k]!, points[k + 1]!);
    rows.push({ s, d: sub(points[k]!, at) });
  }
  const reach = Math.max(...rows.map((r) => Math.abs(r.s)));
  let [s2, s3, s4] = [0, 0, 0];
  let [d1, d2]: [Vec, Vec] = [
    [0, 0],
    [0, 0],
  ];
  for (const row of rows) {
    const u = row.s / reach;
    s2 += u * u;
    s3 += u ** 3;
    s4 += u ** 4;
    d1 = add(d1, scale(row.d, u));
    d2 = add(d2, scale(row.d, u * u));
  }
  const det = s2 * s4 - s3 * s3;
  const b: Vec =
    det > 1e-9 * s2 * s4
      ? [(d1[0] * s4 - d2[0] * s3) / det, (d1[1] * s4 - d2[1] * s3) / det]
      : scale(d1, 1 / s2);
  return norm(b) > 1e-12 ? unit(b) : unit(sub(points[high]!, points[low]!));
}

interface Fitted {
  readonly curve: Cubic;
  /** Greatest distance of a point from it, and the root of their mean square; mm. */
  readonly worst: number;
  readonly rms: number;
}

/** The best single cubic from the first point to the last. */
function fitOne(
  points: readonly Vec[],
  leaving: Vec | undefined,
  arriving: Vec | undefined,
  { tolerance, noise }: FitOptions,
): Fitted {
  const stride = Math.max(1, Math.ceil(points.length / MOST_POINTS));
  const used = points.filter((_, i) => i % stride === 0 || i === points.length - 1);
  let parameters = chordParameters(used);
  let curve = handles(used, parameters, leaving, arriving, noise);
  let error = spread(used, parameters, curve);
  for (let round = 0; round < ROUNDS; round++) {
    const nearer = parameters.map((t, i) => nearest(curve, used[i]!, t));
    const next = handles(used, nearer, leaving, arriving, noise);
    const nextError = spread(used, nearer, next);
    if (!(nextError < error)) break;
    const gain = 1 - nextError / error;
    [parameters, curve, error] = [nearer, next, nextError];
    if (gain < LEAST_GAIN && offsets(used, curve).worst > tolerance) break;
    if (gain < LEAST_GAIN / 10) break;
  }
  return { curve, ...offsets(points, curve) };
}

function chordParameters(points: readonly Vec[]): number[] {
  let total = 0;
  const at = points.map((p, i) => {
    if (i > 0) total += distance(p, points[i - 1]!);
    return total;
  });
  return at.map((s) => s / total);
}

/** Handles by least squares for given parameters. A fixed direction leaves one unknown at its end, else two. */
function handles(
  points: readonly Vec[],
  parameters: readonly number[],
  leaving: Vec | undefined,
  arriving: Vec | undefined,
  noise: number,
): Cubic {
  const a = points[0]!;
  const b = points[points.length - 1]!;
  const length = points.reduce((sum, p, i) => (i === 0 ? 0 : sum + distance(p, points[i - 1]!)), 0);
  const solved = solveHandles(points, parameters, leaving, arriving);
  if (solved && isSane(solved, a, b, leaving, arriving, length)) return cubic(a, solved[0], solved[1], b);
  const out = leaving ?? tangentAt(points, 0, noise);
  const into = arriving ?? tangentAt(points, points.length - 1, noise);
  const again = solveHandles(points, parameters, out, into);
  if (again && isSane(again, a, b, out, into, length)) return cubic(a, again[0], again[1], b);
  return cubic(a, add(a, scale(out, length / 3)), sub(b, scale(into, length / 3)), b);
}

function solveHandles(
  points: readonly Vec[],
  parameters: readonly number[],
  leaving: Vec | undefined,
  arriving: Vec | undefined,
): [Vec, Vec] | undefined {
  const a = points[0]!;
  const b = points[points.length - 1]!;
  const unknowns: { handle: 1 | 2; along: Vec }[] = [
    ...(leaving ? [leaving] : AXES).map((along) => ({ handle: 1, along }) as const),
    ...(arriving ? [arriving] : AXES).map((along) => ({ handle: 2, along }) as const),
  ];
  const n = unknowns.length;
  if (2 * (points.length - 2) < n) return undefined;
  const matrix = unknowns.map(() => new Array<number>(n + 1).fill(0));
  points.forEach((p, i) => {
    const t = parameters[i]!;
    const u = 1 - t;
    const w1 = 3 * u * u * t;
    const w2 = 3 * u * t * t;
    const known = add(scale(a, u * u * u + w1), scale(b, t * t * t + w2));
    const rest = sub(p, known);
    for (let k = 0; k < n; k++) {
      const wk = unknowns[k]!.handle === 1 ? w1 : w2;
      for (let l = 0; l < n; l++) {
        const wl = unknowns[l]!.handle === 1 ? w1 : w2;
        matrix[k]![l]! += wk * wl * dot(unknowns[k]!.along, unknowns[l]!.along);
      }
      matrix[k]![n]! += wk * dot(unknowns[k]!.along, rest);
    }
  });
  const x = eliminate(matrix);
  if (!x) return undefined;
  let [c, d]: [Vec, Vec] = [a, b];
  unknowns.forEach(({ handle, along }, k) => {
    if (handle === 1) c = add(c, scale(along, x[k]!));
    else d = add(d, scale(along, x[k]!));
  });
  return [c, d];
}

const AXES: readonly Vec[] = [
  [1, 0],
  [0, 1],
];

/** Handles point forward and are not so long that the curve loops. */
function isSane(
  [c, d]: readonly [Vec, Vec],
  a: Vec,
  b: Vec,
  leaving: Vec | undefined,
  arriving: Vec | undefined,
  length: number,
): boolean {
  const [out, into] = [sub(c, a), sub(b, d)];
  const longest = LONGEST_HANDLE * length;
  if (norm(out) > longest || norm(into) > longest || norm(out) < 1e-6 || norm(into) < 1e-6) return false;
  return (!leaving || dot(out, leaving) > 0) && (!arriving || dot(into, arriving) > 0);
}

/** Gauss elimination with pivots on rows of n coefficients and a right side; undefined when singular. */
function eliminate(matrix: number[][]): number[] | undefined {
  const n = matrix.length;
  for (let k = 0; k < n; k++) {
    let pivot = k;
    for (let i = k + 1; i < n; i++) if (Math.abs(matrix[i]![k]!) > Math.abs(matrix[pivot]![k]!)) pivot = i;
    [matrix[k], matrix[pivot]] = [matrix[pivot]!, matrix[k]!];
    const head = matrix[k]![k]!;
    if (!(Math.abs(head) > 1e-9)) return undefined;
    for (let i = 0; i < n; i++) {
      if (i === k) continue;
      const share = matrix[i]![k]! / head;
      for (let j = k; j <= n; j++) matrix[i]![j]! -= share * matrix[k]![j]!;
    }
  }
  return matrix.map((row, k) => row[n]! / row[k]!);
}

/** One Newton step of (B(t) - p) . B'(t) = 0, kept inside the curve; none where it would lead away. */
function nearest(curve: Cubic, p: Vec, t: number): number {
  const { a, c, d, b } = curve;
  const u = 1 - t;
  const at = sub(segmentPoint(curve, t), p);
  const first: Vec = [0, 1].map(
    (k) => 3 * (u * u * (c[k]! - a[k]!) + 2 * u * t * (d[k]! - c[k]!) + t * t * (b[k]! - d[k]!)),
  ) as unknown as Vec;
  const second: Vec = [0, 1].map(
    (k) => 6 * (u * (d[k]! - 2 * c[k]! + a[k]!) + t * (b[k]! - 2 * d[k]! + c[k]!)),
  ) as unknown as Vec;
  const slope = dot(first, first) + dot(at, second);
  if (!(slope > 0)) return t;
  const next = Math.min(1, Math.max(0, t - dot(at, first) / slope));
  return distance(segmentPoint(curve, next), p) <= norm(at) ? next : t;
}

const spread = (points: readonly Vec[], parameters: readonly number[], curve: Cubic): number =>
  points.reduce((sum, p, i) => sum + distance(p, segmentPoint(curve, parameters[i]!)) ** 2, 0);

/** Samples of a curve among which the nearest to a point is looked for. */
const SAMPLES = 64;

/** How far points lie off a curve: nearest sample, then Newton. */
function offsets(points: readonly Vec[], curve: Cubic): { worst: number; rms: number } {
  const samples = Array.from({ length: SAMPLES + 1 }, (_, k) => segmentPoint(curve, k / SAMPLES));
  let worst = 0;
  let squares = 0;
  let from = 0;
  for (const p of points) {
    // Points come in order along the curve: the search goes on a little behind where the last one was found.
    let best = Math.max(0, from - 2);
    for (let k = best + 1; k <= SAMPLES; k++)
      if (distance(samples[k]!, p) < distance(samples[best]!, p)) best = k;
    from = best;
    let t = best / SAMPLES;
    for (let round = 0; round < 4; round++) t = nearest(curve, p, t);
    const off = distance(segmentPoint(curve, t), p);
    if (off > worst) worst = off;
    squares += off * off;
  }
  return { worst, rms: Math.sqrt(squares / points.length) };
}
