import { z } from 'zod';
import { recipeSchema } from '../alter/recipe.js';
import { bodySchema, easeSchema } from '../draft/body.js';
import { tapeSchema } from '../draft/tape-schema.js';
import { lengthField } from '../fields.js';
import { finishSchema } from '../finish/schema.js';
import { gradeSchema } from '../grade/schema.js';
import { fabricSchema, laySchema, markersSchema } from '../lay/schema.js';
import type { Unit } from '../units.js';

/** Schema of a style file whose plain lengths are in `unit`: each room's own part, put together. */
export function styleSchema(unit: Unit) {
  return z.strictObject({
    style: z.string().min(1).describe('name of the style'),
    label: z.string().optional().describe('label it is made for'),
    units: z.enum(['in', 'cm', 'mm']),
    block: blockSchema(unit),
    alter: recipeSchema(unit).default([]),
    grade: gradeSchema(unit),
    finish: finishSchema(unit).default(() => finishSchema(unit).parse({})),
    fabrics: z.record(z.string(), fabricSchema(unit)).default({}),
    currency: z.string().default('EUR'),
    lay: laySchema(unit).default(() => laySchema(unit).parse({})),
    markers: markersSchema.default([]),
  });
}

/** Where the block comes from: a preset in one size, body measurements, or a paper block's tape measurements. */
function blockSchema(unit: Unit) {
  return z.union([
    z.strictObject({ preset: z.string(), size: z.union([z.string(), z.number()]).transform(String) }),
    z.strictObject({
      body: bodySchema(unit),
      ease: easeSchema(unit).optional(),
      'shoulder-slope': z.number().min(0).max(45).optional(),
      'cap-ease': lengthField(unit).optional(),
    }),
    z.strictObject({ tape: tapeSchema(unit) }),
  ]);
}

export type StyleFile = z.output<ReturnType<typeof styleSchema>>;
