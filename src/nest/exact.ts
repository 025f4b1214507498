/**
 * Exact questions about placed polygons.
 *
 * A number is taken for the decimal it prints as, so that what is written to a file is what was judged:
 * every coordinate becomes a whole number of units 10^-digits (BigInt). Floating point only answers first,
 * wherever its error bound leaves no doubt.
 */

/** A polygon before it is placed. */
export interface ExactOutline {
  readonly x: Float64Array;
  readonly y: Float64Array;
  readonly exactX: readonly bigint[];
  readonly exactY: readonly bigint[];
  /** Decimals that one unit of the exact coordinates stands for. */
  readonly digits: number;
  /** Largest absolute coordinate. */
  readonly reach: number;
}

/** A polygon at its place: coordinates as floats, and as exact whole numbers made on demand. */
export interface ExactPolygon {
  readonly x: Float64Array;
  readonly y: Float64Array;
  readonly minX: number;
  readonly minY: number;
  readonly maxX: number;
  readonly maxY: number;
  /** Largest absolute number that its float coordinates were reckoned from: what bounds their rounding errors. */
  readonly reach: number;
  exact(): { readonly x: readonly bigint[]; readonly y: readonly bigint[] };
}

/** Digits after the point of the decimal that `value` prints as. */
export function decimals(value: number): number {
  const [mantissa = '', exponent = '0'] = String(value).split('e');
  const point = mantissa.indexOf('.');
  const digits = point < 0 ? 0 : mantissa.length - point - 1;
  return Math.max(0, digits - Number(exponent));
}

/** `value`, as the decimal it prints as, in units of 10^-digits; `digits` must hold all its decimals. */
export function exactUnits(value: number, digits: number): bigint {
  const [mantissa = '', exponent = '0'] = String(value).split('e');
  const [whole = '', part = ''] = mantissa.split('.');
  const shift = digits + Number(exponent) - part.length;
  if (shift < 0) throw new RangeError(`${value} has more than ${digits} decimals`);
  return BigInt(whole + part) * 10n ** BigInt(shift);
}

/** Prepares a polygon; `digits` must hold all decimals of its coordinates and of where it will be placed. */
export function exactOutline(points: readonly (readonly [number, number])[], digits: number): ExactOutline {
  return {
    x: Float64Array.from(points, (p) => p[0]),
    y: Float64Array.from(points, (p) => p[1]),
    exactX: points.map((p) => exactUnits(p[0], digits)),
    exactY: points.map((p) => exactUnits(p[1], digits)),
    digits,
    reach: points.reduce((most, p) => Math.max(most, Math.abs(p[0]), Math.abs(p[1])), 0),
  };
}

/** The outline moved by (x, y), exactly. */
export function placed(outline: ExactOutline, x: number, y: number): ExactPolygon {
  const count = outline.x.length;
  const xs = new Float64Array(count);
  const ys = new Float64Array(count);
  let [minX, minY, maxX, maxY] = [Infinity, Infinity, -Infinity, -Infinity];
  for (let i = 0; i < count; i++) {
    const px = outline.x[i]! + x;
    const py = outline.y[i]! + y;
    xs[i] = px;
    ys[i] = py;
    if (px < minX) minX = px;
    if (px > maxX) maxX = px;
    if (py < minY) minY = py;
    if (py > maxY) maxY = py;
  }
  let made: { x: bigint[]; y: bigint[] } | undefined;
  return {
    x: xs,
    y: ys,
    minX,
    minY,
    maxX,
    maxY,
    // A piece drawn far from its origin and placed near it carries the errors of the far numbers.
    reach: Math.max(outline.reach, Math.abs(x), Math.abs(y)),
    exact() {
      if (!made) {
        const ex = exactUnits(x, outline.digits);
        const ey = exactUnits(y, outline.digits);
        made = { x: outline.exactX.map((v) => v + ex), y: outline.exactY.map((v) => v + ey) };
      }
      return made;
    },
  };
}

/**
 * Bound on |rounding error| of a coordinate, and with it of sums of products, as a share of `reach` (forward error
 * of a sign test, as in Shewchuk 1997).
 */
const SLOP = 64 * 2 ** -52;

/** Boxes further apart than this, by their float coordinates, are apart. */
export const boxSlack = (polygons: readonly ExactPolygon[]): number =>
  SLOP * polygons.reduce((most, { reach }) => Math.max(most, reach), 0);

