import { type Cubic, cubic, type Path } from '../geometry/path.js';
import { splineThrough } from '../geometry/spline.js';
import { add, distance, dot, norm, scale, sub, type Vec } from '../geometry/vec.js';
import { eliminate } from './eliminate.js';
import type { FitOptions } from './trace-fit.js';
import { type Joint, jointAt, tangentAt } from './trace-joint.js';

/** Rounds of parameters and handles in turn before a curve is given up and parted. */
const ROUNDS = 40;
/** A round that gains less than this share is the last. */
const LEAST_GAIN = 0.002;
/** A curve this share of the tolerance off its points is close enough. */
const CLOSE = 0.5;
/** One this many times the tolerance off, whose rounds gain less than this share, will not come within it. */
const FAR = 4;
const HOPEFUL = 0.2;
/** More points than this are thinned while a curve is fitted; its distance is judged by all. */
const MOST_POINTS = 160;
/** A curve has at least this many points more than its start. */
const LEAST_POINTS = 3;
/** Handles longer than this share of the points' length make loops and cusps. */
const LONGEST_HANDLE = 1.2;

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
  // Curves meet where the hand meant the line to be, not where it slipped to.
  const joints = new Map<number, Joint>();
  const joint = (cut: number): Joint => {
    const known = joints.get(cut) ?? jointAt(points, cut, options.noise);
    joints.set(cut, known);
    return known;
  };
  const heads = new Map<number, Fitted>();
  const head = (cut: number): Fitted => {
    const { at, along } = joint(cut);
    const known = heads.get(cut) ?? fitOne([...points.slice(0, cut), at], leaving, along, options);
    heads.set(cut, known);
    return known;
  };
  const tail = (cut: number) =>
    fitOne([joint(cut).at, ...points.slice(cut + 1)], joint(cut).along, arriving, options);
  const headFits = (cut: number) => fits(head(cut), cut + 1, options);
  const tailFits = (cut: number) => fits(tail(cut), points.length - cut, options);
  const [least, most] = [LEAST_POINTS, points.length - 1 - LEAST_POINTS];
  const reach = Math.max(least, last(least, most, headFits));
  // Where two curves do, they share the row; the first need not go as far as it can.
  const shortest = most - last(0, most - least, (back) => tailFits(most - back));
  const shared = shortest <= reach ? (shortest + reach) >> 1 : reach;
  const cut = headFits(shared) ? shared : nearCut(least, Math.min(most, NEAR_CUTS), head, headFits, options);
  const before = head(cut);
  const good = before.worst <= options.tolerance;
  const { at, along } = joint(cut);
  const start: Path = good ? [before.curve] : splineBetween([...points.slice(0, cut), at], leaving, along);
  const after = fitCubics([at, ...points.slice(cut + 1)], along, arriving, options);
  const moved = distance(at, points[cut]!);
  return { path: [...start, ...after.path], worst: Math.max(good ? before.worst : 0, moved, after.worst) };
}

/** Cuts that are tried one by one where halving found none: points that scatter may spoil the shortest curves. */
const NEAR_CUTS = 24;

/** The farthest of the near cuts up to which one curve fits; else the farthest one that at least keeps the tolerance. */
function nearCut(
  least: number,
  most: number,
  head: (cut: number) => Fitted,
  headFits: (cut: number) => boolean,
  { tolerance }: FitOptions,
): number {
  const cuts = Array.from({ length: Math.max(0, most - least) + 1 }, (_, k) => most - k);
  return cuts.find(headFits) ?? cuts.find((cut) => head(cut).worst <= tolerance) ?? least;
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
  const long = chordLength(used);
  let curve = handles(used, parameters, leaving, arriving, noise, long);
  let error = spread(used, parameters, curve);
  for (let round = 0; round < ROUNDS; round++) {
    // Points drawn exactly need no better curve than one well within the tolerance.
    if (noise === 0 && error.most <= (CLOSE * tolerance) ** 2) break;
    const nearer = parameters.map((t, i) => nearest(curve, used[i]!, t));
    const next = handles(used, nearer, leaving, arriving, noise, long);
    const nextError = spread(used, nearer, next);
    if (!(nextError.sum < error.sum)) break;
    const gain = 1 - nextError.sum / error.sum;
    [parameters, curve, error] = [nearer, next, nextError];
    // Points drawn exactly: good enough, or too far off to become so.
    const exact = noise === 0 && gain < HOPEFUL;
    if (exact && (error.most <= tolerance ** 2 || error.most > (FAR * tolerance) ** 2)) break;
    if (gain < LEAST_GAIN && offsets(used, curve).worst > tolerance) break;
    if (gain < LEAST_GAIN / 10) break;
  }
  return { curve, ...offsets(points, curve) };
}

