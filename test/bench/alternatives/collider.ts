/**
 * Finds which pieces a moving piece collides with, by edges. Edges that touch count as colliding, which is on
 * the safe side. Where no edges meet, one vertex tells whether one shape lies in the other.
 */
import type { Shape } from './shapes.js';

export interface Collider {
  /** Piece i now stands at (x, y) in `variant`. */
  set(i: number, variant: number, x: number, y: number): void;
  /**
   * Which of the first `count` pieces in `open`, whose boxes overlap that of `shape` at (x, y), collide with
   * it: 1 in `hit` for those, 0 for the others.
   */
  resolve(shape: Shape, x: number, y: number, open: Int32Array, count: number, hit: Uint8Array): void;
}

/** Where every piece stands. */
export class Places {
  protected readonly x: Float64Array;
  protected readonly y: Float64Array;
  protected readonly variant: Int32Array;

  constructor(count: number) {
    this.x = new Float64Array(count);
    this.y = new Float64Array(count);
    this.variant = new Int32Array(count);
  }

  set(i: number, variant: number, x: number, y: number): void {
    this.variant[i] = variant;
    this.x[i] = x;
    this.y[i] = y;
  }
}

/** Whether the closed segments ab and cd have a point in common. */
export function edgesMeet(
  ax: number,
  ay: number,
  bx: number,
  by: number,
  cx: number,
  cy: number,
  dx: number,
  dy: number,
): boolean {
  if ((cx > ax && cx > bx && dx > ax && dx > bx) || (cx < ax && cx < bx && dx < ax && dx < bx)) return false;
  if ((cy > ay && cy > by && dy > ay && dy > by) || (cy < ay && cy < by && dy < ay && dy < by)) return false;
  const ux = bx - ax;
  const uy = by - ay;
  const c = ux * (cy - ay) - uy * (cx - ax);
  const d = ux * (dy - ay) - uy * (dx - ax);
  if ((c > 0 && d > 0) || (c < 0 && d < 0)) return false;
  const vx = dx - cx;
  const vy = dy - cy;
  const a = vx * (ay - cy) - vy * (ax - cx);
  const b = vx * (by - cy) - vy * (bx - cx);
  return !((a > 0 && b > 0) || (a < 0 && b < 0));
}

/** Whether one of two shapes whose edges do not meet lies in the other; b's origin at (dx, dy) from a's. */
export const nested = (a: Shape, b: Shape, dx: number, dy: number): boolean =>
  inside(a, b.points[0]! + dx, b.points[1]! + dy) || inside(b, a.points[0]! - dx, a.points[1]! - dy);

function inside({ points, edges }: Shape, x: number, y: number): boolean {
  let odd = false;
  for (let k = 0; k < edges; k++) {
    const ax = points[2 * k]!;
    const ay = points[2 * k + 1]!;
    const bx = points[2 * k + 2]!;
    const by = points[2 * k + 3]!;
    if (ay > y !== by > y && x < ax + ((bx - ax) * (y - ay)) / (by - ay)) odd = !odd;
  }
  return odd;
}
