import { z } from 'zod';
import { type BlockEase, easeSchema } from '../draft/body.js';
import { InputError, suggest } from '../errors.js';
import { lengthField, readBy } from '../fields.js';
import {
  type BodyChart,
  type IncrementPreset,
  parseBodyChart,
  parseIncrementPreset,
} from '../grade/index.js';
import { type FabricPart, fabricSchema } from '../lay/schema.js';

/** A block that is drafted from a body chart. */
export interface BlockPreset {
  readonly name: string;
  readonly title: string;
  readonly source: string;
  readonly chart: string;
  readonly shoulderSlope: number;
  /** mm. */
  readonly capEase: number;
  readonly ease: BlockEase;
}

/** Everything a style may name, by name. */
export interface PresetLibrary {
  readonly blocks: ReadonlyMap<string, BlockPreset>;
  readonly charts: ReadonlyMap<string, BodyChart>;
  readonly increments: ReadonlyMap<string, IncrementPreset>;
  readonly fabrics: ReadonlyMap<string, FabricPart>;
}

/** A preset file as read: its name tells its kind (`block-`, `sizes-`, `increments-`, `fabrics`). */
export interface PresetFile {
  readonly file: string;
  readonly data: unknown;
}

/**
 * Builds the library from the files of the presets folder.
 *
 * @throws InputError that names the file and the field that does not fit.
 */
export function presetLibrary(files: readonly PresetFile[]): PresetLibrary {
  const blocks = new Map<string, BlockPreset>();
  const charts = new Map<string, BodyChart>();
  const increments = new Map<string, IncrementPreset>();
  const fabrics = new Map<string, FabricPart>();
  for (const { file, data } of files) {
    inFile(file, () => {
      const kind = file.split('/').at(-1)!;
      if (kind.startsWith('block-')) keep(blocks, parseBlock(data));
      else if (kind.startsWith('sizes-')) keep(charts, parseBodyChart(data));
      else if (kind.startsWith('increments-')) keep(increments, parseIncrementPreset(data));
      else if (kind.startsWith('fabrics'))
        for (const [name, part] of parseFabrics(data)) fabrics.set(name, part);
    });
  }
  return { blocks, charts, increments, fabrics };
}

/** @throws InputError with the nearest known name. */
export function presetNamed<T>(shelf: ReadonlyMap<string, T>, kind: string, name: string): T {
  const found = shelf.get(name);
  if (found !== undefined) return found;
  throw new InputError(`unknown ${kind} preset '${name}'`, { mend: suggest(name, [...shelf.keys()]) });
}

const keep = <T extends { readonly name: string }>(shelf: Map<string, T>, preset: T): void => {
  shelf.set(preset.name, preset);
};

function parseBlock(data: unknown): BlockPreset {
  const unit = readBy(z.object({ unit: z.enum(['in', 'cm', 'mm']) }), data).unit;
  const block = readBy(
    z.strictObject({
      name: z.string(),
      title: z.string(),
      source: z.string(),
      unit: z.string(),
      chart: z.string(),
      'shoulder-slope': z.number().min(0).max(45),
      'cap-ease': lengthField(unit),
      ease: easeSchema(unit),
    }),
    data,
  );
  const { name, title, source, chart, ease } = block;
  return {
    name,
    title,
    source,
    chart,
    ease,
    shoulderSlope: block['shoulder-slope'],
    capEase: block['cap-ease'],
  };
}

function parseFabrics(data: unknown): Map<string, FabricPart> {
  const { fabrics } = readBy(
    z.object({ source: z.string(), fabrics: z.record(z.string(), fabricSchema('mm')) }),
    data,
  );
  return new Map(Object.entries(fabrics));
}

function inFile(file: string, work: () => void): void {
  try {
    work();
  } catch (error) {
    throw error instanceof InputError ? error.at({ file }) : error;
  }
}
