import type { Layout } from './layout.js';
import type { Random } from './random.js';
import { lengthOf } from './start.js';

/** Random exchanges of which the one that leaves the least overlap is made; share of the pieces that count as large. */
const EXCHANGES = 60;
const LARGE = 0.4;
/** Work of finding the depth of a pair; depths found for every copy there is, as two copies change places and go back. */
const DEPTH_WORK = 10;
const DEPTHS_PER_EXCHANGE = 4;

/** Changes a layout so that a search may find another one: what it makes may overlap. */
export class Disturber {
  private readonly layout: Layout;
  private readonly random: Random;
  /** The copies that may move; those of them that are of other items, by item. */
  private readonly largestFirst: readonly number[];
  private readonly othersOfItem: readonly (readonly number[])[];

  constructor(layout: Layout, random: Random) {
    this.layout = layout;
    this.random = random;
    const { itemOf, areaOfItem } = layout.problem;
    this.largestFirst = [...layout.movable].sort(
      (a, b) => areaOfItem[itemOf[b]!]! - areaOfItem[itemOf[a]!]! || a - b,
    );
    this.othersOfItem = Array.from(areaOfItem, (_, item) =>
      this.largestFirst.filter((j) => itemOf[j] !== item),
    );
  }

  /** Cuts the strip to `length`: all pieces right of a random cut move left by the difference. */
  shorten(length: number): void {
    const { layout } = this;
    const { movable, problem } = layout;
    const shift = layout.length - length;
    const cut = this.random.next() * length;
    for (const i of movable) {
      const v = problem.variants[layout.variant[i]!]!;
      if (layout.x[i]! + (v.minX + v.maxX) / 2 > cut) layout.x[i] = layout.x[i]! - shift;
    }
    layout.length = length;
    for (const i of movable) {
      if (lengthOf(problem, layout.variant[i]!) > length) this.layAlong(i);
      layout.clamp(i);
    }
    layout.refresh();
  }

  /** A piece that has become longer than the strip takes the shortest way it may lie. */
  private layAlong(i: number): void {
    const { layout } = this;
    const { problem } = layout;
    const shortest = (a: number, b: number) => (lengthOf(problem, b) < lengthOf(problem, a) ? b : a);
    layout.variant[i] = layout.allowed(i).reduce(shortest);
  }

  /**
   * Disturbs the layout: a group turns, or two pieces change places. Returns about how much work that took, in the unit of
   * `Separator.work`.
   */
  swap(): number {
    const { layout, random } = this;
    const { groupRotations } = layout.problem;
    if (groupRotations.length > 0 && random.next() < 0.3) {
      const group = random.below(groupRotations.length);
      if (groupRotations[group]!.length > 1) {
        this.turn(group);
        return 0;
      }
    }
    return this.exchange();
  }

  private turn(group: number): void {
    const { layout, random } = this;
    const { groups } = layout;
    const choices = layout.problem.groupRotations[group]!.length;
    groups.turn(group, (groups.rotation[group]! + 1 + random.below(choices - 1)) % choices, layout.variant);
    for (const i of layout.movable) if (groups.astray[i] === 1) this.relay(i);
    groups.turn(group, groups.rotation[group]!, layout.variant);
    layout.refresh();
  }

  /** Of some random exchanges makes the one that leaves the least overlap: most others would never be untangled. */
  private exchange(): number {
    const { layout } = this;
    if (this.largestFirst.length === 0) return 0;
    const before = layout.save();
    let best = before;
    let least = Infinity;
    for (let k = 0; k < EXCHANGES; k++) {
      if (k > 0) layout.load(before);
      this.exchangeOnce();
      layout.refresh();
      const overlap = layout.total();
      if (overlap < least) {
        least = overlap;
        best = layout.save();
      }
    }
    layout.load(best);
    return EXCHANGES * DEPTHS_PER_EXCHANGE * layout.count * DEPTH_WORK;
  }

  /** Two pieces of different items, one of them large, change places; among like pieces one is laid elsewhere. */
  private exchangeOnce(): void {
    const { layout, random, largestFirst } = this;
    const { itemOf, width } = layout.problem;
    const i = largestFirst[random.below(Math.max(1, Math.ceil(LARGE * largestFirst.length)))]!;
    const others = this.othersOfItem[itemOf[i]!]!;
    if (others.length === 0) {
      // Like pieces that change places leave all as it was.
      this.relay(i, [random.next() * layout.length, random.next() * width]);
      return;
    }
    const j = others[random.below(others.length)]!;
    const [ci, cj] = [this.centre(i), this.centre(j)];
    this.relay(i, cj);
    this.relay(j, ci);
  }

  /**
   * Scatters at random what lies in a stretch of the strip `long`, or of the whole strip where that is shorter,
   * and gives it room for a share `room` more. Returns by how much the strip grew.
   */
  scatter(long: number, room: number): number {
    const { layout, random } = this;
    const stretch = Math.min(long, layout.length);
    const start = random.next() * (layout.length - stretch);
    const added = room * stretch;
    layout.length += added;
    for (const i of layout.movable) {
      const [x] = this.centre(i);
      if (x > start + stretch) layout.x[i] = layout.x[i]! + added;
      else if (x >= start) {
        const { leastY, mostY } = layout.problem.variants[layout.variant[i]!]!;
        const y = leastY + random.next() * (mostY - leastY);
        this.relay(i, [start + random.next() * (stretch + added), this.centre(i)[1] + y - layout.y[i]!]);
      }
    }
    if (layout.groups.any) layout.groups.read(layout.variant);
    for (let i = 0; i < layout.count; i++) layout.clamp(i);
    layout.refresh();
    return added;
  }

  private centre(i: number): readonly [number, number] {
    const v = this.layout.problem.variants[this.layout.variant[i]!]!;
    return [this.layout.x[i]! + (v.minX + v.maxX) / 2, this.layout.y[i]! + (v.minY + v.maxY) / 2];
  }

  /** Lays copy i anew, in a random allowed variant, its box centred at `at`; overlaps are not brought up to date. */
  private relay(i: number, at = this.centre(i)): void {
    const { layout, random } = this;
    const allowed = layout.allowed(i);
    const variant = allowed[random.below(allowed.length)]!;
    const v = this.layout.problem.variants[variant]!;
    layout.variant[i] = variant;
    layout.x[i] = at[0] - (v.minX + v.maxX) / 2;
    layout.y[i] = at[1] - (v.minY + v.maxY) / 2;
    layout.clamp(i);
  }
}
