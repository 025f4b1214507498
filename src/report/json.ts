import type { CutPiece } from '../finish/types.js';
import { area } from '../geometry/polygon.js';
import type { ChartRow, SizeTruing } from '../grade/types.js';
import type { Purchase } from '../lay/purchase.js';
import type { OrderUse } from '../lay/purchase-order.js';
import type { Consumption, Fabric, LayOptions, Marker, Side } from '../lay/types.js';
import type { QuickEstimate } from '../plan/estimate.js';
import type { Unit } from '../units.js';
import { day } from './format.js';
import { laysOf, purchases, type ReportLay, usesOf } from './laid.js';
import type { FitRow, ReportData, ReportFile, WidthTable } from './types.js';

/** A marker without its polygons. Lengths mm, angles degrees. */
export interface MarkerJson {
  readonly name: string;
  readonly fabric: Fabric;
  readonly options: LayOptions;
  readonly width: number;
  readonly length: number;
  readonly layers: number;
  readonly gap: number;
  /** Garments by size. */
  readonly ratio: Readonly<Record<string, number>>;
  /** Share of length x width inside the cut lines, 0 to 1. */
  readonly efficiency: number;
  readonly verified: boolean;
  readonly stamp?: string;
  readonly spread: Marker['spread'];
  readonly zones?: NonNullable<Marker['zones']>;
  readonly spare: Marker['spare'];
  readonly search: Marker['search'];
  readonly placements: readonly PlacementJson[];
}

export interface PlacementJson {
  readonly number: number;
  readonly piece: string;
  readonly size: string;
  readonly garment: string;
  readonly mirrored: boolean;
  readonly rotation: number;
  readonly x: number;
  readonly y: number;
  /** The fold that it lies on as a half. */
  readonly fold?: Side;
}

/** The report as plain data. Lengths mm, except in `buy`, `uses` and `consumption`: m, m2, kg. */
export interface ReportJson {
  readonly style: string;
  /** Day, `YYYY-MM-DD`. */
  readonly date: string;
  /** Unit in which the report shows lengths; the figures here stay in mm. */
  readonly unit: Unit;
  readonly base: string;
  readonly sizes: readonly string[];
  readonly buy: readonly Purchase[];
  readonly lays: readonly ReportLay[];
  readonly uses: readonly OrderUse[];
  readonly consumption: readonly Consumption[];
  readonly markers: readonly MarkerJson[];
  readonly estimates: readonly QuickEstimate[];
  readonly widths: readonly WidthTable[];
  readonly chart: readonly ChartRow[];
  readonly truing: readonly SizeTruing[];
  readonly fit: readonly FitRow[];
  /** Pieces of one garment in the base size; area of the cut piece in mm2. */
  readonly pieces: readonly (Pick<CutPiece, 'name' | 'size' | 'fabric' | 'counts'> & {
    readonly area: number;
  })[];
  readonly warnings: readonly string[];
  readonly files: readonly ReportFile[];
}

/** The figures of the report for a machine: no functions, no drawings. @throws what `purchases` throws. */
export const reportJson = (data: ReportData): ReportJson => ({
  style: data.style,
  date: day(data.date),
  unit: data.unit,
  base: data.range.base,
  sizes: data.range.sizes.map((s) => s.size),
  buy: purchases(data),
  lays: laysOf(data),
  uses: usesOf(data),
  consumption: data.consumption,
  markers: data.markers.map(markerJson),
  estimates: data.estimates ?? [],
  widths: data.widths ?? [],
  chart: data.chart,
  truing: data.truing,
  fit: data.fit ?? [],
  pieces: data.pieces.map(({ name, size, fabric, counts, cut }) => ({
    name,
    size,
    fabric,
    counts,
    area: area(cut),
  })),
  warnings: data.warnings,
  files: data.files ?? [],
});

export const markerJson = (marker: Marker): MarkerJson => ({
  name: marker.name,
  fabric: marker.fabric,
  options: marker.options,
  width: marker.width,
  length: marker.length,
  layers: marker.layers,
  gap: marker.options.gap,
  ratio: marker.ratio,
  efficiency: marker.efficiency,
  verified: marker.verified,
  ...(marker.stamp === undefined ? {} : { stamp: marker.stamp }),
  spread: marker.spread,
  ...(marker.zones === undefined ? {} : { zones: marker.zones }),
  spare: marker.spare,
  search: marker.search,
  placements: marker.pieces.map((placed) => ({
    number: placed.number,
    piece: placed.piece.name,
    size: placed.piece.size,
    garment: placed.garment,
    mirrored: placed.mirrored,
    rotation: placed.rotation,
    x: placed.at[0],
    y: placed.at[1],
    ...(placed.fold === undefined ? {} : { fold: placed.fold }),
  })),
});
