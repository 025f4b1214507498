import { lengthTo, type Path, segmentPoint } from '../../geometry/path.js';
import { distance, type Vec } from '../../geometry/vec.js';

/** A place on a path. */
export interface NearPlace {
  /** Distance of the point from it, mm. */
  readonly off: number;
  readonly segment: number;
  readonly t: number;
}

/** Samples along one cubic. */
const SAMPLES = 32;

/** Where a path comes nearest to a point: samples first, then thirds wherever a segment may come nearest yet. */
export function placeOn(path: Path, point: Vec): NearPlace {
  const sampled = path.map((s) => {
    let [k, off, reach, before] = [0, Infinity, 0, s.a];
    for (let i = 0; i <= SAMPLES; i++) {
      const p = segmentPoint(s, i / SAMPLES);
      reach = Math.max(reach, distance(p, before));
      before = p;
      if (distance(p, point) < off) [k, off] = [i, distance(p, point)];
    }
    return { k, off, reach };
  });
  const least = Math.min(...sampled.map(({ off }) => off));
  let best = { off: Infinity, segment: 0, t: 0 };
  sampled.forEach(({ k, off, reach }, segment) => {
    // Between samples a segment comes no nearer than by their distance.
    if (off - reach > least) return;
    const near = refined(path[segment]!, point, k);
    if (near.off < best.off) best = { ...near, segment };
  });
  return best;
}

function refined(s: Path[number], point: Vec, k: number): { off: number; t: number } {
  const off = (t: number) => distance(segmentPoint(s, t), point);
  let [low, high] = [Math.max(0, (k - 1) / SAMPLES), Math.min(1, (k + 1) / SAMPLES)];
  for (let round = 0; round < 60; round++) {
    const third = (high - low) / 3;
    if (off(low + third) <= off(high - third)) high -= third;
    else low += third;
  }
  const t = [k / SAMPLES, (low + high) / 2].reduce((a, b) => (off(b) < off(a) ? b : a));
  return { off: off(t), t };
}

/** The same with its arc length from the start, mm. */
export function nearestOn(path: Path, point: Vec): NearPlace & { readonly at: number } {
  const place = placeOn(path, point);
  return { ...place, at: lengthTo(path, place.segment, place.t) };
}
