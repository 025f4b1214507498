import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { gradeCommand } from '../../src/cli/grade.js';

const DEMO = join(import.meta.dirname, '../../fixtures/demo/harbour-crew.yaml');
const folder = mkdtempSync(join(tmpdir(), 'walewise-grade-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

async function grade(...args: string[]): Promise<{ out: string; err: string }> {
  const [out, err]: [string[], string[]] = [[], []];
  const command = gradeCommand({ out: (t) => out.push(t), err: (t) => err.push(t), live: false });
  await command.exitOverride().parseAsync(args, { from: 'user' });
  return { out: out.join('\n'), err: err.join('\n') };
}

interface Printed {
  readonly chart: { measure: string; cells: { size: string; measured: number }[] }[];
  readonly growth: { measure: string; steps: { to: string; growth: number }[] }[];
  readonly fit: { size: string; neck?: { within: boolean } }[];
}

describe('walewise grade', () => {
  it('prints size chart, growth and fit of every size', async () => {
    const { out } = await grade(DEMO);
    expect(out).toMatch(/^measure \(in\) +XS +S +M +L +XL +2XL +3XL +most off +allowed/m);
    expect(out).toMatch(/^growth \(in\) +to S +to M +to L/m);
    expect(out).toMatch(/^fit \(in\) +chest girth ease.*neck opens to +head/m);
    expect(out.match(/^XS .*%.*neckline/m)).not.toBeNull();
  });

  it('tells machines the same in millimetres', async () => {
    const data = JSON.parse((await grade(DEMO, '--json')).out) as Printed;
    const chest = data.chart.find((row) => row.measure === 'chest girth')!;
    const steps = data.growth.find((row) => row.measure === 'chest girth')!.steps;
    expect(steps.map((s) => Math.round(s.growth))).toEqual([80, 80, 85, 105, 120, 120]);
    expect(chest.cells[1]!.measured - chest.cells[0]!.measured).toBeCloseTo(steps[0]!.growth, 9);
    expect(data.fit.map((f) => f.neck!.within)).toEqual(Array.from({ length: 7 }, () => true));
  });

  it('writes tables, pieces of every size, size nests and the rule table: the same bytes for a date', async () => {
    const twice = ['one', 'two'].map((name) => join(folder, name));
    for (const out of twice) {
      await grade(DEMO, '--quiet', '--out', out, '--date', '2026-03-31', '--stack', 'neck-point');
    }
    const names = readdirSync(twice[0]!).sort();
    const pieces = ['back', 'cuff', 'front', 'hem-band', 'neckband', 'sleeve'];
    expect(names).toEqual(
      [
        'fit.csv',
        'grade-rule-points.csv',
        'grade-rules.rul',
        'growth.csv',
        ...['2xl', '3xl', 'l', 'm', 's', 'xl', 'xs'].map((size) => `pieces-${size}.svg`),
        ...pieces.map((piece) => `size-nest-${piece}.svg`),
        'size-chart.csv',
        'size-nest.pdf',
        'truing.csv',
      ].sort(),
    );
    for (const name of names) {
      expect(
        Buffer.compare(...(twice.map((f) => readFileSync(join(f, name))) as [Buffer, Buffer])),
        name,
      ).toBe(0);
    }
    expect(readFileSync(join(twice[0]!, 'size-nest-back.svg'), 'utf8')).toContain('stacked at neck-point');
    expect(readFileSync(join(twice[0]!, 'size-nest-sleeve.svg'), 'utf8')).not.toContain('stacked at');
  });

  it('grades by a rule table it wrote to the same chart', async () => {
    const out = join(folder, 'rules');
    await grade(DEMO, '--quiet', '--out', out, '--units', 'mm');
    const tables = [
      '--rules',
      join(out, 'grade-rules.rul'),
      '--rule-points',
      join(out, 'grade-rule-points.csv'),
    ];
    const [own, ruled] = [await grade(DEMO, '--json'), await grade(DEMO, '--json', ...tables)].map(
      (r) => JSON.parse(r.out) as Printed,
    );
    own!.chart.forEach((row, i) => {
      row.cells.forEach((cell, j) => {
        expect(Math.abs(ruled!.chart[i]!.cells[j]!.measured - cell.measured)).toBeLessThan(0.02);
      });
    });
    expect((await grade(DEMO, ...tables)).err).toContain('deltas from the sample size');
  });

  it('refuses a rule table without points, or with a point the style lacks, and says where', async () => {
    const out = join(folder, 'rules');
    const rules = join(out, 'grade-rules.rul');
    await expect(grade(DEMO, '--rules', rules)).rejects.toThrow('--rules needs --rule-points');
    const points = join(folder, 'points.csv');
    writeFileSync(points, 'piece,point,rule\nback,neck-pint,1\n');
    const failed = grade(DEMO, '--quiet', '--rules', rules, '--rule-points', points);
    await expect(failed).rejects.toThrow(
      expect.objectContaining({
        mend: "did you mean 'neck-point'?",
        place: expect.objectContaining({ file: points }) as unknown,
      }),
    );
  });

  it('refuses a stack point that no piece has', async () => {
    const failed = grade(DEMO, '--quiet', '--out', join(folder, 'x'), '--stack', 'elbow');
    await expect(failed).rejects.toThrow("no piece has a point 'elbow' to stack at");
  });
});
