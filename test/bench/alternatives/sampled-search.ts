/**
 * A search by samples with whatever measure of overlap: guided local search pass by pass with the weights of
 * Gardeyn, Vanden Berghe and Wauters 2025 (arXiv:2509.13329), in the frame of the engine's own search (start,
 * shrinking, patience, swaps between failed layouts) so that what differs is the measure and where places come
 * from. The engine's relaxation and squeezing work on no-fit tables and have no part in it; as for the engine,
 * a layout counts once it has been settled on exact positions.
 */
import { Disturber } from '../../../src/nest/disturb.js';
import type { Layout, Snapshot } from '../../../src/nest/layout.js';
import { Random } from '../../../src/nest/random.js';
import { Settler } from '../../../src/nest/settle.js';
import { leftmostStart } from '../../../src/nest/start.js';
import type { Measure } from './measure.js';
import type { Contestant } from './race.js';
import { Sampler } from './sampler.js';

const GROWTH_LEAST = 1.2;
const GROWTH_MOST = 2;
const DECAY = 0.95;
/** As in the engine. */
const SHRINK_MOST = 0.02;
const SHRINK_LEAST = 0.001;
const PATIENCE = 100;
const ATTEMPTS = 3;
const POOL = 12;

interface Separation {
  readonly layout: Snapshot;
  readonly overlap: number;
}

export class SampledSearch implements Contestant {
  best: Snapshot;
  /** Layouts without overlap to the measure that could not be settled exactly. */
  unsettled = 0;
  private readonly layout: Layout;
  private readonly measure: Measure;
  private readonly random: Random;
  private readonly sampler: Sampler;
  private readonly disturber: Disturber;
  private readonly settler: Settler;
  /** count x count, as the engine keeps its own. */
  private readonly weights: Float64Array;
  private readonly overlap: Float64Array;
  private readonly ones: Float64Array;
  private readonly task: Generator<void, void, void>;

  constructor(layout: Layout, measure: Measure, seed: number, start: Snapshot) {
    const { count, problem } = layout;
    this.layout = layout;
    this.measure = measure;
    this.best = start;
    this.random = new Random(seed);
    this.weights = new Float64Array(count * count).fill(1);
    this.overlap = new Float64Array(count * count);
    this.ones = new Float64Array(count).fill(1);
    this.sampler = new Sampler(layout, measure, this.weights, this.random);
    this.disturber = new Disturber(layout, this.random);
    this.settler = new Settler(problem);
    this.task = this.explore();
  }

  get moves(): number {
    return this.sampler.moves;
  }

  get queries(): number {
    return this.sampler.queries;
  }

  /** One pass, or what lies between two series of them. */
  step(): void {
    this.task.next();
  }

  private *explore(): Generator<void, void, void> {
    const { layout, disturber, random } = this;
    const start = leftmostStart(layout, random, 0);
    if (start) this.offer(start);
    let ratio = SHRINK_MOST;
    for (;;) {
      yield;
      layout.load(this.best);
      disturber.shorten(Math.max(layout.problem.lengthBound, this.best.length * (1 - ratio)));
      const pool: Separation[] = [];
      let result = yield* this.separate();
      const attempts = ratio > 2 * SHRINK_LEAST ? ATTEMPTS : 8 * ATTEMPTS;
      for (let attempt = 0; result.overlap > 0 && attempt < attempts; attempt++) {
        pool.push(result);
        pool.sort((a, b) => a.overlap - b.overlap);
        pool.length = Math.min(pool.length, POOL);
        const r = random.next();
        layout.load(pool[Math.floor(r * r * pool.length)]!.layout);
        disturber.swap();
        result = yield* this.separate();
      }
      if (result.overlap > 0 || !this.offer(result.layout)) ratio = Math.max(SHRINK_LEAST, ratio / 2);
    }
  }

  /** Works on the layout as loaded until nothing overlaps or patience is over. */
  private *separate(): Generator<void, Separation, void> {
    const { layout, weights } = this;
    weights.fill(1);
    for (let i = 0; i < layout.count; i++) {
      this.measure.set(i, layout.variant[i]!, layout.x[i]!, layout.y[i]!);
    }
    for (let i = 0; i < layout.count; i++) this.refresh(i);
    let best: Separation = { layout: layout.save(), overlap: this.total() };
    for (let idle = 0; best.overlap > 0 && idle < PATIENCE; idle++) {
      this.pass();
      const overlap = this.total();
      if (overlap < 0.98 * best.overlap) idle = -1;
      if (overlap < best.overlap) best = { layout: layout.save(), overlap };
      this.learn();
      yield;
    }
    return best;
  }

  private pass(): void {
    const { layout, measure, sampler } = this;
    const { count } = layout;
    const order = Int32Array.from({ length: count }, (_, i) => i).filter((i) => this.overlaps(i));
    this.random.shuffle(order, order.length);
    for (const i of order) {
      if (!this.overlaps(i)) continue;
      const { variant, x, y } = sampler.place(i);
      layout.variant[i] = variant;
      layout.x[i] = x;
      layout.y[i] = y;
      measure.set(i, variant, x, y);
      this.refresh(i);
    }
  }

  private overlaps(i: number): boolean {
    const { count } = this.layout;
    for (let k = i * count; k < (i + 1) * count; k++) if (this.overlap[k]! > 0) return true;
    return false;
  }

  /** Measures piece i against all others anew. */
  private refresh(i: number): void {
    const { overlap, measure, layout } = this;
    const { count } = layout;
    measure.found.fill(0);
    measure.cost(i, layout.variant[i]!, layout.x[i]!, layout.y[i]!, this.ones, 0, Infinity);
    for (let j = 0; j < count; j++) {
      overlap[i * count + j] = measure.found[j]!;
      overlap[j * count + i] = measure.found[j]!;
    }
  }

  private total(): number {
    return this.overlap.reduce((sum, v) => sum + v, 0) / 2;
  }

  private learn(): void {
    const { overlap, weights } = this;
    const greatest = overlap.reduce((most, v) => Math.max(most, v), 0);
    for (let k = 0; k < overlap.length; k++) {
      const growth = GROWTH_LEAST + (GROWTH_MOST - GROWTH_LEAST) * (overlap[k]! / greatest);
      weights[k] = overlap[k]! > 0 ? weights[k]! * growth : Math.max(1, DECAY * weights[k]!);
    }
  }

  private offer(candidate: Snapshot): boolean {
    const settled = this.settler.settle(this.layout, candidate);
    if (!settled) this.unsettled++;
    if (!settled || settled.length >= this.best.length) return false;
    this.best = settled;
    return true;
  }
}
