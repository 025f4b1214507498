import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  BAND_KNITS,
  bandRatio,
  COLLAR_HEIGHTS,
  draftCollar,
  KANGAROO_POCKET_DEFAULTS,
  kangarooPocket,
  lengthen,
  recipeSchema,
  rederive,
} from '../../src/alter/index.js';
import { InputError } from '../../src/errors.js';
import { end, nodes, start } from '../../src/geometry/path.js';
import { distance } from '../../src/geometry/vec.js';
import { edgeLength } from '../../src/pattern/measure.js';
import { type Pattern, pieceArea, pieceOf, pointOf } from '../../src/pattern/model.js';
import { walkSeams } from '../../src/pattern/walk.js';
import { block } from '../bodies.js';
import { altered, INCH, measured, noted } from './helpers.js';

const placeOn = (pattern: Pattern) =>
  pieceOf(pattern, 'front').internals!.find((i) => i.name === 'place of pocket')!.path;

describe('kangaroo-pocket', () => {
  const pocketed = (over: object = {}) => kangarooPocket(block(), { ...KANGAROO_POCKET_DEFAULTS, ...over });

  it('has the area of its rectangle less the slanted corner, and its outline stands on the front', () => {
    const { pattern } = pocketed();
    const { width, top, height, side } = KANGAROO_POCKET_DEFAULTS;
    const half = (width / 2) * height - (((width - top) / 2) * (height - side)) / 2;
    expect(pieceArea(pieceOf(pattern, 'pocket'))).toBeCloseTo(half, 6);
    const place = placeOn(pattern);
    const piece = pieceOf(pattern, 'pocket');
    const outline = piece.edges.filter((e) => e.name !== 'fold').map((e) => start(e.path));
    const by = start(place);
    for (const [i, p] of outline.entries()) {
      expect(distance(nodes(place)[i]!, [p[0] + by[0], p[1] + by[1]])).toBeLessThan(1e-9);
    }
    expect(start(place)[1] - pointOf(pieceOf(pattern, 'front'), 'center-hem')[1]).toBeCloseTo(INCH / 2, 9);
    expect(end(place)[0]).toBe(0);
  });

  it('follows the hem when a later step moves it, and stays one line', () => {
    const { pattern } = pocketed();
    const longer = rederive(lengthen(pattern, { pieces: ['back', 'front'], by: 80 }));
    expect(start(placeOn(longer))[1] - start(placeOn(pattern))[1]).toBeCloseTo(-80, 9);
    expect(pieceOf(longer, 'front').internals).toHaveLength(1);
    expect(pieceOf(longer, 'pocket').edges).toEqual(pieceOf(pattern, 'pocket').edges);
  });

  it('refuses one that does not fit, with the width there is, and that width fits', () => {
    try {
      pocketed({ width: 560 });
      expect.unreachable();
    } catch (error) {
      const { message, mend } = error as InputError;
      expect(message).toMatch(/560.0 mm wide does not fit on the front/);
      const most = Number(/make it (\d+) mm wide/.exec(mend!)![1]);
      expect(() => pocketed({ width: most })).not.toThrow();
      expect(() => pocketed({ width: most + 2 })).toThrow(/does not fit on the front/);
    }
    expect(() => pocketed({ top: 400 })).toThrow(/cannot have a top of 400.0 mm/);
    expect(() => pocketed({ name: 'sleeve' })).toThrow(InputError);
  });
});

