import {
  cubic,
  end,
  length,
  line,
  type Path,
  reverse,
  type Segment,
  start,
  turnBetween,
} from '../../geometry/path.js';
import { add, distance, lerp, sub, type Vec } from '../../geometry/vec.js';
import type { Stroke } from './drawing.js';

/** Strokes joined end to end. */
export interface Chain {
  readonly path: Path;
  readonly closed: boolean;
  readonly layer: string;
  readonly name?: string;
  readonly where: string;
}

export interface Joined {
  readonly chains: readonly Chain[];
  readonly notes: readonly string[];
}

/** Strokes shorter than this are dust, mm. */
const DUST = 1e-3;
/** Where more ends than this meet no outline runs through, but a mark or a fault. */
const MOST_MEETING = 32;
/** More notes of one kind tell nothing new. */
const MANY_NOTES = 5;

/**
 * Strokes as chains: closed ones as they are, open ones joined where their ends lie within the tolerance (mm).
 * Where more than two ends meet, those of one layer are joined before others, the smoother way first. A line drawn
 * twice counts once. Joined ends meet half-way.
 */
export function joinStrokes(strokes: readonly Stroke[], tolerance: number): Joined {
  const notes: string[] = [];
  const kept = onceEach(strokes.filter((s) => length(s.path) > DUST));
  const twice = strokes.filter((s) => length(s.path) > DUST).length - kept.length;
  if (twice > 0) notes.push(`${twice} lines were drawn twice: taken once`);
  const closes = (s: Stroke) =>
    s.closed || (distance(start(s.path), end(s.path)) <= tolerance && length(s.path) > 4 * tolerance);
  const whole = kept.filter(closes).map((s): Chain => ({ ...s, path: closedUp(s.path), closed: true }));
  const open = kept.filter((s) => !closes(s));
  const partner = pairEnds(open, tolerance, notes);
  return { chains: [...whole, ...walk(open, partner)], notes };
}

/** End 2i is the start of stroke i, 2i + 1 its end. */
type End = number;

const endPoint = (strokes: readonly Stroke[], e: End): Vec => {
  const { path } = strokes[e >> 1]!;
  return e % 2 === 0 ? start(path) : end(path);
};

function pairEnds(strokes: readonly Stroke[], tolerance: number, notes: string[]): ReadonlyMap<End, End> {
  const partner = new Map<End, End>();
  let crowded = 0;
  for (const cluster of clusters(strokes, tolerance)) {
    if (cluster.length > MOST_MEETING) {
      const [x, y] = endPoint(strokes, cluster[0]!);
      notes.push(
        `${cluster.length} lines meet at (${x.toFixed(1)}, ${y.toFixed(1)}) mm: too many to tell which go on`,
      );
      continue;
    }
    const candidates: { a: End; b: End; cost: number }[] = [];
    cluster.forEach((a, i) => {
      for (const b of cluster.slice(i + 1)) {
        const sameLayer = strokes[a >> 1]!.layer === strokes[b >> 1]!.layer ? 0 : 10;
        if (a >> 1 !== b >> 1) candidates.push({ a, b, cost: sameLayer + turnThrough(strokes, a, b) });
      }
    });
    if (cluster.length > 2) {
      crowded += 1;
      const [x, y] = endPoint(strokes, cluster[0]!);
      if (crowded <= MANY_NOTES) {
        notes.push(
          `${cluster.length} lines meet at (${x.toFixed(1)}, ${y.toFixed(1)}) mm: the smoothest way was followed`,
        );
      }
    }
    candidates.sort((p, q) => p.cost - q.cost);
    for (const { a, b } of candidates) {
      if (partner.has(a) || partner.has(b)) continue;
      partner.set(a, b);
      partner.set(b, a);
    }
  }
  if (crowded > MANY_NOTES) notes.push(`lines meet so at ${crowded - MANY_NOTES} more places`);
  return partner;
}

/** Turn, radians, of the way that comes in at end `a` and goes on from end `b`. */
function turnThrough(strokes: readonly Stroke[], a: End, b: End): number {
  const before = a % 2 === 1 ? strokes[a >> 1]!.path : reverse(strokes[a >> 1]!.path);
  const after = b % 2 === 0 ? strokes[b >> 1]!.path : reverse(strokes[b >> 1]!.path);
  return Math.abs(turnBetween(before, after));
}

