import { describe, expect, it } from 'vitest';
import {
  DRAFT_SLEEVE_DEFAULTS,
  draftBand,
  lowerArmhole,
  rederive,
  redraftSleeve,
} from '../../src/alter/index.js';
import { CheckError, InputError } from '../../src/errors.js';
import { edgeLength } from '../../src/pattern/measure.js';
import { pieceOf, pointOf } from '../../src/pattern/model.js';
import { walkSeams } from '../../src/pattern/walk.js';
import { block } from '../bodies.js';
import { INCH, measured, noted } from './helpers.js';

const BAND = {
  name: 'neckband',
  along: ['back.neckline', 'front.neckline'],
  ratio: 0.75,
  depth: 20,
  folded: true,
  parts: 1,
  count: 1,
  fabric: 'rib',
};

describe('draft-sleeve', () => {
  it('widened by 1 in each side, a 12 in sleeve is 14 in (common practice, no source)', () => {
    const twelve = redraftSleeve(
      block(),
      { ...DRAFT_SLEEVE_DEFAULTS, width: { change: (12 * INCH - 330) / 2 } },
      block(),
    ).pattern;
    expect(measured(twelve, 'bicep')).toBeCloseTo(12 * INCH, 6);
    const wider = redraftSleeve(
      twelve,
      { ...DRAFT_SLEEVE_DEFAULTS, width: { change: INCH } },
      twelve,
    ).pattern;
    expect(measured(wider, 'bicep')).toBeCloseTo(14 * INCH, 6);
  });

  it('keeps the cap 1/2 in longer than both armholes when these change afterwards', () => {
    const drafted = redraftSleeve(block(), DRAFT_SLEEVE_DEFAULTS, block()).pattern;
    const lowered = rederive(lowerArmhole(drafted, { pieces: ['back', 'front'], by: INCH }));
    const cap = walkSeams(lowered).find((w) => w.seam === 'cap')!;
    expect(cap.left - cap.right).toBeCloseTo(INCH / 2, 3);
    expect(measured(lowered, 'cap height')).toBeGreaterThan(measured(drafted, 'cap height'));
  });

  it('takes increments of bicep, wrist and sleeve length and solves the cap again', () => {
    const base = redraftSleeve(block(), DRAFT_SLEEVE_DEFAULTS, block()).pattern;
    const { derived } = pieceOf(base, 'sleeve');
    const grown = derived!.run(base, { bicep: 12, wrist: 5, 'sleeve-length': 8 });
    expect(measured(grown, 'bicep') - measured(base, 'bicep')).toBeCloseTo(12, 6);
    expect(measured(grown, 'sleeve hem') - measured(base, 'sleeve hem')).toBeCloseTo(5, 6);
    const total = (p: typeof base) => {
      const heights = pieceOf(p, 'sleeve').edges.flatMap((e) => e.path.flatMap((s) => [s.a[1], s.b[1]]));
      return Math.max(...heights) - Math.min(...heights);
    };
    expect(total(grown) - total(base)).toBeCloseTo(8, 6);
    expect(walkSeams(grown).find((w) => w.seam === 'cap')!.matches).toBe(true);
  });

  it('marks front once and back twice, as far from the underarm as the armholes are marked', () => {
    const pattern = redraftSleeve(block(), DRAFT_SLEEVE_DEFAULTS, block()).pattern;
    const sleeve = pieceOf(pattern, 'sleeve');
    const front = sleeve.notches.find((n) => n.name === 'front-armhole')!;
    const back = sleeve.notches.find((n) => n.name === 'back-armhole')!;
    expect([front.kind, back.kind]).toEqual(['single', 'double']);
    const at = (n: typeof front) => ('length' in n.at ? n.at.length : Number.NaN);
    expect(at(front)).toBeCloseTo(edgeLength(pattern, 'front', 'armhole') / 3, 6);
    expect(edgeLength(pattern, 'sleeve', 'back-cap') - at(back)).toBeCloseTo(
      edgeLength(pattern, 'back', 'armhole') / 3,
      6,
    );
  });

  it('refuses a sleeve no cap height can solve, with the numbers', () => {
    expect(() =>
      redraftSleeve(block(), { ...DRAFT_SLEEVE_DEFAULTS, width: { change: 120 } }, block()),
    ).toThrow(/no cap height makes a sleeve 570.0 mm wide fit: both armholes measure \d+/);
    expect(() =>
      redraftSleeve(block(), { ...DRAFT_SLEEVE_DEFAULTS, wrist: { change: -120 } }, block()),
    ).toThrow(CheckError);
  });
});

