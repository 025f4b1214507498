import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { InputError, UserError } from '../../src/errors.js';
import { cuttingGaps, developStyle, fitRows, presetLibrary, readStyle } from '../../src/style/index.js';

const ROOT = join(import.meta.dirname, '../..');
const presets = presetLibrary(
  readdirSync(join(ROOT, 'presets'))
    .filter((name) => name.endsWith('.json'))
    .map((file) => ({
      file,
      data: JSON.parse(readFileSync(join(ROOT, 'presets', file), 'utf8')) as unknown,
    })),
);
const DEMO = readFileSync(join(ROOT, 'fixtures/demo/harbour-crew.yaml'), 'utf8');

/** What a broken style says: its message, its line and its mend. */
function complaint(text: string): {
  message: string;
  line: number | undefined;
  column: number | undefined;
  mend: string | undefined;
} {
  try {
    developStyle(readStyle(text, 'style.yaml', presets));
  } catch (error) {
    if (!(error instanceof UserError)) throw error;
    const { line, column } = error.place;
    return { message: error.message, line, column, mend: error.mend };
  }
  throw new Error('the style was accepted');
}

/** The demo with one text put in place of another; the text must be there. */
function edited(from: string, to: string): { text: string; line: number } {
  const at = DEMO.indexOf(from);
  if (at < 0) throw new Error(`the demo has no '${from}'`);
  return { text: DEMO.replace(from, to), line: DEMO.slice(0, at).split('\n').length };
}

