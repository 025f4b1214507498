import type { CutPiece } from '../finish/types.js';
import type { ChartRow, SizeRange, SizeTruing } from '../grade/types.js';
import type { Consumption, Fabric, Marker } from '../lay/types.js';
import type { WidthCell } from '../lay/widths.js';
import type { QuickEstimate } from '../plan/estimate.js';
import type { CutPlan } from '../plan/types.js';
import type { FitRow } from '../style/index.js';
import type { Unit } from '../units.js';

export type { FitRow };

/** A file that was written beside the report. */
export interface ReportFile {
  readonly name: string;
  readonly meaning: string;
}

/** The same garments on several widths and in several lay modes, as `widths` compared them. */
export interface WidthTable {
  readonly fabric: string;
  readonly currency: string;
  readonly cells: readonly WidthCell[];
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
  /** What one ply of each marker uses; of a plan also of markers that were only reckoned. */
  readonly consumption: readonly Consumption[];
  /** Fabrics that markers alone do not carry: those of a plan that was only reckoned. */
  readonly fabrics?: readonly Fabric[];
  /** Plies to lay of each marker, by its name; one where it is not named. A plan states its own. */
  readonly plies?: Readonly<Record<string, number>>;
  /** The order, its lays and what they cost. */
  readonly plan?: CutPlan;
  /** What the order was reckoned to take before anything was laid. */
  readonly estimates?: readonly QuickEstimate[];
  readonly widths?: readonly WidthTable[];
  /** Cut pieces of the base size, each once. */
  readonly pieces: readonly CutPiece[];
  readonly warnings: readonly string[];
  readonly fit?: readonly FitRow[];
  readonly files?: readonly ReportFile[];
  /** Made for children: the report then carries the cautions on cords and the neck. */
  readonly childSizes?: boolean;
}
