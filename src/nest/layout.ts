import type { Fields } from './fields.js';
import { Groups } from './groups.js';
import type { Problem } from './problem.js';

/** Depth, in cells, that a copy which does not lie as its group does counts for. */
const STRAY_CELLS = 0.5;

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
  /** How many others each copy overlaps, itself counted when astray. */
  private readonly partners: Int32Array;
  /** How often each copy has been laid elsewhere, as far as `overlap` is up to date. */
  readonly stamp: Int32Array;
  readonly groups: Groups;
  /** Depth that a copy which does not lie as its group does counts for; on the diagonal of `overlap`. */
  readonly strayDepth: number;
  /** Range of x found by the last call of `reach`. */
  leastX = 0;
  mostX = 0;
  /** Where the copies lay when `overlap` was brought up to date; a variant of -1 before the first time. */
  private readonly known: {
    readonly x: Float64Array;
    readonly y: Float64Array;
    readonly variant: Int32Array;
  };
  /** The copies that are not fixed, in order. */
  readonly movable: readonly number[];
  private readonly fixed: Uint8Array;
  /** Scratch of `refresh`. */
  private readonly moved: Int32Array;
  /** Members of each span. */
  private readonly spans: readonly (readonly number[])[];

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
    this.partners = new Int32Array(count);
    this.stamp = new Int32Array(count);
    this.moved = new Int32Array(count);
    this.known = { x: this.x.slice(), y: this.y.slice(), variant: new Int32Array(count).fill(-1) };
    this.groups = new Groups(problem);
    this.strayDepth = STRAY_CELLS * problem.cell;
    this.fixed = Uint8Array.from(problem.fixed, (place) => (place ? 1 : 0));
    this.movable = [...this.fixed.keys()].filter((i) => !this.isFixed(i));
    this.spans = problem.spanNames.map((_, span) =>
      [...problem.spanOf.keys()].filter((i) => problem.spanOf[i] === span),
    );
  }

  /** Whether body i stays where it is: a pinned copy or a zone. */
  isFixed(i: number): boolean {
    return this.fixed[i] === 1;
  }

  load(snapshot: Snapshot): void {
    this.length = snapshot.length;
    this.x.set(snapshot.x);
    this.y.set(snapshot.y);
    this.variant.set(snapshot.variant);
    if (this.groups.any) this.groups.read(this.variant);
    this.refresh();
  }

  save(): Snapshot {
    return { length: this.length, x: this.x.slice(), y: this.y.slice(), variant: this.variant.slice() };
  }

  /** Brings `overlap` up to date with where all copies lie. */
  refresh(): void {
    const { count, moved } = this;
    let n = 0;
    for (let i = 0; i < count; i++) if (this.note(i)) moved[n++] = i;
    if (2 * n < count) for (let k = 0; k < n; k++) this.refreshRow(moved[k]!, 0);
    else for (let i = 0; i < count; i++) this.refreshRow(i, i + 1);
    if (this.groups.any) this.refreshStray();
  }

  /** As `save`, with copies renamed to the groups that the instance gives them. */
  saveByGroups(): Snapshot {
    const saved = this.save();
    if (!this.groups.any) return saved;
    this.groups.roles().forEach((from, to) => {
      saved.x[to] = this.x[from]!;
      saved.y[to] = this.y[from]!;
      saved.variant[to] = this.variant[from]!;
    });
    return saved;
  }

  /** Depth that copy i counts for when lying as `variant`, 0 unless that sets it or another astray. */
  stray(i: number, variant: number): number {
    const { groups } = this;
    return groups.of[i]! >= 0 && groups.strays(i, variant, this.variant) ? this.strayDepth : 0;
  }

  place(i: number, variant: number, x: number, y: number): void {
    const turned = this.variant[i] !== variant && this.groups.of[i]! >= 0;
    this.variant[i] = variant;
    this.x[i] = x;
    this.y[i] = y;
    this.note(i);
    this.refreshRow(i, 0);
    if (!turned) return;
    this.groups.turned(i, this.variant);
    this.refreshStray();
  }

  /** Sum of base weight x depth over all pairs; 0 for a layout without overlap. */
  total(): number {
    let total = 0;
    for (let i = 0; i < this.count; i++) {
      if (!this.overlaps(i)) continue;
      const row = i * this.count;
      for (let j = i; j < this.count; j++) {
        if (this.overlap[row + j]! > 0) total += this.overlap[row + j]! * this.baseWeight[row + j]!;
      }
    }
    return total;
  }

  /** Whether copy i overlaps any other. */
  overlaps(i: number): boolean {
    return this.partners[i]! > 0;
  }

  /** Variants that copy i may take: a member of a group keeps to the group's rotation. */
  allowed(i: number): readonly number[] {
    if (this.isFixed(i)) return [this.variant[i]!];
    const { variantsOfItem, itemOf, variants } = this.problem;
    const all = variantsOfItem[itemOf[i]!]!;
    if (this.groups.of[i]! < 0) return all;
    const rotation = this.groups.wanted(i);
    return all.filter((v) => variants[v]!.base === rotation);
  }

  /**
   * Sets `leastX` and `mostX`: where copy i in `variant` is inside the strip and no further from the rest of
   * its span than it may be. False when there is no such place.
   */
  reach(i: number, variant: number): boolean {
    const { variants, spanOf, spanLength } = this.problem;
    const { minX, maxX } = variants[variant]!;
    this.leastX = -minX;
    this.mostX = this.length - maxX;
    const span = spanOf[i]!;
    if (span >= 0) {
      let [first, last] = [Infinity, -Infinity];
      for (const j of this.spans[span]!) {
        if (j === i) continue;
        const v = variants[this.variant[j]!]!;
        first = Math.min(first, this.x[j]! + v.minX);
        last = Math.max(last, this.x[j]! + v.maxX);
      }
      // A hair less than is allowed: positions are rounded in the end.
      const most = spanLength - 1e-8 * this.problem.width;
      if (last > first) {
        this.leastX = Math.max(this.leastX, last - most - minX);
        this.mostX = Math.min(this.mostX, first + most - maxX);
      }
    }
    return this.leastX <= this.mostX;
  }

  /** Brings copy i back between the strip's edges and to its span. */
  clamp(i: number): void {
    if (this.isFixed(i)) return;
    const v = this.problem.variants[this.variant[i]!]!;
    const reached = this.reach(i, this.variant[i]!);
    const x = reached ? this.x[i]! : (this.leastX + this.mostX) / 2;
    const [leastX, mostX] = reached ? [this.leastX, this.mostX] : [-v.minX, this.length - v.maxX];
    this.x[i] = Math.max(leastX, Math.min(mostX, x));
    this.y[i] = Math.max(v.leastY, Math.min(v.mostY, this.y[i]!));
  }

  /** The least length that holds all pieces as they lie. */
  usedLength(): number {
    let length = 0;
    for (let i = 0; i < this.problem.pieces; i++) {
      length = Math.max(length, this.x[i]! + this.problem.variants[this.variant[i]!]!.maxX);
    }
    return length;
  }

  /** Notes where copy i lies; returns whether that is elsewhere than before. */
  private note(i: number): boolean {
    const { known, x, y, variant } = this;
    if (x[i] === known.x[i] && y[i] === known.y[i] && variant[i] === known.variant[i]) return false;
    known.x[i] = x[i]!;
    known.y[i] = y[i]!;
    known.variant[i] = variant[i]!;
    this.stamp[i] = this.stamp[i]! + 1;
    return true;
  }

  private refreshRow(i: number, from: number): void {
    const { count, variant, x, y, fields, tolerance } = this;
    const { code, variants } = fields.pools;
    const mine = variant[i]!;
    const xi = x[i]!;
    const yi = y[i]!;
    const still = this.isFixed(i);
    for (let j = from; j < count; j++) {
      if (j === i || (still && this.isFixed(j))) continue;
      const d = fields.depth(code[variant[j]! * variants + mine]!, xi - x[j]!, yi - y[j]!);
      this.setOverlap(i, j, d > tolerance ? d : 0);
    }
  }

  private refreshStray(): void {
    const { count, groups, strayDepth } = this;
    for (let i = 0; i < count; i++) this.setOverlap(i, i, groups.astray[i] === 1 ? strayDepth : 0);
  }

  private setOverlap(i: number, j: number, depth: number): void {
    const { count, overlap, partners } = this;
    const before = overlap[i * count + j]!;
    if (before === depth) return;
    overlap[i * count + j] = depth;
    overlap[j * count + i] = depth;
    if (before > 0 === depth > 0) return;
    const change = depth > 0 ? 1 : -1;
    partners[i] = partners[i]! + change;
    if (i !== j) partners[j] = partners[j]! + change;
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
