import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Command } from 'commander';
import { unzipSync } from 'fflate';
import { PDFDocument } from 'pdf-lib';
import { afterAll, beforeAll, describe, expect, it, vi } from 'vitest';
import { exportCommand } from '../../src/cli/export.js';
import { layCommand } from '../../src/cli/lay.js';
import { type Console, describeError } from '../../src/cli/output.js';
import { runCommand } from '../../src/cli/run.js';
import { readDxf, readPatternDxf } from '../../src/exchange/dxf/index.js';
import { hasTool, needing, run as runTool } from '../exchange/tools.js';

// Small searches, but of a whole style, on a busy machine.
vi.setConfig({ testTimeout: 120_000, hookTimeout: 120_000 });

const DEMO = join(import.meta.dirname, '../../fixtures/demo/harbour-crew.yaml');
const QUICK = ['--iterations', '1', '--threads', '1', '--date', '2026-03-31'];
const DATE = ['--date', '2026-03-31'];
const folder = mkdtempSync(join(tmpdir(), 'walewise-export-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));
const within = (...parts: string[]) => join(folder, ...parts);

interface Outcome {
  readonly code: number;
  readonly out: string;
  readonly err: string;
}

async function walewise(make: (console: Console) => Command, ...args: string[]): Promise<Outcome> {
  const [out, err]: [string[], string[]] = [[], []];
  const command = make({ out: (t) => out.push(t), err: (t) => err.push(t), live: false });
  try {
    await command.exitOverride().parseAsync(args, { from: 'user' });
    return { code: 0, out: out.join('\n'), err: err.join('\n') };
  } catch (error) {
    const { text, code } = describeError(error);
    return { code, out: out.join('\n'), err: [...err, text].join('\n') };
  }
}

function edited(name: string, ...changes: [from: string, to: string][]): string {
  let text = readFileSync(DEMO, 'utf8');
  for (const [from, to] of changes) {
    expect(text).toContain(from);
    text = text.replace(from, to);
  }
  writeFileSync(within(name), text);
  return within(name);
}

/** The demo with one garment in its markers. */
const RATIO = '{ XS: 2, S: 3, M: 4, L: 3, XL: 2, 2XL: 1, 3XL: 1 }';
const small = (name: string, ...changes: [string, string][]) =>
  edited(name, [RATIO, '{ M: 1 }'], [RATIO, '{ M: 1 }'], ...changes);

const laid = (name: string) => JSON.parse(readFileSync(within(name), 'utf8'));
const keep = (name: string, value: unknown) => writeFileSync(within(name), JSON.stringify(value));

let style = '';
beforeAll(async () => {
  style = small('style.yaml');
  for (const [name, ...args] of [
    ['self.json', '--marker', 'self-165'],
    ['rib.json', '--marker', 'rib-90'],
  ] as const) {
    const out = within(name.replace('.json', ''));
    const { code, out: json } = await walewise(layCommand, style, ...args, ...QUICK, '--json', '--out', out);
    expect(code).toBe(0);
    writeFileSync(within(name), json);
  }
});

describe('walewise export --marker', () => {
  it.each(['self', 'rib'])('writes what lay wrote, byte for byte, without laying anew (%s)', async (name) => {
    const out = within(`${name}-again`);
    const { code } = await walewise(
      exportCommand,
      style,
      '--marker',
      '--from',
      within(`${name}.json`),
      '--out',
      out,
      ...DATE,
    );
    expect(code).toBe(0);
    const before = readdirSync(within(name));
    expect(before.length).toBeGreaterThan(5);
    for (const file of before) {
      expect(Buffer.compare(readFileSync(join(out, file)), readFileSync(within(name, file))), file).toBe(0);
    }
    expect(readdirSync(out).filter((file) => !before.includes(file))).toEqual(['READ-ME-cutting.txt']);
  });

  it('says the length of the cut lines, as machines read it too', async () => {
    const out = within('said');
    const args = [style, '--marker', 'self-165', '--from', within('self.json'), '--out', out, ...DATE];
    const { out: text } = await walewise(exportCommand, ...args);
    const { out: json } = await walewise(exportCommand, ...args, '--json');
    const [marker] = JSON.parse(json).markers;
    expect(marker).toMatchObject({
      name: 'self-165',
      closed: 4,
      foldToFold: 0,
      shared: 0,
      faults: [],
      gap: 2,
    });
    expect(text).toContain(`${(marker.cutLength / 1000).toFixed(3)} m`);
    expect(readFileSync(join(out, 'cut-lines.csv'), 'utf8')).toContain(
      `self-165,4,4,0,${Number((marker.cutLength / 1000).toFixed(4))},2,0,0,`,
    );
    expect(JSON.parse(json).files).toContain(join(out, 'marker-self-165.dxf'));
  });

  it('prints on the papers asked for', async () => {
    const out = within('papers');
    const { code } = await walewise(
      exportCommand,
      style,
      '--marker',
      '--from',
      within('rib.json'),
      '--out',
      out,
      '--paper',
      'A4,a0',
    );
    expect(code).toBe(0);
    const pdfs = readdirSync(out).filter((file) => file.endsWith('.pdf'));
    expect(pdfs.sort()).toEqual([
      'marker-rib-90-A0.pdf',
      'marker-rib-90-A4.pdf',
      'marker-rib-90-overview.pdf',
    ]);
  });

  it('writes R12, inches and cut lines alone when asked to, and tells so in the note', async () => {
    const out = within('r12');
    const how = ['--dxf', 'r12', '--dxf-units', 'in', '--cut-only'];
    await walewise(exportCommand, style, '--marker', '--from', within('rib.json'), '--out', out, ...how);
    const text = readFileSync(join(out, 'marker-rib-90.dxf'), 'utf8');
    expect(text).toContain('AC1009');
    expect(text).toMatch(/POLYLINE\s+8\s+CUT/);
    expect(text).not.toMatch(/LABEL|NOTCH|GRAIN/);
    const note = readFileSync(join(out, 'READ-ME-cutting.txt'), 'utf8').replace(/\s+/g, ' ');
    expect(note).toContain('Inches (R12; the file has no field for its unit)');
    expect(note).toContain('Only the cut lines are in the drawing');
  });

  it('parts a marker beyond 5.08 m into pages, and makes it one with a warning only when asked to', async () => {
    // The last piece six metres farther along the cloth, and the figures to match.
    const data = laid('self.json');
    const last = data.placements.reduce((a: { x: number }, b: { x: number }) => (b.x > a.x ? b : a));
    last.x += 6000;
    const used = data.density * data.length;
    data.length = Math.max(
      ...data.placements.flatMap((p: typeof last) =>
        p.outline.map(([x]: [number]) => x + (p === last ? 6000 : 0)),
      ),
    );
    data.density = used / data.length;
    keep('long.json', data);
    const pages = async (out: string, ...more: string[]) => {
      const args = ['--marker', '--from', within('long.json'), '--out', within(out), ...more];
      const { code, err } = await walewise(exportCommand, style, ...args);
      expect([code, err]).toEqual([0, expect.anything()]);
      const pdf = await PDFDocument.load(readFileSync(within(out, 'marker-self-165.pdf')));
      return { count: pdf.getPageCount(), err };
    };
    expect(await pages('parted')).toEqual({ count: 2, err: '' });
    const one = await pages('one', '--user-unit');
    expect(one.count).toBe(1);
    expect(one.err).toMatch(
      /WARNING: marker self-165: This page is longer than 5\.08 m .* 2 times too small/,
    );
  });

  it.each<[string, (data: ReturnType<typeof laid>) => void, RegExp]>([
    [
      'a piece moved onto another',
      (d) => Object.assign(d.placements[1], { x: d.placements[0].x, y: d.placements[0].y }),
      /failed its exact check and is not written/,
    ],
    ['a piece left out', (d) => d.placements.splice(2, 1), /another state of the style|1 too few of piece/],
    [
      'a piece there twice',
      (d) => d.placements.push(d.placements[0]),
      /another state of the style|1 too many of piece/,
    ],
    [
      'a piece the style does not have',
      (d) => Object.assign(d.placements[0], { item: 'bakc' }),
      /no longer has the piece 'bakc'.*did you mean 'back'/,
    ],
    ['a fabric the style does not have', (d) => Object.assign(d, { fabric: 'slef' }), /did you mean 'self'/],
    ['a number that is text', (d) => Object.assign(d.placements[0], { x: 'far' }), /placements\.0\.x/],
    ['no verified length', (d) => Object.assign(d, { length: -1 }), /length/],
  ])('refuses a kept file with %s and writes nothing', async (_, change, message) => {
    const data = laid('self.json');
    change(data);
    keep('changed.json', data);
    const out = within('never');
    const { code, err } = await walewise(
      exportCommand,
      style,
      '--marker',
      '--from',
      within('changed.json'),
      '--out',
      out,
    );
    expect(err.replace(/\s+/g, ' ')).toMatch(message);
    expect(code).toBeGreaterThan(0);
    expect(() => readdirSync(out)).toThrow();
  });

  it('refuses a layout of another state of the style', async () => {
    const wider = small('wider.yaml', ['default: 3/8', 'default: 1/2']);
    const { code, err } = await walewise(
      exportCommand,
      wider,
      '--marker',
      '--from',
      within('self.json'),
      '--out',
      within('never'),
    );
    expect([code, err]).toEqual([2, expect.stringMatching(/laid for another state of the style/)]);
  });

  it('warns of lines that pieces share at a gap of 0, and counts them in the table', async () => {
    const gapless = small('gapless.yaml', ['gap: 2 mm', 'gap: 0 mm']);
    const { out: json, err } = await walewise(layCommand, gapless, '--marker', 'rib-90', ...QUICK, '--json');
    writeFileSync(within('gapless.json'), json);
    expect(err).toMatch(/WARNING: gap 0 in rib-90: [\d.]+ m .* shared by two pieces/);
    const out = within('gapless');
    const again = await walewise(
      exportCommand,
      gapless,
      '--marker',
      '--from',
      within('gapless.json'),
      '--out',
      out,
    );
    expect(again.err).toMatch(/WARNING: gap 0 in rib-90/);
    const [, row] = readFileSync(join(out, 'cut-lines.csv'), 'utf8').split('\r\n');
    expect(Number(row!.split(',')[6])).toBeGreaterThan(0.05);
    expect(readFileSync(join(out, 'READ-ME-cutting.txt'), 'utf8')).toContain('WARNING: gap 0');
  });
});

describe('walewise export --pack', () => {
  const PACK = [
    'READ-ME.txt',
    'cut-lines.csv',
    'marker-self-165-overview.pdf',
    'marker-self-165.dxf',
    'piece-list.csv',
  ];

  it('is one zip, the same bytes each time, with cut sheets where plies are known', async () => {
    const pack = (name: string, ...more: string[]) =>
      walewise(exportCommand, style, '--from', within('self.json'), '--pack', within(name), ...DATE, ...more);
    const plain = await pack('a.zip');
    expect(plain.code).toBe(0);
    expect(plain.err).toMatch(/no cut sheets are in the pack: they need the plies/);
    await pack('b.zip');
    expect(Buffer.compare(readFileSync(within('a.zip')), readFileSync(within('b.zip')))).toBe(0);
    expect(Object.keys(unzipSync(readFileSync(within('a.zip')))).sort()).toEqual(PACK);
    expect((await pack('c.zip', '--plies', '9')).err).not.toMatch(/no cut sheets/);
    const names = Object.keys(unzipSync(readFileSync(within('c.zip'))));
    expect(names).toEqual(expect.arrayContaining(['cut-sheet-1-self-165.pdf', 'cut-sheet-1-self-165.html']));
  });

  it.skipIf(!hasTool('pdftotext'))(
    needing('lets nothing private of the style out', 'pdftotext', hasTool('pdftotext')),
    async () => {
      await walewise(
        exportCommand,
        small('priced.yaml', ['price-per-metre: 11.40', 'price-per-metre: 7731.77']),
        '--from',
        within('self.json'),
        '--pack',
        within('private.zip'),
        '--plies',
        '9',
        ...DATE,
      );
      const entries = Object.entries(unzipSync(readFileSync(within('private.zip'))));
      expect(entries.length).toBeGreaterThan(5);
      for (const [name, bytes] of entries) {
        writeFileSync(within('entry'), bytes);
        const text = name.endsWith('.pdf')
          ? runTool('pdftotext', [within('entry'), '-'])
          : Buffer.from(bytes).toString();
        // Prices, points of measure, steps of the recipe and seams of the demo.
        for (const secret of [
          '7731',
          'EUR',
          /chest|bicep|across back|armhole depth/i,
          /slash|lengthen|balance-armholes|cap-ease/,
          /women-en|knit-block/,
          /underarm seam|cap ease/i,
        ]) {
          expect(text, name).not.toMatch(secret);
        }
      }
    },
  );

  it('takes in the pattern, the size chart or plots when they are asked for', async () => {
    const { code } = await walewise(
      exportCommand,
      style,
      '--from',
      within('self.json'),
      '--pack',
      within('more.zip'),
      '--pack-with',
      'pattern',
      'size-chart',
      'plots',
      ...DATE,
    );
    expect(code).toBe(0);
    const names = Object.keys(unzipSync(readFileSync(within('more.zip'))));
    expect(names).toEqual(
      expect.arrayContaining([
        'pattern-harbour-crew.dxf',
        'pattern-harbour-crew.rul',
        'size-chart.csv',
        'marker-self-165.pdf',
      ]),
    );
  });

  it('is written by run too, and run keeps what export needs', async () => {
    const out = within('run');
    const { code } = await walewise(
      runCommand,
      style,
      '--out',
      out,
      '--pack',
      within('run.zip'),
      ...QUICK,
      '--quiet',
    );
    expect(code).toBe(0);
    expect(Object.keys(unzipSync(readFileSync(within('run.zip'))))).toEqual(
      expect.arrayContaining(['marker-rib-90.dxf', 'marker-self-165.dxf']),
    );
    const again = within('from-run');
    expect(
      (await walewise(exportCommand, style, '--marker', '--from', out, '--out', again, ...DATE)).code,
    ).toBe(0);
    for (const file of readdirSync(again)) {
      expect(Buffer.compare(readFileSync(join(again, file)), readFileSync(join(out, file))), file).toBe(0);
    }
  });
});

describe('walewise export --pattern', () => {
  const pattern = (out: string, ...args: string[]) =>
    walewise(exportCommand, style, '--pattern', '--out', within(out), ...DATE, ...args);

  it('writes the base size with its rule table, sizes in one file, or a file for each', async () => {
    expect((await pattern('rules')).code).toBe(0);
    expect(readdirSync(within('rules')).sort()).toEqual([
      'pattern-harbour-crew.dxf',
      'pattern-harbour-crew.rul',
    ]);
    await pattern('sizes', '--sizes', 'S,M');
    expect(readdirSync(within('sizes'))).toEqual(['pattern-harbour-crew.dxf']);
    await pattern('each', '--per-size', '--sizes', 'S,M');
    expect(readdirSync(within('each')).sort()).toEqual([
      'pattern-harbour-crew-m.dxf',
      'pattern-harbour-crew-s.dxf',
    ]);
    await pattern('paper', '--paper', 'a0');
    expect(readdirSync(within('paper'))).toContain('pattern-m-A0.pdf');
  });

  it('writes inches and sewing lines when asked to', async () => {
    await pattern('inches', '--dxf-units', 'in');
    await pattern('plain', '--no-allowances');
    const text = (out: string) => readFileSync(within(out, 'pattern-harbour-crew.dxf'), 'utf8');
    expect(text('rules')).toMatch(/Units: METRIC/i);
    expect(text('inches')).toMatch(/Units: ENGLISH/i);
    expect(text('plain')).not.toBe(text('rules'));
    // Opened, a back on the fold has no mirror line and twice the width.
    await pattern('opened', '--fold', 'open');
    const back = (out: string) =>
      readPatternDxf(readDxf(readFileSync(within(out, 'pattern-harbour-crew.dxf')), out)).pieces.find(
        (piece) => piece.name === 'back',
      )!;
    const width = (out: string) => {
      const xs = back(out).boundary.vertices.map(({ at }) => at[0]);
      return Math.max(...xs) - Math.min(...xs);
    };
    expect(back('rules').mirror).toBeDefined();
    expect(back('opened').mirror).toBeUndefined();
    expect(width('opened')).toBeCloseTo(2 * width('rules'), 2);
  });
});

describe('what export refuses', () => {
  it.each<[string[], RegExp]>([
    [['--out', 'x'], /say what to export/],
    [['--pattern'], /say where the files go/],
    [['--marker', '--out', 'x', '--sizes', 'S'], /--sizes.*say how --pattern is written/],
    [['--pattern', '--out', 'x', '--paper', 'roll'], /--paper roll is for markers/],
    [['--pattern', '--out', 'x', '--paper', 'a5'], /unknown paper 'a5'[\s\S]*did you mean 'a4'/],
    [['--pattern', '--out', 'x', '--sizes', 'SX'], /no size 'SX'/],
    [['--pattern', '--out', 'x', '--pack-with', 'plots'], /add --pack/],
    [['--marker', '--out', 'x', '--from', 'nowhere.json'], /cannot read 'nowhere.json'[\s\S]*lay first/],
    [
      ['--marker', 'self-156', '--out', 'x', '--from', 'SELF'],
      /no marker 'self-156' was kept[\s\S]*self-165/,
    ],
    [['--marker', '--out', 'x', '--from', 'SELF', '--plies', 'self-156:3'], /there is no marker 'self-156'/],
  ])('%j', async (args, message) => {
    const given = args.map((arg) =>
      arg === 'SELF' ? within('self.json') : arg === 'x' ? within('never') : arg,
    );
    const { code, err } = await walewise(exportCommand, style, ...given);
    expect(err).toMatch(message);
    expect(code).toBe(2);
    expect(() => readdirSync(within('never'))).toThrow();
  });
});

describe('seams that do not match', () => {
  const broken = () => small('broken.yaml', ['  - level-side-seams: { how: hem }\n', '']);

  it('stop export with exit code 1', async () => {
    const { code, err } = await walewise(exportCommand, broken(), '--pattern', '--out', within('never'));
    expect([code, err]).toEqual([1, expect.stringMatching(/seams do not match: side/)]);
  });

  it.skipIf(!hasTool('pdftotext'))(
    needing(
      'stamp every file when they are let through, tables and size nests too',
      'pdftotext',
      hasTool('pdftotext'),
    ),
    async () => {
      const out = within('stamped');
      const { code } = await walewise(
        runCommand,
        broken(),
        '--out',
        out,
        '--allow-seam-errors',
        ...QUICK,
        '--quiet',
      );
      expect(code).toBe(0);
      const exported = within('stamped-export');
      const args = [
        '--marker',
        '--from',
        out,
        '--out',
        exported,
        '--allow-seam-errors',
        '--pattern',
        '--paper',
        'a4,roll',
      ];
      expect((await walewise(exportCommand, broken(), ...args, ...DATE)).code).toBe(0);
      let looked = 0;
      for (const [place, file] of [out, exported].flatMap((place) =>
        readdirSync(place).map((f) => [place, f] as const),
      )) {
        const path = join(place, file);
        const text = file.endsWith('.pdf') ? runTool('pdftotext', [path, '-']) : readFileSync(path, 'utf8');
        expect(text, file).toMatch(/SEAMS[\s-]+DO[\s-]+NOT[\s-]+MATCH/i);
        looked++;
      }
      expect(looked).toBeGreaterThan(40);
    },
  );
});
