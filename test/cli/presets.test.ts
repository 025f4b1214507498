import { describe, expect, it } from 'vitest';
import { presetsCommand } from '../../src/cli/presets.js';

async function printed(...args: string[]): Promise<string> {
  const lines: string[] = [];
  const command = presetsCommand({ out: (text) => lines.push(text), err: () => {}, live: false });
  await command.parseAsync(args, { from: 'user' });
  return lines.join('\n');
}

/** The line of a table that starts with `name`, inside the part that `head` begins. */
function lineOf(text: string, head: string, name: string): string {
  const part = text.slice(text.indexOf(head));
  return part.split('\n').find((line) => line.startsWith(name))!;
}

describe('the list of presets', () => {
  it('prints increments in centimetres and inches with their breaks and sources', async () => {
    const text = await printed();
    const bust = lineOf(text, 'increments women-numeric:', 'bust');
    expect(bust).toMatch(/^bust +2\.5 +1 +2: 3\.2, 6: 2\.9, 12: 3\.8.* 20: 2 /);
    expect(bust).toContain('ASTM D5585-11e1');
    // 1/64 in is not rounded away in a table of inches.
    expect(lineOf(text, 'increments women-numeric:', 'back-neck-depth')).toMatch(/ 0 +1\/64 /);
    expect(lineOf(text, 'increments children:', 'sleeve-length')).toMatch(/^sleeve-length +2 +13\/16 /);
  });

  it('prints body charts in both, with sources once', async () => {
    const text = await printed();
    const chart = text.slice(text.indexOf('body chart men:'), text.indexOf('body chart women-numeric:'));
    expect(chart).toMatch(/^bust +90 +98 +106 +114 +123\.5 +135 +EN 13402-3/m);
    expect(chart).toMatch(/^bust +35 7\/16 +38 9\/16 .*53 1\/8$/m);
    expect(chart).toMatch(/^cross back +40\.3 /m);
  });

  it('prints the amounts of steps that go together, in both', async () => {
    const text = await printed();
    // -1/4 in to 1 1/2 in, and 0 to 2 in.
    expect(lineOf(text, 'amounts of alterations', 'lower armhole')).toMatch(/ -0\.6 +3\.8 +-1\/4 +1 1\/2$/);
    expect(lineOf(text, 'amounts of alterations', 'slash open')).toMatch(/ 0 +5\.1 +0 +2$/);
  });

  it('prints one unit when asked', async () => {
    const text = await printed('--units', 'in');
    expect(text).toContain('step (in)');
    expect(text).not.toContain('(cm)');
  });

  it('names every distribution with what it works out', async () => {
    const text = await printed();
    expect(text).toContain('distribution inch-split:');
    expect(text).toContain('  across-shoulder = 1 x neck-width + 0.1667 x bust');
  });

  it('gives machines the same, distributions included', async () => {
    const data = JSON.parse(await printed('--json')) as Record<string, Record<string, unknown>>;
    expect(Object.keys(data).sort()).toEqual([
      'blocks',
      'charts',
      'distributions',
      'fabrics',
      'increments',
      'safe-ranges',
    ]);
    expect(Object.keys(data['blocks']!)).toContain('knit-block-children');
    expect(data['distributions']).toHaveProperty('slash-and-spread');
  });
});