/** Exact sign of the turn a -> b -> c: 1 left, -1 right, 0 straight. */
function turnSign(
  p: ExactPolygon,
  i: number,
  q: ExactPolygon,
  j: number,
  r: ExactPolygon,
  k: number,
): number {
  const abx = q.x[j]! - p.x[i]!;
  const aby = q.y[j]! - p.y[i]!;
  const acx = r.x[k]! - p.x[i]!;
  const acy = r.y[k]! - p.y[i]!;
  const det = abx * acy - aby * acx;
  const spread = Math.abs(abx) + Math.abs(aby) + Math.abs(acx) + Math.abs(acy);
  const reach = Math.max(p.reach, q.reach, r.reach);
  if (Math.abs(det) > SLOP * spread * reach) return det > 0 ? 1 : -1;
  const [a, b, c] = [p.exact(), q.exact(), r.exact()];
  const [ax, ay] = [a.x[i]!, a.y[i]!];
  const exact = (b.x[j]! - ax) * (c.y[k]! - ay) - (b.y[j]! - ay) * (c.x[k]! - ax);
  return exact > 0n ? 1 : exact < 0n ? -1 : 0;
}

/** Whether vertex k of r, known to be on the line ij of p, lies strictly between its ends. */
function between(p: ExactPolygon, i: number, j: number, r: ExactPolygon, k: number): boolean {
  const a = p.exact();
  const c = r.exact();
  const dx = a.x[j]! - a.x[i]!;
  const dy = a.y[j]! - a.y[i]!;
  const along = (c.x[k]! - a.x[i]!) * dx + (c.y[k]! - a.y[i]!) * dy;
  return along > 0n && along < dx * dx + dy * dy;
}

/**
 * Whether the interiors of two simple counter-clockwise polygons meet; touching is not meeting.
 *
 * Edges that properly cross prove it. Without such a crossing, an edge of one, cut where vertices of the
 * other lie on it, consists of stretches that are each wholly inside, outside or along the other, so the
 * middle of each tells. A stretch along an edge of the other of the same direction has both insides on its
 * left.
 */
export function interiorsMeet(p: ExactPolygon, q: ExactPolygon): boolean {
  const slack = boxSlack([p, q]);
  if (p.maxX < q.minX - slack || q.maxX < p.minX - slack) return false;
  if (p.maxY < q.minY - slack || q.maxY < p.minY - slack) return false;

  const contactsP = new Map<number, number[]>();
  const contactsQ = new Map<number, number[]>();
  const note = (map: Map<number, number[]>, edge: number, vertex: number) => {
    const list = map.get(edge);
    if (list) list.push(vertex);
    else map.set(edge, [vertex]);
  };
  let touching = false;
  const n = p.x.length;
  const m = q.x.length;
  for (let i = 0; i < n; i++) {
    const i2 = i + 1 === n ? 0 : i + 1;
    const minX = Math.min(p.x[i]!, p.x[i2]!) - slack;
    const maxX = Math.max(p.x[i]!, p.x[i2]!) + slack;
    const minY = Math.min(p.y[i]!, p.y[i2]!) - slack;
    const maxY = Math.max(p.y[i]!, p.y[i2]!) + slack;
    if (maxX < q.minX || minX > q.maxX || maxY < q.minY || minY > q.maxY) continue;
    for (let j = 0; j < m; j++) {
      const j2 = j + 1 === m ? 0 : j + 1;
      if ((q.x[j]! < minX && q.x[j2]! < minX) || (q.x[j]! > maxX && q.x[j2]! > maxX)) continue;
      if ((q.y[j]! < minY && q.y[j2]! < minY) || (q.y[j]! > maxY && q.y[j2]! > maxY)) continue;
      const a = turnSign(p, i, p, i2, q, j);
      const b = turnSign(p, i, p, i2, q, j2);
      if (a !== 0 && a === b) continue;
      const c = turnSign(q, j, q, j2, p, i);
      const d = turnSign(q, j, q, j2, p, i2);
      if (c !== 0 && c === d) continue;
      if (a * b < 0 && c * d < 0) return true;
      touching = true;
      if (a === 0 && between(p, i, i2, q, j)) note(contactsP, i, j);
      if (b === 0 && between(p, i, i2, q, j2)) note(contactsP, i, j2);
      if (c === 0 && between(q, j, j2, p, i)) note(contactsQ, j, i);
      if (d === 0 && between(q, j, j2, p, i2)) note(contactsQ, j, i2);
    }
  }
  // Apart or one within the other: any one vertex tells.
  if (!touching) return vertexInside(p, 0, q) || vertexInside(q, 0, p);
  return stretchInside(p, q, contactsP) || stretchInside(q, p, contactsQ);
}

