import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { InputError } from '../../src/errors.js';
import {
  atUsableWidth,
  compareWidths,
  type Fabric,
  inMode,
  runSpread,
  type WidthCell,
  type WidthRun,
} from '../../src/lay/index.js';
import { FABRIC } from './samples.js';

const run = (seed: number, area: number, cost?: number): WidthRun => ({
  seed,
  length: area / 1.6,
  area,
  mass: 0.28 * area,
  ...(cost === undefined ? {} : { cost }),
  garments: 4,
  efficiency: 0.8,
  rounds: 9,
});
const cell = (width: number, areas: readonly number[], priced = false): WidthCell => ({
  width,
  mode: 'single',
  runs: areas.map((a, i) => run(i + 1, a, priced ? 5 * a : undefined)),
});

describe('a fabric at another width', () => {
  it('keeps its selvedges and its price per square metre', () => {
    const fabric: Fabric = { ...FABRIC, usableWidth: 1650, fullWidth: 1690, pricePerMetre: 13 };
    const wider = atUsableWidth(fabric, 1860);
    expect(wider).toMatchObject({ usableWidth: 1860, fullWidth: 1900 });
    expect(wider.pricePerMetre! / 1900).toBeCloseTo(13 / 1690, 12);
    expect(atUsableWidth(FABRIC, 1500).fullWidth).toBeUndefined();
    expect(atUsableWidth({ ...FABRIC, pricePerKilogram: 9 }, 1500).pricePerKilogram).toBe(9);
  });

  it('is laid in another mode, but a tube stays a tube', () => {
    expect(inMode(FABRIC, 'folded').mode).toBe('folded');
    const tube: Fabric = { ...FABRIC, mode: 'tubular' };
    expect(inMode(tube, 'tubular')).toBe(tube);
    expect(() => inMode(tube, 'single')).toThrow(InputError);
    expect(() => inMode(tube, 'single')).toThrow("fabric 'self' is a tube and cannot be laid single");
    expect(() => inMode(FABRIC, 'tubular')).toThrow("fabric 'self' is not a tube");
  });
});

describe('comparing widths', () => {
  it('shows mean, least and greatest of the runs', () => {
    expect(runSpread(cell(1500, [10, 13, 10]), 'area')).toEqual({ mean: 11, least: 10, most: 13, runs: 3 });
    expect(runSpread(cell(1500, [10]), 'cost')).toBeUndefined();
    expect(runSpread(cell(1500, []), 'area')).toBeUndefined();
  });

  it('puts the least mean first and tells which cells overlap it', () => {
    const verdict = compareWidths([
      cell(1500, [12, 12.5, 12.2]),
      cell(1650, [10, 10.4, 10.1]),
      cell(1850, [10.3, 10.5, 10.6]),
      { width: 500, mode: 'folded', runs: [], fault: 'too narrow' },
    ])!;
    expect(verdict.order.map((c) => c.width)).toEqual([1650, 1850, 1500]);
    expect(verdict.tied.map((c) => c.width)).toEqual([1850]);
    expect(verdict.by).toBe('area');
    expect(compareWidths([cell(1500, [1], true), cell(1600, [2], true)])!.by).toBe('cost');
    expect(compareWidths([{ width: 500, mode: 'single', runs: [] }])).toBeUndefined();
  });

  it('says how often alike widths would be told apart: counted over every order of the runs', () => {
    // With m and n runs drawn from one distribution every order is alike likely.
    for (const [m, n] of [
      [1, 1],
      [2, 2],
      [3, 3],
      [2, 4],
    ] as const) {
      let [apart, all] = [0, 0];
      for (let set = 0; set < 2 ** (m + n); set++) {
        const own = [...Array(m + n).keys()].filter((i) => (set >> i) % 2 === 1);
        if (own.length !== m) continue;
        all++;
        const others = [...Array(m + n).keys()].filter((i) => !own.includes(i));
        if (Math.max(...own) < Math.min(...others) || Math.max(...others) < Math.min(...own)) apart++;
      }
      const areas = (count: number, from: number) => Array.from({ length: count }, (_, i) => from + i / 10);
      const verdict = compareWidths([cell(1500, areas(m, 1)), cell(1600, areas(n, 5))])!;
      expect(verdict.chance).toBeCloseTo(apart / all, 12);
    }
  });

  it('never calls two widths apart that have a run alike', () => {
    fc.assert(
      fc.property(
        fc.array(fc.integer({ min: 1, max: 9 }), { minLength: 1, maxLength: 4 }),
        fc.array(fc.integer({ min: 1, max: 9 }), { minLength: 1, maxLength: 4 }),
        (a, b) => {
          const verdict = compareWidths([cell(1500, a), cell(1600, b)])!;
          const apart = Math.max(...a) < Math.min(...b) || Math.max(...b) < Math.min(...a);
          expect(verdict.tied.length === 0).toBe(apart);
        },
      ),
    );
  });
});
