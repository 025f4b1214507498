import type { Vec } from '../../geometry/vec.js';
import { plainMtext, plainText } from './lettering.js';
import type { Drops } from './limits.js';
import type { DxfRecord } from './records.js';
import type { DxfEntity, DxfVertex } from './types.js';

type Build = (record: DxfRecord, head: Head, drops: Drops) => DxfEntity | undefined;
type Head = { readonly layer: string; readonly lineNumber: number };

/** Seen from behind: x runs the other way (DXF reference, arbitrary axis algorithm for the extrusion 0, 0, -1). */
const flipped = (record: DxfRecord): boolean => record.number(230, 1) < 0;

const flipX = (p: Vec, flip: boolean): Vec => (flip ? [-p[0], p[1]] : p);

const BUILDERS: Readonly<Record<string, Build>> = {
  LINE: (r, head) => ({ kind: 'line', ...head, a: r.point(10), b: r.point(11) }),

  ARC: (r, head) => {
    const flip = flipped(r);
    const [from, to] = [r.number(50), r.number(51)];
    return {
      kind: 'arc',
      ...head,
      centre: flipX(r.point(10), flip),
      radius: radius(r),
      from: flip ? 180 - to : from,
      to: flip ? 180 - from : to,
    };
  },

  CIRCLE: (r, head) => ({
    kind: 'circle',
    ...head,
    centre: flipX(r.point(10), flipped(r)),
    radius: radius(r),
  }),

  ELLIPSE: (r, head) => {
    const flip = flipped(r) ? -1 : 1;
    return {
      kind: 'ellipse',
      ...head,
      centre: r.point(10),
      major: r.point(11),
      ratio: flip * r.number(40),
      from: r.number(41, 0),
      to: r.number(42, 2 * Math.PI),
    };
  },

  LWPOLYLINE: (r, head, drops) => {
    const flip = flipped(r);
    const vertices: { at: [number, number]; bulge: number }[] = [];
    r.codes.forEach((code, i) => {
      const last = vertices[vertices.length - 1];
      if (code === 10) vertices.push({ at: [(flip ? -1 : 1) * r.lengthAt(i), Number.NaN], bulge: 0 });
      else if (code === 20 && last) last.at[1] = r.lengthAt(i);
      else if (code === 42 && last) last.bulge = (flip ? -1 : 1) * r.numberAt(i);
    });
    if (vertices.some(({ at }) => Number.isNaN(at[1]))) r.fault ??= 'with a vertex that has no y';
    if (r.codes.includes(90) && r.number(90) !== vertices.length) {
      drops.add('LWPOLYLINE whose count of vertices is wrong (those in the file are kept)', r.line);
    }
    return { kind: 'polyline', ...head, closed: (r.flags(70) & 1) !== 0, vertices };
  },

  SPLINE: (r, head) => {
    const numbers = (code: number) =>
      r.codes.flatMap((c, i) =>
        c === code ? [code === 40 || code === 41 ? r.numberAt(i) : r.lengthAt(i)] : [],
      );
    const points = (code: number): Vec[] => {
      const [xs, ys] = [numbers(code), numbers(code + 10)];
      if (xs.length !== ys.length) r.fault ??= 'with a point that has no y';
      return xs.map((x, i): Vec => [x, ys[i] ?? 0]);
    };
    return {
      kind: 'spline',
      ...head,
      degree: r.flags(71),
      closed: (r.flags(70) & 1) !== 0,
      knots: numbers(40),
      weights: numbers(41),
      control: points(10),
      fit: points(11),
    };
  },

  INSERT: (r, head) => {
    const flip = flipped(r) ? -1 : 1;
    const block = r.text(2);
    if (!block) r.fault ??= 'without the name of its block';
    return {
      kind: 'insert',
      ...head,
      block: block ?? '',
      at: flipX(r.point(10), flip < 0),
      scaleX: flip * r.number(41, 1),
      scaleY: r.number(42, 1),
      rotation: flip * r.number(50, 0),
      columns: Math.max(1, r.flags(70)),
      rows: Math.max(1, r.flags(71)),
      columnSpacing: flip * r.length(44, 0),
      rowSpacing: r.length(45, 0),
    };
  },

  POINT: (r, head) => ({
    kind: 'point',
    ...head,
    at: r.point(10),
    z: r.length(30, 0),
    thickness: r.length(39, 0),
    angle: r.codes.includes(50) ? r.number(50) : undefined,
  }),

  TEXT: lettering,
  ATTRIB: lettering,

  MTEXT: (r, head) => {
    const parts = r.codes.flatMap((code, i) => (code === 3 || code === 1 ? [r.values[i]!] : []));
    const [dx, dy] = [r.number(11, 1), r.number(21, 0)];
    return {
      kind: 'text',
      ...head,
      at: r.point(10),
      height: r.length(40, 0),
      rotation: r.codes.includes(11) ? (Math.atan2(dy, dx) * 180) / Math.PI : r.number(50, 0),
      text: plainMtext(parts.join('')),
    };
  },
};

