import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { loadPresets } from '../../src/cli/load.js';
import { selfCrossing } from '../../src/geometry/polygon.js';
import { edgeLength, measure } from '../../src/pattern/measure.js';
import { edgeOf, type Pattern, pieceOf } from '../../src/pattern/model.js';
import { cuttingGaps, developStyle, fitRows, readStyle, verdictsOf } from '../../src/style/index.js';

const presets = await loadPresets();

function develop(file: string) {
  const text = readFileSync(join(import.meta.dirname, '../../fixtures/demo', file), 'utf8');
  const style = readStyle(text, file, presets);
  const developed = developStyle(style);
  return { style, developed };
}

const measured = (pattern: Pattern, name: string) =>
  measure(pattern, pattern.measures.find((m) => m.name === name)!);

describe.each([
  'harbour-crew.yaml',
  'gannet-raglan.yaml',
  'skerry-tee.yaml',
  'lantern-turtleneck.yaml',
  'puffin-crew.yaml',
])('the garment %s', (file) => {
  const { style, developed } = develop(file);

  it('passes every look of the check in all its sizes', () => {
    const fit = fitRows(style, developed.range, style.unit);
    expect(new Set(fit.map((row) => row.size)).size).toBe(developed.range.sizes.length);
    const verdicts = verdictsOf(style, developed, fit, style.unit);
    expect(verdicts.filter((v) => v.state !== 'good')).toEqual([]);
    expect(cuttingGaps(style, developed.base)).toEqual([]);
  });

  it('becomes cut pieces without a crossing in every size', () => {
    for (const { pieces } of developed.finished) {
      for (const piece of pieces) {
        expect(selfCrossing(piece.cut)).toBeUndefined();
        expect(selfCrossing(piece.sew)).toBeUndefined();
      }
    }
  });
});

describe('the Skerry tee', () => {
  const { developed } = develop('skerry-tee.yaml');

  it('keeps its V, and an underarm seam of about one length, from XS to 2XL', () => {
    const underarms = developed.range.sizes.map(({ pattern }) => {
      const neckline = edgeOf(pieceOf(pattern, 'front'), 'neckline');
      expect(neckline).toMatchObject({ pointed: true, drawn: { shape: 'v' } });
      return edgeLength(pattern, 'sleeve', 'front-underarm');
    });
    expect(Math.max(...underarms) - Math.min(...underarms)).toBeLessThan(10);
    // A short sleeve's underarm is 2 to 4 in (common practice, no source).
    expect(Math.min(...underarms)).toBeGreaterThan(50);
    expect(Math.max(...underarms)).toBeLessThan(102);
  });

  it('turns hem and sleeve ends up by 2.5 cm, mirrored at the seams', () => {
    const base = developed.finished.find((s) => s.size === 'M')!;
    const front = base.pieces.find((p) => p.name === 'front')!;
    const low = (points: readonly (readonly [number, number])[]) => Math.min(...points.map((p) => p[1]));
    expect(low(front.sew) - low(front.cut)).toBeCloseTo(25, 3);
    expect(base.pieces.map((p) => p.fabric)).toEqual(['self', 'self', 'self', 'self']);
  });
});

describe('the Lantern turtleneck', () => {
  const { developed } = develop('lantern-turtleneck.yaml');

  it('has a collar of 0.775 of its neckline in every size, cut four times as deep as it is worn', () => {
    for (const { pattern } of developed.range.sizes) {
      expect(edgeLength(pattern, 'collar', 'lower') / measured(pattern, 'neckline')).toBeCloseTo(0.775, 6);
      expect(edgeLength(pattern, 'collar', 'right')).toBeCloseTo(12 * 25.4, 6);
    }
  });
});

describe('a style whose block comes from the tape', () => {
  // Invented measurements of a paper block near size M; inches.
  const TAPED = `
style: From paper
units: in
block:
  tape:
    back: { chest: 9 3/4, waist: 8 1/4, hem: 10 3/8, neck-width: 2 7/8, across-shoulder: 7 3/8, shoulder: 4 13/16,
            neck-depth: 3/4, armhole-depth: 9 1/4, waist-length: 16 7/8, length: 25, armhole: 8 3/4 }
    front: { chest: 9 3/4, waist: 8 1/4, hem: 10 3/8, neck-width: 2 7/8, across-shoulder: 7 3/8, shoulder: 4 13/16,
             neck-depth: 2 7/8, armhole-depth: 9 1/4, waist-length: 16 7/8, length: 25, armhole: 9 }
    sleeve: { width: 13, wrist: 8, length: 23 1/4 }
alter:
  - lower-armhole: { by: 1/2 }
  - draft-sleeve: { widen: 1/2, cap-ease: 1/4 }
grade: { sizes: [S, M, L], base: M, increments: { preset: women-en } }
`;

  it('has the armholes that were measured, and sews in every size after its alterations', () => {
    const style = readStyle(TAPED, 'paper.yaml', presets);
    expect(edgeLength(style.block, 'back', 'armhole') / 25.4).toBeCloseTo(8.75, 2);
    expect(edgeLength(style.block, 'front', 'armhole') / 25.4).toBeCloseTo(9, 2);
    const developed = developStyle(style);
    const verdicts = verdictsOf(style, developed, fitRows(style, developed.range, 'in'), 'in');
    expect(verdicts.filter((v) => v.state !== 'good')).toEqual([]);
  });

  it('asks for draft-sleeve where the sleeve of the block itself is graded', () => {
    const own = TAPED.replace('  - draft-sleeve: { widen: 1/2, cap-ease: 1/4 }\n', '').replace(
      '  - lower-armhole: { by: 1/2 }',
      '  - mark-stretch: { percent: 20 }',
    );
    const style = readStyle(own, 'paper.yaml', presets);
    const developed = developStyle(style);
    const cap = verdictsOf(style, developed, [], 'in').find((v) => v.subject === 'cap')!;
    expect(cap.state).toBe('stop');
    expect(cap.sizes).not.toContain('M');
    expect(cap.advice).toMatch(/^put draft-sleeve/);
  });

  it('says which measurements contradict each other, with the line they stand on', () => {
    const wrong = TAPED.replace('armhole: 9 }', 'armhole: 14 }');
    expect(() => readStyle(wrong, 'paper.yaml', presets)).toThrow(
      /front: the tape says the armhole is 355.6 mm/,
    );
    try {
      readStyle(wrong, 'paper.yaml', presets);
    } catch (error) {
      expect((error as { place: { line: number } }).place.line).toBe(5);
    }
  });
});
