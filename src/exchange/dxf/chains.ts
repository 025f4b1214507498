import { type Path, reverse } from '../../geometry/path.js';
import { distance, type Vec } from '../../geometry/vec.js';
import { PointGrid } from './point-grid.js';

/** A chain of segments; the gap between its last end and its first start is at most `gap`. */
export interface Chain {
  readonly path: Path;
  readonly gap: number;
}

interface End {
  readonly index: number;
  readonly atStart: boolean;
}

/**
 * Puts paths that meet end to end together, whichever way each was drawn; a closed path stays by itself. Where more
 * than two ends meet the nearest goes on. Ends that are apart are left apart: the next segment starts where it
 * starts.
 *
 * @param tolerance greatest distance of ends that meet.
 */
export function joinPaths(paths: readonly Path[], tolerance: number): Chain[] {
  const ends = new PointGrid<End>(tolerance);
  const used = new Uint8Array(paths.length);
  paths.forEach((path, index) => {
    if (isClosed(path)) return;
    ends.add(startOf(path), { index, atStart: true });
    ends.add(endOf(path), { index, atStart: false });
  });
  const nextAt = (at: Vec): Path | undefined => {
    let best: { end: End; away: number } | undefined;
    for (const end of ends.near(at)) {
      if (used[end.index]) continue;
      const path = paths[end.index]!;
      const away = distance(at, end.atStart ? startOf(path) : endOf(path));
      if (!best || away < best.away) best = { end, away };
    }
    if (!best) return undefined;
    used[best.end.index] = 1;
    const path = paths[best.end.index]!;
    return best.end.atStart ? path : reverse(path);
  };
  return paths.flatMap((path, index): Chain[] => {
    if (used[index]) return [];
    used[index] = 1;
    if (isClosed(path)) return [{ path, gap: 0 }];
    const after: Path[] = [path];
    for (let more = nextAt(endOf(path)); more; more = nextAt(endOf(more))) after.push(more);
    const before: Path[] = [];
    for (let more = nextAt(startOf(path)); more; more = nextAt(endOf(more))) before.push(more);
    const chain = [...before.map(reverse).reverse(), ...after].flat();
    return [{ path: chain, gap: distance(startOf(chain), endOf(chain)) }];
  });
}

const startOf = (path: Path): Vec => path[0]!.a;
const endOf = (path: Path): Vec => path[path.length - 1]!.b;
const isClosed = (path: Path): boolean => distance(startOf(path), endOf(path)) === 0;
