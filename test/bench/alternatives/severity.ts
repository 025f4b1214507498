/**
 * How badly two colliding shapes overlap, from their poles alone (Gardeyn, Vanden Berghe and Wauters 2025,
 * arXiv:2509.13329). Every pair of circles counts by how deep they overlap, or, beyond a small depth and when
 * they are apart, by a tail that falls towards 0 with their distance, so that there is always a way downhill.
 * The root makes it grow like a length, and the size of the hulls keeps large pieces from being left with
 * small overlaps.
 */
import type { Shape } from './shapes.js';

/** Depth at which the tail begins, as a share of the larger diameter. */
const TAIL = 0.01;

/** Severity of the overlap of `a` and `b` with b's origin at (dx, dy) from a's; only for shapes that collide. */
export function severity(a: Shape, b: Shape, dx: number, dy: number): number {
  const eps = TAIL * Math.max(a.diameter, b.diameter);
  const p = a.poles;
  const q = b.poles;
  let sum = 0;
  for (let i = 0; i < p.length; i += 3) {
    const x = p[i]! - dx;
    const y = p[i + 1]! - dy;
    const r = p[i + 2]!;
    for (let j = 0; j < q.length; j += 3) {
      const ex = x - q[j]!;
      const ey = y - q[j + 1]!;
      const s = q[j + 2]!;
      const depth = r + s - Math.sqrt(ex * ex + ey * ey);
      sum += (depth >= eps ? depth : (eps * eps) / (2 * eps - depth)) * 2 * Math.min(r, s);
    }
  }
  return Math.sqrt(sum * a.size * b.size);
}

/** Whether any two poles overlap, which proves that the shapes do. */
export function polesMeet(a: Shape, b: Shape, dx: number, dy: number): boolean {
  const p = a.poles;
  const q = b.poles;
  for (let i = 0; i < p.length; i += 3) {
    const x = p[i]! - dx;
    const y = p[i + 1]! - dy;
    const r = p[i + 2]!;
    for (let j = 0; j < q.length; j += 3) {
      const ex = x - q[j]!;
      const ey = y - q[j + 1]!;
      const reach = r + q[j + 2]!;
      if (ex * ex + ey * ey < reach * reach) return true;
    }
  }
  return false;
}
