import type { Vec } from '../geometry/vec.js';

/** Sine of the greatest angle between two segments that may lie on each other. */
const PARALLEL = Math.sin((2 * Math.PI) / 180);
/** A segment shorter than this has no direction, mm. */
const NOTHING = 1e-9;
/** Segments that a cell should hold, on the whole. */
const PER_CELL = 6;
/** Smallest cell, mm, and most cells along either side. */
const LEAST_CELL = 4;
const MOST_CELLS = 4000;

/**
 * The segments of many chains of lines, found by place: a uniform grid whose cells list the segments that pass
 * through them. Flat arrays, so that a marker of tens of thousands of segments is searched in milliseconds.
 */
export class SegmentGrid {
  /** Number of the chain that a segment belongs to. */
  readonly line: Int32Array;
  readonly #ax: Float64Array;
  readonly #ay: Float64Array;
  readonly #bx: Float64Array;
  readonly #by: Float64Array;

  constructor(chains: readonly { readonly points: readonly Vec[]; readonly closed: boolean }[]) {
    const counts = chains.map(({ points, closed }) => Math.max(0, points.length - (closed ? 0 : 1)));
    const total = counts.reduce((sum, n) => sum + n, 0);
    this.line = new Int32Array(total);
    this.#ax = new Float64Array(total);
    this.#ay = new Float64Array(total);
    this.#bx = new Float64Array(total);
    this.#by = new Float64Array(total);
    let k = 0;
    chains.forEach(({ points }, c) => {
      for (let i = 0; i < counts[c]!; i++, k++) {
        const a = points[i]!;
        const b = points[i + 1 < points.length ? i + 1 : 0]!;
        this.line[k] = c;
        this.#ax[k] = a[0];
        this.#ay[k] = a[1];
        this.#bx[k] = b[0];
        this.#by[k] = b[1];
      }
    });
  }

  /** Calls `visit` once for every pair of segments that share a cell; cells reach `margin` beyond their segments. */
  eachNearPair(margin: number, visit: (i: number, j: number) => void): void {
    const count = this.line.length;
    if (count < 2) return;
    const { minX, minY, columns, rows, cell } = this.#frame(margin);
    const scratch = new Int32Array(columns * rows);
    const cells = (i: number): number =>
      this.#cellsOf(i, margin, { minX, minY, columns, rows, cell }, scratch);

    // Count, then fill: the segments of cell c lie at held[starts[c]] .. held[starts[c + 1] - 1].
    const starts = new Int32Array(columns * rows + 1);
    for (let i = 0; i < count; i++) {
      const n = cells(i);
      for (let k = 0; k < n; k++) starts[scratch[k]! + 1]!++;
    }
    for (let c = 0; c < columns * rows; c++) starts[c + 1]! += starts[c]!;
    const held = new Int32Array(starts[columns * rows]!);
    const fill = starts.slice(0, -1);
    for (let i = 0; i < count; i++) {
      const n = cells(i);
      for (let k = 0; k < n; k++) held[fill[scratch[k]!]!++] = i;
    }

    // A pair may meet in several cells: the stamp of the last partner keeps it to one visit.
    const stamp = new Int32Array(count).fill(-1);
    for (let i = 0; i < count; i++) {
      const n = cells(i);
      for (let k = 0; k < n; k++) {
        const c = scratch[k]!;
        for (let h = starts[c]!; h < starts[c + 1]!; h++) {
          const j = held[h]!;
          if (j <= i || stamp[j] === i) continue;
          stamp[j] = i;
          visit(i, j);
        }
      }
    }
  }

