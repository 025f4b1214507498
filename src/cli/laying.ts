import {
  type CuttingNoteOptions,
  checkCutLines,
  cutLinesCsv,
  fileStem,
  markerDxf,
  markerPdf,
  markerSvg,
  type OutputFile,
  overviewPdf,
  PAPERS,
  type Paper,
  pieceListCsv,
  placementsCsv,
  sharedNote,
  stampCsv,
  stampTables,
  tiledMarkerPdf,
} from '../exchange/index.js';
import {
  type FlawsPart,
  type LayPart,
  layMarker,
  type Marker,
  type MarkerSpec,
  type SizeRatio,
} from '../lay/index.js';
import type { Fabric } from '../lay/types.js';
import { allPieces } from '../style/index.js';
import { toUnit, type Unit } from '../units.js';
import type { LoadedStyle } from './load.js';
import { type Console, liveLine } from './output.js';

export interface SearchChoice {
  readonly seconds?: number;
  readonly iterations?: number;
  readonly seed?: number;
  readonly threads?: number;
}

/** One marker to be laid: a size ratio on a fabric. */
export interface LayJob {
  readonly name: string;
  readonly fabric: Fabric;
  readonly ratio: SizeRatio;
  /** Time to search, where the marker states its own. */
  readonly seconds?: number | undefined;
  /** Flaws and splices of its cloth. */
  readonly flaws?: FlawsPart['flaws'];
  readonly splices?: FlawsPart['splices'];
}

/** What `lay` needs to lay one marker of a style. */
export function markerSpec(loaded: LoadedStyle, job: LayJob, stamp?: string): MarkerSpec {
  const { style, developed } = loaded;
  return {
    name: job.name,
    style: style.name,
    pieces: allPieces(developed.finished),
    fabric: job.fabric,
    ratio: job.ratio,
    options: style.lay.options,
    flaws: { flaws: job.flaws, splices: job.splices },
    ...(stamp === undefined ? {} : { stamp }),
  };
}

/**
 * Lays one marker, with live progress for a person. When `signal` fires, the best layout so far is returned.
 */
export async function layLive(
  spec: MarkerSpec,
  defaults: LayPart['search'],
  choice: SearchChoice,
  io: { console: Console; quiet: boolean; signal: AbortSignal },
): Promise<Marker> {
  const live = liveLine(io.console, io.quiet);
  const budget =
    choice.iterations === undefined
      ? { seconds: choice.seconds ?? defaults.seconds }
      : { iterations: choice.iterations };
  try {
    return await layMarker(spec, {
      ...budget,
      seed: choice.seed ?? defaults.seed,
      threads: choice.threads ?? defaults.threads,
      signal: io.signal,
      onProgress: (p) =>
        live.show(
          `${spec.name}: ${p.phase}, ${p.elapsed.toFixed(0)} s, ${(p.length / 1000).toFixed(3)} m, ${(p.density * 100).toFixed(1)} % (Ctrl-C keeps the best so far)`,
        ),
    });
  } finally {
    live.clear();
  }
}

/** Papers that a marker can be printed on: a roll, or sheets to be joined. */
export const PRINTS = ['roll', ...(Object.keys(PAPERS) as Paper[])] as const;
export type Print = (typeof PRINTS)[number];

export interface MarkerFileOptions {
  readonly dxf?: CuttingNoteOptions['dxf'];
  /** Default: a roll. */
  readonly prints?: readonly Print[];
  /** One page on the roll however long: see `MarkerPdfOptions`. */
  readonly userUnit?: boolean;
}

/** Every file a cutting table needs of one marker. */
export async function markerFiles(
  marker: Marker,
  unit: Unit,
  date: Date,
  { dxf, prints = ['roll'], userUnit = false }: MarkerFileOptions = {},
): Promise<OutputFile[]> {
  const name = `marker-${fileStem(marker.name)}`;
  const options = { units: unit, date };
  const printed = prints.map(async (print): Promise<OutputFile> => {
    if (print === 'roll') {
      return { name: `${name}.pdf`, content: await markerPdf(marker, { ...options, userUnit }) };
    }
    const content = await tiledMarkerPdf(marker, { ...options, paper: print });
    return { name: `${name}-${print}.pdf`, content };
  });
  return stampTables(
    [
      { name: `${name}.dxf`, content: markerDxf(marker, dxf) },
      ...(await Promise.all(printed)),
      { name: `${name}-overview.pdf`, content: await overviewPdf(marker, options) },
      { name: `${name}.svg`, content: markerSvg(marker) },
      { name: `${name}-placements.csv`, content: placementsCsv(marker) },
      { name: `${name}-piece-list.csv`, content: pieceListCsv([marker]) },
    ],
    stampOf([marker]),
  );
}

/** What the cut lines of markers come to: one table for all. */
export const cutLineFile = (markers: readonly Marker[]): OutputFile => ({
  name: 'cut-lines.csv',
  content: stampCsv(cutLinesCsv(markers.map(checkCutLines)), stampOf(markers)),
});

/** What a person should know of the cut lines before cutting: lines shared at a gap of 0, and faults. */
export const cutLineNotes = (markers: readonly Marker[]): string[] =>
  markers
    .map(checkCutLines)
    .flatMap((lines) => [
      ...(lines.gap === 0 ? [sharedNote(lines)] : []),
      ...lines.faults.map((fault) => `WARNING: marker ${lines.marker}: ${fault}`),
    ]);

/** Whether a cutting service would stumble over a marker: the files stand, but `export` would not send them. */
export const hasCutLineFaults = (markers: readonly Marker[]): boolean =>
  markers.some((marker) => checkCutLines(marker).faults.length > 0);

const stampOf = (markers: readonly Marker[]): string | undefined => {
  const stamps = [...new Set(markers.flatMap((marker) => marker.stamp ?? []))];
  return stamps.length === 0 ? undefined : stamps.join('; ');
};

/** Fires on the first Ctrl-C; a second one ends the process at once, as usual. */
export function interruptSignal(): { signal: AbortSignal; interrupted: () => boolean; release: () => void } {
  const controller = new AbortController();
  const onInterrupt = () => controller.abort();
  process.once('SIGINT', onInterrupt);
  return {
    signal: controller.signal,
    interrupted: () => controller.signal.aborted,
    release: () => process.removeListener('SIGINT', onInterrupt),
  };
}

/** `3.214 m (3.515 yd)` for cloth in a style of inches, metres alone otherwise. */
export function clothLength(mm: number, unit: Unit): string {
  const metres = `${(mm / 1000).toFixed(3)} m`;
  return unit === 'in' ? `${metres} (${(toUnit(mm, 'in') / 36).toFixed(3)} yd)` : metres;
}
