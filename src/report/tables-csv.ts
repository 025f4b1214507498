import { type Cell, csv } from '../exchange/csv.js';
import { fabricsOf, laysOf, purchases, usesBySize } from './laid.js';
import type { ReportData } from './types.js';

/** What to buy, one row per fabric and colour: metres, square metres, kilograms. @throws as `purchases`. */
export function purchaseCsv(data: ReportData): string {
  const head = [
    'fabric',
    'colour',
    'garments',
    'plies',
    'pieces m2',
    'markers m',
    'spread m',
    'off the roll m',
    'with spare m',
    'bought m',
    'bought m2',
    'bought kg',
    'rolls',
    'roll length m',
    'left over m',
    'cost',
    'currency',
  ];
  const rows = purchases(data).map((p): Cell[] => [
    p.fabric,
    p.colour,
    p.garments,
    p.plies,
    p.pieces,
    p.markers.length,
    p.spread.length,
    p.drawn.length,
    p.needed.length,
    p.bought.length,
    p.bought.area,
    p.bought.mass,
    p.rolls?.rolls,
    p.rolls?.rollLength,
    p.rolls?.remnants,
    p.bought.cost,
    p.currency,
  ]);
  return csv([head, ...rows]);
}

/** Cloth off the roll by fabric, colour and size, the sizes from small to large: metres, square metres, kilograms. */
export function usesCsv(data: ReportData): string {
  const head = [
    'fabric',
    'colour',
    'size',
    'garments',
    'off the roll m',
    'area m2',
    'mass kg',
    'cost',
    'currency',
  ];
  const fabrics = fabricsOf(data);
  const currencyOf = (name: string) => fabrics.find((f) => f.name === name)?.currency;
  const rows = usesBySize(data).map((u): Cell[] => [
    u.fabric,
    u.colour,
    u.size,
    u.garments,
    u.length,
    u.area,
    u.mass,
    u.cost,
    currencyOf(u.fabric),
  ]);
  return csv([head, ...rows]);
}

/** The lays, one row per lay and colour. */
export function laysCsv(data: ReportData): string {
  const head = ['lay', 'fabric', 'marker', 'colour', 'plies', 'ply length m', 'garments'];
  const rows = laysOf(data).flatMap((lay) => {
    const used = data.consumption.find((c) => c.marker === lay.marker && c.fabric === lay.fabric);
    return lay.plies.map((p): Cell[] => [
      lay.number,
      lay.fabric,
      lay.marker,
      p.colour,
      p.plies,
      used?.plyLength,
      (used?.garments ?? 0) * p.plies,
    ]);
  });
  return csv([head, ...rows]);
}
