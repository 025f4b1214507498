import { describe, expect, it } from 'vitest';
import { InputError } from '../../src/errors.js';
import {
  chartFailures,
  gradePattern,
  type IncrementPreset,
  joinFailures,
  parseBodyChart,
  parseIncrementPreset,
  presetGrowth,
  seamFailures,
  sizeChart,
  trueRange,
} from '../../src/grade/index.js';
import { readPreset, SIZES, samplePattern, specOf } from './helpers.js';

const NAMES = ['increments-women', 'increments-women-cm', 'increments-women-en'];
const presets = NAMES.map((name) => parseIncrementPreset(readPreset(name)));
const women = parseBodyChart(readPreset('sizes-women'));

/** Growth into `size` from the next smaller one, cm. */
function stepInto(preset: IncrementPreset, measure: string, size: string): number {
  const growth = presetGrowth(preset, measure, preset.ladder);
  const i = preset.ladder.sizes.indexOf(size);
  return (growth[i]! - growth[i - 1]!) / 10;
}

describe.each(presets)('the increments $name', (preset) => {
  it('say where every value comes from', () => {
    for (const [measure, { source }] of Object.entries(preset.increments)) {
      expect(source, measure).toMatch(/house default|from memory|trade writing|EN 13402-3/);
    }
  });

  // Bounds per 4 cm of chest from the `body` dataset (Heinz, Peterson, Johnson, Kerk 2003), women and men:
  // ordinary least squares as the lower, reduced major axis as the upper bound. Cross back: bone breadth
  // below, trade practice above.
  const BANDS: Readonly<Record<string, readonly [number, number]>> = {
    bicep: [1.3, 1.8],
    wrist: [0.28, 0.55],
    'across-shoulder': [0.33, 1.2],
    waist: [3.5, 4.9],
    hip: [2.4, 4.5],
  };

  it('lie within what bodies grow by, size by size', () => {
    for (const [measure, [low, high]] of Object.entries(BANDS)) {
      for (const size of SIZES.slice(1)) {
        const per4 = (4 * stepInto(preset, measure, size)) / stepInto(preset, 'bust', size);
        const told = `${measure} into ${size}: ${per4.toFixed(3)} cm per 4 cm of bust, bounds ${low} to ${high}`;
        expect(per4, told).toBeGreaterThanOrEqual(low);
        expect(per4, told).toBeLessThanOrEqual(high);
      }
    }
  });

  // ASTM D5585-11e1, neck base girth over bust: 0.21 over the range. Neck width is girth / 2.5 or so for an
  // oval neckline, hence a width of 0.06 to 0.13 of the bust increment.
  it('let the neck grow at about a fifth of the bust in girth', () => {
    for (const size of SIZES.slice(1)) {
      const share = stepInto(preset, 'neck-width', size) / stepInto(preset, 'bust', size);
      expect(share, `${size}: ${share.toFixed(3)}`).toBeGreaterThanOrEqual(0.06);
      expect(share, `${size}: ${share.toFixed(3)}`).toBeLessThanOrEqual(0.13);
    }
  });

  // Craft Yarn Council, women, computed from the midpoints: 0.4 to 0.6 cm per 4 cm of chest throughout.
  it('let the armhole deepen as standard bodies do', () => {
    for (const size of SIZES.slice(1)) {
      const per4 = (4 * stepInto(preset, 'armhole-depth', size)) / stepInto(preset, 'bust', size);
      expect(per4, `${size}: ${per4.toFixed(3)}`).toBeGreaterThanOrEqual(0.4 - 1e-9);
      expect(per4, `${size}: ${per4.toFixed(3)}`).toBeLessThanOrEqual(0.6 + 1e-9);
    }
  });

  it('never shorten the shoulder or the armhole width as the size rises', () => {
    for (const size of SIZES.slice(1)) {
      const [bust, across, neck] = ['bust', 'across-shoulder', 'neck-width'].map((m) =>
        stepInto(preset, m, size),
      );
      expect(across! - neck!, size).toBeGreaterThanOrEqual(0);
      expect(bust! / 4 - across! / 2, size).toBeGreaterThan(0);
    }
  });

  it('grade a body with both sleeves and bands true in every size', () => {
    const range = gradePattern(samplePattern(), specOf({ increments: { preset: preset.name } }, preset));
    const truings = trueRange(range);
    expect(seamFailures(truings)).toEqual([]);
    expect(chartFailures(sizeChart(range))).toEqual([]);
    const base = joinFailures(truings.filter((t) => t.size === 'M')).map((j) => j.join);
    expect(joinFailures(truings).filter((j) => !base.includes(j.join))).toEqual([]);
  });
});

