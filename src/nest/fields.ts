/**
 * All no-fit tables of an instance in a few flat arrays, and the look-ups that the search lives on. The
 * arrays may lie in shared memory, so that one copy is sent to all threads.
 */
import { type Field, LAST, SEGMENT_STRIDE } from './field.js';
import { createKernel, type Kernel } from './kernel.js';
import { KernelMemory } from './kernel-memory.js';

export interface FieldPools {
  readonly cell: number;
  readonly gap: number;
  readonly variants: number;
  /** See `PairPlan.code`. */
  readonly code: Int32Array;
  /** nx, ny, first node, first segment word, per table. */
  readonly shape: Int32Array;
  /** Position of node (0, 0), per table. */
  readonly origin: Float64Array;
  /** First and last column with a depth above 0, per row of nodes; first row of a table: `rowBase`. */
  readonly rowBase: Int32Array;
  readonly rows: Int16Array;
  readonly depth: Float32Array;
  readonly start: Int32Array;
  readonly list: Uint16Array;
  readonly segments: Float64Array;
}

/** Lays the tables, by number, one behind the other; `shared` puts them in shared memory. */
export function packFields(
  tables: readonly Field[],
  code: Int32Array,
  variants: number,
  cell: number,
  gap: number,
  shared: boolean,
): FieldPools {
  const sum = (size: (field: Field) => number) => tables.reduce((total, field) => total + size(field), 0);
  const room = (bytes: number) => (shared ? new SharedArrayBuffer(bytes) : new ArrayBuffer(bytes));
  const nodes = sum((f) => f.nx * f.ny);
  const pools = {
    cell,
    gap,
    variants,
    code: new Int32Array(room(4 * code.length)),
    shape: new Int32Array(room(16 * tables.length)),
    origin: new Float64Array(room(16 * tables.length)),
    rowBase: new Int32Array(room(4 * tables.length)),
    rows: new Int16Array(room(4 * sum((f) => f.ny))),
    depth: new Float32Array(room(4 * nodes)),
    start: new Int32Array(room(4 * nodes)),
    list: new Uint16Array(room(2 * sum((f) => f.list.length))),
    segments: new Float64Array(room(8 * sum((f) => f.segments.length))),
  };
  pools.code.set(code);
  let [node, list, segment, row] = [0, 0, 0, 0];
  tables.forEach((field, t) => {
    pools.shape.set([field.nx, field.ny, node, segment], 4 * t);
    pools.origin.set([field.ox, field.oy], 2 * t);
    pools.rowBase[t] = row;
    pools.depth.set(field.depth, node);
    pools.list.set(field.list, list);
    pools.segments.set(field.segments, segment);
    for (let k = 0; k < field.start.length; k++) {
      pools.start[node + k] = field.start[k]! < 0 ? -1 : field.start[k]! + 2 * list;
    }
    for (let r = 0; r < field.ny; r++, row++) {
      let lo = 0;
      let hi = field.nx - 1;
      while (lo <= hi && field.depth[r * field.nx + lo] === 0) lo++;
      while (hi >= lo && field.depth[r * field.nx + hi] === 0) hi--;
      pools.rows[2 * row] = lo;
      pools.rows[2 * row + 1] = hi;
    }
    node += field.nx * field.ny;
    list += field.list.length;
    segment += field.segments.length;
  });
  return pools;
}

/** Larger than any squared distance, and finite so that tolerances relative to it are numbers. */
const FAR = 1e300;

/**
 * Look-ups in the tables. `normalX`, `normalY` hold the direction found by the last call of `slope`, `column`, `row` the
 * node found by the last call of `locate`.
 */
export class Fields {
  readonly pools: FieldPools;
  /** Undefined where the machine does without WebAssembly. */
  readonly memory: KernelMemory | undefined;
  readonly kernel: Kernel;
  /** The greatest depth in any table. */
  readonly deepest: number;
  normalX = 0;
  normalY = 0;
  column = 0;
  row = 0;
  private readonly inverse: number;
  private readonly tiny: number;

  /** With `fast` false, plain TypeScript does what WebAssembly does otherwise: the same numbers, more slowly. */
  constructor(pools: FieldPools, fast = true) {
    this.pools = pools;
    this.memory = fast ? KernelMemory.of(pools) : undefined;
    this.kernel = createKernel(pools, this.memory);
    this.deepest = pools.depth.reduce((most, depth) => Math.max(most, depth), 0);
    this.inverse = 1 / pools.cell;
    this.tiny = 1e-20 * pools.cell * pools.cell;
  }

