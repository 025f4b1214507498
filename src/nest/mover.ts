import { KeptMaps } from './kept-maps.js';
import type { Layout } from './layout.js';
import { createNear, type Near, RAYS } from './near.js';
import type { Random } from './random.js';
import { StripMap } from './strip-map.js';

/** Map minima looked at exactly, per move. */
const SEEDS = 5;
/** Nodes this much worse than where the piece stands, in cells x mean weight, are not looked at. */
const SLACK = 1;
/** Nodes of the map below this, in cells, are free. */
const FREE = 1e-12;
/**
 * How far along the strip a move mostly looks, in mean sizes of a piece (square roots of their areas) to either side of
 * where the piece stands. Looking less far costs a little less, and tears apart less of what lies well.
 */
const WINDOW = 1.5;
const EVERYWHERE = [-Infinity, Infinity] as const;
/** Laid the same way, a piece is elsewhere when it is at least this many mean sizes from where it stood. */
const ELSEWHERE = 0.3;
/** Steps of the pattern search, in cells: first, end for the best minimum, end for the place that is taken. */
const STEP_FIRST = 0.5;
const STEP_COARSE = 1 / 25;
const STEP_FINE = 1 / 500;
/** Copies this many cells away from overlap may come into it while a place is refined. */
const MARGIN = 3;

/**
 * Moves one piece to where it overlaps least, counted by the pairs' weights: the lowest minima of its map
 * over the strip or a window of it in every allowed way of laying it, then a pattern search (Hooke and Jeeves 1961, in random
 * directions) on exact depths from the best of them. Many moves are worth more than thorough ones: few minima are
 * looked at, one is refined.
 */
export class Mover {
  readonly map = new StripMap();
  moves = 0;
  /** Whether every move looks all along the strip. */
  wide = false;
  private evaluations = 0;
  private readonly kept: KeptMaps;
  private readonly layout: Layout;
  private readonly weights: Float64Array;
  private readonly random: Random;
  /** How far a windowed move looks; how near a place is not elsewhere. */
  private readonly sight: number;
  private readonly hereabouts: number;

  private readonly seedKey = new Float64Array(SEEDS);
  private readonly seedX = new Float64Array(SEEDS);
  private readonly seedY = new Float64Array(SEEDS);
  private readonly seedVariant = new Int32Array(SEEDS);
  private seeds = 0;

  private readonly near: Near;
  private nearCount = 0;
  private readonly box = { minX: 0, minY: 0, maxX: 0, maxY: 0 };

  constructor(layout: Layout, weights: Float64Array, random: Random) {
    this.layout = layout;
    this.weights = weights;
    this.random = random;
    this.kept = new KeptMaps(layout);
    this.near = createNear(layout.fields, layout.count);
    const { totalArea, pieces } = layout.problem;
    const size = Math.sqrt(totalArea / pieces);
    this.sight = WINDOW * size;
    this.hereabouts = ELSEWHERE * size;
  }

  /** Work done so far, about in nanoseconds; the same on every machine. */
  get work(): number {
    return 0.25 * this.map.work + 40 * this.evaluations;
  }

  /** Weighted depth of copy i where it stands. */
  costOf(i: number): number {
    const { count, overlap } = this.layout;
    let cost = 0;
    for (let k = i * count; k < (i + 1) * count; k++) cost += overlap[k]! * this.weights[k]!;
    return cost;
  }

  /** Moves copy i if a better place is found; returns whether it moved. */
  move(i: number, variants: readonly number[]): boolean {
    const { layout, near } = this;
    const { cell } = layout.fields.pools;
    this.moves++;
    const current = this.costOf(i);
    this.seeds = 0;
    const own = this.weights[i * layout.count + i]!;
    const [first, last] = this.window(i);
    for (const variant of variants) {
      const stray = layout.stray(i, variant) * own;
      if (stray >= current + SLACK * cell) continue;
      if (!this.kept.fill(this.map, i, variant, this.weights, first, last)) continue;
      this.scan(variant, stray, current + SLACK * cell);
    }

    near.observe(layout.x, layout.y, layout.variant, this.weights, i * layout.count);
    // The places as they are, exactly; the best one is refined.
    const { seedX, seedY, seedVariant } = this;
    let seed = -1;
    let seedCost = Infinity;
    for (let k = 0; k < this.seeds; k++) {
      this.gather(i, seedVariant[k]!, seedX[k]!, seedY[k]!);
      const cost = layout.stray(i, seedVariant[k]!) * own + this.cost(seedX[k]!, seedY[k]!);
      if (cost >= seedCost) continue;
      seed = k;
      seedCost = cost;
    }
    let foundCost = current;
    let foundX = layout.x[i]!;
    let foundY = layout.y[i]!;
    let foundVariant = layout.variant[i]!;
    if (seed >= 0) {
      const variant = seedVariant[seed]!;
      const astray = layout.stray(i, variant) * own;
      const [x, y] = [seedX[seed]!, seedY[seed]!];
      this.gather(i, variant, x, y);
      this.refine(i, variant, x, y, seedCost - astray, STEP_FIRST * cell, STEP_COARSE * cell);
      if (near.cost + astray < foundCost) {
        foundCost = near.cost + astray;
        foundX = near.x;
        foundY = near.y;
        foundVariant = variant;
      }
    }
    const stray = layout.stray(i, foundVariant) * own;
    if (foundCost > stray) {
      this.gather(i, foundVariant, foundX, foundY);
      this.refine(
        i,
        foundVariant,
        foundX,
        foundY,
        foundCost - stray,
        2 * STEP_COARSE * cell,
        STEP_FINE * cell,
      );
      if (near.cost + stray < foundCost) {
        foundCost = near.cost + stray;
        foundX = near.x;
        foundY = near.y;
      }
    }
    if (foundCost >= current) return false;
    layout.place(i, foundVariant, foundX, foundY);
    return true;
  }

