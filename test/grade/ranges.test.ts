import { describe, expect, it } from 'vitest';
import {
  DRAFT_BAND_DEFAULTS,
  DRAFT_SLEEVE_DEFAULTS,
  draftBand,
  redraftSleeve,
} from '../../src/alter/index.js';
import { loadPresets } from '../../src/cli/load.js';
import { draftBlock } from '../../src/draft/block.js';
import { flatten, length } from '../../src/geometry/path.js';
import { angleBetween, sub } from '../../src/geometry/vec.js';
import {
  chartFailures,
  DISTRIBUTIONS,
  gradePattern,
  type IncrementPreset,
  joinFailures,
  type SizeRange,
  sizeChart,
  trueRange,
} from '../../src/grade/index.js';
import { edgeOf, type Notch, type Pattern, pieceOf } from '../../src/pattern/model.js';
import type { BlockPreset } from '../../src/style/index.js';
import { specOf } from './helpers.js';

const library = await loadPresets();
const blocks = [...library.blocks.values()];
const presets = [...library.increments.values()];
const distributions = Object.keys(DISTRIBUTIONS);

/** A block with sleeve and neckband, in the preset's own base size where the block's chart has its sizes. */
function baseOf(block: BlockPreset, preset: IncrementPreset): Pattern {
  const chart = library.charts.get(block.chart)!;
  const sizes = Object.keys(chart.sizes);
  const own = preset.ladder.sizes.every((size) => sizes.includes(size));
  const size = own ? preset.ladder.base : sizes[Math.floor(sizes.length / 2)]!;
  const raw = draftBlock(block.name, chart.sizes[size]!, block);
  const options = { ...DRAFT_SLEEVE_DEFAULTS, capEase: block.capEase };
  const { pattern } = redraftSleeve(raw, options, raw);
  const along = ['back.neckline', 'front.neckline'];
  return draftBand(pattern, { ...DRAFT_BAND_DEFAULTS, name: 'neckband', along, depth: 20 }).pattern;
}

const gradedBy = (base: Pattern, preset: IncrementPreset, distribution: string): SizeRange =>
  gradePattern(
    base,
    specOf(
      { ...preset.ladder, increments: { preset: preset.name }, distribution: { name: distribution } },
      preset,
    ),
  );

const along = (pattern: Pattern, piece: string, notch: (n: Notch) => boolean) => {
  const drawn = pieceOf(pattern, piece);
  const found = drawn.notches.find(notch)!;
  const { path } = edgeOf(drawn, found.edge);
  const total = length(path);
  return { total, at: 'ratio' in found.at ? found.at.ratio * total : found.at.length };
};

describe.each(blocks.map((block) => [block.name, block] as const))('%s', (_, block) => {
  it.each(presets.map((preset) => [preset.name, preset] as const))(
    'graded by %s is true in every size, by every distribution',
    (name, preset) => {
      const base = baseOf(block, preset);
      for (const distribution of distributions) {
        const range = gradedBy(base, preset, distribution);
        const told = `${name} ${distribution}`;
        const truings = trueRange(range);
        // Shoulder and side 0.5 mm, cap ease 0.5 mm, band 0.5 mm.
        for (const { size, seams } of truings) {
          for (const walk of seams) {
            expect(Math.abs(walk.difference), `${told}: ${walk.seam} in ${size}`).toBeLessThanOrEqual(0.5);
          }
          expect(seams.map((s) => s.seam)).toEqual(expect.arrayContaining(['shoulder', 'side', 'cap']));
        }
        expect(joinFailures(truings), told).toEqual([]);
        expect(chartFailures(sizeChart(range)), told).toEqual([]);
        for (const { size, pattern } of range.sizes) expectNotches(pattern, `${told} ${size}`);
      }
    },
  );
});

/** Notches of armhole and cap meet when both are sewn from the underarm; the crown meets the shoulder. */
function expectNotches(pattern: Pattern, told: string): void {
  const armholes = ['front', 'back'].map((piece) => along(pattern, piece, (n) => n.edge === 'armhole'));
  const front = along(pattern, 'sleeve', (n) => n.name === 'front-armhole');
  const back = along(pattern, 'sleeve', (n) => n.name === 'back-armhole');
  expect(front.at, `${told} front`).toBeCloseTo(armholes[0]!.at, 6);
  // The back cap runs from the crown down to the underarm.
  expect(back.total - back.at, `${told} back`).toBeCloseTo(armholes[1]!.at, 6);
  const shoulder = along(pattern, 'sleeve', (n) => n.name === 'shoulder');
  expect(shoulder.at).toBeCloseTo(front.total, 9);
  // What each part of the cap has over its armhole is its share of the ease.
  const eases = [front.total - armholes[0]!.total, back.total - armholes[1]!.total];
  expect(eases[0]! / eases[1]!, `${told} ease`).toBeCloseTo(armholes[0]!.total / armholes[1]!.total, 3);
}

/** Degrees a free curve may turn the wrong way over what it does in the base. */
const WOBBLE = 1;

describe('free curves between graded points', () => {
  // An armhole bends one way between underarm and shoulder, a neckline between shoulder and fold.
  it('bend one way in every size as they do in the base: they do not wobble', () => {
    for (const preset of presets) {
      const block = blocks.find((b) => b.chart === preset.name) ?? library.blocks.get('knit-block-women')!;
      const base = baseOf(block, preset);
      for (const { size, pattern } of gradedBy(base, preset, 'house').sizes) {
        for (const piece of ['back', 'front']) {
          for (const [edge, way] of [
            ['armhole', -1],
            ['neckline', -1],
          ] as const) {
            const [graded, drawn] = [pattern, base].map((p) => wrongTurn(p, piece, edge, way));
            expect(drawn!, 'the base itself bends one way').toBeLessThan(5);
            expect(graded, `${preset.name} ${size} ${piece} ${edge}`).toBeLessThan(drawn! + WOBBLE);
          }
        }
      }
    }
  });
});

/** The most a curve turns against its own bend in one run, degrees; `way` is the sign of its bend. */
function wrongTurn(pattern: Pattern, piece: string, edge: string, way: 1 | -1): number {
  const points = flatten(edgeOf(pieceOf(pattern, piece), edge).path, 0.02);
  let worst = 0;
  let run = 0;
  for (let i = 2; i < points.length; i++) {
    const [a, b, c] = [points[i - 2]!, points[i - 1]!, points[i]!];
    const turn = -way * angleBetween(sub(b, a), sub(c, b));
    run = turn > 0 ? run + turn : 0;
    worst = Math.max(worst, run);
  }
  return (worst * 180) / Math.PI;
}