describe('the 2 in grade', () => {
  // Trade writing: "2in typical of alpha sizes"; a 2 in grade is 1/2 in at each half front and half back.
  it('is 2 in of bust a size and half an inch a quarter', () => {
    const [preset] = presets;
    const { sizes } = gradePattern(samplePattern(), specOf({ increments: { preset: 'women' } }, preset));
    const chest = sizes.map(({ pattern }) => {
      const side = pattern.pieces[0]!.edges.find((e) => e.name === 'armhole')!;
      return side.path[0]!.a[0];
    });
    chest.slice(1).forEach((x, i) => {
      expect(x - chest[i]!).toBeCloseTo(12.7, 9);
    });
  });
});

describe('the increments after EN 13402-3', () => {
  // EN 13402-3 letter codes (read second-hand): 74-82, 82-90, 90-98, 98-107, 107-119, 119-131, 131-143.
  it('follow the midpoints of the bust bands, so that ease stays the same against the body chart', () => {
    const bands = [
      [74, 82],
      [82, 90],
      [90, 98],
      [98, 107],
      [107, 119],
      [119, 131],
      [131, 143],
    ];
    const growth = presetGrowth(presets[2]!, 'bust', presets[2]!.ladder);
    SIZES.forEach((size, i) => {
      const middle = (bands[i]![0]! + bands[i]![1]!) / 2;
      expect(women.sizes[size]!.bust / 10).toBeCloseTo(middle, 9);
      expect(growth[i]! / 10).toBeCloseTo(middle - 94, 9);
    });
  });
});

describe('the body chart of women', () => {
  // Craft Yarn Council body standards, women, XS to 4X, cm, as ranges.
  const CYC = {
    bust: '71-76 81-86 91.5-96.5 101.5-106.5 111.5-117 122-127 132-137 142-147',
    bicep: '25 26 28 30.5 34.5 39.5 43 47',
    backWaistLength: '42 43 43.5 44.5 45 45.5 45.5 47',
    waist: '58.5-61 63.5-67.5 71-76 81.5-86.5 91.5-96.5 101.5-106.5 111.5-114 116.5-119',
    hip: '83.5-86 89-91.5 96.5-101.5 106.5-111.5 116.5-122 132-134.5 137-139.5 142-144.5',
  } as const;
  // ASTM D5585-11e1, misses, in: bust, neck base and head girth.
  const ASTM = {
    bust: [31.125, 31.75, 33, 34.125, 35.25, 36.25, 37.25, 38.75, 40.375, 42.125, 44, 46],
    neck: [13.25, 13.5, 13.75, 14, 14.25, 14.625, 14.875, 15.125, 15.5, 15.75, 16, 16.375],
    head: [21.25, 21.25, 21.5, 21.5, 21.75, 21.75, 22, 22, 22.25, 22.25, 22.5, 22.5],
  };
  const middles = (text: string) =>
    text.split(' ').map((range) => {
      const ends = range.split('-').map(Number);
      return ends.reduce((sum, cm) => sum + cm, 0) / ends.length;
    });
  const cm = (inches: readonly number[]) => inches.map((value) => value * 2.54);

  it.each(['bicep', 'backWaistLength', 'waist', 'hip'] as const)(
    'has %s from the Craft Yarn Council midpoints, interpolated at the bust',
    (column) => {
      for (const size of SIZES) {
        const body = women.sizes[size]!;
        const expected = interpolate(middles(CYC.bust), middles(CYC[column]), body.bust / 10);
        expect(Math.abs(body[column] / 10 - expected), `${size} ${column}`).toBeLessThanOrEqual(0.0501);
      }
    },
  );

  it.each(['neck', 'head'] as const)('has %s from ASTM D5585 within its range of bust', (column) => {
    const [low, high] = [31.125 * 25.4, 46 * 25.4];
    const inRange = SIZES.filter((size) => women.sizes[size]!.bust >= low && women.sizes[size]!.bust <= high);
    expect(inRange).toEqual(['S', 'M', 'L', 'XL']);
    for (const size of inRange) {
      const body = women.sizes[size]!;
      const expected = interpolate(cm(ASTM.bust), cm(ASTM[column]), body.bust / 10);
      expect(Math.abs(body[column] / 10 - expected), `${size} ${column}`).toBeLessThanOrEqual(0.0501);
    }
  });

  // Regression of wrist on chest girth, women of the `body` dataset (Heinz et al. 2003).
  it('has wrists from the body dataset', () => {
    for (const size of SIZES) {
      const { bust, wrist } = women.sizes[size]!;
      expect(Math.abs(wrist / 10 - (7.48 + (0.088 * bust) / 10)), size).toBeLessThanOrEqual(0.0501);
    }
  });

  // Means of the women of the `body` dataset by EN letter band: relaxed arms are thinner than its flexed ones.
  it('stays near the means of the body dataset where that has women enough', () => {
    const means = { XS: [63.6, 90.1, 25.8], S: [68.4, 94.9, 27.8], M: [78.1, 102.8, 30.9] } as const;
    for (const [size, [waist, hip, flexed]] of Object.entries(means)) {
      const body = women.sizes[size]!;
      expect(Math.abs(body.waist / 10 - waist), `${size} waist ${body.waist}`).toBeLessThan(5);
      expect(Math.abs(body.hip / 10 - hip), `${size} hip ${body.hip}`).toBeLessThan(4);
      expect(body.bicep / 10, `${size} bicep`).toBeLessThan(flexed);
    }
  });

  it('grows with every size and names the source of every column', () => {
    for (const [i, size] of SIZES.slice(1).entries()) {
      const [small, large] = [women.sizes[SIZES[i]!]!, women.sizes[size]!];
      for (const column of Object.keys(large) as (keyof typeof large)[]) {
        expect(large[column], `${column} ${size}`).toBeGreaterThanOrEqual(small[column]);
      }
    }
    expect(Object.keys(women.sources)).toHaveLength(15);
    expect(Object.keys(women.more)).toEqual(['cross-back', 'height', 'hand']);
  });
});

