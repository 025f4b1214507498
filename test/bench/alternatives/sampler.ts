/**
 * A new place for one piece, found by sampling (after Gardeyn, Vanden Berghe and Wauters 2025,
 * arXiv:2509.13329): positions drawn evenly over the strip and near where the piece stands, the best few that
 * differ brought downhill by coordinate descent with a step that adapts (after Loshchilov, Schoenauer and Sebag
 * 2011), and the best of these taken. The paper does not tell how many samples and what steps: those are ours.
 */
import type { Layout } from '../../../src/nest/layout.js';
import type { Random } from '../../../src/nest/random.js';
import type { Measure } from './measure.js';

const EVERYWHERE = 50;
const NEARBY = 25;
const KEPT = 3;
/** Two samples nearer than this share of the piece's smaller side are one. */
const DISTINCT = 0.05;
/** Steps of the descents as shares of the smaller side: from, to; for all that were kept and for the best. */
const ROUGH = [0.02, 5e-4] as const;
const FINE = [1e-3, 1e-5] as const;
const GROWTH = 1.1;
const SHRINKAGE = 0.5;

interface Place {
  variant: number;
  x: number;
  y: number;
  cost: number;
}

export class Sampler {
  /** Pieces looked at, and positions evaluated for them. */
  moves = 0;
  queries = 0;
  private readonly layout: Layout;
  private readonly measure: Measure;
  private readonly weights: Float64Array;
  private readonly random: Random;

  constructor(layout: Layout, measure: Measure, weights: Float64Array, random: Random) {
    this.layout = layout;
    this.measure = measure;
    this.weights = weights;
    this.random = random;
  }

  /** The best place found for piece i, which may be where it stands. */
  place(i: number): Readonly<Place> {
    const { layout, random } = this;
    const { variants, variantsOfItem, itemOf } = layout.problem;
    this.moves++;
    const here = { variant: layout.variant[i]!, x: layout.x[i]!, y: layout.y[i]!, cost: 0 };
    here.cost = this.cost(i, here.variant, here.x, here.y, Infinity);
    const kept: Place[] = [{ ...here }];
    const box = variants[here.variant]!;
    const side = Math.min(box.maxX - box.minX, box.maxY - box.minY);
    const choices = variantsOfItem[itemOf[i]!]!;
    for (let k = 0; k < EVERYWHERE + NEARBY; k++) {
      const variant = choices[random.below(choices.length)]!;
      if (!layout.reach(i, variant)) continue;
      const { leastX, mostX } = layout;
      const { leastY, mostY } = variants[variant]!;
      let x = leastX + random.next() * (mostX - leastX);
      let y = leastY + random.next() * (mostY - leastY);
      if (k >= EVERYWHERE) {
        x = clamp(here.x + (random.next() - 0.5) * (box.maxX - box.minX), leastX, mostX);
        y = clamp(here.y + (random.next() - 0.5) * (box.maxY - box.minY), leastY, mostY);
      }
      const bound = kept.length === KEPT ? kept[KEPT - 1]!.cost : Infinity;
      const cost = this.cost(i, variant, x, y, bound);
      if (cost < bound) keep(kept, { variant, x, y, cost }, DISTINCT * side);
      if (cost === 0) break;
    }
    for (const place of kept) this.descend(i, place, ROUGH[0] * side, ROUGH[1] * side);
    kept.push(here);
    const best = kept.reduce((a, b) => (b.cost < a.cost ? b : a));
    this.descend(i, best, FINE[0] * side, FINE[1] * side);
    return best;
  }

  /** Both ways along x, y or a diagonal, drawn at random, by a step that grows with success. */
  private descend(i: number, place: Place, first: number, last: number): void {
    const { layout, random } = this;
    if (!layout.reach(i, place.variant)) return;
    const { leastX, mostX } = layout;
    const { leastY, mostY } = layout.problem.variants[place.variant]!;
    for (let step = first; step >= last && place.cost > 0; ) {
      const axis = random.below(4);
      const dx = axis === 1 ? 0 : step;
      const dy = axis === 0 ? 0 : axis === 3 ? -step : step;
      let better = false;
      for (let sense = -1; sense <= 1 && !better; sense += 2) {
        const x = clamp(place.x + sense * dx, leastX, mostX);
        const y = clamp(place.y + sense * dy, leastY, mostY);
        const cost = this.cost(i, place.variant, x, y, place.cost);
        if (cost >= place.cost) continue;
        place.x = x;
        place.y = y;
        place.cost = cost;
        better = true;
      }
      step *= better ? GROWTH : SHRINKAGE;
    }
  }

  private cost(i: number, variant: number, x: number, y: number, bound: number): number {
    this.queries++;
    return this.measure.cost(i, variant, x, y, this.weights, i * this.layout.count, bound);
  }
}

const clamp = (value: number, least: number, most: number): number => Math.max(least, Math.min(most, value));

/** Enters a place in the list by cost; of two that are one, the better stays. */
function keep(kept: Place[], place: Place, distinct: number): void {
  const twin = kept.findIndex(
    (other) => other.variant === place.variant && Math.hypot(other.x - place.x, other.y - place.y) < distinct,
  );
  if (twin >= 0) {
    if (kept[twin]!.cost <= place.cost) return;
    kept.splice(twin, 1);
  }
  const at = kept.findIndex((other) => other.cost > place.cost);
  kept.splice(at < 0 ? kept.length : at, 0, place);
  kept.length = Math.min(kept.length, KEPT);
}
