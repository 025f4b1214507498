import { createHash } from 'node:crypto';
import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import { InputError } from '../errors.js';
import { writeFileAtomic } from '../exchange/index.js';
import { assertVerified, type Marker, type MarkerSpec, planMarker, sizesOf } from '../lay/index.js';

/** Markers that were laid before, found by what they hold and how they were searched. */
export interface MarkerStore {
  readonly find: (spec: MarkerSpec, search: unknown) => Promise<Marker | undefined>;
  readonly keep: (spec: MarkerSpec, search: unknown, marker: Marker) => Promise<void>;
}

/** Changes when what a kept marker means changes, so that old files are passed by. */
const FORMAT = 1;

/**
 * Markers in memory and, where a folder is given, in one file each there. A marker from a file passes the exact
 * check again before it is used; one that does not is refused with an InputError, as somebody has changed it.
 */
export function markerStore(folder?: string): MarkerStore {
  const memory = new Map<string, Marker>();
  const path = (key: string) => join(folder!, `marker-${key}.json`);
  return {
    find: async (spec, search) => {
      const key = keyOf(spec, search);
      const known = memory.get(key) ?? (folder === undefined ? undefined : await read(path(key), spec));
      if (!known) return undefined;
      // Names, prices and stamps are those of now.
      const { name, style, fabric, options, stamp } = spec;
      const now = { name, style, fabric, options, sizes: sizesOf(spec.pieces) };
      return { ...known, ...now, ...(stamp === undefined ? {} : { stamp }) };
    },
    keep: async (spec, search, marker) => {
      // What a failure cut short is worth searching for again.
      if (marker.search.failure !== undefined) return;
      const key = keyOf(spec, search);
      const { stamp: _, ...rest } = marker;
      memory.set(key, rest);
      if (folder !== undefined) await writeFileAtomic(path(key), `${JSON.stringify(rest)}\n`);
    },
  };
}

function keyOf(spec: MarkerSpec, search: unknown): string {
  const { fabric, ratio, options, flaws } = spec;
  const { usableWidth, mode, orientation, stretchAlong, stretchPercent } = fabric;
  const pieces = spec.pieces.filter((piece) => piece.fabric === fabric.name && ratio[piece.size]);
  const sizes = Object.entries(ratio)
    .filter(([, n]) => n > 0)
    .sort(([a], [b]) => (a < b ? -1 : 1));
  const cloth = { usableWidth, mode, orientation, stretchAlong, stretchPercent };
  const text = JSON.stringify({ FORMAT, pieces, cloth, sizes, options, flaws, search });
  return createHash('sha256').update(text).digest('hex').slice(0, 24);
}

async function read(file: string, spec: MarkerSpec): Promise<Marker | undefined> {
  let text: string;
  try {
    text = await readFile(file, 'utf8');
  } catch {
    return undefined;
  }
  try {
    const marker = JSON.parse(text) as Marker;
    const plan = planMarker(spec);
    const pieces = plan.demands.reduce((sum, demand) => sum + demand.garments.length, 0);
    if (marker.pieces.length !== pieces)
      throw new Error(`${marker.pieces.length} pieces instead of ${pieces}`);
    assertVerified(plan, marker.pieces, marker.length);
    return marker;
  } catch (cause) {
    throw new InputError(`the kept marker ${file} cannot be used: ${(cause as Error).message}`, {
      mend: 'delete it, so that it is laid again',
      cause,
    });
  }
}