describe('a preset file that does not fit', () => {
  const good = readPreset('increments-women') as { increments: Record<string, object> };
  const chart = readPreset('sizes-women') as {
    sizes: Record<string, Record<string, number>>;
    sources: object;
  };

  it('is refused with the place of the fault', () => {
    const broken = { ...good, increments: { bust: { step: 'two', source: 'x' } } };
    expect(() => parseIncrementPreset(broken)).toThrow("'two' is not a length");
    const typo = { ...good, increments: { busst: { step: '2', source: 'x' } } };
    expect(() => parseIncrementPreset(typo)).toThrow("unknown measure 'busst'");
    const sourceless = { ...good, increments: { bust: { step: '2' } } };
    expect(fault(() => parseIncrementPreset(sourceless)).place.path).toBe('increments.bust.source');
    const strange = { ...good, increments: { bust: { step: '2', breaks: { '5XL': '3' }, source: 'x' } } };
    expect(() => parseIncrementPreset(strange)).toThrow("unknown size '5XL'");
  });

  it('is refused when a body measurement is missing or has no source', () => {
    const { bust: _, ...bustless } = chart.sizes['M']!;
    const missing = { ...chart, sizes: { ...chart.sizes, M: bustless } };
    expect(fault(() => parseBodyChart(missing)).place.path).toBe('sizes.M.bust');
    const sources = { ...chart.sources, wrist: undefined };
    expect(() => parseBodyChart({ ...chart, sources: JSON.parse(JSON.stringify(sources)) })).toThrow(
      "the column 'wrist' names no source",
    );
    const more = { height: { M: 165 } };
    expect(() => parseBodyChart({ ...chart, more })).toThrow("'height' has no value for size 'XS'");
  });
});

function fault(run: () => unknown): InputError {
  try {
    run();
  } catch (error) {
    if (error instanceof InputError) return error;
  }
  throw new Error('nothing was refused');
}

function interpolate(xs: readonly number[], ys: readonly number[], x: number): number {
  const i = Math.max(0, xs.findIndex((right) => right >= x) - 1);
  return ys[i]! + ((ys[i + 1]! - ys[i]!) * (x - xs[i]!)) / (xs[i + 1]! - xs[i]!);
}
