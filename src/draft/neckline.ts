import { cubic, type Path } from '../geometry/path.js';
import { add, perp, scale, type Vec } from '../geometry/vec.js';

/** Handles of a deep neckline: share of its depth at the neck point, share of its half width at the centre. */
const DEEP = { neck: 0.5, center: 0.58 };
/** Handles of a shallow one, such as a back neckline: longer, so that no hook forms at the neck point. */
const SHALLOW = { neck: 1.04, center: 0.66 };
/** Depth over half width up to which a neckline is shallow, and from which it is deep. */
const SHALLOW_UP_TO = 0.3;
const DEEP_FROM = 0.6;

/**
 * Round neckline from the neck point to the centre: at a right angle to the shoulder, so that it runs on
 * across the shoulder seam, and level at the centre, so that it opens smoothly from the fold.
 *
 * @param shoulder direction of the shoulder from tip to neck point.
 */
export function necklinePath(neckPoint: Vec, centerNeck: Vec, shoulder: Vec): Path {
  const depth = neckPoint[1] - centerNeck[1];
  const width = neckPoint[0] - centerNeck[0];
  const deepness = Math.min(1, Math.max(0, (depth / width - SHALLOW_UP_TO) / (DEEP_FROM - SHALLOW_UP_TO)));
  const between = (shallow: number, deep: number) => shallow + (deep - shallow) * deepness;
  const neck = between(SHALLOW.neck, DEEP.neck) * depth;
  const center = between(SHALLOW.center, DEEP.center) * width;
  return [
    cubic(neckPoint, add(neckPoint, scale(perp(shoulder), neck)), add(centerNeck, [center, 0]), centerNeck),
  ];
}
