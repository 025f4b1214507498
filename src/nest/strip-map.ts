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
    const { problem, fields, count } = layout;
    const { pools } = fields;
    const v = problem.variants[variant]!;
    const cell = pools.cell;
    if (!layout.reach(i, variant)) return false;
    this.leastX = Math.max(layout.leastX, first - v.minX);
    this.fromX = this.leastX;
    this.fromY = v.leastY;
    this.toX = Math.min(layout.mostX, last - v.minX);
    this.toY = v.mostY;
    if (this.fromX > this.toX) return false;
    this.nx = Math.ceil((this.toX - this.fromX) / cell) + 1;
    this.ny = Math.ceil(Math.max(0, this.toY - this.fromY) / cell) + 1;
    const size = this.nx * this.ny;
    const { kernel } = fields;
    kernel.clear(size);
    this.values = kernel.values;
    this.work += size;
    const { x, y, variant: variants } = layout;
    let work = 0;
    for (let j = 0; j < count; j++) {
      if (j === i) continue;
      const code = pools.code[variants[j]! * pools.variants + variant]!;
      const table = code >> 1;
      const reflected = (code & 1) === 1;
      const ox = pools.origin[2 * table]!;
      const oy = pools.origin[2 * table + 1]!;
      // Node (0, 0) of the table falls on this node of the map; a reflected table runs backwards from it.
      const shiftX = Math.floor(((reflected ? x[j]! - ox : x[j]! + ox) - this.fromX) / cell + 0.5);
      const shiftY = Math.floor(((reflected ? y[j]! - oy : y[j]! + oy) - this.fromY) / cell + 0.5);
      const columns = pools.shape[4 * table]!;
      const left = reflected ? shiftX - columns + 1 : shiftX;
      if (left >= this.nx || left + columns <= 0) continue;
      work += kernel.add(table, reflected, this.nx, this.ny, shiftX, shiftY, weights[i * count + j]!);
    }
    this.work += work;
    return true;
  }
}
