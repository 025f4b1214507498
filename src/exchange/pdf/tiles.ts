import type { CutPiece } from '../../finish/types.js';
import type { Unit } from '../../units.js';
import { pieceShapes } from '../drawing/piece.js';
import { boxesMeet, type Shape, shapeBox } from '../drawing/shapes.js';
import { Content } from './content.js';
import { PAPERS, type Paper, PaperDocument } from './paper.js';
import { drawTileFrame } from './tile-frame.js';
import { drawMapPage } from './tile-map.js';
import { MARGIN, type Tile, tilePieces } from './tiling.js';

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
  const paper = PAPERS[options.paper];
  const document = await PaperDocument.open({
    title: `${options.title}: paper pattern, ${options.paper}`,
    subject: 'Pattern pieces at true scale, allowances included; print at 100 %',
    keywords: ['paper pattern', 'true scale', options.paper],
    date: options.date,
  });
  const shapes = tiling.sheet.places.flatMap(({ piece, by }) =>
    pieceShapes(piece, { by, title: options.title }),
  );
  const first = new Content(document.fonts);
  drawMapPage(first, tiling, shapes, options);
  document.addPage(paper.width, paper.height, first);
  for (const tile of tiling.tiles) {
    if (tile.blank) continue;
    const content = new Content(document.fonts);
    drawTileFrame(content, tiling, tile, options.title);
    drawTile(content, tile, shapes);
    document.addPage(paper.width, paper.height, content);
  }
  return document.bytes();
}

function drawTile(content: Content, tile: Tile, shapes: readonly Shape[]): void {
  const width = tile.maxX - tile.minX;
  const height = tile.maxY - tile.minY;
  const box = { minX: MARGIN, minY: MARGIN, maxX: MARGIN + width, maxY: MARGIN + height };
  content.within(box, { scale: 1, at: [MARGIN - tile.minX, MARGIN - tile.minY] }, () => {
    content.shapes(shapes.filter((shape) => boxesMeet(shapeBox(shape), tile)));
  });
}
