import { Beginner, SHAKE } from './begin.js';
import { Disturber } from './disturb.js';
import type { Fields } from './fields.js';
import { Keeper } from './keep.js';
import { Layout, type Snapshot } from './layout.js';
import { luby } from './luby.js';
import { PACE, type Pace } from './pace.js';
import type { Problem } from './problem.js';
import { Progress } from './progress.js';
import { Random } from './random.js';
import { PATIENCE, type Separation, Separator } from './separate.js';
import { Shrink } from './shrink.js';
import { Sieve } from './sieve.js';

/** Least gain worth having while searching, as a share of the length. */
const GAIN = 1e-4;
/** Share of the untanglings that get as much once lengths come hard; the others give up early. */
const PROMISING = 0.3;
/** A layout that gained less than this share of its length in the later half of its work is not worth more. */
const STALE_GAIN = 0.001;
/** Share of layouts begun anew that owe nothing to the best one. */
const WHOLE = 0.5;
/** How much longer than the best of its descent a layout may be that the search goes on from. */
const BAND = 0.003;
/** Failed attempts at one length, each the disturbed outcome of one before it, until another length is tried. */
const ATTEMPTS = 3;
/** Share of the length cut off while tightening, from first to last (0.05 % to 0.001 % in Gardeyn et al. 2025). */
const TIGHTEN_FIRST = 0.0008;
const TIGHTEN_LAST = 0.00001;
const TIGHTEN_PATIENCE = 60;
/** Steps of pressing a layout, as shares of its length, from first to last. */
const PRESS_FIRST = 0.002;
const PRESS_LAST = 2e-6;

export interface LaneReport {
  readonly best: Snapshot;
  readonly moves: number;
  readonly passes: number;
  readonly work: number;
  /** Layouts begun anew so far. */
  readonly begun: number;
}

/**
 * One search among several. It works in rounds of a fixed amount of work and is told between rounds of the
 * best layout of the other lanes; what it does depends on (problem, seed, lane, what it was told) alone.
 *
 * Each lane begins on its own, so that a run rests on as many beginnings as it has lanes, and shortens its layout until
 * it gains no more: by ever less, then, once that comes hard, by ratios at random. Then all shorten the best layout
 * in the same way. When that stands still all but lane 0 scatter a stretch of it, or lay all pieces anew, and shorten what
 * comes of that: a layout of another build is found more often by beginning anew than by waiting. How much work a beginning
 * should get differs from problem to problem, so all amounts get their share (`luby`), and any more while it gains.
 * Lane 0 begins but once and then stays with the best one: many pieces and a build that is good already want patience.
 *
 * Shortening is that of Gardeyn, Vanden Berghe, Wauters 2025: cut, shift, untangle; of what stays tangled disturb
 * one, the better the likelier, and try again. Once lengths come hard, every one that was not found is followed by a walk:
 * a layout at rest has soon been asked for all that it can give, and one beside it for nothing yet. It may be hardly
 * longer than the least of its descent (record-to-record travel: Dueck 1993).
 */
export class Lane {
  best: Snapshot;
  private readonly problem: Problem;
  private readonly layout: Layout;
  private readonly random: Random;
  private readonly separator: Separator;
  private readonly disturber: Disturber;
  private readonly keeper: Keeper;
  private readonly beginner: Beginner;
  private readonly lane: number;
  private started = false;
  /** The layout being shortened: the best one, or one that was begun anew. */
  private own: Snapshot;
  private ownProgress: Progress;
  private bestProgress: Progress;
  /** Whether `own` goes its own way: the first layout, and any that was begun anew. */
  private apart = true;
  private readonly pace: Pace;
  /** Layouts begun anew so far. */
  private begun = 0;
  /** Length that is being tried for. */
  private target = Infinity;
  private readonly shrink: Shrink;
  private readonly sieve = new Sieve(PROMISING);
  private task: Generator<void, void, void>;
  /** Share of the tightening phase that is over, or undefined while searching. */
  private tightening: number | undefined;

  constructor(
    problem: Problem,
    fields: Fields,
    seed: number,
    lane: number,
    start: Snapshot,
    pace: Pace = PACE,
  ) {
    this.pace = pace;
    this.problem = problem;
    this.layout = new Layout(problem, fields);
    this.random = new Random(seed, lane);
    this.shrink = new Shrink(this.random);
    this.separator = new Separator(this.layout, this.random);
    this.disturber = new Disturber(this.layout, this.random);
    this.keeper = new Keeper(this.layout, this.separator);
    this.beginner = new Beginner(this.layout, this.separator, this.disturber, this.keeper, this.random);
    this.lane = lane;
    this.best = start;
    this.own = start;
    this.ownProgress = new Progress(0, start.length);
    this.bestProgress = new Progress(0, start.length);
    this.task = this.explore();
  }

  /**
   * One round. `best` is the best layout of all lanes; `tightening` tells how much of the final phase is
   * over (0 to 1), or is undefined before it.
   */
  round(best: Snapshot, tightening: number | undefined): LaneReport {
    if (best.length < this.best.length) {
      this.takeBest(best);
      if (tightening !== undefined) this.task = this.tighten();
      else if (!this.apart) {
        this.take(best);
        // Another lane's success ends only work on a length that is no longer worth reaching.
        if (this.target >= best.length) this.task = this.explore();
      }
    }
    if (tightening !== undefined && this.tightening === undefined) this.task = this.tighten();
    this.tightening = tightening;
    const { separator } = this;
    const end = separator.work + this.pace.round;
    while (separator.work < end && !this.finished()) if (this.task.next().done) break;
    return {
      best: this.best,
      moves: separator.mover.moves,
      passes: separator.passes,
      work: separator.work,
      begun: this.begun,
    };
  }