describe('readStyle', () => {
  it('reads the demo: everything it names is found', () => {
    const style = readStyle(DEMO, 'harbour-crew.yaml', presets);
    expect(style.name).toBe('Harbour crew');
    expect(style.grade.sizes).toEqual(['XS', 'S', 'M', 'L', 'XL', '2XL', '3XL']);
    expect([...style.fabrics.keys()]).toEqual(['self', 'rib']);
    expect(style.fabrics.get('rib')!.mode).toBe('tubular');
    expect(style.fabrics.get('self')!.usableWidth).toBe(1650);
    expect(style.lay.options.gap).toBe(2);
    expect(style.steps.map((s) => s.name)).toContain('derive-front');
  });

  it.each([
    ['an unknown alteration', 'slash:', 'slsh:', /unknown alteration 'slsh': did you mean 'slash'\?/],
    ['an unknown field', 'tip-lift', 'tip-lfit', /unknown field 'tip-lfit': did you mean 'tip-lift'\?/],
    ['a length that is none', 'open: 1,', 'open: wide,', /'wide' is not a length/],
    ['a negative length', 'open: 1,', 'open: -1,', /-1 must not be negative/],
    ['a length that is no number', 'open: 1,', 'open: .nan,', /NaN/],
    ['an unknown increments preset', 'preset: women-en', 'preset: womn', /unknown increments preset 'womn'/],
    ['an unknown block', 'knit-block-women', 'knit-block-wimmin', /unknown block preset 'knit-block-wimmin'/],
    [
      'an unknown size of the block',
      'size: M }',
      'size: XM }',
      /the block 'knit-block-women' has no size 'XM'/,
    ],
    ['an unknown fabric preset', 'french-terry-280', 'french-terry', /unknown fabric preset 'french-terry'/],
    [
      'a marker on an unknown fabric',
      'fabric: self, ratio',
      'fabric: selv, ratio',
      /laid on an unknown fabric 'selv'/,
    ],
    ['a marker in an unknown size', '{ XS: 2, S: 3', '{ XXS: 2, S: 3', /asks for an unknown size 'XXS'/],
    [
      'a base size that is not in the range',
      'base: M',
      'base: Q',
      /the base size 'Q' is not among the sizes/,
    ],
    [
      'a missing part',
      'grade:\n  sizes',
      'lay:\n  sizes',
      /this field is missing|unknown field|duplicated|unique/,
    ],
  ])('refuses %s at its line', (_, from, to, message) => {
    const { text, line } = edited(from, to);
    const said = complaint(text);
    expect(said.message).toMatch(message);
    if (from !== 'grade:\n  sizes') expect(said.line).toBe(line);
  });

  it.each([
    [
      'an unknown piece',
      'slash: { piece: back',
      'slash: { piece: bakc',
      "step 1 (slash): unknown piece 'bakc'",
      "did you mean 'back'?",
    ],
    [
      'an unknown edge',
      'to: hem,',
      'to: hemm,',
      "step 1 (slash): piece 'back' has no edge 'hemm'",
      "did you mean 'hem'?",
    ],
    [
      'an unknown edge of a band',
      'back.neckline, front',
      'back.nekline, front',
      "step 12 (draft-band): piece 'back' has no edge 'nekline'",
      "did you mean 'neckline'?",
    ],
  ])('names %s, the step and the line', (_, from, to, message, mend) => {
    const { text, line } = edited(from, to);
    expect(complaint(text)).toMatchObject({ message, mend });
    try {
      developStyle(readStyle(text, 'style.yaml', presets));
    } catch (error) {
      expect((error as UserError).place.path).toMatch(/^alter\.\d+\./);
    }
    expect(line).toBeGreaterThan(0);
  });

  it('tells a sleeve that no cap height can solve, with the numbers', () => {
    const { text } = edited('widen: 1,', 'widen: 6,');
    const said = complaint(text);
    expect(said.message).toMatch(
      /^step 10 \(draft-sleeve\): no cap height makes a sleeve \d+\.\d mm wide fit: both armholes measure/,
    );
    expect(said.mend).toMatch(/make the sleeve \d+\.\d mm wide, the nearest that works/);
  });

  it('points at YAML that does not parse', () => {
    const said = complaint('style: Harbour\nunits: in\nblock: { preset: x\nalter: []\n');
    expect(said.message).toMatch(/not valid YAML/);
    expect(said.line).toBeGreaterThanOrEqual(3);
    expect(said.column).toBeGreaterThan(0);
  });

  it.each([
    ['', /a style file is a map/],
    ['- a\n- b', /a style file is a map/],
    ['style: x', /does not say its units/],
    ['style: x\nunits: ells', /unknown units 'ells'/],
  ])('refuses %j', (text, message) => {
    expect(complaint(text).message).toMatch(message);
  });

  it('drafts a block from body measurements given in the file', () => {
    const body =
      'block:\n  body: { bust: 94 cm, waist: 78 cm, hip: 102 cm, shoulder: 12.2 cm, back-waist-length: 41 cm, neck: 37.1 cm,\n' +
      '    bicep: 29 cm, wrist: 16 cm, arm-length: 59 cm, armhole-depth: 20.5 cm, hip-depth: 20 cm, head: 56 cm }\n' +
      '  ease: { bust: -2 cm }\n';
    const { text } = edited('block: { preset: knit-block-women, size: M }\n', body);
    const style = readStyle(text, 'style.yaml', presets);
    expect(style.chart).toBeUndefined();
    expect(style.block.pieces.map((p) => p.name)).toEqual(['back', 'front', 'sleeve']);
    const broken = text.replace('waist: 78 cm', 'wast: 78 cm');
    expect(complaint(broken).message).toMatch(/unknown field 'wast': did you mean 'waist'/);
  });

  it('names a preset file that does not fit', () => {
    const bad = [{ file: 'block-x.json', data: { unit: 'cm', name: 'x' } }];
    expect(() => presetLibrary(bad)).toThrow(InputError);
    try {
      presetLibrary(bad);
    } catch (error) {
      expect((error as InputError).place.file).toBe('block-x.json');
    }
  });
});

describe('the demo styles', () => {
  const styles = readdirSync(join(ROOT, 'fixtures/demo')).filter((name) => name.endsWith('.yaml'));

  it.each(styles)('%s sews, measures and fits in every size, and all of it is laid', (name) => {
    const style = readStyle(readFileSync(join(ROOT, 'fixtures/demo', name), 'utf8'), name, presets);
    const developed = developStyle(style);
    expect(developed.truing.flatMap((t) => t.seams).filter((w) => !w.matches)).toEqual([]);
    expect(developed.truing.flatMap((t) => t.joins).filter((j) => !j.smooth)).toEqual([]);
    expect(developed.chart.flatMap((row) => row.cells).filter((cell) => !cell.within)).toEqual([]);
    expect(fitRows(style, developed.range, style.unit).filter((row) => !row.within)).toEqual([]);
    expect(cuttingGaps(style, developed.base)).toEqual([]);
  });
});

