import { InputError } from '../errors.js';
import { signedArea } from '../geometry/polygon.js';
import { checkInstance } from './check.js';
import { simplifyOutward, withoutStraightVertices } from './outline.js';
import { transformed, turn, withinTilt } from './transform.js';
import type { NestInstance, NestItem, Placement } from './types.js';

/** One allowed way of laying one item. */
export interface Variant {
  /** Index into `Problem.items`. */
  readonly item: number;
  readonly rotation: number;
  /** The allowed rotation that `rotation` is tilted from; equal to it without tilt. */
  readonly base: number;
  readonly mirror: boolean;
  /** Index into `Problem.outlines`: the item's outline before the rotation. */
  readonly outline: number;
  readonly minX: number;
  readonly minY: number;
  readonly maxX: number;
  readonly maxY: number;
  /** Least and greatest y at which it may lie: one and the same where it is glued to a side. */
  readonly leastY: number;
  readonly mostY: number;
}

/**
 * An instance normalised for the search: copies and variants are numbered. Behind the copies come the
 * forbidden zones, as bodies that are fixed.
 */
export interface Problem {
  readonly instance: NestInstance;
  /** The instance's items and one for each forbidden zone. */
  readonly items: readonly NestItem[];
  readonly width: number;
  readonly gap: number;
  readonly totalArea: number;
  /** Side of a cell of the distance tables. */
  readonly cell: number;
  /** Flat x, y, ... of the outlines that are searched with: each contains its true polygon. */
  readonly outlines: readonly Float64Array[];
  readonly variants: readonly Variant[];
  readonly variantsOfItem: readonly (readonly number[])[];
  /** Number of bodies: copies, each one a thing to place, and zones. */
  readonly count: number;
  /** Number of copies: bodies 0 to pieces - 1. */
  readonly pieces: number;
  /** The placement of each body that does not move, undefined for those that do. */
  readonly fixed: readonly (FixedPlace | undefined)[];
  readonly itemOf: Int32Array;
  readonly copyOf: Int32Array;
  /** Group of each copy, -1 for none. */
  readonly groupOf: Int32Array;
  /** Rotations that every member of a group may take. */
  readonly groupRotations: readonly (readonly number[])[];
  /** Span of each copy, -1 for none. */
  readonly spanOf: Int32Array;
  readonly spanNames: readonly string[];
  readonly spanLength: number;
  readonly areaOfItem: Float64Array;
  /** No layout is shorter. */
  readonly lengthBound: number;
}

export interface FixedPlace {
  readonly variant: number;
  readonly x: number;
  readonly y: number;
}

/** Outlines of more vertices are simplified outward before the search. */
const PLAIN_VERTICES = 16;
/** How far the simplified outline may leave the true one, as a share of the strip width. */
const OUTLINE_TOLERANCE = 2e-4;
const CELLS_PER_WIDTH = 30;
const CELLS_PER_ITEM = 10;
/** Nodes that all distance tables together may about have: hundreds of outlines are looked at more coarsely. */
const NODES_MOST = 12e6;

/**
 * Checks an instance and numbers its parts. Throws InputError for what cannot be packed: what `checkInstance`
 * refuses, a piece too wide for the strip in every allowed transform, a group whose members share no rotation.
 */
