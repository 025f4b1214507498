import type { Layout } from './layout.js';
import type { Random } from './random.js';
import { StripMap } from './strip-map.js';

/** Map minima looked at exactly, per move. */
const SEEDS = 10;
/** Of those, the best that are refined. */
const REFINED = 3;
/** Nodes this much worse than where the piece stands, in cells x mean weight, are not looked at. */
const SLACK = 4;
/** Steps of the pattern search, in cells: first, end for all, end for the winner. */
const STEP_FIRST = 0.5;
const STEP_COARSE = 1 / 25;
const STEP_FINE = 1 / 500;

/**
 * Moves one piece to where it overlaps least, counted by the pairs' weights: the lowest minima of its map
 * over the whole strip in every allowed way of laying it, then a pattern search on exact depths from the
 * best of them.
 */
export class Mover {
  readonly map = new StripMap();
  moves = 0;
  private evaluations = 0;
  private readonly layout: Layout;
  private readonly weights: Float64Array;
  private readonly random: Random;

  private readonly seedKey = new Float64Array(SEEDS);
  private readonly seedX = new Float64Array(SEEDS);
  private readonly seedY = new Float64Array(SEEDS);
  private readonly seedVariant = new Int32Array(SEEDS);
  private seeds = 0;

  private readonly near: Int32Array;
  private nearCount = 0;

  private bestX = 0;
  private bestY = 0;
  private bestCost = 0;

  constructor(layout: Layout, weights: Float64Array, random: Random) {
    this.layout = layout;
    this.weights = weights;
    this.random = random;
    this.near = new Int32Array(layout.count);
  }

  /** Work done so far, about in nanoseconds; the same on every machine. */
  get work(): number {
    return 0.5 * this.map.work + 40 * this.evaluations;
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
    const { layout } = this;
    const { cell } = layout.fields.pools;
    this.moves++;
    const current = this.costOf(i);
    this.seeds = 0;
    const own = this.weights[i * layout.count + i]!;
    for (const variant of variants) {
      const stray = layout.stray(i, variant) * own;
      if (stray >= current + SLACK * cell) continue;
      if (this.map.fill(layout, i, variant, this.weights)) this.scan(variant, stray, current + SLACK * cell);
    }

    // The places as they are, exactly; the best few become starting points.
    let foundCost = current;
    let foundX = layout.x[i]!;
    let foundY = layout.y[i]!;
    let foundVariant = layout.variant[i]!;
    const { seedKey, seedX, seedY, seedVariant } = this;
    for (let k = 0; k < this.seeds; k++) {
      this.gather(i, seedVariant[k]!, seedX[k]!, seedY[k]!);
      seedKey[k] =
        layout.stray(i, seedVariant[k]!) * own +
        this.cost(i, seedVariant[k]!, seedX[k]!, seedY[k]!, Infinity);
    }
    this.sortSeeds();
    for (let k = 0; k < Math.min(REFINED, this.seeds); k++) {
      this.gather(i, seedVariant[k]!, seedX[k]!, seedY[k]!);
      this.refine(
        i,
        seedVariant[k]!,
        seedX[k]!,
        seedY[k]!,
        seedKey[k]! - layout.stray(i, seedVariant[k]!) * own,
        STEP_FIRST * cell,
        STEP_COARSE * cell,
      );
      const stray = layout.stray(i, seedVariant[k]!) * own;
      if (this.bestCost + stray >= foundCost) continue;
      foundCost = this.bestCost + stray;
      foundX = this.bestX;
      foundY = this.bestY;
      foundVariant = seedVariant[k]!;
      if (foundCost === 0) break;
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
      if (this.bestCost + stray < foundCost) {
        foundCost = this.bestCost + stray;
        foundX = this.bestX;
        foundY = this.bestY;
      }
    }
    if (foundCost >= current) return false;
    layout.place(i, foundVariant, foundX, foundY);
    return true;
  }

