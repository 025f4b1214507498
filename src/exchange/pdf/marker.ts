import type { Vec } from '../../geometry/vec.js';
import type { Marker } from '../../lay/types.js';
import type { Unit } from '../../units.js';
import { markerNote, markerShapes, warningsOn } from '../drawing/marker.js';
import { boxed, boxesMeet, byLayer } from '../drawing/shapes.js';
import { Content } from './content.js';
import { drawPageMap, type PageSpan } from './page-map.js';
import { MAX_PAGE_MM, PaperDocument } from './paper.js';
import { TEST_SQUARE, testSquare } from './test-square.js';

export interface MarkerPdfOptions {
  readonly units: Unit;
  readonly date: Date;
  /** Longest page, mm; more than 5080 is not shown at true scale by every reader. */
  readonly maxPage?: number;
  /**
   * One page however long the marker is: beyond 5.08 m it is written in larger user units, which some readers
   * ignore, so that they show and print it too small. The page says so.
   */
  readonly userUnit?: boolean;
}

/** Strip at the start of every page that holds the note and the test square, and free paper round the cloth. */
export const STRIP = TEST_SQUARE + 28;
export const EDGE = 10;
/** What neighbouring pages show twice on either side of their join. */
const OVERLAP = 15;
const LEAST_HEIGHT = 340;
/** Between the words of the strip, the map of the pages and the square. */
const GAP = 6;

interface Part {
  readonly from: number;
  readonly to: number;
  /** With the overlap at joins. */
  readonly shownFrom: number;
  readonly shownTo: number;
}

/**
 * A marker at full scale for a roll plotter: one page as long as the marker up to 5.08 m, else pages of equal
 * length that are joined at match marks, with a map of them on each. Layers are optional content groups; every page has a test square.
 *
 * @throws InputError when a coordinate is not finite.
 */
export async function markerPdf(marker: Marker, options: MarkerPdfOptions): Promise<Uint8Array> {
  const document = await PaperDocument.open({
    title: `${marker.style}: ${marker.name}, full scale`,
    subject: markerNote(marker, options.units).join('; '),
    keywords: ['marker', 'full scale', marker.fabric.name],
    date: options.date,
  });
  const shapes = boxed(byLayer(markerShapes(marker)));
  const userUnit = options.userUnit ? userUnitFor(marker) : 1;
  const longest = Math.min(options.maxPage ?? MAX_PAGE_MM, MAX_PAGE_MM);
  const parts = divide(marker.length, userUnit > 1 ? userUnit * MAX_PAGE_MM : longest);
  const height = Math.max(marker.width + 2 * EDGE, LEAST_HEIGHT);
  for (const [i, part] of parts.entries()) {
    const content = new Content(document.fonts);
    const shown = part.shownTo - part.shownFrom;
    strip(content, marker, { unit: options.units, height, page: i, pages: parts, userUnit });
    const origin: Vec = [STRIP + EDGE - part.shownFrom, EDGE];
    const box = { minX: STRIP, minY: 0, maxX: STRIP + shown + 2 * EDGE, maxY: height };
    const view = {
      minX: part.shownFrom - EDGE,
      minY: -EDGE,
      maxX: part.shownTo + EDGE,
      maxY: height - EDGE,
    };
    content.within(clippedAtJoins(box, part, marker.length), { scale: 1, at: origin }, () => {
      content.shapes(shapes.flatMap(({ shape, box: own }) => (boxesMeet(own, view) ? shape : [])));
    });
    joinMarks(content, marker, part, origin, i, parts.length);
    document.addPage(STRIP + shown + 2 * EDGE, height, content, { userUnit });
  }
  return document.bytes();
}

/** The user unit (in points) that a marker needs to be one page: 1 up to 5.08 m. */
export const userUnitFor = (marker: Marker): number =>
  Math.ceil((marker.length + STRIP + 2 * EDGE) / MAX_PAGE_MM);

/** What must be told of a page in user units, on it and to whoever asked for it. */
export const userUnitWarning = (userUnit: number): string =>
  `This page is longer than 5.08 m and is written in user units of ${userUnit} points. A reader or printer that ignores them shows it ${userUnit} times too small: measure the square before you use it.`;

