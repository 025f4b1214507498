import { PDFArray, PDFDict, PDFDocument, PDFName, PDFString } from 'pdf-lib';
import { describe, expect, it, vi } from 'vitest';
import { EDGE, markerPdf, STRIP } from '../../../src/exchange/pdf/marker.js';
import { PAPERS, type Paper } from '../../../src/exchange/pdf/paper.js';
import { tiledMarkerPdf } from '../../../src/exchange/pdf/tiles.js';
import { MARGIN, MARKER_EDGE, OVERLAP, type Tiling, tileMarker } from '../../../src/exchange/pdf/tiling.js';
import type { Marker } from '../../../src/lay/types.js';
import { type Raster, type Renderer, rasterise } from '../raster.js';
import { bandPiece, DAY, place, sampleMarker, sleevePiece, tubeMarker } from '../sample.js';
import { hasTool, needing, run, withFile } from '../tools.js';

// Rasterising takes its time on a busy machine.
vi.setConfig({ testTimeout: 60_000 });

const OPTIONS = { units: 'in', date: DAY } as const;
const PAPER_NAMES = Object.keys(PAPERS) as Paper[];
/** Ten dots a millimetre, so that every paper comes to whole dots. */
const DPI = 254;

/** Two pieces on 480 mm of cloth: small enough to be rasterised whole. */
function smallMarker(): Marker {
  const pieces = [
    place(bandPiece('M'), 'M-1', 1, false, [10, 10]),
    place(sleevePiece('M', 0.6), 'M-1', 2, false, [90, 10]),
  ];
  return { ...sampleMarker(), name: 'small', ratio: { M: 1 }, width: 480, length: 460, pieces };
}

describe('tiling a marker', () => {
  for (const paper of PAPER_NAMES) {
    it(`covers the cloth and its edge with tiles that meet, all of them printed (${paper})`, () => {
      const marker = sampleMarker({ repeats: 2 });
      const { tiles, columns, rows, stepX, stepY, page, sheet } = tileMarker(marker, paper);
      expect(sheet).toMatchObject({
        width: marker.length + 2 * MARKER_EDGE,
        height: marker.width + 2 * MARKER_EDGE,
      });
      expect(columns * stepX).toBeGreaterThanOrEqual(sheet.width);
      expect(rows * stepY).toBeGreaterThanOrEqual(sheet.height);
      expect((columns - 1) * stepX).toBeLessThan(sheet.width);
      expect((rows - 1) * stepY).toBeLessThan(sheet.height);
      expect(tiles).toHaveLength(columns * rows);
      expect(new Set(tiles.map((t) => t.name)).size).toBe(tiles.length);
      expect(tiles.every((t) => !t.blank)).toBe(true);
      for (const tile of tiles) {
        expect(tile.maxX - tile.minX).toBeCloseTo(page.width - 2 * MARGIN, 9);
        expect(tile.maxY - tile.minY).toBeCloseTo(page.height - 2 * MARGIN, 9);
        const right = tiles.find((t) => t.row === tile.row && t.column === tile.column + 1);
        if (right) expect(tile.maxX - right.minX).toBeCloseTo(OVERLAP, 9);
      }
    });

    it(`takes the page upright or level, whichever needs fewer (${paper})`, () => {
      const { width, height } = PAPERS[paper];
      const count = (w: number, h: number) =>
        Math.ceil((900 + 2 * MARKER_EDGE) / (h - 2 * MARGIN - OVERLAP)) *
        Math.ceil((tube.length + 2 * MARKER_EDGE) / (w - 2 * MARGIN - OVERLAP));
      const tube = tubeMarker();
      expect(tileMarker(tube, paper).tiles).toHaveLength(
        Math.min(count(width, height), count(height, width)),
      );
    });
  }
});

