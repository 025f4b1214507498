/**
 * The independent judge of a layout: reads nothing but the instance and the placements, uses none of the
 * tables or simplified outlines of the search, and decides in exact arithmetic (see exact.ts).
 */
import type { Vec } from '../geometry/vec.js';
import {
  boxSlack,
  closerThan,
  decimals,
  type ExactPolygon,
  exactOutline,
  exactUnits,
  interiorsMeet,
  placed,
} from './exact.js';
import type { NestInstance, NestItem, Placement } from './types.js';

export type FaultKind =
  | 'unknown'
  | 'missing'
  | 'repeated'
  | 'transform'
  | 'group'
  | 'outside'
  | 'overlap'
  | 'gap'
  | 'number'
  | 'zone'
  | 'pin'
  | 'span'
  | 'edge';

export interface Fault {
  readonly kind: FaultKind;
  readonly message: string;
  /** `item#copy` of the placements concerned. */
  readonly pieces: readonly string[];
}

export interface VerifyReport {
  readonly ok: boolean;
  /** Used length: the largest x of any piece, rounded up to a printable number. */
  readonly length: number;
  readonly density: number;
  readonly faults: readonly Fault[];
}

/**
 * Checks a layout against its instance: every copy placed once, in an allowed transform, groups turned
 * alike, inside the strip, no two interiors meeting, no two pieces closer than the gap, out of the forbidden
 * zones, pinned copies where they were pinned, spans no longer than allowed, glued pieces at their side (to
 * 1e-9 of the strip width). Touching is allowed. Numbers are judged as the decimals they print as. Never
 * throws for a bad layout: faults are listed.
 */
export function verify(instance: NestInstance, placements: readonly Placement[]): VerifyReport {
  const faults: Fault[] = [];
  const items = new Map(instance.items.map((item) => [item.id, item]));
  const sound = checkRoster(items, placements, faults);
  const zones = instance.zones ?? [];
  checkPins(instance, sound, faults);
  checkGroups(items, sound, faults);

  // Exact polygons, all in units of one power of ten.
  const outlines = sound.map((p) => laid(items.get(p.item)!.polygon, p.rotation, p.mirror));
  const gap = instance.gap ?? 0;
  const spanLength = instance.spanLength ?? 0;
  let digits = Math.max(decimals(instance.stripWidth), decimals(gap), decimals(spanLength));
  for (const [x, y] of zones.flat()) digits = Math.max(digits, decimals(x), decimals(y));
  sound.forEach((p, i) => {
    digits = Math.max(digits, decimals(p.x), decimals(p.y));
    for (const [x, y] of outlines[i]!) digits = Math.max(digits, decimals(x), decimals(y));
  });
  const polygons = sound.map((p, i) => placed(exactOutline(outlines[i]!, digits), p.x, p.y));
  const names = sound.map((p) => `${p.item}#${p.copy}`);
  const length = checkStrip(polygons, names, instance.stripWidth, digits, faults);
  const exactGap = exactUnits(gap, digits);
  checkPairs(polygons, names, gap, exactGap, faults);
  const forbidden = zones.map((zone) => placed(exactOutline(zone, digits), 0, 0));
  checkZones(polygons, names, forbidden, gap, exactGap, faults);
  checkSpans(items, sound, polygons, names, exactUnits(spanLength, digits), faults);
  checkEdges(items, sound, polygons, names, instance.stripWidth, faults);

  const area = instance.items.reduce((sum, item) => sum + item.demand * shoelace(item.polygon), 0);
  return {
    ok: faults.length === 0,
    length,
    density: length > 0 ? area / (instance.stripWidth * length) : 0,
    faults,
  };
}