const chordLength = (points: readonly Vec[]): number =>
  points.reduce((sum, p, i) => (i === 0 ? 0 : sum + distance(p, points[i - 1]!)), 0);

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
  length: number,
): Cubic {
  const a = points[0]!;
  const b = points[points.length - 1]!;
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
  // Sums over the points first, in plain numbers: directions come in once for all of them.
  let [s11, s12, s22, r1x, r1y, r2x, r2y] = [0, 0, 0, 0, 0, 0, 0];
  for (let i = 0; i < points.length; i++) {
    const t = parameters[i]!;
    const u = 1 - t;
    const w1 = 3 * u * u * t;
    const w2 = 3 * u * t * t;
    const [atA, atB] = [u * u * u + w1, t * t * t + w2];
    const x = points[i]![0] - atA * a[0] - atB * b[0];
    const y = points[i]![1] - atA * a[1] - atB * b[1];
    s11 += w1 * w1;
    s12 += w1 * w2;
    s22 += w2 * w2;
    r1x += w1 * x;
    r1y += w1 * y;
    r2x += w2 * x;
    r2y += w2 * y;
  }
  unknowns.forEach(({ handle, along }, k) => {
    unknowns.forEach((other, l) => {
      const sum = handle !== other.handle ? s12 : handle === 1 ? s11 : s22;
      matrix[k]![l] = sum * dot(along, other.along);
    });
    matrix[k]![n] = dot(along, handle === 1 ? [r1x, r1y] : [r2x, r2y]);
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

/** One Newton step of (B(t) - p) . B'(t) = 0, kept inside the curve; none where it would lead away. */
function nearest(curve: Cubic, p: Vec, t: number): number {
  const { a, c, d, b } = curve;
  const u = 1 - t;
  const [x, y] = [offAlong(a[0], c[0], d[0], b[0], t, p[0]), offAlong(a[1], c[1], d[1], b[1], t, p[1])];
  const firstX = 3 * (u * u * (c[0] - a[0]) + 2 * u * t * (d[0] - c[0]) + t * t * (b[0] - d[0]));
  const firstY = 3 * (u * u * (c[1] - a[1]) + 2 * u * t * (d[1] - c[1]) + t * t * (b[1] - d[1]));
  const secondX = 6 * (u * (d[0] - 2 * c[0] + a[0]) + t * (b[0] - 2 * d[0] + c[0]));
  const secondY = 6 * (u * (d[1] - 2 * c[1] + a[1]) + t * (b[1] - 2 * d[1] + c[1]));
  const slope = firstX * firstX + firstY * firstY + x * secondX + y * secondY;
  if (!(slope > 0)) return t;
  const next = Math.min(1, Math.max(0, t - (x * firstX + y * firstY) / slope));
  return squaredOff(curve, next, p) <= x * x + y * y ? next : t;
}

/** One coordinate of B(t), less that of a point. In plain numbers: this is where tracing spends its time. */
function offAlong(a: number, c: number, d: number, b: number, t: number, p: number): number {
  const u = 1 - t;
  return u * u * u * a + 3 * u * u * t * c + 3 * u * t * t * d + t * t * t * b - p;
}

/** Squared distance of B(t) from a point. */
function squaredOff({ a, c, d, b }: Cubic, t: number, p: Vec): number {
  const x = offAlong(a[0], c[0], d[0], b[0], t, p[0]);
  const y = offAlong(a[1], c[1], d[1], b[1], t, p[1]);
  return x * x + y * y;
}

/** Sum and greatest of the squared distances of points from a curve at their parameters. */
function spread(points: readonly Vec[], parameters: readonly number[], curve: Cubic) {
  let [sum, most] = [0, 0];
  for (let i = 0; i < points.length; i++) {
    const squared = squaredOff(curve, parameters[i]!, points[i]!);
    sum += squared;
    if (squared > most) most = squared;
  }
  return { sum, most };
}

/** Samples of a curve among which the nearest to a point is looked for. */
const SAMPLES = 64;

/** How far points lie off a curve: nearest sample, then Newton. */
function offsets(points: readonly Vec[], curve: Cubic): { worst: number; rms: number } {
  let worst = 0;
  let squares = 0;
  let from = 0;
  for (const p of points) {
    // Points come in order along the curve: the search goes on a little behind where the last one was found.
    let best = Math.max(0, from - 2);
    let least = squaredOff(curve, best / SAMPLES, p);
    for (let k = best + 1; k <= SAMPLES; k++) {
      const off = squaredOff(curve, k / SAMPLES, p);
      if (off >= least) continue;
      least = off;
      best = k;
    }
    from = best;
    let t = best / SAMPLES;
    for (let round = 0; round < 4; round++) t = nearest(curve, p, t);
    const off = Math.sqrt(squaredOff(curve, t, p));
    if (off > worst) worst = off;
    squares += off * off;
  }
  return { worst, rms: Math.sqrt(squares / points.length) };
}