  /**
   * Moves copy i, in one of `variants`, away to where it overlaps least, or to another of a few such places, the better the
   * likelier. False, and nothing moved, when it can lie nowhere else.
   */
  moveAway(i: number, variants: readonly number[]): boolean {
    const { layout, random, seedVariant, seedX, seedY } = this;
    this.moves++;
    this.seeds = 0;
    for (const variant of variants) {
      if (!this.kept.fill(this.map, i, variant, this.weights, ...EVERYWHERE)) continue;
      this.scan(variant, 0, Infinity, variant === layout.variant[i] ? i : -1);
    }
    if (this.seeds === 0) return false;
    const k = random.low(this.seeds);
    layout.place(i, seedVariant[k]!, seedX[k]!, seedY[k]!);
    return true;
  }

  /** Whether (x, y) is about where copy i stands. */
  private isHere(i: number, x: number, y: number): boolean {
    return Math.hypot(x - this.layout.x[i]!, y - this.layout.y[i]!) < this.hereabouts;
  }

  /** Where the box of copy i may begin: mostly in a window, but the oftener anywhere the less of the strip that leaves out. */
  private window(i: number): readonly [first: number, last: number] {
    const { layout, sight } = this;
    if (this.wide || this.random.next() * layout.length < 2 * sight) return EVERYWHERE;
    const at = layout.x[i]! + layout.problem.variants[layout.variant[i]!]!.minX;
    return [at - sight, at + sight];
  }

  /**
   * Keeps the lowest local minima below `limit` among the map's nodes; among free nodes, random ones. None about where
   * copy `leaving` stands, if there is one.
   */
  private scan(variant: number, stray: number, limit: number, leaving = -1): void {
    const { map, seedKey } = this;
    const { nx, ny, values } = map;
    const { kernel, pools } = this.layout.fields;
    const { cell } = pools;
    map.work += nx * ny;
    let bound = this.seeds === SEEDS ? Math.min(limit, seedKey[SEEDS - 1]!) : limit;
    // The keys of free nodes lie below 0, their values do not.
    const count = kernel.minima(nx, ny, Math.max(bound - stray, FREE * cell));
    const { found } = kernel;
    for (let k = 0; k < count; k++) {
      const node = found[k]!;
      const value = values[node]!;
      const key = value >= FREE * cell || stray > 0 ? value + stray : -this.random.next();
      if (key >= bound) continue;
      const row = Math.floor(node / nx);
      const col = node - row * nx;
      const x = Math.max(map.leastX, Math.min(map.toX, map.fromX + col * cell));
      const y = Math.max(map.fromY, Math.min(map.toY, map.fromY + row * cell));
      if (leaving >= 0 && this.isHere(leaving, x, y)) continue;
      this.insert(key, x, y, variant);
      if (this.seeds === SEEDS) bound = Math.min(limit, seedKey[SEEDS - 1]!);
    }
  }

  private insert(key: number, x: number, y: number, variant: number): void {
    const { seedKey, seedX, seedY, seedVariant } = this;
    let k = this.seeds < SEEDS ? this.seeds++ : SEEDS - 1;
    for (; k > 0 && seedKey[k - 1]! > key; k--) {
      seedKey[k] = seedKey[k - 1]!;
      seedX[k] = seedX[k - 1]!;
      seedY[k] = seedY[k - 1]!;
      seedVariant[k] = seedVariant[k - 1]!;
    }
    seedKey[k] = key;
    seedX[k] = x;
    seedY[k] = y;
    seedVariant[k] = variant;
  }

  /** Collects the copies that copy i may overlap within a few steps of (x, y). */
  private gather(i: number, variant: number, x: number, y: number): void {
    const { fields, tolerance } = this.layout;
    this.nearCount = this.near.gather(i, variant, x, y, MARGIN * fields.pools.cell, tolerance);
  }

  /** Weighted depth of the gathered copies at (x, y). */
  private cost(x: number, y: number): number {
    this.evaluations += this.nearCount;
    return this.near.costAt(x, y);
  }

  /** Pattern search from (x, y) inside the strip; the result is left in `near`. */
  private refine(
    i: number,
    variant: number,
    x: number,
    y: number,
    cost: number,
    firstStep: number,
    lastStep: number,
  ): void {
    const { layout, box } = this;
    const v = layout.problem.variants[variant]!;
    layout.reach(i, variant);
    box.minX = layout.leastX;
    box.minY = v.leastY;
    box.maxX = Math.max(box.minX, layout.mostX);
    box.maxY = Math.max(box.minY, v.mostY);
    const looked = this.near.refine(x, y, cost, firstStep, lastStep, box, this.random.below(RAYS));
    this.evaluations += looked * this.nearCount;
  }
}
