import { describe, expect, it } from 'vitest';
import type { Vec } from '../../src/geometry/vec.js';
import { consumption, LAY_DEFAULTS, type Marker, spreadOf } from '../../src/lay/index.js';
import { rectangleKilograms } from '../../src/plan/estimate.js';
import { cutPiece, FABRIC, LAY } from '../lay/samples.js';

/** Worked examples of fabric consumption from published notes; each names where it was printed. */

const MM_PER_YARD = 914.4;
const MM_PER_INCH = 25.4;
const DOZEN = 12;

/** Rectangles in centimetres, kilograms for a dozen. */
const perDozen = (
  rectangles: readonly (readonly [length: number, width: number, count: number])[],
  gramsPerSquareMetre: number,
  wastage = 0,
): number =>
  DOZEN *
  rectangleKilograms(
    rectangles.map(([length, width, count]) => ({ length: length * 10, width: width * 10, count })),
    gramsPerSquareMetre,
    wastage,
  );

/** One ply without ends or losses. */
function plainPly(length: number, width: number, gramsPerSquareMetre: number, pieces = 1): Marker {
  const outline: Vec[] = [
    [0, 0],
    [10, 0],
    [10, 10],
    [0, 10],
  ];
  const fabric = { ...FABRIC, usableWidth: width, gramsPerSquareMetre };
  return {
    name: 'm',
    style: 's',
    fabric,
    options: { ...LAY, endAllowance: 0 },
    ratio: { M: pieces },
    sizes: ['M'],
    width,
    length,
    pieces: [
      {
        piece: cutPiece('p', outline),
        garment: 'M-1',
        number: 1,
        mirrored: false,
        rotation: 0,
        at: [0, 0],
        outline,
      },
    ],
    spread: spreadOf(fabric),
    layers: 1,
    spare: [],
    efficiency: 0.8,
    search: { seconds: 0, seed: 1, threads: 1, rounds: 0 },
    verified: true,
  };
}

describe('weight of cloth: kg = m x m x g/m2 / 1000', () => {
  it('1 yd of 58 in at 165 g/m2 is 0.222 kg (goldnfiber, fabric weight calculation)', () => {
    const { mass } = consumption(plainPly(MM_PER_YARD, 58 * MM_PER_INCH, 165));
    expect(mass.toFixed(3)).toBe('0.222');
    expect(mass).toBeCloseTo(0.2223, 4);
  });

  it('100 m of 60 in at 180 g/m2 is 27.432 kg, not the 696.77 kg that textilecalculator.com prints', () => {
    expect(consumption(plainPly(100_000, 60 * MM_PER_INCH, 180)).mass).toBeCloseTo(27.432, 9);
  });

  it('2 kg of 200 g/m2 at 1.5 m is 6.667 m = 7.291 yd, not "6.67 yards" (textilecalculator.com)', () => {
    const perMetre = consumption(plainPly(1000, 1500, 200)).mass;
    expect((2 / perMetre).toFixed(3)).toBe('6.667');
    expect((2000 / perMetre / MM_PER_YARD).toFixed(3)).toBe('7.291');
  });

  it('10 kg of 160 g/m2 at 60 in is 44.85 yd, not the 28.9 yd that textilecalculator.com prints', () => {
    const perMetre = consumption(plainPly(1000, 60 * MM_PER_INCH, 160)).mass;
    expect((10_000 / perMetre / MM_PER_YARD).toFixed(2)).toBe('44.85');
  });
});

