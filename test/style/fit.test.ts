import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { loadPresets } from '../../src/cli/load.js';
import { fitCsv } from '../../src/exchange/index.js';
import { developStyle, fitRows, fitTable, girthFit, readStyle } from '../../src/style/index.js';

const presets = await loadPresets();
const DEMO = readFileSync(join(import.meta.dirname, '../../fixtures/demo/harbour-crew.yaml'), 'utf8');
const read = (text: string) => {
  const style = readStyle(text, 'style.yaml', presets);
  return { style, range: developStyle(style).range };
};
const { style, range } = read(DEMO);
const fit = fitTable(style, range);

describe('the fit of one girth', () => {
  // Trade writing on negative ease (untitledthoughts.com): 28 in x 1.30 = 36.4 in does not reach a body of 37 in.
  it('fails a 28 in garment of 30 % stretch on a 37 in body by 0.6 in', () => {
    const girth = girthFit('hem girth', 28, 37, 0.3);
    expect(girth.within).toBe(false);
    expect((37 - 28 * 1.3).toFixed(1)).toBe('0.6');
    expect(girth.ease).toBe(-9);
    expect(girth.stretchUsed).toBeCloseTo(37 / 28 - 1, 12);
  });

  // Computed from the 95th percentile of men's heads (Dutch growth data, 59.8 cm) and a 46 cm neckline.
  it('needs 30 % to take a 46 cm neckline over a 59.8 cm head', () => {
    const girth = girthFit('neck', 46, 59.8, 0.3);
    expect((girth.stretchUsed * 100).toFixed(0)).toBe('30');
    expect(girth.within).toBe(true);
  });

  it('uses no stretch where there is ease', () => {
    expect(girthFit('chest girth', 1000, 940, 0)).toMatchObject({ ease: 60, stretchUsed: 0, within: true });
  });
});

describe('the fit table', () => {
  it('has every size with its girths and the way over the head', () => {
    expect(fit.map((f) => f.size)).toEqual(range.sizes.map((s) => s.size));
    for (const { girths, neck } of fit) {
      expect(girths.map((g) => g.girth)).toEqual([
        'chest girth',
        'waist girth',
        'hem girth',
        'bicep',
        'sleeve hem',
      ]);
      for (const g of girths) expect(g.ease).toBeCloseTo(g.garment - g.body, 9);
      expect(neck!.relaxed * (1 + neck!.stretch)).toBeCloseTo(neck!.opening, 9);
      expect(neck!.within).toBe(neck!.stretchUsed <= neck!.stretch);
    }
  });

  it('keeps the chest ease of a style graded by the steps of its own body chart', () => {
    const ease = fit.map((f) => f.girths[0]!.ease);
    for (const mm of ease) expect(mm).toBeCloseTo(ease[0]!, 6);
  });

  it('says the same as the checks in words', () => {
    const rows = fitRows(style, range, 'cm');
    expect(rows).toHaveLength(fit.length * 5);
    expect(rows.filter((r) => !r.within)).toEqual([]);
    const m = rows.filter((r) => r.size === 'M');
    expect(m[0]!.measured).toBeCloseTo(fit.find((f) => f.size === 'M')!.girths[0]!.ease, 9);
  });

  it('fails a size whose band is too tight for the head, and names the band', () => {
    const tight = read(DEMO.replace('front.neckline], ratio: 0.85', 'front.neckline], ratio: 0.5'));
    const [small] = fitTable(tight.style, tight.range);
    expect(small!.neck).toMatchObject({ limit: 'neckband', within: false });
    expect(small!.neck!.stretchUsed).toBeGreaterThan(small!.neck!.stretch);
  });

  it('fails a sleeve too narrow for the hand', () => {
    const narrow = read(DEMO.replace('widen-wrist: 1/4', 'widen-wrist: -7/8'));
    const failed = fitRows(narrow.style, narrow.range, 'cm').filter((r) => !r.within);
    expect(failed.length).toBeGreaterThan(0);
    expect(failed.every((r) => r.check.startsWith('wrist opening') && r.wanted.includes('the hand'))).toBe(
      true,
    );
    expect(fitTable(narrow.style, narrow.range)[0]!.hand!.limit).toBe('sleeve hem');
  });

  it('measures a half size against the body between its neighbours', () => {
    const half = read(DEMO.replace('  base: M\n', '  base: M\n  half-sizes: { M/L: [M, L] }\n'));
    const table = fitTable(half.style, half.range);
    expect(table.map((f) => f.size)).toContain('M/L');
    const chest = (size: string) => table.find((f) => f.size === size)!.girths[0]!;
    expect(chest('M/L').body).toBeCloseTo((chest('M').body + chest('L').body) / 2, 9);
    expect(chest('M/L').garment).toBeCloseTo((chest('M').garment + chest('L').garment) / 2, 6);
  });

  it('is empty for a style without a body chart', () => {
    expect(fitTable({ ...style, chart: undefined } as never, range)).toEqual([]);
  });

  it('writes a line for every girth and head', () => {
    const lines = fitCsv(fit, 'cm').trim().split('\r\n');
    expect(lines).toHaveLength(1 + 7 * 7);
    expect(lines[1]).toMatch(/^XS,chest girth,78,93\.\d+,15\.\d+,0,25,yes,cm$/);
    expect(lines[6]).toMatch(/^XS,neck opening over the head \(neckline\),54,/);
  });
});
