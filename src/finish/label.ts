import polylabel from 'polylabel';
import type { Polygon } from '../geometry/polygon.js';
import type { Vec } from '../geometry/vec.js';

/** How close to the best place the label comes, mm. */
const PRECISION = 0.5;

/** Where a label has most room in a polygon, and the radius of the clear circle there, mm. */
export function labelPlace(polygon: Polygon): { at: Vec; radius: number } {
  const found = polylabel([polygon], PRECISION);
  return { at: [found[0], found[1]], radius: found.distance };
}
