import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Command } from 'commander';
import { afterAll, afterEach, describe, expect, it } from 'vitest';
import { checkCommand } from '../../src/cli/check.js';
import { drawCommand } from '../../src/cli/draw.js';
import type { Console } from '../../src/cli/output.js';
import { InputError } from '../../src/errors.js';

const DEMO = join(import.meta.dirname, '../../fixtures/demo/harbour-crew.yaml');
const folder = mkdtempSync(join(tmpdir(), 'walewise-check-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));
afterEach(() => {
  process.exitCode = undefined;
});

async function run(make: (console: Console) => Command, ...args: string[]): Promise<string> {
  const out: string[] = [];
  const command = make({ out: (t) => out.push(t), err: () => {}, live: false });
  await command.exitOverride().parseAsync(args, { from: 'user' });
  return out.join('\n');
}

function edited(name: string, from: string, to: string): string {
  const text = readFileSync(DEMO, 'utf8');
  expect(text).toContain(from);
  const file = join(folder, name);
  writeFileSync(file, text.replace(from, to));
  return file;
}

describe('walewise check', () => {
  it('has one line for everything it looks at, in the worst size', async () => {
    const out = await run(checkCommand, DEMO, '--quiet');
    expect(out).toMatch(/^seam +shoulder +sews /m);
    expect(out).toMatch(/^curve +front neckline +round +least radius/m);
    expect(out).toMatch(/^fit +neck opening, stretched +fits/m);
    expect(out).toMatch(/every seam sews in every size; every join is smooth$/);
    expect(out.split('\n').length).toBeLessThan(45);
    expect(process.exitCode).toBe(0);
  });

  it('says what stops a style and which step mends it, and writes a page with the drawing', async () => {
    const broken = edited('broken.yaml', '  - level-side-seams: { how: hem }\n', '');
    const out = join(folder, 'broken');
    const said = await run(checkCommand, broken, '--quiet', '--out', out);
    expect(said).toMatch(/^stops: side too long in XS.*level-side-seams.*step 7 \(balance-armholes\)/m);
    expect(process.exitCode).toBe(1);
    const page = readFileSync(join(out, 'check.html'), 'utf8');
    expect(page).toContain('<svg');
  });

  it('passes side seams whose difference is eased in, in every size, and says how much', async () => {
    const eased = edited('eased.yaml', 'how: hem', 'how: ease-in');
    const out = await run(checkCommand, eased, '--quiet');
    expect(out).toMatch(/^seam +side +sews .* in of it eased in/m);
    expect(process.exitCode).toBe(0);
  });

  it('gives machines the verdicts', async () => {
    const data = JSON.parse(await run(checkCommand, DEMO, '--json')) as {
      verdicts: { kind: string; state: string }[];
    };
    expect(new Set(data.verdicts.map((v) => v.kind))).toEqual(
      new Set(['seam', 'join', 'curve', 'armholes', 'cap', 'measure', 'fit']),
    );
    expect(data.verdicts.every((v) => v.state === 'good')).toBe(true);
  });
});

describe('walewise draw', () => {
  it('writes the steps as SVG and PDF, the same bytes for a date', async () => {
    const outs = ['one', 'two'].map((name) => join(folder, name));
    for (const out of outs) await run(drawCommand, DEMO, '--out', out, '--date', '2026-03-31');
    for (const name of ['steps.svg', 'steps.pdf']) {
      const [a, b] = outs.map((out) => readFileSync(join(out, name)));
      expect(Buffer.compare(a!, b!)).toBe(0);
      expect(a!.length).toBeGreaterThan(5_000);
    }
  });

  it('draws what led to a step that fails, and then says which it is and where', async () => {
    const broken = edited('wide.yaml', 'widen: 1,', 'widen: 6,');
    const out = join(folder, 'wide');
    await expect(run(drawCommand, broken, '--out', out)).rejects.toThrow(/step 10 \(draft-sleeve\)/);
    const svg = readFileSync(join(out, 'steps.svg'), 'utf8');
    expect(svg).toContain('9 widen-neckline');
    expect(svg).not.toContain('10 draft-sleeve');
    const misspelt = edited('misspelt.yaml', 'to: hem, open', 'to: hemm, open');
    const fault = await run(drawCommand, misspelt, '--out', join(folder, 'm')).catch((e: unknown) => e);
    expect(fault).toBeInstanceOf(InputError);
    expect((fault as InputError).place.line).toBeGreaterThan(10);
    expect(existsSync(join(folder, 'm', 'steps.svg'))).toBe(true);
  });
});
