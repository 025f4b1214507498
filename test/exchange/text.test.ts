import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { checkCutLines } from '../../src/exchange/cut-lines.js';
import { cuttingReadme } from '../../src/exchange/cutting-readme.js';
import { MARKER_LAYERS } from '../../src/exchange/layers.js';
import { fixed, short } from '../../src/exchange/numbers.js';
import { dxfText, escapeXml, fileName, oneLine } from '../../src/exchange/text.js';
import type { Marker } from '../../src/lay/types.js';
import { bandPiece, place, sampleMarker, tubeMarker } from './sample.js';

describe('numbers in files', () => {
  it('have fixed decimals, no exponent and no negative zero', () => {
    fc.assert(
      fc.property(fc.double({ min: -1e9, max: 1e9, noNaN: true }), (value) => {
        const text = fixed(value, 4);
        expect(text).toMatch(/^-?\d+\.\d{4}$/);
        expect(text).not.toBe('-0.0000');
        expect(Math.abs(Number(text) - value)).toBeLessThanOrEqual(5.1e-5 + Math.abs(value) * 1e-15);
        expect(Number(short(value, 4))).toBe(Number(text));
      }),
    );
  });

  it('are refused when they are none, or too large', () => {
    for (const value of [Number.NaN, Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY]) {
      expect(() => fixed(value, 4)).toThrow('cannot be written to a file as a number');
    }
    expect(() => fixed(1e21, 4)).toThrow('too large');
  });

  it('lose their trailing zeros in the short form only after the point', () => {
    expect([100, 0.5, -0.00001, 12.3456].map((v) => short(v, 3))).toEqual(['100', '0.5', '0', '12.346']);
    expect(short(100, 0)).toBe('100');
  });
});

describe('text in files', () => {
  it('is one line without control characters, whatever comes in', () => {
    fc.assert(
      fc.property(fc.string({ unit: 'binary' }), (text) => {
        // biome-ignore lint/suspicious/noControlCharactersInRegex: it is what is looked for.
        expect(oneLine(text)).not.toMatch(/[\u0000-\u001f\u007f-\u009f\u2028\u2029]/);
        // Throws on half of a surrogate pair.
        expect(() => encodeURIComponent(oneLine(text))).not.toThrow();
        expect(dxfText(text)).not.toMatch(/%%|\n/);
        expect(escapeXml(text)).not.toMatch(/[<>"']/);
      }),
    );
  });

  it('keeps letters of every script', () => {
    expect(oneLine('Größe ½ 毛糸 𝒳')).toBe('Größe ½ 毛糸 𝒳');
    expect(escapeXml('a & b')).toBe('a &amp; b');
  });

  it('becomes a file name that no system refuses', () => {
    expect(fileName('Harbour crew / M: "main"')).toBe('harbour-crew-m-main');
    expect(fileName('../../etc')).toBe('etc');
    expect(fileName('???')).toBe('unnamed');
  });
});

describe('the text that goes with marker files', () => {
  const gapless = (over: Partial<Marker> = {}): Marker => {
    const marker = sampleMarker({ over });
    return { ...marker, options: { ...marker.options, gap: 0 } };
  };
  const text = cuttingReadme([sampleMarker()], { units: 'in' });
  const plain = (folded: string) => folded.replace(/\s+/g, ' ');

  it('explains every layer of the drawing and gives the size to check', () => {
    for (const layer of MARKER_LAYERS) expect(text).toMatch(new RegExp(`^${layer} +[A-Z]`, 'm'));
    expect(text).toContain('Usable width 64 15/16 in (1650 mm)');
    expect(text).toContain('Scale 1 : 1. Millimetres ($INSUNITS 4)');
  });

  it('tells how the drawing was written', () => {
    expect(plain(text)).toContain('the FABRIC rectangle must measure the laid width');
    const inches = cuttingReadme([sampleMarker()], { units: 'in', dxf: { units: 'in' } });
    expect(inches).toContain('Inches ($INSUNITS 1)');
    const old = cuttingReadme([sampleMarker()], { units: 'in', dxf: { flavour: 'r12', cutOnly: true } });
    expect(plain(old)).toContain('R12; the file has no field for its unit');
    expect(old).not.toMatch(/^(FABRIC|NOTCH|LABEL) /m);
    expect(old).toMatch(/^CUT {2}/m);
  });

  it('gives the cut length as it is measured, and plies where they are known', () => {
    const { length } = checkCutLines(sampleMarker());
    expect(text).toContain(
      `Cut length of one ply: ${(length / 1000).toFixed(3)} m (${(length / 914.4).toFixed(3)} yd) in 12 closed lines`,
    );
    expect(text).toContain('Plies: not set in these files');
    expect(cuttingReadme([sampleMarker()], { units: 'in', plies: { main: 9 } })).toContain('\nPlies: 9\n');
    const tube = cuttingReadme([tubeMarker()], { units: 'cm', plies: { tube: 9 } });
    expect(tube).toContain('\nPlies: 9, 18 thicknesses of cloth\n');
    expect(plain(tube)).toContain('in 1 closed line and 1 line from fold to fold');
  });

  it('warns of lines that two pieces share at a gap of 0, with their length', () => {
    expect(plain(cuttingReadme([gapless()], { units: 'in' }))).toContain(
      'Gap 0 in main: pieces may touch; no line is shared by two pieces.',
    );
    // Two bands, 460 mm long with their allowances, side by side without room between them.
    const first = place(bandPiece('M'), 'M-1', 1, false, [0, 0]);
    const beside = Math.max(...first.outline.map(([x]) => x));
    const second = place(bandPiece('M'), 'M-2', 2, false, [beside, 0]);
    expect(plain(cuttingReadme([gapless({ pieces: [first, second] })], { units: 'cm' }))).toContain(
      'WARNING: gap 0 in main: 0.460 m (0.503 yd) of line are shared by two pieces (1 pair)',
    );
    expect(text).not.toMatch(/[Gg]ap 0 in/);
  });

  it('ends with cautions that defer to the law and trained people, where they are asked for', () => {
    const pack = plain(cuttingReadme([sampleMarker()], { units: 'in', cautions: true }));
    expect(pack).toContain('The law and codes of the place');
    expect(pack).toContain('trained staff come first.');
    expect(text).not.toContain('CAUTIONS');
  });

  it('shows a stamp above everything', () => {
    const stamped = cuttingReadme([sampleMarker({ over: { stamp: 'Seams do not match' } })], { units: 'in' });
    expect(stamped).toContain('SEAMS DO NOT MATCH');
    expect(stamped.indexOf('SEAMS DO NOT MATCH')).toBeLessThan(stamped.indexOf('Harbour crew'));
  });

  it('folds its lines', () => {
    const all = cuttingReadme([gapless(), tubeMarker()], { units: 'in', cautions: true });
    for (const line of all.split('\n')) expect(line.length).toBeLessThanOrEqual(96);
  });
});