  /** Keeps the lowest local minima below `limit` among the map's nodes; among free nodes, random ones. */
  private scan(variant: number, stray: number, limit: number): void {
    const { map, seedKey } = this;
    const { nx, ny, values } = map;
    const { kernel, pools } = this.layout.fields;
    const { cell } = pools;
    map.work += nx * ny;
    let bound = this.seeds === SEEDS ? Math.min(limit, seedKey[SEEDS - 1]!) : limit;
    const count = kernel.minima(nx, ny, bound - stray);
    const { found } = kernel;
    for (let k = 0; k < count; k++) {
      const node = found[k]!;
      const value = values[node]!;
      const key = value > 0 || stray > 0 ? value + stray : -this.random.next();
      if (key >= bound) continue;
      const row = Math.floor(node / nx);
      const col = node - row * nx;
      this.insert(
        key,
        Math.min(map.toX, map.fromX + col * cell),
        Math.max(map.fromY, Math.min(map.toY, map.fromY + row * cell)),
        variant,
      );
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

  private sortSeeds(): void {
    const { seedKey, seedX, seedY, seedVariant } = this;
    const count = this.seeds;
    this.seeds = 0;
    for (let k = 0; k < count; k++) this.insert(seedKey[k]!, seedX[k]!, seedY[k]!, seedVariant[k]!);
  }

  /** Collects the copies that copy i may overlap within a few steps of (x, y). */
  private gather(i: number, variant: number, x: number, y: number): void {
    const { count, fields, x: xs, y: ys, variant: variants } = this.layout;
    const { code, shape, origin, cell, variants: total } = fields.pools;
    const margin = 3 * cell;
    let n = 0;
    for (let j = 0; j < count; j++) {
      if (j === i) continue;
      const c = code[variants[j]! * total + variant]!;
      const t = c >> 1;
      const flip = (c & 1) === 1 ? -1 : 1;
      const fx = flip * (x - xs[j]!) - origin[2 * t]!;
      const fy = flip * (y - ys[j]!) - origin[2 * t + 1]!;
      if (fx < -margin || fy < -margin) continue;
      if (fx > shape[4 * t]! * cell + margin || fy > shape[4 * t + 1]! * cell + margin) continue;
      this.near[n++] = j;
    }
    this.nearCount = n;
  }

  /** Weighted depth of copy i at (x, y) against the gathered copies; stops counting above `bound`. */
  private cost(i: number, variant: number, x: number, y: number, bound: number): number {
    const { count, fields, x: xs, y: ys, variant: variants, tolerance } = this.layout;
    const { code, variants: total } = fields.pools;
    const { near, nearCount, weights } = this;
    let cost = 0;
    for (let k = 0; k < nearCount; k++) {
      const j = near[k]!;
      const d = fields.depth(code[variants[j]! * total + variant]!, x - xs[j]!, y - ys[j]!);
      if (d > tolerance) {
        cost += d * weights[i * count + j]!;
        if (cost >= bound) break;
      }
    }
    this.evaluations += nearCount;
    return cost;
  }

  /** Pattern search: random crosses of four trial steps, halved when none is better. */
  private refine(
    i: number,
    variant: number,
    x: number,
    y: number,
    cost: number,
    firstStep: number,
    lastStep: number,
  ): void {
    const v = this.layout.problem.variants[variant]!;
    this.layout.reach(i, variant);
    const minX = this.layout.leastX;
    const minY = v.leastY;
    const maxX = Math.max(minX, this.layout.mostX);
    const maxY = Math.max(minY, v.mostY);
    let step = firstStep;
    while (step >= lastStep && cost > 0) {
      let dx = this.random.next() * 2 - 1;
      let dy = this.random.next() * 2 - 1;
      const norm = Math.sqrt(dx * dx + dy * dy);
      if (norm === 0) continue;
      dx *= step / norm;
      dy *= step / norm;
      let better = false;
      for (let turn = 0; turn < 4; turn++) {
        const tryX = Math.max(minX, Math.min(maxX, x + dx));
        const tryY = Math.max(minY, Math.min(maxY, y + dy));
        const found = this.cost(i, variant, tryX, tryY, cost);
        if (found < cost) {
          cost = found;
          x = tryX;
          y = tryY;
          better = true;
          break;
        }
        const swap = dx;
        dx = -dy;
        dy = swap;
      }
      if (!better) step *= 0.5;
    }
    this.bestX = x;
    this.bestY = y;
    this.bestCost = cost;
  }
}
