import { describe, expect, it } from 'vitest';
import {
  chartFailures,
  DISTRIBUTIONS,
  gradePattern,
  MEASURES,
  parseIncrementPreset,
  seamFailures,
  sizeChart,
  trueRange,
} from '../../src/grade/index.js';
import { pieceOf, pointOf } from '../../src/pattern/model.js';
import { inchFraction } from '../../src/units.js';
import { readPreset, samplePattern, specOf } from './helpers.js';

const INCH = 25.4;
const base = samplePattern();

/** Moves of the back into L, inches: neck point and shoulder tip across, shoulder tip up, underarm across. */
function moves(distribution: string, increments: Record<string, unknown>) {
  const { sizes } = gradePattern(base, specOf({ distribution: { name: distribution }, increments }));
  const at = (size: string, point: string) =>
    pointOf(pieceOf(sizes.find((s) => s.size === size)!.pattern, 'back'), point);
  const move = (point: string, axis: 0 | 1) => (at('L', point)[axis] - at('M', point)[axis]) / INCH;
  return {
    neck: move('neck-point', 0),
    shoulder: move('shoulder-tip', 0) - move('neck-point', 0),
    armhole: move('underarm', 0) - move('shoulder-tip', 0),
    quarter: move('underarm', 0),
    scyeDepth: move('shoulder-tip', 1) - move('underarm', 1),
  };
}

const printed = (value: number) => inchFraction(value * INCH, 16);

