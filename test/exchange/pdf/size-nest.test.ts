import { describe, expect, it, vi } from 'vitest';
import { sizeNestPdf } from '../../../src/exchange/pdf/size-nest.js';
import { gradePattern } from '../../../src/grade/index.js';
import { pieceOf, pointOf } from '../../../src/pattern/model.js';
import { EVERY_INCREMENT, SIZES, samplePattern, specOf } from '../../grade/helpers.js';
import { type Raster, rasterise } from '../raster.js';
import { DAY } from '../sample.js';
import { hasTool, needing, run, withFile } from '../tools.js';

// Rasterising takes its time on a busy machine.
vi.setConfig({ testTimeout: 60_000 });

const base = samplePattern();
const range = gradePattern(base, specOf({ increments: EVERY_INCREMENT }));
const OPTIONS = { title: 'Harbour crew', units: 'cm', date: DAY } as const;
const stack = { back: 'neck-point', sleeve: 'crown' };

describe('size nests as PDF', () => {
  it('are the same bytes each time', async () => {
    const first = await sizeNestPdf(range, { ...OPTIONS, stack });
    expect(Buffer.compare(first, await sizeNestPdf(range, { ...OPTIONS, stack }))).toBe(0);
    expect(Buffer.compare(first, await sizeNestPdf(range, OPTIONS))).not.toBe(0);
  });

  it.skipIf(!hasTool('pdftotext'))(
    needing('give every piece a page with all sizes in its key', 'pdftotext', hasTool('pdftotext')),
    async () => {
      const pdf = await sizeNestPdf(range, { ...OPTIONS, stack });
      const pages = withFile('n.pdf', pdf, (path) => run('pdftotext', ['-layout', path, '-'])).split('\f');
      expect(pages.slice(0, -1)).toHaveLength(base.pieces.length);
      base.pieces.forEach(({ name }, i) => {
        expect(pages[i]).toContain(`Harbour crew: ${name}: ${SIZES.join(', ')}`);
        for (const size of SIZES) expect(pages[i]).toContain(size === 'M' ? 'M (base)' : size);
      });
      expect(pages[0]).toContain('stacked at neck-point');
      expect(pages[0]).toContain('Reduced 1 : 4');
      expect(pages[1]).toContain('stacked in the frame of the piece');
    },
  );

  it.skipIf(!hasTool('qpdf'))(needing('pass the check of qpdf', 'qpdf', hasTool('qpdf')), async () => {
    const pdf = await sizeNestPdf(range, { ...OPTIONS, scale: 'true' });
    withFile('n.pdf', pdf, (path) => {
      expect(run('qpdf', ['--check', path])).toContain('No syntax or stream encoding errors found');
    });
  });

  // 127 dots an inch: five to the millimetre.
  it.skipIf(!hasTool('pdftoppm'))(
    needing('draw a single size at true scale', 'pdftoppm', hasTool('pdftoppm')),
    async () => {
      const alone = { ...range, sizes: range.sizes.filter((s) => s.size === 'M') };
      const pdf = await sizeNestPdf(alone, { ...OPTIONS, pieces: ['back'], scale: 'true' });
      const [page] = rasterise(pdf, 'pdftoppm', 127);
      const hem = pointOf(pieceOf(base, 'back'), 'side-hem')[0];
      expect(widestRow(page!) / 5).toBeGreaterThan(hem - 1);
      expect(widestRow(page!) / 5).toBeLessThan(hem + 2);
    },
  );

  it('refuse a piece that no size has', async () => {
    await expect(sizeNestPdf(range, { ...OPTIONS, pieces: ['hood'] })).rejects.toThrow(
      "no size has a piece 'hood'",
    );
  });
});

/** Longest unbroken run of ink along a row, dots: the hem. */
function widestRow({ width, height, pixels }: Raster): number {
  let widest = 0;
  for (let y = 0; y < height; y++) {
    let inked = 0;
    for (let x = 0; x < width; x++) {
      inked = pixels[y * width + x]! < 235 ? inked + 1 : 0;
      widest = Math.max(widest, inked);
    }
  }
  return widest;
}
