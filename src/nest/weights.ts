import type { Layout } from './layout.js';

/** A pair that overlaps weighs 1 + GROWTH x max(LEAST, its depth x base weight / the greatest of all) times more. */
const GROWTH = 0.8;
const LEAST = 0.2;
/** A pair that does not overlap weighs this many times less, down to its base weight. */
const DECAY = 0.9;

/**
 * What the depth of each pair counts while a layout is untangled. Pairs that still overlap after a pass come to weigh more
 * and the others less, so that stubborn ones are worth parting at any price: the penalties of guided local search
 * (Voudouris and Tsang 1999), growing with a pair's share of the greatest overlap (Gardeyn, Vanden Berghe, Wauters 2025).
 */
export class Weights {
  /** count x count, symmetric, nowhere below the layout's base weights. */
  readonly pairs: Float64Array;
  private readonly layout: Layout;
  /** How many pairs of each copy weigh more than at first. */
  private readonly heavy: Int32Array;

  constructor(layout: Layout) {
    this.layout = layout;
    this.pairs = layout.baseWeight.slice();
    this.heavy = new Int32Array(layout.count);
  }

  /** All pairs weigh what they do at first. */
  forget(): void {
    const { heavy, pairs } = this;
    const { count, baseWeight } = this.layout;
    for (let i = 0; i < count; i++) {
      if (heavy[i] === 0) continue;
      pairs.set(baseWeight.subarray(i * count, (i + 1) * count), i * count);
      heavy[i] = 0;
    }
  }

  /**
   * Learns from how the layout lies, some of whose copies overlap. Returns how many copies' pairs that took a look at:
   * most copies neither overlap nor have lately, and are passed by.
   */
  learn(): number {
    const { layout, pairs, heavy } = this;
    const { count, overlap, baseWeight } = layout;
    let greatest = 0;
    for (let i = 0; i < count; i++) {
      if (!layout.overlaps(i)) continue;
      for (let k = i * count; k < (i + 1) * count; k++) {
        if (overlap[k]! > 0) greatest = Math.max(greatest, overlap[k]! * baseWeight[k]!);
      }
    }
    let rows = 0;
    for (let i = 0; i < count; i++) {
      if (heavy[i] === 0 && !layout.overlaps(i)) continue;
      rows++;
      let heavier = 0;
      for (let k = i * count; k < (i + 1) * count; k++) {
        const base = baseWeight[k]!;
        if (overlap[k]! > 0) {
          const share = (overlap[k]! * base) / greatest;
          pairs[k] = pairs[k]! * (1 + GROWTH * Math.max(LEAST, share));
          heavier++;
        } else if (pairs[k]! > base) {
          pairs[k] = Math.max(base, pairs[k]! * DECAY);
          if (pairs[k]! > base) heavier++;
        }
      }
      heavy[i] = heavier;
    }
    return rows;
  }
}
