import type { ChartRow } from '../grade/types.js';
import type { JoinCheck, SeamWalk } from '../pattern/walk.js';
import { joinAdvice, seamAdvice } from '../style/advice.js';
import { formatLength, type Unit } from '../units.js';
import {
  type Block,
  bad,
  bold,
  heading,
  type MarkedText,
  paragraph,
  small,
  type Text,
  table,
} from './document.js';
import { difference, plural } from './format.js';
import type { ReportData } from './types.js';

/** Every point of measure in every size: measured, and expected with the difference below it. */
export function chartBlocks(data: ReportData): Block[] {
  const sizes = data.range.sizes.map((s) => s.size);
  const rows = data.chart.map((row) => chartRow(row, sizes, data.unit));
  const off = data.chart.flatMap((row) =>
    row.cells.filter((c) => !c.within).map((c) => `${row.measure} ${c.size}`),
  );
  return [
    heading('Size chart'),
    verdict(off, 'Every measure is within its tolerance.', 'Outside tolerance'),
    table(
      [
        { head: `Measure (${data.unit})` },
        ...sizes.map((size) => ({ head: size === data.range.base ? `${size} (base)` : size, numeric: true })),
        { head: 'Tolerance', numeric: true },
      ],
      rows,
    ),
    paragraph(
      'Measured along the sewing lines, before shrinkage and allowances; what a band adds to a length is not in it. Below each figure: base + increments, and the difference in mm.',
    ),
  ];
}

/** Seams and joins of all sizes, worst first, with what to do. */
export function truingBlocks(data: ReportData): Block[] {
  const sizes = data.truing.map((t) => t.size);
  const seams = matrix(data.truing.map((t) => t.seams.map((s) => [s.seam, s] as const)));
  const joins = matrix(data.truing.map((t) => t.joins.map((j) => [j.join, j] as const)));
  const badSeams = data.truing.flatMap((t) =>
    t.seams.filter((s) => !s.matches).map((s) => `${s.seam} ${t.size}`),
  );
  const badJoins = data.truing.flatMap((t) =>
    t.joins.filter((j) => !j.smooth).map((j) => `${j.join} ${t.size}`),
  );
  const seamRows = worstFirst(seams, (s) => Math.abs(s.difference) / Math.max(s.tolerance, 1e-9)).map(
    ([name, cells]): Text[] => [
      name,
      ...cells.map((s) => (s ? mark(difference(s.difference), s.matches) : '')),
      tolerances(cells, 'mm'),
      seamVerdict(cells, data),
    ],
  );
  const joinRows = worstFirst(joins, (j) => Math.abs(j.degrees) / Math.max(j.tolerance, 1e-9)).map(
    ([name, cells]): Text[] => [
      name,
      ...cells.map((j) => (j ? mark(difference(j.degrees), j.smooth) : '')),
      tolerances(cells, '°'),
      joinVerdict(name, cells, sizes),
    ],
  );
  const columns = [
    ...sizes.map((head) => ({ head, numeric: true })),
    { head: 'Tolerance', numeric: true },
    { head: 'Verdict' },
  ];
  return [
    heading('Truing'),
    verdict(
      badSeams,
      `All ${plural(countOf(seams), 'seam')} match in every size.`,
      'Seams that do not match',
    ),
    ...(seamRows.length > 0
      ? [
          table([{ head: 'Seam' }, ...columns], seamRows, {
            caption: 'Seams: difference from the wanted length, mm',
          }),
        ]
      : []),
    verdict(
      badJoins,
      `All ${plural(countOf(joins), 'join')} run on smoothly.`,
      'Joins with a dip or a corner',
    ),
    ...(joinRows.length > 0
      ? [
          table([{ head: 'Join' }, ...columns], joinRows, {
            caption: 'Joins: degrees from a smooth line; minus is a dip',
          }),
        ]
      : []),
  ];
}

/** What a knit must pass to be put on. */
export function fitBlocks(data: ReportData): Block[] {
  if (!data.fit || data.fit.length === 0) return [];
  const missed = data.fit.filter((row) => !row.within).map((row) => `${row.check} ${row.size}`);
  const rows = [...data.fit]
    .sort((a, b) => Number(a.within) - Number(b.within))
    .map((row): Text[] => [
      row.check,
      row.size,
      formatLength(row.measured, data.unit),
      row.wanted,
      row.within ? 'good' : bad(row.advice ?? 'not met'),
    ]);
  const columns = ['Check', 'Size', 'Measured', 'Wanted', 'Verdict'].map((head) => ({ head }));
  return [heading('Fit'), verdict(missed, 'Every check of fit is met.', 'Not met'), table(columns, rows)];
}

