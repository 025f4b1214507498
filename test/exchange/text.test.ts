import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { cuttingReadme } from '../../src/exchange/cutting-readme.js';
import { MARKER_LAYERS } from '../../src/exchange/layers.js';
import { fixed, short } from '../../src/exchange/numbers.js';
import { dxfText, escapeXml, fileName, oneLine } from '../../src/exchange/text.js';
import { sampleMarker } from './sample.js';

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
  const text = cuttingReadme(
    [sampleMarker({ over: { options: { gap: 0, sideMargin: 0, endMargin: 0, endAllowance: 0 } } })],
    {
      units: 'in',
    },
  );

  it('explains every layer of the drawing and gives the size to check', () => {
    for (const layer of MARKER_LAYERS) expect(text).toMatch(new RegExp(`^${layer} +[A-Z]`, 'm'));
    expect(text).toContain('Usable width 64 15/16 in (1650 mm)');
    expect(text).toContain('$INSUNITS 4');
  });

  it('warns where pieces may share a line', () => {
    expect(text).toContain('Pieces may touch in main (gap 0)');
    expect(cuttingReadme([sampleMarker()], { units: 'in' })).not.toContain('may touch');
  });

  it('folds its lines', () => {
    for (const line of text.split('\n')) expect(line.length).toBeLessThanOrEqual(110);
  });
});
