import { type FaultMark, faultsSvg } from '../exchange/svg-faults.js';
import type { SizeRange } from '../grade/types.js';
import type { Verdict, VerdictKind } from '../style/verdicts.js';
import { figure, Html, html, type Part, table } from './html.js';
import { CSS } from './style.js';

export interface CheckPage {
  readonly style: string;
  readonly verdicts: readonly Verdict[];
  readonly range: SizeRange;
  /** What the alterations measured, a line each. */
  readonly notes: readonly string[];
}

const HEADS: Readonly<Record<VerdictKind, string>> = {
  seam: 'Seams',
  join: 'Joins',
  curve: 'Curves',
  armholes: 'Armholes',
  cap: 'Sleeve cap',
  measure: 'Size chart',
  fit: 'Fit',
};

/** Sizes that are drawn when something is wrong: the worst ones, so many at the most. */
const MOST_DRAWN = 3;

/** The check of a style as one HTML page: what is wrong first, drawn and numbered, then every verdict. */
export function checkHtml({ style, verdicts, range, notes }: CheckPage): string {
  const wrong = verdicts.filter((v) => v.state !== 'good');
  const stops = wrong.filter((v) => v.state === 'stop').length;
  const said =
    wrong.length === 0
      ? html`<p class="good">Every seam sews in every size, every join is smooth, and every other check is met.</p>`
      : html`<p class="warn">${stops > 0 ? `${stops} of these ${stops === 1 ? 'stops' : 'stop'} the style from being laid.` : 'None of these stops the style from being laid.'}</p>`;
  const page = html`<!doctype html>
<html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1">
<title>${style}: check</title><style>${trusted(CSS)}</style></head><body>
<h1>${style}: check</h1>
<p class="lead">Sizes ${range.sizes.map((s) => s.size).join(', ')}; base ${range.base}.</p>
${said}
${wrong.length > 0 ? wrongTable(wrong) : ''}
${drawings(wrong, range)}
${(Object.keys(HEADS) as VerdictKind[]).map((kind) => section(kind, verdicts))}
${notes.length > 0 ? html`<h2>Steps</h2>\n<ul>${notes.map((note) => html`<li>${note}</li>\n`)}</ul>` : ''}
</body></html>
`;
  return page.source;
}

/** Faults are numbered in the order of the table; the drawings use the same numbers. */
function wrongTable(wrong: readonly Verdict[]): Html {
  const rows = wrong.map((v, i): Part[] => [
    String(i + 1),
    v.subject,
    html`<span class="bad">${v.word}</span>`,
    v.sizes.join(', '),
    v.found,
    v.advice ?? '',
  ]);
  const heads = ['No.', 'What', 'Verdict', 'Sizes', 'Found', 'What to do'].map((head) => ({ head }));
  return html`<h2>What is wrong</h2>\n${table(heads, rows)}`;
}

function drawings(wrong: readonly Verdict[], range: SizeRange): Html[] {
  const bySize = range.sizes
    .map(({ size, pattern }) => ({
      size,
      pattern,
      marks: wrong.flatMap((verdict, i) =>
        verdict.marks
          .filter((mark) => mark.size === size)
          .map(({ size: _, ...mark }): FaultMark => ({ ...mark, number: i + 1 })),
      ),
    }))
    .filter(({ marks }) => marks.length > 0);
  const base = bySize.filter(({ size }) => size === range.base);
  const rest = bySize
    .filter(({ size }) => size !== range.base)
    .sort((a, b) => b.marks.length - a.marks.length);
  return [...base, ...rest]
    .slice(0, MOST_DRAWN)
    .map(({ size, pattern, marks }) =>
      figure(
        faultsSvg(pattern, marks, `Faults in size ${size}`),
        `Size ${size}: numbers as in the table.`,
        'small',
      ),
    );
}

function section(kind: VerdictKind, verdicts: readonly Verdict[]): Html | string {
  const own = verdicts.filter((v) => v.kind === kind);
  if (own.length === 0) return '';
  const rows = own.map((v): Part[] => [
    v.subject,
    v.state === 'good' ? v.word : html`<span class="bad">${v.word}</span>`,
    v.found,
  ]);
  const heads = [HEADS[kind].replace(/s$/, ''), 'Verdict', 'Found (worst size)'].map((head) => ({ head }));
  return html`<h2>${HEADS[kind]}</h2>\n${table(heads, rows)}`;
}

/** The style sheet is ours and holds no markup. */
const trusted = (text: string): Html => new Html(text);
