/**
 * The boundary of a no-fit polygon, as a soup of directed segments with the forbidden side on the left.
 *
 * The translations of B that make it overlap A (A fixed) are the inside of the Minkowski sum of A and -B.
 * Its boundary lies on the *convolution* of the two outlines (Guibas, Ramshaw, Stolfi 1983): every edge of
 * one, moved to every vertex of the other at which it is tangent. Convex vertices carry edges forwards,
 * reflex vertices backwards, and the winding number of the whole about a point is the number of parts in
 * which A and B, moved there, intersect. So a piece of the convolution belongs to the boundary exactly when
 * the winding number on its outer side is 0. No loops are stitched: distance and side need only segments,
 * and pockets inside the sum come for free.
 */

interface Convolution {
  /** Start x, start y, end x, end y per edge, in the edge's forward direction. */
  readonly ends: Float64Array;
  /** +1 where the edge runs forwards, -1 where it runs backwards. */
  readonly sign: Int8Array;
  readonly count: number;
}

/**
 * Boundary of the set of translations t for which the interiors of `a` and `b` + t meet. Polygons are flat
 * x, y, ..., simple, counter-clockwise, without straight vertices. Returns ax, ay, bx, by per segment.
 */
export function noFitBoundary(a: Float64Array, b: Float64Array): Float64Array {
  const all = convolve(
    a,
    b.map((v) => -v),
  );
  const size = extent(all.ends);
  const candidates: number[] = [];
  let convex = true;
  for (let e = 0; e < all.count; e++) {
    if (all.sign[e]! > 0) candidates.push(e);
    else convex = false;
  }
  if (convex && isConvex(a) && isConvex(b)) return all.ends.slice(0, 4 * all.count);

  const meetings = mutualCuts(all.ends, candidates, 1e-9 * size);
  return outerPieces(all, candidates, meetings, size);
}

function convolve(p: Float64Array, q: Float64Array): Convolution {
  const n = p.length / 2;
  const m = q.length / 2;
  const sides = edgeSides(p, q);
  const pConvex = convexVertices(p);
  const qConvex = convexVertices(q);
  const ends: number[] = [];
  const sign: number[] = [];
  for (let i = 0; i < n; i++) {
    const before = ((i + n - 1) % n) * m;
    for (let j = 0; j < m; j++) {
      // Edge j of q at vertex i of p.
      const s = tangent(pConvex[i]!, sides[before + j]!, sides[i * m + j]!);
      if (s !== 0) pushEdge(ends, sign, s, p[2 * i]!, p[2 * i + 1]!, q, j);
    }
  }
  for (let j = 0; j < m; j++) {
    const before = (j + m - 1) % m;
    for (let i = 0; i < n; i++) {
      // Edge i of p at vertex j of q.
      const s = tangent(qConvex[j]!, -sides[i * m + before]!, -sides[i * m + j]!);
      if (s !== 0) pushEdge(ends, sign, s, q[2 * j]!, q[2 * j + 1]!, p, i);
    }
  }
  return { ends: Float64Array.from(ends), sign: Int8Array.from(sign), count: sign.length };
}

/**
 * Side of q's edges as seen along p's edges: +1 left, -1 right. Parallel edges are decided as if q were
 * turned clockwise by an infinitesimal angle, so that every test agrees and the convolution closes.
 */
function edgeSides(p: Float64Array, q: Float64Array): Int8Array {
  const n = p.length / 2;
  const m = q.length / 2;
  const sides = new Int8Array(n * m);
  for (let i = 0; i < n; i++) {
    const i2 = (2 * i + 2) % p.length;
    const ux = p[i2]! - p[2 * i]!;
    const uy = p[i2 + 1]! - p[2 * i + 1]!;
    for (let j = 0; j < m; j++) {
      const j2 = (2 * j + 2) % q.length;
      const vx = q[j2]! - q[2 * j]!;
      const vy = q[j2 + 1]! - q[2 * j + 1]!;
      const c = ux * vy - uy * vx;
      const tie = ux * vx + uy * vy > 0 ? -1 : 1;
      sides[i * m + j] = c > 0 ? 1 : c < 0 ? -1 : tie;
    }
  }
  return sides;
}

