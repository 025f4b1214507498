import { describe, expect, it } from 'vitest';
import { loadPresets } from '../../src/cli/load.js';
import { draftBlock } from '../../src/draft/block.js';
import { KNIT_CLASSES, KNIT_REDUCTIONS, knitBlock } from '../../src/draft/knit-ease.js';
import { InputError } from '../../src/errors.js';
import { tightest } from '../../src/pattern/curvature.js';
import { measure } from '../../src/pattern/measure.js';
import { edgeOf, type Pattern, pieceOf, pointOf } from '../../src/pattern/model.js';
import { walkJoins, walkSeams } from '../../src/pattern/walk.js';
import { developStyle, fitRows, passes, readStyle, verdictsOf } from '../../src/style/index.js';
import { LEAST_RADIUS } from '../../src/style/verdicts.js';
import { block, tapeOf } from '../bodies.js';

const presets = await loadPresets();
const measured = (pattern: Pattern, name: string) =>
  measure(pattern, pattern.measures.find((m) => m.name === name)!);

/** What a tape says of the test block, as a style spells it, mm; the front longer from neck to hem by `longer`. */
function tape(longer = 0): string {
  const pattern = block();
  const half = (name: 'back' | 'front', more: number) => {
    const at = (point: string) => pointOf(pieceOf(pattern, name), point);
    const down = (point: string) => at('neck-point')[1] - at(point)[1];
    const own = tapeOf(pattern, name);
    return `{ chest: ${at('underarm')[0]}, hem: ${at('side-hem')[0]}, neck-width: ${at('neck-point')[0]},
      across-shoulder: ${at('shoulder-tip')[0]}, shoulder: ${own.shoulder}, neck-depth: ${down('center-neck')},
      armhole-depth: ${down('underarm')}, length: ${down('center-hem') + more}, armhole: ${own.armhole} }`;
  };
  const sleeve = `{ width: ${measured(pattern, 'bicep')}, wrist: ${measured(pattern, 'sleeve hem')}, length: ${measured(pattern, 'sleeve length')} }`;
  return `{ back: ${half('back', 0)}, front: ${half('front', longer)}, sleeve: ${sleeve} }`;
}

const styled = (from: string, alter = '[]') => `
style: Paper block
units: mm
block: { ${from} }
alter: ${alter}
grade: { sizes: [S, M, L], base: M, increments: { preset: women-en } }
fabrics: { self: { preset: french-terry-280 } }
`;

const checked = (text: string) => {
  const style = readStyle(text, 'style.yaml', presets);
  const developed = developStyle(style);
  const fit = fitRows(style, developed.range, 'mm');
  return { style, developed, fit, verdicts: verdictsOf(style, developed, fit, 'mm') };
};

const refused = (text: string): InputError => {
  try {
    readStyle(text, 'style.yaml', presets);
  } catch (error) {
    if (error instanceof InputError) return error;
    throw error;
  }
  return expect.unreachable();
};

describe('a block from the tape', () => {
  it('is looked at for fit when it names a body chart, in every size of it', () => {
    const { fit, style } = checked(styled(`tape: ${tape()}, chart: women, size: M`));
    expect(style.chart?.name).toBe('women');
    expect([...new Set(fit.map((row) => row.size))]).toEqual(['S', 'M', 'L']);
    expect(fit.some((row) => row.check.startsWith('neck opening'))).toBe(true);
    const chest = fit.find((row) => row.size === 'M' && row.check.startsWith('chest girth'))!;
    // The block is of the test body; the chart says what size M is.
    expect(chest.measured).toBeCloseTo(measured(block(), 'chest girth') - style.chart!.sizes['M']!.bust, 0);
  });

  it('takes the base size for its own when it says none, and has no fit without a chart', () => {
    expect(checked(styled(`tape: ${tape()}, chart: women`)).fit.length).toBeGreaterThan(0);
    expect(checked(styled(`tape: ${tape()}`)).fit).toEqual([]);
  });

  it('says which charts and sizes there are, where it names another', () => {
    const chart = refused(styled(`tape: ${tape()}, chart: womens`));
    expect(chart.message).toBe("unknown body chart preset 'womens'");
    expect(chart.mend).toBe("did you mean 'women'?");
    expect(chart.place.path).toBe('block.chart');
    const size = refused(styled(`tape: ${tape()}, chart: women, size: XXM`));
    expect(size.message).toBe("the body chart 'women' has no size 'XXM'");
    expect(size.mend).toMatch(/did you mean|known/);
    expect(refused(styled(`tape: ${tape()}, chart: women, size: L`)).message).toMatch(
      /drafted in size L but the pattern is graded as if it were M/,
    );
  });

  // A full-bust adjustment lengthens the front: its side seam is longer then. Common practice, no source.
  it.each(['hem', 'equalise', 'ease-in'])(
    'with a front side seam 10 mm longer sews in every size, the difference taken by %s',
    (how) => {
      const steps = (level: string) =>
        `[${level}draft-sleeve: { cap-ease: 6 }, mark-stretch: { percent: 25 }]`;
      const list = (level: string) =>
        steps(level)
          .replace(/draft-sleeve/, '{ draft-sleeve')
          .replace(', mark', ' }, { mark')
          .replace(/\]$/, ' }]');
      const raw = checked(styled(`tape: ${tape(10)}, chart: women`, list('')));
      const side = (c: typeof raw) => c.verdicts.find((v) => v.subject === 'side')!;
      expect(side(raw).state).toBe('stop');
      expect(side(raw).advice).toMatch(/level-side-seams \(how: hem, equalise or ease-in\)/);
      const levelled = checked(
        styled(`tape: ${tape(10)}, chart: women`, list(`{ level-side-seams: { how: ${how} } }, `)),
      );
      expect(side(levelled).state).toBe('good');
      expect(passes(levelled.verdicts)).toBe(true);
      // Eased in, the hems stay as the tape had them: straight, and not square to side seams that lean.
      if (how === 'ease-in') return;
      const hems = levelled.verdicts.filter((v) => v.kind === 'join' && v.subject.includes('hem'));
      expect(hems.every((v) => v.state === 'good')).toBe(true);
    },
  );
});

