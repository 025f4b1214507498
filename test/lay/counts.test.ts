import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { CheckError } from '../../src/errors.js';
import type { CutPiece } from '../../src/finish/types.js';
import type { Vec } from '../../src/geometry/vec.js';
import { boundGarments, type Fabric, isSymmetricPiece, markerDemand } from '../../src/lay/index.js';
import { cutPiece, FABRIC } from './samples.js';

const WEDGE: Vec[] = [
  [0, 0],
  [40, 0],
  [10, 60],
];
const BAND: Vec[] = [
  [0, 0],
  [200, 0],
  [200, 50],
  [0, 50],
];
const OPTIONS = { gap: 2, sideMargin: 0 };
const inMode = (mode: Fabric['mode'], usableWidth = 1650): Fabric => ({ ...FABRIC, mode, usableWidth });
const pair = cutPiece('sleeve', WEDGE, { counts: { asDrawn: 1, mirrored: 1 } });
const single = cutPiece('neckband', BAND);
const rows = (fabric: Fabric, pieces: CutPiece[], count: number, options = {}) =>
  markerDemand(pieces, fabric, { M: count }, { ...OPTIONS, ...options }).demands.map((d) => [
    d.piece.name,
    d.fold ?? (d.eitherHand ? 'either hand' : 'one hand'),
    d.garments,
  ]);

describe('face to face', () => {
  it('places the full count in either hand: the ply above cuts the other', () => {
    expect(rows(inMode('face-to-face'), [pair, single], 2)).toEqual([
      ['sleeve', 'either hand', ['M-1', 'M-1', 'M-2', 'M-2']],
      ['neckband', 'one hand', ['M-1', 'M-2']],
    ]);
  });

  it('refuses an asymmetric piece with unequal hands and says what to do', () => {
    const odd = cutPiece('yoke', WEDGE, { counts: { asDrawn: 2, mirrored: 1 } });
    const lay = () => markerDemand([odd], inMode('face-to-face'), { M: 1 });
    expect(lay).toThrow(CheckError);
    expect(lay).toThrow(
      "piece 'yoke' (2 as drawn, 1 mirrored) cannot be cut from plies laid face to face: each placement gives one of each hand",
    );
    expect(rows(inMode('single'), [odd], 1).map((row) => row[2])).toEqual([['M-1', 'M-1'], ['M-1']]);
  });
});

describe('folded and tubular', () => {
  it('place a pair once and a symmetric piece once for two; the odd one is a half on the fold', () => {
    for (const mode of ['folded', 'tubular'] as const) {
      expect(rows(inMode(mode), [pair, single], 3)).toEqual([
        ['sleeve', 'either hand', ['M-1', 'M-2', 'M-3']],
        ['neckband', 'one hand', ['M-1+M-2']],
        ['neckband', 'low', ['M-3']],
      ]);
    }
  });

  it('lay every single piece on a fold when asked; a tube has two, filled alike', () => {
    expect(rows(inMode('folded'), [single], 3, { onFold: 'all' })).toEqual([
      ['neckband', 'low', ['M-1', 'M-2', 'M-3']],
    ]);
    expect(rows(inMode('tubular'), [single], 3, { onFold: 'all' })).toEqual([
      ['neckband', 'low', ['M-1', 'M-3']],
      ['neckband', 'high', ['M-2']],
    ]);
  });

  it('cut two of a single piece that may not lie on the fold, and report the spare', () => {
    const { demands, spare } = markerDemand(
      [single],
      inMode('folded'),
      { M: 3 },
      { ...OPTIONS, onFold: 'none' },
    );
    expect(demands.map((d) => d.garments)).toEqual([['M-1+M-2', 'M-3']]);
    expect(spare).toEqual([{ piece: 'neckband', size: 'M', count: 1 }]);
  });

  it('keep a piece off the fold whose stretch turns it across: its fold would run across too', () => {
    const turned = cutPiece('neckband', BAND, { stretch: { along: 'wale', percent: 20 } });
    const { demands, spare } = markerDemand([turned], inMode('folded'), { M: 1 }, OPTIONS);
    expect(demands[0]!.fold).toBeUndefined();
    expect(spare).toEqual([{ piece: 'neckband', size: 'M', count: 1 }]);
  });

  it('lay on the fold what is too wide to be laid opened', () => {
    expect(rows(inMode('folded', 300), [single], 2)).toEqual([['neckband', 'low', ['M-1', 'M-2']]]);
  });

  it('refuse an asymmetric piece with unequal hands', () => {
    const odd = cutPiece('yoke', WEDGE, { counts: { asDrawn: 1, mirrored: 0 } });
    expect(() => markerDemand([odd], inMode('tubular'), { M: 1 })).toThrow(/cannot be cut from a tube/);
    expect(() => markerDemand([odd], inMode('folded'), { M: 1 })).toThrow(/cannot be cut from folded cloth/);
  });
});

