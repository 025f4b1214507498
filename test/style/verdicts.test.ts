import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { loadPresets } from '../../src/cli/load.js';
import { faultsSvg } from '../../src/exchange/svg-faults.js';
import { checkHtml } from '../../src/report/index.js';
import { developStyle, fitRows, passes, readStyle, type Verdict, verdictsOf } from '../../src/style/index.js';

const presets = await loadPresets();
const DEMO = readFileSync(join(import.meta.dirname, '../../fixtures/demo/harbour-crew.yaml'), 'utf8');

function checked(text: string) {
  const style = readStyle(text, 'style.yaml', presets);
  const developed = developStyle(style);
  const verdicts = verdictsOf(style, developed, fitRows(style, developed.range, 'in'), 'in');
  const page = checkHtml({ style: style.name, verdicts, range: developed.range, notes: [] });
  const of = (subject: string): Verdict => verdicts.find((v) => v.subject === subject)!;
  return { verdicts, developed, page, of };
}

function edited(from: string, to: string) {
  expect(DEMO).toContain(from);
  return checked(DEMO.replace(from, to));
}

describe('the verdicts of a style', () => {
  it('are good all through for the demo, one for each seam, join and curve', () => {
    const { verdicts, developed } = checked(DEMO);
    expect(verdicts.filter((v) => v.state !== 'good')).toEqual([]);
    const kinds = (kind: Verdict['kind']) => verdicts.filter((v) => v.kind === kind).map((v) => v.subject);
    expect(kinds('seam')).toEqual(developed.base.seams.map((s) => s.name));
    expect(kinds('join')).toEqual(developed.truing[0]!.joins.map((j) => j.join));
    expect(kinds('curve')).toEqual(['back armhole', 'back neckline', 'front armhole', 'front neckline']);
    expect(passes(verdicts)).toBe(true);
  });

  it('names the step since which side seams are not level, and the step that mends it', () => {
    const { verdicts, of } = edited('  - level-side-seams: { how: hem }\n', '');
    const side = of('side');
    expect(side).toMatchObject({ state: 'stop', word: 'too long' });
    expect(side.sizes).toContain('M');
    expect(side.advice).toMatch(
      /level-side-seams .*before step 7 \(balance-armholes\): put it after that step/,
    );
    expect(side.marks).toContainEqual({ size: 'M', piece: 'front', edge: 'side' });
    expect(passes(verdicts)).toBe(false);
  });

  it('says so when a later step undoes what was levelled', () => {
    const { of } = edited(
      '  - widen-neckline:',
      '  - lower-armhole: { piece: front, by: 1/2 }\n  - widen-neckline:',
    );
    expect(of('side').advice).toMatch(/before step 9 \(lower-armhole\)/);
  });

  it('names draft-sleeve for a sleeve of the block’s own that no longer fits its armholes', () => {
    const sleeve = '  - draft-sleeve: { widen: 1, widen-wrist: 1/4, lengthen: -2, cap-ease: 1/2 }\n';
    const { of } = edited(sleeve, '');
    expect(of('cap')).toMatchObject({ state: 'stop', word: 'too short' });
    expect(of('cap').advice).toMatch(/put draft-sleeve after the last step that changes an armhole/);
  });

  it('looks at armholes that differ by more than 1/2 in and at a cap with more ease than a knit takes', () => {
    const uneven = edited('  - balance-armholes: { within: 1/4 }\n', '');
    expect(uneven.of('front and back armhole')).toMatchObject({ state: 'look', word: 'unbalanced' });
    expect(uneven.of('front and back armhole').advice).toMatch(/balance-armholes/);
    const full = edited('cap-ease: 1/2', 'cap-ease: 1');
    expect(full.of('cap ease')).toMatchObject({ state: 'look', word: 'too much' });
    expect(full.of('cap ease').found).toMatch(/^1 in in /);
    expect(passes(full.verdicts)).toBe(true);
  });

  it('judges the balance of armholes as if a forward shoulder had not shifted the seam', () => {
    const { of } = edited('  - draft-sleeve:', '  - forward-shoulder: { by: 3/4 }\n  - draft-sleeve:');
    expect(of('front and back armhole')).toMatchObject({ state: 'good', word: 'balanced' });
    expect(of('shoulder').state).toBe('good');
    expect(of('cap').state).toBe('good');
  });

  it('finds a curve that is drawn too tight, where it is', () => {
    const { of } = edited(
      '  - draft-sleeve:',
      '  - reshape-armhole: { piece: back, height: 95%, scoop: 100% }\n  - draft-sleeve:',
    );
    const curve = of('back armhole');
    expect(curve).toMatchObject({ state: 'look', word: 'too tight' });
    expect(curve.advice).toMatch(/reshape-armhole/);
    expect(curve.marks[0]!.at).toHaveLength(2);
  });
});

