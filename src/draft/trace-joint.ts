import { add, distance, norm, scale, sub, unit, type Vec } from '../geometry/vec.js';
import { eliminate } from './eliminate.js';

/** Where two curves of a row meet, and the direction in which the line runs on there. */
export interface Joint {
  readonly at: Vec;
  readonly along: Vec;
}

/** Arc length on either side of a joint over which the scatter is averaged, mm; a bend of 20 mm radius keeps to 0.01 mm. */
const AVERAGED = 12;

/** The joint at one of a row of points; where they scatter (`noise`, mm) it is off the point, by its neighbours. */
export function jointAt(points: readonly Vec[], index: number, noise: number): Joint {
  if (noise === 0) return { at: points[index]!, along: tangentAt(points, index, noise) };
  const at = averaged(points, index);
  const row = points.map((p, i) => (i === index ? at : p));
  return { at, along: tangentAt(row, index, noise) };
}

/** The place of a point by a least-squares parabola through as many neighbours on either side. */
function averaged(points: readonly Vec[], index: number): Vec {
  const most = Math.min(index, points.length - 1 - index);
  let count = 0;
  for (let way = 0; count < most && way < AVERAGED; ) {
    count++;
    way += distance(points[index + count]!, points[index + count - 1]!);
  }
  if (count < 2) return points[index]!;
  const at = points[index]!;
  const us: number[] = [0];
  const near: Vec[] = [at];
  for (const way of [1, -1]) {
    let s = 0;
    for (let k = 1; k <= count; k++) {
      const [p, q] = [points[index + way * k]!, points[index + way * (k - 1)]!];
      s += distance(p, q);
      us.push((way * s) / AVERAGED);
      near.push(p);
    }
  }
  const moments = [0, 1, 2, 3, 4].map((power) => us.reduce((sum, u) => sum + u ** power, 0));
  const place = [0, 1].map((k) => {
    const right = [0, 1, 2].map((power) =>
      us.reduce((sum, u, i) => sum + u ** power * (near[i]![k]! - at[k]!), 0),
    );
    const rows = right.map((r, i) => [moments[i]!, moments[i + 1]!, moments[i + 2]!, r]);
    return at[k]! + (eliminate(rows)?.[0] ?? 0);
  });
  return [place[0]!, place[1]!];
}

/** Arc length over which a direction is measured, mm: exact points, and traced ones. */
const NEAR = 6;
const NEAR_NOISY = 20;

/** Direction of travel at one of a row of points: the tangent of a least-squares parabola near it. */
export function tangentAt(points: readonly Vec[], index: number, noise: number): Vec {
  const near = noise > 0 ? NEAR_NOISY : NEAR;
  const at = points[index]!;
  let [low, high] = [index, index];
  const least = (from: number, to: number) => to - from < 3;
  for (let way = 0; low > 0 && (way < near || least(low, index)); low--)
    way += distance(points[low]!, points[low - 1]!);
  for (let way = 0; high < points.length - 1 && (way < near || least(index, high)); high++) {
    way += distance(points[high]!, points[high + 1]!);
  }
  // Parabola through the point itself, by arc length from it: x(s) = x0 + b s + c s^2.
  let s = 0;
  const rows: { s: number; d: Vec }[] = [];
  for (let k = index + 1; k <= high; k++) {
    s += distance(points[k]!, points[k - 1]!);
    rows.push({ s, d: sub(points[k]!, at) });
  }
  s = 0;
  for (let k = index - 1; k >= low; k--) {
    s -= distance(points[k]!, points[k + 1]!);
    rows.push({ s, d: sub(points[k]!, at) });
  }
  const reach = Math.max(...rows.map((r) => Math.abs(r.s)));
  let [s2, s3, s4] = [0, 0, 0];
  let [d1, d2]: [Vec, Vec] = [
    [0, 0],
    [0, 0],
  ];
  for (const row of rows) {
    const u = row.s / reach;
    s2 += u * u;
    s3 += u ** 3;
    s4 += u ** 4;
    d1 = add(d1, scale(row.d, u));
    d2 = add(d2, scale(row.d, u * u));
  }
  const det = s2 * s4 - s3 * s3;
  const b: Vec =
    det > 1e-9 * s2 * s4
      ? [(d1[0] * s4 - d2[0] * s3) / det, (d1[1] * s4 - d2[1] * s3) / det]
      : scale(d1, 1 / s2);
  return norm(b) > 1e-12 ? unit(b) : unit(sub(points[high]!, points[low]!));
}
