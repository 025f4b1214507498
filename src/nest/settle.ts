/**
 * From floats to numbers that can be written: positions on a decimal grid, checked exactly against the true
 * polygons. A layout that cannot be settled is not used.
 */
import {
  boxSlack,
  closerThan,
  decimals,
  type ExactOutline,
  type ExactPolygon,
  exactOutline,
  exactUnits,
  interiorsMeet,
  placed,
} from './exact.js';
import type { Layout, Snapshot } from './layout.js';
import type { Problem } from './problem.js';
import { transformed } from './transform.js';
import { roundedUp } from './verify.js';

/** Shares of the strip width: the two grids, and how close to the coarse one a position is meant for it. */
const COARSE = 1e-7;
const FINE = 1e-12;
const SNAP = 1e-9;
const REPAIRS = 12;

/** Positions a variant may be written at. */
interface Limits {
  readonly leastX: number;
  readonly leastY: number;
  readonly mostY: number;
}

export class Settler {
  private readonly problem: Problem;
  private readonly outlines: readonly ExactOutline[];
  private readonly limits: readonly Limits[];
  private readonly digits: number;
  private readonly coarse: number;
  private readonly fine: number;
  private readonly exactGap: bigint;

  constructor(problem: Problem) {
    const { items, instance, variants, width, gap } = problem;
    this.problem = problem;
    this.coarse = digitsFor(width * COARSE);
    this.fine = digitsFor(width * FINE);
    const outlines = variants.map((v) => transformed(items[v.item]!.polygon, v.rotation, v.mirror));
    let digits = Math.max(this.fine, decimals(width), decimals(gap));
    for (const outline of outlines) {
      for (const [x, y] of outline) digits = Math.max(digits, decimals(x), decimals(y));
    }
    for (const { x, y } of instance.pins ?? []) digits = Math.max(digits, decimals(x), decimals(y));
    this.digits = digits;
    this.exactGap = exactUnits(gap, digits);
    this.outlines = outlines.map((points) => exactOutline(points, digits));
    this.limits = variants.map((v) => {
      const { edge } = items[v.item]!;
      const low = 0 - v.minY;
      // The last grid position at which the top is surely inside; floats may be a hair off.
      const room = exactUnits(width, digits) - exactUnits(v.maxY, digits);
      const unit = 10n ** BigInt(digits - this.fine);
      const steps = room >= 0n ? room / unit : (room - unit + 1n) / unit;
      const high = Math.max(low, Number(`${steps}e-${this.fine}`));
      return {
        leastX: 0 - v.minX,
        leastY: edge === 'high' ? high : low,
        mostY: edge === 'low' ? low : high,
      };
    });
  }

  /**
   * Rounds `candidate` so that it passes the exact check, nudging pairs that rounding made overlap apart by
   * hairs. Positions within a hair of a coarse decimal go there, which restores the exact fits of input that
   * lies on a lattice. Leaves the result in `layout`; undefined when none is found.
   */
  settle(layout: Layout, candidate: Snapshot): Snapshot | undefined {
    layout.load(candidate);
    // What overlapped on the coarse grid is not drawn back to it.
    const loose = new Set<number>();
    for (let attempt = 1; attempt <= REPAIRS; attempt++) {
      this.snap(layout, loose);
      const polygons = this.polygons(layout);
      const clashes = this.clashes(polygons);
      if (clashes.length === 0) {
        if (!this.spansHold(polygons)) return undefined;
        layout.length = this.usedLength(polygons);
        layout.refresh();
        return layout.save();
      }
      for (const pair of clashes) for (const i of pair) loose.add(i);
      part(layout, clashes, attempt * SNAP * this.problem.width);
    }
    return undefined;
  }

