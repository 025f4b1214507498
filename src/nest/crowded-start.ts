import { InputError } from '../errors.js';
import type { Snapshot } from './layout.js';
import type { Problem } from './problem.js';
import type { Variant } from './variants.js';

interface Box {
  readonly minX: number;
  readonly minY: number;
  readonly maxX: number;
  readonly maxY: number;
}

/**
 * A layout without overlap from boxes alone where pins, zones, spans or glued sides leave less freedom than
 * `boxStart` needs: spans first, each beyond all that lies before it, then the other pieces, each at the
 * leftmost, then lowest corner that its box fits. Throws InputError when the boxes of a span do not fit its
 * length.
 */
export function crowdedStart(problem: Problem, pick: (i: number) => number): Snapshot {
  const { items, itemOf, count, pieces, fixed, spanOf, spanNames, spanLength, variants, width, gap } =
    problem;
  // Room for rounding to the grid that layouts are written on.
  const air = gap + 1e-6 * width;
  const variant = Int32Array.from({ length: count }, (_, i) => fixed[i]?.variant ?? pick(i));
  const x = Float64Array.from(fixed, (place) => place?.x ?? 0);
  const y = Float64Array.from(fixed, (place) => place?.y ?? 0);
  const shape = (i: number) => variants[variant[i]!]!;
  const boxOf = (i: number): Box => {
    const v = shape(i);
    return { minX: x[i]! + v.minX, minY: y[i]! + v.minY, maxX: x[i]! + v.maxX, maxY: y[i]! + v.maxY };
  };
  const bySize = (a: number, b: number) =>
    height(shape(b)) * reach(shape(b)) - height(shape(a)) * reach(shape(a));
  const all = [...variant.keys()].sort((a, b) => bySize(a, b) || a - b);
  const boxes = all.filter((i) => fixed[i]).map(boxOf);

  const put = (i: number, from: number, to: number): boolean => {
    const corner = freeCorner(shape(i), boxes, from, to, width, air);
    if (!corner) return false;
    x[i] = corner[0] - shape(i).minX;
    y[i] = corner[1] - shape(i).minY;
    // The far side is reached from below: a float there may round beyond it.
    if (items[itemOf[i]!]!.edge === 'high') y[i] = Math.max(-shape(i).minY, y[i]! - 1e-10 * width);
    boxes.push(boxOf(i));
    return true;
  };

  // Spans with a pinned piece come first: they have the least choice.
  const stops = boxes.map((b) => b.maxX + air);
  const spans = spanNames.map((_, span) => all.filter((i) => spanOf[i] === span));
  const isBound = (members: readonly number[]) => members.some((i) => fixed[i]);
  for (const members of spans.sort((a, b) => Number(isBound(b)) - Number(isBound(a)))) {
    const pinned = members.filter((i) => fixed[i]).map(boxOf);
    const loose = members.filter((i) => !fixed[i]);
    const placed = boxes.length;
    const end = boxes.slice(stops.length).reduce((most, b) => Math.max(most, b.maxX + air), 0);
    const origins = isBound(members) ? [0] : [end, ...stops.filter((at) => at > end)];
    const done = origins
      .sort((a, b) => a - b)
      .some((origin) => {
        boxes.length = placed;
        const known = [...pinned];
        return loose.every((i) => {
          const first = Math.min(...known.map((b) => b.minX));
          const last = Math.max(...known.map((b) => b.maxX));
          // Below the limit by a hair, as everywhere in the search.
          const most = spanLength - 1e-7 * width;
          if (!put(i, Math.max(origin, last - most), first + most)) return false;
          known.push(boxes[boxes.length - 1]!);
          return true;
        });
      });
    if (done) continue;
    throw new InputError(
      `the pieces of span '${spanNames[spanOf[members[0]!]!]}' do not fit side by side in a length of ${spanLength}`,
      { mend: 'allow a longer span or move the pins near it' },
    );
  }
  // Boxes only get more: where one of a kind found no room, the next of its kind need not look.
  const tried = new Map<number, number>();
  for (const i of all) {
    if (fixed[i] || spanOf[i]! >= 0) continue;
    put(i, tried.get(variant[i]!) ?? 0, Infinity);
    tried.set(variant[i]!, x[i]! + shape(i).minX);
  }
  const length = Array.from({ length: pieces }, (_, i) => boxOf(i).maxX).reduce((a, b) => Math.max(a, b), 0);
  return { length, x, y, variant };
}

const reach = (v: Variant): number => v.maxX - v.minX;
const height = (v: Variant): number => v.maxY - v.minY;

/** Leftmost, then lowest place for the lower left corner of a box between `from` and `to`, clear of `boxes`. */
function freeCorner(
  v: Variant,
  boxes: readonly Box[],
  from: number,
  to: number,
  width: number,
  air: number,
): readonly [number, number] | undefined {
  const [long, high] = [reach(v), height(v)];
  const [lowest, highest] = [v.leastY + v.minY, v.mostY + v.minY];
  const xs = [from, ...boxes.map((b) => b.maxX + air).filter((at) => at > from)].sort((a, b) => a - b);
  for (const left of xs) {
    if (left + long > to) return undefined;
    const beside = boxes.filter((b) => b.minX - air < left + long && b.maxX + air > left);
    const ys = [
      lowest,
      highest,
      ...beside.map((b) => b.maxY + air),
      ...beside.map((b) => b.minY - air - high),
    ];
    const fitting = ys
      .filter((at) => at >= lowest && at <= highest)
      .sort((a, b) => a - b)
      // A hair of room where sums of floats might pass the strip's edge.
      .find(
        (low) =>
          (low + high <= width * (1 - 1e-9) || low === lowest || low === highest) &&
          beside.every((b) => b.minY - air >= low + high || b.maxY + air <= low),
      );
    if (fitting !== undefined) return [left, fitting];
  }
  return undefined;
}
