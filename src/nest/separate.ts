import { Choice } from './choice.js';
import type { Layout, Snapshot } from './layout.js';
import { Mover } from './mover.js';
import type { Random } from './random.js';
import { relax } from './relax.js';
import type { Sieve } from './sieve.js';
import { squeeze } from './squeeze.js';
import { Weights } from './weights.js';

/** Passes without less overlap after which untangling mostly gives up. */
export const PATIENCE = 100;
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
 * 2007). In every pass each overlapping piece moves to its best place, in random order; then the weights learn which
 * pairs are stubborn.
 */
export class Separator {
  readonly mover: Mover;
  passes = 0;
  private otherWork = 0;
  private readonly layout: Layout;
  private readonly random: Random;
  private readonly weights: Weights;
  private readonly order: Int32Array;
  /** Whether moves look near or wide. */
  private readonly sight = new Choice(2, SIGHT_WORK);

  constructor(layout: Layout, random: Random) {
    this.layout = layout;
    this.random = random;
    this.weights = new Weights(layout);
    this.order = new Int32Array(layout.count);
    this.mover = new Mover(layout, this.weights.pairs, random);
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
    this.weights.forget();
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
      if (now > 0) this.addWork(PASS_WORK * layout.count * this.weights.learn());
      if (now > 0 && idle === EARLY && sieve && !sieve.passes(overlap)) break;
      yield;
    }
    return { separated: overlap === 0, best, overlap };
  }

  /** Moves copy i away to where it overlaps little, as `Mover.moveAway` does, all pairs weighing what they do at first. */
  moveAway(i: number): boolean {
    this.weights.forget();
    return this.mover.moveAway(i, this.layout.allowed(i));
  }

  private movePass(): void {
    const { layout, order } = this;
    let count = 0;
    for (const i of layout.movable) if (layout.overlaps(i)) order[count++] = i;
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
}
