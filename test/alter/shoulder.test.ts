import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  DRAFT_SLEEVE_DEFAULTS,
  DROP_SHOULDER_DEFAULTS,
  dropShoulder,
  forwardShoulder,
  raiseShoulder,
  redraftSleeve,
} from '../../src/alter/index.js';
import { moveTip } from '../../src/alter/true-up.js';
import { CheckError } from '../../src/errors.js';
import { edgeLength } from '../../src/pattern/measure.js';
import { edgeOf, type Pattern, pieceArea, pieceOf, pointOf, withPiece } from '../../src/pattern/model.js';
import { walkJoins, walkSeams } from '../../src/pattern/walk.js';
import { block } from '../bodies.js';
import { INCH, measured } from './helpers.js';

const rough = (pattern: Pattern) => walkJoins(pattern).filter((j) => !j.smooth);
const SIDES = ['front', 'back'] as const;

describe('raise-shoulder', () => {
  it('moves the tip, keeps the shoulder’s length and every join, and lengthens the armhole when raised', () => {
    fc.assert(
      fc.property(fc.double({ min: -15, max: 15, noNaN: true }), (by) => {
        const after = raiseShoulder(block(), { pieces: SIDES, by, at: 'tip' });
        for (const name of SIDES) {
          expect(edgeLength(after, name, 'shoulder')).toBeCloseTo(edgeLength(block(), name, 'shoulder'), 9);
          const rise =
            pointOf(pieceOf(after, name), 'shoulder-tip')[1] -
            pointOf(pieceOf(block(), name), 'shoulder-tip')[1];
          expect(rise).toBeCloseTo(by, 9);
          const longer = edgeLength(after, name, 'armhole') - edgeLength(block(), name, 'armhole');
          expect(longer * by).toBeGreaterThanOrEqual(0);
        }
        expect(rough(after)).toEqual([]);
      }),
      { numRuns: 25 },
    );
  });

  it('raises both ends with the slope kept and the neck point alone with the tip level', () => {
    const both = raiseShoulder(block(), { pieces: ['front'], by: 10, at: 'both' });
    const neck = raiseShoulder(block(), { pieces: ['front'], by: 10, at: 'neck' });
    const [before, a, b] = [block(), both, neck].map((p) => pieceOf(p, 'front'));
    expect(pointOf(a!, 'shoulder-tip')[0]).toBeCloseTo(pointOf(before!, 'shoulder-tip')[0], 9);
    expect(pointOf(a!, 'neck-point')[1] - pointOf(before!, 'neck-point')[1]).toBeCloseTo(10, 9);
    expect(pointOf(b!, 'shoulder-tip')[1]).toBeCloseTo(pointOf(before!, 'shoulder-tip')[1], 9);
    expect(edgeLength(neck, 'front', 'shoulder')).toBeCloseTo(122, 9);
    expect(pointOf(a!, 'center-neck')).toEqual(pointOf(before!, 'center-neck'));
  });

  it('refuses a slope steeper than the shoulder is long', () => {
    expect(() => raiseShoulder(block(), { pieces: ['back'], by: -110, at: 'tip' })).toThrow(/cannot drop/);
  });
});

