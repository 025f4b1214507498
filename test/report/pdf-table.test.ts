import fc from 'fast-check';
import { beforeAll, describe, expect, it, vi } from 'vitest';
import { PaperDocument } from '../../src/exchange/pdf/paper.js';
import { bold, numeric, plainText, small, type Text, table } from '../../src/report/document.js';
import { setTable } from '../../src/report/pdf-table.js';
import { Typesetter } from '../../src/report/pdf-text.js';

vi.setConfig({ testTimeout: 60_000, hookTimeout: 60_000 });

let setter: Typesetter;
beforeAll(async () => {
  const paper = await PaperDocument.open({ title: 't', subject: 's', date: new Date(0) });
  setter = new Typesetter(paper.fonts);
});

const ROOM = 182;
const words = (text: string): string => text.replace(/\s+/g, '');

describe('a table on a page', () => {
  it('never leaves the page, breaks no figure and loses no letter', () => {
    const word = fc.stringMatching(/^[a-z0-9.,]{1,14}$/);
    const cell = fc.array(word, { minLength: 0, maxLength: 8 }).map((parts) => parts.join(' '));
    const row = fc.tuple(word, cell, cell, fc.integer().map(String), fc.integer().map(String));
    fc.assert(
      fc.property(fc.array(row, { minLength: 1, maxLength: 5 }), (rows) => {
        const set = setTable(
          setter,
          table([{ head: 'Name' }, { head: 'One' }, { head: 'Two' }, ...numeric('Three', 'Four')], rows),
          ROOM,
        );
        expect(set).toHaveLength(1);
        const [only] = set;
        expect(only!.width).toBeLessThanOrEqual(ROOM + 1e-6);
        only!.rows.forEach(({ cells }, r) => {
          cells.forEach((lines, c) => {
            const { left, right, numeric: figures } = only!.columns[c]!;
            for (const line of lines) expect(line.width).toBeLessThanOrEqual(right - left + 1e-6);
            if (figures) expect(lines.length).toBe(1);
            const text = lines.flatMap((l) => l.spans.map((s) => s.text)).join('');
            expect(words(text)).toBe(words(rows[r]![c]!));
          });
        });
      }),
      { numRuns: 60 },
    );
  });

  it('with more sizes than fit is parted, the first column in every part', () => {
    const sizes = Array.from({ length: 30 }, (_, i) => `size ${i}`);
    const rows = [['chest girth', ...sizes.map((_, i) => `${36 + i} 11/16`)]];
    const parts = setTable(setter, table([{ head: 'Measure' }, ...numeric(...sizes)], rows), ROOM);
    expect(parts.length).toBeGreaterThan(1);
    for (const part of parts) {
      expect(part.width).toBeLessThanOrEqual(ROOM + 1e-6);
      expect(part.head.cells[0]!.map((l) => l.spans[0]!.text)).toEqual(['Measure']);
    }
    const shown = parts.flatMap((p) =>
      p.head.cells.slice(1).map((c) => c.map((l) => l.spans[0]!.text).join(' ')),
    );
    expect(shown).toEqual(sizes);
  });

  it('breaks a word that is wider than its column alone', () => {
    const long = 'x'.repeat(400);
    const lines = setter.lines(long, { height: 2 }, 50);
    expect(lines.length).toBeGreaterThan(5);
    for (const line of lines) expect(line.width).toBeLessThanOrEqual(50 + 1e-6);
    expect(lines.flatMap((l) => l.spans.map((s) => s.text)).join('')).toBe(long);
  });
});

describe('a text whose parts stand out', () => {
  const shown = (text: Text, room = 1000) =>
    setter.lines(text, { height: 2 }, room).map((line) => line.spans.map((s) => s.text));

  it('keeps the spaces between its parts, and none where there was none', () => {
    expect(shown([bold('Blades.'), ' Guards cover'])).toEqual([['Blades.', 'Guards cover']]);
    const [line] = setter.lines(['a', bold('b')], { height: 2 }, 100);
    expect(line!.spans[1]!.x).toBeCloseTo(setter.width('a', { height: 2 }), 9);
    const [apart] = setter.lines(['a ', bold('b')], { height: 2 }, 100);
    expect(apart!.spans[1]!.x).toBeGreaterThan(line!.spans[1]!.x + 0.3);
  });

  it('sets small parts on a line of their own', () => {
    expect(shown(['1.00 m', small('1.09 yd')])).toEqual([['1.00 m'], ['1.09 yd']]);
    expect(plainText(['1.00 m', small('1.09 yd')])).toBe('1.00 m 1.09 yd');
    expect(shown('')).toEqual([]);
  });
});
