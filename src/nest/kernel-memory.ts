/**
 * The WebAssembly part of a search and its memory: the tables first, then whatever room is asked for. One per
 * thread; a machine that cannot run it has none, and plain TypeScript does the same work.
 */
import type { FieldPools } from './fields.js';
import { KERNEL_CODE } from './kernel-code.js';

/** What wasm/kernel.ts and wasm/near.ts export. Places in memory are byte offsets. */
export interface KernelCode {
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
  addReflected: KernelCode['add'];
  addWhole: KernelCode['add'];
  addWholeReflected: KernelCode['add'];
  copy(values: number, from: number, columns: number, nx: number, ny: number): void;
  scale(values: number, nodes: number, unit: number): void;
  minima(values: number, nx: number, ny: number, bound: number, out: number): number;
  setTables(
    code: number,
    shape: number,
    origin: number,
    start: number,
    list: number,
    segments: number,
    variants: number,
    cell: number,
    gap: number,
  ): void;
  setCopies(
    count: number,
    x: number,
    y: number,
    weight: number,
    variant: number,
    near: number,
    rays: number,
    rayCount: number,
    result: number,
  ): void;
  gather(i: number, variant: number, x: number, y: number, margin: number, tolerance: number): number;
  cost(x: number, y: number, bound: number): number;
  refine(
    x: number,
    y: number,
    known: number,
    firstStep: number,
    lastStep: number,
    minX: number,
    minY: number,
    maxX: number,
    maxY: number,
    ray: number,
  ): number;
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
const compiled = compile();

function compile(): object | undefined {
  const code = Uint8Array.from(atob(KERNEL_CODE), (c) => c.charCodeAt(0));
  return api?.validate(code) ? new api.Module(code) : undefined;
}

const PAGE = 65536;
/** The first bytes hold the compiled code's own constants. */
const FIRST = 1024;

export class KernelMemory {
  readonly code: KernelCode;
  /** Offsets of the tables' depths and of their rows. */
  readonly depthAt: number;
  readonly rowsAt: number;
  private readonly memory: Memory;
  private end = FIRST;

  /** Copies the tables in; undefined where the machine cannot run the code. */
  static of(pools: FieldPools): KernelMemory | undefined {
    return compiled === undefined ? undefined : new KernelMemory(pools, compiled);
  }

  private constructor(pools: FieldPools, module: object) {
    this.memory = new api!.Memory({ initial: 1 });
    this.code = new api!.Instance(module, { env: { memory: this.memory } }).exports as KernelCode;
    this.depthAt = this.copy(pools.depth);
    this.rowsAt = this.copy(pools.rows);
    this.code.setTables(
      this.copy(pools.code),
      this.copy(pools.shape),
      this.copy(pools.origin),
      this.copy(pools.start),
      this.copy(pools.list),
      this.copy(pools.segments),
      pools.variants,
      pools.cell,
      pools.gap,
    );
  }

  /** The memory as it is now: views of it are worth nothing once more room is reserved. */
  get buffer(): ArrayBuffer {
    return this.memory.buffer;
  }

  /** Room for `bytes`, zeroed; returns its offset. */
  reserve(bytes: number): number {
    const at = this.end;
    this.end += 16 * Math.ceil(bytes / 16);
    const missing = this.end - this.memory.buffer.byteLength;
    if (missing > 0) this.memory.grow(Math.ceil(missing / PAGE));
    return at;
  }

  private copy(array: ArrayBufferView & { readonly byteLength: number }): number {
    const at = this.reserve(array.byteLength);
    new Uint8Array(this.buffer, at).set(new Uint8Array(array.buffer, array.byteOffset, array.byteLength));
    return at;
  }
}