/** Ends that lie within the tolerance of each other; ends that meet nothing are left out. */
function clusters(strokes: readonly Stroke[], tolerance: number): End[][] {
  const cells = new Map<string, End[]>();
  const cell = ([x, y]: Vec, dx = 0, dy = 0) =>
    `${Math.floor(x / tolerance) + dx},${Math.floor(y / tolerance) + dy}`;
  const ends = strokes.flatMap((_, i) => [2 * i, 2 * i + 1]);
  for (const e of ends) {
    const key = cell(endPoint(strokes, e));
    const list = cells.get(key);
    if (list) list.push(e);
    else cells.set(key, [e]);
  }
  const seen = new Set<End>();
  const found: End[][] = [];
  for (const first of ends) {
    if (seen.has(first)) continue;
    const group: End[] = [];
    const queue = [first];
    seen.add(first);
    for (let e = queue.pop(); e !== undefined; e = queue.pop()) {
      group.push(e);
      const p = endPoint(strokes, e);
      for (let dx = -1; dx <= 1; dx++) {
        for (let dy = -1; dy <= 1; dy++) {
          for (const other of cells.get(cell(p, dx, dy)) ?? []) {
            if (seen.has(other) || distance(endPoint(strokes, other), p) > tolerance) continue;
            seen.add(other);
            queue.push(other);
          }
        }
      }
    }
    if (group.length > 1) found.push(group.sort((a, b) => a - b));
  }
  return found;
}

function walk(strokes: readonly Stroke[], partner: ReadonlyMap<End, End>): Chain[] {
  const used = new Set<number>();
  const chains: Chain[] = [];
  // Open chains start at an end that meets nothing; what is left after them runs in rings.
  const starts = [...strokes.keys()].flatMap((i) => [2 * i, 2 * i + 1]);
  for (const rings of [false, true]) {
    for (const first of starts) {
      if (used.has(first >> 1) || (!rings && partner.has(first))) continue;
      const parts: Path[] = [];
      let e: End | undefined = first;
      while (e !== undefined && !used.has(e >> 1)) {
        used.add(e >> 1);
        const { path } = strokes[e >> 1]!;
        parts.push(e % 2 === 0 ? path : reverse(path));
        e = partner.get(e ^ 1);
      }
      const { layer, name, where } = strokes[first >> 1]!;
      const joined = joinParts(parts, rings);
      chains.push({
        path: joined,
        closed: rings,
        layer,
        where,
        ...(name === undefined ? {} : { name }),
      });
    }
  }
  return chains;
}

function joinParts(parts: readonly Path[], ring: boolean): Path {
  const meet = (k: number): Vec => {
    const a = end(parts[(k + parts.length - 1) % parts.length]!);
    const b = start(parts[k]!);
    return lerp(a, b, 0.5);
  };
  return parts.flatMap((part, k) => {
    const from = k > 0 || ring ? meet(k) : start(part);
    const to = k + 1 < parts.length || ring ? meet((k + 1) % parts.length) : end(part);
    return withEnds(part, from, to);
  });
}

/** A gap up to this is rounding and its ends are led together; a wider one gets a side of its own, mm. */
const ROUNDING = 1;

/** A ring whose last point is its first, exactly. */
function closedUp(path: Path): Path {
  const [a, b] = [start(path), end(path)];
  const gap = distance(a, b);
  if (gap === 0) return path;
  return gap > ROUNDING ? [...path, line(b, a)] : withEnds(path, a, a);
}

function withEnds(path: Path, from: Vec, to: Vec): Path {
  return path.map((s, i): Segment => {
    const a = i === 0 ? from : s.a;
    const b = i === path.length - 1 ? to : s.b;
    if (s.kind === 'line') return line(a, b);
    return cubic(a, add(s.c, sub(a, s.a)), add(s.d, sub(b, s.b)), b);
  });
}

function onceEach(strokes: readonly Stroke[]): Stroke[] {
  const seen = new Set<string>();
  return strokes.filter(({ path, closed }) => {
    const round = ([x, y]: Vec) => `${Math.round(x * 100)},${Math.round(y * 100)}`;
    const nodes = path.map((s) => round(s.a));
    const ends = [round(start(path)), round(end(path))].sort();
    // Closed ones may start anywhere and run either way: their nodes are told apart as a set.
    const key = closed
      ? `o${[...new Set(nodes)].sort().join(' ')}`
      : `${ends.join(' ')} ${[...nodes.slice(1)].sort().join(' ')} ${Math.round(length(path) * 10)}`;
    if (seen.has(key)) return false;
    seen.add(key);
    return true;
  });
}
