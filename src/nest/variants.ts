/** The ways of laying an item: its outline as the search sees it, under every allowed transform that fits. */
import { InputError } from '../errors.js';
import { type Box, bounds } from '../geometry/polygon.js';
import { decimals, exactUnits } from './exact.js';
import { simplifyOutward, withoutStraightVertices } from './outline.js';
import { transformed, turn, withinTilt } from './transform.js';
import type { NestItem, Placement } from './types.js';

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

/** Outlines of more vertices are simplified outward before the search. */
const PLAIN_VERTICES = 16;
/** How far the simplified outline may leave the true one, as a share of the strip width. */
const OUTLINE_TOLERANCE = 2e-4;

/**
 * Variants that fit the width, without those that a symmetric piece repeats. Returns their numbers. The
 * transforms of `given` placements become variants of their own where none of those has them.
 */
export function addVariants(
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
    // The true polygon decides what fits: an outline simplified outward may be a hair taller.
    const boxAt = (rotation: number): Box => bounds(transformed(clean, rotation, mirror));
    const add = (rotation: number, base: number, box: Box) => {
      const [low, high] = [-box.minY, minus(width, box.maxY)];
      const leastY = item.edge === 'high' ? high : low;
      const mostY = item.edge === 'low' ? low : high;
      const variant = { item: index, rotation, base, mirror, outline: outlineIndex, ...box, leastY, mostY };
      return variants.push(variant) - 1;
    };
    for (const [rotation, base] of turns(item)) {
      const polygon = flat(transformed(outline, rotation, mirror));
      const box = boxAt(rotation);
      const tall = minus(box.maxY, box.minY);
      narrowest = Math.min(narrowest, tall);
      if (tall > width) continue;
      if (!item.groups && seen.some((other) => sameShape(other, polygon))) continue;
      seen.push(polygon);
      mine.push(add(rotation, base, box));
    }
    for (const placement of given) {
      const rotation = turn(placement.rotation);
      if (placement.mirror !== mirror || variants.some((v, k) => k >= first && v.rotation === rotation))
        continue;
      const base = item.rotations.find((r) => withinTilt(rotation, r, item.tilt ?? 0))!;
      add(rotation, turn(base), boxAt(rotation));
    }
  }
  if (mine.length > 0) return mine;
  throw new InputError(
    `item '${item.id}' is too wide for the strip: ${narrowest} in its narrowest allowed rotation, the strip is ${width}`,
    { mend: 'widen the strip or allow another rotation' },
  );
}

/** a - b, as the decimals they print as, so that a piece exactly as wide as the strip fits wherever it is drawn. */
function minus(a: number, b: number): number {
  if (!Number.isFinite(a)) return a;
  const digits = Math.max(decimals(a), decimals(b));
  return Number(`${exactUnits(a, digits) - exactUnits(b, digits)}e-${digits}`);
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
  const { minX, minY, maxX, maxY } = bounds(polygon);
  return OUTLINE_TOLERANCE * Math.min(maxX - minX, maxY - minY);
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
