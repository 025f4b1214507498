/**
 * The copies near a piece about to move, and what standing among them costs: the inner loops of the exact part
 * of a move. They run in WebAssembly where the machine can; the plain loops below do the same float64 operations
 * in the same order and give the same numbers to the last bit.
 */
import type { Fields } from './fields.js';
import type { KernelMemory } from './kernel-memory.js';
import { Random } from './random.js';

/** Directions of the pattern search, taken in turn: a power of two. */
export const RAYS = 1024;
/** Seed of the directions: any. */
const RAY_SEED = 20;
const NEAR_BYTES = 64;

export interface Near {
  /** Where the last `refine` ended, and its cost there. */
  readonly x: number;
  readonly y: number;
  readonly cost: number;
  /** Takes over the positions of all copies and the weights of the one about to move, `row` on in `weights`. */
  observe(x: Float64Array, y: Float64Array, variant: Int32Array, weights: Float64Array, row: number): void;
  /** Collects the copies that copy i may overlap within `margin` of (x, y) in `variant`. Returns how many. */
  gather(i: number, variant: number, x: number, y: number, margin: number, tolerance: number): number;
  /** Weighted depth at (x, y) against the gathered copies, depths up to the tolerance being contact. */
  costAt(x: number, y: number): number;
  /**
   * Pattern search from (x, y), whose cost is `known`, in the box: crosses of four trial steps, halved from
   * `firstStep` to `lastStep` when none is better, turned by direction number `ray` and those that follow.
   * Returns how many costs were counted.
   */
  refine(
    x: number,
    y: number,
    known: number,
    firstStep: number,
    lastStep: number,
    box: Readonly<Reach>,
    ray: number,
  ): number;
}

/** Positions that keep a piece where it may be. */
export interface Reach {
  minX: number;
  minY: number;
  maxX: number;
  maxY: number;
}

/** The fastest way to look round among `copies` pieces that this machine runs. */
export const createNear = (fields: Fields, copies: number): Near =>
  fields.memory === undefined ? new PlainNear(fields, copies) : new FastNear(fields.memory, copies);

/** Unit vectors x, y, x, y, ... spread evenly at random. */
function directions(): Float64Array {
  const random = new Random(RAY_SEED);
  const rays = new Float64Array(2 * RAYS);
  for (let k = 0; k < RAYS; ) {
    const x = random.next() * 2 - 1;
    const y = random.next() * 2 - 1;
    const squared = x * x + y * y;
    if (squared > 1 || squared < 0.01) continue;
    const norm = Math.sqrt(squared);
    rays[2 * k] = x / norm;
    rays[2 * k + 1] = y / norm;
    k++;
  }
  return rays;
}

export class PlainNear implements Near {
  x = 0;
  y = 0;
  cost = 0;
  private readonly fields: Fields;
  private readonly rays = directions();
  private readonly near: Int32Array;
  private count = 0;
  private xs: Float64Array = new Float64Array(0);
  private ys: Float64Array = new Float64Array(0);
  private variants: Int32Array = new Int32Array(0);
  private weights: Float64Array = new Float64Array(0);
  private row = 0;
  private variant = 0;
  private tolerance = 0;

  constructor(fields: Fields, copies: number) {
    this.fields = fields;
    this.near = new Int32Array(copies);
  }

  observe(x: Float64Array, y: Float64Array, variant: Int32Array, weights: Float64Array, row: number): void {
    this.xs = x;
    this.ys = y;
    this.variants = variant;
    this.weights = weights;
    this.row = row;
  }

  gather(i: number, variant: number, x: number, y: number, margin: number, tolerance: number): number {
    const { near, xs, ys, variants } = this;
    const { code, shape, origin, cell, variants: total } = this.fields.pools;
    let n = 0;
    for (let j = 0; j < near.length; j++) {
      if (j === i) continue;
      const c = code[variants[j]! * total + variant]!;
      const t = c >> 1;
      const sense = (c & 1) === 1 ? -1 : 1;
      const fx = sense * (x - xs[j]!) - origin[2 * t]!;
      const fy = sense * (y - ys[j]!) - origin[2 * t + 1]!;
      if (fx < -margin || fy < -margin) continue;
      if (fx > shape[4 * t]! * cell + margin || fy > shape[4 * t + 1]! * cell + margin) continue;
      near[n++] = j;
    }
    this.variant = variant;
    this.tolerance = tolerance;
    this.count = n;
    return n;
  }

  costAt(x: number, y: number): number {
    return this.below(x, y, Infinity);
  }

