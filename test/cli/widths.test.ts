import { existsSync, readdirSync, readFileSync, statSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it, vi } from 'vitest';
import { widthsCommand } from '../../src/cli/widths.js';
import type { UserError } from '../../src/errors.js';
import { DEMO, temporaryFolder, walewise } from '../e2e/cli.js';

vi.setConfig({ testTimeout: 180_000 });

const ORDER = ['--fabric', 'self', '--ratio', 'S:1,M:1'] as const;
const widths = (folder: string, ...args: string[]) => ['widths', DEMO, ...ORDER, '--out', folder, ...args];
const runsOf = (folder: string) => readdirSync(join(folder, 'runs')).filter((name) => name.endsWith('.json'));

describe('walewise widths', () => {
  it('lays every width and mode with equal seeds and rounds; what cannot be laid says why', async () => {
    const folder = temporaryFolder();
    const args = [
      '--widths',
      '60,150',
      '--modes',
      'single,folded',
      '--iterations',
      '1',
      '--seeds',
      '2',
      '--json',
    ];
    const { code, out, err } = await walewise(widths(folder, ...args));
    expect(err).toBe('');
    expect(code).toBe(0);
    const { cells, done, wanted } = JSON.parse(out);
    expect([done, wanted]).toEqual([6, 6]);
    expect(cells.map((c: { width: number; mode: string }) => `${c.width} ${c.mode}`)).toEqual([
      '600 single',
      '600 folded',
      '1500 single',
      '1500 folded',
    ]);
    expect(cells[1].runs).toEqual([]);
    expect(cells[1].fault).toMatch(/^piece '\w+' in size \w+ is \d+\.\d mm wide/);
    for (const cell of [cells[0], cells[2], cells[3]]) {
      expect(cell.runs.map((r: { seed: number }) => r.seed)).toEqual([1, 2]);
      for (const run of cell.runs) {
        // Per ply and layer: area = length x full width, here 3 cm wider than the usable one (the preset's).
        expect(run.area / run.length).toBeCloseTo((cell.width + 30) / 1000, 9);
        expect(run.mass).toBeCloseTo(run.area * 0.28, 9);
        expect(run.garments).toBe(2);
        expect(run.efficiency).toBeGreaterThan(0.3);
        expect(run.efficiency).toBeLessThan(1);
      }
    }
    expect(readdirSync(folder).sort()).toEqual([
      'runs',
      'widths.csv',
      'widths.html',
      'widths.json',
      'widths.svg',
    ]);
    expect(runsOf(folder)).toHaveLength(6);
    const csv = readFileSync(join(folder, 'widths.csv'), 'utf8').trim().split('\r\n');
    expect(csv).toHaveLength(1 + 6 + 1);
    const svg = readFileSync(join(folder, 'widths.svg'), 'utf8');
    // One mark for each run and panel: length, m2, kg, cost, efficiency.
    expect(svg.match(/r="2"/g)).toHaveLength(6 * 5);
    const page = readFileSync(join(folder, 'widths.html'), 'utf8');
    expect(page).toContain('60 cm folded cannot be laid');
    expect(page).not.toMatch(/src=|https?:\/\/(?!www\.w3\.org)/);
  });

  it('keeps what is done on Ctrl-C, says so, and goes on from there', async () => {
    const folder = temporaryFolder();
    const args = widths(
      folder,
      '--from',
      '140',
      '--to',
      '180',
      '--by',
      '20',
      '--iterations',
      '3',
      '--seeds',
      '2',
    );
    const stopped = await walewise([...args, '--threads', '1'], (child) => {
      const look = setInterval(() => {
        if (!existsSync(join(folder, 'runs')) || runsOf(folder).length === 0) return;
        clearInterval(look);
        child.kill('SIGINT');
      }, 20);
      child.on('close', () => clearInterval(look));
    });
    expect(stopped.code).toBe(130);
    const kept = runsOf(folder);
    expect(kept.length).toBeGreaterThan(0);
    expect(kept.length).toBeLessThan(6);
    expect(stopped.out).toMatch(/searches are done; the same command goes on with the rest/);
    expect(existsSync(join(folder, 'widths.html'))).toBe(true);
    const times = kept.map((name) => statSync(join(folder, 'runs', name)).mtimeMs);

    const { code, out } = await walewise([...args, '--json']);
    expect(code).toBe(0);
    const whole = JSON.parse(out);
    expect(whole).toMatchObject({ resumed: kept.length, done: 6, wanted: 6 });
    expect(kept.map((name) => statSync(join(folder, 'runs', name)).mtimeMs)).toEqual(times);
    expect(runsOf(folder)).toHaveLength(6);

    // A kept run that was cut short is laid anew, and gives what it gave: rounds repeat.
    writeFileSync(join(folder, 'runs', kept[0]!), '{"format":1,"leng');
    const again = JSON.parse((await walewise([...args, '--json'])).out);
    expect(again.resumed).toBe(5);
    expect(again.cells).toEqual(whole.cells);
  });

  it.each([
    [[], /^which widths are to be compared\?; give --widths 150,165,185 or --from/],
    [['--widths', '150', '--from', '140'], /both say which widths/],
    [['--widths', '150,150'], /a width is given twice/],
    [['--widths', '0'], /a width must be more than 0, not '0'/],
    [['--from', '180', '--to', '150'], /--to is less than --from/],
    [['--from', '100', '--to', '200', '--by', '1'], /101 widths are more than the 60/],
    [['--widths', '150', '--modes', 'foldde'], /unknown lay mode 'foldde'; did you mean 'folded'\?/],
    [['--widths', '150', '--seconds', '2', '--iterations', '3'], /give one budget/],
    [['--widths', '150', '--marker', 'nix'], /--ratio and --marker both say/],
  ] as const)('refuses %j with what to do', async (args, message) => {
    const silent = { out: () => {}, err: () => {}, live: false };
    const command = widthsCommand(silent).exitOverride();
    const asked = command.parseAsync([DEMO, ...ORDER, ...args], { from: 'user' });
    const fault = await asked.then(
      () => undefined,
      (error: UserError) => error,
    );
    expect(fault?.name).toBe('InputError');
    expect(`${fault?.message}; ${fault?.mend}`).toMatch(message);
  });
});

