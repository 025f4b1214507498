import { z } from 'zod';
import { didYouMean, InputError } from '../errors.js';
import { signedArea } from '../geometry/polygon.js';
import type { Vec } from '../geometry/vec.js';
import type { NestInstance, Placement } from './types.js';

const point = z.tuple([z.number(), z.number()]);
const polygon = z.array(point).min(3);
const id = z.union([z.string().min(1), z.number()]).transform(String);

const placement = z.object({
  item: id,
  copy: z.int().nonnegative(),
  rotation: z.number(),
  mirror: z.boolean().default(false),
  x: z.number(),
  y: z.number(),
});

const zoneSchema = z.union([
  z.strictObject({ polygon }),
  z.strictObject({
    x: z.number(),
    y: z.number(),
    width: z.number().positive(),
    height: z.number().positive(),
  }),
]);

const itemSchema = z.object({
  id,
  demand: z.int().positive(),
  allowedOrientations: z.array(z.number()).min(1).default([0]),
  allowMirror: z.boolean().optional(),
  groups: z.array(z.string().min(1)).optional(),
  tilt: z.number().nonnegative().optional(),
  spans: z.array(z.string().min(1)).optional(),
  edge: z.enum(['low', 'high']).optional(),
  polygon,
});

/**
 * JSON form of a strip packing instance, as the open collections of ESICUP are converted to, with what this
 * engine offers beyond: see `NestInstance` and `NestItem`. A zone is a polygon or an upright rectangle.
 */
export const instanceSchema = z.object({
  name: z.string().min(1),
  source: z.string().optional(),
  stripWidth: z.number().positive(),
  gap: z.number().nonnegative().optional(),
  zones: z.array(zoneSchema).optional(),
  pins: z.array(placement).optional(),
  spanLength: z.number().positive().optional(),
  start: z.array(placement).optional(),
  items: z.array(itemSchema).min(1),
});

/**
 * Turns parsed JSON into an instance. Clockwise polygons are reversed and a repeated last vertex is dropped.
 * Throws InputError that names the first field that is wrong. Fields of other programs are passed over, but not what
 * looks like a slip of the pen or an item's inner name: it would be lost in silence.
 */
export function readInstance(json: unknown): NestInstance {
  const parsed = instanceSchema.safeParse(json);
  if (!parsed.success) {
    const issue = parsed.error.issues[0]!;
    throw new InputError(`not a nesting instance: ${issue.message}`, {
      place: { path: issue.path.join('.') },
      mend: 'expected {name, stripWidth, items: [{id, demand, allowedOrientations, polygon: [[x, y], ...]}]}',
    });
  }
  refuseSlips(json as object, instanceSchema, '');
  (json as { items: object[] }).items.forEach((item, k) => {
    refuseSlips(item, itemSchema, `items.${k}`);
  });
  const { zones, source: _, items, ...rest } = parsed.data;
  return {
    ...given(rest),
    ...(zones === undefined ? {} : { zones: zones.map(outlineOf) }),
    items: items.map(({ allowedOrientations, allowMirror, polygon, ...item }) => ({
      ...given(item),
      rotations: allowedOrientations,
      ...(allowMirror === undefined ? {} : { mirror: allowMirror }),
      polygon: tidy(polygon),
    })),
  };
}

/** What the fields of an item are called elsewhere in this project. */
const INNER_NAMES: Readonly<Record<string, string>> = {
  rotations: 'allowedOrientations',
  mirror: 'allowMirror',
};

function refuseSlips(given: object, schema: z.ZodObject, path: string): void {
  const known = Object.keys(schema.shape);
  for (const key of Object.keys(given)) {
    if (known.includes(key)) continue;
    const meant = known.includes(INNER_NAMES[key] ?? '')
      ? INNER_NAMES[key]
      : didYouMean(key, known, Math.floor(key.length / 5));
    if (meant === undefined) continue;
    throw new InputError(`not a nesting instance: unknown field '${key}'`, {
      place: { path: path === '' ? key : `${path}.${key}` },
      mend: `did you mean '${meant}'?`,
    });
  }
}

/**
 * Reads the placements of a layout, as `walewise nest --json` prints them. Throws InputError for anything else.
 */
export function readPlacements(json: unknown): readonly Placement[] {
  const parsed = z.object({ placements: z.array(placement) }).safeParse(json);
  if (parsed.success) return parsed.data.placements;
  const issue = parsed.error.issues[0]!;
  throw new InputError(`not a layout: ${issue.message}`, {
    place: { path: issue.path.join('.') },
    mend: 'give a result of this command, written with --json',
  });
}

type Given<T> = { [K in keyof T]: Exclude<T[K], undefined> };

/** Without the fields that were left out, which parsing may keep as undefined. */
const given = <T extends object>(fields: T): Given<T> =>
  Object.fromEntries(Object.entries(fields).filter(([, value]) => value !== undefined)) as Given<T>;

function outlineOf(zone: z.output<typeof zoneSchema>): readonly Vec[] {
  if ('polygon' in zone) return tidy(zone.polygon);
  const { x, y, width, height } = zone;
  return [
    [x, y],
    [x + width, y],
    [x + width, y + height],
    [x, y + height],
  ];
}

function tidy(polygon: readonly Vec[]): readonly Vec[] {
  const first = polygon[0]!;
  const last = polygon[polygon.length - 1]!;
  const open = first[0] === last[0] && first[1] === last[1] ? polygon.slice(0, -1) : polygon;
  return signedArea(open) < 0 ? [...open].reverse() : open;
}
