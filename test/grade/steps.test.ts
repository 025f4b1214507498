import { describe, expect, it } from 'vitest';
import { gradePattern, growthRows, jumpsOf, sizeChart } from '../../src/grade/index.js';
import { EVERY_INCREMENT, samplePattern, specOf } from './helpers.js';

function rowsOf(part: Record<string, unknown>) {
  const range = gradePattern(samplePattern(), specOf(part));
  return growthRows(range, sizeChart(range));
}

const row = (rows: ReturnType<typeof rowsOf>, measure: string) => rows.find((r) => r.measure === measure)!;

describe('growth per step', () => {
  it('tells what every measure grows by into every size', () => {
    const rows = rowsOf({ increments: EVERY_INCREMENT });
    expect(row(rows, 'chest').steps.map((s) => [s.from, s.to, Math.round(s.growth)])).toEqual([
      ['XS', 'S', 50],
      ['S', 'M', 50],
      ['M', 'L', 50],
      ['L', 'XL', 50],
      ['XL', '2XL', 50],
      ['2XL', '3XL', 50],
    ]);
    expect(jumpsOf(rows)).toEqual([]);
  });

  it('flags a step that jumps, and knows that a break states it', () => {
    const increments = { ...EVERY_INCREMENT, bust: { step: 50, breaks: { XL: 80 } } };
    const jumps = jumpsOf(rowsOf({ increments }));
    expect(jumps.map((j) => [j.measure, j.from, j.to, j.cause])).toEqual([
      ['chest', 'L', 'XL', 'stated'],
      // A wider underarm makes a longer armhole, and that a higher cap.
      ['cap height', 'L', 'XL', 'follows'],
    ]);
    expect(jumps[0]!.before).toBeCloseTo(50, 6);
    expect(jumps[0]!.perStep).toBeCloseTo(80, 6);
  });

  it('flags a jump that no increment states: a rule that slipped', () => {
    const move = (mm: number) => [mm, 0];
    const moves = { XS: [-20, 0], S: [-10, 0], L: move(10), XL: move(30), '2XL': move(40), '3XL': move(50) };
    const rules = { 'back.waist': { moves }, 'front.waist': { moves } };
    const increments = { waist: 40 };
    const keep = { 'back.underarm': { x: { waist: '1/4' } }, 'front.underarm': { x: { waist: '1/4' } } };
    const jumps = jumpsOf(rowsOf({ increments, rules, distribution: { points: keep } })).filter(
      (j) => j.measure === 'waist',
    );
    expect(jumps.map((j) => [j.measure, j.to, j.cause])).toEqual([
      ['waist', 'XL', 'unstated'],
      ['waist', '2XL', 'unstated'],
    ]);
  });

  it('flags growth that turns round', () => {
    const increments = { bust: { step: 20, breaks: { '2XL': -10 } } };
    const jumps = jumpsOf(rowsOf({ increments })).filter((j) => j.measure === 'chest');
    expect(jumps.map((j) => [j.to, j.cause])).toEqual([['2XL', 'stated']]);
  });

  it('lets small changes and changes under a half pass', () => {
    const increments = {
      bust: { step: 40, breaks: { L: 59 } },
      'neck-width': { step: 3, breaks: { L: 6 } },
    };
    expect(jumpsOf(rowsOf({ increments }))).toEqual([]);
  });

  it('reckons a half size by the step it is a part of', () => {
    const part = {
      sizes: [8, 10, 12],
      base: 10,
      'half-sizes': { 11: [10, 12] },
      increments: EVERY_INCREMENT,
    };
    const rows = rowsOf(part);
    const { steps } = row(rows, 'chest');
    expect(steps.map((s) => Math.round(s.growth))).toEqual([50, 25, 25]);
    expect(steps.map((s) => Math.round(s.perStep))).toEqual([50, 50, 50]);
    expect(jumpsOf(rows)).toEqual([]);
  });
});
