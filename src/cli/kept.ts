import { stat } from 'node:fs/promises';
import { join } from 'node:path';
import { z } from 'zod';
import { CheckError, InputError, suggest, UserError } from '../errors.js';
import {
  assertVerified,
  type Fabric,
  inMode,
  LAY_MODES,
  laidOutline,
  type Marker,
  planMarker,
  spreadOf,
} from '../lay/index.js';
import { type MarkerJson, markerFrom, readKeptRun } from '../report/index.js';
import { keptMarkerSchema, readKept } from '../report/kept.js';
import { allPieces } from '../style/index.js';
import { type LoadedStyle, readText } from './load.js';

/** One marker as `lay --json` prints it. */
const laidSchema = z.object({
  name: z.string(),
  fabric: z.string(),
  ratio: keptMarkerSchema.shape.ratio,
  options: keptMarkerSchema.shape.options,
  width: z.number().positive(),
  length: z.number().positive(),
  density: z.number().positive(),
  mode: z.enum(LAY_MODES),
  seconds: z.number(),
  seed: z.number(),
  threads: z.number(),
  rounds: z.number(),
  verified: z.boolean(),
  spare: keptMarkerSchema.shape.spare,
  zones: keptMarkerSchema.shape.zones,
  stamp: z.string().optional(),
  placements: z
    .array(
      z.object({
        item: z.string(),
        size: z.string(),
        garment: z.string(),
        number: z.number().int(),
        rotation: z.number(),
        mirror: z.boolean(),
        x: z.number(),
        y: z.number(),
        fold: z.enum(['low', 'high']).optional(),
      }),
    )
    .min(1),
});

/**
 * Markers that were laid before, put on the style's own cut pieces and checked exactly anew: nothing is searched.
 * `from` is the folder or the report.json of `run`, or a file with what `run --json` or `lay --json` printed.
 *
 * @param names markers to take; all when none is named.
 * @throws InputError when the file is none of these, a marker is not in it, or the style changed since; CheckError
 *   when the layout fails the check.
 */
export async function keptMarkers(
  loaded: LoadedStyle,
  from: string,
  { names, stamp }: { names: readonly string[]; stamp: string | undefined },
): Promise<Marker[]> {
  const file = (await isFolder(from)) ? join(from, 'report.json') : from;
  const kept = readMarkers(await readKeptText(file, from), file, loaded);
  const stranger = names.find((name) => !kept.some((marker) => marker.name === name));
  if (stranger !== undefined) {
    throw new InputError(`no marker '${stranger}' was kept`, {
      place: { file },
      mend: suggest(
        stranger,
        kept.map((marker) => marker.name),
      ),
    });
  }
  const wanted = names.length === 0 ? kept : kept.filter((marker) => names.includes(marker.name));
  return wanted.map((marker) => backInPlace(marker, loaded, { file, stamp }));
}

async function readKeptText(file: string, from: string): Promise<string> {
  try {
    return await readText(file);
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    throw new InputError(error.message, {
      mend: `lay first: 'walewise run STYLE --out ${from}', or keep 'walewise lay STYLE --json' in a file and name it with --from`,
      cause: error,
    });
  }
}

const isFolder = async (path: string): Promise<boolean> =>
  (await stat(path).catch(() => undefined))?.isDirectory() ?? false;

