import { z } from 'zod';
import { recipeSchema } from '../alter/recipe.js';
import { bodySchema, easeSchema } from '../draft/body.js';
import { carriedSchema } from '../draft/carried-schema.js';
import { KNIT_CLASSES, type KnitClass } from '../draft/knit-ease.js';
import { tapeSchema } from '../draft/tape-schema.js';
import { lengthField } from '../fields.js';
import { finishSchema } from '../finish/schema.js';
import { gradeSchema } from '../grade/schema.js';
import { fabricSchema, laySchema, markersSchema } from '../lay/schema.js';
import { costSchema, orderSchema, tableSchema } from '../plan/schema.js';
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
    markers: markersSchema(unit).default([]),
    order: orderSchema.optional().describe('garments by colour and size'),
    table: tableSchema(unit).default(() => tableSchema(unit).parse({})),
    cost: costSchema.default(() => costSchema.parse({})),
  });
}

const sizeField = z.union([z.string(), z.number()]).transform(String);

const knitField = z
  .enum(KNIT_CLASSES as [string, ...string[]])
  .transform((name) => name as KnitClass)
  .describe('close-fitting, smaller than the body by what this class of knit stretches');

/** The body chart that a block of one's own is fitted against, and the size that it is. */
const onChart = {
  chart: z.string().optional().describe('body chart that fit is checked against'),
  size: sizeField.optional().describe('size of the chart that the block is'),
};

/**
 * Where the block comes from: a preset in one size, body measurements, a paper block's tape measurements, or the
 * pieces themselves.
 */
function blockSchema(unit: Unit) {
  return z.union([
    z.strictObject({
      preset: z.string(),
      size: sizeField,
      knit: knitField.optional(),
    }),
    z.strictObject({
      body: bodySchema(unit),
      ease: easeSchema(unit).optional(),
      knit: knitField.optional(),
      ...onChart,
      'shoulder-slope': z.number().min(0).max(45).optional(),
      'cap-ease': lengthField(unit).optional(),
    }),
    z.strictObject({ tape: tapeSchema(unit), ...onChart }),
    carriedSchema(unit),
  ]);
}

export type StyleFile = z.output<ReturnType<typeof styleSchema>>;