/** +1 or -1 when a direction on these sides of the edges into and out of a vertex is tangent there, else 0. */
function tangent(isConvexVertex: number, sideOfIn: number, sideOfOut: number): number {
  if (isConvexVertex) return sideOfIn > 0 && sideOfOut < 0 ? 1 : 0;
  return sideOfIn < 0 && sideOfOut > 0 ? -1 : 0;
}

function pushEdge(
  ends: number[],
  sign: number[],
  s: number,
  x: number,
  y: number,
  polygon: Float64Array,
  edge: number,
): void {
  const next = (2 * edge + 2) % polygon.length;
  ends.push(x + polygon[2 * edge]!, y + polygon[2 * edge + 1]!, x + polygon[next]!, y + polygon[next + 1]!);
  sign.push(s);
}

function convexVertices(p: Float64Array): Uint8Array {
  const n = p.length / 2;
  return Uint8Array.from({ length: n }, (_, i) => {
    const a = 2 * ((i + n - 1) % n);
    const b = 2 * i;
    const c = 2 * ((i + 1) % n);
    const turn = (p[b]! - p[a]!) * (p[c + 1]! - p[b + 1]!) - (p[b + 1]! - p[a + 1]!) * (p[c]! - p[b]!);
    return turn >= 0 ? 1 : 0;
  });
}

const isConvex = (p: Float64Array): boolean => convexVertices(p).every((flag) => flag === 1);

function extent(ends: Float64Array): number {
  let size = 0;
  for (let i = 0; i < ends.length; i++) size = Math.max(size, Math.abs(ends[i]! - ends[i % 2]!));
  return size;
}

interface Meetings {
  /** Per candidate: parameters in (0, 1) at which it meets another one, unsorted. */
  readonly cuts: number[][];
  /** Per candidate: earlier ones that run along it the same way. */
  readonly twins: number[][];
}

function mutualCuts(ends: Float64Array, candidates: readonly number[], eps: number): Meetings {
  const count = candidates.length;
  const cuts: number[][] = candidates.map(() => []);
  const twins: number[][] = candidates.map(() => []);
  const minX = new Float64Array(count);
  const maxX = new Float64Array(count);
  const minY = new Float64Array(count);
  const maxY = new Float64Array(count);
  for (let k = 0; k < count; k++) {
    const o = 4 * candidates[k]!;
    minX[k] = Math.min(ends[o]!, ends[o + 2]!) - eps;
    maxX[k] = Math.max(ends[o]!, ends[o + 2]!) + eps;
    minY[k] = Math.min(ends[o + 1]!, ends[o + 3]!) - eps;
    maxY[k] = Math.max(ends[o + 1]!, ends[o + 3]!) + eps;
  }
  const order = Int32Array.from({ length: count }, (_, k) => k).sort((a, b) => minX[a]! - minX[b]! || a - b);
  for (let s = 0; s < count; s++) {
    const k = order[s]!;
    for (let t = s + 1; t < count; t++) {
      const l = order[t]!;
      if (minX[l]! > maxX[k]!) break;
      if (minY[l]! > maxY[k]! || maxY[l]! < minY[k]!) continue;
      if (cutPair(ends, 4 * candidates[k]!, 4 * candidates[l]!, cuts[k]!, cuts[l]!, eps)) {
        twins[Math.max(k, l)]!.push(Math.min(k, l));
      }
    }
  }
  return { cuts, twins };
}