describe('marker definitions', () => {
  it('end allowance of elastic cloth is 1.5 to 2 cm each end (Industrial Cutting of Textile Materials, p. 31)', () => {
    const { endAllowance } = LAY_DEFAULTS.options;
    expect(endAllowance).toBeGreaterThanOrEqual(15);
    expect(endAllowance).toBeLessThanOrEqual(20);
    const marker = plainPly(5000, 1650, 280);
    const used = consumption({ ...marker, options: { ...marker.options, endAllowance } });
    expect(used.plyLength - used.markerLength).toBeCloseTo(0.04, 12);
  });

  it('utilisation counts what efficiency does not: ends and selvedges (textilestudy365, marker and fabric utilisation)', () => {
    const marker = plainPly(5000, 1650, 280);
    const inside = marker.pieces.reduce((sum) => sum + 100, 0);
    const used = consumption({
      ...marker,
      efficiency: inside / (5000 * 1650),
      options: { ...marker.options, endAllowance: 20 },
      fabric: { ...marker.fabric, fullWidth: 1700 },
    });
    expect(used.utilisation).toBeLessThan(used.efficiency);
    expect(used.utilisation / used.efficiency).toBeCloseTo((5000 * 1650) / (5040 * 1700), 9);
  });
});

describe('the rectangle method, kg a dozen', () => {
  it('men tee (textilecalculation.blogspot.com, April 2015): body 1.28, sleeve 0.44, neck 0.092; 1.94 with 7 %', () => {
    const body = perDozen([[70, 102, 1]], 150);
    const sleeve = perDozen([[25, 49, 2]], 150);
    const neck = perDozen([[61, 7, 1]], 180);
    // The notes cut decimals off where they should round.
    expect([body, sleeve, neck].map((kg) => Math.floor(kg * 100) / 100)).toEqual([1.28, 0.44, 0.09]);
    expect([body, sleeve, neck].map((kg) => kg.toFixed(4))).toEqual(['1.2852', '0.4410', '0.0922']);
    expect(((body + sleeve + neck) * 1.07).toFixed(4)).toBe('1.9457');
    expect(Math.floor((body + sleeve + neck) * 1.07 * 100) / 100).toBe(1.94);
  });

  it('basic tee (textilecalculations.com): 0.19998 kg each, 2.39976 a dozen, printed as 2.399', () => {
    const dozen = perDozen([[72 + 4 + 23 + 2, 53 + 2, 2]], 180);
    expect((dozen / DOZEN).toFixed(5)).toBe('0.19998');
    expect(dozen.toFixed(5)).toBe('2.39976');
    expect(Math.floor(dozen * 1000) / 1000).toBe(2.399);
  });

  it('tee (ordnur.com): 2.84 a dozen, recomputed with 8 % 3.0737 (printed 3.04), 0.256 each', () => {
    const dozen = perDozen([[76 + 5 + 23 + 4, 58 + 3, 2]], 180);
    expect(Math.floor(dozen * 100) / 100).toBe(2.84);
    expect(dozen.toFixed(4)).toBe('2.8460');
    expect((dozen * 1.08).toFixed(4)).toBe('3.0737');
    expect(((dozen * 1.08) / DOZEN).toFixed(3)).toBe('0.256');
  });

  it('size XL (alhajkhanrocky blog): 3.4476 a dozen (printed 3.45), 3.7923 with 10 %, 3160.3 kg for 10,000', () => {
    const dozen = perDozen([[79 + 43 + 12, 61 + 6, 2]], 160);
    expect(dozen.toFixed(2)).toBe('3.45');
    expect(perDozen([[79 + 43 + 12, 61 + 6, 2]], 160, 10).toFixed(4)).toBe('3.7923');
    expect(((perDozen([[79 + 43 + 12, 61 + 6, 2]], 160, 10) / DOZEN) * 10_000).toFixed(1)).toBe('3160.3');
  });

  it('tee (textilecalculation.blogspot.com, January 2015): 0.2839 kg each and 3.4062 a dozen with 10 %; the notes print 0.27 and 3.24', () => {
    const dozen = perDozen([[64, 82 + 30, 2]], 180, 10);
    expect((dozen / DOZEN).toFixed(4)).toBe('0.2839');
    expect(dozen.toFixed(4)).toBe('3.4062');
  });

  it('polo collar (textilecalculation.blogspot.com): 46 x 10 cm at 400 g/m2 is 0.2208 a dozen, printed 0.22', () => {
    expect(perDozen([[46, 10, 1]], 400).toFixed(4)).toBe('0.2208');
    expect(perDozen([[46, 10, 1]], 400).toFixed(2)).toBe('0.22');
  });
});
