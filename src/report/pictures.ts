import { EDGES, handOf, markerNote, warningsOn } from '../exchange/drawing/marker.js';
import type { Marker, PlacedPiece } from '../lay/types.js';
import { type Block, figure, heading, paragraph, type Text, table } from './document.js';
import { plural } from './format.js';
import { pliesOf } from './laid.js';
import type { ReportData } from './types.js';

/** The markers: a picture each, with a number on every piece, and which numbers make one garment. */
export function markerBlocks(data: ReportData): Block[] {
  if (data.markers.length === 0) return [];
  const one = (marker: Marker): Block[] => {
    const plies = pliesOf(data, marker.name);
    const facts = markerNote(marker, data.unit).filter((fact) => !warningsOn(marker).includes(fact));
    const laid = plies > 1 ? `. Lay ${plural(plies, 'ply', 'plies')}` : '';
    return [
      heading(marker.name, 3),
      figure({ of: 'marker', marker }, `${facts.slice(1).join('. ')}${laid}. ${EDGES[marker.spread.mode]}`),
    ];
  };
  return [
    heading('Markers'),
    paragraph(
      'The lay starts at the left; a long one goes on in the rows below. Fill colours tell sizes apart, by the key below each picture.',
      'lead',
    ),
    ...data.markers.flatMap(one),
  ];
}

/** Which numbers of the pictures belong together. */
export const garmentBlocks = (markers: readonly Marker[]): Block[] =>
  markers.map((marker) =>
    table(
      [{ head: 'Garment' }, { head: 'Numbers in the picture' }],
      garmentsOf(marker).map(({ garment, pieces }): Text[] => [garment, pieces.join(', ')]),
      { caption: `Which pieces make which garment: ${marker.name}` },
    ),
  );

interface GarmentPlace {
  readonly garment: string;
  /** Number, name and hand of each piece. */
  readonly pieces: readonly string[];
  readonly placed: readonly PlacedPiece[];
}

/** The pieces of every garment of a marker, in order. */
export function garmentsOf(marker: Marker): GarmentPlace[] {
  const rows = new Map<string, { garment: string; pieces: string[]; placed: PlacedPiece[] }>();
  for (const placed of marker.pieces) {
    const { garment, number, piece } = placed;
    const hand = handOf(placed) === '' ? '' : ` (${handOf(placed)})`;
    const row = rows.get(garment) ?? { garment, pieces: [], placed: [] };
    row.pieces.push(`${number} ${piece.name}${hand}`);
    row.placed.push(placed);
    rows.set(garment, row);
  }
  const sizeOf = ({ placed }: GarmentPlace) => marker.sizes.indexOf(placed[0]!.piece.size);
  return [...rows.values()].sort(
    (a, b) => sizeOf(a) - sizeOf(b) || a.garment.localeCompare(b.garment, 'en', { numeric: true }),
  );
}

/** Pieces of the base size and how each grows. */
export function patternBlocks(data: ReportData): Block[] {
  if (data.pieces.length === 0) return [];
  const names = [...new Set(data.range.sizes.flatMap((s) => s.pattern.pieces.map((p) => p.name)))];
  return [
    heading('Pattern'),
    figure(
      { of: 'pieces', pieces: data.pieces },
      `Size ${data.range.base}, ready to cut. Solid: cut line, allowances included. Dashed: sewing line.`,
    ),
    {
      kind: 'pair',
      figures: names.map((piece) =>
        figure({ of: 'size nest', range: data.range, piece }, `${piece} in all sizes`, 'small'),
      ),
    },
  ];
}
