import { describe, expect, it } from 'vitest';
import { loadPresets } from '../../src/cli/load.js';
import { DISTRIBUTIONS } from '../../src/grade/index.js';
import { capHeights, seamFailures } from '../../src/grade/truing.js';
import { developStyle, fitTable, readStyle } from '../../src/style/index.js';

const presets = await loadPresets();

/** A plain crew sweatshirt on a block, with the ease and neck that its people need. */
const crew = (name: string, block: string, grade: string, neck: string, ease: string): string => `
style: ${name}
units: cm
block: { preset: ${block} }
alter:
  - slash: { piece: back, from: shoulder at 50%, to: hem, open: ${ease}, tip-lift: 3 mm }
  - lower-armhole: { piece: back, by: ${ease} }
  - shape-side-seam: { piece: back, as: straight }
  - derive-front: { raise: 5 mm }
  - match-shoulders: { change: front }
  - balance-armholes: { within: 5 mm }
  - level-side-seams: { how: hem }
  - widen-neckline: { by: ${neck}, front: even, back: shoulder }
  - draft-sleeve: { widen: ${ease}, cap-ease: 6 mm }
  - mark-stretch: { along: course, percent: 25 }
  - draft-band: { name: neckband, along: [back.neckline, front.neckline], ratio: 0.85, depth: 2 }
  - draft-band: { name: cuff, along: [sleeve.wrist], ratio: 0.85, depth: 5, count: 2 }
grade: ${grade}
fabrics:
  self: { preset: french-terry-280 }
  rib: { preset: rib-2x2-tube }
`;

describe.each([
  [
    "the child's Puffin crew",
    crew(
      'Puffin crew',
      'knit-block-children, size: 104',
      '{ sizes: [92, 98, 104, 110, 116, 122], base: 104, increments: { preset: children } }',
      '3.6',
      '1.2',
    ),
  ],
  [
    'a crew for men',
    crew(
      'Breakwater crew',
      'knit-block-men, size: M',
      '{ sizes: [S, M, L, XL, 2XL, 3XL], base: M, increments: { preset: men } }',
      '2.2',
      '2',
    ),
  ],
  [
    'a crew in plus sizes',
    crew(
      'Skerry crew',
      'knit-block-women-plus, size: 3X',
      '{ sizes: [1X, 2X, 3X, 4X, 5X], base: 3X, increments: { preset: women-plus } }',
      '1.5',
      '2',
    ),
  ],
  [
    'a crew in number sizes, half sizes between',
    crew(
      'Harbour crew',
      'knit-block-women-numeric, size: 8',
      '{ sizes: [0, 2, 4, 6, 8, 10, 12, 14, 16, 18, 20], base: 8, half-sizes: { 11: [10, 12], 13: [12, 14] }, increments: { preset: women-numeric } }',
      '2.2',
      '2',
    ),
  ],
])('%s', (_, text) => {
  const style = readStyle(text, 'style.yaml', presets);
  const developed = developStyle(style);

  it('is true in every size, with caps that rise', () => {
    expect(developed.range.sizes.map((s) => s.size)).toEqual(style.grade.sizes);
    expect(seamFailures(developed.truing)).toEqual([]);
    expect(capHeights(developed.range).filter((c) => c.falls)).toEqual([]);
    const known = developed.chart.flatMap((row) => row.cells);
    expect(known.filter((cell) => !cell.within)).toEqual([]);
    expect(developed.finished.map((s) => s.pieces.length)).toEqual(style.grade.sizes.map(() => 5));
  });

  it('goes round the body and over the head in every size', () => {
    const fit = fitTable(style, developed.range);
    expect(fit.map((f) => f.size)).toEqual(style.grade.sizes);
    for (const { size, girths, neck, hand } of fit) {
      for (const girth of girths) expect(girth.within, `${size} ${girth.girth} ${girth.ease}`).toBe(true);
      expect(neck!.within, `${size}: ${neck!.opening} for a head of ${neck!.around}`).toBe(true);
      expect(hand!.within, `${size}: ${hand!.opening} for a hand of ${hand!.around}`).toBe(true);
    }
  });

  it.each(Object.keys(DISTRIBUTIONS))('is true by %s too', (name) => {
    const other = text.replace('increments: {', `distribution: { name: ${name} }, increments: {`);
    expect(seamFailures(developStyle(readStyle(other, 'style.yaml', presets)).truing)).toEqual([]);
  });
});