describe('forward-shoulder', () => {
  it('moves 1/2 in from front to back (common practice, no source): whole neckline and armholes keep their lengths', () => {
    const before = block();
    const after = forwardShoulder(before, { by: INCH / 2 }).pattern;
    for (const edge of ['armhole', 'neckline']) {
      const sum = (p: Pattern) => edgeLength(p, 'front', edge) + edgeLength(p, 'back', edge);
      expect(sum(after)).toBeCloseTo(sum(before), 6);
      expect(edgeLength(after, 'front', edge)).toBeLessThan(edgeLength(before, 'front', edge) - INCH / 2 + 1);
    }
    const area = (p: Pattern) => pieceArea(pieceOf(p, 'front')) + pieceArea(pieceOf(p, 'back'));
    expect(area(after)).toBeCloseTo(area(before), 3);
    const shifted = (name: string) => edgeOf(pieceOf(after, name), 'armhole').shifted!;
    expect(shifted('front') + shifted('back')).toBeCloseTo(0, 6);
    expect(shifted('back')).toBeCloseTo(
      edgeLength(after, 'back', 'armhole') - edgeLength(before, 'back', 'armhole'),
      9,
    );
    expect(walkSeams(after).find((w) => w.seam === 'shoulder')!.difference).toBeCloseTo(0, 6);
    expect(rough(after)).toEqual([]);
  });

  it('lays a strip exactly as wide as asked on the back, for any width the front has', () => {
    fc.assert(
      fc.property(fc.double({ min: 1, max: 25, noNaN: true }), (by) => {
        const after = forwardShoulder(block(), { by }).pattern;
        const [back, own] = [pieceOf(after, 'back'), pieceOf(block(), 'back')];
        const [tip, neck] = [pointOf(own, 'shoulder-tip'), pointOf(own, 'neck-point')];
        const [x, y] = pointOf(back, 'shoulder-tip');
        // Distance of the new tip from the old shoulder line.
        const off =
          ((neck[0] - tip[0]) * (y - tip[1]) - (neck[1] - tip[1]) * (x - tip[0])) /
          Math.hypot(neck[0] - tip[0], neck[1] - tip[1]);
        expect(Math.abs(off)).toBeCloseTo(by, 6);
        expect(rough(after)).toEqual([]);
      }),
      { numRuns: 20 },
    );
  });

  it('leaves the sleeve to be drafted to the new armholes, with its notch at the new seam', () => {
    const after = redraftSleeve(forwardShoulder(block(), { by: 12 }).pattern, DRAFT_SLEEVE_DEFAULTS, block());
    expect(walkSeams(after.pattern).filter((w) => !w.matches)).toEqual([]);
  });

  it('refuses shoulders that do not match, naming the step that mends it, and too wide a strip', () => {
    const front = pieceOf(block(), 'front');
    const [x, y] = pointOf(front, 'shoulder-tip');
    const off = withPiece(block(), moveTip(front, [x + 3, y - 1]));
    try {
      forwardShoulder(off, { by: 10 });
      expect.unreachable();
    } catch (error) {
      expect(error).toBeInstanceOf(CheckError);
      expect((error as CheckError).mend).toMatch(/match-shoulders/);
    }
    expect(() => forwardShoulder(block(), { by: 150 })).toThrow(/runs past its armhole or neckline/);
  });
});

describe('drop-shoulder', () => {
  it('runs both shoulders on by as much, lowers the armhole, and the sleeve follows with a lower cap', () => {
    const options = { ...DROP_SHOULDER_DEFAULTS, by: 1.25 * INCH };
    const before = block();
    const after = dropShoulder(before, options).pattern;
    for (const name of SIDES) {
      expect(edgeLength(after, name, 'shoulder') - edgeLength(before, name, 'shoulder')).toBeCloseTo(
        options.by,
        6,
      );
      expect(
        pointOf(pieceOf(before, name), 'underarm')[1] - pointOf(pieceOf(after, name), 'underarm')[1],
      ).toBeCloseTo(INCH, 9);
    }
    expect(measured(after, 'chest girth')).toBeCloseTo(measured(before, 'chest girth'), 9);
    expect(rough(after)).toEqual([]);
    const sleeve = { ...DRAFT_SLEEVE_DEFAULTS, width: { change: 1.5 * INCH }, capEase: 0 };
    const dropped = redraftSleeve(after, sleeve, before).pattern;
    const set = redraftSleeve(before, { ...sleeve, width: { change: 0 } }, before).pattern;
    expect(walkSeams(dropped).filter((w) => !w.matches)).toEqual([]);
    expect(measured(dropped, 'cap height')).toBeLessThan(measured(set, 'cap height'));
    expect(measured(set, 'sleeve length') - measured(dropped, 'sleeve length')).toBeCloseTo(options.by, 1);
  });

  it('refuses a shoulder that leaves no room for the armhole, and says how far it may go', () => {
    try {
      dropShoulder(block(), { ...DROP_SHOULDER_DEFAULTS, by: 90 });
      expect.unreachable();
    } catch (error) {
      const { message, mend } = error as CheckError;
      expect(message).toMatch(/leaves -?\d+\.\d mm for the curve of the armhole, which needs 30.0 mm/);
      const most = Number(/drop it by (\d+\.\d) mm at most/.exec(mend!)![1]);
      expect(() => dropShoulder(block(), { ...DROP_SHOULDER_DEFAULTS, by: most - 0.1 })).not.toThrow();
    }
  });
});
