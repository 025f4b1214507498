import { existsSync, mkdtempSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { beforeAll, describe, expect, it, vi } from 'vitest';
import { DEMO, walewise } from '../e2e/cli.js';

vi.setConfig({ testTimeout: 120_000, hookTimeout: 240_000 });

const folder = (): string => mkdtempSync(join(tmpdir(), 'walewise-'));
const DATE = ['--date', '2026-03-31'];
const kept = folder();

beforeAll(async () => {
  const args = ['run', DEMO, '--out', kept, '--iterations', '1', '--threads', '1', ...DATE];
  expect((await walewise(args)).code).toBe(0);
});

const report = (...args: string[]) => walewise(['report', DEMO, '--from', kept, ...DATE, ...args]);

describe('report', () => {
  it('makes what run wrote again, the same bytes, without laying anything', async () => {
    const names = readdirSync(kept).filter((name) => /^(report\.|consumption|fabric-)/.test(name));
    expect(names).toContain('report.pdf');
    const before = names.map((name) => readFileSync(join(kept, name)));
    const { code, out } = await report();
    expect(code).toBe(0);
    names.forEach((name, i) => {
      const after = readFileSync(join(kept, name));
      // The fields of the JSON may stand in another order.
      if (name === 'report.json') {
        expect(JSON.parse(after.toString())).toEqual(JSON.parse(before[i]!.toString()));
      } else expect([name, after.equals(before[i]!)]).toEqual([name, true]);
      expect(out).toContain(join(kept, name));
    });
  });

  it('counts the plies it is told and writes a cut sheet for every lay', async () => {
    const out = folder();
    const { code, out: said } = await report('--out', out, '--plies', '9', '--spare', '3%', '--json');
    expect(code).toBe(0);
    const { report: json } = JSON.parse(said) as {
      report: {
        buy: { garments: number; plies: number; drawn: { length: number }; needed: { length: number } }[];
      };
    };
    for (const bought of json.buy) {
      expect([bought.plies, bought.garments]).toEqual([9, 144]);
      expect(bought.needed.length).toBeCloseTo(bought.drawn.length * 1.03, 9);
    }
    const names = readdirSync(out);
    for (const name of ['cut-sheet-1-self-165', 'cut-sheet-2-rib-90']) {
      expect(names).toContain(`${name}.pdf`);
      expect(readFileSync(join(out, `${name}.html`), 'utf8')).toContain('144 in all');
    }
    expect(names).not.toContain('marker-self-165.dxf');
    // What run wrote lies elsewhere: it is not among the files of this report.
    expect(readFileSync(join(out, 'report.html'), 'utf8')).not.toContain('sample-M-A4.pdf');
  });

  it('takes plies by marker', async () => {
    const out = folder();
    const { code, out: said } = await report('--out', out, '--plies', 'self-165:9,rib-90:5', '--quiet');
    expect(code).toBe(0);
    expect(said).toMatch(/^self .*144$/m);
    expect(said).toMatch(/^rib .*80$/m);
    expect(said).not.toContain('report.pdf');
  });

  it.each([
    [['--plies', '0'], /'0' is not a number of plies[\s\S]*write 9/],
    [['--plies', 'self-156:3'], /there is no marker 'self-156'[\s\S]*did you mean 'self-165'/],
    [['--plies', 'self-165:3'], /how many of marker 'rib-90'\?/],
    [['--plies', 'rib-90:1,rib-90:2'], /marker 'rib-90' is given twice/],
    [['--spare', '120'], /--spare must be a percentage from 0 to under 100, not '120'/],
    [['--from', 'nowhere'], /cannot read 'nowhere\/report.json'/],
    [['--widths', 'nowhere.json'], /cannot read 'nowhere.json'/],
    [['--paper', 'A7'], /Allowed choices are A4, Letter/],
  ])('refuses %j with one message and exit code 2, and writes nothing', async (args, message) => {
    const out = join(folder(), 'out');
    const { code, err } = await report('--out', out, ...args);
    expect(err).toMatch(message);
    expect(err).not.toMatch(/\n\s+at .*\.js:\d+/);
    expect(code).toBe(2);
    expect(existsSync(out)).toBe(false);
  });

  it('refuses markers of another state of the style', async () => {
    const style = join(folder(), 'style.yaml');
    writeFileSync(style, readFileSync(DEMO, 'utf8').replace('by: 7/8', 'by: 3/4'));
    const out = join(folder(), 'out');
    const { code, err } = await walewise(['report', style, '--from', kept, '--out', out]);
    expect(err).toMatch(/marker '[\w-]+' was laid for another state of the style/);
    expect([code, existsSync(out)]).toEqual([2, false]);
  });
});