  /**
   * How deep the moving piece violates the pair's gap at (dx, dy) from the fixed piece: positive when it
   * does, 0 or negative when it does not. `code` is the pair's entry in `pools.code`.
   */
  depth(code: number, dx: number, dy: number): number {
    const { shape, origin, start, list, segments } = this.pools;
    const table = code >> 1;
    const tx = (code & 1) === 1 ? -dx : dx;
    const ty = (code & 1) === 1 ? -dy : dy;
    const fx = (tx - origin[2 * table]!) * this.inverse + 0.5;
    const fy = (ty - origin[2 * table + 1]!) * this.inverse + 0.5;
    if (fx < 0 || fy < 0) return 0;
    const kx = fx | 0;
    const ky = fy | 0;
    const nx = shape[4 * table]!;
    if (kx >= nx || ky >= shape[4 * table + 1]!) return 0;
    let p = start[shape[4 * table + 2]! + ky * nx + kx]!;
    if (p < 0) return 0;
    // Deep inside the side is known, and a list of the nearest segments alone could mistake it at a corner.
    const deep = (p & 1) === 1;
    p >>= 1;

    const base = shape[4 * table + 3]!;
    let best = FAR;
    let bestSide = 0;
    for (;;) {
      const id = list[p++]!;
      const o = base + (id & 0x7fff) * SEGMENT_STRIDE;
      const px = tx - segments[o]!;
      const py = ty - segments[o + 1]!;
      const ux = segments[o + 2]!;
      const uy = segments[o + 3]!;
      const along = px * ux + py * uy;
      const side = ux * py - uy * px;
      let squared = side * side;
      if (along < 0) squared = px * px + py * py;
      else if (along > segments[o + 4]!) {
        const over = along - segments[o + 4]!;
        squared += over * over;
      }
      // At a shared end the distances tie and the segment seen more squarely tells the side.
      const tie = best * 1e-12 + this.tiny;
      if (squared < best - tie) {
        best = squared;
        bestSide = side;
      } else if (squared <= best + tie && Math.abs(side) > Math.abs(bestSide)) {
        if (squared < best) best = squared;
        bestSide = side;
      }
      if (id >= LAST) break;
    }
    const distance = Math.sqrt(best);
    return this.pools.gap + (deep || bestSide > 0 ? distance : -distance);
  }

  /**
   * As `depth`, but minus infinity out of the table's reach; also sets the unit direction in which moving the
   * moving piece lessens the depth fastest.
   */
  slope(code: number, dx: number, dy: number): number {
    const { shape, origin, start, list, segments } = this.pools;
    const table = code >> 1;
    const flip = (code & 1) === 1 ? -1 : 1;
    const tx = flip * dx;
    const ty = flip * dy;
    const fx = (tx - origin[2 * table]!) * this.inverse + 0.5;
    const fy = (ty - origin[2 * table + 1]!) * this.inverse + 0.5;
    if (fx < 0 || fy < 0) return -Infinity;
    const kx = fx | 0;
    const ky = fy | 0;
    const nx = shape[4 * table]!;
    if (kx >= nx || ky >= shape[4 * table + 1]!) return -Infinity;
    let p = start[shape[4 * table + 2]! + ky * nx + kx]!;
    if (p < 0) return -Infinity;
    // Deep inside the side is known, and a list of the nearest segments alone could mistake it at a corner.
    const deep = (p & 1) === 1;
    p >>= 1;

    const base = shape[4 * table + 3]!;
    let best = FAR;
    let bestSide = 0;
    let toX = 0;
    let toY = 0;
    let outX = 0;
    let outY = 0;
    for (;;) {
      const id = list[p++]!;
      const o = base + (id & 0x7fff) * SEGMENT_STRIDE;
      const px = tx - segments[o]!;
      const py = ty - segments[o + 1]!;
      const ux = segments[o + 2]!;
      const uy = segments[o + 3]!;
      const along = Math.min(segments[o + 4]!, Math.max(0, px * ux + py * uy));
      const side = ux * py - uy * px;
      const qx = ux * along - px;
      const qy = uy * along - py;
      const squared = qx * qx + qy * qy;
      const tie = best * 1e-12 + this.tiny;
      if (squared < best - tie || (squared <= best + tie && Math.abs(side) > Math.abs(bestSide))) {
        best = Math.min(squared, best);
        bestSide = side;
        toX = qx;
        toY = qy;
        outX = uy;
        outY = -ux;
      }
      if (id >= LAST) break;
    }
    const distance = Math.sqrt(best);
    const sense = deep || bestSide > 0 ? 1 : -1;
    if (distance > 1e-9 * this.pools.cell) {
      this.normalX = (flip * sense * toX) / distance;
      this.normalY = (flip * sense * toY) / distance;
    } else {
      this.normalX = flip * outX;
      this.normalY = flip * outY;
    }
    return this.pools.gap + sense * distance;
  }

  /**
   * Sets `column` and `row` to the node of a grid that node (0, 0) of the pair's table falls on, (x, y) being the way from
   * the grid's node (0, 0) to the fixed piece. A reflected table runs backwards from there.
   */
  locate(code: number, x: number, y: number): void {
    const { origin } = this.pools;
    const table = code >> 1;
    const sense = (code & 1) === 1 ? -1 : 1;
    this.column = Math.floor((x + sense * origin[2 * table]!) * this.inverse + 0.5);
    this.row = Math.floor((y + sense * origin[2 * table + 1]!) * this.inverse + 0.5);
  }

  /** Whether the pair's table, its node (0, 0) on `column` of a grid, has nodes in the grid's columns `from` to `to`. */
  meets(code: number, column: number, from: number, to: number): boolean {
    const wide = this.pools.shape[4 * (code >> 1)]!;
    const left = (code & 1) === 1 ? column - wide + 1 : column;
    return left <= to && left + wide > from;
  }
}
