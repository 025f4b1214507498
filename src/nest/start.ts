import { crowdedStart } from './crowded-start.js';
import type { Layout, Snapshot } from './layout.js';
import { toPlacements } from './placements.js';
import type { Problem } from './problem.js';
import type { Random } from './random.js';
import { StripMap } from './strip-map.js';
import { verify } from './verify.js';

/**
 * A layout without overlap from boxes alone, in milliseconds: pieces by falling length of their boxes, set
 * in columns across the strip (first fit). Group members take their group's first common rotation. Throws
 * InputError when the pieces of a span do not fit its length.
 */
export function boxStart(problem: Problem): Snapshot {
  const { count, itemOf, groupOf, groupRotations, variants, variantsOfItem, width, gap } = problem;
  const pick = (i: number): number => {
    const rotation = groupOf[i]! < 0 ? undefined : groupRotations[groupOf[i]!]![0]!;
    const fitting = variantsOfItem[itemOf[i]!]!.filter(
      (v) => rotation === undefined || variants[v]!.base === rotation,
    );
    return fitting.reduce((a, b) => (lengthOf(problem, b) < lengthOf(problem, a) ? b : a));
  };
  const crowded = problem.fixed.some((place) => place) || problem.spanNames.length > 0;
  if (crowded || problem.items.some(({ edge }) => edge)) return crowdedStart(problem, pick);

  const variant = Int32Array.from({ length: count }, (_, i) => pick(i));
  // Boxes that meet are tried first, with sums such as 0.1 + 0.2 brought back to decimals: equal rectangles
  // tile. Where that does not come out even, boxes get room for rounding to the grid that layouts are written on.
  const digits = Math.min(100, Math.max(0, Math.ceil(-Math.log10(1e-9 * width))));
  const even = (value: number) => Number(value.toFixed(digits));
  const tight = columnsOf(problem, variant, gap, width, even);
  const report = verify(problem.instance, toPlacements(problem, tight));
  if (report.ok) return { ...tight, length: report.length };
  return columnsOf(problem, variant, gap + 1e-6 * width, width * (1 - 1e-9), (value) => value);
}

/** Columns of boxes with `air` between them, no higher than `most`, each number put through `even`. */
function columnsOf(
  problem: Problem,
  variant: Int32Array,
  air: number,
  most: number,
  even: (value: number) => number,
): Snapshot {
  const { count, variants } = problem;
  const order = [...variant.keys()].sort(
    (a, b) => lengthOf(problem, variant[b]!) - lengthOf(problem, variant[a]!) || a - b,
  );
  const columns: { x: number; length: number; top: number }[] = [];
  const x = new Float64Array(count);
  const y = new Float64Array(count);
  let end = 0;
  for (const i of order) {
    const v = variants[variant[i]!]!;
    const height = v.maxY - v.minY;
    let column = columns.find(({ top }) => even(top + height) <= most);
    if (!column) {
      const length = v.maxX - v.minX;
      column = { x: end, length, top: 0 };
      columns.push(column);
      end += length + air;
    }
    x[i] = even(column.x - v.minX);
    y[i] = even(column.top - v.minY);
    column.top += height + air;
  }
  return { length: end - air, x, y, variant };
}

/** Extent of a variant along the strip. */
export const lengthOf = ({ variants }: Problem, v: number): number => variants[v]!.maxX - variants[v]!.minX;

/**
 * Bottom-left start on the strip's maps: largest boxes first, each to the free node that ends furthest
 * left, then to the lowest. `shake` above 0 disturbs the order by that share, so that lanes start apart.
 * Undefined with spans, which this pass would tear apart. The work is counted on `map`.
 */
export function leftmostStart(
  layout: Layout,
  random: Random,
  shake: number,
  map = new StripMap(),
): Snapshot | undefined {
  const { problem, count, fields } = layout;
  const { itemOf, variants, variantsOfItem, fixed } = problem;
  if (problem.spanNames.length > 0) return undefined;
  const size = Float64Array.from({ length: count }, (_, i) => {
    const v = variants[variantsOfItem[itemOf[i]!]![0]!]!;
    return (v.maxX - v.minX) * (v.maxY - v.minY) * (1 + shake * (random.next() - 0.5));
  });
  const order = [...size.keys()].sort((a, b) => size[b]! - size[a]! || a - b);
  for (let g = 0; g < layout.groups.rotation.length; g++) {
    layout.groups.rotation[g] = random.below(problem.groupRotations[g]!.length);
  }

  const { cell } = fields.pools;
  // Room only gets less: what had no place in a column before has none there now.
  const tried = new Map<number, number>();
  const placed: number[] = [];
  const ones = new Float64Array(count * count);
  let end = 0;
  // Pieces not yet placed wait out of sight.
  layout.x.fill(-1e9 * problem.width);
  layout.y.fill(0);
  for (const i of order) {
    const place = fixed[i];
    layout.variant[i] = place?.variant ?? layout.allowed(i)[0]!;
    if (!place) continue;
    layout.x[i] = place.x;
    layout.y[i] = place.y;
    placed.push(i);
    if (i < problem.pieces) end = Math.max(end, place.x + variants[place.variant]!.maxX);
  }
  // Behind all that is fixed there is room for sure.
  const far = placed.reduce(
    (most, i) => Math.max(most, layout.x[i]! + variants[layout.variant[i]!]!.maxX),
    0,
  );
  for (const i of order) {
    if (fixed[i]) continue;
    for (const j of placed) ones[i * count + j] = 1;
    let best = { reach: Infinity, x: 0, y: 0, variant: -1 };
    for (const variant of layout.allowed(i)) {
      const v = variants[variant]!;
      layout.length = Math.max(end, far) + (v.maxX - v.minX) + problem.gap + 4 * cell;
      map.fill(layout, i, variant, ones);
      const found = leftmostFree(layout, map, variant, placed, tried.get(variant) ?? 0);
      tried.set(variant, found.col);
      const reach = found.x + v.maxX;
      if (reach < best.reach || (reach === best.reach && found.y < best.y))
        best = { ...found, reach, variant };
    }
    layout.variant[i] = best.variant;
    layout.x[i] = best.x;
    layout.y[i] = best.y;
    end = Math.max(end, best.reach);
    placed.push(i);
  }
  layout.length = end;
  layout.load(layout.save());
  return layout.saveByGroups();
}

/** First node, by columns from column `from`, at which the piece stands free by exact depth. */
function leftmostFree(
  { fields, x, y, variant: variants }: Layout,
  map: StripMap,
  variant: number,
  placed: readonly number[],
  from: number,
): { x: number; y: number; col: number } {
  const { code, variants: total, cell } = fields.pools;
  const free = (px: number, py: number) =>
    placed.every((j) => fields.depth(code[variants[j]! * total + variant]!, px - x[j]!, py - y[j]!) <= 0);
  for (let col = from; col < map.nx; col++) {
    const px = Math.min(map.toX, map.fromX + col * cell);
    for (let row = 0; row < map.ny; row++) {
      // A node whose map value is well above 0 surely overlaps; the rest is looked at exactly.
      if (map.values[row * map.nx + col]! > cell) continue;
      const py = Math.max(map.fromY, Math.min(map.toY, map.fromY + row * cell));
      if (free(px, py)) return { x: px, y: py, col };
    }
  }
  return { x: map.toX, y: map.fromY, col: from };
}
