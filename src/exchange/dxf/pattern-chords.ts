import { commonChords } from '../../finish/chords.js';
import { flattenWith, type Path, turnBetween } from '../../geometry/path.js';
import { distanceToSegment } from '../../geometry/polygon.js';
import { splineThrough } from '../../geometry/spline.js';
import { samePoint, type Vec } from '../../geometry/vec.js';
import type { VertexKind } from './pattern-types.js';

/** A vertex with a name that is the same in every size. */
export interface Marked {
  readonly at: Vec;
  readonly kind: VertexKind;
  readonly key: string;
}

/** A bend sharper than this (radians) inside a line is a corner. */
const CORNER = (5 * Math.PI) / 180;
/** Parts that a curved segment is divided into at first by points that are graded. */
const PARTS = 4;
/** A smooth curve through the points of a line stays this near to the line, mm. */
const FAITHFUL = 0.25;
const SAMPLES = 12;

/**
 * One line of a piece in all its sizes as chords whose vertices answer to each other: the ends are turn points,
 * nodes between them turn or curve points as they bend, and enough of the other vertices are curve points for a
 * smooth curve through them to be the same curve in every size, to a quarter of a millimetre; the rest are
 * interpolated. A reader that grades draws such a curve anew, by a spline of its own.
 *
 * @param base which of `paths` tells what is a corner.
 */
export function markedChords(
  paths: readonly Path[],
  base: number,
  tolerance: number,
  key: string,
): Marked[][] {
  const chords = commonChords(paths, tolerance);
  const drawn = paths.map(chords);
  const kinds = kindsOf(paths[base]!, drawn[base]!);
  while (refine(kinds, drawn));
  return drawn.map((points) => points.map((at, i) => ({ at, kind: kinds[i]!, key: `${key}:${i}` })));
}

function kindsOf(path: Path, points: readonly Vec[]): VertexKind[] {
  const kinds = points.map((): VertexKind => 'interpolated');
  const last = points.length - 1;
  // Where all sizes are built alike, the nodes of the path are among the vertices; else only its ends are.
  const stops = [{ at: 0, node: 0 }];
  path.slice(0, -1).forEach((segment, i) => {
    const from = stops[stops.length - 1]!.at;
    const at = points.findIndex((p, k) => k > from && k < last && samePoint(p, segment.b));
    if (at < 0) return;
    stops.push({ at, node: i + 1 });
    kinds[at] = Math.abs(turnBetween([segment], [path[i + 1]!])) > CORNER ? 'turn' : 'curve';
  });
  stops.push({ at: last, node: path.length });
  for (let i = 0; i + 1 < stops.length; i++) {
    const [from, to] = [stops[i]!, stops[i + 1]!];
    const steps = to.at - from.at;
    const parts = Math.min(steps, PARTS * (to.node - from.node));
    for (let j = 1; j < parts; j++) kinds[from.at + Math.round((j * steps) / parts)] = 'curve';
  }
  kinds[0] = 'turn';
  kinds[last] = 'turn';
  return kinds;
}

/** Makes a curve point where a spline through the points strays most; false when it strays nowhere. */
function refine(kinds: VertexKind[], drawn: readonly (readonly Vec[])[]): boolean {
  const points = kinds.flatMap((kind, i) => (kind === 'interpolated' ? [] : [i]));
  const turns = points.filter((i) => kinds[i] === 'turn');
  let added = false;
  for (let t = 0; t + 1 < turns.length; t++) {
    const knots = points.filter((i) => i >= turns[t]! && i <= turns[t + 1]!);
    const strays = drawn.map((vertices) => straysIn(vertices, knots));
    for (let k = 0; k + 1 < knots.length; k++) {
      const [from, to] = [knots[k]!, knots[k + 1]!];
      if (to - from < 2 || strays.every((off) => off[k]! <= FAITHFUL)) continue;
      kinds[(from + to) >> 1] = 'curve';
      added = true;
    }
  }
  return added;
}

/** How far each piece of a spline through the knots is from the vertices it passes. */
function straysIn(vertices: readonly Vec[], knots: readonly number[]): number[] {
  const curve = splineThrough(knots.map((i) => vertices[i]!));
  return curve.map((segment, k) => {
    const line = flattenWith([segment], [SAMPLES]);
    let most = 0;
    for (let i = knots[k]! + 1; i < knots[k + 1]!; i++) {
      let least = Number.POSITIVE_INFINITY;
      for (let j = 1; j < line.length; j++) {
        least = Math.min(least, distanceToSegment(vertices[i]!, line[j - 1]!, line[j]!));
      }
      most = Math.max(most, least);
    }
    return most;
  });
}
