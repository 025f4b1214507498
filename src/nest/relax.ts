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

/**
 * Pushes all overlapping pairs apart at once, each piece by half the depth along the pair's normal, sweep
 * after sweep (Gauss-Seidel on positions: position-based dynamics, Müller et al. 2007, with successive over-relaxation,
 * Young 1954; parting all pieces of a packing at once: Imamichi, Yagiura, Nagamochi 2009). Single-piece moves stall with
 * many tiny overlaps that only a joint shift of a whole row of pieces removes; this is that joint shift. With a
 * `distance` pieces are brought that far apart. Returns the number of pairs looked at, as a measure of its work.
 */
export function relax(layout: Layout, sweeps = SWEEPS, distance = 0): number {
  const { count, fields, x, y, variant } = layout;
  const { code, variants: total, cell } = fields.pools;
  for (let i = 0; i < count; i++) layout.clamp(i);
  const pairs = nearPairs(layout);
  const clearance = CLEARANCE * cell;
  let looked = 0;
  for (let sweep = 0; sweep < sweeps; sweep++) {
    let left = 0;
    looked += pairs.length / 2;
    const last = sweep >= sweeps - LAST_SWEEPS;
    const extra = last ? 0 : clearance;
    const shallow = last ? 0 : OVERSHOOT_BELOW * cell;
    for (let k = 0; k < pairs.length; k += 2) {
      const i = pairs[k]!;
      const j = pairs[k + 1]!;
      const d = fields.slope(code[variant[j]! * total + variant[i]!]!, x[i]! - x[j]!, y[i]! - y[j]!);
      const depth = d + distance;
      if (depth <= layout.tolerance / 2) continue;
      left += depth;
      // Each gives way by half; beside a body that stays, the other gives way alone.
      const share = layout.isFixed(i) ? 0 : layout.isFixed(j) ? 1 : 0.5;
      const push = depth + extra + (depth < shallow ? OVERSHOOT * depth : 0);
      const nx = fields.normalX * push;
      const ny = fields.normalY * push;
      x[i] = x[i]! + nx * share;
      y[i] = y[i]! + ny * share;
      x[j] = x[j]! - nx * (1 - share);
      y[j] = y[j]! - ny * (1 - share);
      layout.clamp(i);
      layout.clamp(j);
    }
    if (left === 0) break;
  }
  for (let i = 0; i < count; i++) layout.clamp(i);
  layout.refresh();
  return looked;
}

/** Pairs whose boxes are close enough to meet in the course of a relaxation. */
function nearPairs(layout: Layout): Int32Array {
  const { count, x, y, variant, problem, fields } = layout;
  const margin = 2 * fields.pools.cell + problem.gap;
  const pairs: number[] = [];
  for (let i = 0; i < count; i++) {
    const a = problem.variants[variant[i]!]!;
    for (let j = 0; j < i; j++) {
      if (layout.isFixed(i) && layout.isFixed(j)) continue;
      const b = problem.variants[variant[j]!]!;
      const dx = x[i]! - x[j]!;
      const dy = y[i]! - y[j]!;
      if (dx + a.minX > b.maxX + margin || dx + a.maxX < b.minX - margin) continue;
      if (dy + a.minY > b.maxY + margin || dy + a.maxY < b.minY - margin) continue;
      pairs.push(i, j);
    }
  }
  return Int32Array.from(pairs);
}
