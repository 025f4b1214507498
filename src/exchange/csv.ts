import type { CutPiece } from '../finish/types.js';
import type { ChartRow, SizeTruing } from '../grade/types.js';
import type { Consumption, Marker } from '../lay/types.js';
import { toUnit, type Unit } from '../units.js';
import type { CutLineReport } from './cut-lines.js';
import { onFold } from './drawing/fold.js';
import { bundleFacts, bundleLabel, handOf, plyFace } from './drawing/marker.js';
import type { OutputFile } from './files.js';
import { short } from './numbers.js';
import { oneLine } from './text.js';

export type Cell = string | number | boolean | undefined;

/**
 * A table as RFC 4180 tells: comma between fields, CRLF after each record, fields with a comma, quote or line
 * break in quotes, quotes doubled. Numbers are written with a point and at most `decimals` decimals. Text that
 * a spreadsheet would run as a formula gets an apostrophe before it.
 *
 * @throws InputError on a number that is not finite.
 */
export const csv = (rows: readonly (readonly Cell[])[], decimals = 4): string =>
  rows.map((row) => `${row.map((cell) => field(cell, decimals)).join(',')}\r\n`).join('');

/** Measures of every size, one row per measure and size, lengths in `unit`. */
export function chartCsv(chart: readonly ChartRow[], unit: Unit): string {
  const head = ['measure', 'size', 'measured', 'expected', 'difference', 'tolerance', 'within', 'unit'];
  const rows = chart.flatMap((row) =>
    row.cells.map((cell) => [
      row.measure,
      cell.size,
      toUnit(cell.measured, unit),
      cell.expected === undefined ? undefined : toUnit(cell.expected, unit),
      cell.difference === undefined ? undefined : toUnit(cell.difference, unit),
      toUnit(row.tolerance, unit),
      cell.within,
      unit,
    ]),
  );
  return csv([head, ...rows]);
}

/** Every seam and join of every size; lengths in `unit`, joins in degrees. */
export function truingCsv(truing: readonly SizeTruing[], unit: Unit): string {
  const head = [
    'size',
    'kind',
    'name',
    'left',
    'right',
    'wanted',
    'difference',
    'tolerance',
    'matches',
    'unit',
  ];
  const rows = truing.flatMap(({ size, seams, joins }): Cell[][] => [
    ...seams.map((s) => [
      size,
      'seam',
      s.seam,
      ...[s.left, s.right, s.wanted, s.difference, s.tolerance].map((mm) => toUnit(mm, unit)),
      s.matches,
      unit,
    ]),
    ...joins.map((j) => [
      size,
      'join',
      j.join,
      undefined,
      undefined,
      0,
      j.degrees,
      j.tolerance,
      j.smooth,
      'degrees',
    ]),
  ]);
  return csv([head, ...rows]);
}

/** Fabric used by each marker and, in it, by each size: metres, square metres, kilograms of one ply. */
export function consumptionCsv(consumption: readonly Consumption[]): string {
  const head = [
    'marker',
    'fabric',
    'size',
    'garments',
    'marker length m',
    'ply length m',
    'roll length m',
    'area m2',
    'mass kg',
    'cost',
    'currency',
    'efficiency %',
    'utilisation %',
  ];
  const rows = consumption.flatMap((c): Cell[][] => [
    [
      c.marker,
      c.fabric,
      'all',
      c.garments,
      c.markerLength,
      c.plyLength,
      c.rollLength,
      c.area,
      c.mass,
      c.cost,
      c.currency,
      c.efficiency * 100,
      c.utilisation * 100,
    ],
    ...c.bySize.map((s) => [
      c.marker,
      c.fabric,
      s.size,
      s.garments,
      undefined,
      undefined,
      s.length,
      s.area,
      s.mass,
      s.cost,
      c.currency,
    ]),
  ]);
  return csv(rows.length > 0 ? [head, ...rows.map((row) => pad(row, head.length))] : [head]);
}

/** Where each piece of a marker lies: marker frame, mm and degrees. */
export function placementsCsv(marker: Marker): string {
  const head = [
    'number',
    'piece',
    'size',
    'garment',
    'fabric',
    'mirrored',
    'rotation',
    'x mm',
    'y mm',
    'on fold',
    'ply face',
  ];
  const face = plyFace(marker);
  const rows = marker.pieces.map((p) => [
    p.number,
    p.piece.name,
    p.piece.size,
    p.garment,
    p.piece.fabric,
    p.mirrored,
    p.rotation,
    p.at[0],
    p.at[1],
    onFold(p),
    face,
  ]);
  return csv([head, ...rows]);
}

