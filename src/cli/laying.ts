import {
  markerDxf,
  markerPdf,
  markerSvg,
  type OutputFile,
  overviewPdf,
  placementsCsv,
} from '../exchange/index.js';
import type { Marker, SizeRatio } from '../lay/index.js';
import { layMarker } from '../lay/index.js';
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
}

/**
 * Lays one marker of a style, with live progress for a person. When `signal` fires, the best layout so far is
 * returned.
 */
export async function layJob(
  loaded: LoadedStyle,
  job: LayJob,
  choice: SearchChoice,
  io: { console: Console; quiet: boolean; signal: AbortSignal; stamp?: string | undefined },
): Promise<Marker> {
  const { style, developed } = loaded;
  const { search, options } = style.lay;
  const live = liveLine(io.console, io.quiet);
  const budget =
    choice.iterations === undefined
      ? { seconds: choice.seconds ?? search.seconds }
      : { iterations: choice.iterations };
  try {
    return await layMarker(
      {
        name: job.name,
        style: style.name,
        pieces: allPieces(developed.finished),
        fabric: job.fabric,
        ratio: job.ratio,
        options,
        ...(io.stamp === undefined ? {} : { stamp: io.stamp }),
      },
      {
        ...budget,
        seed: choice.seed ?? search.seed,
        threads: choice.threads ?? search.threads,
        signal: io.signal,
        onProgress: (p) =>
          live.show(
            `${job.name}: ${p.phase}, ${p.elapsed.toFixed(0)} s, ${(p.length / 1000).toFixed(3)} m, ${(p.density * 100).toFixed(1)} % (Ctrl-C keeps the best so far)`,
          ),
      },
    );
  } finally {
    live.clear();
  }
}

/** Every file a cutting table needs of one marker. */
export async function markerFiles(marker: Marker, unit: Unit, date: Date): Promise<OutputFile[]> {
  const name = `marker-${marker.name}`;
  return [
    { name: `${name}.dxf`, content: markerDxf(marker) },
    { name: `${name}.pdf`, content: await markerPdf(marker, { units: unit, date }) },
    { name: `${name}-overview.pdf`, content: await overviewPdf(marker, { units: unit, date }) },
    { name: `${name}.svg`, content: markerSvg(marker) },
    { name: `${name}-placements.csv`, content: placementsCsv(marker) },
  ];
}

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

export const percent = (share: number): string => `${(share * 100).toFixed(1)} %`;
