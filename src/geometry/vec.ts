/** A point or displacement in the plane, millimetres unless a caller says otherwise. */
export type Vec = readonly [x: number, y: number];

export const add = (a: Vec, b: Vec): Vec => [a[0] + b[0], a[1] + b[1]];
export const sub = (a: Vec, b: Vec): Vec => [a[0] - b[0], a[1] - b[1]];
export const scale = (a: Vec, k: number): Vec => [a[0] * k, a[1] * k];
export const dot = (a: Vec, b: Vec): number => a[0] * b[0] + a[1] * b[1];
/** z of the cross product: positive when `b` is counter-clockwise from `a`. */
export const cross = (a: Vec, b: Vec): number => a[0] * b[1] - a[1] * b[0];
export const norm = (a: Vec): number => Math.hypot(a[0], a[1]);
export const distance = (a: Vec, b: Vec): number => Math.hypot(a[0] - b[0], a[1] - b[1]);
export const lerp = (a: Vec, b: Vec, t: number): Vec => [a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t];
/** `a` turned a quarter turn counter-clockwise. */
export const perp = (a: Vec): Vec => [-a[1], a[0]];

/** Unit vector along `a`; throws on a zero vector. */
export function unit(a: Vec): Vec {
  const length = norm(a);
  if (length === 0) throw new RangeError('a zero vector has no direction');
  return [a[0] / length, a[1] / length];
}

/** Signed angle from `a` to `b` in radians, in (-pi, pi]; counter-clockwise positive. */
export const angleBetween = (a: Vec, b: Vec): number => Math.atan2(cross(a, b), dot(a, b));

/** `a` turned about `centre` by `radians` counter-clockwise. */
export function rotate(a: Vec, radians: number, centre: Vec = [0, 0]): Vec {
  const c = Math.cos(radians);
  const s = Math.sin(radians);
  const x = a[0] - centre[0];
  const y = a[1] - centre[1];
  return [centre[0] + c * x - s * y, centre[1] + s * x + c * y];
}

export const samePoint = (a: Vec, b: Vec, tolerance = 1e-9): boolean =>
  Math.abs(a[0] - b[0]) <= tolerance && Math.abs(a[1] - b[1]) <= tolerance;
