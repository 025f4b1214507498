import type { CutPiece } from '../finish/types.js';
import { area } from '../geometry/polygon.js';
import type { ChartRow, SizeTruing } from '../grade/types.js';
import type { Consumption, Fabric, Marker } from '../lay/types.js';
import type { Unit } from '../units.js';
import { day } from './format.js';
import { type Purchase, purchases } from './purchase.js';
import type { FitRow, ReportData, ReportFile } from './types.js';

/** A marker without its polygons. Lengths mm, angles degrees. */
export interface MarkerJson {
  readonly name: string;
  readonly fabric: Fabric;
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
  readonly spare: Marker['spare'];
  readonly search: Marker['search'];
  readonly placements: readonly {
    readonly number: number;
    readonly piece: string;
    readonly size: string;
    readonly garment: string;
    readonly mirrored: boolean;
    readonly rotation: number;
    readonly x: number;
    readonly y: number;
  }[];
}

/** The report as plain data. Lengths mm, except in `buy` and `consumption`: metres, square metres, kilograms. */
export interface ReportJson {
  readonly style: string;
  /** Day, `YYYY-MM-DD`. */
  readonly date: string;
  /** Unit in which the report shows lengths; the figures here stay in mm. */
  readonly unit: Unit;
  readonly base: string;
  readonly sizes: readonly string[];
  readonly buy: readonly Purchase[];
  readonly consumption: readonly Consumption[];
  /** Plies by marker. */
  readonly plies: Readonly<Record<string, number>>;
  readonly sparePercent: number;
  readonly markers: readonly MarkerJson[];
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

/** The figures of the report for a machine: no functions, no drawings. */
export const reportJson = (data: ReportData): ReportJson => ({
  style: data.style,
  date: day(data.date),
  unit: data.unit,
  base: data.range.base,
  sizes: data.range.sizes.map((s) => s.size),
  buy: purchases(data),
  consumption: data.consumption,
  plies: data.plies ?? {},
  sparePercent: data.sparePercent ?? 0,
  markers: data.markers.map(markerJson),
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
  width: marker.width,
  length: marker.length,
  layers: marker.layers,
  gap: marker.options.gap,
  ratio: marker.ratio,
  efficiency: marker.efficiency,
  verified: marker.verified,
  ...(marker.stamp === undefined ? {} : { stamp: marker.stamp }),
  spare: marker.spare,
  search: marker.search,
  placements: marker.pieces.map(({ number, piece, garment, mirrored, rotation, at }) => ({
    number,
    piece: piece.name,
    size: piece.size,
    garment,
    mirrored,
    rotation,
    x: at[0],
    y: at[1],
  })),
});
