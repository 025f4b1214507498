import type { ChartRow, GrowthRow } from '../grade/index.js';
import { jumpsOf } from '../grade/index.js';
import type { OpeningFit, SizeFit } from '../style/index.js';
import { formatLength, type Unit } from '../units.js';
import { table } from './output.js';

/** The size chart: what each point of measure measures (`!` when out of tolerance), and how far it may be off. */
export function chartTable(chart: readonly ChartRow[], unit: Unit): string {
  const sizes = chart[0]?.cells.map((cell) => cell.size) ?? [];
  const rows = chart.map((row) => {
    const worst = Math.max(0, ...row.cells.map((cell) => Math.abs(cell.difference ?? 0)));
    const known = row.cells.some((cell) => cell.difference !== undefined);
    const lengths = hung(
      row.cells.map((c) => `${formatLength(c.measured, unit, { mark: false })}${c.within ? '' : '!'}`),
      '!',
    );
    const off = known ? [`${worst.toFixed(2)} mm`, `${row.tolerance.toFixed(1)} mm`] : ['', ''];
    return [row.measure, ...lengths, ...off];
  });
  return table([`measure (${unit})`, ...sizes, 'most off', 'allowed'], rows);
}

/** Growth into every size; a step that jumps carries a `*`. */
export function growthTable(rows: readonly GrowthRow[], unit: Unit): string {
  const sizes = rows[0]?.steps.map((step) => step.to) ?? [];
  const body = rows.map(({ measure, steps }) => {
    const cells = steps.map((s) => `${formatLength(s.growth, unit, { mark: false })}${s.jumps ? '*' : ''}`);
    return [measure, ...hung(cells, '*')];
  });
  return table([`growth (${unit})`, ...sizes.map((size) => `to ${size}`)], body);
}

/** Marks hang out so that the numbers of a line stay in their column. */
const hung = (cells: readonly string[], mark: string): string[] =>
  cells.some((c) => c.endsWith(mark)) ? cells.map((c) => (c.endsWith(mark) ? c : `${c} `)) : [...cells];

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

/** Ease and stretch used of each girth, the way over the head and the hand, a line for each size. */
export function fitTableText(fit: readonly SizeFit[], unit: Unit): string {
  const girths = [...new Set(fit.flatMap((f) => f.girths.map((g) => g.girth)))];
  const percent = (share: number) => `${(share * 100).toFixed(0)} %`;
  const opening = (o: OpeningFit | undefined) =>
    o
      ? [
          formatLength(o.opening, unit, { mark: false }),
          formatLength(o.around, unit, { mark: false }),
          `${percent(o.stretchUsed)} of ${percent(o.stretch)} (${o.limit})${o.within ? '' : ' !'}`,
        ]
      : ['', '', ''];
  const hands = fit.some((f) => f.hand !== undefined);
  const rows = fit.map(({ size, girths: own, neck, hand }) => {
    const cells = girths.map((name) => {
      const girth = own.find((g) => g.girth === name);
      if (!girth) return '';
      const used = girth.stretchUsed > 0 ? ` (stretch ${percent(girth.stretchUsed)})` : '';
      return `${formatLength(girth.ease, unit, { mark: false })}${used}${girth.within ? '' : ' !'}`;
    });
    return [size, ...cells, ...opening(neck), ...(hands ? opening(hand) : [])];
  });
  const head = girths.map((name) => `${name} ease`);
  const over = ['neck opens to', 'head', 'stretch for the head'];
  const through = hands ? ['wrist opens to', 'hand', 'stretch for the hand'] : [];
  return table([`fit (${unit})`, ...head, ...over, ...through], rows);
}
