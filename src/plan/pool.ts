import { type Column, type FabricTask, layCost, pliesStep, plyCost, plyLimit } from './pricing.js';

/** A column of the pool with the most plies an open order takes of it. */
export interface Follower {
  readonly column: Column;
  /** By colour. */
  readonly plies: readonly number[];
  /** Cost of its plies, lays and marker. */
  readonly cost: number;
  /** Cost less what the garments it covers would cost otherwise: the lower, the better. */
  readonly score: number;
}

/** Size ratios laid out for quick looking through. */
export interface Pool {
  readonly columns: readonly Column[];
  /**
   * The ratios that suit an open order best, at most plies each, best first.
   *
   * @param open garments open, colour by colour.
   * @param prices what a garment of each size would cost otherwise.
   */
  readonly best: (
    open: readonly (readonly number[])[],
    prices: readonly number[],
    most: number,
  ) => Follower[];
  /** The same with half of the plies of one colour, or none: what is left may then go better together. */
  readonly fewer: (follower: Follower, prices: readonly number[]) => Follower[];
}

/** Flat arrays once, no allocation in the loop: it runs over thousands of ratios thousands of times. */
export function poolOf(task: FabricTask, columns: readonly Column[]): Pool {
  const sizes = task.content.sizes.length;
  const counts = Int32Array.from(columns.flatMap((column) => [...column.counts]));
  const perPly = Float64Array.from(columns.map(plyCost));
  const perLay = Float64Array.from(columns.map((column) => layCost(column, task.rates)));
  const step = pliesStep(task.fabric);
  const limit = plyLimit(task);
  const { marker } = task.rates;
  return {
    columns,
    best: (open, prices, most) => {
      const colours = open.length;
      const flat = Int32Array.from(open.flat());
      const found: { at: number; score: number; cost: number }[] = [];
      let worst = Number.POSITIVE_INFINITY;
      for (let j = 0; j < perPly.length; j++) {
        const base = j * sizes;
        let total = 0;
        for (let c = 0; c < colours; c++) {
          let plies = Number.MAX_SAFE_INTEGER;
          for (let s = 0; s < sizes; s++) {
            const n = counts[base + s]!;
            if (n === 0) continue;
            const able = flat[c * sizes + s]! / n;
            if (able < plies) {
              plies = able;
              if (plies < step) break;
            }
          }
          if (plies >= step) total += Math.floor(plies / step) * step;
        }
        if (total === 0) continue;
        const cost = total * perPly[j]! + Math.ceil(total / limit) * perLay[j]! + marker;
        let covered = 0;
        for (let s = 0; s < sizes; s++) covered += counts[base + s]! * prices[s]!;
        const score = cost - total * covered;
        if (score >= worst) continue;
        let at = found.length;
        while (at > 0 && found[at - 1]!.score > score) at--;
        found.splice(at, 0, { at: j, score, cost });
        if (found.length > most) found.pop();
        if (found.length === most) worst = found[most - 1]!.score;
      }
      return found.map(({ at, score, cost }) => {
        const column = columns[at]!;
        return { column, plies: open.map((row) => mostPlies(column.counts, row, step)), cost, score };
      });
    },
    fewer: ({ column, plies: most }, prices) => {
      const covered = column.counts.reduce((sum, n, s) => sum + n * prices[s]!, 0);
      return most.flatMap((n, c) => {
        const options = new Set([Math.floor(n / 2 / step) * step, most.length > 1 ? 0 : n]);
        options.delete(n);
        return [...options].flatMap((less) => {
          const plies = most.map((m, k) => (k === c ? less : m));
          const total = plies.reduce((sum, m) => sum + m, 0);
          if (total === 0) return [];
          const lays = Math.ceil(total / limit) * layCost(column, task.rates);
          const cost = total * plyCost(column) + lays + marker;
          return [{ column, plies, cost, score: cost - total * covered }];
        });
      });
    },
  };
}

/** Most plies of one colour, a multiple of `step`, so that no size is cut beyond what is open. */
export function mostPlies(counts: readonly number[], open: readonly number[], step: number): number {
  let most = Number.POSITIVE_INFINITY;
  for (let s = 0; s < counts.length; s++) {
    if (counts[s]! > 0) most = Math.min(most, open[s]! / counts[s]!);
  }
  return Number.isFinite(most) ? Math.floor(most / step) * step : 0;
}
