import { SaxesParser } from 'saxes';
import { describe, expect, it } from 'vitest';
import {
  type Comparison,
  comparisonOf,
  summaryLines,
  widthRows,
  widthsCsv,
  widthsHtml,
  widthsSvg,
} from '../../src/cli/widths-page.js';
import type { WidthCell, WidthRun } from '../../src/lay/index.js';
import { FABRIC } from '../lay/samples.js';

const run = (seed: number, length: number, width: number, rounds = 20): WidthRun => ({
  seed,
  length,
  area: (length * width) / 1000,
  mass: (0.28 * length * width) / 1000,
  cost: (7 * length * width) / 1000,
  garments: 10,
  efficiency: 0.8,
  rounds,
});
const cell = (width: number, lengths: readonly number[], over: Partial<WidthCell> = {}): WidthCell => ({
  width,
  mode: 'single',
  runs: lengths.map((length, i) => run(i + 1, length, width)),
  ...over,
});
const compare = (cells: readonly WidthCell[], over: Partial<Comparison> = {}): Comparison => ({
  ...comparisonOf(cells, {
    style: 'Test & <style>',
    fabric: { ...FABRIC, pricePerMetre: 11.55 },
    markers: [{ name: 'main', ratio: { M: 10, L: 0 } }],
    budget: { iterations: 20 },
    seeds: [1, 2, 3],
    threads: 2,
    seconds: 9,
    resumed: 0,
    wanted: 6,
    done: 6,
    unit: 'cm',
  }),
  ...over,
});
const apart = [cell(1500, [10, 10.02, 10.04]), cell(1650, [9.5, 9.52, 9.55])];
const fault = { width: 500, mode: 'folded', runs: [], fault: "piece 'front' is too wide" } as const;

describe('the words of a comparison', () => {
  it('tell the best apart only where no run of the next is as good, and how often chance would do that', () => {
    const lines = summaryLines(compare(apart)).join('\n');
    // 1500 mm: 15.03 m2, 10.52 EUR a garment; 1650 mm: 15.71 m2.
    expect(lines).toContain('Least: 150 cm single, 10.52 EUR a garment.');
    expect(lines).toContain('Every run of it is better than every run of the next, 165 cm single');
    // Two of twenty orders of three and three runs.
    expect(lines).toContain('would be seen in 10.0 % of comparisons');
    const near = [cell(1500, [10, 10.02, 10.04]), cell(1650, [9.11, 9.13, 9.16])];
    expect(summaryLines(compare(near)).join('\n')).toMatch(
      /Not told apart from it, for their runs overlap: 1\d\d cm single \(10\.\d\d EUR a garment\)/,
    );
  });

  it('say where nothing can be said: one run each, or no time for a round', () => {
    const one = [cell(1500, [10]), cell(1650, [9.5])];
    expect(summaryLines(compare(one, { seeds: [1] })).join('\n')).toContain(
      'One search each: nothing tells a difference from noise. Next: 165 cm single',
    );
    const idle = [cell(1500, [10, 10, 10]), { ...cell(1650, []), runs: [run(1, 9, 1650, 0)] }];
    const lines = summaryLines(compare(idle, { budget: { seconds: 1 } })).join('\n');
    expect(lines).toContain('1 search had no time for a single round');
    expect(lines).not.toContain('Every run of it');
    expect(lines).toContain('A search did 0 to 20 rounds in its time');
    expect(summaryLines(compare([fault]))[0]).toBe('Nothing was laid.');
  });

  it('tell what is missing, what cannot be laid, how prices were taken, and what the order takes', () => {
    const lines = summaryLines(compare([...apart, fault], { done: 4, times: 3, stamp: 'SEAMS' }));
    expect(lines[0]).toBe('SEAMS');
    const text = lines.join('\n');
    expect(text).toContain("50 cm folded cannot be laid: piece 'front' is too wide");
    expect(text).toContain('4 of 6 searches are done; the same command goes on with the rest.');
    expect(text).toContain('Prices: 11.55 EUR/m at 165 cm; other widths at the same price per square metre.');
    expect(text).toContain("The order's 30 garments are 3 times this: 150 cm single takes 30.06 m, 45.09 m2");
  });
});

describe('its table, plot and page', () => {
  it('has a row for every width and mode, with as many cells as heads', () => {
    const { head, rows } = widthRows(compare([...apart, fault]));
    expect(rows.map((row) => row.length)).toEqual([head.length, head.length, head.length]);
    expect(rows[0]!.slice(0, 6)).toEqual(['150 cm', 'single', '10.020 m', '10.000 m', '0.40 %', '1.002 m']);
    expect(rows[2]!.slice(0, 3)).toEqual(['50 cm', 'folded', 'cannot be laid']);
  });

  it('draws every run where its value stands, a cross where nothing can be laid, and is well formed', () => {
    const cells = [...apart, cell(1500, [11, 11.2, 11.1], { mode: 'folded' }), fault];
    const svg = widthsSvg(compare(cells));
    const circles: { cx: number; cy: number }[] = [];
    const parser = new SaxesParser();
    parser.on('opentag', ({ name, attributes }) => {
      const a = attributes as Record<string, string>;
      if (name === 'circle' && a['r'] === '2') circles.push({ cx: Number(a['cx']), cy: Number(a['cy']) });
    });
    parser.write(svg).close();
    expect(circles).toHaveLength(9 * 5);
    // First panel, length: single 1500 and 1650, then folded. Longer stands higher (SVG's y runs down).
    const [a, , c, d, , , e] = circles;
    expect(a!.cy).toBeGreaterThan(c!.cy);
    expect(d!.cy).toBeGreaterThan(a!.cy);
    expect(e!.cy).toBeLessThan(c!.cy);
    expect(d!.cx).toBeGreaterThan(a!.cx);
    expect((a!.cy - c!.cy) / (d!.cy - a!.cy)).toBeCloseTo((10.04 - 10) / (10 - 9.5), 1);
    expect(svg.match(/stroke-width="2"/g)).toHaveLength(5);
    const bare = { ...compare(cells), fabric: FABRIC };
    expect(widthsSvg({ ...bare, cells: cells.map(unpriced) }).match(/font-weight="bold"/g)).toHaveLength(4);
  });

  it('is one page that escapes what it is given and asks for nothing from outside', () => {
    const page = widthsHtml(compare([...apart, fault]));
    expect(page).toContain('<h1>Test &amp; &lt;style&gt;: widths and lay modes</h1>');
    expect(page).toContain('main: M x 10.');
    expect(page).not.toMatch(/<script|<link|src=|url\(/);
  });

  it('is a table for machines: a row for every run, in full', () => {
    const rows = widthsCsv(compare([...apart, fault]))
      .trim()
      .split('\r\n');
    expect(rows).toHaveLength(1 + 6 + 1);
    expect(rows[1]).toBe('1500,single,1,10,15,4.2,105,EUR,10.5,10,80,');
    expect(rows[7]).toBe("500,folded,,,,,,,,,,piece 'front' is too wide");
  });
});

const unpriced = (cell: WidthCell): WidthCell => ({
  ...cell,
  runs: cell.runs.map(({ cost: _, ...rest }) => rest),
});
