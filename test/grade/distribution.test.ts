import { describe, expect, it } from 'vitest';
import { combined, HOUSE_DISTRIBUTION, shareOf } from '../../src/grade/distribution.js';
import { MEASURE_NAMES } from '../../src/grade/index.js';
import { EVERY_INCREMENT } from './helpers.js';

const dx = (point: string, growth: Record<string, number> = EVERY_INCREMENT) =>
  combined(HOUSE_DISTRIBUTION[point]!.x, growth);
const dy = (point: string) => combined(HOUSE_DISTRIBUTION[point]!.y, EVERY_INCREMENT);

describe('the house distribution', () => {
  // Trade writing on grade rules: "1in grade = 1/4in at half-front + 1/4in at half-back".
  it('gives a quarter of a girth grade to each quarter, and the quarters add up to the total', () => {
    expect(dx('underarm', { bust: 25.4 })).toBeCloseTo(25.4 / 4, 12);
    expect(4 * dx('underarm', { bust: 50.8 })).toBeCloseTo(50.8, 12);
    expect(4 * dx('waist', { waist: 50.8 })).toBeCloseTo(50.8, 12);
    expect(4 * dx('side-hem', { hip: 50.8 })).toBeCloseTo(50.8, 12);
  });

  // Classic split of a 2 in grade (from memory of grading textbooks): neck 1/8 + shoulder 1/8 + armhole 1/4 = 1/2.
  it('splits the quarter into neck, shoulder and armhole', () => {
    const growth = { bust: 50.8, 'across-shoulder': 12.7, 'neck-width': 6.35 };
    const neck = dx('neck-point', growth);
    const shoulder = dx('shoulder-tip', growth) - neck;
    const armhole = dx('underarm', growth) - dx('shoulder-tip', growth);
    expect([neck, shoulder, armhole].map((mm) => mm / 25.4)).toEqual([
      expect.closeTo(1 / 8, 9),
      expect.closeTo(1 / 8, 9),
      expect.closeTo(1 / 4, 9),
    ]);
  });

  it('makes every vertical measure exact', () => {
    const grown = EVERY_INCREMENT;
    expect(dy('underarm')).toBe(0);
    expect(dy('shoulder-tip') - dy('underarm')).toBeCloseTo(grown['armhole-depth'], 12);
    expect(dy('neck-point') - dy('back.center-neck')).toBeCloseTo(grown['back-neck-depth'], 12);
    expect(dy('neck-point') - dy('front.center-neck')).toBeCloseTo(grown['front-neck-depth'], 12);
    expect(dy('back.center-neck') - dy('waist')).toBeCloseTo(grown['back-waist-length'], 12);
    expect(dy('neck-point') - dy('center-hem')).toBeCloseTo(grown['body-length'], 12);
    expect(dy('side-hem')).toBe(dy('center-hem'));
  });

  it('leaves the fold where it is', () => {
    for (const point of ['back.center-neck', 'front.center-neck', 'center-hem']) expect(dx(point)).toBe(0);
  });

  it('names only measures of the vocabulary, and every one of them', () => {
    const named = Object.values(HOUSE_DISTRIBUTION).flatMap((s) => [
      ...Object.keys(s.x),
      ...Object.keys(s.y),
    ]);
    expect([...new Set(named)].sort()).toEqual([...MEASURE_NAMES].sort());
  });

  it('prefers the share of a piece to the share of a point', () => {
    const shares = { tip: { x: { bust: 1 }, y: {} }, 'back.tip': { x: { bust: 2 }, y: {} } };
    expect(shareOf(shares, 'back', 'tip')!.x).toEqual({ bust: 2 });
    expect(shareOf(shares, 'front', 'tip')!.x).toEqual({ bust: 1 });
  });
});
