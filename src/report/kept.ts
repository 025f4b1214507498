import { z } from 'zod';
import { InputError, suggest } from '../errors.js';
import { friendlyErrors, tellingIssue } from '../fields.js';
import type { CutPiece } from '../finish/types.js';
import { area, bounds } from '../geometry/polygon.js';
import { sizesOf } from '../lay/counts.js';
import { halfOf } from '../lay/halves.js';
import { laidOutline } from '../lay/outline.js';
import { type Fabric, LAY_MODES, type Marker, type PlacedPiece } from '../lay/types.js';
import type { QuickEstimate } from '../plan/estimate.js';
import type { MarkerJson, PlacementJson } from './json.js';
import type { ReportFile, WidthTable } from './types.js';

const length = z.number().min(0);
const count = z.number().int().min(0);
const widthRunSchema = z.looseObject({
  seed: z.number(),
  length,
  area: length,
  mass: length,
  cost: length.optional(),
  garments: count,
  efficiency: z.number(),
});

/** What `widths` keeps in widths.json. */
const keptWidthsSchema = z.object({
  style: z.string(),
  fabric: z.looseObject({ name: z.string(), currency: z.string() }),
  cells: z.array(
    z.object({
      width: z.number().positive(),
      mode: z.enum(LAY_MODES),
      runs: z.array(widthRunSchema),
      fault: z.string().optional(),
    }),
  ),
});

/**
 * Reads the text of a widths.json as `widths` wrote it for a style.
 *
 * @throws InputError, its place the file and the field, for text that is no such file, or one of another style.
 */
export function readKeptWidths(text: string, file: string, wanted: string): WidthTable {
  const { style, fabric, cells } = readKept(keptWidthsSchema, text, file, "run 'walewise widths' again");
  if (style !== wanted) {
    throw new InputError(`it compares widths for '${style}', not for '${wanted}'`, {
      mend: "run 'walewise widths' with this style",
      place: { file },
    });
  }
  return { fabric: fabric.name, currency: fabric.currency, cells: cells as unknown as WidthTable['cells'] };
}

const point = z.tuple([z.number(), z.number()]);

const placementSchema = z.object({
  number: count,
  piece: z.string(),
  size: z.string(),
  garment: z.string(),
  mirrored: z.boolean(),
  rotation: z.number(),
  x: z.number(),
  y: z.number(),
  fold: z.enum(['low', 'high']).optional(),
});

/** Of a kept fabric, what it was laid on. */
export const keptFabricSchema = z.looseObject({
  name: z.string(),
  usableWidth: z.number().positive(),
  fullWidth: z.number().positive().optional(),
  mode: z.enum(LAY_MODES),
  orientation: z.enum(['one-way', 'garment-one-way', 'either-way']),
});

/** A marker as it is kept. */
export const keptMarkerSchema = z.object({
  name: z.string(),
  fabric: keptFabricSchema,
  options: z.looseObject({ gap: length, sideMargin: length, endMargin: length, endAllowance: length }),
  width: z.number().positive(),
  length: z.number().positive(),
  layers: count,
  ratio: z.record(z.string(), count),
  efficiency: z.number().positive(),
  verified: z.boolean(),
  stamp: z.string().optional(),
  spread: z.looseObject({ mode: z.string(), layers: count, plies: z.enum(['any', 'even']) }),
  zones: z.array(z.looseObject({ kind: z.enum(['flaw', 'splice']), outline: z.array(point) })).optional(),
  spare: z.array(z.object({ piece: z.string(), size: z.string(), count })),
  search: z.object({
    seconds: z.number(),
    seed: z.number(),
    threads: z.number(),
    rounds: z.number(),
    failure: z.string().optional(),
  }),
  placements: z.array(placementSchema).min(1),
});

const keptSchema = z.object({
  style: z.string(),
  markers: z.array(keptMarkerSchema),
  files: z.array(z.object({ name: z.string(), meaning: z.string() })).default([]),
  estimates: z
    .array(
      z.looseObject({
        fabric: z.string(),
        garments: count,
        cloth: z.object({ metres: length, squareMetres: length, kilograms: length }),
        cost: length,
        currency: z.string(),
        band: length,
        nests: count,
        rectangles: z.object({ kilograms: length, metres: length, wastage: length }),
      }),
    )
    .default([]),
});

/** What `report.json` keeps that a report is made from again. */
export interface KeptRun {
  readonly style: string;
  readonly markers: readonly MarkerJson[];
  /** What was written beside the report. */
  readonly files: readonly ReportFile[];
  readonly estimates: readonly QuickEstimate[];
}

