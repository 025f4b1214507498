/** Measures of overlap that a sampled search can be run with: by poles, and by depth in the no-fit tables. */
import type { Layout } from '../../../src/nest/layout.js';
import { type Collider, Places } from './collider.js';
import { polesMeet, severity } from './severity.js';
import type { Shape } from './shapes.js';

export interface Measure {
  /** Severity of each pair met by the last `cost`, where that was not 0 and the count did not stop before. */
  readonly found: Float64Array;
  /** Piece i now stands at (x, y) in `variant`. */
  set(i: number, variant: number, x: number, y: number): void;
  /**
   * Sum over all other pieces j of the severity with which piece i overlaps j, standing at (x, y) in `variant`,
   * times `weights[row + j]`; counting stops once `bound` is reached.
   */
  cost(
    i: number,
    variant: number,
    x: number,
    y: number,
    weights: Float64Array,
    row: number,
    bound: number,
  ): number;
}

/** Severity by poles behind an exact test by edges; overlapping poles prove a collision without it. */
export class CircleMeasure extends Places implements Measure {
  readonly found: Float64Array;
  private readonly shapes: readonly Shape[];
  private readonly collider: Collider;
  private readonly open: Int32Array;
  private readonly hit: Uint8Array;

  constructor(shapes: readonly Shape[], count: number, collider: Collider) {
    super(count);
    this.shapes = shapes;
    this.collider = collider;
    this.found = new Float64Array(count);
    this.open = new Int32Array(count);
    this.hit = new Uint8Array(count);
  }

  override set(i: number, variant: number, x: number, y: number): void {
    super.set(i, variant, x, y);
    this.collider.set(i, variant, x, y);
  }

  cost(
    i: number,
    variant: number,
    x: number,
    y: number,
    weights: Float64Array,
    row: number,
    bound: number,
  ): number {
    const { shapes, open, hit, found } = this;
    const mine = shapes[variant]!;
    let cost = 0;
    let doubtful = 0;
    for (let j = 0; j < this.x.length; j++) {
      if (j === i) continue;
      const other = shapes[this.variant[j]!]!;
      const dx = this.x[j]! - x;
      const dy = this.y[j]! - y;
      if (mine.maxX < other.minX + dx || other.maxX + dx < mine.minX) continue;
      if (mine.maxY < other.minY + dy || other.maxY + dy < mine.minY) continue;
      if (!polesMeet(mine, other, dx, dy)) {
        open[doubtful++] = j;
        continue;
      }
      found[j] = severity(mine, other, dx, dy);
      cost += found[j]! * weights[row + j]!;
      if (cost >= bound) return cost;
    }
    if (doubtful === 0) return cost;
    this.collider.resolve(mine, x, y, open, doubtful, hit);
    for (let k = 0; k < doubtful; k++) {
      const j = open[k]!;
      if (hit[j] === 0) continue;
      found[j] = severity(mine, shapes[this.variant[j]!]!, this.x[j]! - x, this.y[j]! - y);
      cost += found[j]! * weights[row + j]!;
    }
    return cost;
  }
}

/** Severity by depth in the no-fit tables, times the weight that the engine gives a pair to begin with. */
export class DepthMeasure extends Places implements Measure {
  readonly found: Float64Array;
  private readonly layout: Layout;

  constructor(layout: Layout) {
    const { count } = layout;
    super(count);
    this.layout = layout;
    this.found = new Float64Array(count);
  }

  cost(
    i: number,
    variant: number,
    x: number,
    y: number,
    weights: Float64Array,
    row: number,
    bound: number,
  ): number {
    const { layout, found } = this;
    const { fields, baseWeight, tolerance, count } = layout;
    const { code, variants } = fields.pools;
    let cost = 0;
    for (let j = 0; j < count; j++) {
      if (j === i) continue;
      const depth = fields.depth(
        code[this.variant[j]! * variants + variant]!,
        x - this.x[j]!,
        y - this.y[j]!,
      );
      if (depth <= tolerance) continue;
      found[j] = depth * baseWeight[i * count + j]!;
      cost += found[j]! * weights[row + j]!;
      if (cost >= bound) break;
    }
    return cost;
  }
}
