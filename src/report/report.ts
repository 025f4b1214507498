import { warningsOn } from '../exchange/drawing/marker.js';
import { chartSection, fitSection, truingSection } from './checks.js';
import { cautionSection, cutListSection } from './cutting-room.js';
import { buySection, consumptionSection } from './fabric.js';
import { day, plural, UNIT_NAMES } from './format.js';
import { Html, html, list } from './html.js';
import { markerSection, patternSection } from './pictures.js';
import { CSS } from './style.js';
import type { ReportData } from './types.js';

/**
 * The fabric-usage report as one HTML file that needs no network: pictures first, then what to buy, the checks,
 * and the notes of the cutting room. All text of the data is escaped. The same data give the same bytes.
 *
 * @throws InputError when a coordinate is not finite.
 */
export function reportHtml(data: ReportData): string {
  const sizes = data.range.sizes.map((s) => s.size);
  const span = sizes.length > 1 ? `${sizes[0]} to ${sizes[sizes.length - 1]}` : sizes[0];
  const page = html`<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>${data.style}: fabric report</title>
<style>${new Html(CSS)}</style>
</head>
<body>
${stamps(data)}
<h1>${data.style}: fabric report</h1>
<p class="lead">${day(data.date)} · ${plural(sizes.length, 'size')}${span ? `, ${span}` : ''}, base ${data.range.base} · lengths in ${UNIT_NAMES[data.unit]}</p>
${warnings(data)}
${data.markers.length > 0 ? markerSection(data) : ''}
${buySection(data)}
${data.pieces.length > 0 ? patternSection(data) : ''}
${chartSection(data)}
${truingSection(data)}
${fitSection(data)}
${consumptionSection(data)}
${cutListSection(data)}
${files(data)}
${cautionSection()}
</body>
</html>
`;
  return page.source;
}

/** What must not be overlooked stands above the title. */
function stamps(data: ReportData): Html[] {
  const distinct = [...new Set(data.markers.flatMap(warningsOn))];
  return distinct.map((stamp) => html`<p class="stamp">${stamp}</p>\n`);
}

function warnings(data: ReportData): Html | string {
  if (data.warnings.length === 0) return '';
  return html`<div class="warn"><b>To look at</b>${list(data.warnings)}</div>`;
}

function files(data: ReportData): Html | string {
  if (!data.files || data.files.length === 0) return '';
  return html`<h2>Files</h2>${list(data.files.map((file) => html`<b>${file.name}</b>: ${file.meaning}`))}`;
}
