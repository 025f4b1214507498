/**
 * The inner loops of the strip map: adding one shifted table to the map, the same to maps of whole numbers that are
 * kept, and listing the map's minima. They run in WebAssembly, four nodes at a time, where the machine can; the plain
 * loops below give the same numbers to the last bit, because both round every product and every sum to float32.
 */
import type { FieldPools } from './fields.js';
import type { KernelCode, KernelMemory } from './kernel-memory.js';

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
  /** Makes a map of whole numbers that is kept, all 0; returns its number. */
  keep(nodes: number): number;
  /**
   * As `add`, to a map that is kept, or that lies open where `kept` is undefined. Every product is cut to a whole number, so
   * that -weight takes away exactly what weight added.
   */
  addWhole(
    kept: number | undefined,
    table: number,
    reflected: boolean,
    nx: number,
    ny: number,
    shiftX: number,
    shiftY: number,
    weight: number,
  ): number;
  /** Opens nx x ny nodes of a kept map of `columns`, from column `from` on: the map is these whole numbers until `scale`. */
  open(kept: number, columns: number, from: number, nx: number, ny: number): void;
  /** Turns the whole numbers of the map into float32, and multiplies them by `unit`. */
  scale(nodes: number, unit: number): void;
  /** Lists the nodes below `bound` that are free (0) or least among their eight neighbours, a tie to the first. */
  minima(nx: number, ny: number, bound: number): number;
}

/** The fastest kernel that this machine runs. */
export const createKernel = (pools: FieldPools, memory: KernelMemory | undefined): Kernel =>
  memory === undefined ? new PlainKernel(pools) : new SimdKernel(pools, memory);

export class PlainKernel implements Kernel {
  values: Float32Array = new Float32Array(0);
  found: Int32Array = new Int32Array(0);
  /** The same memory as `values`, while a kept map lies open there. */
  private whole: Int32Array = new Int32Array(0);
  private readonly kept: Int32Array[] = [];
  private readonly pools: FieldPools;

  constructor(pools: FieldPools) {
    this.pools = pools;
  }

  clear(nodes: number): void {
    this.makeRoom(nodes);
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
    const { depth } = this.pools;
    const { values } = this;
    const w = Math.fround(weight);
    return this.rows(table, reflected, nx, ny, shiftX, shiftY, (m, step, d, end) => {
      for (; d <= end; d++, m += step) values[m] = values[m]! + Math.fround(w * depth[d]!);
    });
  }

  keep(nodes: number): number {
    return this.kept.push(new Int32Array(nodes)) - 1;
  }

  addWhole(
    kept: number | undefined,
    table: number,
    reflected: boolean,
    nx: number,
    ny: number,
    shiftX: number,
    shiftY: number,
    weight: number,
  ): number {
    const { depth } = this.pools;
    const values = kept === undefined ? this.whole : this.kept[kept]!;
    const w = Math.fround(weight);
    return this.rows(table, reflected, nx, ny, shiftX, shiftY, (m, step, d, end) => {
      for (; d <= end; d++, m += step) values[m] = values[m]! + Math.trunc(Math.fround(w * depth[d]!));
    });
  }

  open(kept: number, columns: number, from: number, nx: number, ny: number): void {
    this.makeRoom(nx * ny);
    for (let row = 0; row < ny; row++) {
      const first = row * columns + from;
      this.whole.set(this.kept[kept]!.subarray(first, first + nx), row * nx);
    }
  }

  scale(nodes: number, unit: number): void {
    const { values, whole } = this;
    const u = Math.fround(unit);
    for (let k = 0; k < nodes; k++) values[k] = u * Math.fround(whole[k]!);
  }

  private makeRoom(nodes: number): void {
    if (this.values.length >= nodes) return;
    this.values = new Float32Array(nodes + (nodes >> 2));
    this.whole = new Int32Array(this.values.buffer);
    this.found = new Int32Array(this.values.length);
  }

  /** Visits where a shifted table meets the map, row by row: nodes from `m` on by `step`, depths from `d` to `end`. */
  private rows(
    table: number,
    reflected: boolean,
    nx: number,
    ny: number,
    shiftX: number,
    shiftY: number,
    visit: (m: number, step: number, d: number, end: number) => void,
  ): number {
    const { rows, shape, rowBase } = this.pools;
    const cols = shape[4 * table]!;
    const height = shape[4 * table + 1]!;
    const node = shape[4 * table + 2]!;
    const row0 = rowBase[table]!;
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
      const first = node + r * cols;
      visit((shiftY + step * r) * nx + shiftX + step * from, step, first + from, first + to);
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

class SimdKernel implements Kernel {
  values: Float32Array = new Float32Array(0);
  found: Int32Array = new Int32Array(0);
  private readonly pools: FieldPools;
  private readonly memory: KernelMemory;
  private valuesAt = 0;
  private foundAt = 0;
  private room = 0;

  constructor(pools: FieldPools, memory: KernelMemory) {
    this.pools = pools;
    this.memory = memory;
  }

  clear(nodes: number): void {
    this.makeRoom(nodes);
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
    const { add, addReflected } = this.memory.code;
    const lay = reflected ? addReflected : add;
    return this.lay(lay, this.valuesAt, table, nx, ny, shiftX, shiftY, weight);
  }

  keep(nodes: number): number {
    return this.memory.reserve(4 * nodes);
  }

  addWhole(
    kept: number | undefined,
    table: number,
    reflected: boolean,
    nx: number,
    ny: number,
    shiftX: number,
    shiftY: number,
    weight: number,
  ): number {
    const { addWhole, addWholeReflected } = this.memory.code;
    const lay = reflected ? addWholeReflected : addWhole;
    return this.lay(lay, kept ?? this.valuesAt, table, nx, ny, shiftX, shiftY, weight);
  }

  open(kept: number, columns: number, from: number, nx: number, ny: number): void {
    this.makeRoom(nx * ny);
    this.memory.code.copy(this.valuesAt, kept + 4 * from, columns, nx, ny);
  }

  scale(nodes: number, unit: number): void {
    this.memory.code.scale(this.valuesAt, nodes, unit);
  }

  minima(nx: number, ny: number, bound: number): number {
    return this.memory.code.minima(this.valuesAt, nx, ny, bound, this.foundAt);
  }

  private lay(
    lay: KernelCode['add'],
    at: number,
    table: number,
    nx: number,
    ny: number,
    shiftX: number,
    shiftY: number,
    weight: number,
  ): number {
    const { shape, rowBase } = this.pools;
    const { depthAt, rowsAt } = this.memory;
    const depth = depthAt + 4 * shape[4 * table + 2]!;
    const rows = rowsAt + 4 * rowBase[table]!;
    return lay(at, nx, ny, shiftX, shiftY, depth, shape[4 * table]!, shape[4 * table + 1]!, rows, weight);
  }

  private makeRoom(nodes: number): void {
    const { memory } = this;
    if (this.room < nodes) {
      this.room = nodes + (nodes >> 2);
      this.valuesAt = memory.reserve(4 * this.room);
      this.foundAt = memory.reserve(4 * this.room);
    }
    if (this.values.buffer !== memory.buffer || this.values.length !== this.room) {
      this.values = new Float32Array(memory.buffer, this.valuesAt, this.room);
      this.found = new Int32Array(memory.buffer, this.foundAt, this.room);
    }
  }
}
