import { InputError } from '../errors.js';
import { flattenCounts, flattenWith, type Path } from '../geometry/path.js';
import { angleBetween, distance, lerp, norm, type Vec } from '../geometry/vec.js';

/** A closed outline as points; some of them are nodes of the drawing, where alone a corner may be. */
export interface Loop {
  readonly points: readonly Vec[];
  /** Arc length at each point, and the whole; mm. */
  readonly at: readonly number[];
  readonly total: number;
  /** Index in `points` of each node of the path. */
  readonly nodes: readonly number[];
}

export interface Corner {
  /** Node of the path. */
  readonly node: number;
  /** Turn, degrees, counter-clockwise positive. */
  readonly degrees: number;
}

export interface CornerOptions {
  readonly cornerAngle: number;
  readonly scale: number;
  readonly corners?: readonly Vec[];
}

/** Flattening of curves while corners are looked for, mm. */
const FLAT = 0.02;
/** Samples along each arm of a turn. */
const SAMPLES = 12;
/** A named corner lies no farther off the outline than this, mm. */
export const CORNER_REACH = 15;

export function loopOf(path: Path): Loop {
  const points: Vec[] = [];
  const starts: number[] = [];
  const counts = flattenCounts(path, FLAT);
  path.forEach((segment, i) => {
    starts.push(points.length);
    points.push(...flattenWith([segment], [counts[i]!]).slice(0, -1));
  });
  const at: number[] = [];
  let total = 0;
  points.forEach((p, i) => {
    at.push(total);
    total += distance(p, points[(i + 1) % points.length]!);
  });
  return { points, at, total, nodes: starts };
}

/**
 * The corners of an outline in its order, at least two. The turn at a node is measured between the tangents of
 * two parabolas, least-squares fits to the outline over the arm before and after it: a smooth curve, however
 * tight, then turns by nothing, and the wobble of a hand by little. Of several within an arm the sharpest
 * counts, and stands where the two parabolas together fit best.
 *
 * @param noise scatter of the points, mm: the arms are made long enough for it not to look like corners.
 * @throws InputError for a named corner too far off the outline, or fewer than two named.
 */
export function findCorners(loop: Loop, options: CornerOptions, noise = 0): Corner[] {
  const arm = Math.min(Math.max(options.scale, steadyArm(loop, options, noise)), loop.total / 8);
  const turns = loop.nodes.map((_, k) => turnAt(loop, k, arm));
  const found = options.corners
    ? namedCorners(loop, options.corners, turns).map((node) => ({
        node,
        degrees: degrees(turns[node]!.turn),
      }))
    : sharpest(loop, turns, options, arm);
  return atLeastTwo(loop, found).sort((a, b) => a.node - b.node);
}

/**
 * The arm over which noise turns a smooth outline by the corner angle at 4.5 standard deviations, once in 150,000
 * points. The tangent at the end of a parabola through n points over an arm a scatters by noise/a sqrt(192/n).
 */
function steadyArm(loop: Loop, { cornerAngle, scale }: CornerOptions, noise: number): number {
  const apart = loop.total / loop.nodes.length;
  const steady = (cornerAngle * Math.PI) / 180 / 4.5;
  return Math.min(4 * scale, ((noise * Math.sqrt(2 * 192 * apart)) / steady) ** (2 / 3));
}

interface Turn {
  readonly turn: number;
  /** Sum of squares by which the two arms miss their parabolas. */
  readonly miss: number;
}

function sharpest(loop: Loop, turns: readonly Turn[], options: CornerOptions, arm: number): Corner[] {
  const least = (options.cornerAngle * Math.PI) / 180;
  const place = (node: number) => loop.at[loop.nodes[node]!]!;
  const order = turns
    .map((t, node) => ({ node, size: Math.abs(t.turn) }))
    .filter((t) => t.size >= least)
    .sort((a, b) => b.size - a.size);
  const kept: number[] = [];
  for (const { node } of order) {
    if (kept.every((other) => apart(loop, place(node), place(other)) > arm)) kept.push(node);
  }
  return [...new Set(kept.map((node) => settle(loop, turns, node, arm / 2)))].map((node) => ({
    node,
    degrees: degrees(turns[node]!.turn),
  }));
}

/** Of the nodes within `reach`, the one at which two smooth arms explain the outline best. */
function settle(loop: Loop, turns: readonly Turn[], node: number, reach: number): number {
  const count = loop.nodes.length;
  const place = (k: number) => loop.at[loop.nodes[k]!]!;
  let best = node;
  for (const step of [1, -1]) {
    for (let k = 1; k < count; k++) {
      const other = (((node + step * k) % count) + count) % count;
      if (apart(loop, place(node), place(other)) > reach) break;
      if (turns[other]!.miss < turns[best]!.miss * (1 - 1e-9) - 1e-12) best = other;
    }
  }
  return best;
}

function turnAt(loop: Loop, node: number, arm: number): Turn {
  const at = loop.at[loop.nodes[node]!]!;
  const before = parabola(loop, at, -arm);
  const after = parabola(loop, at, arm);
  const turn = angleBetween([-before.tangent[0], -before.tangent[1]], after.tangent);
  return { turn, miss: before.miss + after.miss };
}

