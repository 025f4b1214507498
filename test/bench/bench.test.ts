import { mkdirSync, mkdtempSync, readdirSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { beforeEach, describe, expect, it } from 'vitest';
import { freezeEngine, hashOf } from './engine.js';
import { listInstances } from './instances.js';
import { readOptions } from './options.js';
import { readPublished } from './published.js';
import { anytimeTable, compareTable, summaryTable } from './report.js';
import { answers, type Run, readRuns, thisMachine, writeRuns } from './runs.js';
import { compareRuns, densityAt, summarise } from './summary.js';

const run = (rest: Partial<Run> = {}): Run => ({
  instance: 'shirts',
  content: 'c0',
  seconds: 60,
  seed: 1,
  threads: 2,
  engine: 'e0',
  length: 62,
  density: 87,
  verified: true,
  wall: 60,
  cpu: 90,
  firstFeasible: 0.01,
  preparation: 0.5,
  moves: 90_000,
  movesPerSecond: 1500,
  rounds: 100,
  repeatable: true,
  memory: 120,
  trace: [
    [0.01, 60],
    [6, 85],
    [50, 87],
  ],
  when: '2026-01-01T00:00:00.000Z',
  load: 0.1,
  ...rest,
});

let folder = '';
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'walewise-bench-'));
});

describe('kept runs', () => {
  it('are read back as they were written, and leave no partial file', () => {
    const file = join(folder, 'deep/runs.json');
    const kept = { form: 'strip-bench-1', machine: thisMachine(), runs: [run(), run({ seed: 2 })] } as const;
    writeRuns(file, kept);
    expect(readRuns(file)).toEqual(kept);
    writeRuns(file, { ...kept, runs: [] });
    expect(readRuns(file).runs).toEqual([]);
    expect(readdirSync(join(folder, 'deep'))).toEqual(['runs.json']);
  });

  it('are none where there is no file, and another file is refused', () => {
    expect(readRuns(join(folder, 'absent.json')).runs).toEqual([]);
    writeFileSync(join(folder, 'other.json'), '{"form":"x"}');
    expect(() => readRuns(join(folder, 'other.json'))).toThrow(/holds no bench runs/);
  });

  it('answer only for the same instance content, budget, seed, threads and engine', () => {
    const key = run();
    expect(answers(run({ density: 1 }), key)).toBe(true);
    for (const other of [
      { instance: 'fu' },
      { content: 'c1' },
      { seconds: 61 },
      { seed: 2 },
      { threads: 1 },
      { engine: 'e1' },
    ]) {
      expect(answers(run(other), key)).toBe(false);
    }
    expect(answers(run({ engine: 'e1' }), key, true)).toBe(true);
    expect(answers(run({ engine: 'e1', seed: 2 }), key, true)).toBe(false);
  });
});

describe('summaries', () => {
  it('give best, mean and worst over seeds, and the worst time to a first layout', () => {
    const [summary, other] = summarise([
      run({ density: 86 }),
      run({ instance: 'fu', density: 92 }),
      run({ seed: 2, density: 88, firstFeasible: 0.03, cpu: 30 }),
    ]);
    expect(summary).toMatchObject({
      instance: 'shirts',
      runs: 2,
      best: 88,
      mean: 87,
      worst: 86,
      firstFeasible: 0.03,
      cores: 1,
      movesPerCpu: 2000,
      verified: true,
    });
    expect(other).toMatchObject({ instance: 'fu', runs: 1, mean: 92 });
    expect(summarise([run(), run({ seed: 2, verified: false })])[0]!.verified).toBe(false);
  });

  it('keep runs of another budget apart', () => {
    expect(summarise([run(), run({ seconds: 600 }), run({ threads: 1 })])).toHaveLength(3);
  });

  it('keep engines and changed instances apart', () => {
    const runs = [run(), run({ engine: 'e9', density: 10 }), run({ content: 'c9', density: 20 })];
    expect(summarise(runs).map(({ mean }) => mean)).toEqual([run().density, 10, 20]);
    // Against the latest engine in the file, seed by seed.
    const now = [run({ density: 50, engine: 'e9' }), run({ seed: 2, density: 50, engine: 'e9' })];
    const other = [...now, ...now].map((r, k) => ({
      ...r,
      engine: k < 2 ? 'e1' : 'e2',
      density: k < 2 ? 1 : 40,
    }));
    expect(compareRuns(now, other)[0]!.paired).toEqual({ mean: 10, error: 0, seeds: 2 });
  });

  it('compare over the seeds that both have', () => {
    const now = [run({ density: 87 }), run({ seed: 2, density: 89 }), run({ seed: 3, density: 95 })];
    const other = [run({ density: 86 }), run({ seed: 2, density: 86, moves: 45_000 })];
    const [d] = compareRuns(now, other);
    // Differences of 1 and 3: mean 2, standard deviation sqrt(2), standard error 1.
    expect(d!.paired).toEqual({ mean: 2, error: expect.closeTo(1, 12), seeds: 2 });
    expect(d!.mean).toBeCloseTo(90.333333 - 86, 5);
    expect(d!.movesPerCpu).toBeCloseTo(4 / 3, 12);
    expect(compareRuns(now, [run({ seconds: 10 })])).toEqual([]);
    expect(compareTable(now, [])).toMatch(/nothing to compare/);
  });

  it('read the trace as the best density known so far', () => {
    const { trace } = run();
    expect([0, 0.01, 5.9, 6, 60].map((at) => densityAt(trace, at))).toEqual([0, 60, 60, 85, 87]);
  });
});