describe('the README', () => {
  it('shows a style that runs: every seam sews, it passes the head, and every piece is laid', () => {
    const readme = readFileSync(join(ROOT, 'README.md'), 'utf8');
    const example = /```yaml\n([\s\S]*?)```/.exec(readme)![1]!;
    const style = readStyle(example, 'README.md', presets);
    const developed = developStyle(style);
    expect(developed.truing.flatMap((t) => t.seams).filter((w) => !w.matches)).toEqual([]);
    expect(fitRows(style, developed.range, 'in').filter((row) => !row.within)).toEqual([]);
    expect(cuttingGaps(style, developed.base)).toEqual([]);
  });
});

describe('what would be cut too little of', () => {
  it('is told: a fabric without a marker, and markers for other numbers of garments', () => {
    const gaps = (text: string) => {
      const style = readStyle(text, 'x', presets);
      return cuttingGaps(style, developStyle(style).base);
    };
    expect(gaps(DEMO)).toEqual([]);
    const rib = /\n {2}- \{ name: rib-90.*\n/;
    expect(gaps(DEMO.replace(rib, '\n'))).toEqual([
      "no marker is laid on 'rib': neckband, cuff, hem-band would not be cut",
    ]);
    expect(gaps(DEMO.replace('rib, ratio: { XS: 2', 'rib, ratio: { XS: 3'))).toEqual([
      "markers of 'rib' and 'self' give different numbers of garments in size XS",
    ]);
  });

  it('is refused: a piece of a fabric that the style does not have', () => {
    const said = complaint(edited('count: 2 }', 'count: 2, fabric: ribb }').text);
    expect(said.message).toMatch(/piece 'cuff' is cut from a fabric 'ribb'/);
    expect(said.mend).toBe("did you mean 'rib'?");
  });
});

describe('developStyle', () => {
  const style = readStyle(DEMO, 'harbour-crew.yaml', presets);
  const developed = developStyle(style);

  it('takes the demo to seven sizes whose seams all sew and joins all are smooth', () => {
    expect(developed.range.sizes).toHaveLength(7);
    const walks = developed.truing.flatMap((t) => t.seams);
    expect(walks).toHaveLength(7 * 9);
    expect(walks.filter((w) => !w.matches)).toEqual([]);
    expect(developed.truing.flatMap((t) => t.joins).filter((j) => !j.smooth)).toEqual([]);
  });

  it('measures every point of measure where the increments say', () => {
    const known = developed.chart.flatMap((row) => row.cells).filter((cell) => cell.expected !== undefined);
    expect(known.length).toBeGreaterThan(50);
    expect(known.filter((cell) => !cell.within)).toEqual([]);
  });

  it('finishes every piece of every size', () => {
    expect(developed.finished.map((s) => s.pieces.map((p) => p.name))).toEqual(
      Array.from({ length: 7 }, () => ['back', 'front', 'sleeve', 'neckband', 'cuff', 'hem-band']),
    );
  });

  it('fits over the head and round the body in every size', () => {
    const rows = fitRows(style, developed.range, 'in');
    expect(rows).toHaveLength(7 * 5);
    expect(rows.filter((row) => !row.within)).toEqual([]);
  });

  it('fails the head check when the neckline is not widened', () => {
    const narrow = readStyle(
      edited('- widen-neckline: { by: 7/8, front: even, back: shoulder }', '').text,
      'x',
      presets,
    );
    const rows = fitRows(narrow, developStyle(narrow).range, 'in').filter((row) => !row.within);
    expect(rows.length).toBeGreaterThan(0);
    expect(rows.every((row) => row.check.startsWith('neck opening') && row.advice)).toBe(true);
  });

  it('applies each fabric’s own shrinkage: a wale that loses 5 % is cut 1 / 0.95 as long', () => {
    // Pattern = finished / (1 - s): published trade formula (foralltex; 700 mm at 5 % -> 736.84 mm).
    const back = developed.range.sizes.find((s) => s.size === 'M')!.pattern.pieces[0]!;
    const ys = back.edges.flatMap((e) => e.path.flatMap((s) => [s.a[1], s.b[1]]));
    const cutBack = developed.finished.find((s) => s.size === 'M')!.pieces[0]!;
    const sewn = cutBack.sew.map((p) => p[1]);
    const height = (values: readonly number[]) => Math.max(...values) - Math.min(...values);
    expect(height(sewn) / height(ys)).toBeCloseTo(1 / 0.95, 3);
  });
});
