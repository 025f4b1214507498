import { InputError } from '../errors.js';
import { bounds, selfCrossing, signedArea } from '../geometry/polygon.js';
import type { Vec } from '../geometry/vec.js';
import { withoutStraightVertices } from './outline.js';
import { withinTilt } from './transform.js';
import type { NestInstance, NestItem, Placement } from './types.js';
import { verify } from './verify.js';

/** A tilt beyond this is no tilt off the grain but a rotation, to be listed as one. */
export const MOST_TILT = 15;

/** Every lane keeps a number for every pair of pieces: 5,000 of them fill about 1 GB. */
export const MOST_PIECES = 5000;

/**
 * Throws InputError for an instance that makes no sense: numbers that are not finite, a polygon that crosses
 * itself or has no area, a bad demand or more than `MOST_PIECES` pieces, groups or spans that are not one per copy, a pin or start that names no
 * copy or turns one as it may not lie.
 */
export function checkInstance(instance: NestInstance): void {
  const { items, stripWidth, gap = 0, zones = [], pins = [], start = [], spanLength } = instance;
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
    if (item.spans && item.spans.length !== item.demand) {
      throw wrong(`${item.spans.length} spans for ${item.demand} copies`, 'name one span per copy', item);
    }
    if (item.spans && spanLength === undefined) {
      throw wrong(
        'it names spans but the instance has no span length',
        'give the greatest span length',
        item,
      );
    }
    const { tilt = 0 } = item;
    if (!(tilt >= 0 && tilt <= MOST_TILT)) {
      throw wrong(`invalid tilt: ${tilt}`, `give degrees from 0 to ${MOST_TILT}`, item);
    }
    checkPolygon(item.polygon, (message, mend) => wrong(message, mend, item));
  }
  const pieces = items.reduce((sum, { demand }) => sum + demand, 0);
  if (pieces > MOST_PIECES) {
    throw wrong(`${pieces} pieces, the most in one layout are ${MOST_PIECES}`, 'lay them in several layouts');
  }
  if (spanLength !== undefined && !(Number.isFinite(spanLength) && spanLength > 0)) {
    throw wrong(`invalid span length: ${spanLength}`, 'give a length above 0');
  }
  const enough = Math.ceil(
    2 * stripWidth + items.reduce((sum, { polygon, demand }) => sum + demand * diagonalOf(polygon), 0),
  );
  zones.forEach((zone, z) => {
    checkPolygon(zone, (message, mend) => wrong(`forbidden zone ${z + 1}: ${message}`, mend));
    // Tables are as long as zones are.
    const { minX, maxX } = bounds(zone);
    const long = maxX - minX;
    if (long > enough) {
      throw wrong(
        `forbidden zone ${z + 1} is ${long} long, all pieces one behind another take less than ${enough}`,
        `make the zone at most ${enough} long`,
      );
    }
  });
  checkPlacements('pin', pins, items);
  checkPlacements('start', start, items);
}

/**
 * Throws InputError for pins that break the rules among themselves, for zones they lie in, and for a start
 * that is no layout without fault. Exact, so dearer than `checkInstance`.
 */
export function checkGiven(instance: NestInstance): void {
  const { pins = [], start } = instance;
  const pinned = verify(instance, pins).faults.find(({ kind }) => kind !== 'missing');
  if (pinned) throw new InputError(`the pins do not fit: ${pinned.message}`, { mend: 'move or drop a pin' });
  const faulty = start && verify(instance, start).faults[0];
  if (faulty) {
    throw new InputError(`the start is not a layout without fault: ${faulty.message}`, {
      mend: 'start from a layout of this very instance, or anew',
    });
  }
}

type Wrong = (message: string, mend: string) => InputError;

function checkPolygon(polygon: readonly Vec[], wrong: Wrong): void {
  if (polygon.length < 3) throw wrong('a polygon needs 3 vertices', 'give at least 3');
  if (polygon.some((p) => !Number.isFinite(p[0]) || !Number.isFinite(p[1]))) {
    throw wrong('a vertex is not a finite number', 'mend the polygon');
  }
  const crossing = selfCrossing(withoutStraightVertices(polygon));
  if (crossing) throw wrong('its outline crosses or touches itself', 'give a simple polygon');
  const doubled = signedArea(polygon);
  if (doubled === 0) throw wrong('its polygon has no area', 'give a polygon with an inside');
  if (doubled < 0) throw wrong('its polygon runs clockwise', 'give the vertices counter-clockwise');
}

function checkPlacements(what: string, placements: readonly Placement[], items: readonly NestItem[]): void {
  const seen = new Set<string>();
  for (const p of placements) {
    const name = `${p.item}#${p.copy}`;
    const wrong = (message: string, mend: string) => new InputError(`${what} ${name}: ${message}`, { mend });
    const item = items.find(({ id }) => id === p.item);
    if (!item || !Number.isInteger(p.copy) || p.copy < 0 || p.copy >= item.demand) {
      throw wrong('the instance has no such copy', 'name an item and a copy from 0');
    }
    if (seen.has(name)) throw wrong('it is placed twice', 'place every copy once');
    seen.add(name);
    if (![p.x, p.y, p.rotation].every(Number.isFinite)) {
      throw wrong('a coordinate is not a finite number', 'mend the placement');
    }
    if (
      !item.rotations.some((r) => withinTilt(p.rotation, r, item.tilt ?? 0)) ||
      (p.mirror && !item.mirror)
    ) {
      throw wrong('it lies in a way that the item does not allow', 'turn it as the item allows');
    }
  }
}

function diagonalOf(polygon: readonly Vec[]): number {
  const { minX, minY, maxX, maxY } = bounds(polygon);
  return Math.hypot(maxX - minX, maxY - minY);
}