/**
 * Reads the text of a `report.json` as `run` or `report` wrote it.
 *
 * @throws InputError, its place the file and the field, for text that is no such file.
 */
export const readKeptRun = (text: string, file: string): KeptRun =>
  readKept(keptSchema, text, file) as unknown as KeptRun;

/** @throws InputError at the file, and the field where one is wrong. */
export function readKept<S extends z.ZodType>(
  schema: S,
  text: string,
  file: string,
  mend = "run 'walewise run' again: it writes the file anew",
): z.output<S> {
  let data: unknown;
  try {
    data = JSON.parse(text);
  } catch (cause) {
    const message = `this is not valid JSON: ${(cause as Error).message}`;
    throw new InputError(message, { place: { file }, mend, cause });
  }
  const result = schema.safeParse(data, { error: friendlyErrors });
  if (result.success) return result.data;
  const issue = tellingIssue(result.error.issues)!;
  const path = issue.path.map(String).join('.');
  throw new InputError(`this file was not kept by this version of walewise: ${issue.message}`, {
    place: path === '' ? { file } : { file, path },
    mend,
  });
}

/** Pieces changed by less than this share of their area, or lying less than this off, mm, are unchanged. */
const SAME_AREA = 1e-6;
const SAME_LENGTH = 0.01;

/**
 * A kept marker with its pieces back in place, without any search: the style's own cut pieces where they were
 * laid. The fabric is the style's as it is now (its price, weight and rolls), in the width and mode it was laid.
 *
 * @throws InputError when the style changed since: a piece, size or fabric is gone, or the pieces are other ones.
 */
export function markerFrom(
  kept: MarkerJson,
  style: { name: string; pieces: readonly CutPiece[]; fabrics: ReadonlyMap<string, Fabric> },
): Marker {
  const now = style.fabrics.get(kept.fabric.name);
  if (!now) {
    throw changed(kept, `the style no longer has the fabric '${kept.fabric.name}'`);
  }
  const own = style.pieces.filter((p) => p.fabric === kept.fabric.name);
  const pieces = kept.placements.map((p) => placedFrom(p, own, kept));
  const placedArea = pieces.reduce((sum, p) => sum + area(p.outline), 0);
  const was = kept.efficiency * kept.width * kept.length;
  const end = bounds(pieces.flatMap((p) => [...p.outline])).maxX + kept.options.endMargin;
  if (Math.abs(placedArea - was) > was * SAME_AREA || Math.abs(end - kept.length) > SAME_LENGTH) {
    throw changed(kept, 'its pieces are no longer the ones that were laid');
  }
  const { placements: _, gap: __, ...rest } = kept;
  const { usableWidth, fullWidth, mode, orientation } = kept.fabric;
  const { fullWidth: ___, ...cloth } = now;
  return {
    ...rest,
    style: style.name,
    sizes: sizesOf(style.pieces),
    fabric: {
      ...cloth,
      usableWidth,
      ...(fullWidth === undefined ? {} : { fullWidth }),
      mode,
      orientation,
    },
    pieces,
  };
}

function placedFrom(p: PlacementJson, pieces: readonly CutPiece[], kept: MarkerJson): PlacedPiece {
  const found = pieces.find((piece) => piece.name === p.piece && piece.size === p.size);
  if (!found) {
    const names = [...new Set(pieces.map((piece) => piece.name))];
    const hint = names.includes(p.piece) ? '' : `; ${suggest(p.piece, names)}`;
    throw changed(kept, `the style no longer has the piece '${p.piece}' in size ${p.size}${hint}`);
  }
  const half = p.fold === undefined ? undefined : halfOf(found);
  if (p.fold !== undefined && !half)
    throw changed(kept, `the piece '${p.piece}' can no longer lie on a fold`);
  const piece = half ? { ...found, half } : found;
  const fold = p.fold === undefined ? {} : { fold: p.fold };
  const pose = { mirrored: p.mirrored, rotation: p.rotation, at: [p.x, p.y] as const };
  return {
    piece,
    garment: p.garment,
    number: p.number,
    ...pose,
    outline: laidOutline({ piece, ...pose, ...fold }),
    ...fold,
  };
}

const changed = (kept: MarkerJson, why: string): InputError =>
  new InputError(`marker '${kept.name}' was laid for another state of the style: ${why}`, {
    mend: "run 'walewise run' again, or take the style file it was run with",
  });
