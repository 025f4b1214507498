import type { CutPiece } from '../../finish/types.js';
import type { Vec } from '../../geometry/vec.js';
import type { Marker } from '../../lay/types.js';
import type { Unit } from '../../units.js';
import { markerNote, markerShapes, warningsOn } from '../drawing/marker.js';
import { pieceShapes } from '../drawing/piece.js';
import { type BoxedShape, boxed, boxesMeet, byLayer, shifted } from '../drawing/shapes.js';
import { Content } from './content.js';
import { type Paper, PaperDocument } from './paper.js';
import { drawTileFrame } from './tile-frame.js';
import { drawMapPage, MARKER_STEPS, mapPageSize, PIECE_STEPS } from './tile-map.js';
import { MARGIN, MARKER_EDGE, type Tile, type Tiling, tileMarker, tilePieces } from './tiling.js';

export interface TileOptions {
  readonly paper: Paper;
  /** Style and size, printed on every sheet. */
  readonly title: string;
  readonly units: Unit;
  readonly date: Date;
  /** Said on the first page, such as the shrinkage that the pieces allow for. */
  readonly notes?: readonly string[];
}

/**
 * Pieces at true scale on pages of a home printer, to be trimmed and joined: first a page with the map, a test
 * square and the list of pieces, then every tile that a piece reaches into.
 *
 * @throws InputError when there is no piece or a coordinate is not finite.
 */
export async function tiledPiecesPdf(pieces: readonly CutPiece[], options: TileOptions): Promise<Uint8Array> {
  const tiling = tilePieces(pieces, options.paper);
  const shapes = tiling.sheet.places.flatMap(({ piece, by }) =>
    pieceShapes(piece, { by, title: options.title }),
  );
  const document = await PaperDocument.open({
    title: `${options.title}: paper pattern, ${options.paper}`,
    subject: 'Pattern pieces at true scale, allowances included; print at 100 %',
    keywords: ['paper pattern', 'true scale', options.paper],
    date: options.date,
  });
  const first = new Content(document.fonts);
  drawMapPage(first, tiling, shapes, {
    title: options.title,
    what: `Paper pattern on ${options.paper}`,
    units: options.units,
    steps: [...PIECE_STEPS, ...(options.notes ?? [])],
    facts: [],
  });
  addFirst(document, tiling, first);
  addTiles(document, tiling, boxed(shapes), options.title);
  return document.bytes();
}

/**
 * A marker at true scale on sheets of paper that are trimmed and joined, a few of A0 or many of A4:
 * first a page with the map, a test square and the facts of the marker, then every tile.
 *
 * @throws InputError when a coordinate is not finite.
 */
export async function tiledMarkerPdf(
  marker: Marker,
  options: Omit<TileOptions, 'title' | 'notes'>,
): Promise<Uint8Array> {
  const tiling = tileMarker(marker, options.paper);
  const by: Vec = [MARKER_EDGE, MARKER_EDGE];
  const shapes = byLayer(markerShapes(marker)).map((shape) => shifted(shape, by));
  const title = [...warningsOn(marker), `${marker.style}: ${marker.name}`].join(': ');
  const [, ...facts] = markerNote(marker, options.units).filter((f) => !warningsOn(marker).includes(f));
  const document = await PaperDocument.open({
    title: `${title}, true scale on ${options.paper}`,
    subject: markerNote(marker, options.units).join('; '),
    keywords: ['marker', 'true scale', options.paper, marker.fabric.name],
    date: options.date,
  });
  const first = new Content(document.fonts);
  drawMapPage(first, tiling, shapes, {
    title,
    what: `Marker on ${options.paper}`,
    units: options.units,
    steps: MARKER_STEPS,
    facts,
  });
  addFirst(document, tiling, first);
  addTiles(document, tiling, boxed(shapes), title);
  return document.bytes();
}

function addFirst(document: PaperDocument, tiling: Tiling, content: Content): void {
  const { width, height } = mapPageSize(tiling);
  document.addPage(width, height, content);
}

function addTiles(
  document: PaperDocument,
  tiling: Tiling,
  shapes: readonly BoxedShape[],
  title: string,
): void {
  for (const tile of tiling.tiles) {
    if (tile.blank) continue;
    const content = new Content(document.fonts);
    content.onLayer('SHEET', () => drawTileFrame(content, tiling, tile, title));
    drawTile(content, tile, shapes);
    document.addPage(tiling.page.width, tiling.page.height, content);
  }
}

function drawTile(content: Content, tile: Tile, shapes: readonly BoxedShape[]): void {
  const width = tile.maxX - tile.minX;
  const height = tile.maxY - tile.minY;
  const box = { minX: MARGIN, minY: MARGIN, maxX: MARGIN + width, maxY: MARGIN + height };
  content.within(box, { scale: 1, at: [MARGIN - tile.minX, MARGIN - tile.minY] }, () => {
    content.shapes(shapes.flatMap(({ shape, box: own }) => (boxesMeet(own, tile) ? shape : [])));
  });
}
