import { sizesIn } from '../exchange/drawing/size-key.js';
import { markerPictureSvg, piecesSvg, sizeNestSvg } from '../exchange/svg.js';
import {
  type Block,
  type Document,
  type Figure,
  type Picture,
  partsOf,
  type Table,
  type Text,
} from './document.js';
import { figure as figureHtml, Html, html, list as listHtml, type Part, table as tableHtml } from './html.js';
import { CSS } from './style.js';

/**
 * A document as one HTML file that needs no network and runs nothing; well formed as XML too. All text is
 * escaped. The same document gives the same bytes.
 *
 * @throws InputError when a coordinate of a picture is not finite.
 */
export function documentHtml(document: Document): string {
  const page = html`<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8"/>
<meta name="viewport" content="width=device-width, initial-scale=1"/>
<title>${document.title}</title>
<style>${new Html(CSS)}</style>
</head>
<body>
${document.blocks.map(blockHtml)}</body>
</html>
`;
  return page.source;
}

function blockHtml(block: Block): Html {
  switch (block.kind) {
    case 'stamp':
      return html`<p class="stamp">${block.text}</p>\n`;
    case 'heading':
      return new Html(`<h${block.level}>${html`${block.text}`.source}</h${block.level}>\n`);
    case 'paragraph':
      return html`<p${block.tone ? new Html(` class="${block.tone}"`) : ''}>${textHtml(block.text)}</p>\n`;
    case 'list': {
      const items = listHtml(block.items.map(textHtml));
      return block.warn === undefined
        ? items
        : html`<div class="warn"><b>${block.warn}</b>\n${items}</div>\n`;
    }
    case 'facts':
      return html`<dl class="facts">${block.facts.map(([name, value]) => html`<div><dt>${name}</dt><dd>${textHtml(value)}</dd></div>\n`)}</dl>\n`;
    case 'table':
      return blockTable(block);
    case 'figure':
      return blockFigure(block);
    case 'pair':
      return html`<div class="pair">${block.figures.map(blockFigure)}</div>\n`;
    case 'page':
      return html`<div class="page"></div>\n`;
  }
}

function blockTable(block: Table): Html {
  const columns = block.columns.map(({ head, numeric }) => ({
    head: textHtml(head),
    ...(numeric ? { numeric } : {}),
  }));
  const rows = block.rows.map((row) => row.map(textHtml));
  return tableHtml(columns, rows, block.caption, block.total);
}

const blockFigure = ({ picture, caption, size }: Figure): Html =>
  figureHtml(pictureSvg(picture), [sizeKey(picture), caption], size);

/** Which fill is which size, and how many garments of it. */
function sizeKey(picture: Picture): Html | string {
  if (picture.of !== 'marker') return '';
  const entries = sizesIn(picture.marker).map(
    ({ size, count, tint }) => html`<span><i style="background:${tint}"></i>${count} x ${size}</span>`,
  );
  return html`<span class="key">${entries}</span>`;
}

function pictureSvg(picture: Picture): string {
  if (picture.of === 'marker') return markerPictureSvg(picture.marker);
  if (picture.of === 'pieces') return piecesSvg(picture.pieces);
  return sizeNestSvg(picture.range, picture.piece);
}

const TAGS = { bold: 'b', italic: 'i', small: 'small' } as const;

function textHtml(text: Text): Part {
  return partsOf(text).map((part): Part => {
    if (typeof part === 'string') return new Html(spaced(part));
    const inner = spaced(part.text);
    if (part.mark === 'bad' || part.mark === 'big') {
      return new Html(`<span class="${part.mark}">${inner}</span>`);
    }
    if (part.mark === 'line') return new Html(`<br/>${inner}`);
    const tag = TAGS[part.mark];
    return new Html(`<${tag}>${inner}</${tag}>`);
  });
}

/** Escaped text that keeps a space at its ends, where another part goes on. */
function spaced(text: string): string {
  const inner = html`${text}`.source;
  if (inner === '') return /\s/.test(text) ? ' ' : '';
  return `${/^\s/.test(text) ? ' ' : ''}${inner}${/\s$/.test(text) ? ' ' : ''}`;
}
