import { escapeXml } from '../exchange/text.js';

/** Markup that is safe to insert; everything else is text and is escaped. */
export class Html {
  readonly source: string;

  constructor(source: string) {
    this.source = source;
  }
}

export type Part = Html | string | number | undefined | readonly Part[];

/** Joins markup; strings among `parts` are escaped. */
export function html(strings: TemplateStringsArray, ...parts: readonly Part[]): Html {
  return new Html(strings.map((text, i) => text + (i < parts.length ? render(parts[i]) : '')).join(''));
}

export interface Column {
  readonly head: Part;
  readonly numeric?: boolean;
}

/** A table that scrolls sideways on a narrow screen; the first cell of a row is its heading. */
export function table(
  columns: readonly Column[],
  rows: readonly (readonly Part[])[],
  caption?: string,
  total = false,
): Html {
  const kind = (i: number) => (columns[i]?.numeric ? new Html(' class="n"') : '');
  const head = columns.map((c, i) => html`<th scope="col"${kind(i)}>${c.head}</th>`);
  const body = rows.map(
    (row, at) =>
      html`<tr${total && at === rows.length - 1 ? new Html(' class="total"') : ''}>${row.map((cell, i) => (i === 0 ? html`<th scope="row">${cell}</th>` : html`<td${kind(i)}>${cell}</td>`))}</tr>\n`,
  );
  const title = caption ? html`<caption>${caption}</caption>` : '';
  return html`<div class="scroll"><table>${title}<thead><tr>${head}</tr></thead>\n<tbody>${body}</tbody></table></div>\n`;
}

/** A drawing with a caption; the drawing keeps a readable width and scrolls on a narrow screen. */
export const figure = (svg: string, caption: Part, kind: 'wide' | 'small' = 'wide'): Html =>
  html`<figure class="${kind}"><div class="scroll">${new Html(svg)}</div><figcaption>${caption}</figcaption></figure>\n`;

export const list = (items: readonly Part[]): Html =>
  html`<ul>${items.map((item) => html`<li>${item}</li>\n`)}</ul>\n`;

function render(part: Part): string {
  if (part === undefined) return '';
  if (part instanceof Html) return part.source;
  if (typeof part === 'string' || typeof part === 'number') return escapeXml(String(part));
  return part.map(render).join('');
}
