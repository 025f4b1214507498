import { add, angleBetween, cross, distance, lerp, norm, scale, sub, unit, type Vec } from './vec.js';

export interface Line {
  readonly kind: 'line';
  readonly a: Vec;
  readonly b: Vec;
}

/** Cubic Bezier from `a` to `b` with controls `c` (near a) and `d` (near b). */
export interface Cubic {
  readonly kind: 'cubic';
  readonly a: Vec;
  readonly c: Vec;
  readonly d: Vec;
  readonly b: Vec;
}

export type Segment = Line | Cubic;

/** A connected chain of segments; each starts exactly where the one before ends. Never empty. */
export type Path = readonly Segment[];

export const line = (a: Vec, b: Vec): Line => ({ kind: 'line', a, b });
export const cubic = (a: Vec, c: Vec, d: Vec, b: Vec): Cubic => ({ kind: 'cubic', a, c, d, b });

/** A chain of straight lines through `points` (at least two). */
export const polyline = (points: readonly Vec[]): Path => points.slice(1).map((p, i) => line(points[i]!, p));

/**
 * One cubic from `a` to `b` that leaves along `outward` and arrives along `inward` (directions of travel).
 * `reach` scales the handles as a share of the distance between the ends.
 */
export function blend(a: Vec, outward: Vec, b: Vec, inward: Vec, reach: readonly [number, number]): Cubic {
  const span = distance(a, b);
  return cubic(
    a,
    add(a, scale(unit(outward), span * reach[0])),
    sub(b, scale(unit(inward), span * reach[1])),
    b,
  );
}

export const start = (path: Path): Vec => path[0]!.a;
export const end = (path: Path): Vec => path[path.length - 1]!.b;

/** Where the chain's segments meet, both ends included. */
export const nodes = (path: Path): Vec[] => [start(path), ...path.map((s) => s.b)];

export const reverse = (path: Path): Path => [...path].reverse().map(reverseSegment);

/** Applies `f` to every end point and control point. Exact for affine `f`. */
export const mapPoints = (path: Path, f: (p: Vec) => Vec): Path =>
  path.map((s) => (s.kind === 'line' ? line(f(s.a), f(s.b)) : cubic(f(s.a), f(s.c), f(s.d), f(s.b))));

export const translate = (path: Path, by: Vec): Path => mapPoints(path, (p) => add(p, by));

/** Arc length, within 1e-6 relative; about 1e-9 where no segment has a cusp. */
export const length = (path: Path): number => path.reduce((sum, s) => sum + segmentLength(s), 0);

/** Point at parameter `t` (0..1) of one segment. */
export function segmentPoint(s: Segment, t: number): Vec {
  if (s.kind === 'line') return lerp(s.a, s.b, t);
  const u = 1 - t;
  const wa = u * u * u;
  const wc = 3 * u * u * t;
  const wd = 3 * u * t * t;
  const wb = t * t * t;
  return [
    wa * s.a[0] + wc * s.c[0] + wd * s.d[0] + wb * s.b[0],
    wa * s.a[1] + wc * s.c[1] + wd * s.d[1] + wb * s.b[1],
  ];
}

/** Arc length of one segment between parameters `t0` and `t1`. */
export function segmentLength(s: Segment, t0 = 0, t1 = 1): number {
  if (s.kind === 'line') return distance(s.a, s.b) * (t1 - t0);
  // Between turning points the speed has no kink, which a quadrature could step over unseen.
  const turns = [0, 1].flatMap((axis) => stationary(s.a[axis]!, s.c[axis]!, s.d[axis]!, s.b[axis]!));
  const cuts = [t0, ...turns.filter((t) => t > t0 && t < t1).sort((x, y) => x - y), t1];
  // Where the curve all but stands still, rounding alone would keep the halves from agreeing.
  const negligible = 1e-12 * (distance(s.a, s.c) + distance(s.c, s.d) + distance(s.d, s.b));
  let total = 0;
  for (let i = 0; i + 1 < cuts.length; i++) {
    total += adaptiveLength(s, cuts[i]!, cuts[i + 1]!, gauss(s, cuts[i]!, cuts[i + 1]!), negligible, 0);
  }
  return total;
}

/** Point at arc length `at` from the start; clamped to the ends. */
export function pointAt(path: Path, at: number): Vec {
  const { segment, t } = locate(path, at);
  return segmentPoint(path[segment]!, t);
}

/** Unit direction of travel at arc length `at`. */
export function directionAt(path: Path, at: number): Vec {
  const { segment, t } = locate(path, at);
  return direction(path[segment]!, t);
}

export const startDirection = (path: Path): Vec => direction(path[0]!, 0);
export const endDirection = (path: Path): Vec => direction(path[path.length - 1]!, 1);

/** Segment index and parameter at arc length `at`, clamped to the ends. */
export function locate(path: Path, at: number): { segment: number; t: number } {
  let rest = Math.max(0, at);
  for (let i = 0; i < path.length; i++) {
    const s = path[i]!;
    const size = segmentLength(s);
    if (rest <= size) return { segment: i, t: parameterAt(s, rest, size) };
    rest -= size;
  }
  return { segment: path.length - 1, t: 1 };
}

