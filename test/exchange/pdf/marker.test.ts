import { PDFDocument } from 'pdf-lib';
import { describe, expect, it, vi } from 'vitest';
import { bundleLabel } from '../../../src/exchange/drawing/marker.js';
import { divide, EDGE, markerPdf, STRIP, userUnitFor } from '../../../src/exchange/pdf/marker.js';
import { overviewPdf } from '../../../src/exchange/pdf/overview.js';
import { MAX_PAGE_MM } from '../../../src/exchange/pdf/paper.js';
import { contains } from '../../../src/geometry/polygon.js';
import type { Vec } from '../../../src/geometry/vec.js';
import type { Marker } from '../../../src/lay/types.js';
import { darkestNear, darkRunsInColumn, darkRunsInRow, type Renderer, rasterise } from '../raster.js';
import { bandPiece, DAY, place, sampleMarker, sleevePiece, TERRY, tubeMarker } from '../sample.js';
import { hasTool, needing, run, withFile } from '../tools.js';

// Rasterising takes its time on a busy machine.
vi.setConfig({ testTimeout: 60_000 });

const OPTIONS = { units: 'in', date: DAY } as const;
const RENDERERS: readonly Renderer[] = ['pdftoppm', 'mutool'];

/** Small enough to be rasterised at 254 dots an inch: ten to the millimetre. */
function smallMarker(): Marker {
  const pieces = [
    place(bandPiece('M'), 'M-1', 1, false, [10, 10]),
    place(sleevePiece('M', 0.6), 'M-1', 2, false, [90, 10]),
  ];
  return { ...sampleMarker(), name: 'small', ratio: { M: 1 }, width: 480, length: 460, pieces };
}

