import { onFold } from '../exchange/drawing/fold.js';
import { markerNote, warningsOn } from '../exchange/drawing/marker.js';
import { markerPictureSvg, piecesSvg, sizeNestSvg } from '../exchange/svg.js';
import type { Marker } from '../lay/types.js';
import { figure, type Html, html, table } from './html.js';
import { pliesOf } from './purchase.js';
import type { ReportData } from './types.js';

/** The markers: a picture each, with a number on every piece, and which numbers make one garment. */
export function markerSection(data: ReportData): Html {
  const one = (marker: Marker) => {
    const plies = pliesOf(data, marker.name);
    const facts = markerNote(marker, data.unit).filter((fact) => !warningsOn(marker).includes(fact));
    const laid = plies > 1 ? `. Lay ${plies} plies` : '';
    return html`<h3>${marker.name}</h3>
${figure(markerPictureSvg(marker), `${facts.slice(1).join('. ')}${laid}.`)}
${garments(marker)}`;
  };
  return html`<h2>Markers</h2>
<p class="lead">The lay starts at the left; a long one goes on in the rows below. The lower edge is the lower selvedge. Fill colours tell sizes apart, and every piece names its size.</p>
${data.markers.map(one)}`;
}

/** Pieces of the base size and how each grows. */
export function patternSection(data: ReportData): Html {
  const names = [...new Set(data.range.sizes.flatMap((s) => s.pattern.pieces.map((p) => p.name)))];
  const nests = names.map((name) => figure(sizeNestSvg(data.range, name), `${name} in all sizes`, 'small'));
  return html`<h2>Pattern</h2>
${figure(
  piecesSvg(data.pieces),
  `Size ${data.range.base}, ready to cut. Solid: cut line, allowances included. Dashed: sewing line.`,
)}
<div class="pair">${nests}</div>`;
}

function garments(marker: Marker): Html {
  const rows = new Map<string, string[]>();
  for (const placed of marker.pieces) {
    const { garment, number, piece, mirrored } = placed;
    const hand = onFold(placed) ? ' (on fold)' : mirrored ? ' (mirrored)' : '';
    const text = `${number} ${piece.name}${hand}`;
    rows.set(garment, [...(rows.get(garment) ?? []), text]);
  }
  const sorted = [...rows].sort(([a], [b]) => a.localeCompare(b, 'en', { numeric: true }));
  return html`<details open><summary>Which pieces make which garment</summary>
${table(
  [{ head: 'Garment' }, { head: 'Numbers in the picture' }],
  sorted.map(([garment, pieces]) => [garment, pieces.join(', ')]),
)}</details>`;
}
