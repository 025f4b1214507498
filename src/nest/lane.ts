import type { Fields } from './fields.js';
import { Layout, type Snapshot } from './layout.js';
import type { Problem } from './problem.js';
import { Random } from './random.js';
import { relax } from './relax.js';
import { type Separation, Separator } from './separate.js';
import { Settler } from './settle.js';
import { leftmostStart, lengthOf } from './start.js';

/** Work of one round, in the units of `Mover.work` (about nanoseconds). */
export const ROUND_WORK = 60e6;

/** Work of settling a layout, per piece. */
const SETTLE_WORK = 50e3;

const SHRINK_MOST = 0.02;
const SHRINK_LEAST = 0.001;
/** Least gain worth having while searching, and most that squeezing looks for, as shares of the length. */
const GAIN = 1e-4;
const SQUEEZE = 0.01;
const PATIENCE = 100;
/** Shares of the length by which an unwritable layout is eased, and of the width that its pieces then part. */
const LOOSENING = [1e-6, 1e-5, 1e-4] as const;
const LOOSENING_SWEEPS = 200;
const LOOSE_DISTANCE = 5e-9;
const POOL = 12;
/** Failed attempts at one length before the shrink ratio is halved. */
const ATTEMPTS = 3;
const TIGHTEN_FIRST = 0.0008;
const TIGHTEN_LAST = 0.00001;
const TIGHTEN_PATIENCE = 60;

export interface LaneReport {
  readonly best: Snapshot;
  readonly moves: number;
  readonly passes: number;
  readonly work: number;
}

/**
 * One independent search. It works in rounds of a fixed amount of work and is told between rounds of the
 * best layout of the other lanes; what it does depends on (problem, seed, lane, what it was told) alone.
 */
export class Lane {
  best: Snapshot;
  private readonly problem: Problem;
  private readonly layout: Layout;
  private readonly random: Random;
  private readonly separator: Separator;
  private readonly settler: Settler;
  private readonly lane: number;
  private started = false;
  /** Length that is being tried for. */
  private target = Infinity;
  /** By how much the next length to try is shorter than the best. */
  private ratio = SHRINK_MOST;
  private task: Generator<void, void, void>;
  /** Share of the tightening phase that is over, or undefined while searching. */
  private tightening: number | undefined;

  constructor(problem: Problem, fields: Fields, seed: number, lane: number, start: Snapshot) {
    this.problem = problem;
    this.layout = new Layout(problem, fields);
    this.random = new Random(seed, lane);
    this.separator = new Separator(this.layout, this.random);
    this.settler = new Settler(problem);
    this.lane = lane;
    this.best = start;
    this.task = this.explore();
  }

  /**
   * One round. `best` is the best layout of all lanes; `tightening` tells how much of the final phase is
   * over (0 to 1), or is undefined before it.
   */
  round(best: Snapshot, tightening: number | undefined): LaneReport {
    if (best.length < this.best.length) {
      this.best = best;
      // Another lane's success ends only work on a length that is no longer worth reaching.
      if (this.target >= best.length) this.task = tightening === undefined ? this.explore() : this.tighten();
    }
    if (tightening !== undefined && this.tightening === undefined) this.task = this.tighten();
    this.tightening = tightening;
    const { separator } = this;
    const end = separator.work + ROUND_WORK;
    while (separator.work < end && !this.finished()) if (this.task.next().done) break;
    return {
      best: this.best,
      moves: separator.mover.moves,
      passes: separator.passes,
      work: separator.work,
    };
  }

  /** True when no shorter layout can exist. */
  private finished(): boolean {
    return this.best.length <= this.problem.lengthBound * (1 + 1e-12);
  }

  private *explore(): Generator<void, void, void> {
    if (!this.started) {
      this.started = true;
      const start = leftmostStart(this.layout, this.random, this.lane === 0 ? 0 : 0.3);
      if (start) this.offer(start);
      yield;
    }
    for (;;) {
      // A separation may end without a pass; the meter must be looked at all the same.
      yield;
      const length = Math.max(this.problem.lengthBound, this.best.length * (1 - this.ratio));
      this.target = length;
      const pool: Separation[] = [];
      this.layout.load(this.best);
      this.shorten(length);
      const longest = this.best.length * (1 - GAIN);
      let result = yield* this.separator.run(PATIENCE, longest);
      for (
        let attempt = 0;
        !result.separated && attempt < ATTEMPTS * (this.ratio > 2 * SHRINK_LEAST ? 1 : 8);
        attempt++
      ) {
        pool.push(result);
        pool.sort((a, b) => a.overlap - b.overlap);
        pool.length = Math.min(pool.length, POOL);
        const r = this.random.next();
        this.layout.load(pool[Math.floor(r * r * pool.length)]!.best);
        this.disrupt();
        result = yield* this.separator.run(PATIENCE, longest);
      }
      if (result.separated) {
        const before = this.best.length;
        this.layout.load(result.best);
        // Steps that fall well short of what was asked ask for too much.
        if (this.offer(this.separator.squeeze(result.best.length * (1 - SQUEEZE)))) {
          if (this.best.length > before * (1 - this.ratio / 2))
            this.ratio = Math.max(SHRINK_LEAST, this.ratio / 2);
          continue;
        }
      }
      this.ratio = Math.max(SHRINK_LEAST, this.ratio / 2);
    }
  }

