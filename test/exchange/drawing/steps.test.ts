import { describe, expect, it } from 'vitest';
import { recipeSchema, runRecipe } from '../../../src/alter/index.js';
import { pictureRows, stepPictures } from '../../../src/exchange/drawing/steps.js';
import { stepsPdf } from '../../../src/exchange/pdf/steps.js';
import { stepsSvg } from '../../../src/exchange/svg-steps.js';
import { area, contains } from '../../../src/geometry/polygon.js';
import type { Vec } from '../../../src/geometry/vec.js';
import { pieceArea, pieceOf } from '../../../src/pattern/model.js';
import { SWEATSHIRT } from '../../alter/helpers.js';
import { block } from '../../bodies.js';
import { hasTool, needing, run, withFile } from '../tools.js';

const { stages } = runRecipe(block(), recipeSchema('in').parse(SWEATSHIRT));
const pictures = stepPictures(block(), stages, 'in');

describe('the pictures of a recipe', () => {
  it('are one of the block and one a step, numbered as the recipe is', () => {
    expect(pictures.map((p) => p.heading)).toEqual([
      'the block',
      ...stages.map((s, i) => `${i + 1} ${s.step}`),
    ]);
  });

  it('show the pieces a step changed, before and after, at true size', () => {
    const slashed = pictures[1]!;
    expect(slashed.pieces.map((p) => p.name)).toEqual(['back']);
    const [back] = slashed.pieces;
    expect(area(back!.before!)).toBeCloseTo(pieceArea(pieceOf(block(), 'back')), -2);
    expect(area(back!.after)).toBeCloseTo(pieceArea(pieceOf(stages[0]!.pattern, 'back')), -2);
  });

  it('show a piece that a step made without a before, and the whole pattern where no outline changed', () => {
    const bands = pictures.find((p) => p.heading.endsWith('draft-band'))!;
    expect(bands.pieces.map((p) => p.name)).toEqual(['neckband']);
    expect(bands.pieces[0]!.before).toBeUndefined();
    const same = pictures.find((p) => p.heading.endsWith('match-shoulders'))!;
    expect(same.pieces.map((p) => p.name)).toEqual(['back', 'front', 'sleeve']);
    expect(same.pieces.every((p) => p.before === undefined)).toBe(true);
    expect(same.notes.at(-1)).toBe('no outline changed');
    expect(bands.notes).not.toContain('no outline changed');
  });

  it('draw the stretch where a step marks it, inside the piece, and say how much', () => {
    const marked = stepPictures(
      block(),
      runRecipe(
        block(),
        recipeSchema('in').parse([
          { 'mark-stretch': { percent: 30 } },
          { 'mark-stretch': { piece: 'sleeve', percent: 20, along: 'wale' } },
        ]),
      ).stages,
      'in',
    );
    expect(marked[0]!.pieces.flatMap((p) => p.arrow)).toEqual([]);
    expect(marked[1]!.notes).toEqual(['stretch 30 % along the courses']);
    expect(marked[2]!.notes).toEqual(['stretch 20 % along the wales']);
    expect(marked[2]!.pieces.map((p) => p.arrow.length > 0)).toEqual([false, false, true]);
    for (const { arrow, after } of marked[1]!.pieces) {
      expect(arrow).toHaveLength(3);
      const [[a, b]] = arrow as [readonly [Vec, Vec]];
      expect(Math.abs(a[1] - b[1])).toBeLessThan(1e-9);
      for (const p of arrow.flat()) expect(contains(after, p)).toBe(true);
    }
  });

  it('tell what the step measured, in the unit asked for', () => {
    const balanced = pictures.find((p) => p.heading.endsWith('balance-armholes'))!;
    expect(balanced.notes[0]).toBe('armholes');
    expect(balanced.notes[1]).toMatch(/^ {3}front before \d+( \d+\/\d+)? in$/);
    expect(stepPictures(block(), stages, 'cm')[7]!.notes[1]).toMatch(/ cm$/);
  });

  it('hold all they draw inside their frame, and do not overlap in rows', () => {
    for (const picture of pictures) {
      const points = picture.pieces.flatMap((p) => [...p.after, ...(p.before ?? []), ...p.internals.flat()]);
      for (const [x, y] of points) {
        expect(x).toBeGreaterThanOrEqual(-1e-6);
        expect(x).toBeLessThanOrEqual(picture.width + 1e-6);
        expect(y).toBeGreaterThan(0);
        expect(y).toBeLessThanOrEqual(picture.piecesHeight + 1e-6);
      }
    }
    const { places, width, height } = pictureRows(pictures, 3000);
    const boxes = pictures.map((p, i) => ({ x: places[i]![0], y: places[i]![1], w: p.width, h: p.height }));
    for (const [i, a] of boxes.entries()) {
      expect(a.x >= 0 && a.y >= 0 && a.x + a.w <= width && a.y + a.h <= height).toBe(true);
      for (const b of boxes.slice(i + 1)) {
        const apart = a.x + a.w <= b.x || b.x + b.w <= a.x || a.y + a.h <= b.y || b.y + b.h <= a.y;
        expect(apart).toBe(true);
      }
    }
  });
});

describe('a recipe as SVG and PDF', () => {
  it('has a group for every step, the before dashed, and the same bytes each time', async () => {
    const svg = stepsSvg(block(), stages, { title: 'Harbour crew', unit: 'in' });
    for (const { heading } of pictures) expect(svg).toContain(`<g><title>${heading}</title>`);
    const befores = pictures.flatMap((p) => p.pieces).filter((p) => p.before).length;
    expect(svg.match(/stroke="#8a8a8a"[^>]*stroke-dasharray/g)).toHaveLength(befores);
    const options = { title: 'Harbour crew', unit: 'in', date: new Date('2026-03-02T00:00:00Z') } as const;
    const first = await stepsPdf(block(), stages, options);
    expect(Buffer.compare(first, await stepsPdf(block(), stages, options))).toBe(0);
  });

  it.skipIf(!hasTool('pdftotext'))(
    needing('names every step on its pages', 'pdftotext', hasTool('pdftotext')),
    async () => {
      const pdf = await stepsPdf(block(), stages, { title: 'T', unit: 'in', date: new Date(0) });
      const text = withFile('s.pdf', pdf, (path) => run('pdftotext', ['-layout', path, '-']));
      for (const [i, { step }] of stages.entries()) expect(text).toMatch(new RegExp(`${i + 1}\\s+${step}`));
      expect(text.split('\f').slice(0, -1)).toHaveLength(Math.ceil(pictures.length / 6));
    },
  );
});
