import { InputError } from '../errors.js';
import { selfCrossing, signedArea } from '../geometry/polygon.js';
import { simplifyOutward, withoutStraightVertices } from './outline.js';
import { transformed, turn } from './transform.js';
import type { NestInstance, NestItem } from './types.js';

/** One allowed way of laying one item. */
export interface Variant {
  readonly item: number;
  readonly rotation: number;
  readonly mirror: boolean;
  /** Index into `Problem.outlines`: the item's outline before the rotation. */
  readonly outline: number;
  readonly minX: number;
  readonly minY: number;
  readonly maxX: number;
  readonly maxY: number;
}

/** An instance normalised for the search: copies and variants are numbered. */
export interface Problem {
  readonly instance: NestInstance;
  readonly width: number;
  readonly gap: number;
  readonly totalArea: number;
  /** Side of a cell of the distance tables. */
  readonly cell: number;
  /** Flat x, y, ... of the outlines that are searched with: each contains its true polygon. */
  readonly outlines: readonly Float64Array[];
  readonly variants: readonly Variant[];
  readonly variantsOfItem: readonly (readonly number[])[];
  /** Number of copies, each one a thing to place. */
  readonly count: number;
  readonly itemOf: Int32Array;
  readonly copyOf: Int32Array;
  /** Group of each copy, -1 for none. */
  readonly groupOf: Int32Array;
  /** Rotations that every member of a group may take. */
  readonly groupRotations: readonly (readonly number[])[];
  readonly areaOfItem: Float64Array;
  /** No layout is shorter. */
  readonly lengthBound: number;
}

/** Outlines of more vertices are simplified outward before the search. */
const PLAIN_VERTICES = 16;
/** How far the simplified outline may leave the true one, as a share of the strip width. */
const OUTLINE_TOLERANCE = 2e-4;
const CELLS_PER_WIDTH = 30;
const CELLS_PER_ITEM = 10;

/**
 * Checks an instance and numbers its parts. Throws InputError for what cannot be packed: numbers that are
 * not finite, a polygon that crosses itself or has no area, a bad demand, a piece too wide for the strip in
 * every allowed transform, a group whose members share no rotation.
 */
export function createProblem(instance: NestInstance): Problem {
  checkNumbers(instance);
  const { items, stripWidth: width } = instance;
  const gap = instance.gap ?? 0;

  const outlines: Float64Array[] = [];
  const variants: Variant[] = [];
  const variantsOfItem: number[][] = [];
  const areaOfItem = new Float64Array(items.length);
  let totalArea = 0;
  let count = 0;
  items.forEach((item, index) => {
    areaOfItem[index] = signedArea(item.polygon);
    totalArea += areaOfItem[index]! * item.demand;
    count += item.demand;
    variantsOfItem.push(addVariants(item, index, width, outlines, variants));
  });

  const itemOf = new Int32Array(count);
  const copyOf = new Int32Array(count);
  const groupOf = new Int32Array(count).fill(-1);
  const groupNames = new Map<string, number>();
  let next = 0;
  items.forEach((item, index) => {
    for (let copy = 0; copy < item.demand; copy++) {
      itemOf[next] = index;
      copyOf[next] = copy;
      const name = item.groups?.[copy];
      if (name !== undefined) {
        if (!groupNames.has(name)) groupNames.set(name, groupNames.size);
        groupOf[next] = groupNames.get(name)!;
      }
      next++;
    }
  });

  const groupRotations = [...groupNames.keys()].map((name, group) => {
    const members = [...itemOf.keys()].filter((i) => groupOf[i] === group);
    const shared = sharedRotations(members, itemOf, variantsOfItem, variants);
    if (shared.length > 0) return shared;
    throw new InputError(`the pieces of group '${name}' have no rotation in common that fits the strip`, {
      mend: 'give the pieces of one group a common allowed rotation',
    });
  });

  let lengthBound = totalArea / width;
  for (const list of variantsOfItem) {
    const least = Math.min(...list.map((v) => variants[v]!.maxX - variants[v]!.minX));
    lengthBound = Math.max(lengthBound, least);
  }
  return {
    instance,
    width,
    gap,
    totalArea,
    cell: Math.min(width / CELLS_PER_WIDTH, Math.sqrt(totalArea / count) / CELLS_PER_ITEM),
    outlines,
    variants,
    variantsOfItem,
    count,
    itemOf,
    copyOf,
    groupOf,
    groupRotations,
    areaOfItem,
    lengthBound,
  };
}