  /** True when no shorter layout can exist. */
  private finished(): boolean {
    return this.best.length <= this.problem.lengthBound * (1 + 1e-12);
  }

  private takeBest(layout: Snapshot): void {
    const { work } = this.separator;
    // What betters a layout that stood still is another one, and is given its own time.
    const another = layout.length < this.best.length * (1 - STALE_GAIN) && this.isBestStale();
    if (another) this.bestProgress = new Progress(work, layout.length);
    else this.bestProgress.add(work, layout.length);
    this.best = layout;
  }

  private take(layout: Snapshot): void {
    this.own = layout;
    this.ownProgress.add(this.separator.work, layout.length);
    if (layout.length < this.best.length) this.takeBest(layout);
  }

  private *explore(): Generator<void, void, void> {
    if (!this.started) {
      this.started = true;
      const start = this.beginner.lay(this.lane === 0 ? 0 : SHAKE);
      if (start && start.length < this.own.length) this.take(start);
      yield;
    }
    for (;;) {
      // A separation may end without a pass; the meter must be looked at all the same.
      yield;
      if (this.isSpent()) yield* this.leave();
      const { own, shrink } = this;
      const length = Math.max(this.problem.lengthBound, own.length * (1 - shrink.ratio));
      this.target = length;
      const pool: Separation[] = [];
      this.layout.load(own);
      this.disturber.shorten(length);
      const longest = own.length * (1 - GAIN);
      const sieve = shrink.hard ? this.sieve : undefined;
      let result = yield* this.separator.run(PATIENCE, longest, sieve);
      for (let attempt = 0; !result.separated && attempt < ATTEMPTS; attempt++) {
        pool.push(result);
        pool.sort((a, b) => a.overlap - b.overlap);
        this.layout.load(pool[this.random.low(pool.length)]!.best);
        this.beginner.disturb();
        result = yield* this.separator.run(PATIENCE, longest, sieve);
        if (!result.separated && this.isSpent()) break;
      }
      if (result.separated) {
        const before = own.length;
        // Steps that fall well short of what was asked ask for too much.
        if (this.offer(this.keeper.squeezed(result.best))) {
          if (this.own.length > before * (1 - shrink.ratio / 2)) shrink.less();
          continue;
        }
      }
      shrink.failed();
      if (!shrink.hard) continue;
      const beside = yield* this.beginner.walk(this.own, this.ownProgress.length * (1 + BAND), this.sieve);
      if (beside) this.take(beside);
    }
  }

  /** Whether more work on the layout at hand promises little. Lane 0 is patient with the best one. */
  private isSpent(): boolean {
    if (!this.apart) return this.lane !== 0 && this.isBestStale();
    return this.ownProgress.isStale(this.separator.work, STALE_GAIN, this.pace.own * luby(this.begun));
  }

  private isBestStale(): boolean {
    return this.bestProgress.isStale(this.separator.work, STALE_GAIN, this.pace.best);
  }

  /** Leaves the layout at hand: for the best while that promises more, else for one begun anew. */
  private *leave(): Generator<void, void, void> {
    if (this.apart && (this.lane === 0 || !this.isBestStale())) this.goBack();
    else yield* this.beginAnew();
  }

  private goBack(): void {
    const { best } = this;
    this.apart = false;
    this.shrink.anything();
    this.ownProgress = new Progress(this.separator.work, best.length);
    this.take(best);
  }

  private *beginAnew(): Generator<void, void, void> {
    const { best, random, separator } = this;
    this.apart = true;
    this.shrink.begin();
    for (;;) {
      const whole = random.next() < WHOLE;
      const kept = whole ? this.beginner.lay(SHAKE) : yield* this.beginner.scatter(best);
      yield;
      if (!kept) continue;
      this.ownProgress = new Progress(separator.work, kept.length);
      this.begun++;
      this.take(kept);
      return;
    }
  }

  private *tighten(): Generator<void, void, void> {
    this.own = this.best;
    // The lanes would all press it in the same way.
    if (this.lane === 0) yield* this.press();
    for (;;) {
      const done = this.tightening ?? 0;
      const ratio = TIGHTEN_FIRST + (TIGHTEN_LAST - TIGHTEN_FIRST) * done;
      this.layout.load(this.best);
      this.disturber.shorten(Math.max(this.problem.lengthBound, this.best.length * (1 - ratio)));
      const result = yield* this.separator.run(TIGHTEN_PATIENCE, this.best.length * (1 - 1e-6));
      if (result.separated && this.offer(this.keeper.squeezed(result.best, ratio))) yield* this.press();
      yield;
    }
  }

  /** Shortens the layout at hand, its pieces keeping their neighbours, until pushing them all at once gains no more. */
  private *press(): Generator<void, void, void> {
    for (let step = PRESS_FIRST; step >= PRESS_LAST; ) {
      this.layout.load(this.own);
      const shortest = Math.max(this.problem.lengthBound, this.own.length * (1 - step));
      if (!this.offer(this.keeper.keep(this.separator.press(shortest)))) step /= 2;
      yield;
    }
  }

  /** Takes a layout as this lane's own if there is one and it is shorter. */
  private offer(kept: Snapshot | undefined): boolean {
    if (!kept || kept.length >= this.own.length) return false;
    this.take(kept);
    return true;
  }
}
