import type { Marker } from '../lay/index.js';
import { type Demand, laysFor, type Step } from './demand.js';
import {
  addCloth,
  type Column,
  clothOf,
  type FabricTask,
  keyOf,
  layersOf,
  NO_CLOTH,
  plyLimit,
  timesCloth,
} from './pricing.js';
import type { Cloth, CostParts, Lay, LengthSource, PlanMarker, Quantities } from './types.js';

/** Markers, lays, cloth and cost of a plan of one fabric. */
export interface Assembled {
  readonly markers: readonly PlanMarker[];
  readonly lays: readonly Lay[];
  readonly cut: Quantities;
  readonly cloth: Cloth;
  readonly clothByColour: Readonly<Record<string, Cloth>>;
  readonly cost: CostParts;
  readonly source: LengthSource;
}

/** Name of the marker of a size ratio, such as `self-Sx2-Mx3`: letters, digits and dashes. */
export function markerName(task: FabricTask, counts: readonly number[]): string {
  const parts = task.content.sizes.flatMap(({ size }, i) =>
    counts[i]! > 0 ? [`${size.replaceAll(/\W+/g, '_')}x${counts[i]}`] : [],
  );
  const tag = task.tag === undefined ? [] : [task.tag];
  return [task.fabric.name, ...tag, ...parts]
    .join('-')
    .replace(/^\W+/, '')
    .replaceAll(/[^\w-]+/g, '_');
}

/** Garments by size of a size ratio; sizes it does not hold are left out. */
export const ratioOf = (task: FabricTask, counts: readonly number[]): Record<string, number> =>
  Object.fromEntries(
    task.content.sizes.flatMap(({ size }, i) => (counts[i]! > 0 ? [[size, counts[i]!]] : [])),
  );

/**
 * Writes a plan out: the largest marker first; its plies, colour after colour, fill one lay after the other.
 *
 * @param nested markers that were laid, by the key of their counts.
 */
export function assemble(
  task: FabricTask,
  colours: readonly string[],
  demand: Demand,
  steps: readonly Step[],
  short: readonly number[],
  nested: ReadonlyMap<string, Marker> = new Map(),
): Assembled {
  const used = steps
    .filter(({ plies }) => plies.some((n) => n > 0))
    .sort(
      (a, b) =>
        b.column.garments - a.column.garments || keyOf(b.column.counts).localeCompare(keyOf(a.column.counts)),
    );
  const markers = used.map((step) => planMarkerOf(task, colours, step, nested));
  const lays = used.flatMap((step, i) => laysOfMarker(task, colours, step, markers[i]!));
  const clothByColour = Object.fromEntries(
    colours.map((colour, c) => [
      colour,
      used.reduce(
        (sum, { column, plies }) =>
          addCloth(sum, timesCloth(clothOf(task.fabric, task.options, column.length), plies[c]!)),
        NO_CLOTH,
      ),
    ]),
  );
  const cut = Object.fromEntries(
    colours.map((colour, c) => [
      colour,
      Object.fromEntries(
        task.content.sizes.map(({ size }, s) => [
          size,
          used.reduce((sum, { column, plies }) => sum + plies[c]! * column.counts[s]!, 0),
        ]),
      ),
    ]),
  );
  return {
    markers,
    lays: lays.map((lay, i) => ({ ...lay, number: i + 1 })),
    cut,
    cloth: Object.values(clothByColour).reduce(addCloth, NO_CLOTH),
    clothByColour,
    cost: costParts(task, colours, demand, used, short, cut),
    source: used.every(({ column }) => column.source === 'nested') ? 'nested' : 'modelled',
  };
}

function planMarkerOf(
  task: FabricTask,
  colours: readonly string[],
  { column, plies }: Step,
  nested: ReadonlyMap<string, Marker>,
): PlanMarker {
  const marker = nested.get(keyOf(column.counts));
  return {
    name: markerName(task, column.counts),
    fabric: task.fabric.name,
    ratio: ratioOf(task, column.counts),
    garments: column.garments,
    pieces: column.pieces,
    length: column.length,
    source: column.source,
    ...(column.band === undefined ? {} : { band: column.band }),
    efficiency: column.area / (task.content.width * column.length),
    cutLength: column.cutLength,
    plies: Object.fromEntries(colours.flatMap((colour, c) => (plies[c]! > 0 ? [[colour, plies[c]!]] : []))),
    totalPlies: plies.reduce((sum, n) => sum + n, 0),
    lays: laysFor(plies, plyLimit(task)),
    ...(marker === undefined ? {} : { marker }),
  };
}

/** Fills lays to the limit with the plies of one colour after the other. */
function laysOfMarker(
  task: FabricTask,
  colours: readonly string[],
  { column, plies }: Step,
  marker: PlanMarker,
): Omit<Lay, 'number'>[] {
  const limit = plyLimit(task);
  const stacks: { colour: string; plies: number }[][] = [[]];
  let room = limit;
  colours.forEach((colour, c) => {
    for (let left = plies[c]!; left > 0; ) {
      if (room === 0) {
        stacks.push([]);
        room = limit;
      }
      const taken = Math.min(left, room);
      stacks.at(-1)!.push({ colour, plies: taken });
      left -= taken;
      room -= taken;
    }
  });
  return stacks.map((stack) => {
    const total = stack.reduce((sum, part) => sum + part.plies, 0);
    return {
      fabric: task.fabric.name,
      marker: marker.name,
      plies: stack,
      totalPlies: total,
      thicknesses: total * layersOf(task.fabric),
      garments: Object.fromEntries(
        stack.map((part) => [
          part.colour,
          Object.fromEntries(Object.entries(marker.ratio).map(([size, n]) => [size, n * part.plies])),
        ]),
      ),
      plyLength: column.length + 2 * task.options.endAllowance,
    };
  });
}

function costParts(
  task: FabricTask,
  colours: readonly string[],
  demand: Demand,
  used: readonly Step[],
  short: readonly number[],
  cut: Quantities,
): CostParts {
  const limit = plyLimit(task);
  const sum = (of: (column: Column, plies: number, lays: number) => number) =>
    used.reduce(
      (total, { column, plies }) =>
        total +
        of(
          column,
          plies.reduce((a, b) => a + b, 0),
          laysFor(plies, limit),
        ),
      0,
    );
  const missing = demand.ordered.reduce(
    (total, row, c) =>
      total +
      row.reduce((part, n, s) => {
        const has = cut[colours[c]!]![task.content.sizes[s]!.size]!;
        return part + Math.max(0, n - has) * short[s]!;
      }, 0),
    0,
  );
  const parts = {
    fabric: sum((column, plies) => plies * column.plyFabric),
    spreading: sum((column, plies) => plies * column.plySpreading),
    markers: used.length * task.rates.marker,
    cutting: sum((column, _, lays) => lays * column.layCutting),
    lays: sum((_column, _plies, lays) => lays * task.rates.lay),
    short: missing,
  };
  return { ...parts, total: Object.values(parts).reduce((a, b) => a + b, 0) };
}

export const addCost = (a: CostParts, b: CostParts): CostParts => ({
  fabric: a.fabric + b.fabric,
  spreading: a.spreading + b.spreading,
  markers: a.markers + b.markers,
  cutting: a.cutting + b.cutting,
  lays: a.lays + b.lays,
  short: a.short + b.short,
  total: a.total + b.total,
});

export const NO_COST: CostParts = {
  fabric: 0,
  spreading: 0,
  markers: 0,
  cutting: 0,
  lays: 0,
  short: 0,
  total: 0,
};
