import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { InputError } from '../../src/errors.js';
import { efficiencyModel, type NestRecord, readNestRecords } from '../../src/plan/efficiency.js';

const FILE = new URL('../../presets/nests.json', import.meta.url);
const records = readNestRecords(JSON.parse(readFileSync(FILE, 'utf8')));

const marker = (over: Partial<NestRecord> = {}): NestRecord => ({
  group: 'a style / self',
  area: 4_000_000,
  width: 1650,
  garments: 4,
  sizes: 2,
  pieces: 16,
  longest: 700,
  length: 3000,
  ...over,
});

describe('the efficiency model', () => {
  it('answers before the first nest, with a wide band', () => {
    const { length, band } = efficiencyModel([]).predict(marker(), 'a style / self');
    const efficiency = 4_000_000 / (1650 * length);
    expect(efficiency).toBeGreaterThan(0.65);
    expect(efficiency).toBeLessThan(0.9);
    expect(band).toBeGreaterThan(0.1);
  });

  it('comes to what is measured, and its band narrows, as markers of the style are laid', () => {
    const before = efficiencyModel(records);
    const truth = (m: NestRecord) => ((1.25 + (0.3 * m.longest * m.width) / m.area) * m.area) / m.width;
    const laid = [2, 3, 4, 6].map((garments) => {
      const m = marker({ garments, sizes: 1, area: garments * 1_000_000, pieces: 4 * garments });
      return { ...m, length: truth(m) };
    });
    const after = before.learn(laid);
    const asked = marker({ garments: 5, sizes: 1, area: 5_000_000, pieces: 20 });
    const miss = (model: typeof before) =>
      Math.abs(model.predict(asked, asked.group).length / truth(asked) - 1);
    expect(miss(before)).toBeGreaterThan(0.05);
    expect(miss(after)).toBeLessThan(0.6 * miss(before));
    expect(after.predict(asked, asked.group).band).toBeLessThan(before.predict(asked, asked.group).band);
    expect(before.records).toHaveLength(records.length);
  });

  it('is least squares where the prior weighs nothing against many markers', () => {
    const many = Array.from({ length: 120 }, (_, i) => {
      const garments = 1 + (i % 8);
      const m = marker({
        group: `style ${i % 4} / self`,
        garments,
        sizes: 1 + (i % 3),
        area: garments * (900_000 + 40_000 * (i % 5)),
        pieces: garments * (3 + (i % 4)),
      });
      const e = (m.longest * m.width) / m.area;
      const y = 1.1 + 0.4 * e - 0.05 / m.sizes + (0.3 * Math.sqrt(m.area / m.pieces)) / m.width;
      return { ...m, length: (y * m.area) / m.width };
    });
    const model = efficiencyModel(many);
    for (const m of many.slice(0, 40)) {
      expect(model.predict(m, m.group).length / m.length).toBeCloseTo(1, 2);
    }
  });

  it('never says a marker shorter than its longest piece or fuller than full', () => {
    const model = efficiencyModel(records);
    const tiny = marker({ garments: 1, sizes: 1, area: 100_000, pieces: 2, longest: 500 });
    expect(model.predict(tiny, 'x').length).toBeGreaterThanOrEqual(500 - 1e-9);
    const flat = marker({ longest: 1, area: 80_000_000, pieces: 4000, garments: 80 });
    expect(model.predict(flat, 'x').length).toBeGreaterThanOrEqual(flat.area / flat.width);
  });

  it('holds more than four in five markers of a style it has not seen inside its band, over the demo styles', () => {
    const styleOf = (r: NestRecord) => r.group.split(' / ')[0]!;
    let inside = 0;
    for (const style of new Set(records.map(styleOf))) {
      const model = efficiencyModel(records.filter((r) => styleOf(r) !== style));
      for (const r of records.filter((one) => styleOf(one) === style)) {
        const { length, band } = model.predict(r, r.group);
        if (Math.abs(r.length / length - 1) <= band) inside++;
      }
    }
    expect(records.length).toBeGreaterThanOrEqual(60);
    expect(inside / records.length).toBeGreaterThan(0.8);
  });

  it('reads nests from a file and names the field that does not fit', () => {
    expect(() => readNestRecords({ source: 'ours', nests: [{ group: 'a' }] })).toThrow(InputError);
    try {
      readNestRecords({ source: 'ours', nests: [{ ...marker(), length: -1 }] });
      expect.unreachable();
    } catch (error) {
      expect((error as InputError).place.path).toBe('nests.0.length');
    }
  });
});
