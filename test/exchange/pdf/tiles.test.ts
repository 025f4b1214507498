import { describe, expect, it, vi } from 'vitest';
import { PAPERS, type Paper } from '../../../src/exchange/pdf/paper.js';
import { tiledPiecesPdf } from '../../../src/exchange/pdf/tiles.js';
import { MARGIN, OVERLAP, type Tiling, tilePieces } from '../../../src/exchange/pdf/tiling.js';
import { contains } from '../../../src/geometry/polygon.js';
import { add, type Vec } from '../../../src/geometry/vec.js';
import { darkestNear, darkRunsInRow, type Raster, type Renderer, rasterise } from '../raster.js';
import { basePieces, bodyPiece, DAY } from '../sample.js';
import { hasTool, needing, run, withFile } from '../tools.js';

// Rasterising takes its time on a busy machine.
vi.setConfig({ testTimeout: 60_000 });

const optionsFor = (paper: Paper) =>
  ({ paper, title: 'Harbour crew, size M', units: 'in', date: DAY }) as const;
const PAPER_NAMES: readonly Paper[] = ['A4', 'Letter', 'A3'];

describe('tiling pieces for a home printer', () => {
  for (const paper of PAPER_NAMES) {
    const tiling = tilePieces(basePieces(), paper);

    it(`covers every vertex of every line by a printed tile (${paper})`, () => {
      const points = verticesOf(tiling);
      expect(points.length).toBeGreaterThan(150);
      for (const p of points) {
        expect(cellOf(tiling, p)?.blank).toBe(false);
      }
    });

    it(`repeats 10 mm of the next tile and stays inside the margins (${paper})`, () => {
      const { width, height } = PAPERS[paper];
      for (const tile of tiling.tiles) {
        expect(tile.maxX - tile.minX).toBeCloseTo(width - 2 * MARGIN, 9);
        expect(tile.maxY - tile.minY).toBeCloseTo(height - 2 * MARGIN, 9);
        const right = tiling.tiles.find((t) => t.row === tile.row && t.column === tile.column + 1);
        if (right) expect(tile.maxX - right.minX).toBeCloseTo(OVERLAP, 9);
        const below = tiling.tiles.find((t) => t.column === tile.column && t.row === tile.row + 1);
        if (below) expect(below.maxY - tile.minY).toBeCloseTo(OVERLAP, 9);
      }
    });

    it(`leaves out a tile only where no piece reaches into it (${paper})`, () => {
      for (const tile of tiling.tiles.filter((t) => t.blank)) {
        const centre: Vec = [tile.minX + tiling.stepX / 2, tile.maxY - tiling.stepY / 2];
        for (const { piece, by } of tiling.sheet.places) {
          expect(
            contains(
              piece.cut.map((p) => add(p, by)),
              centre,
            ),
          ).toBe(false);
        }
      }
    });

    it(`keeps the pieces apart (${paper})`, () => {
      const boxes = tiling.sheet.places.map(({ piece, by }) => {
        const points = piece.cut.map((p) => add(p, by));
        const [xs, ys] = [points.map((p) => p[0]), points.map((p) => p[1])];
        return [Math.min(...xs), Math.min(...ys), Math.max(...xs), Math.max(...ys)] as const;
      });
      boxes.forEach((a, i) => {
        expect(a[0]).toBeGreaterThanOrEqual(0);
        expect(a[1]).toBeGreaterThanOrEqual(0);
        expect(a[3]).toBeLessThanOrEqual(tiling.sheet.height);
        for (const b of boxes.slice(i + 1)) {
          const apart = a[2] < b[0] || b[2] < a[0] || a[3] < b[1] || b[3] < a[1];
          expect(apart).toBe(true);
        }
      });
    });
  }

  it('prints a tile inside a large piece although no line crosses it', () => {
    const tiling = tilePieces([bodyPiece('M', 1.6)], 'A4');
    const outline = tiling.sheet.places[0]!.piece.cut.map((p) => add(p, tiling.sheet.places[0]!.by));
    const inner = tiling.tiles.filter(
      ({ minX, minY, maxX, maxY }) =>
        outline.every(([x, y]) => x < minX || x > maxX || y < minY || y > maxY) &&
        contains(outline, [(minX + maxX) / 2, (minY + maxY) / 2]),
    );
    expect(inner.length).toBeGreaterThan(0);
    for (const tile of inner) expect(tile.blank).toBe(false);
  });

  it('refuses to print nothing', () => {
    expect(() => tilePieces([], 'A4')).toThrow('there is no piece to print');
  });
});

