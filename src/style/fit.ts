import type { BodyMeasurements } from '../draft/body.js';
import type { BodyChart } from '../grade/index.js';
import type { Ladder } from '../grade/ladder.js';
import type { SizeRange } from '../grade/types.js';
import { measure, usedLength } from '../pattern/measure.js';
import type { Pattern, Piece } from '../pattern/model.js';
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

/** An opening that a part of the body must pass: the neck over the head, a sleeve over the hand; lengths mm. */
export interface OpeningFit {
  /** Girth of the head or the hand. */
  readonly around: number;
  /** The lesser of the stretched edge and the stretched band on it. */
  readonly opening: number;
  /** What limits it: `neckline`, `sleeve hem`, or the name of the band. */
  readonly limit: string;
  /** Relaxed length of what limits, and what it must stretch to pass; shares. */
  readonly relaxed: number;
  readonly stretchUsed: number;
  readonly stretch: number;
  readonly within: boolean;
}

export interface SizeFit {
  readonly size: string;
  readonly girths: readonly GirthFit[];
  readonly neck?: OpeningFit;
  /** Only where the body chart has hands. */
  readonly hand?: OpeningFit;
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

interface Opening {
  readonly title: string;
  readonly body: 'head' | 'hand';
  /** Point of measure of the edge itself; the edge that a band is sewn to; the piece whose stretch counts. */
  readonly measure: string;
  readonly edge: string;
  readonly piece: string;
  readonly advice: string;
}

const NECK: Opening = {
  title: 'neck opening',
  body: 'head',
  measure: 'neckline',
  edge: 'neckline',
  piece: 'front',
  advice: 'widen the neckline, or make the band longer or of a fabric that stretches more',
};

const WRIST: Opening = {
  title: 'wrist opening',
  body: 'hand',
  measure: 'sleeve hem',
  edge: 'wrist',
  piece: 'sleeve',
  advice: 'widen the lower end of the sleeve, or make the cuff longer or of a fabric that stretches more',
};

/**
 * Fit of every size that the body chart knows: ease over the body, what the fabric must stretch for it, and
 * the way over the head.
 *
 * - A girth passes when the garment stretched as far as its fabric goes reaches round the body
 *   (garment x (1 + stretch) >= body: negative-ease check of trade writing).
 * - The neck opening is the lesser of the stretched neckline and the stretched band; it must pass the head.
 *   The same holds for the lower end of the sleeve and its cuff, and the hand.
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
    const neck = openingFit(style, pattern, NECK, body.head);
    const around = columnOf(chart, 'hand', style.grade, size);
    const hand = around === undefined ? undefined : openingFit(style, pattern, WRIST, around);
    return [{ size, girths, ...(neck ? { neck } : {}), ...(hand ? { hand } : {}) }];
  });
}

/** The checks of the fit table that a style must pass, in words: chest, hem, bicep, the head and the hand. */
export function fitRows(style: Style, range: SizeRange, unit: Unit): FitRow[] {
  const checked = new Set(GIRTHS.filter((g) => g.checked).map((g) => g.girth));
  return fitTable(style, range).flatMap(({ size, girths, neck, hand }) => [
    ...girths.filter((fit) => checked.has(fit.girth)).map((fit) => girthRow(size, fit, unit)),
    ...(neck ? [openingRow(size, neck, NECK, unit)] : []),
    ...(hand ? [openingRow(size, hand, WRIST, unit)] : []),
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

/** A further column of the chart in one size, mm; of a half size, between its neighbours. */
function columnOf(chart: BodyChart, name: string, ladder: Ladder, size: string): number | undefined {
  const column = chart.more[name];
  const half = ladder.halves?.[size];
  if (!half || column?.[size] !== undefined) return column?.[size];
  const [low, high] = [column?.[half.from], column?.[half.to]];
  return low === undefined || high === undefined ? undefined : low + (high - low) * half.share;
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

function openingFit(
  style: Style,
  pattern: Pattern,
  { measure: name, edge, piece }: Opening,
  around: number,
): OpeningFit | undefined {
  const point = pattern.measures.find((m) => m.name === name);
  if (!point) return undefined;
  const own = { limit: name, relaxed: measure(pattern, point), stretch: stretchOf(style, pattern, piece) };
  const bands = pattern.seams
    .filter((seam) => seam.right.some((use) => use.edge === edge))
    .map((seam) => ({
      limit: seam.left[0]!.piece,
      relaxed: usedLength(pattern, seam.left),
      stretch: stretchOf(style, pattern, seam.left[0]!.piece),
    }));
  const [first, ...rest] = [own, ...bands].map((l) => ({ ...l, opening: l.relaxed * (1 + l.stretch) }));
  const least = rest.reduce((a, b) => (b.opening < a.opening ? b : a), first!);
  return {
    around,
    ...least,
    stretchUsed: stretchNeeded(least.relaxed, around),
    within: least.opening >= around,
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

function openingRow(
  size: string,
  { around, opening, within }: OpeningFit,
  what: Opening,
  unit: Unit,
): FitRow {
  return {
    size,
    check: `${what.title}, stretched`,
    measured: opening,
    wanted: `at least the ${what.body}, ${formatLength(around, unit)}`,
    within,
    ...(within ? {} : { advice: what.advice }),
  };
}

/** What a piece is marked with, else what its fabric is said to stretch; as a share. */
function stretchOf(style: Style, pattern: Pattern, name: string): number {
  // A sleeve in two pieces is front-sleeve and back-sleeve.
  const piece: Piece | undefined =
    pattern.pieces.find((p) => p.name === name) ?? pattern.pieces.find((p) => p.name.endsWith(`-${name}`));
  const percent =
    piece?.stretch?.percent ?? (piece && style.fabrics.get(piece.fabric)?.stretchPercent) ?? UNKNOWN_STRETCH;
  return percent / 100;
}