  private *tighten(): Generator<void, void, void> {
    for (;;) {
      const done = this.tightening ?? 0;
      const ratio = TIGHTEN_FIRST + (TIGHTEN_LAST - TIGHTEN_FIRST) * done;
      this.layout.load(this.best);
      this.target = Math.max(this.problem.lengthBound, this.best.length * (1 - ratio));
      this.shorten(this.target);
      const result = yield* this.separator.run(TIGHTEN_PATIENCE, this.best.length * (1 - 1e-6));
      if (result.separated) {
        this.layout.load(result.best);
        this.offer(this.separator.squeeze(result.best.length * (1 - ratio)));
      }
      yield;
    }
  }

  /** Takes a layout without overlap as the best if it settles on exact positions and is shorter. */
  private offer(candidate: Snapshot): boolean {
    this.separator.addWork(SETTLE_WORK * this.layout.count);
    const settled = this.settler.settle(this.layout, candidate) ?? this.loosened(candidate);
    if (!settled || settled.length >= this.best.length) return false;
    this.layout.load(settled);
    this.best = this.layout.saveByGroups();
    return true;
  }

  /** A layout of bare contacts that cannot be written as it is, eased by hairs until it can. */
  private loosened(candidate: Snapshot): Snapshot | undefined {
    const { layout, problem } = this;
    for (const slack of LOOSENING) {
      layout.load(candidate);
      layout.length = candidate.length * (1 + slack);
      this.separator.addWork(30 * relax(layout, LOOSENING_SWEEPS, LOOSE_DISTANCE * problem.width));
      const settled = layout.total() === 0 ? this.settler.settle(layout, layout.save()) : undefined;
      if (settled) return settled;
    }
    return undefined;
  }

  /** Cuts the strip to `length`: all pieces right of a random cut move left by the difference. */
  private shorten(length: number): void {
    const { layout, problem } = this;
    const shift = layout.length - length;
    const cut = this.random.next() * length;
    for (let i = 0; i < layout.count; i++) {
      if (layout.isFixed(i)) continue;
      const v = problem.variants[layout.variant[i]!]!;
      if (layout.x[i]! + (v.minX + v.maxX) / 2 > cut) layout.x[i] = layout.x[i]! - shift;
    }
    layout.length = length;
    for (let i = 0; i < layout.count; i++) {
      if (!layout.isFixed(i) && lengthOf(problem, layout.variant[i]!) > length) this.layAlong(i);
      layout.clamp(i);
    }
    layout.refresh();
  }

  /** A piece that has become longer than the strip takes the shortest way it may lie. */
  private layAlong(i: number): void {
    const { layout, problem } = this;
    const shortest = (a: number, b: number) => (lengthOf(problem, b) < lengthOf(problem, a) ? b : a);
    layout.variant[i] = layout.allowed(i).reduce(shortest);
  }

  /** Disturbs the layout: two pieces of different items, one of them large, change places; or a group turns. */
  private disrupt(): void {
    const { layout, problem, random } = this;
    const { itemOf, areaOfItem, groupRotations } = problem;
    if (groupRotations.length > 0 && random.next() < 0.3) {
      const group = random.below(groupRotations.length);
      const choices = groupRotations[group]!.length;
      if (choices > 1) {
        const { groups } = layout;
        groups.turn(
          group,
          (groups.rotation[group]! + 1 + random.below(choices - 1)) % choices,
          layout.variant,
        );
        for (let i = 0; i < layout.count; i++) {
          if (groups.astray[i] === 1 && !layout.isFixed(i)) this.relay(i);
        }
        groups.turn(group, groups.rotation[group]!, layout.variant);
        layout.refresh();
        return;
      }
    }
    const large = Array.from(itemOf.keys())
      .filter((i) => !layout.isFixed(i))
      .sort((a, b) => areaOfItem[itemOf[b]!]! - areaOfItem[itemOf[a]!]! || a - b);
    if (large.length === 0) return;
    const i = large[random.below(Math.max(1, Math.ceil(0.4 * large.length)))]!;
    const others = large.filter((j) => itemOf[j] !== itemOf[i]);
    if (others.length === 0) return;
    const j = others[random.below(others.length)]!;
    const [ci, cj] = [this.centre(i), this.centre(j)];
    this.relay(i, cj);
    this.relay(j, ci);
    layout.refresh();
  }

  private centre(i: number): readonly [number, number] {
    const v = this.problem.variants[this.layout.variant[i]!]!;
    return [this.layout.x[i]! + (v.minX + v.maxX) / 2, this.layout.y[i]! + (v.minY + v.maxY) / 2];
  }

  /** Lays copy i anew, in a random allowed variant, its box centred at `at`; overlaps are not brought up to date. */
  private relay(i: number, at = this.centre(i)): void {
    const { layout, random } = this;
    const allowed = layout.allowed(i);
    const variant = allowed[random.below(allowed.length)]!;
    const v = this.problem.variants[variant]!;
    layout.variant[i] = variant;
    layout.x[i] = at[0] - (v.minX + v.maxX) / 2;
    layout.y[i] = at[1] - (v.minY + v.maxY) / 2;
    layout.clamp(i);
  }
}
