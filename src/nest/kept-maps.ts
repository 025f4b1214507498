import type { Layout } from './layout.js';
import type { StripMap } from './strip-map.js';

/** Most nodes that are kept in all, 4 bytes each. */
const NODES_MOST = 8e6;
/** Room for strips this much longer than the one at hand. */
const SPARE = 1.1;
/** Sums of all depths stay below this, so that whole numbers of 32 bits hold them. */
const SUM_MOST = 2 ** 30;
/** Numbers kept for each copy: its pair's entry in `pools.code` (-1 while it is not in the map), and its node. */
const ENTRY = 3;

interface KeptMap {
  readonly number: number;
  readonly columns: number;
  readonly rows: number;
  /** Where each copy is in the map, and its stamp in the layout then. */
  readonly entries: Int32Array;
  readonly stamps: Int32Array;
}

/**
 * What `StripMap.fill` reckons anew for every move, kept from one to the next. Between two looks of pieces that lie alike
 * hardly any copy moves by a node, and few pairs weigh more than at first; so the sum of all copies' tables at base
 * weights is kept for every way of laying a piece, all along the strip. A move takes its window of that, takes itself out,
 * and adds what pairs weigh more by now: a handful of tables instead of all that are near. The sums are whole
 * numbers: what is taken out leaves no trace, and a free node counts 0.
 */
export class KeptMaps {
  private readonly layout: Layout;
  private readonly maps: (KeptMap | undefined)[];
  /** Depth that a 1 in a kept map stands for. */
  private readonly unit: number;
  private nodes = 0;

  constructor(layout: Layout) {
    this.layout = layout;
    this.maps = new Array(layout.fields.pools.variants);
    const heaviest = layout.baseWeight.reduce((most, weight) => Math.max(most, weight), 0);
    this.unit = (layout.count * heaviest * layout.fields.deepest) / SUM_MOST;
  }

  /** As `map.fill`, for weights that are nowhere below the base weights. */
  fill(
    map: StripMap,
    i: number,
    variant: number,
    weights: Float64Array,
    first: number,
    last: number,
  ): boolean {
    const { layout, unit } = this;
    const { problem, fields, count, baseWeight } = layout;
    const { pools, kernel } = fields;
    const { cell } = pools;
    const { minX } = problem.variants[variant]!;
    if (!map.frame(layout, i, variant, first, last)) return false;
    const from = Math.max(0, Math.floor((map.leastX + minX) / cell));
    const to = Math.ceil((map.toX + minX) / cell);
    const kept = this.keptFor(variant, to + 1);
    if (!kept) {
      map.sum(layout, i, variant, weights);
      return true;
    }

    const nx = to - from + 1;
    const ny = kept.rows;
    let work = nx * ny + this.update(kept, i, variant, from, to);
    kernel.open(kept.number, kept.columns, from, nx, ny);
    const { entries } = kept;
    work += this.add(undefined, entries, i, from, nx, ny, -baseWeight[i * count + i]! / unit);
    kernel.scale(nx * ny, unit);
    for (let j = 0, k = i * count; j < count; j++, k++) {
      const more = weights[k]! - baseWeight[k]!;
      const code = entries[ENTRY * j]!;
      if (more <= 0 || j === i || code < 0) continue;
      const shiftX = entries[ENTRY * j + 1]! - from;
      work += kernel.add(code >> 1, (code & 1) === 1, nx, ny, shiftX, entries[ENTRY * j + 2]!, more);
    }

    map.fromX = from * cell - minX;
    map.nx = nx;
    map.ny = ny;
    map.values = kernel.values;
    map.work += work;
    return true;
  }

  /** Brings columns `from` to `to` up to date. Returns about how many nodes that took. */
  private update(kept: KeptMap, i: number, variant: number, from: number, to: number): number {
    const { layout, unit } = this;
    const { fields, problem, count, stamp, x, y, variant: variants, baseWeight } = layout;
    const { pools } = fields;
    const { number, columns, rows, entries, stamps } = kept;
    const { minX, leastY } = problem.variants[variant]!;
    let work = 0;
    for (let j = 0; j < count; j++) {
      if (stamps[j] === stamp[j]) continue;
      const code = pools.code[variants[j]! * pools.variants + variant]!;
      fields.locate(code, x[j]! + minX, y[j]! - leastY);
      const { column, row } = fields;
      const e = ENTRY * j;
      const before = entries[e]!;
      if (code !== before || column !== entries[e + 1] || row !== entries[e + 2]) {
        // What happens out of sight can wait.
        const was = before >= 0 && fields.meets(before, entries[e + 1]!, from, to);
        if (!was && !fields.meets(code, column, from, to)) continue;
        const weight = baseWeight[i * count + j]! / unit;
        work += this.add(number, entries, j, 0, columns, rows, -weight);
        entries[e] = code;
        entries[e + 1] = column;
        entries[e + 2] = row;
        work += this.add(number, entries, j, 0, columns, rows, weight);
      }
      stamps[j] = stamp[j]!;
    }
    return work;
  }

  /**
   * Adds what copy j comes to, where it is entered, to a kept map or to the open one, whose first column is `from` of the
   * kept one. Returns about how many nodes that took.
   */
  private add(
    kept: number | undefined,
    entries: Int32Array,
    j: number,
    from: number,
    nx: number,
    ny: number,
    weight: number,
  ): number {
    const code = entries[ENTRY * j]!;
    if (code < 0) return 0;
    const shiftX = entries[ENTRY * j + 1]! - from;
    const shiftY = entries[ENTRY * j + 2]!;
    const { kernel } = this.layout.fields;
    return kernel.addWhole(kept, code >> 1, (code & 1) === 1, nx, ny, shiftX, shiftY, weight);
  }

  /** The map kept for a variant, with that many columns at least; undefined where there is no room for it. */
  private keptFor(variant: number, columns: number): KeptMap | undefined {
    const { layout, maps } = this;
    const { cell } = layout.fields.pools;
    const old = maps[variant];
    if (old && old.columns >= columns) return old;
    const { leastY, mostY } = layout.problem.variants[variant]!;
    const rows = Math.ceil(Math.max(0, mostY - leastY) / cell) + 1;
    const most = Math.max(columns, Math.ceil((SPARE * layout.length) / cell));
    if (this.nodes + most * rows > NODES_MOST) return undefined;
    this.nodes += most * rows;
    const kept = {
      number: layout.fields.kernel.keep(most * rows),
      columns: most,
      rows,
      entries: new Int32Array(ENTRY * layout.count).fill(-1),
      stamps: new Int32Array(layout.count).fill(-1),
    };
    maps[variant] = kept;
    return kept;
  }
}
