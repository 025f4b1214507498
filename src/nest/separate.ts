import { Choice } from './choice.js';
import type { Layout, Snapshot } from './layout.js';
import { Mover } from './mover.js';
import type { Random } from './random.js';
import { relax } from './relax.js';
import type { Sieve } from './sieve.js';
import { squeeze } from './squeeze.js';

/** Weight growth of an overlapping pair: 1 + GROWTH x max(LEAST, overlap / greatest overlap), by depth x base weight. */
const GROWTH = 0.8;
const LEAST = 0.2;
/** Weight of a pair that does not overlap falls by this factor, down to its base. */
const DECAY = 0.9;
/** Work of a look at a pair in joint pushing; of a pass besides its moves, per pair whose weight is looked at. */
const LOOK_WORK = 80;
const PASS_WORK = 15;
const PASSES_PER_RELAXATION = 5;
/** Passes without less overlap after which a sieve is asked whether that much overlap is worth more. */
const EARLY = 20;
/** A longer strip is tried when the overlap left is below this many times the length to be had. */
const GROWABLE = 2;
/** Of the two ways to look, the number of looking wide; work in which each is taken to succeed, before it is tried. */
const WIDE = 1;
const SIGHT_WORK = 50e6;
const SQUEEZE_TRIALS = 12;
const SQUEEZE_SWEEPS = 100;
/** Pushes travel slowly from piece to piece: long rows want many sweeps. */
const PRESS_SWEEPS = 2000;

export interface Separation {
  readonly separated: boolean;
  /** The layout with the least overlap met; loaded only when separated. */
  readonly best: Snapshot;
  readonly overlap: number;
}

/**
 * Untangles a layout: guided local search (Voudouris and Tsang 1999; for packing Egeblad, Nielsen, Odgaard
 * 2007). In every pass each overlapping piece moves to its best place, in random order; then the pairs that
 * still overlap weigh more and the others less, so that stubborn pairs come to be worth parting at any price.
 */
export class Separator {
  readonly mover: Mover;
  passes = 0;
  private otherWork = 0;
  private readonly layout: Layout;
  private readonly random: Random;
  private readonly weights: Float64Array;
  /** How many pairs of each copy weigh more than at first. */
  private readonly heavy: Int32Array;
  private readonly order: Int32Array;
  /** Whether moves look near or wide. */
  private readonly sight = new Choice(2, SIGHT_WORK);

  constructor(layout: Layout, random: Random) {
    this.layout = layout;
    this.random = random;
    this.weights = layout.baseWeight.slice();
    this.heavy = new Int32Array(layout.count);
    this.order = new Int32Array(layout.count);
    this.mover = new Mover(layout, this.weights, random);
  }

  /** Work done so far, about in nanoseconds; the same on every machine. */
  get work(): number {
    return this.mover.work + this.otherWork;
  }

  /** Counts work done on the layout elsewhere. */
  addWork(work: number): void {
    this.otherWork += work;
  }

  /** Counts looks at pairs in joint pushing, as `relax` and `squeeze` tell them. */
  addLooks(looks: number): void {
    this.addWork(LOOK_WORK * looks);
  }

  /**
   * Works on the layout as loaded until nothing overlaps or `patience` passes in a row brought no new best.
   * When little overlap is left, a strip up to `longest` is accepted to be rid of it.
   * With a `sieve`, only what it lets through is given so much: what comes to nothing mostly stands still early, deep in
   * overlap.
   * How far moves look is chosen by what has served so far: near is cheaper and leaves alone what lies well, few
   * pieces often want the whole strip. Yields after every pass, so that the caller can meter the work or give up.
   */
  *run(patience: number, longest = 0, sieve?: Sieve): Generator<void, Separation, void> {
    const way = this.sight.pick(this.random);
    const before = this.work;
    this.mover.wide = way === WIDE;
    const separation = yield* this.untangle(patience, longest, sieve);
    this.sight.add(way, this.work - before, separation.separated);
    return separation;
  }

