import { InputError } from '../../errors.js';
import { flattenCounts, flattenWith, type Path } from '../../geometry/path.js';
import { signedArea } from '../../geometry/polygon.js';
import { angleBetween, distance, sub, type Vec } from '../../geometry/vec.js';
import type { PatternAxis, VertexKind } from './pattern-types.js';

/** A vertex of a line as it was drawn; one `between` was put into an arc or spline to draw it. */
export interface DrawnVertex {
  readonly at: Vec;
  readonly between: boolean;
}

/** Without any marks a bend sharper than this (radians) is taken for a corner. */
const CORNER = (20 * Math.PI) / 180;
const SAME = 1e-9;

/**
 * Turns paths into vertices, curves as chords no farther than `tolerance` from them.
 *
 * @throws InputError when all paths together need more than `most`: a curve of kilometres is no pattern's.
 */
export function chordMaker(tolerance: number, most: number, file: string): (path: Path) => DrawnVertex[] {
  let made = 0;
  return (path) => {
    const counts = flattenCounts(path, tolerance);
    for (const count of counts) made += count;
    if (!(made <= most)) {
      throw new InputError(`the curves of the DXF need more than ${most} chords`, {
        mend: 'look whether the units are right, or export curves as polylines',
        place: { file },
      });
    }
    return verticesOf(path, counts);
  };
}

function verticesOf(path: Path, counts: readonly number[]): DrawnVertex[] {
  const ends = new Set<number>([0]);
  let at = 0;
  for (const count of counts) {
    at += count;
    ends.add(at);
  }
  return flattenWith(path, counts).map((p, i) => ({ at: p, between: !ends.has(i) }));
}

/** A closed line's vertices counter-clockwise, none twice in a row. */
export function ringOf(vertices: readonly DrawnVertex[]): DrawnVertex[] {
  const points = vertices.filter((v, i) => i === 0 || distance(v.at, vertices[i - 1]!.at) > SAME);
  while (points.length > 1 && distance(points[0]!.at, points[points.length - 1]!.at) <= SAME) points.pop();
  return signedArea(points.map((v) => v.at)) < 0 ? points.reverse() : points;
}

/** What a vertex without a mark is: interpolated where others have marks, else told by its bend. */
export function unmarkedKind(
  points: readonly DrawnVertex[],
  i: number,
  closed: boolean,
  othersMarked: boolean,
): VertexKind {
  if (othersMarked || points[i]!.between) return 'interpolated';
  const isEnd = i === 0 || i === points.length - 1;
  if (!closed && isEnd) return 'turn';
  const before = points[(i + points.length - 1) % points.length]!.at;
  const after = points[(i + 1) % points.length]!.at;
  const bend = Math.abs(angleBetween(sub(points[i]!.at, before), sub(after, points[i]!.at)));
  return bend > CORNER ? 'turn' : 'interpolated';
}

/** Whether both ends of an open boundary lie on the mirror line, which then closes it. */
export function endsOnLine(path: Path, line: PatternAxis, reach: number): boolean {
  const along = sub(line.to, line.from);
  const length = Math.hypot(...along);
  if (length === 0) return false;
  const off = (p: Vec) => {
    const d = sub(p, line.from);
    return Math.abs(along[0] * d[1] - along[1] * d[0]) / length;
  };
  return off(path[0]!.a) <= reach && off(path[path.length - 1]!.b) <= reach;
}
