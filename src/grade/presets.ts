import { z } from 'zod';
import { type BodyMeasurements, bodySchema } from '../draft/body.js';
import { InputError } from '../errors.js';
import { lengthField, readBy } from '../fields.js';
import type { Unit } from '../units.js';
import { betweenSizes, growthBySize, type Increment, type Ladder, wholeSizes } from './ladder.js';
import { assertMeasure } from './measures.js';

/** A named table of increments with where each value comes from. */
export interface IncrementPreset {
  readonly name: string;
  readonly title: string;
  readonly source: string;
  readonly unit: Unit;
  /** The sizes its breaks speak of. */
  readonly ladder: Ladder;
  readonly increments: Readonly<Record<string, Increment & { readonly source: string }>>;
}

/** Body measurements of a size range with the source of every column. */
export interface BodyChart {
  readonly name: string;
  readonly title: string;
  readonly source: string;
  readonly sources: Readonly<Record<string, string>>;
  readonly sizes: Readonly<Record<string, BodyMeasurements>>;
  /** Further columns, mm by size, such as `cross-back` and `height`. */
  readonly more: Readonly<Record<string, Readonly<Record<string, number>>>>;
}

/**
 * Reads a preset of increments from its JSON value.
 *
 * @throws InputError naming the field that does not fit, an unknown measure, or an unknown size in a break.
 */
export function parseIncrementPreset(data: unknown): IncrementPreset {
  const head = readBy(presetHead, data);
  const fields = readBy(presetBody(head.unit), data);
  const ladder = { sizes: fields.sizes, base: fields.base };
  const increments: Record<string, Increment & { source: string }> = {};
  for (const [measure, entry] of Object.entries(fields.increments)) {
    const path = `increments.${measure}`;
    assertMeasure(measure, [], path);
    growthBySize(ladder, entry, path);
    increments[measure] = entry;
  }
  return { name: head.name, title: head.title, source: head.source, unit: head.unit, ladder, increments };
}

/**
 * Growth of one measure of a preset over the sizes of a style, mm against the style's base. Sizes the preset
 * knows keep their distance in its own ladder, so a style may skip sizes or be based on another one; other
 * sizes take one even step each. Half sizes stand between their neighbours.
 *
 * @throws InputError when the steps change with the size and the preset does not know the style's sizes.
 */
export function presetGrowth(preset: IncrementPreset, measure: string, ladder: Ladder): readonly number[] {
  const increment = preset.increments[measure]!;
  const known = preset.ladder.sizes;
  const stranger = wholeSizes(ladder).find((size) => !known.includes(size));
  if (stranger !== undefined) {
    if (Object.keys(increment.breaks).length === 0) return growthBySize(ladder, increment);
    throw new InputError(
      `the increments '${preset.name}' change '${measure}' by size and do not know '${stranger}'`,
      {
        mend: `use the sizes ${known.join(', ')} or give '${measure}' its own step`,
        place: { path: 'grade.sizes' },
      },
    );
  }
  const growth = growthBySize(preset.ladder, increment);
  return betweenSizes(ladder, (size) => growth[known.indexOf(size)]!);
}

/**
 * Reads a body chart from its JSON value.
 *
 * @throws InputError naming the field that does not fit, a column without a source, or a size left out of a
 *   further column.
 */
export function parseBodyChart(data: unknown): BodyChart {
  const head = readBy(presetHead, data);
  const chart = readBy(chartBody(head.unit), data);
  const columns = [...Object.keys(Object.values(chart.rows)[0] ?? {}), ...Object.keys(chart.more)];
  for (const column of columns) {
    if (chart.sources[column]) continue;
    throw new InputError(`the column '${column}' names no source`, { place: { path: `sources.${column}` } });
  }
  for (const [column, values] of Object.entries(chart.more)) {
    const missing = Object.keys(chart.sizes).find((size) => values[size] === undefined);
    if (missing === undefined) continue;
    throw new InputError(`the column '${column}' has no value for size '${missing}'`, {
      place: { path: `more.${column}` },
    });
  }
  const { sources, sizes, more } = chart;
  return { name: head.name, title: head.title, source: head.source, sources, sizes, more };
}

const presetHead = z.object({
  name: z.string().min(1),
  title: z.string().min(1),
  source: z.string().min(1),
  unit: z.enum(['in', 'cm', 'mm']),
});

function presetBody(unit: Unit) {
  const length = lengthField(unit);
  const entry = z.strictObject({
    step: length,
    breaks: z.record(z.string(), length).default({}),
    source: z.string().min(1),
  });
  return z.strictObject({
    ...presetHead.shape,
    sizes: z.array(z.string()).min(1),
    base: z.string(),
    increments: z.record(z.string(), entry),
  });
}

function chartBody(unit: Unit) {
  const rows = z.record(z.string(), z.record(z.string(), z.unknown()));
  return z
    .strictObject({
      ...presetHead.shape,
      sources: z.record(z.string(), z.string().min(1)),
      sizes: rows,
      more: z.record(z.string(), z.record(z.string(), lengthField(unit, 'positive'))).default({}),
    })
    .transform((chart, context) => {
      const sizes: Record<string, BodyMeasurements> = {};
      const body = bodySchema(unit);
      for (const [size, row] of Object.entries(chart.sizes)) {
        const result = body.safeParse(row);
        if (result.success) sizes[size] = result.data;
        else {
          for (const issue of result.error.issues) {
            const path = ['sizes', size, ...issue.path];
            context.addIssue({ code: 'custom', message: issue.message, path });
          }
        }
      }
      return { ...chart, rows: chart.sizes, sizes };
    });
}
