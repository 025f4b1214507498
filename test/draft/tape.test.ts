import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { assertSound } from '../../src/alter/index.js';
import { draftBlock } from '../../src/draft/block.js';
import { draftFromTape, type HalfTape, type TapeMeasurements } from '../../src/draft/tape.js';
import { tapeSchema } from '../../src/draft/tape-schema.js';
import { CheckError } from '../../src/errors.js';
import { edgeLength, measure } from '../../src/pattern/measure.js';
import { type Pattern, pieceOf, pointOf } from '../../src/pattern/model.js';
import { walkJoins, walkSeams } from '../../src/pattern/walk.js';
import { BODY, block, tapeOf } from '../bodies.js';

const INCH = 25.4;
/** Drafted curves measure what the tape said within this, mm: what the README promises. */
const TAPE_TOLERANCE = 0.5;

/** What a tape would say of a block's half. */
function tapedHalf(pattern: Pattern, name: 'back' | 'front'): HalfTape {
  const piece = pieceOf(pattern, name);
  const at = (point: string) => pointOf(piece, point);
  const down = (point: string) => at('neck-point')[1] - at(point)[1];
  return {
    chest: at('underarm')[0],
    waist: at('waist')[0],
    hem: at('side-hem')[0],
    neckWidth: at('neck-point')[0],
    acrossShoulder: at('shoulder-tip')[0],
    neckDepth: down('center-neck'),
    armholeDepth: down('underarm'),
    waistLength: down('waist'),
    length: down('center-hem'),
    ...tapeOf(pattern, name),
  };
}

function taped(pattern: Pattern): TapeMeasurements {
  const value = (name: string) => measure(pattern, pattern.measures.find((m) => m.name === name)!);
  return {
    back: tapedHalf(pattern, 'back'),
    front: tapedHalf(pattern, 'front'),
    sleeve: { width: value('bicep'), wrist: value('sleeve hem'), length: value('sleeve length') },
  };
}

const withFront = (change: Partial<HalfTape>): TapeMeasurements => {
  const tape = taped(block());
  return { ...tape, front: { ...tape.front, ...change } };
};

