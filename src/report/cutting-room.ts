import { cutCount } from '../exchange/drawing/piece.js';
import { area } from '../geometry/polygon.js';
import { type Html, html, list, table } from './html.js';
import type { ReportData } from './types.js';

const SQUARE_MM_PER_SQUARE_CM = 100;

/** Pieces of one garment. */
export function cutListSection(data: ReportData): Html {
  const rows = data.pieces.map((piece) => [
    piece.name,
    piece.fabric,
    cutCount(piece.counts),
    `${(area(piece.cut) / SQUARE_MM_PER_SQUARE_CM).toFixed(0)} cm²`,
    piece.stretch
      ? `${piece.stretch.percent} % along the ${piece.stretch.along === 'course' ? 'courses' : 'wales'}`
      : '',
  ]);
  return html`<h2>Cut list</h2>
${table(
  [
    { head: 'Piece' },
    { head: 'Fabric' },
    { head: 'One garment' },
    { head: `Area, size ${data.range.base}`, numeric: true },
    { head: 'Stretch' },
  ],
  rows,
)}`;
}

/** Notes and cautions of the cutting room. They remind; they do not train. */
export function cautionSection(): Html {
  return html`<h2>In the cutting room</h2>
<p>Reminders only. The law and codes of the place, the maker's manual and trained staff come first.</p>
${list([
  html`<b>Cloth.</b> Measure the width that can be cut on every roll and use the narrowest. Let a knit lie unrolled before it is spread: a day, up to two for a very elastic one, says <i>Industrial Cutting of Textile Materials</i>. Spread without tension, all plies on the same side and in the same direction where the fabric runs one way.`,
  html`<b>Before the first cut.</b> Measure the test square or the fabric rectangle, count the pieces against the cut list and cut one garment as a trial. Wash a sample: shrinkage is in the pieces only as far as it was stated.`,
  html`<b>Blades.</b> Guards cover the blade and adjust to the height of the lay; five-finger chain-mail gloves for cutting and for handling blades; warning before a machine moves; a set procedure for changing and throwing away blades; fluff is cleaned away. Source: Health and Safety Executive (Great Britain), hse.gov.uk/textiles/machinery/cutting.htm. Chain mail can be caught by rotating parts: wear it only with the machines it is made for.`,
  html`<b>Changing a blade.</b> Switch off, isolate and lock out first (United States: 29 CFR 1910.147; EN ISO 14118; both cited from memory).`,
  html`<b>Laser.</b> Extract the fumes, never cut PVC or other chlorinated material, keep watch for fire (EN ISO 11553, EN 60825-1; cited from memory).`,
  html`<b>Heat.</b> A fast blade in a high lay of synthetics fuses the edges: lower the lay, slow the blade, use anti-fusion paper.`,
  html`<b>Children's wear.</b> Cords, small parts and nightwear have rules of their own (EN 14682:2014, ASTM F1816-18, EN 14878). They are not assessed here.`,
])}`;
}
