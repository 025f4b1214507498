import { flatten, line, type Path, type Segment } from '../geometry/path.js';
import { distanceToSegment } from '../geometry/polygon.js';
import { angleBetween, distance, sub, unit, type Vec } from '../geometry/vec.js';
import { fitCubics, splineBetween } from './trace-bezier.js';
import { tangentAt } from './trace-joint.js';
import { isOneLine, straightRuns } from './trace-straight.js';

/** Directions an edge must have at its ends, given those it was found to have; undefined leaves them free. */
export interface EndDirections {
  readonly leaving: (found: Vec) => Vec | undefined;
  readonly arriving: (found: Vec) => Vec | undefined;
}

export interface FitOptions {
  /** mm. */
  readonly tolerance: number;
  /** Standard deviation of the points about smooth curves, mm. */
  readonly noise: number;
}

/** Flattening of curves that are fitted anew, mm. */
const FLAT = 0.02;
/**
 * Chords of a curve that was flattened on purpose stray no farther than this from it, mm. A vertex that would make
 * them stray farther was never on a curve: straight sides meet there.
 */
const COARSEST_CHORD = 0.75;
/** So few points are gone through; there is nothing to average. */
const FEW_POINTS = 6;

/**
 * Lines and cubics through a chain of short segments, from its first point exactly to its last: straight where
 * the points are straight for long, smooth where they bend, a kink where two long straight sides meet.
 */
export function fitChain(
  chain: Path,
  ends: EndDirections,
  options: FitOptions,
): { path: Path; worst: number } {
  const points = pointsOf(chain);
  const first = points[0]!;
  const last = points[points.length - 1]!;
  if (isOneLine(points, options)) {
    const worst = points.reduce((most, p) => Math.max(most, distanceToSegment(p, first, last)), 0);
    return { path: [line(first, last)], worst };
  }
  const leaving = ends.leaving(tangentAt(points, 0, options.noise));
  const arriving = ends.arriving(tangentAt(points, points.length - 1, options.noise));
  const stops = [0, ...kinks(points), points.length - 1];
  let worst = 0;
  const path: Segment[] = [];
  for (let k = 0; k + 1 < stops.length; k++) {
    const part = points.slice(stops[k]!, stops[k + 1]! + 1);
    const from = k === 0 ? leaving : undefined;
    const to = k + 2 === stops.length ? arriving : undefined;
    const fitted = fitPart(part, from, to, options);
    worst = Math.max(worst, fitted.worst);
    path.push(...fitted.path);
  }
  return { path, worst };
}

/** A part without kinks: straight runs as lines, what lies between them as curves that meet them smoothly. */
function fitPart(
  points: readonly Vec[],
  leaving: Vec | undefined,
  arriving: Vec | undefined,
  options: FitOptions,
): { path: Path; worst: number } {
  if (points.length === 2) return { path: [line(points[0]!, points[1]!)], worst: 0 };
  const runs = straightRuns(points, options);
  if (runs.length === 0) return fitBend(points, leaving, arriving, options);
  const path: Segment[] = [];
  let worst = 0;
  let here = 0;
  let direction = leaving;
  const bend = (to: number, into: Vec | undefined) => {
    if (to <= here) return;
    const fitted = fitBend(points.slice(here, to + 1), direction, into, options);
    path.push(...fitted.path);
    worst = Math.max(worst, fitted.worst);
  };
  for (const [i, j] of runs) {
    const along = unit(sub(points[j]!, points[i]!));
    bend(i, along);
    for (let k = i + 1; k < j; k++)
      worst = Math.max(worst, distanceToSegment(points[k]!, points[i]!, points[j]!));
    path.push(line(points[i]!, points[j]!));
    here = j;
    direction = along;
  }
  bend(points.length - 1, arriving);
  return { path, worst };
}

function fitBend(
  points: readonly Vec[],
  leaving: Vec | undefined,
  arriving: Vec | undefined,
  options: FitOptions,
): { path: Path; worst: number } {
  if (points.length === 2 && !leaving && !arriving) return { path: [line(points[0]!, points[1]!)], worst: 0 };
  if (points.length > FEW_POINTS) return fitCubics(points, leaving, arriving, options);
  return { path: splineBetween(points, leaving, arriving), worst: 0 };
}

/** Vertices at which two sides too long for chords of one curve meet. */
function kinks(points: readonly Vec[]): number[] {
  const found: number[] = [];
  for (let i = 1; i + 1 < points.length; i++) {
    const before = sub(points[i]!, points[i - 1]!);
    const after = sub(points[i + 1]!, points[i]!);
    const turn = Math.abs(angleBetween(before, after));
    const chord = Math.min(distance(points[i]!, points[i - 1]!), distance(points[i]!, points[i + 1]!));
    // The chord of an arc that turns by t lies t/8 of its length off it in the middle.
    if ((chord * turn) / 8 > COARSEST_CHORD) found.push(i);
  }
  return found;
}

function pointsOf(chain: Path): Vec[] {
  const points: Vec[] = [chain[0]!.a];
  for (const segment of chain) points.push(...flatten([segment], FLAT).slice(1));
  return points.filter((p, i) => i === 0 || distance(p, points[i - 1]!) > 1e-9);
}