/**
 * Least-squares parabolas x(u), y(u), u = 0..1 along the arm, and their tangent at the node. With samples evenly
 * spread the normal equations are the same for every arm.
 */
function parabola(loop: Loop, at: number, arm: number): { tangent: Vec; miss: number } {
  const samples = Array.from({ length: SAMPLES + 1 }, (_, k) => alongLoop(loop, at + (arm * k) / SAMPLES));
  const fit = ([0, 1] as const).map((axis) => {
    const rhs = [0, 0, 0];
    samples.forEach((p, k) => {
      for (let i = 0; i < 3; i++) rhs[i]! += p[axis] * (k / SAMPLES) ** i;
    });
    return INVERSE.map((row) => row.reduce((sum, w, i) => sum + w * rhs[i]!, 0));
  });
  const [x, y] = [fit[0]!, fit[1]!];
  const value = (c: readonly number[], u: number) => c[0]! + c[1]! * u + c[2]! * u * u;
  const miss = samples.reduce((sum, p, k) => {
    const u = k / SAMPLES;
    return sum + (p[0] - value(x, u)) ** 2 + (p[1] - value(y, u)) ** 2;
  }, 0);
  const tangent: Vec = [x[1]!, y[1]!];
  // An arm that comes straight back on itself has no tangent there: its far end tells the way.
  return { tangent: norm(tangent) > 1e-12 ? tangent : [1, 0], miss };
}

/** Inverse of the moments of 0..1 in `SAMPLES` steps. */
const INVERSE: readonly (readonly number[])[] = (() => {
  const moment = Array.from({ length: 5 }, (_, n) => {
    let sum = 0;
    for (let k = 0; k <= SAMPLES; k++) sum += (k / SAMPLES) ** n;
    return sum;
  });
  const m = (i: number, j: number) => moment[(i % 3) + (j % 3)]!;
  const minor = (i: number, j: number) =>
    m(i + 1, j + 1) * m(i + 2, j + 2) - m(i + 1, j + 2) * m(i + 2, j + 1);
  const determinant = [0, 1, 2].reduce((sum, j) => sum + m(0, j) * minor(0, j), 0);
  return [0, 1, 2].map((i) => [0, 1, 2].map((j) => minor(j, i) / determinant));
})();

/** Point of the loop at an arc length, which may lie before its start or past its end. */
export function alongLoop(loop: Loop, at: number): Vec {
  const rest = ((at % loop.total) + loop.total) % loop.total;
  let [low, high] = [0, loop.at.length - 1];
  while (low < high) {
    const middle = (low + high + 1) >> 1;
    if (loop.at[middle]! <= rest) low = middle;
    else high = middle - 1;
  }
  const a = loop.points[low]!;
  const b = loop.points[(low + 1) % loop.points.length]!;
  const span = (low + 1 < loop.at.length ? loop.at[low + 1]! : loop.total) - loop.at[low]!;
  return span === 0 ? a : lerp(a, b, (rest - loop.at[low]!) / span);
}

/** A named place at a node means that node; elsewhere the sharpest node near it, when one turns by this; degrees. */
const AT_NODE = 0.1;
const SHARP = 10;

function namedCorners(loop: Loop, corners: readonly Vec[], turns: readonly Turn[]): number[] {
  const found = corners.map((corner) => {
    const off = (node: number) => distance(loop.points[loop.nodes[node]!]!, corner);
    const near = loop.nodes.map((_, node) => node).filter((node) => off(node) <= CORNER_REACH);
    const nearest = loop.nodes.reduce((best, _, node) => (off(node) < off(best) ? node : best), 0);
    if (near.length > 0) {
      const size = (node: number) => Math.abs(turns[node]!.turn);
      const sharpest = near.reduce((best, node) => (size(node) > size(best) ? node : best));
      return off(nearest) <= AT_NODE || degrees(size(sharpest)) < SHARP ? nearest : sharpest;
    }
    throw new InputError(
      `no point of the outline is near the corner named at (${corner.map((k) => k.toFixed(1)).join(', ')}) mm: the nearest is ${off(nearest).toFixed(1)} mm off`,
      { mend: `name it within ${CORNER_REACH} mm of the outline` },
    );
  });
  return [...new Set(found)];
}

/** A loop without corners is cut where it is lowest and highest; with one, also where it is farthest from it. */
function atLeastTwo(loop: Loop, found: readonly Corner[]): Corner[] {
  if (found.length >= 2) return [...found];
  const point = (node: number) => loop.points[loop.nodes[node]!]!;
  const best = (value: (p: Vec) => number) =>
    loop.nodes.reduce((top, _, node) => (value(point(node)) > value(point(top)) ? node : top), 0);
  const first = found[0] ?? { node: best((p) => -p[1]), degrees: 0 };
  const origin = point(first.node);
  return [first, { node: best((p) => distance(p, origin)), degrees: 0 }];
}

const apart = (loop: Loop, a: number, b: number): number => {
  const along = Math.abs(a - b);
  return Math.min(along, loop.total - along);
};

const degrees = (radians: number): number => (radians * 180) / Math.PI;
