import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { formatLength, inchFraction, parseLength, UNITS } from '../src/units.js';

describe('parseLength', () => {
  it.each([
    ['9 1/4', 'in', 234.95],
    ['9-1/4', 'in', 234.95],
    ['9 1/4 in', 'cm', 234.95],
    ['3/8"', 'cm', 9.525],
    ['23.5cm', 'in', 235],
    ['235 mm', 'in', 235],
    ['.5', 'in', 12.7],
    ['-1/8', 'in', -3.175],
    [12, 'cm', 120],
    ['60 m', 'in', 60_000],
    ['65 yd', 'cm', 59_436],
  ] as const)('reads %s in a style of %s', (text, unit, mm) => {
    expect(parseLength(text, unit)).toBeCloseTo(mm, 9);
  });

  it('knows the inch of the international yard and pound agreement of 1959: 25.4 mm exactly', () => {
    expect(parseLength('1 in', 'mm')).toBe(25.4);
  });

  it.each(['', 'wide', '1/0', '9 1', '1e999', '--2', '3 1/4 1/2', Number.NaN, Number.POSITIVE_INFINITY])(
    'refuses %s and shows how lengths are written',
    (text) => {
      expect(() => parseLength(text, 'in')).toThrow(/is not a length/);
    },
  );

  it('names an unknown unit', () => {
    expect(() => parseLength('3 ells', 'in')).toThrow("unknown unit 'ells' in '3 ells'");
  });
});

describe('inchFraction', () => {
  it.each([
    [234.95, '9 1/4'],
    [9.525, '3/8'],
    [-9.525, '-3/8'],
    [25.4, '1'],
    [25.39, '1'],
    [-0.1, '0'],
    [0, '0'],
    [25.4 * (1 + 15 / 16), '1 15/16'],
  ])('prints %d mm as %s', (mm, text) => {
    expect(inchFraction(mm)).toBe(text);
  });

  it('reads back within half a sixteenth, and its own output exactly', () => {
    fc.assert(
      fc.property(fc.double({ min: -5000, max: 5000, noNaN: true }), (mm) => {
        const text = inchFraction(mm);
        const back = parseLength(text, 'in');
        expect(Math.abs(back - mm)).toBeLessThanOrEqual(25.4 / 32 + 1e-9);
        expect(inchFraction(back)).toBe(text);
      }),
    );
  });
});

describe('formatLength', () => {
  it('prints every unit with its mark, and without when asked', () => {
    expect(UNITS.map((unit) => formatLength(234.95, unit))).toEqual(['9 1/4 in', '23.5 cm', '234.9 mm']);
    expect(formatLength(250, 'cm', { mark: false })).toBe('25');
    expect(formatLength(-0.01, 'mm')).toBe('0 mm');
  });
});
