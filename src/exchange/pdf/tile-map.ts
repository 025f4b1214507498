import { add, type Vec } from '../../geometry/vec.js';
import { formatLength, type Unit } from '../../units.js';
import { cutCount, pieceBox } from '../drawing/piece.js';
import type { Shape } from '../drawing/shapes.js';
import type { Content } from './content.js';
import { PAPERS } from './paper.js';
import { TEST_SQUARE, testSquare } from './test-square.js';
import { MARGIN, type Tiling } from './tiling.js';

const PALE = '#e3e3e3';
const GAP = 6;
/** Long side of the largest paper that is used for the map, mm: A3. */
const LARGEST_MAP = 420;

/** What to do with a paper pattern. */
export const PIECE_STEPS: readonly string[] = [
  'Print at 100 % (actual size), one side of the paper, no scaling to fit.',
  'Measure the squares on this page before you print the rest.',
  'Trim the left and the top edge where a sheet says so.',
  'Lay each trimmed edge on the dotted line of the sheet before it, crosses on crosses, and tape. Work along a row, then join the rows.',
  'Cut the pieces on the solid line. Seam allowances and hems are included; the dashed line is the sewing line.',
  'The arrow runs along the wales (lengthwise). Long dashes: centre line. Dash-dot: lines to mark. Ticks from the cut line: notches.',
];

/** What to do with a marker on sheets. */
export const MARKER_STEPS: readonly string[] = [
  ...PIECE_STEPS.slice(0, 4),
  'Measure the joined paper: the dash-dot rectangle is the laid width by the marker length given here.',
  'Lay it on the cloth, its left edge at the start of the lay, the arrows along the wales. The solid line is cut; allowances and hems are included.',
];

export interface MapPage {
  readonly title: string;
  /** What is printed, such as `Paper pattern on A4`. */
  readonly what: string;
  readonly units: Unit;
  readonly steps: readonly string[];
  /** What the drawing is, a line each. */
  readonly facts: readonly string[];
}

/** Size of the first page, mm: that of the sheets, but no A0 sheet is spent on it. */
export const mapPageSize = ({ page }: Tiling): Tiling['page'] => {
  if (Math.max(page.width, page.height) <= LARGEST_MAP) return page;
  const { width, height } = PAPERS.A4;
  return page.width > page.height ? { width: height, height: width } : { width, height };
};

/** First page of a tiled drawing: what to do, a test square, the map of sheets, and facts or the list of pieces. */
export function drawMapPage(
  content: Content,
  tiling: Tiling,
  shapes: readonly Shape[],
  { title, what, units, steps, facts }: MapPage,
): void {
  const page = mapPageSize(tiling);
  const width = page.width - 2 * MARGIN;
  const top = page.height - MARGIN;
  const printed = tiling.tiles.filter((tile) => !tile.blank).length;
  const blank = tiling.tiles.length - printed;
  content.paragraph(title, [MARGIN, top - 6], width, {
    height: title.length > 60 ? 3.4 : 5,
    bold: true,
    leading: 5,
  });
  content.text(`${what}: this page and ${printed} sheets, true scale`, [MARGIN, top - 15], { height: 2.8 });

  const squareY = top - 20 - TEST_SQUARE;
  testSquare(content, [MARGIN, squareY]);
  const beside = MARGIN + TEST_SQUARE + 7;
  const rest = width - TEST_SQUARE - 7;
  // On a level page the facts stand beside the instructions, on an upright one below them.
  const columns = facts.length > 0 && rest > 150 ? 2 : 1;
  const column = rest / columns - (columns - 1) * 4;
  const below = instructions(content, [beside, top - 22], column, [
    ...steps,
    ...(blank > 0 ? ['Grey sheets of the map are empty and not printed.'] : []),
  ]);
  let y = columns === 2 ? top - 22 : below - 2;
  for (const fact of facts) {
    const x = columns === 2 ? beside + column + 8 : beside;
    y = content.paragraph(fact, [x, y], column, { height: 2.2, leading: 4 }) - 0.8;
  }

  const listHeight = tiling.sheet.places.length > 0 ? 9 + 5 * tiling.sheet.places.length : 0;
  const mapTop = Math.min(squareY, y) - GAP;
  const mapBottom = MARGIN + listHeight + GAP;
  drawMap(content, tiling, shapes, { minX: MARGIN, minY: mapBottom, maxX: MARGIN + width, maxY: mapTop });
  if (listHeight > 0) pieceList(content, tiling, [MARGIN, MARGIN + listHeight - 4], units);
}

/** Numbered steps; returns the baseline below the last. */
function instructions(content: Content, at: Vec, width: number, steps: readonly string[]): number {
  let y = at[1];
  steps.forEach((step, i) => {
    content.text(`${i + 1}`, [at[0], y], { height: 2.3, bold: true });
    y = content.paragraph(step, [at[0] + 5, y], width - 5, { height: 2.3, leading: 4.4 }) - 1.8;
  });
  return y;
}

function drawMap(
  content: Content,
  tiling: Tiling,
  shapes: readonly Shape[],
  room: { minX: number; minY: number; maxX: number; maxY: number },
): void {
  const across = tiling.columns * tiling.stepX;
  const down = tiling.rows * tiling.stepY;
  const scale = Math.min((room.maxX - room.minX) / across, (room.maxY - room.minY) / down);
  // The sheet's upper left corner goes to the room's.
  const place: Vec = [room.minX, room.maxY - tiling.sheet.height * scale];
  const onPage = ([x, y]: Vec): Vec => [place[0] + x * scale, place[1] + y * scale];
  for (const tile of tiling.tiles) {
    const corners: Vec[] = [
      [tile.minX, tile.maxY],
      [tile.minX + tiling.stepX, tile.maxY],
      [tile.minX + tiling.stepX, tile.maxY - tiling.stepY],
      [tile.minX, tile.maxY - tiling.stepY],
    ];
    const onMap = corners.map(onPage);
    if (tile.blank) content.fill(onMap, PALE);
    content.pen({ width: 0.15, dash: [], colour: '#8c8c8c' });
    content.stroke(onMap, true);
  }
  const drawn = shapes.filter((shape) => shape.layer === 'CUT');
  content.within(room, { scale, at: place }, () => content.shapes(drawn, { penScale: 0.7 / scale }));
  for (const { piece, by } of tiling.sheet.places) {
    const [x, y] = onPage(add(piece.label.at, by));
    content.text(piece.name, [x, y - 1], { height: 2, align: 'middle' });
  }
  for (const tile of tiling.tiles) {
    const [x, y] = onPage([tile.minX, tile.maxY]);
    content.text(tile.name, [x + 1.2, y - 3.4], {
      height: 2.2,
      bold: !tile.blank,
    });
  }
}

function pieceList(content: Content, tiling: Tiling, at: Vec, units: Unit): void {
  const columns = [0, 45, 110, 140];
  const row = (cells: readonly string[], y: number, bold = false) =>
    cells.forEach((cell, i) => {
      content.text(cell, [at[0] + columns[i]!, y], { height: 2.3, bold });
    });
  row(['Piece', 'How many', 'Fabric', 'Size of the cut piece'], at[1], true);
  tiling.sheet.places.forEach(({ piece }, i) => {
    const box = pieceBox(piece);
    const size = [box.maxX - box.minX, box.maxY - box.minY].map((d) => formatLength(d, units)).join(' x ');
    row([`${piece.name} ${piece.size}`, cutCount(piece.counts), piece.fabric, size], at[1] - 5 * (i + 1));
  });
}