describe('a marker as PDF at full scale', () => {
  it('writes the same bytes for the same marker and date, and others for another date', async () => {
    const first = await markerPdf(sampleMarker(), OPTIONS);
    await markerPdf(tubeMarker(), OPTIONS);
    expect(Buffer.compare(first, await markerPdf(sampleMarker(), OPTIONS))).toBe(0);
    const later = await markerPdf(sampleMarker(), { ...OPTIONS, date: new Date('2025-03-15T00:00:00Z') });
    expect(Buffer.compare(first, later)).not.toBe(0);
  });

  it('keeps one page up to 5.08 m and divides what is longer into equal parts that meet', () => {
    const longest = MAX_PAGE_MM - STRIP - 2 * EDGE;
    expect(divide(longest, MAX_PAGE_MM)).toEqual([{ from: 0, to: longest, shownFrom: 0, shownTo: longest }]);
    for (const length of [longest + 1, 9_700, 31_234.5]) {
      const parts = divide(length, MAX_PAGE_MM);
      expect(parts.length).toBeGreaterThan(1);
      expect(parts[0]!.from).toBe(0);
      expect(parts[parts.length - 1]!.to).toBe(length);
      for (const [i, part] of parts.entries()) {
        expect(part.shownTo - part.shownFrom + STRIP + 2 * EDGE).toBeLessThanOrEqual(MAX_PAGE_MM);
        if (i === 0) continue;
        expect(part.from).toBe(parts[i - 1]!.to);
        // Both pages of a join show 15 mm beyond it.
        expect(parts[i - 1]!.shownTo - part.shownFrom).toBeCloseTo(30, 9);
      }
    }
  });

  it.skipIf(!hasTool('qpdf'))(
    needing('passes the check of qpdf, with a layer for each kind of line', 'qpdf', hasTool('qpdf')),
    async () => {
      const pdf = await markerPdf(sampleMarker(), OPTIONS);
      withFile('m.pdf', pdf, (path) => {
        expect(run('qpdf', ['--check', path])).toContain('No syntax or stream encoding errors found');
        const plain = run('qpdf', ['--qdf', '--object-streams=disable', path, '-']);
        for (const title of [
          'Fabric edge',
          'Cut line',
          'Notches',
          'Internal lines',
          'Grain',
          'Stretch',
          'Labels',
        ]) {
          expect(plain).toContain(`/Name (${title})`);
        }
        expect(plain.match(/\/Type \/OCG/g)).toHaveLength(7);
        for (const layer of ['FABRIC', 'CUT', 'NOTCH', 'INTERNAL', 'GRAIN', 'STRETCH', 'LABEL']) {
          expect(plain.split(`/OC /${layer} BDC`)).toHaveLength(2);
        }
        expect(plain).toContain('/CreationDate (D:20250314000000Z)');
        expect(plain).not.toContain('UserUnit');
      });
    },
  );

  it.skipIf(!hasTool('pdftotext'))(
    needing('has text that can be selected and searched', 'pdftotext', hasTool('pdftotext')),
    async () => {
      const pdf = await markerPdf(sampleMarker(), OPTIONS);
      const text = withFile('m.pdf', pdf, (path) => run('pdftotext', ['-layout', path, '-']));
      expect(text).toContain('sleeve M (mirrored)');
      expect(text).toMatch(/M-2\s+no\. 5/);
      expect(text).toContain('Usable width 64 15/16 in (1650 mm)');
    },
  );

  it.skipIf(!hasTool('pdffonts'))(
    needing('embeds a subset of its typefaces', 'pdffonts', hasTool('pdffonts')),
    async () => {
      const pdf = await markerPdf(sampleMarker(), OPTIONS);
      const fonts = withFile('m.pdf', pdf, (path) => run('pdffonts', [path]).trim().split('\n').slice(2));
      expect(fonts).toHaveLength(2);
      // Columns: embedded, and a map to Unicode.
      for (const font of fonts) expect(font).toMatch(/DejaVuSans.*Identity-H\s+yes\s+\w+\s+yes/);
      expect(pdf.length).toBeLessThan(200_000);
    },
  );

  for (const renderer of RENDERERS) {
    const present = hasTool(renderer);
    it.skipIf(!present)(
      needing(`prints the 100 mm and 4 in squares true to 0.1 mm (${renderer})`, renderer, present),
      async () => {
        const [page] = rasterise(await markerPdf(smallMarker(), OPTIONS), renderer, 254);
        // The square starts EDGE from the left and the bottom; ten pixels are a millimetre.
        const row = darkRunsInRow(page!, page!.height - (EDGE + 45) * 10, (EDGE - 5) * 10, (EDGE + 110) * 10);
        const column = darkRunsInColumn(
          page!,
          (EDGE + 3) * 10,
          page!.height - (EDGE + 110) * 10,
          page!.height - 1,
        );
        const [left, inner, outer] = row;
        const [top, upper, bottom] = column;
        expect([row.length, column.length]).toEqual([3, 3]);
        expect(Math.abs(inner! - left! - 1000)).toBeLessThanOrEqual(1);
        expect(Math.abs(outer! - left! - 1016)).toBeLessThanOrEqual(1);
        expect(Math.abs(bottom! - upper! - 1000)).toBeLessThanOrEqual(1);
        expect(Math.abs(bottom! - top! - 1016)).toBeLessThanOrEqual(1);
      },
    );

    it.skipIf(!present)(
      needing(
        `shows every vertex of a long marker at its place on joined pages (${renderer})`,
        renderer,
        present,
      ),
      async () => {
        const marker = sampleMarker();
        const maxPage = 1000;
        const parts = divide(marker.length, maxPage);
        expect(parts.length).toBeGreaterThan(2);
        const pages = rasterise(await markerPdf(marker, { ...OPTIONS, maxPage }), renderer, 101.6);
        expect(pages).toHaveLength(parts.length);
        let shown = 0;
        for (const [i, part] of parts.entries()) {
          const page = pages[i]!;
          const dark = ([x, y]: Vec) =>
            darkestNear(page, (x - part.shownFrom + STRIP + EDGE) * 4, page.height - (y + EDGE) * 4, 1) < 200;
          const vertices = marker.pieces
            .flatMap((p) => p.outline)
            .filter(([x]) => x >= part.shownFrom && x <= part.shownTo);
          expect(vertices.filter((v) => !dark(v))).toEqual([]);
          // The same question 4 mm to the inside finds white, so the check can fail.
          const off = vertices.filter(([x, y]) => x < part.to && dark([x + 4, y + 4]));
          expect(off.length).toBeLessThan(vertices.length / 2);
          shown += vertices.length;
        }
        expect(shown).toBeGreaterThanOrEqual(marker.pieces.flatMap((p) => p.outline).length);
      },
    );
  }

  for (const renderer of RENDERERS) {
    const present = hasTool(renderer);
    // A strip of the page at 300 dots an inch: the whole length of it, and 12 mm of its height.
    const strip = async (pdf: Uint8Array, bottom: number) => {
      const document = await PDFDocument.load(pdf);
      const page = document.getPage(0);
      page.setMediaBox(0, (bottom * 72) / 25.4, page.getWidth(), (12 * 72) / 25.4);
      return rasterise(await document.save(), renderer, 300)[0]!;
    };
    const mm = (dots: number) => (dots * 25.4) / 300;

    it.skipIf(!present)(
      needing(
        `is as long as its marker within 0.1 mm at 300 dots an inch, up to 5.08 m (${renderer})`,
        renderer,
        present,
      ),
      async () => {
        const longest = MAX_PAGE_MM - STRIP - 2 * EDGE;
        const marker = { ...smallMarker(), length: longest, pieces: smallMarker().pieces.slice(0, 1) };
        const row = await strip(await markerPdf(marker, OPTIONS), EDGE + 100);
        const edges = upright(row, mm);
        // The squares' left edge and their two right ones, the cloth's start and its end; the band lies between.
        const [start, end] = [edges.find((x) => x > STRIP)!, edges[edges.length - 1]!];
        expect(Math.abs(end - start - longest)).toBeLessThanOrEqual(0.1);
        expect(edges.length).toBeGreaterThan(2);
      },
    );

    it.skipIf(!present)(
      needing(`prints the squares true to 0.1 mm at 300 dots an inch (${renderer})`, renderer, present),
      async () => {
        const row = await strip(await markerPdf(smallMarker(), OPTIONS), EDGE + 40);
        const [left, inner, outer] = upright(row, mm);
        expect(Math.abs(inner! - left! - 100)).toBeLessThanOrEqual(0.1);
        expect(Math.abs(outer! - left! - 101.6)).toBeLessThanOrEqual(0.1);
      },
    );
  }

  describe('longer than 5.08 m, in user units', () => {
    const marker = { ...smallMarker(), length: 9500 };

    it('is one page that warns of readers which ignore them', async () => {
      expect(userUnitFor(marker)).toBe(2);
      const pdf = await markerPdf(marker, { ...OPTIONS, userUnit: true });
      const document = await PDFDocument.load(pdf);
      expect(document.getPageCount()).toBe(1);
      const { width } = document.getPage(0).getSize();
      expect((width * 2 * 25.4) / 72).toBeCloseTo(9500 + STRIP + 2 * EDGE, 6);
      expect(document.getPage(0).node.toString()).toMatch(/\/UserUnit 2\b/);
      if (!hasTool('pdftotext')) return;
      const text = withFile('m.pdf', pdf, (path) => run('pdftotext', [path, '-'])).replace(/\s+/g, ' ');
      expect(text).toContain('written in user units of 2 points');
      expect(text).toContain('2 times too small: measure the square');
    });

    it('is not written without being asked for, nor where one page is long enough', async () => {
      const pages = await PDFDocument.load(await markerPdf(marker, OPTIONS));
      expect(pages.getPageCount()).toBe(2);
      const short = await markerPdf(smallMarker(), { ...OPTIONS, userUnit: true });
      expect(Buffer.compare(short, await markerPdf(smallMarker(), OPTIONS))).toBe(0);
    });

    it.skipIf(!hasTool('mutool'))(
      needing('is shown at true scale by MuPDF, which knows them', 'mutool', hasTool('mutool')),
      async () => {
        const pdf = await markerPdf(marker, { ...OPTIONS, userUnit: true });
        const [page] = rasterise(pdf, 'mutool', 25.4);
        expect(Math.abs(page!.width - (9500 + STRIP + 2 * EDGE))).toBeLessThanOrEqual(1);
      },
    );
  });

  it.skipIf(!hasTool('pdftotext'))(
    needing(
      'sets every word of a label inside its piece, level or rising, never upside down',
      'pdftotext',
      hasTool('pdftotext'),
    ),
    async () => {
      // Names of wide letters, and pieces down to a narrow band.
      for (const marker of [
        sampleMarker(),
        { ...sampleMarker({ over: { style: 'MAMMOTH WOMWOM' } }), name: 'wide' },
        tubeMarker(),
      ]) {
        const box = await wordsOf(await markerPdf(marker, OPTIONS));
        for (const placed of marker.pieces) {
          const label = bundleLabel(marker, placed);
          const near = box.filter(
            (w) =>
              Math.abs(w.x - label.at[0]) <= label.half[0] && Math.abs(w.y - label.at[1]) <= label.half[1],
          );
          const words = label.lines.flatMap((line) => line.split(/\s+/));
          expect(near.map((w) => w.text).sort()).toEqual(words.sort());
          for (const word of near) {
            for (const corner of word.corners) expect(contains(placed.outline, corner)).toBe(true);
          }
        }
      }
    },
  );

  it.skipIf(!hasTool('pdftotext'))(
    needing('prints page numbers, joins and the stamp on every page', 'pdftotext', hasTool('pdftotext')),
    async () => {
      const over = { stamp: 'Seams out of tolerance', verified: false };
      const pdf = await markerPdf(sampleMarker({ over }), { ...OPTIONS, maxPage: 1000 });
      const pages = withFile('m.pdf', pdf, (path) => run('pdftotext', [path, '-']).split('\f').slice(0, -1));
      pages.forEach((text, i) => {
        expect(text).toContain(`Page ${i + 1} of ${pages.length}`);
        expect(text).toContain('Seams out of tolerance');
        expect(text).toContain('NOT VERIFIED');
        expect(text.includes(`Join ${i + 1}-${i + 2}`)).toBe(i + 1 < pages.length);
      });
    },
  );

  it.skipIf(!hasTool('pdftotext'))(
    needing(
      'shows on every page of several which part of the marker it is, and nothing of it on a single page',
      'pdftotext',
      hasTool('pdftotext'),
    ),
    async () => {
      const parts = divide(sampleMarker().length, 1000);
      expect(parts.length).toBeGreaterThan(2);
      const box = await stripWords(await markerPdf(sampleMarker(), { ...OPTIONS, maxPage: 1000 }));
      expect(box).toHaveLength(parts.length);
      const scale = (STRIP - 2 * EDGE) / sampleMarker().length;
      for (const words of box) {
        // Numbers alone, in the middle of their parts.
        parts.forEach(({ from, to }, i) => {
          const x = EDGE + ((from + to) / 2) * scale;
          expect(words.some((w) => w.text === `${i + 1}` && Math.abs(w.x - x) < 0.5)).toBe(true);
        });
      }
      const whole = await stripWords(await markerPdf(sampleMarker(), OPTIONS));
      expect(whole[0]!.some((w) => w.text === 'pages')).toBe(false);
    },
  );

  it('refuses coordinates that are not finite', async () => {
    const marker = sampleMarker();
    const [first] = marker.pieces;
    const broken = { ...marker, pieces: [{ ...first!, at: [Number.POSITIVE_INFINITY, 0] as Vec }] };
    await expect(markerPdf(broken, OPTIONS)).rejects.toThrow('not a finite number');
  });
});

