import type { Fields } from './fields.js';
import type { Problem } from './problem.js';

/** Positions of all copies, plain data: what lanes keep, exchange and verify. */
export interface Snapshot {
  readonly length: number;
  readonly x: Float64Array;
  readonly y: Float64Array;
  readonly variant: Int32Array;
}

/**
 * A layout that may overlap: the positions of all copies in a strip of a given length, and the depth at
 * which every pair overlaps, kept up to date move by move.
 */
export class Layout {
  readonly problem: Problem;
  readonly fields: Fields;
  readonly count: number;
  length = 0;
  readonly x: Float64Array;
  readonly y: Float64Array;
  readonly variant: Int32Array;
  /** count x count, symmetric: depth of the pair, 0 where it does not overlap by more than `tolerance`. */
  readonly overlap: Float64Array;
  /** Weight of each pair before any search: geometric mean of the pieces' sizes, about 1 on average. */
  readonly baseWeight: Float64Array;
  /** Depths up to this are contact. */
  readonly tolerance: number;
  /** Index of the group's rotation in `problem.groupRotations`, per group. */
  readonly groupRotation: Int32Array;

  constructor(problem: Problem, fields: Fields) {
    const { count } = problem;
    this.problem = problem;
    this.fields = fields;
    this.count = count;
    this.x = new Float64Array(count);
    this.y = new Float64Array(count);
    this.variant = new Int32Array(count);
    this.overlap = new Float64Array(count * count);
    this.baseWeight = baseWeights(problem);
    this.tolerance = 1e-10 * problem.width;
    this.groupRotation = new Int32Array(problem.groupRotations.length);
  }

  load(snapshot: Snapshot): void {
    this.length = snapshot.length;
    this.x.set(snapshot.x);
    this.y.set(snapshot.y);
    this.variant.set(snapshot.variant);
    this.readGroups();
    this.refresh();
  }

  save(): Snapshot {
    return { length: this.length, x: this.x.slice(), y: this.y.slice(), variant: this.variant.slice() };
  }

  /** Recomputes every pair. */
  refresh(): void {
    for (let i = 0; i < this.count; i++) this.refreshRow(i, i + 1);
  }

  place(i: number, variant: number, x: number, y: number): void {
    this.variant[i] = variant;
    this.x[i] = x;
    this.y[i] = y;
    this.refreshRow(i, 0);
  }

  /** Sum of base weight x depth over all pairs; 0 for a layout without overlap. */
  total(): number {
    let total = 0;
    for (let i = 0; i < this.count; i++) {
      const row = i * this.count;
      for (let j = i + 1; j < this.count; j++) {
        if (this.overlap[row + j]! > 0) total += this.overlap[row + j]! * this.baseWeight[row + j]!;
      }
    }
    return total;
  }

  /** Whether copy i overlaps any other. */
  overlaps(i: number): boolean {
    const row = i * this.count;
    for (let j = 0; j < this.count; j++) if (this.overlap[row + j]! > 0) return true;
    return false;
  }

  /** Variants that copy i may take: a member of a group keeps to the group's rotation. */
  allowed(i: number): readonly number[] {
    const { groupOf, groupRotations, variantsOfItem, itemOf, variants } = this.problem;
    const group = groupOf[i]!;
    const all = variantsOfItem[itemOf[i]!]!;
    if (group < 0) return all;
    const rotation = groupRotations[group]![this.groupRotation[group]!]!;
    return all.filter((v) => variants[v]!.rotation === rotation);
  }

  /** Brings copy i back between the strip's edges. */
  clamp(i: number): void {
    const v = this.problem.variants[this.variant[i]!]!;
    this.x[i] = Math.max(-v.minX, Math.min(this.length - v.maxX, this.x[i]!));
    this.y[i] = Math.max(-v.minY, Math.min(this.problem.width - v.maxY, this.y[i]!));
  }

  /** The least length that holds all pieces as they lie. */
  usedLength(): number {
    let length = 0;
    for (let i = 0; i < this.count; i++) {
      length = Math.max(length, this.x[i]! + this.problem.variants[this.variant[i]!]!.maxX);
    }
    return length;
  }

  private refreshRow(i: number, from: number): void {
    const { count, variant, x, y, overlap, fields, tolerance } = this;
    const { code, variants } = fields.pools;
    const mine = variant[i]!;
    const xi = x[i]!;
    const yi = y[i]!;
    for (let j = from; j < count; j++) {
      if (j === i) continue;
      const d = fields.depth(code[variant[j]! * variants + mine]!, xi - x[j]!, yi - y[j]!);
      const kept = d > tolerance ? d : 0;
      overlap[i * count + j] = kept;
      overlap[j * count + i] = kept;
    }
  }

  private readGroups(): void {
    const { groupOf, groupRotations, variants } = this.problem;
    for (let i = 0; i < this.count; i++) {
      const group = groupOf[i]!;
      if (group < 0) continue;
      this.groupRotation[group] = groupRotations[group]!.indexOf(variants[this.variant[i]!]!.rotation);
    }
  }
}

/**
 * Square root of the geometric mean of the two areas, so about a length, over its mean: what a depth counts
 * before the search has learnt anything. Small overlaps of large pieces are the hard ones to be rid of.
 */
function baseWeights({ count, itemOf, areaOfItem }: Problem): Float64Array {
  const size = Float64Array.from(itemOf, (item) => Math.sqrt(Math.sqrt(areaOfItem[item]!)));
  const mean = size.reduce((a, b) => a + b, 0) / count;
  const weights = new Float64Array(count * count);
  for (let i = 0; i < count; i++) {
    for (let j = 0; j < count; j++) weights[i * count + j] = (size[i]! / mean) * (size[j]! / mean);
  }
  return weights;
}