export function createProblem(instance: NestInstance): Problem {
  checkInstance(instance);
  const { stripWidth: width, zones = [], pins = [], start = [] } = instance;
  const gap = instance.gap ?? 0;
  const items = [...instance.items, ...zones.map(zoneItem)];
  const kinds = instance.items.length;

  const outlines: Float64Array[] = [];
  const variants: Variant[] = [];
  const variantsOfItem: number[][] = [];
  const areaOfItem = new Float64Array(items.length);
  let totalArea = 0;
  let pieces = 0;
  items.forEach((item, index) => {
    const given = [...pins, ...start].filter((p) => p.item === item.id && index < kinds);
    variantsOfItem.push(
      addVariants(item, index, index < kinds ? width : Infinity, given, outlines, variants),
    );
    if (index >= kinds) return;
    areaOfItem[index] = signedArea(item.polygon);
    totalArea += areaOfItem[index]! * item.demand;
    pieces += item.demand;
  });
  // A zone weighs as much as a piece, however large it is.
  areaOfItem.fill(totalArea / pieces, kinds);

  const itemOf = Int32Array.from(items.flatMap(({ demand }, index) => new Array<number>(demand).fill(index)));
  const copyOf = Int32Array.from(items.flatMap(({ demand }) => [...new Array<number>(demand).keys()]));
  const named = (list: 'groups' | 'spans') => numbered(items, itemOf, copyOf, list);
  const [groupOf, groupNames] = named('groups');
  const [spanOf, spanNames] = named('spans');

  const variantAt = (item: number, rotation: number, mirror: boolean) =>
    variants.findIndex((v) => v.item === item && v.rotation === turn(rotation) && v.mirror === mirror);
  const fixed = Array.from(itemOf, (item, i): FixedPlace | undefined => {
    if (item >= kinds) return { variant: variantsOfItem[item]![0]!, x: 0, y: 0 };
    const pin = pins.find((p) => p.item === items[item]!.id && p.copy === copyOf[i]);
    return pin && { variant: variantAt(item, pin.rotation, pin.mirror), x: pin.x, y: pin.y };
  });

  const groupRotations = groupNames.map((name, group) => {
    const members = [...itemOf.keys()].filter((i) => groupOf[i] === group);
    const choices = members.map((i) => (fixed[i] ? [fixed[i].variant] : variantsOfItem[itemOf[i]!]!));
    const shared = sharedRotations(choices, variants);
    if (shared.length > 0) return shared;
    throw new InputError(`the pieces of group '${name}' have no rotation in common that fits the strip`, {
      mend: 'give the pieces of one group a common allowed rotation',
    });
  });

  let lengthBound = totalArea / width;
  for (let i = 0; i < pieces; i++) {
    const place = fixed[i];
    const reach = (v: number) => variants[v]!.maxX - variants[v]!.minX;
    lengthBound = Math.max(
      lengthBound,
      place ? place.x + variants[place.variant]!.maxX : Math.min(...variantsOfItem[itemOf[i]!]!.map(reach)),
    );
  }
  return {
    instance,
    items,
    width,
    gap,
    totalArea,
    cell: Math.max(
      Math.min(width / CELLS_PER_WIDTH, Math.sqrt(totalArea / pieces) / CELLS_PER_ITEM),
      leastCell(variants.filter(({ item }) => item < kinds)),
    ),
    outlines,
    variants,
    variantsOfItem,
    count: itemOf.length,
    pieces,
    fixed,
    itemOf,
    copyOf,
    groupOf,
    groupRotations,
    spanOf,
    spanNames,
    spanLength: instance.spanLength ?? Infinity,
    areaOfItem,
    lengthBound,
  };
}

/**
 * Cell at which the tables of all pairs have about `NODES_MOST` nodes: a no-fit polygon is twice as long and
 * wide as a piece, and about a quarter of the ordered pairs have tables of their own.
 */
function leastCell(variants: readonly Variant[]): number {
  const boxes = variants.reduce((sum, v) => sum + (v.maxX - v.minX) * (v.maxY - v.minY), 0);
  return Math.sqrt((variants.length * boxes) / NODES_MOST);
}

/** The body of a forbidden zone; the space keeps its id apart from any item's. */
const zoneItem = (polygon: NestItem['polygon'], index: number): NestItem => ({
  id: ` zone ${index}`,
  polygon,
  demand: 1,
  rotations: [0],
});

/** Number of the group or span of each body, -1 for none, and the names by number. */
function numbered(
  items: readonly NestItem[],
  itemOf: Int32Array,
  copyOf: Int32Array,
  list: 'groups' | 'spans',
): [Int32Array, string[]] {
  const names = new Map<string, number>();
  const of = itemOf.map((item, i) => {
    const name = items[item]![list]?.[copyOf[i]!];
    if (name === undefined) return -1;
    if (!names.has(name)) names.set(name, names.size);
    return names.get(name)!;
  });
  return [of, [...names.keys()]];
}

/**
 * Variants that fit the width, without those that a symmetric piece repeats. Returns their numbers. The
 * transforms of `given` placements become variants of their own where none of those has them.
 */