describe('the overview of a marker', () => {
  it('is one landscape page, the same each time', async () => {
    for (const [paper, size] of [
      ['A4', '841.89 x 595.276'],
      ['Letter', '792 x 612'],
    ] as const) {
      const pdf = await overviewPdf(sampleMarker(), { ...OPTIONS, paper });
      expect(Buffer.compare(pdf, await overviewPdf(sampleMarker(), { ...OPTIONS, paper }))).toBe(0);
      if (!hasTool('pdfinfo')) continue;
      const info = withFile('o.pdf', pdf, (path) => run('pdfinfo', [path]));
      expect(info).toMatch(/Pages:\s+1\n/);
      expect(info).toContain(size);
      expect(info).toContain('Harbour crew: main, overview');
    }
  });

  it.skipIf(!hasTool('pdftotext'))(
    needing('names every number and the sizes', 'pdftotext', hasTool('pdftotext')),
    async () => {
      const pdf = await overviewPdf(
        sampleMarker({ over: { fabric: { ...TERRY, name: 'tarn terry' } } }),
        OPTIONS,
      );
      const text = withFile('o.pdf', pdf, (path) => run('pdftotext', [path, '-']));
      for (let n = 1; n <= 12; n++) expect(text).toMatch(new RegExp(`\\b${n}\\b`));
      for (const word of ['M x 2', 'S x 1', 'tarn terry']) expect(text).toContain(word);
      expect(text).toContain('The lower edge is the lower selvedge');
      const tube = withFile('o.pdf', await overviewPdf(tubeMarker(), OPTIONS), (path) =>
        run('pdftotext', [path, '-']),
      );
      expect(tube).toContain('Both edges are folds of the tube');
      expect(tube).not.toContain('selvedge');
    },
  );
});