function checkNumbers({ items, stripWidth, gap = 0 }: NestInstance): void {
  const wrong = (message: string, mend: string, item?: NestItem) =>
    new InputError(item ? `item '${item.id}': ${message}` : message, { mend });
  if (!(Number.isFinite(stripWidth) && stripWidth > 0)) {
    throw wrong(`invalid strip width: ${stripWidth}`, 'give a width above 0');
  }
  if (!(Number.isFinite(gap) && gap >= 0)) throw wrong(`invalid gap: ${gap}`, 'give a gap of 0 or more');
  if (items.length === 0) throw wrong('the instance has no items', 'give at least one item');
  const ids = new Set<string>();
  for (const item of items) {
    if (ids.has(item.id)) throw wrong('this id is used twice', 'give every item an id of its own', item);
    ids.add(item.id);
    if (!(Number.isSafeInteger(item.demand) && item.demand > 0)) {
      throw wrong(`invalid demand: ${item.demand}`, 'give a whole number above 0', item);
    }
    if (item.rotations.length === 0 || item.rotations.some((r) => !Number.isFinite(r))) {
      throw wrong(`invalid rotations: [${item.rotations.join(', ')}]`, 'give at least one angle', item);
    }
    if (item.groups && item.groups.length !== item.demand) {
      throw wrong(`${item.groups.length} groups for ${item.demand} copies`, 'name one group per copy', item);
    }
    if (item.polygon.length < 3) throw wrong('a polygon needs 3 vertices', 'give at least 3', item);
    if (item.polygon.some((p) => !Number.isFinite(p[0]) || !Number.isFinite(p[1]))) {
      throw wrong('a vertex is not a finite number', 'mend the polygon', item);
    }
    const crossing = selfCrossing(withoutStraightVertices(item.polygon));
    if (crossing) throw wrong('its outline crosses or touches itself', 'give a simple polygon', item);
    const doubled = signedArea(item.polygon);
    if (doubled === 0) throw wrong('its polygon has no area', 'give a polygon with an inside', item);
    if (doubled < 0) throw wrong('its polygon runs clockwise', 'give the vertices counter-clockwise', item);
  }
}

/** Variants that fit the width, without those that a symmetric piece repeats. Returns their numbers. */
function addVariants(
  item: NestItem,
  index: number,
  width: number,
  outlines: Float64Array[],
  variants: Variant[],
): number[] {
  const clean = withoutStraightVertices(item.polygon);
  const outline = clean.length > PLAIN_VERTICES ? simplifyOutward(clean, OUTLINE_TOLERANCE * width) : clean;
  const mine: number[] = [];
  let narrowest = Infinity;
  const seen: Float64Array[] = [];
  for (const mirror of item.mirror ? [false, true] : [false]) {
    const base = flat(mirror ? transformed(outline, 0, true) : outline);
    const baseIndex = outlines.push(base) - 1;
    for (const rotation of new Set(item.rotations.map(turn))) {
      const polygon = flat(transformed(outline, rotation, mirror));
      const box = flatBounds(polygon);
      // The true polygon decides what fits: an outline simplified outward may be a hair taller.
      const trueBox = flatBounds(flat(transformed(clean, rotation, mirror)));
      narrowest = Math.min(narrowest, trueBox.maxY - trueBox.minY);
      if (trueBox.maxY - trueBox.minY > width) continue;
      if (!item.groups && seen.some((other) => sameShape(other, polygon))) continue;
      seen.push(polygon);
      const within = {
        ...box,
        minX: trueBox.minX,
        minY: trueBox.minY,
        maxX: trueBox.maxX,
        maxY: trueBox.maxY,
      };
      mine.push(variants.push({ item: index, rotation, mirror, outline: baseIndex, ...within }) - 1);
    }
  }
  if (mine.length > 0) return mine;
  throw new InputError(
    `item '${item.id}' is too wide for the strip: ${narrowest} in its narrowest allowed rotation, the strip is ${width}`,
    { mend: 'widen the strip or allow another rotation' },
  );
}

function sharedRotations(
  members: readonly number[],
  itemOf: Int32Array,
  variantsOfItem: readonly (readonly number[])[],
  variants: readonly Variant[],
): number[] {
  const sets = members.map((i) => new Set(variantsOfItem[itemOf[i]!]!.map((v) => variants[v]!.rotation)));
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
