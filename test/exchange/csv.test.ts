import fc from 'fast-check';
import { describe, expect, it, vi } from 'vitest';
import {
  type Cell,
  chartCsv,
  consumptionCsv,
  csv,
  cutLinesCsv,
  cutListCsv,
  pieceListCsv,
  placementsCsv,
  stampCsv,
  stampTables,
  truingCsv,
} from '../../src/exchange/csv.js';
import { checkCutLines } from '../../src/exchange/cut-lines.js';
import type { Vec } from '../../src/geometry/vec.js';
import { toMarker } from '../../src/lay/frame.js';
import { sampleReport } from '../report/sample.js';
import { basePieces, bodyPiece, place, sampleMarker, tubeMarker } from './sample.js';
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
      cutLinesCsv([checkCutLines(sampleMarker()), checkCutLines(tubeMarker())]),
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

describe('the list of placed pieces', () => {
  const rowsOf = (text: string) => text.trimEnd().split('\r\n').slice(1);

  it('has the whole text of every label: style, piece, size, bundle, number and ply face', () => {
    const marker = sampleMarker();
    const rows = rowsOf(pieceListCsv([marker]));
    expect(rows).toHaveLength(marker.pieces.length);
    marker.pieces.forEach((placed, i) => {
      const hand = placed.mirrored ? ' (mirrored)' : '';
      expect(rows[i]).toContain(
        `"Harbour crew, ${placed.piece.name} ${placed.piece.size}${hand}, ${placed.garment}, no. ${placed.number}, face up",yes`,
      );
    });
  });

  it('says where a ply gives two pieces, one, or a small piece bears fewer words', () => {
    const [half, sleeve] = rowsOf(pieceListCsv([tubeMarker()]));
    expect(half).toMatch(/^tube,1,Harbour crew,front,M,M-1,on fold,both faces,self,1,/);
    expect(sleeve).toMatch(/^tube,2,Harbour crew,sleeve,M,M-1,as drawn,both faces,self,2,/);
    const piece = bodyPiece('M');
    const tab = { ...piece, name: 'tab', cut: piece.cut.map(([x, y]): Vec => [0.04 * x, 0.04 * y]) };
    const marker = { ...sampleMarker(), pieces: [place(tab, 'M-1', 7, false, [0, 0])] };
    expect(rowsOf(pieceListCsv([marker]))[0]).toMatch(/"Harbour crew, tab M, M-1, no\. 7, face up",no$/);
  });
});

describe('a stamped table', () => {
  it('bears the warning in every row, and once only', () => {
    const plain = csv([
      ['name', 'note'],
      ['a', 'two\r\nlines, "quoted"'],
      ['b', undefined],
    ]);
    const stamped = stampCsv(plain, 'SEAMS, off');
    expect(stamped).toBe(
      'name,note,warning\r\na,"two\r\nlines, ""quoted""","SEAMS, off"\r\nb,,"SEAMS, off"\r\n',
    );
    expect(stampCsv(stamped, 'SEAMS, off')).toBe(stamped);
    expect(stampCsv(plain, undefined)).toBe(plain);
  });

  it('is every table among files, and nothing else', () => {
    const files = [
      { name: 'a.csv', content: 'x\r\n1\r\n' },
      { name: 'b.txt', content: 'x\r\n' },
      { name: 'c.pdf', content: new Uint8Array([1]) },
    ];
    expect(stampTables(files, 'S')).toEqual([
      { name: 'a.csv', content: 'x,warning\r\n1,S\r\n' },
      files[1],
      files[2],
    ]);
  });
});