function chartRow(row: ChartRow, sizes: readonly string[], unit: Unit): Text[] {
  const bySize = new Map(row.cells.map((cell) => [cell.size, cell]));
  const cells = sizes.map((size): Text => {
    const cell = bySize.get(size);
    if (!cell) return '';
    const measured = mark(formatLength(cell.measured, unit, { mark: false }), cell.within);
    if (cell.expected === undefined) return measured;
    const expected = formatLength(cell.expected, unit, { mark: false });
    const off = cell.difference ?? cell.measured - cell.expected;
    return [measured, small(`${expected}, ${difference(off)}`)];
  });
  return [row.measure, ...cells, `${formatTolerance(row.tolerance)} mm`];
}

function verdict(missed: readonly string[], good: string, head: string): Block {
  if (missed.length === 0) return paragraph(good, 'good');
  return paragraph([bold(`${head}:`), ` ${missed.join(', ')}.`], 'warn');
}

const mark = (text: string, good: boolean): string | MarkedText => (good ? text : bad(`${text} ✗`));

/** One row per name, one cell per size, in the order of sizes. */
function matrix<T>(sizes: readonly (readonly (readonly [string, T])[])[]): Map<string, (T | undefined)[]> {
  const rows = new Map<string, (T | undefined)[]>();
  sizes.forEach((entries, column) => {
    for (const [name, value] of entries) {
      const row = rows.get(name) ?? Array.from({ length: sizes.length }, () => undefined);
      row[column] = value;
      rows.set(name, row);
    }
  });
  return rows;
}

function worstFirst<T>(
  rows: ReadonlyMap<string, (T | undefined)[]>,
  badness: (value: T) => number,
): [string, (T | undefined)[]][] {
  const worst = (cells: readonly (T | undefined)[]) =>
    cells.reduce((most, cell) => (cell === undefined ? most : Math.max(most, badness(cell))), 0);
  return [...rows].sort(([, a], [, b]) => worst(b) - worst(a));
}

const countOf = (rows: ReadonlyMap<string, unknown>): number => rows.size;

const formatTolerance = (value: number): string => String(Number(value.toFixed(2)));

function tolerances(cells: readonly ({ tolerance: number } | undefined)[], unit: string): string {
  const known = [...new Set(cells.flatMap((cell) => (cell ? [formatTolerance(cell.tolerance)] : [])))];
  return known.map((t) => `${t} ${unit}`).join(' / ');
}

function seamVerdict(cells: readonly (SeamWalk | undefined)[], { range, truing, unit }: ReportData): Text {
  const wrong = cells.flatMap((cell, i) => (cell && !cell.matches ? [{ cell, size: truing[i]!.size }] : []));
  if (wrong.length === 0) return 'matches';
  const worst = wrong.reduce((a, b) => (Math.abs(b.cell.difference) > Math.abs(a.cell.difference) ? b : a));
  const { seam: name, left, wanted, difference: off } = worst.cell;
  const lengths = `${formatLength(left, unit)} sewn to ${formatLength(wanted, unit)}`;
  const base = range.sizes.find((s) => s.size === range.base)?.pattern;
  const seam = base?.seams.find((s) => s.name === name);
  const inBase = wrong.some((w) => w.size === range.base);
  return [
    bad(`first side ${off > 0 ? 'too long' : 'too short'}`),
    ` by ${Math.abs(off).toFixed(1)} mm in ${worst.size} (${lengths})`,
    base && seam ? `: ${seamAdvice(seam, base, { inBase })}` : '',
  ];
}

function joinVerdict(
  name: string,
  cells: readonly (JoinCheck | undefined)[],
  sizes: readonly string[],
): Text {
  const wrong = cells.flatMap((cell, i) => (cell && !cell.smooth ? [{ cell, size: sizes[i]! }] : []));
  if (wrong.length === 0) return 'smooth';
  const worst = wrong.reduce((a, b) => (Math.abs(b.cell.degrees) > Math.abs(a.cell.degrees) ? b : a));
  const shape = worst.cell.degrees < 0 ? 'dip' : 'corner';
  return [
    bad(shape),
    ` of ${Math.abs(worst.cell.degrees).toFixed(1)}° in ${worst.size}: ${joinAdvice(name)}`,
  ];
}