  private *untangle(patience: number, longest: number, sieve?: Sieve): Generator<void, Separation, void> {
    const { layout } = this;
    this.weights.set(layout.baseWeight);
    this.heavy.fill(0);
    this.relax();
    let overlap = layout.total();
    let best = layout.save();
    let idle = 0;
    for (let pass = 1; overlap > 0 && idle < patience; pass++) {
      this.movePass();
      let now = layout.total();
      if (now > 0 && pass % PASSES_PER_RELAXATION === 0) {
        now = this.tryRelaxation(now);
        if (now > 0 && now < GROWABLE * (longest - layout.length) && this.grow(longest)) {
          now = 0;
        }
      }
      this.passes++;
      idle++;
      if (now < overlap) {
        if (now < 0.98 * overlap) idle = 0;
        overlap = now;
        best = layout.save();
      }
      if (now > 0) this.learn();
      if (now > 0 && idle === EARLY && sieve && !sieve.passes(overlap)) break;
      yield;
    }
    return { separated: overlap === 0, best, overlap };
  }

  private movePass(): void {
    const { layout, order } = this;
    let count = 0;
    for (let i = 0; i < layout.count; i++) {
      if (layout.overlaps(i) && !layout.isFixed(i)) order[count++] = i;
    }
    this.random.shuffle(order, count);
    for (let k = 0; k < count; k++) {
      const i = order[k]!;
      if (layout.overlaps(i)) this.mover.move(i, layout.problem.variantsOfItem[layout.problem.itemOf[i]!]!);
    }
  }

  /** A joint push-apart on trial: kept when it leaves less overlap. */
  private tryRelaxation(before: number): number {
    const { layout } = this;
    const saved = layout.save();
    this.relax();
    const after = layout.total();
    if (after <= before) return after;
    layout.load(saved);
    return before;
  }

  /** Tries whether the overlap left closes in a longer strip, shorter than `longest`. */
  private grow(longest: number): boolean {
    const { layout } = this;
    const saved = layout.save();
    const { best, looked } = squeeze(layout, saved.length, longest, 0, SQUEEZE_SWEEPS);
    this.addLooks(looked);
    if (best) return true;
    layout.load(saved);
    return false;
  }

  /** Shortens the layout, which has no overlap, as far as joint pushing in a few sweeps brings it. */
  squeeze(shortest: number): Snapshot {
    return this.push(shortest, SQUEEZE_TRIALS, SQUEEZE_SWEEPS);
  }

  /** Shortens the layout, which has no overlap, to `shortest` if joint pushing in many sweeps brings it there. */
  press(shortest: number): Snapshot {
    return this.push(shortest, 1, PRESS_SWEEPS);
  }

  private push(shortest: number, trials: number, sweeps: number): Snapshot {
    const { layout } = this;
    const before = layout.save();
    const { best, looked } = squeeze(layout, shortest, before.length, trials, sweeps);
    this.addLooks(looked);
    return best ?? before;
  }

  private relax(): void {
    this.addLooks(relax(this.layout));
  }

  /** Most copies neither overlap nor have lately: their rows are passed by. */
  private learn(): void {
    const { layout, weights, heavy } = this;
    const { count, overlap, baseWeight } = layout;
    let greatest = 0;
    for (let i = 0; i < count; i++) {
      if (!layout.overlaps(i)) continue;
      for (let k = i * count; k < (i + 1) * count; k++) {
        if (overlap[k]! > 0) greatest = Math.max(greatest, overlap[k]! * baseWeight[k]!);
      }
    }
    for (let i = 0; i < count; i++) {
      if (heavy[i] === 0 && !layout.overlaps(i)) continue;
      this.addWork(PASS_WORK * count);
      let heavier = 0;
      for (let k = i * count; k < (i + 1) * count; k++) {
        const base = baseWeight[k]!;
        if (overlap[k]! > 0) {
          const share = (overlap[k]! * base) / greatest;
          weights[k] = weights[k]! * (1 + GROWTH * Math.max(LEAST, share));
          heavier++;
        } else if (weights[k]! > base) {
          weights[k] = Math.max(base, weights[k]! * DECAY);
          if (weights[k]! > base) heavier++;
        }
      }
      heavy[i] = heavier;
    }
  }
}