describe('draft-band', () => {
  it('is ratio times the edge: 16 in of opening and a ratio of 3/4 make 12 in', () => {
    // Worked example of sewing instruction (sewing.org): rib neckband 2/3 to 3/4 of the opening, 16 in -> 12 in.
    const edge = measured(block(), 'neckline');
    const result = draftBand(block(), { ...BAND, ratio: 0.75 });
    expect(edgeLength(result.pattern, 'neckband', 'lower') / edge).toBeCloseTo(12 / 16, 9);
    expect(noted(result, 'edge')).toBeCloseTo(edge, 9);
  });

  it('is cut twice as deep when folded and sews to its edge', () => {
    const { pattern } = draftBand(block(), BAND);
    expect(edgeLength(pattern, 'neckband', 'right')).toBe(40);
    expect(walkSeams(pattern).find((w) => w.seam === 'neckband')!.matches).toBe(true);
    expect(pieceOf(pattern, 'neckband').fabric).toBe('rib');
  });

  it('in parts, the parts together make the length and the count', () => {
    const { pattern } = draftBand(block(), {
      ...BAND,
      name: 'hem-band',
      along: ['back.hem', 'front.hem'],
      parts: 2,
      count: 1,
    });
    const edge = 2 * edgeLength(pattern, 'back', 'hem') + 2 * edgeLength(pattern, 'front', 'hem');
    expect(2 * edgeLength(pattern, 'hem-band', 'lower')).toBeCloseTo(0.75 * edge, 9);
    expect(pieceOf(pattern, 'hem-band').counts).toEqual({ asDrawn: 2, mirrored: 0 });
  });

  it('follows its edge after a change, and lies with its length along the courses', () => {
    const { pattern } = draftBand(block(), { ...BAND, name: 'cuff', along: ['sleeve.wrist'], count: 2 });
    const wider = redraftSleeve(
      pattern,
      { ...DRAFT_SLEEVE_DEFAULTS, wrist: { change: 10 } },
      block(),
    ).pattern;
    const cuff = pieceOf(rederive(wider), 'cuff');
    expect(pointOf(cuff, 'lower-right')[0]).toBeCloseTo(0.75 * edgeLength(wider, 'sleeve', 'wrist'), 9);
  });

  it('refuses an unknown edge and a name that is taken', () => {
    expect(() => draftBand(block(), { ...BAND, along: ['back.neck'] })).toThrow(
      "piece 'back' has no edge 'neck'",
    );
    expect(() => draftBand(block(), { ...BAND, name: 'sleeve' })).toThrow(InputError);
  });

  it('notches its edges where the band’s own quarters fall, at the centres and half of both edges away', () => {
    const { pattern } = draftBand(block(), BAND);
    const on = (piece: string) =>
      pieceOf(pattern, piece)
        .notches.filter((n) => n.name === 'neckband on neckline')
        .map((n) => n.at);
    const back = edgeLength(pattern, 'back', 'neckline');
    const front = edgeLength(pattern, 'front', 'neckline');
    expect(on('back')).toEqual([{ ratio: 1 }]);
    // From the centre front a quarter of the whole is half of both necklines: that lies on the front.
    expect(on('front')).toEqual([{ ratio: 1 }, { length: front - (back + front) / 2 }]);
  });

  it('notches a whole edge at its quarters, and centres only where parts meet at the side seams', () => {
    const cuffed = draftBand(block(), { ...BAND, name: 'cuff', along: ['sleeve.wrist'], count: 2 }).pattern;
    const wrist = pieceOf(cuffed, 'sleeve').notches.filter((n) => n.edge === 'wrist');
    expect(wrist.map((n) => n.at)).toEqual([{ ratio: 0.25 }, { ratio: 0.5 }, { ratio: 0.75 }]);
    const hemmed = draftBand(block(), {
      ...BAND,
      name: 'hem-band',
      along: ['back.hem', 'front.hem'],
      parts: 2,
    }).pattern;
    expect(
      pieceOf(hemmed, 'back')
        .notches.filter((n) => n.edge === 'hem')
        .map((n) => n.at),
    ).toEqual([{ ratio: 0 }]);
  });
});
