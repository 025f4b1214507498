import { existsSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import * as polyclip from 'polyclip-ts';
import { describe, expect, it } from 'vitest';
import { DEMO, temporaryFolder, walewise } from './cli.js';

const demoText = readFileSync(DEMO, 'utf8');

/** A style file in a folder of its own: the demo with one text put in place of another. */
function styleWith(from: string, to: string): string {
  if (!demoText.includes(from)) throw new Error(`the demo has no '${from}'`);
  const file = join(temporaryFolder(), 'style.yaml');
  writeFileSync(file, demoText.replace(from, to));
  return file;
}

const QUICK = ['--iterations', '2', '--threads', '1', '--date', '2026-03-31'];

describe('the command line', () => {
  it('lists its commands and ends with 0', async () => {
    const { code, out } = await walewise(['--help']);
    expect(code).toBe(0);
    for (const name of ['new', 'check', 'grade', 'lay', 'nest', 'run', 'presets'])
      expect(out).toMatch(new RegExp(`^  ${name}`, 'm'));
  });

  it.each([
    [['chek'], /unknown command 'chek'/],
    [['check'], /missing required argument 'style'/],
    [['check', 'x.yaml', '--fast'], /unknown option '--fast'/],
    [['lay', DEMO, '--seconds', '-3'], /--seconds must be a number above 0, up to 86400, not '-3'/],
    [['lay', DEMO], /say which marker to lay/],
    [['lay', DEMO, '--marker', 'self-156'], /no marker 'self-156'[\s\S]*did you mean 'self-165'/],
    [['lay', DEMO, '--ratio', 'S2'], /'S2' is not a size with its count/],
    [['lay', DEMO, '--ratio', 'SX:2'], /unknown size 'SX'/],
    [['check', 'nowhere.yaml'], /cannot read 'nowhere.yaml': no such file/],
    [['check', '.'], /this is a folder/],
    [['lay', DEMO, '--ratio', 'S:1,S:2'], /size 'S' is given twice/],
    [['lay', DEMO, '--ratio', 'S:1', '--marker', 'rib-90'], /--ratio and --marker both say/],
    [['lay', DEMO, '--marker', 'self-165', '--fabric', 'rib'], /is laid on 'self', not on 'rib'/],
    [['run', DEMO, '--seed', ''], /--seed must be a whole number/],
    [['run', DEMO, '--date', '2026-02-30'], /'2026-02-30' is not a day/],
    [['run', DEMO, '--out', DEMO], /harbour-crew.yaml/],
    [['new', DEMO], /harbour-crew.yaml/],
  ])('refuses %j with one message and exit code 2', async (args, message) => {
    const { code, out, err } = await walewise(args);
    expect(err).toMatch(message);
    expect(err).not.toMatch(/\n\s+at .*\.js:\d+/);
    expect(out).toBe('');
    expect(code).toBe(2);
  });

  it('starts a folder with the demo, checks it, and never writes over a style', async () => {
    const folder = temporaryFolder();
    const first = await walewise(['new', folder]);
    expect(first.code).toBe(0);
    const style = join(folder, 'harbour-crew.yaml');
    expect(readFileSync(style, 'utf8')).toBe(demoText);
    const again = await walewise(['new', folder]);
    expect([again.code, again.err]).toEqual([2, expect.stringMatching(/is there already/)]);
    const check = await walewise(['check', style]);
    expect(check.code).toBe(0);
    expect(check.out).toMatch(/every seam sews in every size; every join is smooth/);
  });

  it('checks as JSON for machines', async () => {
    const { code, out } = await walewise(['check', DEMO, '--json']);
    const report = JSON.parse(out) as { passed: boolean; truing: { seams: { matches: boolean }[] }[] };
    expect(code).toBe(0);
    expect(report.passed).toBe(true);
    expect(report.truing.flatMap((t) => t.seams).every((s) => s.matches)).toBe(true);
  });

  it('prints the size chart in the unit asked for', async () => {
    const inches = await walewise(['grade', DEMO]);
    const metric = await walewise(['grade', DEMO, '--units', 'cm']);
    expect(inches.out).toMatch(/^chest girth.* 43 /m);
    expect(metric.out).toMatch(/^chest girth.* 109\.2 /m);
  });

  it('prints its presets with their sources', async () => {
    const { code, out } = await walewise(['presets']);
    expect(code).toBe(0);
    expect(out).toMatch(/block knit-block-women[\s\S]*source: /);
    expect(out).toMatch(/increments women-en/);
    expect(out).toMatch(/EN 13402-3/);
  });
});

describe('a seam that does not match', () => {
  // Taking the step that matches the shoulders' sides out leaves side seams of two lengths.
  const broken = () => styleWith('  - level-side-seams: { how: hem }\n', '');

  it('fails the check with exit code 1 and says which seam', async () => {
    const { code, out } = await walewise(['check', broken()]);
    expect(code).toBe(1);
    expect(out).toMatch(/side .*too long/);
  });

  it.each([
    ['run', []],
    ['lay', ['--marker', 'rib-90']],
  ])('stops %s before anything is written, and says what mends it', async (command, args) => {
    const out = join(temporaryFolder(), 'out');
    const { code, err } = await walewise([command, broken(), '--out', out, ...args, ...QUICK]);
    expect(code).toBe(1);
    expect(err).toMatch(/seams do not match: side in/);
    expect(err).toMatch(/side: put level-side-seams .*before step 7 \(balance-armholes\)/);
    expect(existsSync(out)).toBe(false);
  });

  it('goes on with --allow-seam-errors and stamps every output', async () => {
    const out = join(temporaryFolder(), 'out');
    const { code } = await walewise(['run', broken(), '--out', out, '--allow-seam-errors', ...QUICK]);
    expect(code).toBe(0);
    for (const name of ['marker-self-165.svg', 'marker-self-165.dxf', 'report.html', 'report.json']) {
      expect(readFileSync(join(out, name), 'utf8')).toMatch(/SEAMS DO NOT MATCH/);
    }
  });

  it('stamps every SVG and DXF that lay writes with --allow-seam-errors', async () => {
    const out = join(temporaryFolder(), 'out');
    const args = ['--marker', 'rib-90', '--out', out, '--allow-seam-errors', ...QUICK];
    expect((await walewise(['lay', broken(), ...args])).code).toBe(0);
    const drawn = readdirSync(out).filter((name) => /\.(?:svg|dxf)$/.test(name));
    expect(drawn).toEqual(expect.arrayContaining(['marker-rib-90.svg', 'marker-rib-90.dxf']));
    for (const name of drawn)
      expect(readFileSync(join(out, name), 'utf8'), name).toMatch(/SEAMS DO NOT MATCH/);
  });
});

describe('broken styles', () => {
  it.each([
    [
      'unknown piece',
      'slash: { piece: back',
      'slash: { piece: bakc',
      2,
      /unknown piece 'bakc'[\s\S]*style.yaml:12:5[\s\S]*did you mean 'back'/,
    ],
    ['unknown edge', 'to: hem,', 'to: hemm,', 2, /no edge 'hemm'/],
    ['unknown point', 'to: hem,', 'to: sied-hem,', 2, /'sied-hem'/],
    [
      'increments for an unknown size',
      'increments: { preset: women-en }',
      'increments: { preset: women-en, bust: { step: 2, breaks: { 5XL: 3 } } }',
      2,
      /5XL/,
    ],
    [
      'a piece wider than the fabric',
      'price-per-metre: 11.40',
      'price-per-metre: 11.40, usable-width: 50 cm',
      2,
      /wide and the fabric 'self' has 500.0 mm/,
    ],
    ['a sleeve no cap height can solve', 'widen: 1,', 'widen: 6,', 1, /no cap height makes a sleeve/],
    ['an option misspelt', 'open: 1,', 'opne: 1,', 2, /unknown field 'opne': did you mean 'open'/],
    ['an alias that leads nowhere', 'open: 1,', 'open: *x,', 2, /not valid YAML/],
    ['YAML that does not parse', 'alter:\n', 'alter: [\n', 2, /not valid YAML/],
    ['a negative length', 'open: 1,', 'open: -1,', 2, /must not be negative/],
    ['a length that is no number', 'open: 1,', 'open: .nan,', 2, /NaN/],
    ['a shrinkage out of reason', 'lay:\n', 'lay:\n  gap: -2 mm\n#', 2, /must not be negative/],
  ])('%s: one clear message, its exit code, no stack trace, no file', async (_, from, to, exit, message) => {
    const out = join(temporaryFolder(), 'out');
    const { code, err } = await walewise(['run', styleWith(from, to), '--out', out, ...QUICK]);
    expect(err).toMatch(message);
    expect(err.match(/^error: /gm)).toHaveLength(1);
    expect(err).not.toMatch(/\n\s+at .*\.js:\d+/);
    expect(code).toBe(exit);
    expect(existsSync(out)).toBe(false);
  });
});

describe('run', () => {
  it('writes every file, and the same bytes for the same seed, rounds and date', async () => {
    const [first, second] = [temporaryFolder(), temporaryFolder()];
    const runs = [
      await walewise(['run', DEMO, '--out', first, ...QUICK]),
      await walewise(['run', DEMO, '--out', second, ...QUICK]),
    ];
    expect(runs.map((r) => r.code)).toEqual([0, 0]);
    const names = readdirSync(first).sort();
    expect(names).toEqual(readdirSync(second).sort());
    for (const name of names) {
      expect(runs[0]!.out).toContain(join(first, name));
      expect(readFileSync(join(first, name)).length).toBeGreaterThan(100);
      // The report tells how long the search took; everything else must not differ by a byte.
      if (name.startsWith('report')) continue;
      expect(readFileSync(join(first, name)).equals(readFileSync(join(second, name)))).toBe(true);
    }
    expect(names.filter((name) => name.startsWith('marker-self-165'))).toEqual([
      'marker-self-165-overview.pdf',
      'marker-self-165-piece-list.csv',
      'marker-self-165-placements.csv',
      'marker-self-165.dxf',
      'marker-self-165.pdf',
      'marker-self-165.svg',
    ]);
    expect(names).toContain('sample-M-A4.pdf');
  });
});

describe('lay', () => {
  it('tells how far pieces lie off the grain and the span for shade', async () => {
    const style = join(temporaryFolder(), 'loose.yaml');
    const demo = readFileSync(DEMO, 'utf8');
    writeFileSync(style, demo.replace('lay:\n', 'lay:\n  tilt: 1\n  shade-span: 2 m\n'));
    const { code, out } = await walewise(['lay', style, '--ratio', 'S:1', ...QUICK]);
    expect(code).toBe(0);
    const off = Number(/pieces lie up to (\d\.\d) degrees off the grain/.exec(out)?.[1]);
    expect(off).toBeGreaterThanOrEqual(0);
    expect(off).toBeLessThanOrEqual(1);
    expect(out).toContain('the pieces of each garment lie within 2.000 m (2.187 yd) of the cloth, for shade');
  });

  it('prints placements whose outlines an independent polygon library finds apart', async () => {
    const { code, out } = await walewise(['lay', DEMO, '--ratio', 'S:1,L:1', '--json', ...QUICK]);
    expect(code).toBe(0);
    const marker = JSON.parse(out) as {
      width: number;
      length: number;
      placements: { item: string; outline: [number, number][] }[];
    };
    expect(marker.placements.map((p) => p.item).sort()).toEqual([
      'back',
      'back',
      'front',
      'front',
      'sleeve',
      'sleeve',
      'sleeve',
      'sleeve',
    ]);
    const outlines = marker.placements.map((p) => p.outline);
    for (const [x, y] of outlines.flat()) {
      expect(x >= 0 && x <= marker.length && y >= 0 && y <= marker.width).toBe(true);
    }
    for (let i = 0; i < outlines.length; i++) {
      for (let j = i + 1; j < outlines.length; j++) {
        expect(polyclip.intersection([outlines[i]!], [outlines[j]!])).toEqual([]);
      }
    }
  });

  it('stopped by Ctrl-C keeps the best layout so far and ends with 130', async () => {
    const out = temporaryFolder();
    const args = ['lay', DEMO, '--marker', 'self-165', '--seconds', '300', '--out', out, '--json'];
    const { code, out: text } = await walewise(args, (child) => {
      setTimeout(() => child.kill('SIGINT'), 6000);
    });
    expect(code).toBe(130);
    const marker = JSON.parse(text) as { verified: boolean; placements: unknown[] };
    expect(marker.verified).toBe(true);
    expect(marker.placements).toHaveLength(64);
    expect(existsSync(join(out, 'marker-self-165.dxf'))).toBe(true);
  });
});