describe('draftFromTape', () => {
  it('draws again a block that it is given the measurements of', () => {
    const before = block();
    const after = draftFromTape('again', taped(before));
    for (const name of ['back', 'front'] as const) {
      for (const edge of ['armhole', 'neckline', 'shoulder', 'side', 'hem'] as const) {
        expect(Math.abs(edgeLength(after, name, edge) - edgeLength(before, name, edge))).toBeLessThan(
          TAPE_TOLERANCE,
        );
      }
    }
    expect(walkSeams(after).filter((w) => !w.matches)).toEqual([]);
    expect(walkJoins(after).filter((j) => !j.smooth)).toEqual([]);
  });

  it('solves both armholes and necklines to 0.5 mm of the tape, for any block and any slip of the curve', () => {
    const wobble = (mm: number) => fc.double({ min: -mm, max: mm, noNaN: true });
    fc.assert(
      fc.property(
        fc.double({ min: 0.88, max: 1.3, noNaN: true }),
        wobble(2.5),
        wobble(2.5),
        wobble(2),
        (k, a, b, n) => {
          const drawn = draftBlock('b', {
            ...BODY,
            bust: BODY.bust * k,
            waist: BODY.waist * k,
            hip: BODY.hip * k,
            bicep: BODY.bicep * k,
          });
          const tape = taped(drawn);
          const asked: TapeMeasurements = {
            ...tape,
            back: { ...tape.back, armhole: tape.back.armhole + a },
            front: { ...tape.front, armhole: tape.front.armhole + b, neckline: tape.front.neckline! + n },
          };
          const pattern = draftFromTape('b', asked);
          for (const name of ['back', 'front'] as const) {
            expect(Math.abs(edgeLength(pattern, name, 'armhole') - asked[name].armhole)).toBeLessThan(
              TAPE_TOLERANCE,
            );
            expect(Math.abs(edgeLength(pattern, name, 'neckline') - asked[name].neckline!)).toBeLessThan(
              TAPE_TOLERANCE,
            );
          }
          for (const piece of pattern.pieces) assertSound(piece);
          expect(walkJoins(pattern).filter((j) => !j.smooth)).toEqual([]);
        },
      ),
      { numRuns: 40 },
    );
  });

  it('takes the armholes of common practice, 8 3/4 in (back) and 9 1/4 in (front), for what they are', () => {
    // Common practice, no source: armhole depth and shoulder chosen so that both can be drawn.
    const { sleeve, ...tape } = taped(block());
    const { side: _, ...back } = tape.back;
    const { side: __, ...front } = tape.front;
    const pattern = draftFromTape('paper', {
      sleeve,
      back: { ...back, armhole: 8.75 * INCH, armholeDepth: 9 * INCH },
      front: { ...front, armhole: 9.25 * INCH, armholeDepth: 9 * INCH },
    } satisfies TapeMeasurements);
    expect(edgeLength(pattern, 'back', 'armhole') / INCH).toBeCloseTo(8.75, 2);
    expect(edgeLength(pattern, 'front', 'armhole') / INCH).toBeCloseTo(9.25, 2);
  });

  it('keeps the guide it solved, so that later steps draw the armhole likewise', () => {
    const pattern = draftFromTape('b', withFront({ armhole: taped(block()).front.armhole + 3 }));
    const drawn = pieceOf(pattern, 'front').edges.find((e) => e.name === 'armhole')!.drawn!;
    expect(drawn.as).toBe('armhole');
    expect('inward' in drawn && drawn.inward).toBeGreaterThan(INCH / 2);
  });

  it('does without a waist, a measured neckline and a side seam', () => {
    const { waist: _, waistLength: __, neckline: ___, side: ____, ...back } = taped(block()).back;
    const { waist: a_, waistLength: b_, neckline: c_, side: d_, ...front } = taped(block()).front;
    const pattern = draftFromTape('b', { ...taped(block()), back, front });
    expect(pattern.measures.map((m) => m.name)).not.toContain('waist girth');
    for (const point of pattern.measures) expect(measure(pattern, point)).toBeGreaterThan(0);
    expect(walkSeams(pattern).filter((w) => !w.matches)).toEqual([]);
  });

  it('makes the sleeve’s cap as long as it was measured', () => {
    const both = taped(block()).back.armhole + taped(block()).front.armhole;
    const tape = { ...taped(block()), sleeve: { ...taped(block()).sleeve, cap: both + 9 } };
    const cap = walkSeams(draftFromTape('b', tape)).find((w) => w.seam === 'cap')!;
    expect(cap.left).toBeCloseTo(both + 9, 1);
    expect(() => draftFromTape('b', { ...tape, sleeve: { ...tape.sleeve, cap: both - 60 } })).toThrow(
      /the tape says the cap is \d+\.\d mm along its curve, but both armholes measure/,
    );
  });

  it.each([
    [
      { armhole: 330 },
      /front: the tape says the armhole is 330.0 mm, but .* measures from \d+\.\d mm to \d+\.\d mm/,
    ],
    [{ shoulder: 80 }, /front: a shoulder of 80.0 mm does not reach from .* which are 1\d\d\.\d mm apart/],
    [{ chest: 150 }, /the shoulder tip lies \d+\.\d mm off the fold, outside the underarm at 150.0 mm/],
    [{ neckline: 400 }, /half the neckline is 400.0 mm, but with this neck-width and neck-depth/],
    [{ side: 300 }, /front: the tape says the side seam is 300.0 mm, but from an underarm .* it measures/],
    [{ armholeDepth: 30 }, /the shoulder drops \d+\.\d mm, past an underarm 30.0 mm down/],
    [{ length: 300 }, /must follow one below the other/],
  ])('names the contradiction in %j', (change, message) => {
    try {
      draftFromTape('b', withFront(change));
      expect.unreachable();
    } catch (error) {
      expect(error).toBeInstanceOf(CheckError);
      expect((error as CheckError).message).toMatch(message);
      expect((error as CheckError).mend).toMatch(/measure/);
    }
  });
});

describe('tapeSchema', () => {
  const half = {
    chest: 10,
    hem: '10 1/2',
    'neck-width': 3,
    'across-shoulder': '7 1/2',
    shoulder: '4 7/8',
    'neck-depth': 3,
    'armhole-depth': 9,
    length: '25',
    armhole: '8 3/4',
  };
  const sleeve = { width: 13, wrist: 8, length: '23 1/4' };

  it('reads inches in fractions, and asks for both of waist and waist-length', () => {
    const read = tapeSchema('in').parse({ back: half, front: half, sleeve });
    expect(read.back.armhole).toBeCloseTo(8.75 * INCH, 9);
    const lone = tapeSchema('in').safeParse({ back: { ...half, waist: 9 }, front: half, sleeve });
    expect(lone.error!.issues[0]!.message).toBe("say 'waist-length' too, or neither");
  });
});
