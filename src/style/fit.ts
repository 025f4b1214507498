import type { SizeRange } from '../grade/types.js';
import { measure, usedLength } from '../pattern/measure.js';
import type { Pattern, Piece, Seam } from '../pattern/model.js';
import { formatLength, type Unit } from '../units.js';
import type { Style } from './style.js';

/** One check of fit in one size; lengths mm. */
export interface FitRow {
  readonly size: string;
  readonly check: string;
  readonly measured: number;
  readonly wanted: string;
  readonly within: boolean;
  readonly advice?: string;
}

/** Stretch of a knit of which neither piece nor fabric says anything: none is counted on. */
const UNKNOWN_STRETCH = 0;

/**
 * Ease against the body and the way over the head, in every size that the body chart knows.
 *
 * - A girth passes when the garment stretched as far as its fabric goes reaches round the body
 *   (garment x (1 + stretch) >= body: negative-ease check of trade writing).
 * - The neck opening is the lesser of the stretched neckline and the stretched band; it must pass the head.
 */
export function fitRows(style: Style, range: SizeRange, unit: Unit): FitRow[] {
  const chart = style.chart;
  if (!chart) return [];
  return range.sizes.flatMap(({ size, pattern }) => {
    const body = chart.sizes[size];
    if (!body) return [];
    const rows: FitRow[] = [];
    const girth = (name: string, around: number) => {
      const point = pattern.measures.find((m) => m.name === name);
      if (point)
        rows.push(
          girthRow(size, name, measure(pattern, point), around, stretchOf(style, pattern, 'front'), unit),
        );
    };
    girth('chest girth', body.bust);
    girth('hem girth', body.hip);
    girth('bicep', body.bicep);
    rows.push(...neckRow(style, size, pattern, body.head, unit));
    return rows;
  });
}

function girthRow(
  size: string,
  name: string,
  garment: number,
  body: number,
  stretch: number,
  unit: Unit,
): FitRow {
  const reach = garment * (1 + stretch);
  const within = reach >= body;
  return {
    size,
    check: `${name}: ease over the body`,
    measured: garment - body,
    wanted: `not below ${formatLength(body / (1 + stretch) - body, unit)} (stretch ${(stretch * 100).toFixed(0)} %)`,
    within,
    ...(within ? {} : { advice: 'widen the garment or use a fabric that stretches more' }),
  };
}

function neckRow(style: Style, size: string, pattern: Pattern, head: number, unit: Unit): FitRow[] {
  const neckline = pattern.measures.find((m) => m.name === 'neckline');
  if (!neckline) return [];
  const stretched = measure(pattern, neckline) * (1 + stretchOf(style, pattern, 'front'));
  const band = pattern.seams.find((seam) => seam.right.some((use) => use.edge === 'neckline'));
  const opening = band ? Math.min(stretched, stretchedBand(style, pattern, band)) : stretched;
  const within = opening >= head;
  return [
    {
      size,
      check: 'neck opening, stretched',
      measured: opening,
      wanted: `at least the head, ${formatLength(head, unit)}`,
      within,
      ...(within
        ? {}
        : { advice: 'widen the neckline, or make the band longer or of a fabric that stretches more' }),
    },
  ];
}

function stretchedBand(style: Style, pattern: Pattern, band: Seam): number {
  return usedLength(pattern, band.left) * (1 + stretchOf(style, pattern, band.left[0]!.piece));
}

/** What a piece is marked with, else what its fabric is said to stretch; as a share. */
function stretchOf(style: Style, pattern: Pattern, name: string): number {
  const piece: Piece | undefined = pattern.pieces.find((p) => p.name === name);
  const percent =
    piece?.stretch?.percent ?? (piece && style.fabrics.get(piece.fabric)?.stretchPercent) ?? UNKNOWN_STRETCH;
  return percent / 100;
}
