import type { ChartRow, GrowthRow } from '../grade/index.js';
import { jumpsOf } from '../grade/index.js';
import type { SizeFit } from '../style/index.js';
import { formatLength, type Unit } from '../units.js';
import { table } from './output.js';

/** The size chart: what each point of measure measures, and how far it is from what it should. */
export function chartTable(chart: readonly ChartRow[], unit: Unit): string {
  const sizes = chart[0]?.cells.map((cell) => cell.size) ?? [];
  const rows = chart.map((row) => {
    const worst = Math.max(0, ...row.cells.map((cell) => Math.abs(cell.difference ?? 0)));
    const known = row.cells.some((cell) => cell.difference !== undefined);
    const lengths = row.cells.map((cell) => formatLength(cell.measured, unit, { mark: false }));
    return [row.measure, ...lengths, known ? `${worst.toFixed(2)} mm` : ''];
  });
  return table([`measure (${unit})`, ...sizes, 'most off'], rows);
}

/** Growth into every size; a step that jumps carries a `*`. */
export function growthTable(rows: readonly GrowthRow[], unit: Unit): string {
  const sizes = rows[0]?.steps.map((step) => step.to) ?? [];
  const body = rows.map(({ measure, steps }) => {
    const cells = steps.map((s) => `${formatLength(s.growth, unit, { mark: false })}${s.jumps ? '*' : ''}`);
    // Stars are hung out so that the numbers stay in their column.
    const hung = steps.some((s) => s.jumps) ? cells.map((c) => (c.endsWith('*') ? c : `${c} `)) : cells;
    return [measure, ...hung];
  });
  return table([`growth (${unit})`, ...sizes.map((size) => `to ${size}`)], body);
}

const WHY = {
  stated: 'as the increments say',
  unstated: 'which no increment says: look at the rules and points of this measure',
  follows: 'it follows from other measures',
} as const;

/** One line for every step that jumps. */
export function jumpNotes(rows: readonly GrowthRow[], unit: Unit): string[] {
  return jumpsOf(rows).map((jump) => {
    const [now, before] = [jump.perStep, jump.before].map((mm) => formatLength(mm, unit));
    return `${jump.measure} grows by ${now} a size from ${jump.from} to ${jump.to}, after ${before}; ${WHY[jump.cause!]}`;
  });
}

/** Ease and stretch used of each girth, and the way over the head, a line for each size. */
export function fitTableText(fit: readonly SizeFit[], unit: Unit): string {
  const girths = [...new Set(fit.flatMap((f) => f.girths.map((g) => g.girth)))];
  const percent = (share: number) => `${(share * 100).toFixed(0)} %`;
  const rows = fit.map(({ size, girths: own, neck }) => {
    const cells = girths.map((name) => {
      const girth = own.find((g) => g.girth === name);
      if (!girth) return '';
      const used = girth.stretchUsed > 0 ? ` (stretch ${percent(girth.stretchUsed)})` : '';
      return `${formatLength(girth.ease, unit, { mark: false })}${used}${girth.within ? '' : ' !'}`;
    });
    const over = neck
      ? [
          formatLength(neck.opening, unit, { mark: false }),
          formatLength(neck.head, unit, { mark: false }),
          `${percent(neck.stretchUsed)} of ${percent(neck.stretch)} (${neck.limit})${neck.within ? '' : ' !'}`,
        ]
      : ['', '', ''];
    return [size, ...cells, ...over];
  });
  const head = girths.map((name) => `${name} ease`);
  return table([`fit (${unit})`, ...head, 'neck opens to', 'head', 'stretch for the head'], rows);
}
