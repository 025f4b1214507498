/**
 * Collision by a uniform grid over the strip: every cell lists the edges of placed pieces whose boxes reach
 * into it, so an edge of the moving piece is held against the edges in its cells only. A piece that moves is
 * taken out of its cells and entered anew. (Arrays of cells in place of the quadtree of Gardeyn and others
 * 2025, arXiv:2508.08341.)
 */
import { type Collider, edgesMeet, nested, Places } from './collider.js';
import type { Shape } from './shapes.js';

/** Cells across the strip at most. */
const MOST_ROWS = 64;

export class GridCollider extends Places implements Collider {
  private readonly shapes: readonly Shape[];
  private readonly side: number;
  private readonly cols: number;
  private readonly rows: number;
  private readonly cells: number[][];
  /** Entries of the cells are piece x stride + edge. */
  private readonly stride: number;
  private readonly asked: Uint8Array;

  /** For `count` pieces on a strip of the width and of no more than the length given. */
  constructor(shapes: readonly Shape[], count: number, width: number, length: number) {
    super(count);
    this.shapes = shapes;
    this.variant.fill(-1);
    this.side = Math.max(width / MOST_ROWS, meanEdge(shapes));
    this.cols = Math.ceil(length / this.side);
    this.rows = Math.ceil(width / this.side);
    this.cells = Array.from({ length: this.cols * this.rows }, () => []);
    this.stride = Math.max(...shapes.map(({ edges }) => edges));
    this.asked = new Uint8Array(count);
  }

  override set(i: number, variant: number, x: number, y: number): void {
    if (this.variant[i]! >= 0) this.enter(i, false);
    super.set(i, variant, x, y);
    this.enter(i, true);
  }

  resolve(shape: Shape, x: number, y: number, open: Int32Array, count: number, hit: Uint8Array): void {
    const { asked, shapes, variant, cells, cols, stride } = this;
    for (let k = 0; k < count; k++) {
      asked[open[k]!] = 1;
      hit[open[k]!] = 0;
    }
    let left = count;
    const { points } = shape;
    for (let e = 0; e < shape.edges && left > 0; e++) {
      const ax = points[2 * e]! + x;
      const ay = points[2 * e + 1]! + y;
      const bx = points[2 * e + 2]! + x;
      const by = points[2 * e + 3]! + y;
      const colTo = this.col(Math.max(ax, bx));
      const rowTo = this.row(Math.max(ay, by));
      for (let row = this.row(Math.min(ay, by)); row <= rowTo && left > 0; row++) {
        for (let col = this.col(Math.min(ax, bx)); col <= colTo && left > 0; col++) {
          const cell = cells[row * cols + col]!;
          for (let k = 0; k < cell.length; k++) {
            const j = Math.floor(cell[k]! / stride);
            if (asked[j] === 0) continue;
            const q = shapes[variant[j]!]!.points;
            const f = 2 * (cell[k]! - j * stride);
            const ox = this.x[j]!;
            const oy = this.y[j]!;
            if (!edgesMeet(ax, ay, bx, by, q[f]! + ox, q[f + 1]! + oy, q[f + 2]! + ox, q[f + 3]! + oy))
              continue;
            hit[j] = 1;
            asked[j] = 0;
            left--;
          }
        }
      }
    }
    for (let k = 0; k < count; k++) {
      const j = open[k]!;
      if (asked[j] === 1 && nested(shape, shapes[variant[j]!]!, this.x[j]! - x, this.y[j]! - y)) hit[j] = 1;
      asked[j] = 0;
    }
  }

  private enter(i: number, enters: boolean): void {
    const { points, edges } = this.shapes[this.variant[i]!]!;
    const [x, y] = [this.x[i]!, this.y[i]!];
    for (let e = 0; e < edges; e++) {
      const ax = points[2 * e]! + x;
      const ay = points[2 * e + 1]! + y;
      const bx = points[2 * e + 2]! + x;
      const by = points[2 * e + 3]! + y;
      const entry = i * this.stride + e;
      for (let row = this.row(Math.min(ay, by)); row <= this.row(Math.max(ay, by)); row++) {
        for (let col = this.col(Math.min(ax, bx)); col <= this.col(Math.max(ax, bx)); col++) {
          const cell = this.cells[row * this.cols + col]!;
          if (enters) cell.push(entry);
          else {
            cell[cell.indexOf(entry)] = cell[cell.length - 1]!;
            cell.pop();
          }
        }
      }
    }
  }

  private col(x: number): number {
    return Math.max(0, Math.min(this.cols - 1, Math.floor(x / this.side)));
  }

  private row(y: number): number {
    return Math.max(0, Math.min(this.rows - 1, Math.floor(y / this.side)));
  }
}

/** Mean length of an edge. */
function meanEdge(shapes: readonly Shape[]): number {
  let sum = 0;
  let count = 0;
  for (const { points, edges } of shapes) {
    count += edges;
    for (let k = 0; k < 2 * edges; k += 2) {
      sum += Math.hypot(points[k + 2]! - points[k]!, points[k + 3]! - points[k + 1]!);
    }
  }
  return sum / count;
}