/** Arc length from the start to parameter `t` of segment `segment`. */
export function lengthTo(path: Path, segment: number, t: number): number {
  return length(path.slice(0, segment)) + segmentLength(path[segment]!, 0, t);
}

/** Both parts of the chain cut at arc length `at`, which must lie strictly inside. */
export function splitAt(path: Path, at: number): [Path, Path] {
  const { segment, t } = locate(path, at);
  return splitAtParameter(path, segment, t);
}

/** Both parts of the chain cut at parameter `t` of segment `segment`. A cut at a node makes no empty segment. */
export function splitAtParameter(path: Path, segment: number, t: number): [Path, Path] {
  const before = path.slice(0, segment);
  const after = path.slice(segment + 1);
  if (t <= 0 && segment > 0) return [before, path.slice(segment)];
  if (t >= 1 && after.length > 0) return [path.slice(0, segment + 1), after];
  const [head, tail] = splitSegment(path[segment]!, t);
  return [
    [...before, head],
    [tail, ...after],
  ];
}

/** de Casteljau's construction. */
export function splitSegment(s: Segment, t: number): [Segment, Segment] {
  if (s.kind === 'line') {
    const m = lerp(s.a, s.b, t);
    return [line(s.a, m), line(m, s.b)];
  }
  const ac = lerp(s.a, s.c, t);
  const cd = lerp(s.c, s.d, t);
  const db = lerp(s.d, s.b, t);
  const acd = lerp(ac, cd, t);
  const cdb = lerp(cd, db, t);
  const m = lerp(acd, cdb, t);
  return [cubic(s.a, ac, acd, m), cubic(m, cdb, db, s.b)];
}

/**
 * Parameters that flatten each segment so that no chord is farther than `tolerance` (mm) from the curve.
 * A chord over parameter step h of a cubic strays at most h^2/8 of its largest second derivative.
 */
export const flattenCounts = (path: Path, tolerance: number): number[] =>
  path.map((s) => {
    if (s.kind === 'line') return 1;
    const bend = Math.max(norm(add(sub(s.a, scale(s.c, 2)), s.d)), norm(add(sub(s.c, scale(s.d, 2)), s.b)));
    return Math.max(1, Math.ceil(Math.sqrt((6 * bend) / (8 * tolerance))));
  });

/** Vertices of the chain, both ends included; `counts[i]` equal parameter steps for segment i. */
export function flattenWith(path: Path, counts: readonly number[]): Vec[] {
  const out: Vec[] = [start(path)];
  path.forEach((s, i) => {
    const steps = counts[i] ?? 1;
    for (let k = 1; k < steps; k++) out.push(segmentPoint(s, k / steps));
    out.push(s.b);
  });
  return out;
}

export const flatten = (path: Path, tolerance: number): Vec[] =>
  flattenWith(path, flattenCounts(path, tolerance));

/** Signed area swept between the chain and the origin; summed round a closed loop it is the loop's area. */
export function sweptArea(path: Path): number {
  let total = 0;
  for (const s of path) {
    if (s.kind === 'line') total += cross(s.a, s.b) / 2;
    else {
      // Closed form of half the integral of P x dP over a cubic Bezier.
      total +=
        (6 * cross(s.a, s.c) +
          3 * cross(s.a, s.d) +
          cross(s.a, s.b) +
          3 * cross(s.c, s.d) +
          3 * cross(s.c, s.b) +
          6 * cross(s.d, s.b)) /
        20;
    }
  }
  return total;
}

export interface Crossing {
  readonly segment: number;
  readonly t: number;
  readonly point: Vec;
  /** Arc length from the path's start. */
  readonly at: number;
}

/** Where the chain crosses the infinite line through `origin` along `along`, in order of travel. */
export function crossings(path: Path, origin: Vec, along: Vec): Crossing[] {
  const side = (p: Vec) => cross(along, sub(p, origin));
  const found: Crossing[] = [];
  const scaleOf = norm(along) * 1e-9;
  path.forEach((s, segment) => {
    for (const t of rootsOf(s, side, scaleOf)) {
      const point = segmentPoint(s, t);
      const last = found[found.length - 1];
      if (last && distance(last.point, point) < 1e-6) continue;
      found.push({ segment, t, point, at: lengthTo(path, segment, t) });
    }
  });
  return found;
}

/** Turn between the end of `before` and the start of `after`, in radians; 0 when they join smoothly. */
export const turnBetween = (before: Path, after: Path): number =>
  angleBetween(endDirection(before), startDirection(after));

/** Direction of travel at `t`; where handles coincide with an end, the next control decides. */
export function direction(s: Segment, t: number): Vec {
  if (s.kind === 'line') return unit(sub(s.b, s.a));
  const d = derivative(s, t);
  if (norm(d) > 1e-12 * (distance(s.a, s.b) + 1)) return unit(d);
  return t < 0.5
    ? unit(sub(distance(s.a, s.d) > 0 ? s.d : s.b, s.a))
    : unit(sub(s.b, distance(s.c, s.b) > 0 ? s.c : s.a));
}

