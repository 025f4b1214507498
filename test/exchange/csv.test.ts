import fc from 'fast-check';
import { describe, expect, it, vi } from 'vitest';
import {
  type Cell,
  chartCsv,
  consumptionCsv,
  csv,
  cutListCsv,
  placementsCsv,
  truingCsv,
} from '../../src/exchange/csv.js';
import { toMarker } from '../../src/lay/frame.js';
import { sampleReport } from '../report/sample.js';
import { basePieces, sampleMarker } from './sample.js';
import { hasPython, needing, PYTHON, run } from './tools.js';

// Starting Python takes its time on a busy machine.
vi.setConfig({ testTimeout: 60_000 });

describe('a table as CSV', () => {
  it('follows RFC 4180: CRLF, quotes where needed, quotes doubled', () => {
    const rows: Cell[][] = [
      ['plain', 'a, b', 'say "so"', 'two\nlines'],
      [1.5, -0, true, undefined],
    ];
    expect(csv(rows)).toBe('plain,"a, b","say ""so""","two\nlines"\r\n1.5,0,yes,\r\n');
  });

  it('writes numbers with a point and few decimals, and refuses what is no number', () => {
    expect(csv([[1 / 3, 2e-9, 12_345.678_9]])).toBe('0.3333,0,12345.6789\r\n');
    expect(() => csv([[Number.NaN]])).toThrow('NaN cannot be written');
  });

  it('keeps a spreadsheet from running text as a formula', () => {
    expect(csv([['=1+1', '@x', '-y', -3]])).toBe("'=1+1,'@x,'-y,-3\r\n");
  });

  it.skipIf(!hasPython)(needing("is read back by Python's csv module", 'python3', hasPython), () => {
    const text = fc
      .string({ unit: 'grapheme', maxLength: 12 })
      .filter((s) => !/^[=+\-@]/.test(s) && !s.includes('\u0000'));
    const tables = fc.sample(
      fc.array(fc.array(text, { minLength: 3, maxLength: 3 }), { minLength: 1, maxLength: 6 }),
      {
        numRuns: 60,
        seed: 7,
      },
    );
    const script =
      'import csv, io, json, sys; print(json.dumps([list(csv.reader(io.StringIO(t, newline=""))) for t in json.load(sys.stdin)]))';
    const read = JSON.parse(run(PYTHON, ['-c', script], JSON.stringify(tables.map((rows) => csv(rows)))));
    expect(read).toEqual(tables);
  });
});

describe('tables of a style', () => {
  const data = sampleReport();
  const rowsOf = (text: string) =>
    text
      .trimEnd()
      .split('\r\n')
      .map((line) => line.split(','));

  it('gives one row per measure and size in the unit asked for', () => {
    const rows = rowsOf(chartCsv(data.chart, 'in'));
    expect(rows).toHaveLength(1 + 3 * 7);
    const base = rows.find((r) => r[0] === 'chest' && r[1] === 'M')!;
    // 1040 mm expected, 1040.04 measured.
    expect(Number(base[2])).toBeCloseTo(1040.04 / 25.4, 3);
    expect(Number(base[3])).toBeCloseTo(1040 / 25.4, 3);
    expect(base[7]).toBe('in');
    expect(rows.find((r) => r[0] === 'body length' && r[1] === 'XL')![6]).toBe('no');
  });

  it('lists seams in lengths and joins in degrees', () => {
    const rows = rowsOf(truingCsv(data.truing, 'cm'));
    expect(rows).toHaveLength(1 + 7 * 5);
    expect(rows.find((r) => r[0] === '3XL' && r[2] === 'shoulder')).toEqual(
      expect.arrayContaining(['0.32', 'no', 'cm']),
    );
    expect(rows.filter((r) => r[1] === 'join').every((r) => r[9] === 'degrees')).toBe(true);
  });

  it('keeps every row as long as its heading', () => {
    for (const text of [
      consumptionCsv(data.consumption),
      placementsCsv(sampleMarker()),
      cutListCsv(basePieces()),
    ]) {
      const rows = rowsOf(text);
      expect(rows.length).toBeGreaterThan(1);
      for (const row of rows) expect(row).toHaveLength(rows[0]!.length);
    }
  });

  it('places each piece so that its outline follows from the row', () => {
    const marker = sampleMarker();
    const rows = rowsOf(placementsCsv(marker)).slice(1);
    rows.forEach((row, i) => {
      const placed = marker.pieces[i]!;
      const map = toMarker({
        mirrored: row[5] === 'yes',
        rotation: Number(row[6]),
        at: [Number(row[7]), Number(row[8])],
      });
      const mapped = placed.piece.cut.map(map);
      for (const [x, y] of placed.outline) {
        expect(Math.min(...mapped.map((p) => Math.hypot(p[0] - x, p[1] - y)))).toBeLessThan(1e-3);
      }
    });
  });
});
