import { describe, expect, it } from 'vitest';
import {
  DRAFT_BAND_DEFAULTS,
  DRAFT_SLEEVE_DEFAULTS,
  draftBand,
  redraftSleeve,
} from '../../src/alter/index.js';
import { draftBlock } from '../../src/draft/block.js';
import { crossings } from '../../src/geometry/path.js';
import {
  capHeights,
  chartFailures,
  gradePattern,
  joinFailures,
  parseBodyChart,
  parseIncrementPreset,
  seamFailures,
  sizeChart,
  trueRange,
} from '../../src/grade/index.js';
import { edgeOf, type Pattern, pieceOf, pointOf } from '../../src/pattern/model.js';
import { readPreset, specOf } from './helpers.js';

const { sizes } = parseBodyChart(readPreset('sizes-women'));
const block = draftBlock('block', sizes['M']!);
const sleeved = redraftSleeve(block, DRAFT_SLEEVE_DEFAULTS, block).pattern;
const base: Pattern = draftBand(sleeved, {
  ...DRAFT_BAND_DEFAULTS,
  name: 'neckband',
  along: ['back.neckline', 'front.neckline'],
  depth: 30,
}).pattern;

describe.each(['women', 'women-cm', 'women-en'])('a drafted block graded by %s', (name) => {
  const preset = parseIncrementPreset(readPreset(`increments-${name}`));
  const range = gradePattern(base, specOf({ increments: { preset: name } }, preset));
  const truings = trueRange(range);

  it('is true in every size: seams, joins and chart', () => {
    expect(seamFailures(truings)).toEqual([]);
    expect(joinFailures(truings)).toEqual([]);
    expect(chartFailures(sizeChart(range))).toEqual([]);
  });

  it('has a cap that rises with the size', () => {
    const caps = capHeights(range);
    expect(caps).toHaveLength(7);
    expect(caps.filter((c) => c.falls)).toEqual([]);
  });

  it('keeps the scoop of its armhole beside the shoulder tip', () => {
    const scoop = (pattern: Pattern, piece: string) => {
      const drawn = pieceOf(pattern, piece);
      const [tip, underarm] = [pointOf(drawn, 'shoulder-tip'), pointOf(drawn, 'underarm')];
      const middle = (tip[1] + underarm[1]) / 2;
      const [crossing] = crossings(edgeOf(drawn, 'armhole').path, [0, middle], [1, 0]);
      return tip[0] - crossing!.point[0];
    };
    for (const { pattern, size } of range.sizes) {
      for (const piece of ['back', 'front']) {
        expect(Math.abs(scoop(pattern, piece) - scoop(base, piece)), `${piece} ${size}`).toBeLessThan(1);
      }
    }
  });
});