function derivative(s: Cubic, t: number): Vec {
  const u = 1 - t;
  const p = scale(sub(s.c, s.a), 3 * u * u);
  const q = scale(sub(s.d, s.c), 6 * u * t);
  const r = scale(sub(s.b, s.d), 3 * t * t);
  return [p[0] + q[0] + r[0], p[1] + q[1] + r[1]];
}

const reverseSegment = (s: Segment): Segment =>
  s.kind === 'line' ? line(s.b, s.a) : cubic(s.b, s.d, s.c, s.a);

// Abscissae and weights of 8-point Gauss-Legendre quadrature on [-1, 1], positive half.
const GAUSS: readonly (readonly [number, number])[] = [
  [0.1834346424956498, 0.362683783378362],
  [0.525532409916329, 0.3137066458778873],
  [0.7966664774136267, 0.2223810344533745],
  [0.9602898564975363, 0.1012285362903763],
];

function gauss(s: Cubic, t0: number, t1: number): number {
  const mid = (t0 + t1) / 2;
  const half = (t1 - t0) / 2;
  let sum = 0;
  for (const [x, w] of GAUSS) {
    sum += w * (norm(derivative(s, mid + half * x)) + norm(derivative(s, mid - half * x)));
  }
  return sum * half;
}

/** Halves the interval until both halves agree with the whole: speed has cusps no fixed rule resolves. */
function adaptiveLength(
  s: Cubic,
  t0: number,
  t1: number,
  whole: number,
  negligible: number,
  depth: number,
): number {
  const mid = (t0 + t1) / 2;
  const left = gauss(s, t0, mid);
  const right = gauss(s, mid, t1);
  const miss = Math.abs(left + right - whole);
  if (depth >= 24 || miss <= 1e-10 * (left + right) + negligible) return left + right;
  return (
    adaptiveLength(s, t0, mid, left, negligible, depth + 1) +
    adaptiveLength(s, mid, t1, right, negligible, depth + 1)
  );
}

/**
 * Parameter at arc length `at` of a segment of length `size`: Newton inside a shrinking bracket, bisection
 * where Newton gains too little (near a cusp the speed is close to zero).
 */
function parameterAt(s: Segment, at: number, size: number): number {
  if (size === 0 || at <= 0) return 0;
  if (at >= size) return 1;
  if (s.kind === 'line') return at / size;
  let low = 0;
  let high = 1;
  let t = at / size;
  let missBefore = Number.POSITIVE_INFINITY;
  for (let i = 0; i < 100; i++) {
    const miss = segmentLength(s, 0, t) - at;
    if (Math.abs(miss) <= 1e-10 * size) return t;
    if (miss > 0) high = t;
    else low = t;
    const newton = t - miss / norm(derivative(s, t));
    const gains = Math.abs(miss) < missBefore / 2;
    missBefore = Math.abs(miss);
    t = gains && newton > low && newton < high ? newton : (low + high) / 2;
  }
  return t;
}

/** Roots in [0, 1] of the signed distance of a segment from a line: monotone pieces, then bisection. */
function rootsOf(s: Segment, side: (p: Vec) => number, tolerance: number): number[] {
  const f = (t: number) => side(segmentPoint(s, t));
  const cuts = s.kind === 'line' ? [0, 1] : [0, ...stationary(side(s.a), side(s.c), side(s.d), side(s.b)), 1];
  const roots: number[] = [];
  for (let i = 0; i + 1 < cuts.length; i++) {
    let low = cuts[i]!;
    let high = cuts[i + 1]!;
    const fLow = f(low);
    const fHigh = f(high);
    if (Math.abs(fLow) <= tolerance) roots.push(low);
    else if (Math.abs(fHigh) <= tolerance) roots.push(high);
    else if (Math.sign(fLow) !== Math.sign(fHigh)) {
      for (let k = 0; k < 60; k++) {
        const mid = (low + high) / 2;
        if (Math.sign(f(mid)) === Math.sign(fLow)) low = mid;
        else high = mid;
      }
      roots.push((low + high) / 2);
    }
  }
  return roots;
}

/** Parameters in (0, 1) where a cubic in Bernstein form has zero slope, ascending. */
function stationary(a: number, c: number, d: number, b: number): number[] {
  const p = c - a;
  const q = d - c;
  const r = b - d;
  const A = p - 2 * q + r;
  const B = q - p;
  const roots: number[] = [];
  if (Math.abs(A) < 1e-12 * (Math.abs(p) + Math.abs(q) + Math.abs(r))) {
    if (B !== 0) roots.push(-p / (2 * B));
  } else {
    const disc = B * B - A * p;
    if (disc >= 0) roots.push((-B - Math.sqrt(disc)) / A, (-B + Math.sqrt(disc)) / A);
  }
  return roots.filter((t) => t > 0 && t < 1).sort((x, y) => x - y);
}