/** Notes where two edges meet; true if they lie on one line and run the same way. */
function cutPair(
  ends: Float64Array,
  a: number,
  b: number,
  cutsA: number[],
  cutsB: number[],
  eps: number,
): boolean {
  const ax = ends[a]!;
  const ay = ends[a + 1]!;
  const ux = ends[a + 2]! - ax;
  const uy = ends[a + 3]! - ay;
  const bx = ends[b]!;
  const by = ends[b + 1]!;
  const vx = ends[b + 2]! - bx;
  const vy = ends[b + 3]! - by;
  const wx = bx - ax;
  const wy = by - ay;
  const uu = ux * ux + uy * uy;
  const vv = vx * vx + vy * vy;
  const det = ux * vy - uy * vx;
  const epsA = eps / Math.sqrt(uu);
  const epsB = eps / Math.sqrt(vv);
  if (det * det > 1e-24 * uu * vv) {
    const s = (wx * vy - wy * vx) / det;
    const t = (wx * uy - wy * ux) / det;
    if (s < -epsA || s > 1 + epsA || t < -epsB || t > 1 + epsB) return false;
    if (s > epsA && s < 1 - epsA) cutsA.push(s);
    if (t > epsB && t < 1 - epsB) cutsB.push(t);
    return false;
  }
  // Parallel: where they lie on one line, each is cut at the other's ends.
  const off = (wx * uy - wy * ux) / Math.sqrt(uu);
  if (Math.abs(off) > eps) return false;
  const s0 = (wx * ux + wy * uy) / uu;
  const s1 = s0 + (vx * ux + vy * uy) / uu;
  if (s0 > epsA && s0 < 1 - epsA) cutsA.push(s0);
  if (s1 > epsA && s1 < 1 - epsA) cutsA.push(s1);
  const t0 = -(wx * vx + wy * vy) / vv;
  const t1 = t0 + (ux * vx + uy * vy) / vv;
  if (t0 > epsB && t0 < 1 - epsB) cutsB.push(t0);
  if (t1 > epsB && t1 < 1 - epsB) cutsB.push(t1);
  return ux * vx + uy * vy > 0;
}

/** The pieces of the candidates whose right-hand side is free, neighbouring pieces joined, each once. */
function outerPieces(
  all: Convolution,
  candidates: readonly number[],
  { cuts, twins }: Meetings,
  size: number,
): Float64Array {
  const out: number[] = [];
  const offset = 1e-7 * size;
  for (let k = 0; k < candidates.length; k++) {
    const o = 4 * candidates[k]!;
    const ax = all.ends[o]!;
    const ay = all.ends[o + 1]!;
    const ux = all.ends[o + 2]! - ax;
    const uy = all.ends[o + 3]! - ay;
    const length = Math.sqrt(ux * ux + uy * uy);
    const stops = [...cuts[k]!.sort((s, t) => s - t), 1];
    let from = 0;
    let openAt = -1;
    for (const to of stops) {
      if ((to - from) * length < 1e-9 * size && to !== 1) continue;
      const middle = (from + to) / 2;
      const x = ax + ux * middle + (uy / length) * offset;
      const y = ay + uy * middle - (ux / length) * offset;
      const known = twins[k]!.some((twin) => runsBeside(all.ends, 4 * candidates[twin]!, x, y));
      if (!known && winding(all, x, y) === 0) {
        if (openAt < 0) openAt = from;
      } else if (openAt >= 0) {
        out.push(ax + ux * openAt, ay + uy * openAt, ax + ux * from, ay + uy * from);
        openAt = -1;
      }
      from = to;
    }
    if (openAt >= 0) out.push(ax + ux * openAt, ay + uy * openAt, all.ends[o + 2]!, all.ends[o + 3]!);
  }
  return Float64Array.from(out);
}

/** Whether the foot of (x, y) lies on the edge at `o`. */
function runsBeside(ends: Float64Array, o: number, x: number, y: number): boolean {
  const ux = ends[o + 2]! - ends[o]!;
  const uy = ends[o + 3]! - ends[o + 1]!;
  const along = (x - ends[o]!) * ux + (y - ends[o + 1]!) * uy;
  return along > 0 && along < ux * ux + uy * uy;
}

function winding({ ends, sign, count }: Convolution, x: number, y: number): number {
  let total = 0;
  for (let e = 0, o = 0; e < count; e++, o += 4) {
    const ay = ends[o + 1]!;
    const by = ends[o + 3]!;
    if (ay <= y) {
      if (by <= y) continue;
      const ax = ends[o]!;
      if ((ends[o + 2]! - ax) * (y - ay) - (x - ax) * (by - ay) > 0) total += sign[e]!;
    } else if (by <= y) {
      const ax = ends[o]!;
      if ((ends[o + 2]! - ax) * (y - ay) - (x - ax) * (by - ay) < 0) total -= sign[e]!;
    }
  }
  return total;
}