describe('the check as a page', () => {
  it('says that all is well, with every verdict, and draws nothing', () => {
    const { page, verdicts } = checked(DEMO);
    expect(page).toContain('Every seam sews in every size');
    expect(page).not.toContain('<svg');
    for (const verdict of verdicts) expect(page).toContain(`<th scope="row">${verdict.subject}</th>`);
  });

  it('numbers what is wrong and draws it with the same numbers on the pieces', () => {
    const { page } = edited('  - level-side-seams: { how: hem }\n', '');
    expect(page).toMatch(/<th scope="row">1<\/th><td>side<\/td><td><span class="bad">too long/);
    expect(page).toContain('1 of these stops the style from being laid.');
    const drawn = page.slice(page.indexOf('<svg'), page.indexOf('</svg>'));
    expect(drawn).toContain('<g><title>back</title>');
    expect(drawn).toContain('<g><title>front</title>');
    expect(drawn).not.toContain('<g><title>sleeve</title>');
    expect(drawn.match(/stroke="#d55e00"/g)).toHaveLength(2);
    expect(drawn).toMatch(/>1<\/text>/);
  });

  it('escapes what a style is called', () => {
    const { page } = edited('style: Harbour crew', 'style: "<b>Crew</b>"');
    expect(page).toContain('&lt;b&gt;Crew&lt;/b&gt;');
    expect(page).not.toContain('<b>Crew');
  });

  it('rings a place and underlines an edge', () => {
    const { developed } = checked(DEMO);
    const marks = [
      { piece: 'back', edge: 'armhole', number: 1 },
      { piece: 'back', at: [0, 0] as const, number: 2 },
    ];
    const svg = faultsSvg(developed.base, marks, 'Faults');
    expect(svg.match(/stroke="#d55e00"/g)).toHaveLength(2);
    expect(svg).toMatch(/>2<\/text>/);
  });
});

describe('what a verdict says to do', () => {
  const sleeve = '  - draft-sleeve: { widen: 1, widen-wrist: 1/4, lengthen: -2, cap-ease: 1/2 }\n';
  type Fault = readonly [
    what: string,
    from: string,
    to: string,
    subject: string,
    state: Verdict['state'],
    advice: RegExp,
  ];
  const faults: readonly Fault[] = [
    [
      'side seams that differ',
      '  - level-side-seams: { how: hem }\n',
      '',
      'side',
      'stop',
      /^put level-side-seams/,
    ],
    [
      'shoulders that differ',
      '  - match-shoulders: { change: front }\n',
      '  - slash: { piece: front, from: shoulder at 50%, to: hem, open: 1/4 }\n',
      'shoulder',
      'stop',
      /^put match-shoulders .*before step 6 \(slash\)/,
    ],
    ['a sleeve that does not follow its armholes', sleeve, '', 'cap', 'stop', /^put draft-sleeve after/],
    [
      'armholes out of balance',
      '  - balance-armholes: { within: 1/4 }\n',
      '',
      'front and back armhole',
      'look',
      /^put balance-armholes .*before draft-sleeve/,
    ],
    [
      'a cap with too much ease',
      'cap-ease: 1/2',
      'cap-ease: 1',
      'cap ease',
      'look',
      /draft-sleeve: \{ cap-ease: 1\/4 in \}/,
    ],
    [
      'a neckband too short for the head',
      'front.neckline], ratio: 0.85',
      'front.neckline], ratio: 0.5',
      'neck opening, stretched',
      'look',
      /make the band longer/,
    ],
    [
      'a wrist too narrow for the hand',
      'widen-wrist: 1/4',
      'widen-wrist: -7/8',
      'wrist opening, stretched',
      'look',
      /make the cuff longer/,
    ],
    [
      'an armhole too tight to sew',
      sleeve,
      `  - reshape-armhole: { piece: back, height: 95%, scoop: 100% }\n${sleeve}`,
      'back armhole',
      'look',
      /rounder with reshape-armhole/,
    ],
  ];

  it.each(faults)(
    'is told of %s, by a step or a measure of its own',
    (_, from, to, subject, state, advice) => {
      const { verdicts } = edited(from, to);
      const told = verdicts.find((v) => v.subject === subject && v.state !== 'good');
      expect(told).toMatchObject({ subject, state, advice: expect.stringMatching(advice) });
      for (const verdict of verdicts) {
        if (verdict.state === 'good') {
          expect(verdict.sizes).toEqual([]);
          continue;
        }
        expect(verdict.sizes.length).toBeGreaterThan(0);
        expect(verdict.advice, verdict.subject).toMatch(/\w+ \w+/);
        expect(verdict.found).toMatch(/\d/);
      }
    },
  );

  it('of a neck that does not pass the head is to widen it or to lengthen the band', () => {
    const { verdicts, page } = edited('front.neckline], ratio: 0.85', 'front.neckline], ratio: 0.5');
    const neck = verdicts.find((v) => v.subject.startsWith('neck opening'))!;
    expect(neck).toMatchObject({ kind: 'fit', state: 'look', word: 'does not fit' });
    expect(neck.advice).toMatch(/widen the neckline, or make the band longer/);
    expect(neck.found).toMatch(/wanted at least the head/);
    expect(page).toContain(neck.advice!);
  });
});
