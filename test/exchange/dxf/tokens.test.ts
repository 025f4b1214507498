import { Buffer } from 'node:buffer';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { decodeDxf } from '../../../src/exchange/dxf/encoding.js';
import { DXF_LIMITS } from '../../../src/exchange/dxf/limits.js';
import { RecordReader } from '../../../src/exchange/dxf/records.js';
import { GroupReader } from '../../../src/exchange/dxf/tokens.js';
import { errorOf, groups, type Pair } from './helpers.js';

const pairsOf = (text: string): Pair[] => {
  const reader = new GroupReader(text, 'a.dxf');
  const found: Pair[] = [];
  while (reader.next()) found.push([reader.code, reader.value]);
  return found;
};

/** Any text without an end of line. */
const value = fc.string({ unit: 'grapheme', maxLength: 40 }).map((s) => s.replace(/[\r\n]/g, ' '));
const pair = fc.tuple(
  fc.integer({ min: -5, max: 1071 }).filter((code) => code !== 999),
  value,
);

describe('the pairs of a DXF', () => {
  it('come back as they were written, with any end of line', () => {
    fc.assert(
      fc.property(
        fc.array(pair, { maxLength: 40 }),
        fc.constantFrom('\n', '\r\n', '\r'),
        (pairs, newline) => {
          // A blank last line cannot be told from the end of the file; every DXF ends in EOF.
          const whole: Pair[] = [...pairs, [0, 'EOF']];
          expect(pairsOf(groups(whole, newline))).toEqual(whole);
        },
      ),
    );
  });

  it('know their lines, comments counted', () => {
    const reader = new GroupReader('  0\nSECTION\n999\nmade today\n  2\nHEADER\n', 'a.dxf');
    const lines: number[] = [];
    while (reader.next()) lines.push(reader.line);
    expect(lines).toEqual([1, 5]);
  });

  it('end where the text breaks off between a code and its value', () => {
    expect(pairsOf('  0\nLINE\n 10\n')).toEqual([[0, 'LINE']]);
    expect(pairsOf('  0\nEOF')).toEqual([[0, 'EOF']]);
  });

  it.each([
    ['  0\nLINE\n\n 10\n1\n', 3, 'a blank line stands where a group code belongs'],
    ['  0\nLINE\nten\n1\n', 3, "'ten' stands where a group code"],
    ['  0\nLINE\n 10\n1\n1.5\n2\n', 5, "'1.5' stands where"],
    ['  0\nLINE\n2000\n1\n', 3, "'2000' stands where"],
    ['  0\nLINE\n\u0000\u0001\n1\n', 3, "'??' stands where"],
  ])('are refused with the line where they are out of step: %j', (text, line, message) => {
    const error = errorOf(() => pairsOf(text));
    expect(error.name).toBe('InputError');
    expect(error.message).toContain(message);
    expect(error.place).toEqual({ file: 'a.dxf', line });
    expect(error.mend).toMatch(/a line was lost or added/);
  });
});

