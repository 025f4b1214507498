import { type Zippable, zipSync } from 'fflate';
import { InputError } from '../errors.js';
import type { Marker } from '../lay/types.js';
import type { Unit } from '../units.js';
import { cutLinesCsv, pieceListCsv, stampTables } from './csv.js';
import { checkCutLines } from './cut-lines.js';
import { type CuttingNoteOptions, cuttingReadme } from './cutting-readme.js';
import { warningsOn } from './drawing/marker.js';
import { markerDxf } from './dxf-marker.js';
import type { OutputFile } from './files.js';
import { overviewPdf } from './pdf/overview.js';
import { fileStem } from './text.js';

export interface PackOptions {
  readonly units: Unit;
  readonly date: Date;
  readonly dxf?: CuttingNoteOptions['dxf'];
  /** Plies by marker, where they are known. */
  readonly plies?: Readonly<Record<string, number>>;
  /** Cut sheets and what else was asked for: nothing that tells of the style comes in by itself. */
  readonly also?: readonly OutputFile[];
}

/**
 * The files of a service pack: for every marker its drawing and its overview, then the list of pieces, the lengths
 * of the cut lines and a note in plain text. Measurements, costs, alterations and seams of the style are not among
 * them.
 *
 * @throws InputError when there is no marker, two files would have one name, or a coordinate is not finite.
 */
export async function packFiles(markers: readonly Marker[], options: PackOptions): Promise<OutputFile[]> {
  if (markers.length === 0) throw new InputError('there is no marker to pack');
  const { units, date, dxf, plies, also = [] } = options;
  const drawings = await Promise.all(
    markers.map(async (marker): Promise<OutputFile[]> => {
      const name = `marker-${fileStem(marker.name)}`;
      return [
        { name: `${name}.dxf`, content: markerDxf(marker, dxf) },
        { name: `${name}-overview.pdf`, content: await overviewPdf(marker, { units, date }) },
      ];
    }),
  );
  const note = cuttingReadme(markers, {
    units,
    cautions: true,
    ...(dxf === undefined ? {} : { dxf }),
    ...(plies === undefined ? {} : { plies }),
  });
  const tables: OutputFile[] = [
    { name: 'piece-list.csv', content: pieceListCsv(markers) },
    { name: 'cut-lines.csv', content: cutLinesCsv(markers.map(checkCutLines)) },
  ];
  const stamp = [...new Set(markers.flatMap(warningsOn))].join('; ');
  return [
    { name: 'READ-ME.txt', content: note },
    ...drawings.flat(),
    ...stampTables(tables, stamp === '' ? undefined : stamp),
    ...also,
  ];
}

/**
 * One zip of a set of files: names in order, text as UTF-8, every file dated `date`. The same files and day give
 * the same bytes in every time zone.
 *
 * @throws InputError on a name given twice, capitals aside.
 */
export function zipFiles(files: readonly OutputFile[], date: Date): Uint8Array {
  const sorted = [...files].sort((a, b) => (a.name < b.name ? -1 : a.name > b.name ? 1 : 0));
  // Names that differ in capitals alone are one file on many systems.
  const plain = files.map(({ name }) => name.toLowerCase());
  const twice = files.find((_, i) => plain.indexOf(plain[i]!) < i);
  if (twice) throw new InputError(`two files of the pack would be named ${twice.name}`);
  const encoder = new TextEncoder();
  const entries: Zippable = {};
  for (const { name, content } of sorted) {
    entries[name] = typeof content === 'string' ? encoder.encode(content) : content;
  }
  return zipSync(entries, { level: 6, mtime: localMidnight(date) });
}

/** A service pack as one zip: see `packFiles`. */
export const servicePack = async (markers: readonly Marker[], options: PackOptions): Promise<Uint8Array> =>
  zipFiles(await packFiles(markers, options), options.date);

/** Zip keeps local time: midnight of the day wherever the program runs. Its years are 1980 to 2099. */
function localMidnight(date: Date): Date {
  const year = Math.min(2099, Math.max(1980, date.getUTCFullYear()));
  return new Date(year, date.getUTCMonth(), date.getUTCDate());
}