/** Parts of equal length, each short enough for a page. */
export function divide(length: number, maxPage: number): Part[] {
  const whole = maxPage - STRIP - 2 * EDGE;
  const count = length <= whole ? 1 : Math.ceil(length / (whole - 2 * OVERLAP));
  return Array.from({ length: count }, (_, i) => {
    const from = (length * i) / count;
    const to = (length * (i + 1)) / count;
    return {
      from,
      to,
      shownFrom: i === 0 ? 0 : from - OVERLAP,
      shownTo: i === count - 1 ? length : to + OVERLAP,
    };
  });
}

/** Beyond a join's overlap the paper stays white, or cut lines would be met twice. */
function clippedAtJoins(
  box: { minX: number; minY: number; maxX: number; maxY: number },
  part: Part,
  length: number,
) {
  return {
    ...box,
    minX: part.from > 0 ? box.minX + EDGE : box.minX,
    maxX: part.to < length ? box.maxX - EDGE : box.maxX,
  };
}

function strip(
  content: Content,
  marker: Marker,
  page: { unit: Unit; height: number; page: number; pages: readonly PageSpan[]; userUnit: number },
): void {
  const left = EDGE;
  testSquare(content, [left, EDGE]);
  const width = STRIP - 2 * EDGE;
  let y = page.height - EDGE - 6;
  const several = page.pages.length > 1;
  if (several) {
    content.text(`Page ${page.page + 1} of ${page.pages.length}`, [left, y], { height: 5, bold: true });
    y -= 12;
  }
  const warnings = warningsOn(marker);
  if (page.userUnit > 1) warnings.push(userUnitWarning(page.userUnit));
  for (const warning of warnings) {
    y = content.paragraph(warning, [left, y], width, { height: 4, bold: true, leading: 7 }) - 3;
  }
  const facts = markerNote(marker, page.unit).filter((fact) => !warnings.includes(fact));
  for (const [i, fact] of facts.entries()) {
    y = content.paragraph(fact, [left, y], width, { height: 3.4, bold: i === 0, leading: 6 }) - 2;
  }
  const stretch = marker.pieces.some(({ piece }) => piece.stretch)
    ? ', the short one with two heads and its words along the stretch'
    : '';
  y = content.paragraph(
    `Solid: cut. Allowances and hems are included. Dash-dot rectangle: edge of the cloth. The arrow runs along the wales${stretch}.`,
    [left, y - 2],
    width,
    { height: 2.8, leading: 5 },
  );
  if (!several) return;
  // What is left above the square.
  const room = y - GAP - (EDGE + TEST_SQUARE + GAP);
  drawPageMap(content, marker, page, { at: [left, y - GAP], width, height: room });
}

/** A line with crosses where this page meets its neighbour; both pages show it. */
function joinMarks(
  content: Content,
  marker: Marker,
  part: Part,
  origin: Vec,
  index: number,
  pages: number,
): void {
  const joins = [
    ...(index > 0 ? [{ x: part.from, name: joinName(index) }] : []),
    ...(index < pages - 1 ? [{ x: part.to, name: joinName(index + 1) }] : []),
  ];
  for (const { x, name } of joins) {
    const px = x + origin[0];
    const bottom = origin[1];
    const top = bottom + marker.width;
    content.pen({ width: 0.25, dash: [2, 2], colour: '#000000' });
    content.stroke([
      [px, bottom],
      [px, top],
    ]);
    content.pen({ width: 0.3, dash: [], colour: '#000000' });
    for (const share of [0, 0.25, 0.5, 0.75, 1]) {
      const py = bottom + marker.width * share;
      content.stroke([
        [px - 6, py],
        [px + 6, py],
      ]);
      content.stroke([
        [px, py - 6],
        [px, py + 6],
      ]);
    }
    content.text(`Join ${name}: lay this line on the same line of the other page`, [px - 2, bottom + 20], {
      height: 2.6,
      angle: 90,
    });
  }
}

const joinName = (n: number): string => `${n}-${n + 1}`;