describe('distributions', () => {
  it('say where their shares come from, and work out known measures from known ones', () => {
    expect(Object.keys(DISTRIBUTIONS)).toEqual([
      'house',
      'inch-split',
      'inch-split-half',
      'slash-and-spread',
      'textbook-metric',
    ]);
    for (const { source, measures } of Object.values(DISTRIBUTIONS)) {
      expect(source).toMatch(/house default|from memory|Threads 101/);
      for (const [measure, from] of Object.entries(measures)) {
        expect(MEASURES).toHaveProperty(measure);
        for (const name of Object.keys(from)) expect(MEASURES).toHaveProperty(name);
      }
    }
  });

  // From memory of grading textbooks; the totals are trade writing: a 1 in grade is 1/4 in at a half front.
  it.each([
    ['inch-split', 1, ['1/16', '1/16', '1/8', '1/4', '1/8']],
    ['inch-split', 2, ['1/8', '1/8', '1/4', '1/2', '1/4']],
    ['inch-split-half', 1.5, ['1/16', '1/8', '3/16', '3/8']],
  ])('%s splits a %s in grade as printed', (name, inches, expected) => {
    const m = moves(name, { bust: `${inches} in` });
    const parts = [m.neck, m.shoulder, m.armhole, m.quarter, m.scyeDepth].map(printed);
    expect(parts.slice(0, expected.length)).toEqual(expected);
  });

  it('inch-split-half deepens the scye by 1/8 to 3/16 in for a 1 1/2 in grade', () => {
    const { scyeDepth } = moves('inch-split-half', { bust: '1 1/2 in' });
    expect(scyeDepth).toBeGreaterThanOrEqual(1 / 8);
    expect(scyeDepth).toBeLessThanOrEqual(3 / 16);
  });

  // T. Horlamus, Threads 101: overall grade / 4 is the allocated grade, split among the vertical cut lines.
  it('slash-and-spread gives each cut line a third of the allocated grade', () => {
    const m = moves('slash-and-spread', { bust: '1 1/2 in', 'body-length': '3/4 in' });
    expect([m.neck, m.shoulder].map(printed)).toEqual(['0', '1/8']);
    // The other two lines, at armhole and side, both lie between shoulder tip and side seam.
    expect(m.armhole).toBeCloseTo(2 / 8, 9);
    expect(m.quarter).toBeCloseTo(1.5 / 4, 9);
    expect(printed(m.scyeDepth)).toBe('1/4');
  });

  // From memory of a British textbook body table, women, bust 80 to 104 in 4 cm steps.
  it('textbook-metric gives the shares of its table', () => {
    const spec = specOf({ distribution: { name: 'textbook-metric' }, increments: { bust: '4 cm' } });
    const step = (measure: string) => spec.increments[measure]!.bySize[3]! / 10;
    expect(step('across-shoulder')).toBeCloseTo(1, 9);
    expect(step('bicep')).toBeCloseTo(1.2, 9);
    expect(step('wrist')).toBeCloseTo(0.5, 9);
    expect(step('armhole-depth')).toBeCloseTo(0.5, 9);
    expect(step('back-waist-length')).toBeCloseTo(0.5, 9);
    // Neck girth 1.0: the half neck width is a fifth of the girth.
    expect(step('neck-width') / 2).toBeCloseTo(1 / 5, 9);
  });

  it('work measures out over a preset and under the increments of the style', () => {
    const preset = parseIncrementPreset(readPreset('increments-women-en'));
    const distribution = { name: 'inch-split' };
    const spec = specOf({ distribution, increments: { preset: 'women-en', 'neck-width': '5 mm' } }, preset);
    // 12 cm of bust into 2XL, by EN 13402-3: a quarter across the shoulder, whatever the preset says.
    const [xl, xxl] = [4, 5].map((i) => spec.increments['across-shoulder']!.bySize[i]!);
    expect(xxl! - xl!).toBeCloseTo(30, 9);
    expect(spec.increments['across-shoulder']!.from).toBe('distribution');
    expect(spec.increments['neck-width']).toEqual({ bySize: [-10, -5, 0, 5, 10, 15, 20], from: 'style' });
    expect(spec.increments['bicep']!.from).toBe('preset');
  });

  it.each(Object.keys(DISTRIBUTIONS))(
    '%s mixes with shares and rules of the style, and stays true',
    (name) => {
      const part = {
        distribution: {
          name,
          points: {
            'back.waist': { x: { waist: '1/4' }, y: {} },
            'front.waist': { x: { waist: '1/4' }, y: {} },
          },
        },
        increments: { bust: 40, waist: 30, 'body-length': 9 },
        rules: { 'back.center-neck': { y: 2 } },
      };
      const range = gradePattern(base, specOf(part));
      const xl = range.sizes.find((s) => s.size === 'XL')!.pattern;
      expect(pointOf(pieceOf(xl, 'back'), 'waist')).toEqual([255 + 2 * 7.5, 250]);
      expect(pointOf(pieceOf(xl, 'back'), 'center-neck')).toEqual([0, 698 + 4]);
      expect(seamFailures(trueRange(range))).toEqual([]);
      // The rule and the shares say something else than the measures do: the chart must tell.
      const off = new Set(chartFailures(sizeChart(range)).map((f) => f.measure));
      expect([...off].every((m) => ['back neck depth', 'back waist length'].includes(m))).toBe(true);
    },
  );

  it('grade a range of half sizes', () => {
    const sizes = [8, 10, 12, 14];
    const part = { sizes, base: '11', 'half-sizes': { 11: [10, 12] }, increments: { bust: 40, bicep: 14 } };
    const range = gradePattern(base, specOf(part));
    expect(range.sizes.map((s) => s.steps)).toEqual([-1.5, -0.5, 0, 0.5, 1.5]);
    expect(range.sizes.find((s) => s.size === '11')!.pattern).toEqual(base);
    const x = range.sizes.map((s) => pointOf(pieceOf(s.pattern, 'back'), 'underarm')[0] - 270);
    expect(x).toEqual([-15, -5, 0, 5, 15]);
    expect(chartFailures(sizeChart(range))).toEqual([]);
  });

  it('name the nearest known when the name is none', () => {
    expect(() => specOf({ distribution: { name: 'inch-splt' } })).toThrow(
      expect.objectContaining({ mend: "did you mean 'inch-split'?" }),
    );
    expect(() => specOf({ distribution: { name: 'constructor' } })).toThrow('unknown distribution');
  });
});