describe('walewise lay on cloth with flaws', () => {
  const file = (text: string): string => {
    const path = join(temporaryFolder(), 'flaws.yaml');
    writeFileSync(path, text);
    return path;
  };

  it('keeps off flaws and splices, and tells how to spread', async () => {
    const path = file(
      'units: cm\nflaws:\n  - { at: [30, 20], size: [6, 4] }\nsplices:\n  - { at: 95, overlap: 4 }\n',
    );
    const args = ['lay', DEMO, ...ORDER, '--mode', 'folded', '--iterations', '1', '--flaws', path];
    const { code, out } = await walewise([...args, '--json']);
    expect(code).toBe(0);
    const laid = JSON.parse(out);
    expect(laid).toMatchObject({ mode: 'folded', layers: 2, plies: 'any', verified: true, width: 825 });
    const halves = laid.placements.filter((p: { fold?: string }) => p.fold);
    expect(halves.length).toBeGreaterThan(0);
    for (const { outline } of halves) {
      expect(Math.min(...outline.map((p: number[]) => p[1]!))).toBe(0);
    }
    for (const { outline } of laid.placements) {
      const xs = outline.map((p: number[]) => p[0]!);
      expect(Math.max(...xs) <= 950 || Math.min(...xs) >= 950).toBe(true);
    }
    const told = await walewise(args);
    expect(told.out).toMatch(/Fold the cloth lengthwise/);
    expect(told.out).toMatch(/on a fold, each half opens to one piece: \d+ (front|back)/);
    expect(told.out).toMatch(/kept off 1 flaw\nno piece crosses the splice at 0\.950 m/);
  });

  it('names the line of a flaw that is wrong', async () => {
    const slip = file('flaws:\n  - { at: [1, 2], sise: [1, 1] }\n');
    const { code, err } = await walewise(['lay', DEMO, ...ORDER, '--flaws', slip]);
    expect(code).toBe(2);
    expect(err).toContain("unknown field 'sise': did you mean 'size'?");
    expect(err).toMatch(/flaws\.yaml:2:\d+ \(flaws\.0\.sise\)/);
    const off = file('flaws:\n  - { at: [1, 2], size: [1, 1] }\n  - { at: [1, 2000], size: [1, 1] }\n');
    const far = await walewise(['lay', DEMO, ...ORDER, '--flaws', off]);
    expect(far.err).toMatch(/flaw 2 lies off the cloth[\s\S]*flaws\.yaml:3:\d+/);
  });
});