  /**
   * The length over which two segments lie on each other: nearly parallel, and the second no farther than
   * `within` from the line of the first. 0 when they merely touch, follow one another or cross.
   */
  inCommon(i: number, j: number, within: number): number {
    const ax = this.#ax[i]!;
    const ay = this.#ay[i]!;
    const dx = this.#bx[i]! - ax;
    const dy = this.#by[i]! - ay;
    const length = Math.sqrt(dx * dx + dy * dy);
    if (length < NOTHING) return 0;
    const ux = dx / length;
    const uy = dy / length;
    const px = this.#ax[j]! - ax;
    const py = this.#ay[j]! - ay;
    const qx = this.#bx[j]! - ax;
    const qy = this.#by[j]! - ay;
    // Along the first segment and off it, for both ends of the second.
    let s0 = px * ux + py * uy;
    let s1 = qx * ux + qy * uy;
    let d0 = ux * py - uy * px;
    let d1 = ux * qy - uy * qx;
    if (Math.min(Math.abs(d0), Math.abs(d1)) > within && d0 > 0 === d1 > 0) return 0;
    if (s0 > s1) {
      [s0, s1] = [s1, s0];
      [d0, d1] = [d1, d0];
    }
    const span = s1 - s0;
    if (span < NOTHING || Math.abs(d1 - d0) > PARALLEL * span) return 0;
    let low = Math.max(0, s0);
    let high = Math.min(length, s1);
    if (low >= high) return 0;
    const slope = (d1 - d0) / span;
    if (Math.abs(slope) < 1e-12) return Math.abs(d0) <= within ? high - low : 0;
    // The stretch of the second segment that lies within the strip -within .. within.
    const enter = s0 + (-within - d0) / slope;
    const leave = s0 + (within - d0) / slope;
    low = Math.max(low, Math.min(enter, leave));
    high = Math.min(high, Math.max(enter, leave));
    return Math.max(0, high - low);
  }

  #frame(margin: number) {
    let [minX, minY, maxX, maxY] = [Infinity, Infinity, -Infinity, -Infinity];
    for (let i = 0; i < this.line.length; i++) {
      const [ax, ay, bx, by] = [this.#ax[i]!, this.#ay[i]!, this.#bx[i]!, this.#by[i]!];
      minX = Math.min(minX, ax, bx);
      maxX = Math.max(maxX, ax, bx);
      minY = Math.min(minY, ay, by);
      maxY = Math.max(maxY, ay, by);
    }
    const [width, height] = [maxX - minX + 2 * margin, maxY - minY + 2 * margin];
    const byCount = Math.sqrt((width * height * PER_CELL) / this.line.length);
    const cell = Math.max(LEAST_CELL, byCount, width / MOST_CELLS, height / MOST_CELLS);
    const columns = Math.max(1, Math.ceil(width / cell));
    const rows = Math.max(1, Math.ceil(height / cell));
    return { minX: minX - margin, minY: minY - margin, columns, rows, cell };
  }

  /** Writes the cells that a segment passes through into `out`; column by column, so that a diagonal takes few. */
  #cellsOf(
    i: number,
    margin: number,
    f: { minX: number; minY: number; columns: number; rows: number; cell: number },
    out: Int32Array,
  ): number {
    let [ax, ay, bx, by] = [this.#ax[i]!, this.#ay[i]!, this.#bx[i]!, this.#by[i]!];
    if (ax > bx) [ax, ay, bx, by] = [bx, by, ax, ay];
    const first = clamp(Math.floor((ax - margin - f.minX) / f.cell), f.columns);
    const last = clamp(Math.floor((bx + margin - f.minX) / f.cell), f.columns);
    // An upright segment lies in one or two columns: whole in each.
    const slope = bx - ax > NOTHING ? (by - ay) / (bx - ax) : 0;
    let n = 0;
    for (let column = first; column <= last; column++) {
      const left = f.minX + column * f.cell - margin;
      const right = left + f.cell + 2 * margin;
      const from = slope === 0 ? ay : ay + slope * (Math.max(left, ax) - ax);
      const to = slope === 0 ? by : ay + slope * (Math.min(right, bx) - ax);
      const low = clamp(Math.floor((Math.min(from, to) - margin - f.minY) / f.cell), f.rows);
      const high = clamp(Math.floor((Math.max(from, to) + margin - f.minY) / f.cell), f.rows);
      for (let row = low; row <= high; row++) out[n++] = column * f.rows + row;
    }
    return n;
  }
}

const clamp = (index: number, count: number): number => Math.min(count - 1, Math.max(0, index));
