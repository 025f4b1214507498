import type { CutPiece } from '../finish/types.js';
import type { ChartRow, SizeRange, SizeTruing } from '../grade/types.js';
import type { Consumption, Marker } from '../lay/types.js';
import type { FitRow } from '../style/index.js';
import type { Unit } from '../units.js';

export type { FitRow };

/** A file that was written beside the report. */
export interface ReportFile {
  readonly name: string;
  readonly meaning: string;
}

/** Everything a fabric-usage report shows. Lengths mm, except in `consumption`. */
export interface ReportData {
  readonly style: string;
  /** Unit in which lengths are shown. */
  readonly unit: Unit;
  readonly date: Date;
  readonly range: SizeRange;
  readonly chart: readonly ChartRow[];
  readonly truing: readonly SizeTruing[];
  readonly markers: readonly Marker[];
  readonly consumption: readonly Consumption[];
  /** Plies laid of each marker, by its name; one where it is not named. */
  readonly plies?: Readonly<Record<string, number>>;
  /** Added to what is bought, percent. */
  readonly sparePercent?: number;
  /** Cut pieces of the base size, each once. */
  readonly pieces: readonly CutPiece[];
  readonly warnings: readonly string[];
  readonly fit?: readonly FitRow[];
  readonly files?: readonly ReportFile[];
}
