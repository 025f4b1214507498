import { InputError } from '../errors.js';
import { signedArea } from '../geometry/polygon.js';
import { checkInstance } from './check.js';
import { turn } from './transform.js';
import type { NestInstance, NestItem } from './types.js';
import { addVariants, type Variant } from './variants.js';

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

function sharedRotations(choices: readonly (readonly number[])[], variants: readonly Variant[]): number[] {
  const sets = choices.map((list) => new Set(list.map((v) => variants[v]!.base)));
  return [...sets[0]!].filter((rotation) => sets.every((set) => set.has(rotation)));
}
