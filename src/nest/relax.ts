import type { Layout } from './layout.js';

const SWEEPS = 60;
/** How far beyond contact a pair is pushed, as a share of a cell: lets the sweeps end. */
const CLEARANCE = 1e-5;
/**
 * By how much pushes go beyond contact, as a share of the depth, where that is below a share of a cell: with it a
 * thousand sweeps bring what ten thousand bring without.
 */
const OVERSHOOT = 0.8;
const OVERSHOOT_BELOW = 0.25;
/** The last sweeps aim at bare contact, which exact fits need. */
const LAST_SWEEPS = 20;

/** What finding the near pairs, and all depths in the end, takes for each pair there is, in looks. */
const LOOKS_PER_PAIR = 1 / 4;

/** What distances may be off by rounding, in cells. */
const HAIR = 1e-9;

/**
 * Pushes all overlapping pairs apart at once, each piece by half the depth along the pair's normal, sweep
 * after sweep (Gauss-Seidel on positions: position-based dynamics, Müller et al. 2007, with successive over-relaxation,
 * Young 1954; parting all pieces of a packing at once: Imamichi, Yagiura, Nagamochi 2009). Single-piece moves stall with
 * many tiny overlaps that only a joint shift of a whole row of pieces removes; this is that joint shift. With a
 * `distance` pieces are brought that far apart. A pair that was clear of contact is not looked at again before the two
 * have moved by their distance. Returns about how many looks at pairs that took, as a measure of its work.
 */
export function relax(layout: Layout, sweeps = SWEEPS, distance = 0): number {
  const { count, fields, x, y, variant } = layout;
  const { code, variants: total, cell } = fields.pools;
  for (let i = 0; i < count; i++) layout.clamp(i);
  const boxes = boxesOf(layout);
  const near = nearPairs(layout);
  const pairs = near.length / 2;
  const codes = new Int32Array(pairs);
  for (let k = 0; k < pairs; k++) {
    codes[k] = code[variant[near[2 * k + 1]!]! * total + variant[near[2 * k]!]!]!;
  }

  // How far each copy has gone so far, and each pair together when it may overlap at the earliest.
  const gone = new Float64Array(count);
  const clearUntil = new Float64Array(pairs).fill(-1);
  const move = (i: number, dx: number, dy: number): void => {
    const fromX = x[i]!;
    const fromY = y[i]!;
    const b = 4 * i;
    if (boxes[b]! <= boxes[b + 1]!) {
      x[i] = Math.max(boxes[b]!, Math.min(boxes[b + 1]!, fromX + dx));
      y[i] = Math.max(boxes[b + 2]!, Math.min(boxes[b + 3]!, fromY + dy));
    } else {
      x[i] = fromX + dx;
      y[i] = fromY + dy;
      layout.clamp(i);
    }
    gone[i] = gone[i]! + Math.abs(x[i]! - fromX) + Math.abs(y[i]! - fromY);
  };

  let looked = LOOKS_PER_PAIR * ((count * (count - 1)) / 2);
  for (let sweep = 0; sweep < sweeps; sweep++) {
    let left = 0;
    const last = sweep >= sweeps - LAST_SWEEPS;
    const extra = last ? 0 : CLEARANCE * cell;
    const shallow = last ? 0 : OVERSHOOT_BELOW * cell;
    for (let k = 0; k < pairs; k++) {
      const i = near[2 * k]!;
      const j = near[2 * k + 1]!;
      const together = gone[i]! + gone[j]!;
      if (together <= clearUntil[k]!) continue;
      looked++;
      const depth = fields.slope(codes[k]!, x[i]! - x[j]!, y[i]! - y[j]!) + distance;
      if (depth <= layout.tolerance / 2) {
        // Out of a table's reach it is not known how far apart the two are.
        clearUntil[k] = together + (depth === -Infinity ? 0 : Math.max(0, -depth - HAIR * cell));
        continue;
      }
      left += depth;
      // Each gives way by half; beside a body that stays, the other gives way alone.
      const share = layout.isFixed(i) ? 0 : layout.isFixed(j) ? 1 : 0.5;
      const push = depth + extra + (depth < shallow ? OVERSHOOT * depth : 0);
      const nx = fields.normalX * push;
      const ny = fields.normalY * push;
      if (share > 0) move(i, nx * share, ny * share);
      if (share < 1) move(j, -nx * (1 - share), -ny * (1 - share));
    }
    if (left === 0) break;
  }
  for (let i = 0; i < count; i++) layout.clamp(i);
  layout.refresh();
  return looked;
}

/** Where each copy may stand: least and most x, least and most y; least x above most where `clamp` has to say. */
function boxesOf({ count, variant, problem, length }: Layout): Float64Array {
  const boxes = new Float64Array(4 * count);
  for (let i = 0; i < count; i++) {
    const { minX, maxX, leastY, mostY } = problem.variants[variant[i]!]!;
    // The others of its span bound it too, and they move.
    const bound = problem.spanOf[i]! >= 0;
    boxes[4 * i] = bound ? Infinity : -minX;
    boxes[4 * i + 1] = bound ? -Infinity : length - maxX;
    boxes[4 * i + 2] = leastY;
    boxes[4 * i + 3] = mostY;
  }
  return boxes;
}

/** Pairs whose boxes are close enough to meet in the course of a relaxation: i and j below it, by i, then j. */
function nearPairs(layout: Layout): Int32Array {
  const { count, x, y, variant, problem, fields } = layout;
  const margin = 2 * fields.pools.cell + problem.gap;
  const left = new Float64Array(count);
  for (let i = 0; i < count; i++) left[i] = x[i]! + problem.variants[variant[i]!]!.minX;
  const order = Int32Array.from(left.keys()).sort((i, j) => left[i]! - left[j]!);
  const pairs: number[] = [];
  for (let a = 0; a < count; a++) {
    const i = order[a]!;
    const { maxX, minY, maxY } = problem.variants[variant[i]!]!;
    const reach = x[i]! + maxX + margin;
    for (let b = a + 1; b < count && left[order[b]!]! <= reach; b++) {
      const j = order[b]!;
      const other = problem.variants[variant[j]!]!;
      const dy = y[i]! - y[j]!;
      if (dy + minY > other.maxY + margin || dy + maxY < other.minY - margin) continue;
      if (layout.isFixed(i) && layout.isFixed(j)) continue;
      pairs.push(Math.max(i, j) * count + Math.min(i, j));
    }
  }
  const sorted = Float64Array.from(pairs).sort();
  const near = new Int32Array(2 * sorted.length);
  for (let k = 0; k < sorted.length; k++) {
    near[2 * k] = Math.floor(sorted[k]! / count);
    near[2 * k + 1] = sorted[k]! % count;
  }
  return near;
}
