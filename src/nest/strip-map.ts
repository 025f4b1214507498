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
  /** Position of node (0, 0) and the last position that keeps the piece inside the strip. */
  fromX = 0;
  fromY = 0;
  toX = 0;
  toY = 0;
  values = new Float32Array(0);
  /** Table cells added so far: the work done. */
  work = 0;

  /**
   * Fills the map for copy `i` in `variant`; false when that variant does not fit the strip. `weights` is
   * count x count.
   */
  fill(layout: Layout, i: number, variant: number, weights: Float64Array): boolean {
    const { problem, fields, count } = layout;
    const { pools } = fields;
    const v = problem.variants[variant]!;
    const cell = pools.cell;
    this.fromX = -v.minX;
    this.fromY = -v.minY;
    this.toX = layout.length - v.maxX;
    this.toY = problem.width - v.maxY;
    if (this.toX < this.fromX) return false;
    this.nx = Math.ceil((this.toX - this.fromX) / cell) + 1;
    this.ny = Math.ceil(Math.max(0, this.toY - this.fromY) / cell) + 1;
    const size = this.nx * this.ny;
    if (this.values.length < size) this.values = new Float32Array(size + (size >> 2));
    this.values.fill(0, 0, size);
    this.work += size;
    for (let j = 0; j < count; j++) {
      if (j === i) continue;
      const code = pools.code[layout.variant[j]! * pools.variants + variant]!;
      this.add(layout, code, layout.x[j]!, layout.y[j]!, weights[i * count + j]!);
    }
    return true;
  }

  private add(layout: Layout, code: number, x: number, y: number, weight: number): void {
    const { pools } = layout.fields;
    const { depth, rows } = pools;
    const table = code >> 1;
    const cell = pools.cell;
    const cols = pools.shape[4 * table]!;
    const height = pools.shape[4 * table + 1]!;
    const node = pools.shape[4 * table + 2]!;
    const row0 = pools.rowBase[table]!;
    const ox = pools.origin[2 * table]!;
    const oy = pools.origin[2 * table + 1]!;
    const { nx, ny, values } = this;
    const reflected = (code & 1) === 1;
    // Node (0, 0) of the table falls on this node of the map; a reflected table runs backwards from it.
    const shiftX = Math.floor(((reflected ? x - ox : x + ox) - this.fromX) / cell + 0.5);
    const shiftY = Math.floor(((reflected ? y - oy : y + oy) - this.fromY) / cell + 0.5);
    let work = 0;
    if (reflected) {
      const rowFrom = Math.max(0, shiftY - ny + 1);
      const rowTo = Math.min(height - 1, shiftY);
      for (let r = rowFrom; r <= rowTo; r++) {
        const from = Math.max(rows[2 * (row0 + r)]!, shiftX - nx + 1);
        const to = Math.min(rows[2 * (row0 + r) + 1]!, shiftX);
        let m = (shiftY - r) * nx + shiftX - from;
        let d = node + r * cols + from;
        const end = node + r * cols + to;
        for (; d <= end; d++, m--) values[m] = values[m]! + weight * depth[d]!;
        if (to >= from) work += to - from;
      }
    } else {
      const rowFrom = Math.max(0, -shiftY);
      const rowTo = Math.min(height - 1, ny - 1 - shiftY);
      for (let r = rowFrom; r <= rowTo; r++) {
        const from = Math.max(rows[2 * (row0 + r)]!, -shiftX);
        const to = Math.min(rows[2 * (row0 + r) + 1]!, nx - 1 - shiftX);
        let m = (shiftY + r) * nx + shiftX + from;
        let d = node + r * cols + from;
        const end = node + r * cols + to;
        for (; d <= end; d++, m++) values[m] = values[m]! + weight * depth[d]!;
        if (to >= from) work += to - from;
      }
    }
    this.work += work;
  }
}
