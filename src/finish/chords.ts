import { flattenCounts, flattenWith, length, lengthTo, nodes, type Path, pointAt } from '../geometry/path.js';
import { distanceToSegment } from '../geometry/polygon.js';
import type { Vec } from '../geometry/vec.js';

/** Turns a path into chords. */
export type Chords = (path: Path) => Vec[];

/**
 * One way to flatten the same edge in every size, so that vertex k of one size answers to vertex k of the
 * others, with no chord farther than `tolerance` (mm) from its curve in any of them. Paths of one build are
 * cut at equal parameters; a redrawn edge whose build differs from size to size is cut at equal shares of its
 * length.
 */
export function commonChords(paths: readonly Path[], tolerance: number): Chords {
  const first = paths[0]!;
  const alike = paths.every(
    (path) => path.length === first.length && path.every((s, i) => s.kind === first[i]!.kind),
  );
  if (alike) {
    const counts = paths
      .map((path) => flattenCounts(path, tolerance))
      .reduce((most, own) => most.map((count, i) => Math.max(count, own[i]!)));
    return (path) => flattenWith(path, counts);
  }
  let steps = Math.max(
    ...paths.map((path) => flattenCounts(path, tolerance).reduce((sum, count) => sum + count, 0)),
  );
  while (paths.some((path) => strays(path, steps, tolerance))) steps *= 2;
  return (path) => equalShares(path, steps);
}

/** Beyond this the curve has a corner that no equal share falls on. */
const MOST_STEPS = 4096;

function strays(path: Path, steps: number, tolerance: number): boolean {
  if (steps >= MOST_STEPS) return false;
  const chords = equalShares(path, steps);
  const total = length(path);
  const share = (at: number) => Math.min(steps - 1, Math.floor((at / total) * steps));
  const off = (at: number, p: Vec) => distanceToSegment(p, chords[share(at)]!, chords[share(at) + 1]!);
  const corners = nodes(path).slice(1, -1);
  if (corners.some((p, i) => off(lengthTo(path, i, 1), p) > tolerance)) return true;
  for (let k = 0; k < steps; k++) {
    const at = (total * (k + 0.5)) / steps;
    if (off(at, pointAt(path, at)) > tolerance) return true;
  }
  return false;
}

function equalShares(path: Path, steps: number): Vec[] {
  const total = length(path);
  const inner = Array.from({ length: steps - 1 }, (_, k) => pointAt(path, (total * (k + 1)) / steps));
  return [path[0]!.a, ...inner, path[path.length - 1]!.b];
}