describe('draft-collar', () => {
  const options = { name: 'collar', kind: 'turtleneck', height: 75, ratio: 0.9, fabric: 'rib' } as const;

  it('a turtleneck 3 in high as worn is cut four times as deep: folded, and turned down (common practice, no source)', () => {
    const { pattern } = draftCollar(block(), { ...options, height: 3 * INCH });
    expect(edgeLength(pattern, 'collar', 'right')).toBeCloseTo(12 * INCH, 9);
    const lines = pieceOf(pattern, 'collar').internals!;
    expect(lines.map((l) => [l.name, start(l.path)[1]])).toEqual([
      ['fold line', 6 * INCH],
      ['turned down here', 3 * INCH],
    ]);
  });

  it('a stand is cut twice its height, sews to the neckline and follows it', () => {
    const result = draftCollar(block(), { ...options, kind: 'stand', height: COLLAR_HEIGHTS.stand });
    expect(edgeLength(result.pattern, 'collar', 'right')).toBeCloseTo(4 * INCH, 9);
    expect(noted(result, 'band')).toBeCloseTo(0.9 * measured(block(), 'neckline'), 6);
    expect(walkSeams(result.pattern).find((w) => w.seam === 'collar')!.matches).toBe(true);
    const wider = altered([
      { 'draft-collar': { as: 'stand', ratio: 'rib-1x1' } },
      { 'neck-shape': { as: 'crew', widen: '1/2' } },
    ]);
    expect(walkSeams(wider).find((w) => w.seam === 'collar')!.matches).toBe(true);
    expect(edgeLength(wider, 'collar', 'lower')).toBeCloseTo(0.825 * measured(wider, 'neckline'), 6);
  });
});

describe('bandRatio', () => {
  it.each([
    ['jersey', 'neck', 0.85, 0.9],
    ['rib-1x1', 'neck', 0.8, 0.85],
    ['rib-elastane', 'neck', 0.75, 0.8],
    ['jersey', 'cuff', 0.81, 0.85],
    ['rib-elastane', 'cuff', 0.75, 0.79],
    ['jersey', 'hem', 0.86, 0.9],
    ['rib-elastane', 'hem', 0.8, 0.84],
  ] as const)(
    '%s at the %s lies between %f and %f (common practice, no source)',
    (knit, place, least, most) => {
      expect(bandRatio(knit, place, 1)).toBeGreaterThanOrEqual(least);
      expect(bandRatio(knit, place, 0.5)).toBeLessThanOrEqual(most);
      expect(bandRatio(knit, place)).toBeCloseTo(
        (bandRatio(knit, place, 1) + bandRatio(knit, place, 0)) / 2,
        9,
      );
    },
  );

  it('never cuts a band longer for a better recovery', () => {
    const share = fc.double({ min: 0, max: 1, noNaN: true });
    fc.assert(
      fc.property(
        fc.constantFrom(...BAND_KNITS),
        fc.constantFrom('neck', 'cuff', 'hem'),
        share,
        share,
        (knit, place, a, b) => {
          const [low, high] = [Math.min(a, b), Math.max(a, b)];
          const ratio = (recovery: number) => bandRatio(knit, place as 'neck', recovery);
          expect(ratio(high)).toBeLessThanOrEqual(ratio(low));
        },
      ),
    );
  });

  it('25 % of stretch shortens a band by 5 to 10 %: 66 cm make 60 (thewearablestudio.com)', () => {
    // The example takes 6 cm off 66: a ratio of 0.909, just above what jersey of the body is given here.
    const ratio = 60 / 66;
    expect(ratio).toBeGreaterThan(bandRatio('jersey', 'neck', 0));
    expect(ratio - bandRatio('jersey', 'neck', 0)).toBeLessThan(0.02);
  });

  it('is named in a style by the knit, or given as a number, not both', () => {
    const read = (o: object) =>
      recipeSchema('in').safeParse([
        { 'draft-band': { name: 'cuff', along: ['sleeve.wrist'], depth: 2, ...o } },
      ]);
    expect(read({ knit: 'rib-2x2', recovery: '95%' }).success).toBe(true);
    expect(read({ knit: 'rib-2x2', ratio: 0.8 }).error!.issues[0]!.message).toMatch(/not both/);
    expect(read({ recovery: '95%' }).error!.issues[0]!.message).toMatch(/say the 'knit' too/);
    expect(() => bandRatio('ribb-1x1', 'neck')).toThrow(/no band ratio is known/);
    const pattern = altered([
      { 'draft-band': { name: 'cuff', along: ['sleeve.wrist'], depth: 2, count: 2, knit: 'rib-elastane' } },
    ]);
    expect(edgeLength(pattern, 'cuff', 'lower') / edgeLength(pattern, 'sleeve', 'wrist')).toBeCloseTo(
      bandRatio('rib-elastane', 'cuff'),
      9,
    );
  });
});
