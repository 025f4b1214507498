import { existsSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { strFromU8, unzipSync } from 'fflate';
import { describe, expect, it, vi } from 'vitest';
import { ROOT, temporaryFolder, walewise } from '../e2e/cli.js';

vi.setConfig({ testTimeout: 240_000 });

/** The demo tee with an order so small that its plan takes a moment. */
function smallStyle(order: string, over: Readonly<Record<string, string>> = {}): string {
  const text = readFileSync(join(ROOT, 'fixtures/demo/skerry-tee.yaml'), 'utf8');
  const head = text.slice(0, text.indexOf('\norder:'));
  const table = over['table'] ?? 'table: { length: 500, plies: 12, garments: 3 }';
  const cost = over['cost'] ?? 'cost: { marker: 9, lay: 12 }';
  const file = join(temporaryFolder(), 'small.yaml');
  writeFileSync(file, `${head}\n${order}\n${table}\n${cost}\n`);
  return file;
}
const ORDER = 'order: { colours: { chalk: { S: 4, M: 8 }, kelp: { S: 2, M: 4 } } }';
const QUICK = ['--iterations', '1', '--threads', '1'] as const;

describe('walewise plan', () => {
  it('estimates at once, in units that are told, with a band and the rectangles beside it', async () => {
    const { code, out } = await walewise(['plan', smallStyle(ORDER), '--estimate']);
    expect(code).toBe(0);
    expect(out).toMatch(/estimate for 18 garments/);
    expect(out).toMatch(/self +3 garments +\d+\.\d % +\d+\.\d{3} m +\d+\.\d\d kg +\d+\.\d\d EUR/);
    expect(out).toMatch(/\+-\d+\.\d %/);
    const json = JSON.parse((await walewise(['plan', smallStyle(ORDER), '--estimate', '--json'])).out);
    const [self] = json.estimates;
    // The notes' rectangles and the marker-based figure differ by less than 15 %, as the notes lead to expect.
    expect(Math.abs(self.rectangles.kilograms / self.cloth.kilograms - 1)).toBeLessThan(0.15);
  });

  it('beats both plain ways of cutting the demo order, priced alike', async () => {
    const { code, out } = await walewise([
      'plan',
      join(ROOT, 'fixtures/demo/harbour-crew.yaml'),
      '--no-nest',
      '--json',
    ]);
    expect(code).toBe(0);
    const { fabrics, garments } = JSON.parse(out);
    expect(garments).toBe(144);
    for (const { cost, source, baselines } of fabrics) {
      expect(source).toBe('modelled');
      expect(baselines).toHaveLength(2);
      for (const { result } of baselines) {
        expect(result.source).toBe('modelled');
        expect(result.cost.total).toBeGreaterThan(cost.total);
      }
    }
  });

  it('lays the chosen markers, writes their files, and finds them again when kept', async () => {
    const folder = temporaryFolder();
    const [out, keep] = [join(folder, 'out'), join(folder, 'keep')];
    const file = smallStyle(ORDER);
    const args = ['plan', file, ...QUICK, '--keep', keep, '--date', '2026-03-31'];
    const first = await walewise([...args, '--json', '--out', out]);
    expect([first.code, first.err]).toEqual([0, '']);
    const plan = JSON.parse(first.out);
    expect(plan.cut).toMatchObject({ chalk: { S: 4, M: 8 }, kelp: { S: 2, M: 4 } });
    expect(plan.fabrics[0].ended).toBe('agreed');
    expect(plan.fabrics[0].source).toBe('nested');
    for (const { name } of plan.fabrics[0].markers) {
      for (const end of ['.dxf', '.pdf', '-overview.pdf', '.svg', '-placements.csv']) {
        expect(existsSync(join(out, `marker-${name}${end}`))).toBe(true);
      }
    }
    const lays = readFileSync(join(out, 'lays.csv'), 'utf8').trim().split('\r\n');
    const garments = lays.slice(1).map((line) => Number(line.split(',').at(-1)));
    expect(garments.reduce((a, b) => a + b, 0)).toBe(18);

    // The pack for a cutting service carries the plan's lays, with the plies of each.
    const zip = join(folder, 'pack.zip');
    expect((await walewise(['export', file, '--from', out, '--pack', zip, '--quiet'])).code).toBe(0);
    const pack = unzipSync(readFileSync(zip));
    const sheets = Object.keys(pack).filter((name) => /^cut-sheet-\d+-.*\.pdf$/.test(name));
    expect(sheets).toHaveLength(plan.fabrics[0].lays.length);
    const plies = strFromU8(pack['READ-ME.txt']!).match(/Plies: \d+/g);
    expect(plies).toEqual(
      plan.fabrics[0].markers.map((m: { totalPlies: number }) => `Plies: ${m.totalPlies}`),
    );

    const kept = readdirSync(keep);
    expect(kept.length).toBeGreaterThanOrEqual(plan.fabrics[0].markers.length);
    const again = await walewise([...args, '--json']);
    expect(JSON.parse(again.out)).toEqual(plan);
    expect(readdirSync(keep)).toEqual(kept);

    // A kept marker that somebody changed is refused, not cut.
    for (const name of kept) {
      const marker = JSON.parse(readFileSync(join(keep, name), 'utf8'));
      marker.pieces[0].outline = marker.pieces[1].outline;
      writeFileSync(join(keep, name), JSON.stringify(marker));
    }
    const spoilt = await walewise([...args, '--json']);
    expect(spoilt.code).toBe(2);
    expect(spoilt.err).toMatch(/the kept marker .* cannot be used: .*\n.*delete it/);
  });

  it('prints tables with units, both plainer ways, and the bound as what it is', async () => {
    const { code, out, err } = await walewise(['plan', smallStyle(ORDER), '--no-nest', '--units', 'in']);
    expect(code).toBe(0);
    expect(err).toMatch(/self, round 1: \d markers? \(some not laid yet\)|1 markers/);
    expect(out).toMatch(/plan for Skerry tee: 18 garments of 18 ordered/);
    expect(out).toMatch(/bound of the priced model over the generated columns \d+\.\d\d EUR/);
    expect(out).toContain('one size per marker');
    expect(out).toContain('one marker for all sizes');
    expect(out).toMatch(/\d+\.\d{3} m \(\d+\.\d{3} yd\)/);
    expect(out).toMatch(/per garment \d+\.\d\d EUR/);
    expect(out).toContain('no marker was laid');
    // Off the roll, and then what is bought: 2 % more, in rolls of 50 m.
    expect(out).toMatch(
      /to buy, with spare[\s\S]*self +chalk +50\.000 m \(\d+\.\d+ yd\) +1 roll of 50\.000 m/,
    );
    expect(out).not.toContain('assumed rates');
    const unpriced = await walewise(['plan', smallStyle(ORDER, { cost: '' }), '--no-nest']);
    expect(unpriced.out).toMatch(
      /work is priced at assumed rates, in EUR: a ply \d.*write your own as 'cost:'/,
    );
  });

  it('plans some of the colours, and refuses one that is not ordered', async () => {
    const file = smallStyle(ORDER);
    const { out } = await walewise(['plan', file, '--no-nest', '--colours', 'kelp', '--json']);
    expect(JSON.parse(out).cut).toEqual({ kelp: { S: 2, M: 4 } });
    const wrong = await walewise(['plan', file, '--colours', 'kelpp']);
    expect(wrong.code).toBe(2);
    expect(wrong.err).toMatch(/the order has no colour 'kelpp'\n.*did you mean 'kelp'/);
  });

  it('tells what rolls on hand give and what is missing', async () => {
    const file = smallStyle(ORDER);
    const args = ['plan', file, '--no-nest', '--on-hand'];
    const { code, out } = await walewise([...args, 'chalk=4m,kelp=3 m@150cm']);
    expect(code).toBe(0);
    expect(out).toMatch(/from the cloth on hand \d+ garments/);
    expect(out).toMatch(/self kelp 3\.000 m at 150 cm/);
    expect(out).toMatch(/to get for the rest: self chalk \d+\.\d{3} m/);
    const json = JSON.parse((await walewise([...args, 'chalk=4m,kelp=3 m@150cm', '--json'])).out);
    for (const { stock, used } of json.uses) expect(used).toBeLessThanOrEqual(stock.metres);
    const inches = await walewise([...args, 'chalk=4m@150']);
    expect(inches.err).toMatch(/the width has no unit\n.*write 150cm or 150in/);
    for (const roll of [
      'chalk',
      'chalk=',
      'chalk=4m@150',
      'chalk=-4',
      'chalk=4 furlongs',
      'chalks=4',
      'silk:chalk=4',
    ]) {
      const bad = await walewise([...args, roll]);
      expect([roll, bad.code]).toEqual([roll, 2]);
      expect(bad.err).toMatch(/^error: /m);
    }
  });

  it('keeps the best plan so far on Ctrl-C and ends with 130', async () => {
    const args = ['plan', smallStyle(ORDER), '--seconds', '60', '--threads', '1'];
    const { code, out, err } = await walewise(args, (child) => {
      child.stderr!.on('data', (chunk: Buffer) => {
        if (chunk.toString().includes('round 1:')) setTimeout(() => child.kill('SIGINT'), 500);
      });
    });
    expect(code).toBe(130);
    expect(err).toMatch(/this takes minutes. Ctrl-C keeps the best so far; --no-nest/);
    expect(out).toMatch(/then stopped: the best plan so far/);
    expect(out).toContain('all markers laid');
  });

  it('says what the style lacks, with the place and the mend', async () => {
    const fault = async (order: string, over: Readonly<Record<string, string>> = {}) =>
      walewise(['plan', smallStyle(order, over), '--no-nest']);
    const none = await fault('');
    expect(none.code).toBe(2);
    expect(none.err).toMatch(/has no order to plan[\s\S]*mend: add 'order:/);
    const size = await fault('order: { colours: { chalk: { XXL: 4 } } }');
    expect(size.code).toBe(2);
    expect(size.err).toMatch(/unknown size 'XXL'[\s\S]*small\.yaml:\d+:\d+[\s\S]*mend:/);
    const short = await fault(ORDER, { table: 'table: { length: 40 }' });
    expect(short.code).toBe(1);
    expect(short.err).toMatch(
      /no marker within the limits holds size S on 'self': one garment takes about \d+\.\d cm of a table of 40\.0 cm/,
    );
    const limit = await fault(ORDER, { table: 'table: { plyes: 3 }' });
    expect(limit.err).toMatch(/unknown field 'plyes': did you mean 'plies'/);
  });
});