/** Entities in world coordinates whatever their extrusion: no plane of their own to lie in. */
const IN_WORLD = new Set(['LINE', 'POINT', 'ELLIPSE', 'SPLINE', 'MTEXT']);

export const isKnown = (type: string): boolean => Object.hasOwn(BUILDERS, type);

/**
 * The entity a record describes, seen from above; undefined, and counted in `drops` with its reason, when it is
 * of a kind that is not read, lies in paper space or a tilted plane, or has a number that is none.
 */
export function entityOf(record: DxfRecord, drops: Drops): DxfEntity | undefined {
  if (!isKnown(record.type)) {
    drops.add(record.type.replace(/[^\w*-]/g, '?').slice(0, 40) || 'a record without a name', record.line);
    return undefined;
  }
  if (!isFlat(record, drops)) return undefined;
  const entity = BUILDERS[record.type]!(record, headOf(record), drops);
  if (entity && record.fault === undefined) return entity;
  drops.add(`${record.type} ${record.fault}`, record.line);
  return undefined;
}

/** A POLYLINE's own record: undefined as `entityOf` does it, also for meshes. */
export function polylineHead(record: DxfRecord, drops: Drops) {
  if (!isFlat(record, drops)) return undefined;
  const flags = record.flags(70);
  if ((flags & (16 | 64)) !== 0) {
    drops.add('POLYLINE that is a mesh', record.line);
    return undefined;
  }
  return { ...headOf(record), closed: (flags & 1) !== 0, flip: flipped(record) };
}

/** One VERTEX, or undefined for a control point of the frame, which no curve passes through. */
export function vertexOf(record: DxfRecord, flip: boolean): DxfVertex | undefined {
  if ((record.flags(70) & 16) !== 0) return undefined;
  return { at: flipX(record.point(10), flip), bulge: (flip ? -1 : 1) * record.number(42, 0) };
}

function isFlat(record: DxfRecord, drops: Drops): boolean {
  if (record.flags(67) === 1) {
    drops.add(`${record.type} in paper space`, record.line);
    return false;
  }
  const tilted = Math.abs(record.number(210, 0)) > 1e-6 || Math.abs(record.number(220, 0)) > 1e-6;
  if (tilted && !IN_WORLD.has(record.type)) {
    drops.add(`${record.type} in a tilted plane`, record.line);
    return false;
  }
  return true;
}

const headOf = (record: DxfRecord): Head => ({ layer: record.text(8) || '0', lineNumber: record.line });

function radius(record: DxfRecord): number {
  const value = record.length(40);
  if (value <= 0) record.fault ??= 'without a radius';
  return value;
}

/** An alignment other than left on the baseline makes the second point the one the text is set from. */
function lettering(r: DxfRecord, head: Head): DxfEntity {
  const flip = flipped(r);
  const aligned = (r.flags(72) !== 0 || r.flags(73) !== 0) && r.codes.includes(11);
  const rotation = r.number(50, 0);
  return {
    kind: 'text',
    ...head,
    at: flipX(r.point(aligned ? 11 : 10), flip),
    height: r.length(40, 0),
    rotation: flip ? 180 - rotation : rotation,
    text: plainText(r.lettering(1) ?? ''),
  };
}
