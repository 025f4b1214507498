import type { Layout } from './layout.js';

/**
 * The whole strip as seen by one piece about to move: at each node of a grid, the weighted depth at which
 * it would overlap all others if it stood there. Summing the pairs' depth tables, each shifted to where its
 * piece lies, gives all positions at once (penetration maps: Sato, Martins, Tsuzuki 2019), so that no good
 * place is missed for want of a sample. Tables are shifted to the nearest node: candidates need an exact
 * look afterwards.
 */
export class StripMap {
  nx = 0;
  ny = 0;
  /** Position of node (0, 0); nodes may lie a little outside the positions that the piece may take. */
  fromX = 0;
  fromY = 0;
  /** First and last position that the map is for. */
  leastX = 0;
  toX = 0;
  toY = 0;
  /** Valid until the next map is filled: all maps of a thread share one. */
  values: Float32Array = new Float32Array(0);
  /** Table cells added so far: the work done. */
  work = 0;

  /**
   * Fills the map for copy `i` in `variant`, its box beginning between `first` and `last` along the strip; false when
   * that variant does not fit there. `weights` is count x count.
   */
  fill(
    layout: Layout,
    i: number,
    variant: number,
    weights: Float64Array,
    first = -Infinity,
    last = Infinity,
  ): boolean {
    if (!this.frame(layout, i, variant, first, last)) return false;
    this.sum(layout, i, variant, weights);
    return true;
  }

  /** Sets the range of positions, for a box that begins between `first` and `last`; false when there is none. */
  frame(layout: Layout, i: number, variant: number, first: number, last: number): boolean {
    const { minX, leastY, mostY } = layout.problem.variants[variant]!;
    if (!layout.reach(i, variant)) return false;
    this.leastX = Math.max(layout.leastX, first - minX);
    this.toX = Math.min(layout.mostX, last - minX);
    this.fromY = leastY;
    this.toY = mostY;
    return this.leastX <= this.toX;
  }

  /** Fills the map for the range of positions that `frame` has set. */
  sum(layout: Layout, i: number, variant: number, weights: Float64Array): void {
    const { fields, count, x, y, variant: variants } = layout;
    const { pools, kernel } = fields;
    const { cell } = pools;
    this.fromX = this.leastX;
    this.nx = Math.ceil((this.toX - this.fromX) / cell) + 1;
    this.ny = Math.ceil(Math.max(0, this.toY - this.fromY) / cell) + 1;
    const size = this.nx * this.ny;
    kernel.clear(size);
    this.values = kernel.values;
    let work = size;
    for (let j = 0; j < count; j++) {
      if (j === i) continue;
      const code = pools.code[variants[j]! * pools.variants + variant]!;
      fields.locate(code, x[j]! - this.fromX, y[j]! - this.fromY);
      const { column, row } = fields;
      if (!fields.meets(code, column, 0, this.nx - 1)) continue;
      work += kernel.add(code >> 1, (code & 1) === 1, this.nx, this.ny, column, row, weights[i * count + j]!);
    }
    this.work += work;
  }
}
