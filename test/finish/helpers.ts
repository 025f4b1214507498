import { difference } from '../../src/geometry/clip.js';
import { distanceToSegment, type Polygon, signedArea } from '../../src/geometry/polygon.js';
import type { Vec } from '../../src/geometry/vec.js';

/** Area of `a` outside `b`, mm2, by clipper-lib; holes count negative. */
export const outside = (a: Polygon, b: Polygon): number =>
  difference([a], [b]).reduce((sum, ring) => sum + signedArea(ring), 0);

/** Distance from a point to a polygon's boundary, mm. */
export const toBoundary = (point: Vec, polygon: Polygon): number =>
  Math.min(...polygon.map((a, i) => distanceToSegment(point, a, polygon[(i + 1) % polygon.length]!)));
