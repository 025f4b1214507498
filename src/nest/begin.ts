import type { Disturber } from './disturb.js';
import type { Keeper } from './keep.js';
import type { Layout, Snapshot } from './layout.js';
import type { Random } from './random.js';
import { PATIENCE, type Separator } from './separate.js';
import type { Sieve } from './sieve.js';
import { leftmostStart } from './start.js';

/** Lengths of the stretch that is scattered, in strip widths, evenly over their logarithms. */
const STRETCH_MOST = 3;
const STRETCH_LEAST = 0.3;
/** Room that the stretch gets, as a share of it: at least, at most, and how it changes with success and failure. */
const ROOM_LEAST = 0.05;
const ROOM_MOST = 0.3;
const ROOM_FALL = 0.9;
const ROOM_RISE = 1.5;
/** Passes without less overlap after which untangling a scattered stretch is given up. */
const SCATTER_PATIENCE = 200;
/** How much longer than asked a scattered layout may become, in shares of the room it got. */
const LONGER = 1.5;
/** Share of the disturbances that move one piece away. */
const AWAY = 0.5;
/** How much the order of pieces that are laid anew is shaken. */
export const SHAKE = 0.3;

/** Makes layouts to go on from: without overlap, and mostly longer than the best one. */
export class Beginner {
  private readonly layout: Layout;
  private readonly separator: Separator;
  private readonly disturber: Disturber;
  private readonly keeper: Keeper;
  private readonly random: Random;
  private room = ROOM_LEAST;

  /** All work is counted on `separator`. */
  constructor(layout: Layout, separator: Separator, disturber: Disturber, keeper: Keeper, random: Random) {
    this.layout = layout;
    this.separator = separator;
    this.disturber = disturber;
    this.keeper = keeper;
    this.random = random;
  }

  /** A layout that owes nothing to any before it: all pieces laid from the left, their order shaken by that share. */
  lay(shake: number): Snapshot | undefined {
    const start = leftmostStart(this.layout, this.random, shake, this.separator.mover.map);
    return start && this.keeper.keep(start);
  }

  /**
   * The best layout with a stretch of it, or all where that is shorter, scattered and untangled, in a strip that is
   * longer for it. Yields after every pass; undefined where that did not succeed.
   */
  *scatter(best: Snapshot): Generator<void, Snapshot | undefined, void> {
    const { layout, separator } = this;
    const widths = STRETCH_MOST * (STRETCH_LEAST / STRETCH_MOST) ** this.random.next();
    layout.load(best);
    const added = this.disturber.scatter(widths * layout.problem.width, this.room);
    const { separated, best: found } = yield* separator.run(SCATTER_PATIENCE, best.length + LONGER * added);
    const kept = separated ? this.keeper.squeezed(found) : undefined;
    this.room = kept
      ? Math.max(ROOM_LEAST, ROOM_FALL * this.room)
      : Math.min(ROOM_MOST, ROOM_RISE * this.room);
    return kept;
  }

  /** A step aside from the layout at hand, which may overlap then: one piece moves away, or what `Disturber.swap` does. */
  disturb(): void {
    const { random, separator } = this;
    const { movable } = this.layout;
    const away = movable.length > 0 && random.next() < AWAY;
    if (away && separator.moveAway(movable[random.below(movable.length)]!)) return;
    separator.addWork(this.disturber.swap());
  }

  /**
   * A neighbour of `from`, disturbed, in a strip of up to `longest`. Yields after every pass; undefined where it could not
   * be untangled, as `sieve` sees it.
   */
  *walk(from: Snapshot, longest: number, sieve: Sieve): Generator<void, Snapshot | undefined, void> {
    const { layout, separator } = this;
    layout.load(from);
    this.disturb();
    layout.length += Math.max(0, longest - from.length) * this.random.next();
    const { separated, best: found } = yield* separator.run(PATIENCE, longest, sieve);
    const kept = separated ? this.keeper.squeezed(found) : undefined;
    return kept && kept.length <= longest ? kept : undefined;
  }
}