/** Middles of the upright lines of a strip, mm: columns that are dark over most of its height. */
function upright(
  row: { width: number; height: number; pixels: Uint8Array },
  mm: (dots: number) => number,
): number[] {
  const found: number[] = [];
  let from = -1;
  for (let x = 0; x <= row.width; x++) {
    let inked = 0;
    for (let y = 0; x < row.width && y < row.height; y++) if (row.pixels[y * row.width + x]! < 170) inked++;
    // Dashes of the cloth's edge are 12 of 20 mm.
    const line = inked > row.height * 0.5;
    if (line && from < 0) from = x;
    if (!line && from >= 0) {
      found.push(mm((from + x) / 2));
      from = -1;
    }
  }
  return found;
}

interface Word {
  readonly text: string;
  readonly x: number;
  readonly y: number;
  readonly corners: readonly Vec[];
}

/** Words of the first page with their boxes in the marker's frame, mm; the box is that of the type, not of its ink. */
async function wordsOf(pdf: Uint8Array): Promise<Word[]> {
  const { height } = (await PDFDocument.load(pdf)).getPage(0).getSize();
  const html = withFile('m.pdf', pdf, (path) => run('pdftotext', ['-bbox', path, '-']));
  const mm = (points: string) => (Number(points) * 25.4) / 72;
  return [
    ...html.matchAll(/<word xMin="([\d.]+)" yMin="([\d.]+)" xMax="([\d.]+)" yMax="([\d.]+)">([^<]*)</g),
  ].map(([, left, top, right, bottom, text]): Word => {
    const [x0, x1] = [mm(left!) - STRIP - EDGE, mm(right!) - STRIP - EDGE];
    const [y0, y1] = [(height * 25.4) / 72 - mm(bottom!) - EDGE, (height * 25.4) / 72 - mm(top!) - EDGE];
    return {
      text: text!,
      x: (x0 + x1) / 2,
      y: (y0 + y1) / 2,
      corners: [
        [x0, y0],
        [x1, y0],
        [x1, y1],
        [x0, y1],
      ],
    };
  });
}

/** Words in the strip at the start of each page, with the middle of each from the page's left edge, mm. */
async function stripWords(pdf: Uint8Array): Promise<{ text: string; x: number }[][]> {
  const html = withFile('m.pdf', pdf, (path) => run('pdftotext', ['-bbox', path, '-']));
  return html
    .split('<page ')
    .slice(1)
    .map((page) =>
      [...page.matchAll(/<word xMin="([\d.]+)" yMin="[\d.]+" xMax="([\d.]+)" yMax="[\d.]+">([^<]*)</g)]
        .map(([, left, right, text]) => ({
          text: text!,
          x: ((Number(left) + Number(right)) / 2) * (25.4 / 72),
        }))
        .filter((word) => word.x < STRIP),
    );
}
