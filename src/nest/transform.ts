import type { Vec } from '../geometry/vec.js';

/** Degrees brought to [0, 360). */
export const turn = (degrees: number): number => ((degrees % 360) + 360) % 360;

/** Whether `angle` is within `tilt` degrees of `rotation`; floats may be off by a hair. */
export function withinTilt(angle: number, rotation: number, tilt: number): boolean {
  const away = turn(angle - rotation);
  return Math.min(away, 360 - away) <= tilt + 1e-9;
}

/** Cosine and sine of an angle in degrees, exact for quarter turns. */
export function cosSin(degrees: number): readonly [cos: number, sin: number] {
  switch (turn(degrees)) {
    case 0:
      return [1, 0];
    case 90:
      return [0, 1];
    case 180:
      return [-1, 0];
    case 270:
      return [0, -1];
    default: {
      const radians = (turn(degrees) * Math.PI) / 180;
      return [Math.cos(radians), Math.sin(radians)];
    }
  }
}

/**
 * The polygon mirrored (x -> -x) if `mirror`, then turned by `rotation` degrees about its origin; always
 * counter-clockwise when the input is.
 */
export function transformed(polygon: readonly Vec[], rotation: number, mirror: boolean): Vec[] {
  const [c, s] = cosSin(rotation);
  const out = polygon.map(([px, y]): Vec => {
    const x = mirror ? -px : px;
    return [c * x - s * y, s * x + c * y];
  });
  return mirror ? out.reverse() : out;
}
