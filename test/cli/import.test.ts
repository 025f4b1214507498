import {
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { checkCommand } from '../../src/cli/check.js';
import { importCommand } from '../../src/cli/import.js';
import { loadStyle } from '../../src/cli/load.js';
import { InputError } from '../../src/errors.js';

const TEE = join(import.meta.dirname, '../../fixtures/traced/tee.svg');
const folder = mkdtempSync(join(tmpdir(), 'walewise-import-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

async function run(...args: string[]): Promise<string> {
  const out: string[] = [];
  const command = importCommand({ out: (t) => out.push(t), err: () => {}, live: false });
  await command.exitOverride().parseAsync(args, { from: 'user' });
  return out.join('\n');
}

const drawing = (name: string, content: string): string => {
  const path = join(folder, name);
  writeFileSync(path, content);
  return path;
};

const page = (content: string, root = 'width="600mm" height="800mm" viewBox="0 0 600 800"') =>
  `<svg xmlns="http://www.w3.org/2000/svg" ${root}>${content}</svg>`;

/** Half a front, its fold at the right of the drawing. */
const MIRRORED =
  '<path d="M500 700H300L290 400Q330 380 330 200L430 160Q440 260 500 260Z"/><text x="400" y="500">Front</text>';

describe('walewise import', () => {
  it('writes a style that check can read, and tells units, pieces, notes and what is next', async () => {
    const out = join(folder, 'tee.yaml');
    const told = await run(TEE, '--out', out);
    expect(told).toMatch(/^units: the file says width 1400mm/m);
    expect(told).toMatch(/^front +\d+\.?\d* mm x \d+\.?\d* mm +6 +on the fold +known +0\.\d\d mm$/m);
    expect(told).toMatch(/^note: outlines are taken for sewing lines/m);
    expect(told).toMatch(/walewise check/);
    const { style, developed } = await loadStyle(out);
    expect(style.block.pieces.map((p) => p.name)).toEqual(['back', 'front', 'sleeve']);
    expect(developed.truing.every(({ seams }) => seams.every((s) => s.matches))).toBe(true);
    expect(readFileSync(out, 'utf8')).toMatch(/^# Imported from tee\.svg/);
    // Nothing temporary stays behind.
    expect(readdirSync(folder).filter((name) => name.includes('tmp'))).toEqual([]);
  });

  it('never writes over a file, save with --force', async () => {
    const out = drawing('mine.yaml', 'style: mine\n');
    await expect(run(TEE, '--out', out)).rejects.toThrow(/'.*mine\.yaml' is there already/);
    expect(readFileSync(out, 'utf8')).toBe('style: mine\n');
    await run(TEE, '--out', out, '--force');
    expect(readFileSync(out, 'utf8')).toMatch(/^# Imported/);
    mkdirSync(join(folder, 'sub.yaml'));
    await expect(run(TEE, '--out', join(folder, 'sub.yaml'), '--force')).rejects.toThrow(/is no file/);
  });

  it('tells machines the same as JSON', async () => {
    const told = JSON.parse(await run(TEE, '--out', join(folder, 'json.yaml'), '--json')) as {
      kind: string;
      pieces: { name: string; width: number; fold: boolean }[];
      notes: string[];
      dropped: unknown[];
    };
    expect(told.kind).toBe('svg');
    expect(told.pieces.map((p) => [p.name, p.fold])).toEqual([
      ['back', true],
      ['front', true],
      ['sleeve', false],
    ]);
    expect(told.pieces[0]!.width).toBeCloseTo(260, 0);
    expect(told.dropped).toEqual([]);
  });

  it('asks for units that the drawing does not say, takes them, and writes the style in them', async () => {
    const file = drawing(
      'unclear.svg',
      page('<rect x="1" y="1" width="12" height="9"/>', 'viewBox="0 0 20 20"'),
    );
    await expect(run(file)).rejects.toThrow(
      /does not say its units.*12 mm x 9 mm in mm.*305 mm x 229 mm in in/,
    );
    expect(existsSync(join(folder, 'unclear.yaml'))).toBe(false);
    await run(file, '--units', 'in');
    const { style } = await loadStyle(join(folder, 'unclear.yaml'));
    expect(style.unit).toBe('in');
    expect(style.block.pieces[0]!.edges[0]!.path[0]!.b[0]).toBeCloseTo(12 * 25.4, 6);
  });

  it('says that a drawing read in the wrong unit has pieces of no garment', async () => {
    const file = drawing('small.svg', page('<rect x="1" y="1" width="12" height="9"/>'));
    expect(await run(file)).toMatch(
      /note: the largest piece, 'piece-1', measures 12 mm: too small for a garment/,
    );
  });

  it('takes the side of the fold from the command line, mirrored where it lies at the right', async () => {
    const file = drawing('mirrored.svg', page(MIRRORED));
    const whole = await run(file, '--out', join(folder, 'whole.yaml'));
    expect(whole).toMatch(
      /front: its right side is straight and upright: if it lies on the fold, say --fold front=right/,
    );
    const told = await run(file, '--out', join(folder, 'half.yaml'), '--fold', 'front=right');
    expect(told).toMatch(/front: mirrored, so that its fold lies at the left/);
    const [front] = (await loadStyle(join(folder, 'half.yaml'))).style.block.pieces;
    expect(front!.fold).toBe('fold');
    expect(front!.edges.map((e) => e.name)).toEqual([
      'hem',
      'side',
      'armhole',
      'shoulder',
      'neckline',
      'fold',
    ]);
  });

  it('halves a piece that was drawn whole and is symmetric', async () => {
    const back =
      'M300 700H480L470 400Q440 380 440 240L380 200Q340 230 300 230Q260 230 220 200L160 240Q160 380 130 400L120 700Z';
    const file = drawing('whole.svg', page(`<path id="back" d="${back}"/>`));
    expect(await run(file, '--fold', 'center', '--out', join(folder, 'halved.yaml'))).toMatch(
      /back: it was drawn whole: its right half is kept, on the fold/,
    );
    const [piece] = (await loadStyle(join(folder, 'halved.yaml'))).style.block.pieces;
    expect(piece!.edges).toHaveLength(6);
    const xs = piece!.edges.map((e) => e.path[0]!.a[0]);
    expect([Math.min(...xs), Math.max(...xs)]).toEqual([0, 180]);
  });

  it('turns a piece to its grain line, or to the grain that is asked for', async () => {
    const sheet = (line: string) =>
      page(`<rect id="yoke" x="50" y="50" width="300" height="120"/><g id="grain">${line}</g>`);
    const file = drawing('turned.svg', sheet('<line x1="100" y1="100" x2="300" y2="100"/>'));
    expect(await run(file, '--out', join(folder, 'turned.yaml'))).toMatch(/yoke: turned by 90\.0 degrees/);
    const [yoke] = (await loadStyle(join(folder, 'turned.yaml'))).style.block.pieces;
    const width = Math.max(...yoke!.edges.map((e) => e.path[0]!.a[0]));
    expect(width).toBeCloseTo(120, 6);
    expect(await run(drawing('plain.svg', sheet('')), '--grain', 'across')).toMatch(/as asked for/);
    expect(await run(drawing('up.svg', sheet('')))).toMatch(
      /no grain line was found: up in the drawing is taken/,
    );
  });

  it('closes outlines drawn in open lines within --join, and says what stayed open', async () => {
    const lines =
      '<path d="M50 50H250"/><path d="M250.3 50V200"/><path d="M250 200.3L50 200"/><path d="M50 199.6V50.2"/><path d="M400 50H500"/>';
    const file = drawing('open.svg', page(lines));
    const told = await run(file, '--out', join(folder, 'open.yaml'));
    expect(told).toMatch(/piece-1 +200\.\d mm x 1(49|50)\.?\d* mm +4/);
    expect(told).toMatch(/dropped: open lines that close no outline, line 1, 100 mm long/);
    await expect(run(file, '--join', '0.1mm', '--out', join(folder, 'gaps.yaml'))).rejects.toThrow(
      /no piece was found/,
    );
  });

  it('says that a style without seams has none to walk', async () => {
    const file = drawing('seamless.svg', page('<rect id="pocket" x="1" y="1" width="160" height="140"/>'));
    expect(await run(file)).toMatch(/note: the style has no seams/);
    const style = join(folder, 'seamless.yaml');
    expect((await loadStyle(style)).style.block.seams).toEqual([]);
    const checked: string[] = [];
    const check = checkCommand({ out: (t) => checked.push(t), err: () => {}, live: false });
    await check.exitOverride().parseAsync([style], { from: 'user' });
    expect(checked.join('\n')).toMatch(/no seam is walked: name what is sewn to what/);
    expect(checked.join('\n')).not.toMatch(/every seam sews/);
  });

  it.each([
    [['--fold', 'lefft'], /'lefft' is no side of a fold/],
    [['--fold', 'font=left'], /the drawing has no piece 'font' to lie on the fold/],
    [['--grain', 'sideways'], /--grain cannot be 'sideways'/],
    [['--join', '0'], /--join must be above 0/],
    [['--corner-angle', '400'], /--corner-angle cannot be '400'/],
    [['--tolerance', '3 feet'], /unknown unit 'feet'/],
  ])('refuses %j', async (flags, message) => {
    const attempt = run(TEE, '--out', join(folder, 'never.yaml'), ...flags);
    await expect(attempt).rejects.toThrow(message);
    await expect(attempt).rejects.toThrow(InputError);
    expect(existsSync(join(folder, 'never.yaml'))).toBe(false);
  });

  it('names a file it cannot read or does not know', async () => {
    await expect(run(join(folder, 'gone.svg'))).rejects.toThrow(/cannot read '.*gone\.svg': no such file/);
    await expect(run(drawing('sheet.pdf', 'x'))).rejects.toThrow(/the file is neither \.svg nor \.dxf/);
  });
});