function stretchInside(p: ExactPolygon, q: ExactPolygon, contacts: Map<number, number[]>): boolean {
  const a = p.exact();
  const b = q.exact();
  const n = a.x.length;
  const slack = boxSlack([p, q]);
  for (let i = 0; i < n; i++) {
    const i2 = (i + 1) % n;
    if (Math.max(p.x[i]!, p.x[i2]!) < q.minX - slack || Math.min(p.x[i]!, p.x[i2]!) > q.maxX + slack)
      continue;
    if (Math.max(p.y[i]!, p.y[i2]!) < q.minY - slack || Math.min(p.y[i]!, p.y[i2]!) > q.maxY + slack)
      continue;
    const stops: [bigint, bigint][] = [
      [a.x[i]!, a.y[i]!],
      ...(contacts.get(i) ?? []).map((k): [bigint, bigint] => [b.x[k]!, b.y[k]!]),
      [a.x[i2]!, a.y[i2]!],
    ];
    const dx = a.x[i2]! - a.x[i]!;
    const dy = a.y[i2]! - a.y[i]!;
    const along = ([x, y]: [bigint, bigint]) => (x - a.x[i]!) * dx + (y - a.y[i]!) * dy;
    stops.sort((s, t) => Number(along(s) > along(t)) - Number(along(s) < along(t)));
    for (let k = 0; k + 1 < stops.length; k++) {
      const [s, t] = [stops[k]!, stops[k + 1]!];
      if (s[0] === t[0] && s[1] === t[1]) continue;
      if (doubledPointMeets(s[0] + t[0], s[1] + t[1], dx, dy, b.x, b.y)) return true;
    }
  }
  return false;
}

/**
 * Whether the point (x/2, y/2), the middle of a stretch in direction (dx, dy), is inside the polygon, or on
 * an edge of it that runs the same way.
 */
function doubledPointMeets(
  x: bigint,
  y: bigint,
  dx: bigint,
  dy: bigint,
  xs: readonly bigint[],
  ys: readonly bigint[],
): boolean {
  let inside = false;
  for (let j = 0; j < xs.length; j++) {
    const k = j + 1 === xs.length ? 0 : j + 1;
    const [ax, ay, bx, by] = [2n * xs[j]!, 2n * ys[j]!, 2n * xs[k]!, 2n * ys[k]!];
    const cross = (bx - ax) * (y - ay) - (by - ay) * (x - ax);
    if (cross === 0n && (x - ax) * (x - bx) + (y - ay) * (y - by) <= 0n) {
      return (bx - ax) * dx + (by - ay) * dy > 0n;
    }
    if (ay <= y !== by <= y && cross > 0n === by > ay) inside = !inside;
  }
  return inside;
}

/** Vertex i of p inside q; p's boundary must not touch q's. */
function vertexInside(p: ExactPolygon, i: number, q: ExactPolygon): boolean {
  if (p.x[i]! < q.minX || p.x[i]! > q.maxX || p.y[i]! < q.minY || p.y[i]! > q.maxY) return false;
  const a = p.exact();
  const b = q.exact();
  return doubledPointMeets(2n * a.x[i]!, 2n * a.y[i]!, 0n, 0n, b.x, b.y);
}

/** Whether two polygons whose interiors do not meet come closer to one another than `gap` (in floats and exactly). */
export function closerThan(p: ExactPolygon, q: ExactPolygon, gap: number, exactGap: bigint): boolean {
  const far = gap + boxSlack([p, q]);
  if (p.maxX + far < q.minX || q.maxX + far < p.minX) return false;
  if (p.maxY + far < q.minY || q.maxY + far < p.minY) return false;
  return vertexCloserThan(p, q, gap, exactGap) || vertexCloserThan(q, p, gap, exactGap);
}

function vertexCloserThan(p: ExactPolygon, q: ExactPolygon, gap: number, exactGap: bigint): boolean {
  const slack = boxSlack([p, q]);
  const far = gap + slack;
  for (let i = 0; i < p.x.length; i++) {
    const x = p.x[i]!;
    const y = p.y[i]!;
    if (x + far < q.minX || x - far > q.maxX || y + far < q.minY || y - far > q.maxY) continue;
    for (let j = 0; j < q.x.length; j++) {
      const k = j + 1 === q.x.length ? 0 : j + 1;
      const d = pointSegment(x, y, q.x[j]!, q.y[j]!, q.x[k]!, q.y[k]!);
      if (d > far) continue;
      if (d < gap - slack || exactlyCloser(p, i, q, j, k, exactGap)) return true;
    }
  }
  return false;
}

function pointSegment(x: number, y: number, ax: number, ay: number, bx: number, by: number): number {
  const dx = bx - ax;
  const dy = by - ay;
  const squared = dx * dx + dy * dy;
  const t = squared === 0 ? 0 : Math.max(0, Math.min(1, ((x - ax) * dx + (y - ay) * dy) / squared));
  return Math.hypot(x - ax - t * dx, y - ay - t * dy);
}

function exactlyCloser(
  p: ExactPolygon,
  i: number,
  q: ExactPolygon,
  j: number,
  k: number,
  gap: bigint,
): boolean {
  const a = p.exact();
  const b = q.exact();
  const dx = b.x[k]! - b.x[j]!;
  const dy = b.y[k]! - b.y[j]!;
  const px = a.x[i]! - b.x[j]!;
  const py = a.y[i]! - b.y[j]!;
  const squared = dx * dx + dy * dy;
  const along = px * dx + py * dy;
  if (along <= 0n) return px * px + py * py < gap * gap;
  if (along >= squared) return (px - dx) * (px - dx) + (py - dy) * (py - dy) < gap * gap;
  const cross = dx * py - dy * px;
  return cross * cross < gap * gap * squared;
}