  private snap(layout: Layout, loose: ReadonlySet<number>): void {
    for (const i of layout.movable) {
      const { leastX, leastY, mostY } = this.limits[layout.variant[i]!]!;
      const coarse = !loose.has(i);
      layout.x[i] = Math.max(leastX, this.onGrid(layout.x[i]!, coarse));
      layout.y[i] = Math.max(leastY, Math.min(mostY, this.onGrid(layout.y[i]!, coarse)));
    }
  }

  private onGrid(value: number, coarse: boolean): number {
    const near = Number(value.toFixed(this.coarse));
    const drawn = coarse && Math.abs(near - value) <= SNAP * this.problem.width;
    return drawn ? near : Number(value.toFixed(this.fine));
  }

  private polygons(layout: Layout): ExactPolygon[] {
    return Array.from({ length: layout.count }, (_, i) =>
      placed(this.outlines[layout.variant[i]!]!, layout.x[i]!, layout.y[i]!),
    );
  }

  private clashes(polygons: readonly ExactPolygon[]): (readonly [number, number])[] {
    const { gap, fixed } = this.problem;
    const order = polygons.map((_, i) => i).sort((a, b) => polygons[a]!.minX - polygons[b]!.minX || a - b);
    const far = gap + boxSlack(polygons);
    const out: (readonly [number, number])[] = [];
    for (let s = 0; s < order.length; s++) {
      const p = polygons[order[s]!]!;
      for (let t = s + 1; t < order.length; t++) {
        const q = polygons[order[t]!]!;
        if (q.minX > p.maxX + far) break;
        if (fixed[order[s]!] && fixed[order[t]!]) continue;
        const clash = interiorsMeet(p, q) || (gap > 0 && closerThan(p, q, gap, this.exactGap));
        if (clash) out.push([order[s]!, order[t]!]);
      }
    }
    return out;
  }

  private spansHold(polygons: readonly ExactPolygon[]): boolean {
    const { spanOf, spanNames, spanLength } = this.problem;
    return spanNames.every((_, span) => {
      const members = polygons.filter((_, i) => spanOf[i] === span);
      const first = Math.min(...members.map((p) => p.minX));
      const last = Math.max(...members.map((p) => p.maxX));
      // The search keeps a hair below the limit; the exact check of the result has the last word.
      return last - first <= spanLength - 1e-9 * this.problem.width;
    });
  }

  private usedLength(all: readonly ExactPolygon[]): number {
    const polygons = all.slice(0, this.problem.pieces);
    const reach = polygons.reduce((most, p) => Math.max(most, p.maxX), 0);
    let longest = 0n;
    for (const polygon of polygons) {
      if (polygon.maxX < reach * (1 - 1e-9)) continue;
      for (const x of polygon.exact().x) if (x > longest) longest = x;
    }
    return roundedUp(longest, this.digits);
  }
}

/** Decimals of the finest power of ten at or below `step`, at least 0. */
const digitsFor = (step: number): number => Math.min(100, Math.max(0, Math.ceil(-Math.log10(step))));

/** Moves the clashing pairs apart along their normals, by their depth and `extra`. */
function part(layout: Layout, clashes: readonly (readonly [number, number])[], extra: number): void {
  const { fields, variant, x, y, problem } = layout;
  const { code, variants } = fields.pools;
  for (const [i, j] of clashes) {
    const c = code[variant[j]! * variants + variant[i]!]!;
    const d = fields.slope(c, x[i]! - x[j]!, y[i]! - y[j]!);
    if (d === -Infinity) continue;
    const push = (Math.max(0, d) + extra) / 2;
    const [nx, ny] = [fields.normalX * push, fields.normalY * push];
    for (const [k, sign] of [
      [i, 1],
      [j, -1],
    ] as const) {
      if (layout.isFixed(k)) continue;
      const v = problem.variants[variant[k]!]!;
      x[k] = Math.max(-v.minX, x[k]! + sign * nx);
      y[k] = Math.max(v.leastY, Math.min(v.mostY, y[k]! + sign * ny));
    }
  }
}