function checkRoster(
  items: ReadonlyMap<string, NestItem>,
  placements: readonly Placement[],
  faults: Fault[],
): Placement[] {
  const seen = new Set<string>();
  const sound: Placement[] = [];
  for (const p of placements) {
    const name = `${p.item}#${p.copy}`;
    const fault = (kind: FaultKind, message: string) => faults.push({ kind, message, pieces: [name] });
    const item = items.get(p.item);
    if (!item || !Number.isInteger(p.copy) || p.copy < 0 || p.copy >= item.demand) {
      fault('unknown', `${name} is not in the instance`);
      continue;
    }
    if (seen.has(name)) {
      fault('repeated', `${name} is placed twice`);
      continue;
    }
    seen.add(name);
    if (![p.x, p.y, p.rotation].every(Number.isFinite)) {
      fault('number', `${name} has a coordinate that is not a finite number`);
      continue;
    }
    if (basesOf(item, p.rotation).length === 0) {
      fault('transform', `${name} is turned by ${p.rotation}, which is not allowed`);
    }
    if (p.mirror && !item.mirror) fault('transform', `${name} is mirrored, which is not allowed`);
    sound.push(p);
  }
  for (const item of items.values()) {
    for (let copy = 0; copy < item.demand; copy++) {
      const name = `${item.id}#${copy}`;
      if (!seen.has(name)) faults.push({ kind: 'missing', message: `${name} is not placed`, pieces: [name] });
    }
  }
  return sound;
}

function checkGroups(
  items: ReadonlyMap<string, NestItem>,
  placements: readonly Placement[],
  faults: Fault[],
): void {
  const first = new Map<string, Placement>();
  const shared = new Map<string, readonly number[]>();
  for (const p of placements) {
    const item = items.get(p.item)!;
    const group = item.groups?.[p.copy];
    if (group === undefined) continue;
    const bases = basesOf(item, p.rotation);
    const other = first.get(group);
    // Tilted pieces are alike when they tilt from one rotation.
    const common = shared.get(group)?.filter((a) => bases.some((b) => sameAngle(a, b))) ?? bases;
    if (!other) {
      first.set(group, p);
      shared.set(group, bases);
    } else if (common.length > 0) shared.set(group, common);
    else {
      faults.push({
        kind: 'group',
        message: `group '${group}': ${other.item}#${other.copy} is turned by ${other.rotation}, ${p.item}#${p.copy} by ${p.rotation}`,
        pieces: [`${other.item}#${other.copy}`, `${p.item}#${p.copy}`],
      });
    }
  }
}

/** Allowed rotations from which a copy of `item` that lies at `angle` is turned by no more than its tilt. */
const basesOf = (item: NestItem, angle: number): number[] =>
  item.rotations.filter((r) => {
    const away = (((angle - r) % 360) + 360) % 360;
    return Math.min(away, 360 - away) <= (item.tilt ? item.tilt + 1e-9 : 0);
  });

function checkPins({ pins = [] }: NestInstance, placements: readonly Placement[], faults: Fault[]): void {
  for (const pin of pins) {
    const p = placements.find((q) => q.item === pin.item && q.copy === pin.copy);
    if (!p) continue;
    const kept =
      p.x === pin.x && p.y === pin.y && p.mirror === pin.mirror && sameAngle(p.rotation, pin.rotation);
    const name = `${p.item}#${p.copy}`;
    if (!kept) faults.push({ kind: 'pin', message: `${name} is not where it was pinned`, pieces: [name] });
  }
}

function checkZones(
  polygons: readonly ExactPolygon[],
  names: readonly string[],
  zones: readonly ExactPolygon[],
  gap: number,
  exactGap: bigint,
  faults: Fault[],
): void {
  zones.forEach((zone, z) => {
    polygons.forEach((p, i) => {
      const meets = interiorsMeet(p, zone);
      if (!meets && !(gap > 0 && closerThan(p, zone, gap, exactGap))) return;
      const how = meets ? 'enters' : `is closer than ${gap} to`;
      faults.push({
        kind: 'zone',
        message: `${names[i]} ${how} forbidden zone ${z + 1}`,
        pieces: [names[i]!],
      });
    });
  });
}

function checkSpans(
  items: ReadonlyMap<string, NestItem>,
  placements: readonly Placement[],
  polygons: readonly ExactPolygon[],
  names: readonly string[],
  allowed: bigint,
  faults: Fault[],
): void {
  const spans = new Map<string, number[]>();
  placements.forEach((p, i) => {
    const span = items.get(p.item)!.spans?.[p.copy];
    if (span !== undefined) spans.set(span, [...(spans.get(span) ?? []), i]);
  });
  for (const [span, members] of spans) {
    const xs = members.flatMap((i) => polygons[i]!.exact().x);
    let [least, most] = [xs[0]!, xs[0]!];
    for (const x of xs) {
      if (x < least) least = x;
      if (x > most) most = x;
    }
    if (most - least <= allowed) continue;
    const pieces = members.map((i) => names[i]!);
    faults.push({ kind: 'span', message: `the pieces of span '${span}' lie too far apart`, pieces });
  }
}