describe('a block by class of knit', () => {
  it('of a stable knit keeps the fitted ease; of others it is smaller than the body by the class’s share', () => {
    for (const knit of KNIT_CLASSES) {
      const { style } = checked(styled(`preset: knit-block-women, size: M, knit: ${knit}`));
      const { bust, hip } = style.chart!.sizes['M']!;
      const wanted = (girth: number, ease: number) =>
        knit === 'stable' ? girth + ease : girth * (1 - KNIT_REDUCTIONS[knit].girth);
      expect(measured(style.block, 'chest girth')).toBeCloseTo(wanted(bust, 50), 6);
      expect(measured(style.block, 'hem girth')).toBeCloseTo(wanted(hip, 40), 6);
    }
  });

  it('sews and joins smoothly in every size of women, men and children', () => {
    for (const preset of presets.blocks.values()) {
      for (const size of Object.values(presets.charts.get(preset.chart)!.sizes)) {
        for (const knit of KNIT_CLASSES) {
          const { body, ease } = knitBlock(size, preset.ease, knit);
          const pattern = draftBlock(preset.name, body, { ...preset, ease });
          expect(walkSeams(pattern).filter((w) => !w.matches)).toEqual([]);
          expect(walkJoins(pattern).filter((j) => !j.smooth)).toEqual([]);
          if (!['stable', 'moderate', 'stretchy'].includes(knit)) continue;
          for (const piece of ['front', 'back']) {
            const { radius } = tightest(edgeOf(pieceOf(pattern, piece), 'armhole').path);
            expect(radius, `${preset.name} ${knit} ${piece}`).toBeGreaterThan(LEAST_RADIUS);
          }
        }
      }
    }
  });

  it('is reached by what a knit of its class stretches, all round the body', () => {
    for (const { girth, stretch } of Object.values(KNIT_REDUCTIONS)) {
      expect((1 - girth) * (1 + stretch / 100)).toBeGreaterThan(1);
    }
    // Pressure garments are reduced by 10 % on average (Anthropometry, Apparel Sizing and Design, p. 356).
    expect(KNIT_REDUCTIONS.rib.girth).toBe(0.1);
  });

  it('is named in a style, with the nearest name for a slip, and not beside an ease', () => {
    expect(refused(styled('preset: knit-block-women, size: M, knit: modrate')).message).toMatch(
      /not one of stable, moderate, stretchy/,
    );
    const body = `body: { bust: 940, waist: 780, hip: 1020, shoulder: 122, back-waist-length: 410, neck: 371,
      bicep: 290, wrist: 160, arm-length: 590, armhole-depth: 205, hip-depth: 200, head: 560 }`;
    const { style } = checked(styled(`${body}, knit: moderate, chart: women`));
    expect(measured(style.block, 'chest girth')).toBeCloseTo(940 * 0.98, 6);
    expect(refused(styled(`${body}, knit: moderate, ease: { bust: 10 }`)).message).toMatch(
      /give one of the two/,
    );
    expect(edgeOf(pieceOf(style.block, 'back'), 'shoulder').path).toHaveLength(1);
  });
});
