import { add, scale as scaled, type Vec } from '../../geometry/vec.js';
import type { Marker } from '../../lay/types.js';
import type { Unit } from '../../units.js';
import { EDGES, markerNote, warningsOn } from '../drawing/marker.js';
import { bestRowCount, rowEdge, rowNote, rowPicture, rowShapes, rowZones } from '../drawing/rows.js';
import type { Shape } from '../drawing/shapes.js';
import { sizesIn } from '../drawing/size-key.js';
import { paletteFor } from '../palette.js';
import { Content } from './content.js';
import { PAPERS, PaperDocument } from './paper.js';

export interface OverviewOptions {
  readonly units: Unit;
  readonly date: Date;
  readonly paper?: 'A4' | 'Letter';
}

const MARGIN = 12;

/** A marker on one landscape page: the picture with a number on each piece, its facts and its key. */
export async function overviewPdf(marker: Marker, options: OverviewOptions): Promise<Uint8Array> {
  const paper = PAPERS[options.paper ?? 'A4'];
  const [width, height] = [paper.height, paper.width];
  const document = await PaperDocument.open({
    title: `${marker.style}: ${marker.name}, overview`,
    subject: markerNote(marker, options.units).join('; '),
    keywords: ['marker', 'overview', marker.fabric.name],
    date: options.date,
  });
  const content = new Content(document.fonts);
  let y = height - MARGIN - 5;
  content.text(`${marker.style}: ${marker.name}`, [MARGIN, y], { height: 4.5, bold: true });
  y -= 9;
  for (const warning of warningsOn(marker)) {
    y =
      content.paragraph(warning, [MARGIN, y], width - 2 * MARGIN, { height: 3.4, bold: true, leading: 6.5 }) -
      1;
  }
  const facts = markerNote(marker, options.units)
    .slice(1)
    .filter((fact) => !warningsOn(marker).includes(fact));
  y = content.paragraph(facts.join('.  '), [MARGIN, y], width - 2 * MARGIN, { height: 2.5, leading: 5 }) - 3;
  y = drawKey(content, marker, [MARGIN, y], width - 2 * MARGIN) - 4;
  drawPicture(content, marker, { minX: MARGIN, minY: MARGIN + 7, maxX: width - MARGIN, maxY: y });
  content.text(
    `Overview, not to scale for cutting. Numbers as in the marker, from its start (left). ${EDGES[marker.spread.mode]}`,
    [MARGIN, MARGIN],
    { height: 2.2 },
  );
  document.addPage(width, height, content);
  return document.bytes();
}

/** A long marker is shown in as many rows as make it largest. */
function drawPicture(
  content: Content,
  marker: Marker,
  room: { minX: number; minY: number; maxX: number; maxY: number },
): void {
  const [across, down] = [room.maxX - room.minX, room.maxY - room.minY];
  const count = bestRowCount(marker, across, down);
  const picture = rowPicture(marker, count);
  const scale = Math.min(across / picture.width, down / picture.height);
  const place: Vec = [room.minX, room.maxY - picture.height * scale];
  const look = paletteFor(marker.sizes);
  const size = { max: 3.2 / scale, min: 1.3 / scale };
  const letters: Shape[] = [];
  for (const row of picture.rows) {
    const [x, y] = add(place, scaled(add([row.from, 0], row.by), scale));
    const box = {
      minX: x - 0.3,
      minY: y - 0.3,
      maxX: x + picture.width * scale + 0.3,
      maxY: y + marker.width * scale + 0.3,
    };
    if (count > 1) letters.push(rowNote(row, 2 / scale));
    content.within(box, { scale, at: place }, () => {
      const strokes: Shape[] = [rowEdge(marker, row), ...rowZones(marker, row)];
      for (const placed of row.pieces) {
        const [own, label] = rowShapes(placed, row, size);
        strokes.push(...own);
        letters.push(...label);
        const outline = placed.outline.map((p) => add(p, row.by));
        content.fill(outline, look(placed.piece.size).tint);
      }
      content.shapes(strokes, { penScale: 0.5 / scale });
    });
  }
  content.within({ minX: 0, minY: 0, maxX: 1000, maxY: 1000 }, { scale, at: place }, () =>
    content.shapes(letters),
  );
}

function drawKey(content: Content, marker: Marker, at: Vec, width: number): number {
  const sizes = sizesIn(marker);
  const step = Math.min(40, width / Math.max(sizes.length, 1));
  sizes.forEach(({ size, count, tint }, i) => {
    const [x, y] = [at[0] + i * step, at[1]];
    const square: Vec[] = [
      [x, y],
      [x + 4, y],
      [x + 4, y + 4],
      [x, y + 4],
    ];
    content.fill(square, tint);
    content.pen({ width: 0.2, dash: [], colour: '#000000' });
    content.stroke(square, true);
    content.text(`${size} x ${count}`, [x + 6, y + 0.8], { height: 2.4 });
  });
  return at[1];
}