describe('tables', () => {
  const published = readPublished();

  it('set the mean beside the published figures and the floor of the budget', () => {
    const line = summaryTable([run({ density: 88 })], published).split('\n')[2]!;
    expect(line.split(/ {2,}/)).toEqual(
      // 88 against a published mean of 89.66, a mean before of 88.21 and a floor of 87.8 in 60 s.
      expect.arrayContaining(['shirts', '88.00', '87.80', 'yes', '90.92', '-1.66', '-0.21']),
    );
    expect(summaryTable([run({ density: 87 })], published)).toMatch(/ no /);
  });

  it('take an instance that nobody published', () => {
    const text = summaryTable([run({ instance: 'unheard-of' })], published);
    expect(text).toMatch(/unheard-of/);
    expect(text).not.toMatch(/NaN|undefined/);
  });

  it('show the density at shares of the budget', () => {
    const cells = anytimeTable([run()]).split('\n')[2]!.split(/ {2,}/);
    expect(cells).toEqual(['shirts (60 s)', '60.00', '85.00', '85.00', '85.00', '85.00', '85.00', '87.00']);
  });

  it('know every published instance with a best above its means and floors', () => {
    for (const { best, average, before, floors } of Object.values(published.instances)) {
      expect(best).toBeGreaterThanOrEqual(Math.max(average, before));
      expect(floors['600']!).toBeGreaterThan(floors['60']!);
      expect(floors['600']!).toBeLessThanOrEqual(average);
    }
  });
});

describe('the command line', () => {
  it('has defaults and counts seeds from the first', () => {
    const options = readOptions(['--instances', 'x', '--seeds', '3', '--first-seed', '5']);
    expect(options).toMatchObject({ instances: 'x', seconds: 60, threads: 2, seeds: [5, 6, 7], only: [] });
    expect(readOptions([], { WALEWISE_BENCHMARKS: 'y' }).instances).toBe('y');
  });

  it('refuses what it does not know', () => {
    expect(() => readOptions([])).toThrow(/--instances is missing/);
    expect(() => readOptions(['--instances', 'x', '--second', '3'])).toThrow(/--second'[\s\S]*--seconds N/);
    expect(() => readOptions(['--instances', 'x', '--seeds', '0'])).toThrow(/whole number of at least 1/);
    expect(() => readOptions(['--instances', 'x', '--seconds=-1'])).toThrow(/above 0/);
  });
});

describe('a folder of instances', () => {
  const instance = (name: string) =>
    JSON.stringify({
      name,
      stripWidth: 9,
      items: [
        {
          id: 'a',
          demand: 3,
          polygon: [
            [0, 0],
            [2, 0],
            [0, 2],
          ],
        },
      ],
    });

  it('is read whole: files that are no instance are told, not fatal', () => {
    writeFileSync(join(folder, 'b.json'), instance('b'));
    writeFileSync(join(folder, 'a.json'), instance('a'));
    writeFileSync(join(folder, 'notes.json'), '{"hello":1}');
    writeFileSync(join(folder, 'torn.json'), '{"name":');
    writeFileSync(join(folder, 'README.md'), 'x');
    const told: string[] = [];
    const found = listInstances(folder, [], (message) => told.push(message));
    const pieces = (items: readonly { demand: number }[]) =>
      items.reduce((sum, { demand }) => sum + demand, 0);
    expect(found.map(({ name, instance }) => [name, pieces(instance.items)])).toEqual([
      ['a', 3],
      ['b', 3],
    ]);
    expect(told).toEqual([
      expect.stringMatching(/^notes.json \(name\) is left out: not a nesting instance: .*; expected {name, /),
      expect.stringMatching(/^torn.json is left out: .*JSON/),
    ]);
    expect(listInstances(folder, ['b'], () => {}).map(({ name }) => name)).toEqual(['b']);
    expect(() => listInstances(folder, ['c'], () => {})).toThrow(/no instance named c/);
  });
});

describe('a frozen engine', () => {
  it('is named by its code and does not change with it', () => {
    const dist = join(folder, 'dist');
    for (const part of ['src/nest', 'src/geometry', 'workers'])
      mkdirSync(join(dist, part), { recursive: true });
    for (const file of ['src/nest/index.js', 'src/errors.js', 'src/threads.js', 'workers/nest-lane.js']) {
      writeFileSync(join(dist, file), '// 1');
    }
    const out = join(folder, 'engines');
    const first = freezeEngine(dist, out);
    expect(freezeEngine(dist, out)).toEqual(first);
    writeFileSync(join(dist, 'src/nest/index.js.map'), 'not code');
    expect(freezeEngine(dist, out)).toEqual(first);
    writeFileSync(join(dist, 'src/nest/index.js'), '// 2');
    const second = freezeEngine(dist, out);
    expect(second.hash).not.toBe(first.hash);
    expect(hashOf(first.folder)).toBe(first.hash);
    expect(readdirSync(out).sort()).toEqual([first.hash, second.hash].sort());
  });

  it('cannot be had before the build', () => {
    expect(() => freezeEngine(folder, folder)).toThrow(/npm run build/);
  });
});