/**
 * Every placed piece of markers with the whole text of its label, also where a small piece bears fewer words, and
 * how many pieces one ply gives there.
 *
 * @throws InputError when a piece has no outline or a coordinate of it is not finite.
 */
export function pieceListCsv(markers: readonly Marker[]): string {
  const head = [
    'marker',
    'number',
    'style',
    'piece',
    'size',
    'bundle',
    'hand',
    'ply face',
    'fabric',
    'pieces a ply',
    'label',
    'shown in full',
  ];
  const rows = markers.flatMap((marker) =>
    marker.pieces.map((placed): Cell[] => {
      const facts = bundleFacts(marker, placed);
      const shown = bundleLabel(marker, placed).lines.join(' ');
      return [
        marker.name,
        placed.number,
        marker.style,
        placed.piece.name,
        placed.piece.size,
        placed.garment,
        handOf(placed) || 'as drawn',
        plyFace(marker),
        placed.piece.fabric,
        onFold(placed) ? 1 : marker.layers,
        facts.join(', '),
        facts.every((fact) => shown.includes(fact)),
      ];
    }),
  );
  return csv([head, ...rows]);
}

/** What the cut lines of markers come to, a row each: counts, lengths in m, and what is wrong with them. */
export function cutLinesCsv(reports: readonly CutLineReport[]): string {
  const head = [
    'marker',
    'pieces',
    'closed lines',
    'lines from fold to fold',
    'cut length m',
    'gap mm',
    'shared length m',
    'pairs that share a line',
    'faults',
  ];
  const rows = reports.map((r): Cell[] => [
    r.marker,
    r.pieces,
    r.closed,
    r.foldToFold,
    r.length / 1000,
    r.gap,
    r.shared / 1000,
    r.sharedBy.length,
    r.faults.join('; '),
  ]);
  return csv([head, ...rows]);
}

/** What one garment takes. */
export function cutListCsv(pieces: readonly CutPiece[]): string {
  const head = ['piece', 'size', 'fabric', 'as drawn', 'mirrored', 'total'];
  const rows = pieces.map(({ name, size, fabric, counts }) => [
    name,
    size,
    fabric,
    counts.asDrawn,
    counts.mirrored,
    counts.asDrawn + counts.mirrored,
  ]);
  return csv([head, ...rows]);
}

/**
 * A table of this file with a last column that bears a stamp in every row, so that no row is copied without it.
 * Without a stamp, or where the column is there already, the table as it is.
 */
export function stampCsv(text: string, stamp: string | undefined): string {
  if (stamp === undefined) return text;
  const records = recordsOf(text);
  if (records[0]?.endsWith(`,${STAMP_HEAD}`)) return text;
  const mark = field(stamp, 0);
  return records.map((record, i) => `${record},${i === 0 ? STAMP_HEAD : mark}\r\n`).join('');
}

/** The same for the tables among files that are about to be written. */
export const stampTables = (files: readonly OutputFile[], stamp: string | undefined): OutputFile[] =>
  files.map((file) =>
    file.name.endsWith('.csv') && typeof file.content === 'string'
      ? { ...file, content: stampCsv(file.content, stamp) }
      : file,
  );

const STAMP_HEAD = 'warning';

/** Records without their line ends; a line break inside quotes belongs to its field. */
function recordsOf(text: string): string[] {
  const records: string[] = [];
  let from = 0;
  let quoted = false;
  for (let i = 0; i < text.length; i++) {
    if (text[i] === '"') quoted = !quoted;
    else if (text[i] === '\r' && text[i + 1] === '\n' && !quoted) {
      records.push(text.slice(from, i));
      from = i + 2;
    }
  }
  return from < text.length ? [...records, text.slice(from)] : records;
}

function field(cell: Cell, decimals: number): string {
  if (cell === undefined) return '';
  if (typeof cell === 'number') return short(cell, decimals);
  if (typeof cell === 'boolean') return cell ? 'yes' : 'no';
  const text = /^[=+\-@]/.test(cell) ? `'${oneLine(cell)}` : cell;
  return /[",\r\n]/.test(text) || text !== text.trim() ? `"${text.replaceAll('"', '""')}"` : text;
}

const pad = (row: readonly Cell[], width: number): Cell[] => [
  ...row,
  ...Array.from({ length: width - row.length }, () => undefined),
];