describe('any mode', () => {
  it('cuts what is needed and the spare, at most one of a piece, for any counts and ratio', () => {
    fc.assert(
      fc.property(
        fc.constantFrom('single', 'face-to-face', 'folded', 'tubular' as const),
        fc.constantFrom('odd', 'all', 'none' as const),
        fc.integer({ min: 1, max: 12 }),
        fc.integer({ min: 0, max: 4 }),
        fc.integer({ min: 0, max: 4 }),
        fc.boolean(),
        (mode, onFold, garments, asDrawn, mirrored, symmetric) => {
          fc.pre(asDrawn + mirrored > 0);
          fc.pre(symmetric || mode === 'single' || asDrawn === mirrored);
          const piece = cutPiece('p', symmetric ? BAND : WEDGE, { counts: { asDrawn, mirrored } });
          const fabric = inMode(mode);
          const { demands, spare } = markerDemand([piece], fabric, { M: garments }, { ...OPTIONS, onFold });
          // Pieces that one placement gives: two of two layers, one from a half; per ply otherwise.
          const layers = mode === 'folded' || mode === 'tubular' ? 2 : 1;
          const given = demands.reduce((sum, d) => sum + d.garments.length * (d.fold ? 1 : layers), 0);
          const over = spare.reduce((sum, s) => sum + s.count, 0);
          expect(given).toBe(garments * (asDrawn + mirrored) + over);
          expect(over).toBeLessThanOrEqual(onFold === 'none' && layers === 2 ? 1 : 0);
          // Every garment gets its number, counting a shared placement once for each.
          const labels = demands.flatMap((d) =>
            d.garments.flatMap((g) => {
              const names = g.split('+');
              return names.length === 2 || d.fold || layers === 1 ? names : [g, g];
            }),
          );
          for (let i = 1; i <= garments; i++) {
            const got = labels.filter((label) => label === `M-${i}`).length;
            expect(got).toBeGreaterThanOrEqual(asDrawn + mirrored);
            expect(got).toBeLessThanOrEqual(asDrawn + mirrored + over);
          }
        },
      ),
      { seed: 11, numRuns: 300 },
    );
  });
});

describe('symmetry', () => {
  it('is that of notches and internal lines too', () => {
    const notch = (x: number, kind: 'single' | 'double') => ({
      name: `at ${x}`,
      kind,
      at: [x, 0] as Vec,
      inward: [0, 1] as Vec,
      depth: 3,
    });
    const with2 = (kind: 'single' | 'double') =>
      cutPiece('p', BAND, { notches: [notch(50, 'single'), notch(150, kind)] });
    expect(isSymmetricPiece(with2('single'))).toBe(true);
    expect(isSymmetricPiece(with2('double'))).toBe(false);
    const line = (from: number) =>
      cutPiece('p', BAND, {
        internals: [
          {
            name: 'pocket',
            points: [
              [from, 25],
              [150, 25],
            ],
          },
        ],
      });
    expect(isSymmetricPiece(line(50))).toBe(true);
    expect(isSymmetricPiece(line(80))).toBe(false);
  });
});

describe('garments that share a placement', () => {
  it('are bound together, also through others', () => {
    const demand = (garments: string[]) => ({ piece: single, mirrored: false, eitherHand: false, garments });
    const bound = boundGarments([demand(['M-1+M-2', 'M-3']), demand(['M-2+M-4']), demand(['M-5'])]);
    expect(bound.get('M-4')).toBe(bound.get('M-1'));
    expect(new Set(['M-1', 'M-3', 'M-5'].map((name) => bound.get(name))).size).toBe(3);
  });
});