describe('a marker on sheets of paper', () => {
  it('is the same bytes each time', async () => {
    const first = await tiledMarkerPdf(smallMarker(), { ...OPTIONS, paper: 'A3' });
    expect(Buffer.compare(first, await tiledMarkerPdf(smallMarker(), { ...OPTIONS, paper: 'A3' }))).toBe(0);
  });

  it.skipIf(!hasTool('qpdf'))(
    needing('passes the check of qpdf on every paper', 'qpdf', hasTool('qpdf')),
    async () => {
      for (const paper of PAPER_NAMES) {
        const pdf = await tiledMarkerPdf(smallMarker(), { ...OPTIONS, paper });
        withFile('t.pdf', pdf, (path) => {
          expect(run('qpdf', ['--check', path])).toContain('No syntax or stream encoding errors found');
          expect(Number(run('qpdf', ['--show-npages', path]))).toBe(
            tileMarker(smallMarker(), paper).tiles.length + 1,
          );
        });
      }
    },
  );

  it.skipIf(!hasTool('pdftotext'))(
    needing('tells on its first page what it is and names every sheet', 'pdftotext', hasTool('pdftotext')),
    async () => {
      const marker = { ...smallMarker(), stamp: 'SEAMS OUT' };
      const pdf = await tiledMarkerPdf(marker, { ...OPTIONS, paper: 'A4' });
      const [first, ...sheets] = withFile('t.pdf', pdf, (path) =>
        run('pdftotext', ['-layout', path, '-']).split('\f').slice(0, -1),
      );
      const { tiles } = tileMarker(marker, 'A4');
      expect(sheets).toHaveLength(tiles.length);
      for (const words of [
        'SEAMS OUT: Harbour crew: small',
        'Print at 100 %',
        `this page and ${tiles.length} sheets`,
      ]) {
        expect(first).toContain(words);
      }
      expect(first!.replace(/\s+/g, ' ')).toContain('(480 mm)');
      tiles.forEach(({ name }, i) => {
        expect(first).toContain(name);
        expect(sheets[i]).toContain(`SEAMS OUT: Harbour crew: small: sheet ${name}`);
      });
    },
  );

  it.skipIf(!hasTool('pdfinfo'))(
    needing('spends no A0 sheet on the map', 'pdfinfo', hasTool('pdfinfo')),
    async () => {
      const pdf = await tiledMarkerPdf(smallMarker(), { ...OPTIONS, paper: 'A0' });
      const info = withFile('t.pdf', pdf, (path) => run('pdfinfo', ['-f', '1', '-l', '2', path]));
      expect(info).toMatch(/Page +1 size: +\S+ x \S+ pts \(A4\)/);
      expect(info).toMatch(/Page +2 size: +\S+ x \S+ pts \(A0\)/);
    },
  );

  for (const renderer of ['pdftoppm', 'mutool'] as const satisfies readonly Renderer[]) {
    const present = hasTool(renderer);
    for (const paper of ['A4', 'Letter'] as const) {
      it.skipIf(!present)(
        needing(
          `joins to the picture on one page, every line and nothing else (${paper}, ${renderer})`,
          renderer,
          present,
        ),
        async () => {
          const marker = smallMarker();
          const whole = crop(
            rasterise(await markerPdf(marker, OPTIONS), renderer, DPI)[0]!,
            // The cloth and MARKER_EDGE round it.
            (STRIP + EDGE - MARKER_EDGE) * 10,
            (EDGE - MARKER_EDGE) * 10,
            (marker.length + 2 * MARKER_EDGE) * 10,
            (marker.width + 2 * MARKER_EDGE) * 10,
          );
          const sheets = await withoutSheetMarks(await tiledMarkerPdf(marker, { ...OPTIONS, paper }));
          const tiling = tileMarker(marker, paper);
          expect(tiling.tiles.length).toBeGreaterThan(4);
          const joined = join(tiling, rasterise(sheets, renderer, DPI).slice(1));
          expect([joined.width, joined.height]).toEqual([whole.width, whole.height]);

          // Dark here, nothing dark within a tenth of a millimetre there: none, either way.
          const ink = INK[renderer];
          expect(unmatched(whole, joined, ink)).toBe(0);
          expect(unmatched(joined, whole, ink)).toBe(0);
          // The check can fail: ink there is, and a picture moved by half a millimetre does not match.
          const white = { ...whole, pixels: new Uint8Array(whole.pixels.length).fill(255) };
          expect(unmatched(whole, white, ink)).toBeGreaterThan(10_000);
          const moved = crop(whole, 5, 5, whole.width - 5, whole.height - 5);
          expect(unmatched(moved, joined, ink)).toBeGreaterThan(1000);
        },
      );
    }
  }
});