describe('the records of a DXF', () => {
  const records = (text: string, limit = DXF_LIMITS) => {
    const reader = new RecordReader(text, 'a.dxf', limit);
    const found = [];
    for (let r = reader.next(); r; r = reader.next()) found.push(r);
    return found;
  };

  it('hold every group up to the next record, at its line', () => {
    fc.assert(
      fc.property(
        fc.array(
          fc.tuple(fc.constantFrom('LINE', 'ARC', 'X'), fc.array(pair.filter(([c]) => c !== 0 && c !== 101))),
          {
            minLength: 1,
            maxLength: 10,
          },
        ),
        (list) => {
          const text = groups([...list.flatMap(([type, body]): Pair[] => [[0, type], ...body]), [0, 'EOF']]);
          const found = records(text);
          expect(found.map((r) => r.type)).toEqual([...list.map(([type]) => type), 'EOF']);
          let line = 1;
          list.forEach(([, body], i) => {
            expect(found[i]!.line).toBe(line);
            expect(found[i]!.codes).toEqual(body.map(([code]) => code));
            expect(found[i]!.values).toEqual(body.map(([, v]) => v));
            expect(found[i]!.lines).toEqual(body.map((_, k) => line + 3 + 2 * k));
            expect(found[i]!.whole).toBe(true);
            line += 2 * (1 + body.length);
          });
        },
      ),
    );
  });

  it('say when the text broke off in the last of them', () => {
    expect(records('  0\nLINE\n 10\n1.2').map((r) => r.whole)).toEqual([false]);
    expect(records('  0\nLINE\n 10\n1.2\n  0\nEOF').map((r) => r.whole)).toEqual([true, true]);
  });

  it('leave out what is embedded in another object', () => {
    const [mtext] = records('  0\nMTEXT\n 10\n5\n101\nEmbedded Object\n 10\n99\n  0\nEOF\n');
    expect(mtext!.values).toEqual(['5']);
  });

  it.each([
    ['12.5', 12.5],
    ['  -3  ', -3],
    ['+.5', 0.5],
    ['1.', 1],
    ['-1.25E+2', -125],
    ['1e-3', 0.001],
  ])('read %j as a number', (text, number) => {
    const [record] = records(`  0\nX\n 10\n${text}\n  0\nEOF\n`);
    expect(record!.length(10)).toBe(number);
    expect(record!.fault).toBeUndefined();
  });

  it.each([
    ['NaN', 'with a coordinate that is not a number'],
    ['', 'with a coordinate that is not a number'],
    ['0x1F', 'with a coordinate that is not a number'],
    ['1.2.3', 'with a coordinate that is not a number'],
    ['12,5', 'with a decimal comma: numbers are written with a point'],
    ['1e300', 'with a coordinate beyond 100000000 units'],
    ['1e999', 'with a coordinate beyond 100000000 units'],
    ['-1000000000000', 'with a coordinate beyond 100000000 units'],
  ])('keep the fault of %j', (text, fault) => {
    const [record] = records(`  0\nX\n 10\n${text}\n  0\nEOF\n`);
    expect(record!.length(10)).toBe(0);
    expect(record!.fault).toBe(fault);
  });

  it('are limited in number', () => {
    const error = errorOf(() =>
      records(groups(Array<Pair>(9).fill([0, 'X'])), { ...DXF_LIMITS, records: 5 }),
    );
    expect(error.message).toBe('the DXF has more than 5 records');
    expect(error.place).toEqual({ file: 'a.dxf', line: 11 });
  });
});

describe('the encoding of a DXF', () => {
  const text = (page: string, words: string) =>
    `  0\nSECTION\n  2\nHEADER\n  9\n$DWGCODEPAGE\n  3\n${page}\n  0\nENDSEC\n  1\n${words}\n`;
  const words = (decoded: { text: string }) => decoded.text.trimEnd().split('\n').pop();

  it.each([
    ['ANSI_1252', 'Größe', 'latin1', 'windows-1252'],
    ['ANSI_1252', 'Größe', 'utf8', 'utf-8'],
    ['ansi_1252', 'plain', 'latin1', 'utf-8'],
  ] as const)('%s, %s in %s bytes, is read as %4$s', (page, said, bytes, encoding) => {
    const decoded = decodeDxf(Buffer.from(text(page, said), bytes), 'a.dxf');
    expect(words(decoded)).toBe(said);
    expect(decoded.encoding).toBe(encoding);
    expect(decoded.note).toBeUndefined();
  });

  it('takes the code page of the header', () => {
    // "окно" in windows-1251 and "袖" (sleeve) in Shift JIS, byte by byte.
    const cyrillic = Buffer.concat([
      Buffer.from(text('ANSI_1251', '').trimEnd()),
      Buffer.from([10, 0xee, 0xea, 0xed, 0xee, 10]),
    ]);
    expect(words(decodeDxf(cyrillic, 'a.dxf'))).toBe('окно');
    const japanese = Buffer.concat([
      Buffer.from(text('ANSI_932', '').trimEnd()),
      Buffer.from([10, 0x91, 0xb3, 10]),
    ]);
    expect(words(decodeDxf(japanese, 'a.dxf'))).toBe('袖');
  });

  it('goes by a byte order mark', () => {
    const plain = text('ANSI_1252', 'Größe');
    for (const bytes of [Buffer.from(`\ufeff${plain}`), Buffer.from(`\ufeff${plain}`, 'utf16le')]) {
      const decoded = decodeDxf(bytes, 'a.dxf');
      expect(decoded.text.startsWith('  0\n')).toBe(true);
      expect(words(decoded)).toBe('Größe');
    }
    const swapped = Buffer.from(`\ufeff${plain}`, 'utf16le').swap16();
    expect(decodeDxf(swapped, 'a.dxf').encoding).toBe('utf-16be');
  });

  it('says when it had to guess', () => {
    const bytes = Buffer.from('  0\nSECTION\n  1\nGröße\n', 'latin1');
    expect(decodeDxf(bytes, 'a.dxf').note).toMatch(/read as windows-1252/);
  });
});
