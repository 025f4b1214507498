import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { assertSound } from '../../src/alter/alteration.js';
import { BLOCK_DEFAULTS, draftBlock } from '../../src/draft/block.js';
import { bodySchema, easeSchema, FITTED_EASE } from '../../src/draft/body.js';
import { necklinePath } from '../../src/draft/neckline.js';
import { segmentPoint } from '../../src/geometry/path.js';
import { distance, type Vec } from '../../src/geometry/vec.js';
import { measure } from '../../src/pattern/measure.js';
import { assertClosed, type Pattern, pieceArea } from '../../src/pattern/model.js';
import { walkJoins, walkSeams } from '../../src/pattern/walk.js';
import { BODY } from '../bodies.js';

const measured = (pattern: Pattern, name: string) =>
  measure(pattern, pattern.measures.find((m) => m.name === name)!);

describe('draftBlock', () => {
  it('measures body plus ease: the quarters of a girth add up to it (common practice, no source)', () => {
    const pattern = draftBlock('b', BODY);
    expect(measured(pattern, 'chest girth')).toBeCloseTo(BODY.bust + FITTED_EASE.bust, 6);
    expect(measured(pattern, 'waist girth')).toBeCloseTo(BODY.waist + FITTED_EASE.waist, 6);
    expect(measured(pattern, 'hem girth')).toBeCloseTo(BODY.hip + FITTED_EASE.hip, 6);
    expect(measured(pattern, 'bicep')).toBeCloseTo(BODY.bicep + FITTED_EASE.bicep, 6);
    expect(measured(pattern, 'sleeve hem')).toBeCloseTo(BODY.wrist + FITTED_EASE.wrist, 6);
    expect(measured(pattern, 'shoulder')).toBeCloseTo(BODY.shoulder, 6);
  });

  it('reproduces the published tee example: bust 84 cm and 6 cm of ease make 90 cm', () => {
    // Anthropometry, Apparel Sizing and Design, p. 356.
    const body = { ...BODY, bust: 840, shoulder: 115 };
    const pattern = draftBlock('b', body, { ...BLOCK_DEFAULTS, ease: { ...FITTED_EASE, bust: 60 } });
    expect(measured(pattern, 'chest girth')).toBeCloseTo(900, 6);
  });

  it('solves the front neck so that the whole neckline is neck girth and ease', () => {
    expect(measured(draftBlock('b', BODY), 'neckline')).toBeCloseTo(BODY.neck + FITTED_EASE.neck, 4);
  });

  it('takes negative ease for a close-fitting knit', () => {
    const ease = { ...FITTED_EASE, bust: -60, waist: -40, hip: -60, bicep: -10, wrist: -5, armholeDepth: -5 };
    const pattern = draftBlock('b', BODY, { ...BLOCK_DEFAULTS, ease });
    expect(measured(pattern, 'chest girth')).toBeCloseTo(880, 6);
    expect(walkSeams(pattern).every((w) => w.matches)).toBe(true);
  });

  it('is closed, simple, true and smooth for any reasonable body', () => {
    const between = (min: number, max: number) => fc.double({ min, max, noNaN: true });
    fc.assert(
      fc.property(between(0.86, 1.45), between(-0.03, 0.03), between(0, 20), (k, wobble, armholeDepth) => {
        const upright = 1 + (k - 1) * 0.35;
        const body = {
          ...BODY,
          bust: BODY.bust * k,
          waist: BODY.waist * k * (1 + wobble),
          hip: BODY.hip * k,
          shoulder: BODY.shoulder * (1 + (k - 1) * 0.25),
          neck: BODY.neck * (1 + (k - 1) * 0.3),
          bicep: BODY.bicep * k,
          armholeDepth: BODY.armholeDepth * upright,
          backWaistLength: BODY.backWaistLength * (1 + (k - 1) * 0.1),
        };
        const pattern = draftBlock('b', body, { ...BLOCK_DEFAULTS, ease: { ...FITTED_EASE, armholeDepth } });
        for (const piece of pattern.pieces) {
          assertSound(assertClosed(piece));
          expect(pieceArea(piece)).toBeGreaterThan(0);
        }
        expect(walkSeams(pattern).filter((w) => !w.matches)).toEqual([]);
        expect(walkJoins(pattern).filter((j) => !j.smooth)).toEqual([]);
      }),
      { numRuns: 60 },
    );
  });

  it('names measurements that contradict each other', () => {
    expect(() => draftBlock('b', { ...BODY, bust: 600, shoulder: 160 })).toThrow(/leaves no armhole/);
    expect(() => draftBlock('b', { ...BODY, neck: 900 })).toThrow(/leaves no armhole|no front neck depth/);
  });
});

describe('necklinePath', () => {
  it('has no hook at the neck point: nowhere tighter than 8 mm, shallow and widened or deep', () => {
    for (const [width, depth, slope] of [
      [74, 20, 20],
      [97, 13, 15],
      [85, 17, 17],
      [74, 75, 20],
      [97, 100, 15],
    ] as const) {
      const radians = (slope * Math.PI) / 180;
      const [s] = necklinePath([width, depth], [0, 0], [-Math.cos(radians), Math.sin(radians)]);
      // Circle through three near points of the curve.
      for (let i = 1; i < 200; i++) {
        const [p, q, r] = [i - 1, i, i + 1].map((k) => segmentPoint(s!, k / 200)) as [Vec, Vec, Vec];
        const doubled = Math.abs((q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0]));
        const radius = (distance(p, q) * distance(q, r) * distance(p, r)) / (2 * doubled);
        expect(radius).toBeGreaterThan(8);
      }
    }
  });
});

describe('body and ease schemas', () => {
  it('read a body in inches and keep the fitted ease of what is left out', () => {
    const body = bodySchema('in').parse({
      bust: 37,
      waist: '30 3/4',
      hip: '102 cm',
      shoulder: '4 3/4',
      'back-waist-length': 16,
      neck: '14 5/8',
      bicep: 11,
      wrist: 6,
      'arm-length': 23,
      'armhole-depth': 8,
      'hip-depth': 8,
      head: 22,
    });
    expect([body.bust, body.waist, body.hip]).toEqual([37 * 25.4, 30.75 * 25.4, 1020]);
    expect(easeSchema('cm').parse({ bust: -4 })).toEqual({ ...FITTED_EASE, bust: -40 });
  });

  it('refuse a girth of zero and a negative one', () => {
    expect(bodySchema('cm').safeParse({ bust: 0 }).success).toBe(false);
  });
});
