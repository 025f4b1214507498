/**
 * The inner loops of the strip map: adding one shifted table to the map, and listing the map's minima. They
 * run in WebAssembly, four nodes at a time, where the machine can; the plain loops below give the same
 * numbers to the last bit, because both round every product and every sum to float32.
 */
import type { FieldPools } from './fields.js';
import { KERNEL_CODE } from './kernel-code.js';

export interface Kernel {
  /** The map, rows along x. */
  readonly values: Float32Array;
  /** Node numbers listed by `minima`. */
  readonly found: Int32Array;
  /** Makes room for a map of `nodes`, all 0. */
  clear(nodes: number): void;
  /**
   * Adds `weight` x table to the map of nx x ny nodes, node (0, 0) of the table falling on (shiftX, shiftY);
   * a reflected table runs backwards from there. Returns about how many nodes were added.
   */
  add(
    table: number,
    reflected: boolean,
    nx: number,
    ny: number,
    shiftX: number,
    shiftY: number,
    weight: number,
  ): number;
  /** Lists the nodes below `bound` that are free (0) or least among their eight neighbours, a tie to the first. */
  minima(nx: number, ny: number, bound: number): number;
}

/** The fastest kernel that this machine runs. */
export function createKernel(pools: FieldPools): Kernel {
  return simd === undefined ? new PlainKernel(pools) : new SimdKernel(pools, simd);
}

interface Memory {
  readonly buffer: ArrayBuffer;
  grow(pages: number): number;
}

/** As much of the global `WebAssembly` as is used here: the ES library does not declare it. */
interface WebAssemblyApi {
  validate(code: Uint8Array): boolean;
  readonly Module: new (code: Uint8Array) => object;
  readonly Memory: new (size: { initial: number }) => Memory;
  readonly Instance: new (module: object, imports: object) => { readonly exports: unknown };
}

const api = (globalThis as { WebAssembly?: WebAssemblyApi }).WebAssembly;
const simd = compile();

function compile(): object | undefined {
  const code = Uint8Array.from(atob(KERNEL_CODE), (c) => c.charCodeAt(0));
  return api?.validate(code) ? new api.Module(code) : undefined;
}

export class PlainKernel implements Kernel {
  values: Float32Array = new Float32Array(0);
  found: Int32Array = new Int32Array(0);
  private readonly pools: FieldPools;

  constructor(pools: FieldPools) {
    this.pools = pools;
  }

  clear(nodes: number): void {
    if (this.values.length < nodes) {
      this.values = new Float32Array(nodes + (nodes >> 2));
      this.found = new Int32Array(this.values.length);
    }
    this.values.fill(0, 0, nodes);
  }

  add(
    table: number,
    reflected: boolean,
    nx: number,
    ny: number,
    shiftX: number,
    shiftY: number,
    weight: number,
  ): number {
    const { depth, rows, shape, rowBase } = this.pools;
    const cols = shape[4 * table]!;
    const height = shape[4 * table + 1]!;
    const node = shape[4 * table + 2]!;
    const row0 = rowBase[table]!;
    const { values } = this;
    const w = Math.fround(weight);
    const step = reflected ? -1 : 1;
    const rowFrom = reflected ? Math.max(0, shiftY - ny + 1) : Math.max(0, -shiftY);
    const rowTo = reflected ? Math.min(height - 1, shiftY) : Math.min(height - 1, ny - 1 - shiftY);
    const colFrom = reflected ? shiftX - nx + 1 : -shiftX;
    const colTo = reflected ? shiftX : nx - 1 - shiftX;
    let work = 0;
    for (let r = rowFrom; r <= rowTo; r++) {
      const from = Math.max(rows[2 * (row0 + r)]!, colFrom);
      const to = Math.min(rows[2 * (row0 + r) + 1]!, colTo);
      if (to < from) continue;
      work += to - from;
      let m = (shiftY + step * r) * nx + shiftX + step * from;
      const end = node + r * cols + to;
      for (let d = node + r * cols + from; d <= end; d++, m += step) {
        values[m] = values[m]! + Math.fround(w * depth[d]!);
      }
    }
    return work;
  }

