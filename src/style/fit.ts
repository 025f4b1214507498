import type { BodyMeasurements } from '../draft/body.js';
import type { BodyChart } from '../grade/index.js';
import type { Ladder } from '../grade/ladder.js';
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

/** A girth of the garment against the body's in one size; lengths mm, stretch as a share. */
export interface GirthFit {
  readonly girth: string;
  readonly body: number;
  readonly garment: number;
  /** Garment less body; negative when the garment must stretch. */
  readonly ease: number;
  /** What the garment must stretch to go round the body; 0 when it need not. */
  readonly stretchUsed: number;
  readonly stretch: number;
  readonly within: boolean;
}

/** The way over the head in one size; lengths mm, stretch as a share. */
export interface NeckFit {
  readonly head: number;
  /** The lesser of the stretched neckline and the stretched band. */
  readonly opening: number;
  readonly limit: 'neckline' | 'band';
  /** Relaxed length of what limits, and what it must stretch to pass the head. */
  readonly relaxed: number;
  readonly stretchUsed: number;
  readonly stretch: number;
  readonly within: boolean;
}

export interface SizeFit {
  readonly size: string;
  readonly girths: readonly GirthFit[];
  readonly neck?: NeckFit;
}

/** Stretch of a knit of which neither piece nor fabric says anything: none is counted on. */
const UNKNOWN_STRETCH = 0;

/** Points of measure that go round the body, what they go round, and the piece whose stretch counts. */
const GIRTHS: readonly { girth: string; body: keyof BodyMeasurements; piece: string; checked: boolean }[] = [
  { girth: 'chest girth', body: 'bust', piece: 'front', checked: true },
  { girth: 'waist girth', body: 'waist', piece: 'front', checked: false },
  { girth: 'hem girth', body: 'hip', piece: 'front', checked: true },
  { girth: 'bicep', body: 'bicep', piece: 'sleeve', checked: true },
  // The sleeve's own lower end; a cuff sewn to it is shorter.
  { girth: 'sleeve hem', body: 'wrist', piece: 'sleeve', checked: false },
];

/**
 * Fit of every size that the body chart knows: ease over the body, what the fabric must stretch for it, and
 * the way over the head.
 *
 * - A girth passes when the garment stretched as far as its fabric goes reaches round the body
 *   (garment x (1 + stretch) >= body: negative-ease check of trade writing).
 * - The neck opening is the lesser of the stretched neckline and the stretched band; it must pass the head.
 *
 * A half size is measured against the body between its neighbours' bodies.
 */
export function fitTable(style: Style, range: SizeRange): SizeFit[] {
  const chart = style.chart;
  if (!chart) return [];
  return range.sizes.flatMap(({ size, pattern }): SizeFit[] => {
    const body = bodyOf(chart, style.grade, size);
    if (!body) return [];
    const girths = GIRTHS.flatMap(({ girth, body: around, piece }): GirthFit[] => {
      const point = pattern.measures.find((m) => m.name === girth);
      if (!point) return [];
      const garment = measure(pattern, point);
      const stretch = stretchOf(style, pattern, piece);
      return [girthFit(girth, garment, body[around], stretch)];
    });
    const neck = neckFit(style, pattern, body.head);
    return [{ size, girths, ...(neck ? { neck } : {}) }];
  });
}

/** The checks of the fit table that a style must pass, in words: chest, hem, bicep and the head. */
export function fitRows(style: Style, range: SizeRange, unit: Unit): FitRow[] {
  const checked = new Set(GIRTHS.filter((g) => g.checked).map((g) => g.girth));
  return fitTable(style, range).flatMap(({ size, girths, neck }) => [
    ...girths.filter((fit) => checked.has(fit.girth)).map((fit) => girthRow(size, fit, unit)),
    ...(neck ? [neckRow(size, neck, unit)] : []),
  ]);
}

/** The body of a size; of a half size, between those of its neighbours. */
export function bodyOf(chart: BodyChart, ladder: Ladder, size: string): BodyMeasurements | undefined {
  const known = chart.sizes[size];
  const half = ladder.halves?.[size];
  if (known || !half) return known;
  const [low, high] = [chart.sizes[half.from], chart.sizes[half.to]];
  if (!low || !high) return undefined;
  const between = Object.entries(low).map(([name, mm]: [string, number]) => {
    const above = high[name as keyof BodyMeasurements];
    return [name, mm + (above - mm) * half.share];
  });
  return Object.fromEntries(between) as unknown as BodyMeasurements;
}

/** Ease, and the stretch that a garment girth needs to go round a body girth. */
export function girthFit(girth: string, garment: number, body: number, stretch: number): GirthFit {
  return {
    girth,
    body,
    garment,
    ease: garment - body,
    stretchUsed: stretchNeeded(garment, body),
    stretch,
    within: garment * (1 + stretch) >= body,
  };
}

const stretchNeeded = (relaxed: number, around: number): number => Math.max(0, around / relaxed - 1);

function neckFit(style: Style, pattern: Pattern, head: number): NeckFit | undefined {
  const point = pattern.measures.find((m) => m.name === 'neckline');
  if (!point) return undefined;
  const parts = [
    {
      limit: 'neckline' as const,
      relaxed: measure(pattern, point),
      stretch: stretchOf(style, pattern, 'front'),
    },
  ];
  const band: Seam | undefined = pattern.seams.find((s) => s.right.some((use) => use.edge === 'neckline'));
  const limits = band
    ? [
        ...parts,
        {
          limit: 'band' as const,
          relaxed: usedLength(pattern, band.left),
          stretch: stretchOf(style, pattern, band.left[0]!.piece),
        },
      ]
    : parts;
  const openings = limits.map((l) => ({ ...l, opening: l.relaxed * (1 + l.stretch) }));
  const least = openings.reduce((a, b) => (b.opening < a.opening ? b : a));
  return {
    head,
    ...least,
    stretchUsed: stretchNeeded(least.relaxed, head),
    within: least.opening >= head,
  };
}

function girthRow(size: string, { girth, body, ease, stretch, within }: GirthFit, unit: Unit): FitRow {
  return {
    size,
    check: `${girth}: ease over the body`,
    measured: ease,
    wanted: `not below ${formatLength(body / (1 + stretch) - body, unit)} (stretch ${(stretch * 100).toFixed(0)} %)`,
    within,
    ...(within ? {} : { advice: 'widen the garment or use a fabric that stretches more' }),
  };
}

function neckRow(size: string, { head, opening, within }: NeckFit, unit: Unit): FitRow {
  return {
    size,
    check: 'neck opening, stretched',
    measured: opening,
    wanted: `at least the head, ${formatLength(head, unit)}`,
    within,
    ...(within
      ? {}
      : { advice: 'widen the neckline, or make the band longer or of a fabric that stretches more' }),
  };
}

/** What a piece is marked with, else what its fabric is said to stretch; as a share. */
function stretchOf(style: Style, pattern: Pattern, name: string): number {
  const piece: Piece | undefined = pattern.pieces.find((p) => p.name === name);
  const percent =
    piece?.stretch?.percent ?? (piece && style.fabrics.get(piece.fabric)?.stretchPercent) ?? UNKNOWN_STRETCH;
  return percent / 100;
}
