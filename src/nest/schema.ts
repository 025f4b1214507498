import { z } from 'zod';
import { InputError } from '../errors.js';
import { signedArea } from '../geometry/polygon.js';
import type { Vec } from '../geometry/vec.js';
import type { NestInstance } from './types.js';

const point = z.tuple([z.number(), z.number()]);

/** JSON form of a strip packing instance, as the open collections of ESICUP are converted to. */
export const instanceSchema = z.object({
  name: z.string().min(1),
  source: z.string().optional(),
  stripWidth: z.number().positive(),
  gap: z.number().nonnegative().optional(),
  items: z
    .array(
      z.object({
        id: z.union([z.string().min(1), z.number()]).transform(String),
        demand: z.int().positive(),
        allowedOrientations: z.array(z.number()).min(1).default([0]),
        allowMirror: z.boolean().optional(),
        groups: z.array(z.string().min(1)).optional(),
        polygon: z.array(point).min(3),
      }),
    )
    .min(1),
});

/**
 * Turns parsed JSON into an instance. Clockwise polygons are reversed and a repeated last vertex is dropped.
 * Throws InputError that names the first field that is wrong.
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
  const { name, stripWidth, gap, items } = parsed.data;
  return {
    name,
    stripWidth,
    ...(gap === undefined ? {} : { gap }),
    items: items.map(({ id, demand, allowedOrientations, allowMirror, groups, polygon }) => ({
      id,
      demand,
      rotations: allowedOrientations,
      ...(allowMirror === undefined ? {} : { mirror: allowMirror }),
      ...(groups === undefined ? {} : { groups }),
      polygon: tidy(polygon),
    })),
  };
}

function tidy(polygon: readonly Vec[]): readonly Vec[] {
  const first = polygon[0]!;
  const last = polygon[polygon.length - 1]!;
  const open = first[0] === last[0] && first[1] === last[1] ? polygon.slice(0, -1) : polygon;
  return signedArea(open) < 0 ? [...open].reverse() : open;
}