  minima(nx: number, ny: number, bound: number): number {
    const { values, found } = this;
    const limit = Math.fround(bound);
    let count = 0;
    for (let row = 0; row < ny; row++) {
      for (let col = 0, p = row * nx; col < nx; col++, p++) {
        const value = values[p]!;
        if (value >= limit) continue;
        if (value > 0) {
          if (col > 0 && values[p - 1]! <= value) continue;
          if (col + 1 < nx && values[p + 1]! < value) continue;
          if (row > 0) {
            if (values[p - nx]! <= value) continue;
            if (col > 0 && values[p - nx - 1]! <= value) continue;
            if (col + 1 < nx && values[p - nx + 1]! <= value) continue;
          }
          if (row + 1 < ny) {
            if (values[p + nx]! < value) continue;
            if (col > 0 && values[p + nx - 1]! < value) continue;
            if (col + 1 < nx && values[p + nx + 1]! < value) continue;
          }
        }
        found[count++] = p;
      }
    }
    return count;
  }
}

interface Exports {
  add(
    values: number,
    nx: number,
    ny: number,
    shiftX: number,
    shiftY: number,
    depth: number,
    cols: number,
    height: number,
    rows: number,
    weight: number,
  ): number;
  addReflected: Exports['add'];
  minima(values: number, nx: number, ny: number, bound: number, out: number): number;
}

const PAGE = 65536;

class SimdKernel implements Kernel {
  values: Float32Array = new Float32Array(0);
  found: Int32Array = new Int32Array(0);
  private readonly pools: FieldPools;
  private readonly memory: Memory;
  private readonly code: Exports;
  /** Byte offsets: the tables' depths come first, then their rows, the map and the list of minima. */
  private readonly rowsAt: number;
  private readonly valuesAt: number;
  private foundAt = 0;

  constructor(pools: FieldPools, module: object) {
    this.pools = pools;
    this.rowsAt = 4 * pools.depth.length;
    this.valuesAt = this.rowsAt + 16 * Math.ceil(pools.rows.byteLength / 16) + 16;
    this.memory = new api!.Memory({ initial: Math.ceil(this.valuesAt / PAGE) });
    new Float32Array(this.memory.buffer, 0, pools.depth.length).set(pools.depth);
    new Int16Array(this.memory.buffer, this.rowsAt, pools.rows.length).set(pools.rows);
    this.code = new api!.Instance(module, { env: { memory: this.memory } }).exports as Exports;
  }

  clear(nodes: number): void {
    if (this.values.length < nodes) {
      const room = nodes + (nodes >> 2);
      this.foundAt = this.valuesAt + 4 * room;
      const missing = this.foundAt + 4 * room - this.memory.buffer.byteLength;
      if (missing > 0) this.memory.grow(Math.ceil(missing / PAGE));
      this.values = new Float32Array(this.memory.buffer, this.valuesAt, room);
      this.found = new Int32Array(this.memory.buffer, this.foundAt, room);
    }
    this.values.fill(0, 0, nodes);
  }

  add(
    table: number,
    reflected: boolean,
    nx: number,
    ny: number,
    shiftX: number,
    shiftY: number,
    weight: number,
  ): number {
    const { shape, rowBase } = this.pools;
    const cols = shape[4 * table]!;
    const height = shape[4 * table + 1]!;
    const depthAt = 4 * shape[4 * table + 2]!;
    const rowsAt = this.rowsAt + 4 * rowBase[table]!;
    return reflected
      ? this.code.addReflected(this.valuesAt, nx, ny, shiftX, shiftY, depthAt, cols, height, rowsAt, weight)
      : this.code.add(this.valuesAt, nx, ny, shiftX, shiftY, depthAt, cols, height, rowsAt, weight);
  }

  minima(nx: number, ny: number, bound: number): number {
    return this.code.minima(this.valuesAt, nx, ny, bound, this.foundAt);
  }
}