function addVariants(
  item: NestItem,
  index: number,
  width: number,
  given: readonly Placement[],
  outlines: Float64Array[],
  variants: Variant[],
): number[] {
  const clean = withoutStraightVertices(item.polygon);
  const outline = clean.length > PLAIN_VERTICES ? simplifyOutward(clean, tolerance(width, clean)) : clean;
  const mine: number[] = [];
  let narrowest = Infinity;
  const seen: Float64Array[] = [];
  for (const mirror of item.mirror ? [false, true] : [false]) {
    const base = flat(mirror ? transformed(outline, 0, true) : outline);
    const outlineIndex = outlines.push(base) - 1;
    const first = variants.length;
    const add = (rotation: number, base: number) => {
      // The true polygon decides what fits: an outline simplified outward may be a hair taller.
      const box = flatBounds(flat(transformed(clean, rotation, mirror)));
      const [low, high] = [-box.minY, width - box.maxY];
      const leastY = item.edge === 'high' ? high : low;
      const mostY = item.edge === 'low' ? low : high;
      const variant = { item: index, rotation, base, mirror, outline: outlineIndex, ...box, leastY, mostY };
      return variants.push(variant) - 1;
    };
    for (const [rotation, base] of turns(item)) {
      const polygon = flat(transformed(outline, rotation, mirror));
      const { minY, maxY } = flatBounds(flat(transformed(clean, rotation, mirror)));
      narrowest = Math.min(narrowest, maxY - minY);
      if (maxY - minY > width) continue;
      if (!item.groups && seen.some((other) => sameShape(other, polygon))) continue;
      seen.push(polygon);
      mine.push(add(rotation, base));
    }
    for (const placement of given) {
      const rotation = turn(placement.rotation);
      if (placement.mirror !== mirror || variants.some((v, k) => k >= first && v.rotation === rotation))
        continue;
      add(rotation, turn(item.rotations.find((r) => withinTilt(rotation, r, item.tilt ?? 0))!));
    }
  }
  if (mine.length > 0) return mine;
  throw new InputError(
    `item '${item.id}' is too wide for the strip: ${narrowest} in its narrowest allowed rotation, the strip is ${width}`,
    { mend: 'widen the strip or allow another rotation' },
  );
}

/** Rotations to lay an item in, each with the allowed rotation it comes from; straight ones first. */
function turns({ rotations, tilt = 0 }: NestItem): [rotation: number, base: number][] {
  const bases = [...new Set(rotations.map(turn))];
  const steps = tilt === 0 ? [0] : [0, -tilt, tilt];
  return steps.flatMap((step) => bases.map((base): [number, number] => [turn(base + step), base]));
}

/** How far a simplified outline may leave the true one. A zone has no strip to measure by. */
function tolerance(width: number, polygon: readonly (readonly [number, number])[]): number {
  if (Number.isFinite(width)) return OUTLINE_TOLERANCE * width;
  const { minX, minY, maxX, maxY } = flatBounds(flat(polygon));
  return OUTLINE_TOLERANCE * Math.min(maxX - minX, maxY - minY);
}

function sharedRotations(choices: readonly (readonly number[])[], variants: readonly Variant[]): number[] {
  const sets = choices.map((list) => new Set(list.map((v) => variants[v]!.base)));
  return [...sets[0]!].filter((rotation) => sets.every((set) => set.has(rotation)));
}

export function flat(polygon: readonly (readonly [number, number])[]): Float64Array {
  const out = new Float64Array(polygon.length * 2);
  polygon.forEach(([x, y], i) => {
    out[2 * i] = x;
    out[2 * i + 1] = y;
  });
  return out;
}

export function flatBounds(polygon: Float64Array) {
  let [minX, minY, maxX, maxY] = [Infinity, Infinity, -Infinity, -Infinity];
  for (let i = 0; i < polygon.length; i += 2) {
    const x = polygon[i]!;
    const y = polygon[i + 1]!;
    if (x < minX) minX = x;
    if (x > maxX) maxX = x;
    if (y < minY) minY = y;
    if (y > maxY) maxY = y;
  }
  return { minX, minY, maxX, maxY };
}

/** Equal up to a translation and the vertex the loop starts at. */
function sameShape(a: Float64Array, b: Float64Array): boolean {
  if (a.length !== b.length) return false;
  const boxA = flatBounds(a);
  const boxB = flatBounds(b);
  const tolerance = 1e-12 * (boxA.maxX - boxA.minX + boxA.maxY - boxA.minY);
  const dx = boxB.minX - boxA.minX;
  const dy = boxB.minY - boxA.minY;
  for (let shift = 0; shift < b.length; shift += 2) {
    let same = true;
    for (let i = 0; same && i < a.length; i += 2) {
      const j = (i + shift) % b.length;
      same = Math.abs(a[i]! + dx - b[j]!) <= tolerance && Math.abs(a[i + 1]! + dy - b[j + 1]!) <= tolerance;
    }
    if (same) return true;
  }
  return false;
}
