/** What the circle scheme knows of every variant, in flat arrays relative to the variant's own origin. */
import { area, hull } from '../../../src/geometry/polygon.js';
import type { Vec } from '../../../src/geometry/vec.js';
import type { Problem } from '../../../src/nest/problem.js';
import { cosSin } from '../../../src/nest/transform.js';
import { polesOf } from './poles.js';

export interface Shape {
  /** x, y of the vertices, the first repeated at the end: edge k runs from vertex k to k + 1. */
  readonly points: Float64Array;
  readonly edges: number;
  /** x, y, r of the poles, the largest first. */
  readonly poles: Float64Array;
  readonly minX: number;
  readonly minY: number;
  readonly maxX: number;
  readonly maxY: number;
  /** Greatest distance of two vertices. */
  readonly diameter: number;
  /** Square root of the area of the convex hull. */
  readonly size: number;
}

/**
 * Shapes by number of variant, from the same outlines that the no-fit tables are built on. Throws for what the
 * circle scheme here does not know: gaps, zones, pins, groups, spans.
 */
export function shapesOf(problem: Problem): Shape[] {
  const { gap, count, pieces, groupRotations, spanNames, fixed } = problem;
  if (gap > 0 || count > pieces || groupRotations.length + spanNames.length > 0 || fixed.some((f) => f)) {
    throw new Error(`${problem.instance.name}: alternatives are measured without gap, zones, pins or groups`);
  }
  const poles = problem.outlines.map((outline) => polesOf(pairs(outline)));
  return problem.variants.map(({ outline, rotation }): Shape => {
    const [c, s] = cosSin(rotation);
    const turned = ([x, y]: Vec): Vec => [c * x - s * y, s * x + c * y];
    const points = pairs(problem.outlines[outline]!).map(turned);
    const xs = points.map(([x]) => x);
    const ys = points.map(([, y]) => y);
    return {
      points: Float64Array.from([...points, points[0]!].flat()),
      edges: points.length,
      poles: Float64Array.from(poles[outline]!.flatMap(({ x, y, r }) => [...turned([x, y]), r])),
      minX: Math.min(...xs),
      minY: Math.min(...ys),
      maxX: Math.max(...xs),
      maxY: Math.max(...ys),
      diameter: Math.max(...points.flatMap((p) => points.map((q) => Math.hypot(p[0] - q[0], p[1] - q[1])))),
      size: Math.sqrt(area(hull(points))),
    };
  });
}

const pairs = (flat: Float64Array): Vec[] =>
  Array.from({ length: flat.length / 2 }, (_, k) => [flat[2 * k]!, flat[2 * k + 1]!]);