  refine(
    x: number,
    y: number,
    known: number,
    firstStep: number,
    lastStep: number,
    box: Readonly<Reach>,
    ray: number,
  ): number {
    let looked = 0;
    let least = known;
    let step = firstStep;
    while (step >= lastStep && least > 0) {
      const direction = 2 * (ray++ & (RAYS - 1));
      let dx = step * this.rays[direction]!;
      let dy = step * this.rays[direction + 1]!;
      let better = false;
      for (let turn = 0; turn < 4; turn++) {
        const tryX = Math.max(box.minX, Math.min(box.maxX, x + dx));
        const tryY = Math.max(box.minY, Math.min(box.maxY, y + dy));
        const found = this.below(tryX, tryY, least);
        looked++;
        if (found < least) {
          least = found;
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
    this.x = x;
    this.y = y;
    this.cost = least;
    return looked;
  }

  /** As `costAt`, but stops counting at `bound`. */
  private below(x: number, y: number, bound: number): number {
    const { fields, near, count, xs, ys, variants, variant, weights, row, tolerance } = this;
    const { code, variants: total } = fields.pools;
    let cost = 0;
    for (let k = 0; k < count; k++) {
      const j = near[k]!;
      const depth = fields.depth(code[variants[j]! * total + variant]!, x - xs[j]!, y - ys[j]!);
      if (depth > tolerance) {
        cost += depth * weights[row + j]!;
        if (cost >= bound) break;
      }
    }
    return cost;
  }
}

/** The same in WebAssembly: positions are copied into its memory, which costs next to nothing beside a move. */
class FastNear implements Near {
  private readonly memory: KernelMemory;
  private readonly copies: number;
  private readonly xAt: number;
  private readonly yAt: number;
  private readonly weightAt: number;
  private readonly variantAt: number;
  private readonly resultAt: number;
  private readonly nearAt: number;
  private readonly raysAt: number;
  private buffer: ArrayBuffer | undefined;
  private xs = new Float64Array(0);
  private ys = new Float64Array(0);
  private weights = new Float64Array(0);
  private variants = new Int32Array(0);
  private result = new Float64Array(0);

  constructor(memory: KernelMemory, copies: number) {
    this.memory = memory;
    this.copies = copies;
    this.xAt = memory.reserve(8 * copies);
    this.yAt = memory.reserve(8 * copies);
    this.weightAt = memory.reserve(8 * copies);
    this.variantAt = memory.reserve(4 * copies);
    this.resultAt = memory.reserve(24);
    this.nearAt = memory.reserve(NEAR_BYTES * copies);
    this.raysAt = memory.reserve(16 * RAYS);
    new Float64Array(memory.buffer, this.raysAt, 2 * RAYS).set(directions());
  }

  get x(): number {
    return this.result[0]!;
  }

  get y(): number {
    return this.result[1]!;
  }

  get cost(): number {
    return this.result[2]!;
  }

  observe(x: Float64Array, y: Float64Array, variant: Int32Array, weights: Float64Array, row: number): void {
    if (this.buffer !== this.memory.buffer) this.look();
    // Lanes of a thread share the code, which looks round for whoever observed last.
    this.memory.code.setCopies(
      this.copies,
      this.xAt,
      this.yAt,
      this.weightAt,
      this.variantAt,
      this.nearAt,
      this.raysAt,
      RAYS,
      this.resultAt,
    );
    this.xs.set(x);
    this.ys.set(y);
    this.variants.set(variant);
    for (let j = 0; j < this.copies; j++) this.weights[j] = weights[row + j]!;
  }

  gather(i: number, variant: number, x: number, y: number, margin: number, tolerance: number): number {
    return this.memory.code.gather(i, variant, x, y, margin, tolerance);
  }

  costAt(x: number, y: number): number {
    return this.memory.code.cost(x, y, Infinity);
  }

  refine(
    x: number,
    y: number,
    known: number,
    firstStep: number,
    lastStep: number,
    box: Readonly<Reach>,
    ray: number,
  ): number {
    if (this.buffer !== this.memory.buffer) this.look();
    const { minX, minY, maxX, maxY } = box;
    return this.memory.code.refine(x, y, known, firstStep, lastStep, minX, minY, maxX, maxY, ray);
  }

  /** Views of the memory, which has grown. */
  private look(): void {
    const { copies } = this;
    const { buffer } = this.memory;
    this.buffer = buffer;
    this.xs = new Float64Array(buffer, this.xAt, copies);
    this.ys = new Float64Array(buffer, this.yAt, copies);
    this.weights = new Float64Array(buffer, this.weightAt, copies);
    this.variants = new Int32Array(buffer, this.variantAt, copies);
    this.result = new Float64Array(buffer, this.resultAt, 3);
  }
}