describe('the tiled pattern as PDF', () => {
  it('writes the same bytes again', async () => {
    const first = await tiledPiecesPdf(basePieces(), optionsFor('A4'));
    expect(Buffer.compare(first, await tiledPiecesPdf(basePieces(), optionsFor('A4')))).toBe(0);
  });

  it.skipIf(!hasTool('qpdf'))(
    needing('passes the check of qpdf on every paper', 'qpdf', hasTool('qpdf')),
    async () => {
      for (const paper of PAPER_NAMES) {
        const pdf = await tiledPiecesPdf(basePieces(), optionsFor(paper));
        withFile('t.pdf', pdf, (path) => {
          expect(run('qpdf', ['--check', path])).toContain('No syntax or stream encoding errors found');
          const printed = tilePieces(basePieces(), paper).tiles.filter((t) => !t.blank).length;
          expect(Number(run('qpdf', ['--show-npages', path]))).toBe(printed + 1);
        });
      }
    },
  );

  it.skipIf(!hasTool('pdftotext'))(
    needing('names each sheet and says on the first page what to do', 'pdftotext', hasTool('pdftotext')),
    async () => {
      const tiling = tilePieces(basePieces(), 'A4');
      const pdf = await tiledPiecesPdf(basePieces(), optionsFor('A4'));
      const [first, ...sheets] = withFile('t.pdf', pdf, (path) =>
        run('pdftotext', ['-layout', path, '-']).split('\f').slice(0, -1),
      );
      for (const words of [
        '100 %',
        'Seam allowances',
        'cut 2: 1 as drawn, 1 mirrored',
        'neckband M',
        '18 1/8 in x 2 3/4 in',
      ]) {
        expect(first!.replace(/\s+/g, ' ')).toContain(words);
      }
      const printed = tiling.tiles.filter((t) => !t.blank);
      expect(sheets).toHaveLength(printed.length);
      printed.forEach((tile, i) => {
        expect(sheets[i]).toContain(`sheet ${tile.name}`);
      });
      for (const tile of tiling.tiles) expect(first).toContain(tile.name);
    },
  );

  for (const renderer of ['pdftoppm', 'mutool'] as const satisfies readonly Renderer[]) {
    const present = hasTool(renderer);
    it.skipIf(!present)(
      needing(
        `shows every vertex when the trimmed sheets are joined, at true scale (${renderer})`,
        renderer,
        present,
      ),
      async () => {
        for (const paper of ['A4', 'Letter'] as const) {
          const tiling = tilePieces(basePieces(), paper);
          const pages = rasterise(
            await tiledPiecesPdf(basePieces(), optionsFor(paper)),
            renderer,
            101.6,
          ).slice(1);
          const missing = verticesOf(tiling).filter((p) => !darkOnJoined(tiling, pages, p));
          expect(missing).toEqual([]);
          // Somewhere else nearby most places are white: the check can fail.
          const moved = verticesOf(tiling).map((p): Vec => [p[0] + 3, p[1] + 3]);
          expect(moved.filter((p) => darkOnJoined(tiling, pages, p)).length).toBeLessThan(moved.length / 2);
        }
      },
    );

    it.skipIf(!present)(
      needing(`prints the test squares of the first page true to 0.1 mm (${renderer})`, renderer, present),
      async () => {
        const [page] = rasterise(await tiledPiecesPdf([basePieces()[2]!], optionsFor('A4')), renderer, 254);
        // The square's lower edge lies 20 mm + 4 in below the upper margin.
        const y = Math.round((MARGIN + 20 + 101.6 - 45) * 10);
        const [left, inner, outer] = darkRunsInRow(page!, y, (MARGIN - 5) * 10, (MARGIN + 104) * 10);
        expect(Math.abs(inner! - left! - 1000)).toBeLessThanOrEqual(1);
        expect(Math.abs(outer! - left! - 1016)).toBeLessThanOrEqual(1);
      },
    );
  }
});

/** Vertices of the cut lines on the sheet. */
const verticesOf = (tiling: Tiling): Vec[] =>
  tiling.sheet.places.flatMap(({ piece, by }) => piece.cut.map((p) => add(p, by)));

/** The tile whose trimmed part holds a point. */
const cellOf = ({ tiles, stepX, stepY }: Tiling, [x, y]: Vec) =>
  tiles.find((t) => x >= t.minX && x <= t.minX + stepX && y <= t.maxY && y >= t.maxY - stepY);

/** Whether the sheet joined from trimmed pages (4 dots a millimetre) shows ink at a point. */
function darkOnJoined(tiling: Tiling, pages: readonly Raster[], p: Vec): boolean {
  const cell = cellOf(tiling, p);
  if (!cell || cell.blank) return false;
  const page = pages[tiling.tiles.filter((t) => !t.blank).indexOf(cell)]!;
  const x = (p[0] - cell.minX + MARGIN) * 4;
  const y = page.height - (p[1] - cell.minY + MARGIN) * 4;
  return darkestNear(page, x, y, 1) < 200;
}