function checkEdges(
  items: ReadonlyMap<string, NestItem>,
  placements: readonly Placement[],
  polygons: readonly ExactPolygon[],
  names: readonly string[],
  stripWidth: number,
  faults: Fault[],
): void {
  placements.forEach((p, i) => {
    const { edge } = items.get(p.item)!;
    if (edge === undefined) return;
    const off = edge === 'low' ? polygons[i]!.minY : stripWidth - polygons[i]!.maxY;
    if (Math.abs(off) <= 1e-9 * stripWidth) return;
    faults.push({ kind: 'edge', message: `${names[i]} is off the ${edge} side`, pieces: [names[i]!] });
  });
}

function checkStrip(
  polygons: readonly ExactPolygon[],
  names: readonly string[],
  stripWidth: number,
  digits: number,
  faults: Fault[],
): number {
  const width = exactUnits(stripWidth, digits);
  let longest = 0n;
  polygons.forEach((polygon, i) => {
    const { x, y } = polygon.exact();
    const outside = x.some((v) => v < 0n) || y.some((v) => v < 0n || v > width);
    if (outside) {
      faults.push({ kind: 'outside', message: `${names[i]} leaves the strip`, pieces: [names[i]!] });
    }
    for (const v of x) if (v > longest) longest = v;
  });
  return roundedUp(longest, digits);
}

function checkPairs(
  polygons: readonly ExactPolygon[],
  names: readonly string[],
  gap: number,
  exactGap: bigint,
  faults: Fault[],
): void {
  const order = polygons.map((_, i) => i).sort((a, b) => polygons[a]!.minX - polygons[b]!.minX);
  const far = gap + boxSlack(polygons);
  for (let s = 0; s < order.length; s++) {
    const p = polygons[order[s]!]!;
    for (let t = s + 1; t < order.length; t++) {
      const q = polygons[order[t]!]!;
      if (q.minX > p.maxX + far) break;
      const pieces = [names[order[s]!]!, names[order[t]!]!];
      if (interiorsMeet(p, q)) {
        faults.push({ kind: 'overlap', message: `${pieces.join(' and ')} overlap`, pieces });
      } else if (gap > 0 && closerThan(p, q, gap, exactGap)) {
        faults.push({ kind: 'gap', message: `${pieces.join(' and ')} are closer than ${gap}`, pieces });
      }
    }
  }
}

/** The smallest float whose decimal is not below `units` x 10^-digits. */
export function roundedUp(units: bigint, digits: number): number {
  let value = Number(`${units}e-${digits}`);
  for (let ulp = Math.abs(value) * 2 ** -53; ; ulp *= 2) {
    const d = Math.max(digits, decimals(value));
    if (exactUnits(value, d) >= units * 10n ** BigInt(d - digits)) return value;
    value += ulp;
  }
}

/** The polygon under a transform; quarter turns are exact. */
function laid(polygon: readonly Vec[], rotation: number, mirror: boolean): Vec[] {
  const quarter = (((rotation / 90) % 4) + 4) % 4;
  const radians = (rotation * Math.PI) / 180;
  const c = Number.isInteger(quarter) ? [1, 0, -1, 0][quarter]! : Math.cos(radians);
  const s = Number.isInteger(quarter) ? [0, 1, 0, -1][quarter]! : Math.sin(radians);
  const points = polygon.map(([px, y]): Vec => {
    const x = mirror ? -px : px;
    return [x * c - y * s, x * s + y * c];
  });
  return mirror ? points.reverse() : points;
}

function shoelace(polygon: readonly Vec[]): number {
  let doubled = 0;
  polygon.forEach(([ax, ay], i) => {
    const [bx, by] = polygon[(i + 1) % polygon.length]!;
    doubled += ax * by - ay * bx;
  });
  return doubled / 2;
}

const sameAngle = (a: number, b: number): boolean => (((a - b) % 360) + 360) % 360 === 0;