/** The markers of a file of any of the three kinds. */
function readMarkers(text: string, file: string, loaded: LoadedStyle): readonly MarkerJson[] {
  const data = readKept(z.looseObject({}), text, file);
  if ('report' in data) return readKeptRun(JSON.stringify(data.report), file).markers;
  if (!('placements' in data)) return readKeptRun(text, file).markers;
  const laid = readKept(laidSchema, text, file);
  const fabric = loaded.style.fabrics.get(laid.fabric);
  if (!fabric) {
    throw new InputError(
      `marker '${laid.name}' was laid on a fabric '${laid.fabric}' that the style does not have`,
      {
        place: { file },
        mend: suggest(laid.fabric, [...loaded.style.fabrics.keys()]),
      },
    );
  }
  const cloth = atLaidWidth(inMode(fabric, laid.mode), laid.width);
  const spread = spreadOf(cloth);
  return [
    {
      name: laid.name,
      fabric: cloth,
      options: laid.options as unknown as Marker['options'],
      width: laid.width,
      length: laid.length,
      layers: spread.layers,
      gap: laid.options.gap,
      ratio: laid.ratio,
      efficiency: laid.density,
      verified: laid.verified,
      ...(laid.stamp === undefined ? {} : { stamp: laid.stamp }),
      spread,
      ...(laid.zones === undefined ? {} : { zones: laid.zones as unknown as NonNullable<Marker['zones']> }),
      spare: laid.spare,
      search: { seconds: laid.seconds, seed: laid.seed, threads: laid.threads, rounds: laid.rounds },
      placements: laid.placements.map(({ item, mirror, fold, ...rest }) => ({
        ...rest,
        piece: item,
        mirrored: mirror,
        ...(fold === undefined ? {} : { fold }),
      })),
    },
  ];
}

/** The fabric as wide as it was laid; of another roll than the style's the full width is not known. */
function atLaidWidth(fabric: Fabric, laid: number): Fabric {
  const usableWidth = fabric.mode === 'folded' ? 2 * laid : laid;
  if (usableWidth === fabric.usableWidth) return fabric;
  const { fullWidth: _, ...rest } = fabric;
  return { ...rest, usableWidth };
}

function backInPlace(
  kept: MarkerJson,
  { style, developed }: LoadedStyle,
  { file, stamp }: { file: string; stamp: string | undefined },
): Marker {
  const pieces = allPieces(developed.finished);
  try {
    const marker = markerFrom(kept, { name: style.name, pieces, fabrics: style.fabrics });
    const placed = marker.pieces.map((p) => ({ ...p, outline: laidOutline(p) }));
    const { stamp: was, ...rest } = marker;
    const mark = stamp ?? was;
    const back: Marker = {
      ...rest,
      pieces: placed,
      verified: true,
      ...(mark === undefined ? {} : { stamp: mark }),
    };
    assertWhole(back, pieces);
    return back;
  } catch (error) {
    throw error instanceof UserError ? error.at({ file }) : error;
  }
}

/** mm. */
const LAST_DIGIT = 1e-6;

/** Every piece that the ratio needs is there, and none is too close, outside or in a flaw. */
function assertWhole(marker: Marker, pieces: readonly Marker['pieces'][number]['piece'][]): void {
  const { name, style, fabric, ratio, options } = marker;
  const plan = planMarker({ name, style, pieces, fabric, ratio, options });
  const needed = new Map<string, number>();
  const count = (key: string, by: number) => needed.set(key, (needed.get(key) ?? 0) + by);
  for (const { piece, garments } of plan.demands) count(`${piece.name} ${piece.size}`, garments.length);
  for (const { piece } of marker.pieces) count(`${piece.name} ${piece.size}`, -1);
  const off = [...needed].find(([, left]) => left !== 0);
  if (off) {
    const [piece, left] = off;
    throw new CheckError(
      `marker '${name}' is kept with ${Math.abs(left)} ${left > 0 ? 'too few' : 'too many'} of piece ${piece} for its sizes`,
      { mend: 'lay it again' },
    );
  }
  // A piece off the grain comes back with another last digit: a millionth of a millimetre is let through.
  const gap = Math.max(0, options.gap - LAST_DIGIT);
  const spec = { ...plan.spec, options: { ...options, gap } };
  try {
    assertVerified({ ...plan, spec, zones: marker.zones ?? [] }, marker.pieces, marker.length);
  } catch (error) {
    if (!(error instanceof CheckError)) throw error;
    throw new CheckError(error.message.replace('was not written', 'is not written'), {
      mend: 'the kept file was changed, or the style was: lay it again',
      cause: error,
    });
  }
}
