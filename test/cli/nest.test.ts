import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { beforeEach, describe, expect, it, vi } from 'vitest';
import { readInstance, verify } from '../../src/nest/index.js';
import { temporaryFolder, walewise } from '../e2e/cli.js';

vi.setConfig({ testTimeout: 60_000 });

/** An instance as a file holds it: a number for an id, a clockwise polygon, one that is closed. */
const instance = {
  name: 'shelf',
  stripWidth: 10,
  items: [
    {
      id: 7,
      demand: 6,
      allowedOrientations: [0, 180],
      polygon: [
        [0, 0],
        [0, 5],
        [4, 0],
      ],
    },
    {
      id: 'bar',
      demand: 3,
      allowedOrientations: [0, 90],
      allowMirror: true,
      polygon: [
        [0, 0],
        [6, 0],
        [6, 2],
        [0, 2],
        [0, 0],
      ],
    },
  ],
};

let folder = '';
const file = (name: string, content: unknown): string => {
  const path = join(folder, name);
  writeFileSync(path, typeof content === 'string' ? content : JSON.stringify(content));
  return path;
};
beforeEach(() => {
  folder = temporaryFolder();
});

describe('walewise nest', () => {
  it('prints one JSON value: the layout, with the ids of the file, that the verifier accepts', async () => {
    const path = file('shelf.json', instance);
    const { code, out, err } = await walewise(['nest', path, '--json', '--iterations', '4', '--seed', '3']);
    expect(err).toBe('');
    expect(code).toBe(0);
    const result = JSON.parse(out);
    expect(result).toMatchObject({ name: 'shelf', seed: 3, threads: 2, iterations: 4, verified: true });
    expect(result.placements).toHaveLength(9);
    expect(Object.keys(result.placements[0])).toEqual(['item', 'copy', 'rotation', 'mirror', 'x', 'y']);
    expect(result.placements[0].item).toBe(7);
    const placements = result.placements.map((p: { item: unknown }) => ({ ...p, item: String(p.item) }));
    const report = verify(readInstance(JSON.parse(readFileSync(path, 'utf8'))), placements);
    expect(report.faults).toEqual([]);
    expect(report.length).toBe(result.length);
    // Six triangles of area 10 and three bars of 12 on a strip of 10.
    expect(result.density).toBeCloseTo(96 / (10 * result.length), 12);
    expect(result.length).toBeLessThan(13);
  });

  it('repeats itself for a seed and a number of rounds, whatever the threads', async () => {
    const path = file('shelf.json', instance);
    const lay = async (threads: string) => {
      const { out } = await walewise(['nest', path, '--json', '--iterations', '3', '--threads', threads]);
      return JSON.parse(out).placements;
    };
    expect(await lay('1')).toEqual(await lay('2'));
  });

  it('prints a table for people and says how to repeat the run', async () => {
    const path = file('shelf.json', instance);
    const { code, out } = await walewise(['nest', path, '--iterations', '2', '--gap', '0.5']);
    expect(code).toBe(0);
    expect(out).toMatch(/^piece +rotation +mirrored +x +y$/m);
    expect(out).toMatch(/^7#5 /m);
    expect(out).toMatch(/checked exactly.*repeat it with --seed 1 --iterations 2$/m);
  });

  it('keeps the gap it is told', async () => {
    const path = file('shelf.json', instance);
    const { out } = await walewise(['nest', path, '--json', '--iterations', '2', '--gap', '0.5']);
    const placements = JSON.parse(out).placements.map((p: { item: unknown }) => ({
      ...p,
      item: String(p.item),
    }));
    expect(verify({ ...readInstance(instance), gap: 0.5 }, placements).faults).toEqual([]);
  });

  it('improves on a layout printed before', async () => {
    const path = file('shelf.json', instance);
    const first = await walewise(['nest', path, '--json', '--iterations', '0']);
    const start = file('first.json', first.out);
    const second = await walewise(['nest', path, '--json', '--iterations', '4', '--start', start]);
    expect(second.code).toBe(0);
    const [before, after] = [JSON.parse(first.out), JSON.parse(second.out)];
    expect(after.trace[0].length).toBe(before.length);
    expect(after.length).toBeLessThan(before.length);
    const broken = file('broken.json', { placements: before.placements.slice(1) });
    const { code, err } = await walewise(['nest', path, '--start', broken]);
    expect(code).toBe(2);
    expect(err).toMatch(/without fault: 7#0 is not placed/);
  });

  it('is stopped by Ctrl-C with the best so far and exit code 130', async () => {
    const path = file('shelf.json', instance);
    const stoppedAfter = (ms: number) =>
      walewise(['nest', path, '--json', '--seconds', '50'], (child) => {
        setTimeout(() => child.kill('SIGINT'), ms);
      });
    // A busy machine may not have begun yet, and the signal ends it as it ends any program: try later.
    let { code, out } = await stoppedAfter(2000);
    for (const ms of [6000, 18_000]) if (code === null) ({ code, out } = await stoppedAfter(ms));
    expect(code).toBe(130);
    const result = JSON.parse(out);
    expect(result.stopped).toBe(true);
    expect(result.seconds).toBeLessThan(40);
    expect(result.placements).toHaveLength(9);
  });

  it('tells bad input with its place and a mend, and exits with 2', async () => {
    const cases: [string, unknown, RegExp][] = [
      ['none.json', undefined, /cannot read this file\n {2}in .*none\.json\n {2}mend: check the path/],
      ['text.json', 'hello', /not JSON.*\n {2}in .*text\.json/],
      ['other.json', { hello: 1 }, /not a nesting instance.*\n {2}in .*other\.json \(name\)/],
      [
        'demand.json',
        { ...instance, items: [{ ...instance.items[0], demand: -1 }] },
        /in .*demand\.json \(items\.0\.demand\)/,
      ],
      [
        'narrow.json',
        { ...instance, stripWidth: 1 },
        /item '7' is too wide for the strip.*\n {2}mend: widen/,
      ],
    ];
    for (const [name, content, message] of cases) {
      const path = content === undefined ? join(folder, name) : file(name, content);
      const { code, out, err } = await walewise(['nest', path]);
      expect(err).toMatch(message);
      expect(err).not.toMatch(/ at .*\.js:/);
      expect(out).toBe('');
      expect(code).toBe(2);
    }
  });

  it('tells wrong options, and exits with 2', async () => {
    const path = file('shelf.json', instance);
    const wrong: [string[], RegExp][] = [
      [['--seconds', 'x'], /--seconds must be a number above 0.*not 'x'/],
      [['--iterations', '1.5'], /--iterations must be a whole number.*not '1.5'/],
      [['--gap', '-1'], /--gap must be a number of 0 or more/],
      [['--seconds', '1', '--iterations', '1'], /both seconds and iterations are given/],
      [['--secnods', '1'], /unknown option '--secnods'[\s\S]*--seconds/],
    ];
    for (const [options, message] of wrong) {
      const { code, err } = await walewise(['nest', path, ...options]);
      expect(err).toMatch(message);
      expect(code).toBe(2);
    }
  });
});