/** The same PDF with the sheets' own marks switched off, as a reader of layers would. */
async function withoutSheetMarks(bytes: Uint8Array): Promise<Uint8Array> {
  const pdf = await PDFDocument.load(bytes);
  const properties = pdf.catalog.lookup(PDFName.of('OCProperties'), PDFDict);
  const groups = properties.lookup(PDFName.of('OCGs'), PDFArray).asArray();
  const marks = groups.filter((ref) => {
    const name = pdf.context.lookup(ref, PDFDict).lookup(PDFName.of('Name'), PDFString);
    return name.asString().startsWith('Sheet names');
  });
  expect(marks).toHaveLength(1);
  const shown = properties.lookup(PDFName.of('D'), PDFDict);
  shown.set(PDFName.of('OFF'), pdf.context.obj(marks));
  shown.set(PDFName.of('ON'), pdf.context.obj(groups.filter((ref) => !marks.includes(ref))));
  return pdf.save();
}

function crop(raster: Raster, left: number, bottom: number, width: number, height: number): Raster {
  const pixels = new Uint8Array(width * height);
  const top = raster.height - bottom - height;
  for (let y = 0; y < height; y++) {
    pixels.set(
      raster.pixels.subarray((top + y) * raster.width + left, (top + y) * raster.width + left + width),
      y * width,
    );
  }
  return { width, height, pixels };
}

/** Trims each page's left and top edge and lays the sheets on one another, as the instructions say. */
function join(tiling: Tiling, pages: readonly Raster[]): Raster {
  const [width, height] = [Math.round(tiling.sheet.width * 10), Math.round(tiling.sheet.height * 10)];
  const pixels = new Uint8Array(width * height).fill(255);
  tiling.tiles.forEach((tile, i) => {
    const page = pages[i]!;
    const [left, top] = [Math.round(tile.minX * 10), Math.round((tiling.sheet.height - tile.maxY) * 10)];
    for (let y = 0; y < tiling.stepY * 10 && top + y < height; y++) {
      for (let x = 0; x < tiling.stepX * 10 && left + x < width; x++) {
        pixels[(top + y) * width + left + x] = page.pixels[(MARGIN * 10 + y) * page.width + MARGIN * 10 + x]!;
      }
    }
  });
  return { width, height, pixels };
}

const LIGHT = 180;
/**
 * Darkest value that is matched. Black lines and lettering for MuPDF, which starts the dashes of the grey lines anew
 * at the edge of a page; the grey ones too for poppler.
 */
const INK: Readonly<Record<Renderer, number>> = { mutool: 60, pdftoppm: 100 };

/** Dark dots of `a` round which `b` has no ink within one dot. */
function unmatched(a: Raster, b: Raster, ink: number): number {
  let count = 0;
  for (let y = 0; y < Math.min(a.height, b.height); y++) {
    for (let x = 0; x < Math.min(a.width, b.width); x++) {
      if (a.pixels[y * a.width + x]! < ink && !inkNear(b, x, y)) count++;
    }
  }
  return count;
}

function inkNear({ width, height, pixels }: Raster, x: number, y: number): boolean {
  for (let py = Math.max(0, y - 1); py <= Math.min(height - 1, y + 1); py++) {
    for (let px = Math.max(0, x - 1); px <= Math.min(width - 1, x + 1); px++) {
      if (pixels[py * width + px]! < LIGHT) return true;
    }
  }
  return false;
}
