/**
 * Collision by bounding-volume hierarchies: every shape has a binary tree of boxes over its edges in the order
 * of its outline, built once and never changed, as pieces only move; two trees are descended together, and
 * only where boxes overlap. Which pairs to look at is known from the pieces' own boxes.
 */
import { type Collider, edgesMeet, nested, Places } from './collider.js';
import type { Shape } from './shapes.js';

/** Edges in a leaf at most. */
const LEAF = 2;

/** Nodes in depth-first order: the left child of node k is k + 1. */
interface Tree {
  /** minX, minY, maxX, maxY per node. */
  readonly boxes: Float64Array;
  /** Right child, 0 for a leaf. */
  readonly right: Int32Array;
  /** First edge, and the one past the last. */
  readonly from: Int32Array;
  readonly to: Int32Array;
}

export class TreeCollider extends Places implements Collider {
  private readonly shapes: readonly Shape[];
  private readonly trees: ReadonlyMap<Shape, Tree>;
  /** Two entries for each level of either tree, and both are balanced: enough for any outline. */
  private readonly stack = new Int32Array(256);

  constructor(shapes: readonly Shape[], count: number) {
    super(count);
    this.shapes = shapes;
    this.trees = new Map(shapes.map((shape) => [shape, treeOf(shape)]));
  }

  resolve(shape: Shape, x: number, y: number, open: Int32Array, count: number, hit: Uint8Array): void {
    const tree = this.trees.get(shape)!;
    for (let k = 0; k < count; k++) {
      const j = open[k]!;
      const other = this.shapes[this.variant[j]!]!;
      const dx = this.x[j]! - x;
      const dy = this.y[j]! - y;
      const meet = this.descend(shape, tree, other, this.trees.get(other)!, dx, dy);
      hit[j] = meet || nested(shape, other, dx, dy) ? 1 : 0;
    }
  }

  private descend(a: Shape, s: Tree, b: Shape, t: Tree, dx: number, dy: number): boolean {
    const { stack } = this;
    const p = s.boxes;
    const q = t.boxes;
    let top = 0;
    stack[top++] = 0;
    stack[top++] = 0;
    while (top > 0) {
      const n = stack[--top]!;
      const m = stack[--top]!;
      if (q[4 * n]! + dx > p[4 * m + 2]! || q[4 * n + 2]! + dx < p[4 * m]!) continue;
      if (q[4 * n + 1]! + dy > p[4 * m + 3]! || q[4 * n + 3]! + dy < p[4 * m + 1]!) continue;
      if (s.right[m] === 0 && t.right[n] === 0) {
        if (leavesMeet(a.points, s.from[m]!, s.to[m]!, b.points, t.from[n]!, t.to[n]!, dx, dy)) return true;
        continue;
      }
      // The node of more edges is opened.
      const left = t.right[n] === 0 || (s.right[m] !== 0 && s.to[m]! - s.from[m]! >= t.to[n]! - t.from[n]!);
      stack[top++] = left ? s.right[m]! : m;
      stack[top++] = left ? n : t.right[n]!;
      stack[top++] = left ? m + 1 : m;
      stack[top++] = left ? n : n + 1;
    }
    return false;
  }
}

function leavesMeet(
  p: Float64Array,
  from: number,
  to: number,
  q: Float64Array,
  first: number,
  end: number,
  dx: number,
  dy: number,
): boolean {
  for (let e = 2 * from; e < 2 * to; e += 2) {
    for (let f = 2 * first; f < 2 * end; f += 2) {
      const [cx, cy] = [q[f]! + dx, q[f + 1]! + dy];
      const [ex, ey] = [q[f + 2]! + dx, q[f + 3]! + dy];
      if (edgesMeet(p[e]!, p[e + 1]!, p[e + 2]!, p[e + 3]!, cx, cy, ex, ey)) return true;
    }
  }
  return false;
}

function treeOf({ points, edges }: Shape): Tree {
  const boxes: number[] = [];
  const right: number[] = [];
  const from: number[] = [];
  const to: number[] = [];
  const add = (first: number, end: number): void => {
    const node = from.length;
    const xs = Array.from(points.subarray(2 * first, 2 * end + 2)).filter((_, k) => k % 2 === 0);
    const ys = Array.from(points.subarray(2 * first, 2 * end + 2)).filter((_, k) => k % 2 === 1);
    boxes.push(Math.min(...xs), Math.min(...ys), Math.max(...xs), Math.max(...ys));
    from.push(first);
    to.push(end);
    right.push(0);
    if (end - first <= LEAF) return;
    const middle = (first + end) >> 1;
    add(first, middle);
    right[node] = from.length;
    add(middle, end);
  };
  add(0, edges);
  return {
    boxes: Float64Array.from(boxes),
    right: Int32Array.from(right),
    from: Int32Array.from(from),
    to: Int32Array.from(to),
  };
}
