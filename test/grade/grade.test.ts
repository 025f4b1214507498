import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { CheckError, InputError } from '../../src/errors.js';
import { line } from '../../src/geometry/path.js';
import { gradePattern, seamFailures, trueRange } from '../../src/grade/index.js';
import { type Pattern, type Piece, pieceOf, pointOf, pointsOf, withPiece } from '../../src/pattern/model.js';
import { walkSeams } from '../../src/pattern/walk.js';
import { EVERY_INCREMENT, SIZES, samplePattern, specOf } from './helpers.js';

const base = samplePattern();

describe('grading', () => {
  it('by nothing is the identity in every size', () => {
    const zero = Object.fromEntries(Object.keys(EVERY_INCREMENT).map((name) => [name, 0]));
    const { sizes } = gradePattern(base, specOf({ increments: zero }));
    expect(sizes.map((s) => s.size)).toEqual(SIZES);
    for (const { pattern } of sizes) expect(pattern).toEqual(base);
  });

  it('leaves the base size as it is, derived pieces included', () => {
    const range = gradePattern(base, specOf({ increments: EVERY_INCREMENT }));
    const graded = range.sizes.find((s) => s.size === 'M')!;
    expect(graded).toMatchObject({ steps: 0 });
    expect(graded.pattern).toEqual(base);
  });

  it('moves every named point by the same vector at each step', () => {
    const step = fc.double({ min: -8, max: 8, noNaN: true });
    const names = ['bust', 'waist', 'hip', 'across-shoulder', 'neck-width', 'armhole-depth', 'body-length'];
    fc.assert(
      fc.property(fc.tuple(...names.map(() => step)), (steps) => {
        const increments = Object.fromEntries(names.map((name, i) => [name, steps[i]!]));
        const { sizes } = gradePattern(base, specOf({ increments }));
        for (const name of ['back', 'front']) {
          const at = (i: number) => pointsOf(pieceOf(sizes[i]!.pattern, name));
          for (const point of at(0).keys()) {
            for (let i = 0; i + 2 < sizes.length; i++) {
              const [p, q, r] = [at(i).get(point)!, at(i + 1).get(point)!, at(i + 2).get(point)!];
              expect(q[0] - p[0]).toBeCloseTo(r[0] - q[0], 8);
              expect(q[1] - p[1]).toBeCloseTo(r[1] - q[1], 8);
            }
          }
        }
      }),
      { numRuns: 40 },
    );
  });

  it('bends that line at a break only', () => {
    const { sizes } = gradePattern(base, specOf({ increments: { bust: { step: 40, breaks: { XL: 60 } } } }));
    const x = sizes.map(({ pattern }) => pointOf(pieceOf(pattern, 'back'), 'underarm')[0] - 270);
    expect(x.map((mm) => Math.round(mm * 1e6) / 1e6)).toEqual([-20, -10, 0, 10, 25, 40, 55]);
  });

  it('keeps the shoulder seam within 0.5 mm when the slopes differ by up to 3 degrees', () => {
    const slope = fc.double({ min: 14, max: 24, noNaN: true });
    const turn = fc.double({ min: -3, max: 3, noNaN: true });
    const run = fc.double({ min: 0, max: 4, noNaN: true });
    fc.assert(
      fc.property(slope, turn, run, (backSlope, difference, shoulderRun) => {
        const shaped = samplePattern({ backSlope, frontSlope: backSlope + difference, shoulder: 130 });
        const increments = {
          ...EVERY_INCREMENT,
          'neck-width': 6,
          'across-shoulder': 6 + 2 * shoulderRun,
        };
        for (const { pattern, size } of gradePattern(shaped, specOf({ increments })).sizes) {
          for (const walk of walkSeams(pattern)) {
            expect(walk.matches, `${walk.seam} in ${size} off by ${walk.difference}`).toBe(true);
          }
        }
      }),
      { numRuns: 30 },
    );
  });

  it('parts unequal slopes by exactly what the distribution says', () => {
    const shaped = samplePattern({ backSlope: 18, frontSlope: 21, shoulder: 130 });
    const { sizes } = gradePattern(shaped, specOf({ increments: { 'across-shoulder': 8 } }));
    const shoulder = walkSeams(sizes.at(-1)!.pattern).find((w) => w.seam === 'shoulder')!;
    // 16 mm of shoulder growth x (cos 21 - cos 18), to first order.
    expect(shoulder.difference).toBeCloseTo(-0.28, 1);
    expect(shoulder.matches).toBe(true);
  });

  it('draws derived pieces again from the graded ones, with the growth they ask for', () => {
    const range = gradePattern(base, specOf({ increments: EVERY_INCREMENT }));
    expect(seamFailures(trueRange(range))).toEqual([]);
    const bicep = range.sizes.map(({ pattern }) => {
      const sleeve = pieceOf(pattern, 'sleeve');
      return pointOf(sleeve, 'front-bicep')[0] - pointOf(sleeve, 'back-bicep')[0];
    });
    expect(bicep.map((mm) => Math.round(mm * 1e6) / 1e6)).toEqual([348, 364, 380, 396, 412, 428, 444]);
  });

  it('carries a mark without a rule along with its edge', () => {
    const back = pieceOf(base, 'back');
    const edges = back.edges.map((edge) => (edge.name === 'side' ? { ...edge, marks: { notch: 1 } } : edge));
    const marked = withPiece(base, { ...back, edges });
    const { sizes } = gradePattern(marked, specOf({ increments: { bust: 40, hip: 40 } }));
    const at = pointOf(pieceOf(sizes.at(-1)!.pattern, 'back'), 'notch');
    // Both ends of the side move out by 40 mm, and the mark between them with them.
    expect(at[0]).toBeCloseTo(255 + 40, 9);
    expect(at[1]).toBeCloseTo(250, 9);
  });

  it('keeps a piece whose points nothing rules at one size', () => {
    const pocket = rectangle('pocket', 100, 120);
    const { sizes } = gradePattern(withPiece(base, pocket), specOf({ increments: EVERY_INCREMENT }));
    for (const { pattern } of sizes) expect(pieceOf(pattern, 'pocket')).toEqual(pocket);
  });

  it('follows explicit rules in place of the distribution', () => {
    const rules = { 'back.waist': { x: { step: 2, breaks: { '2XL': 5 } }, y: -1 } };
    const { sizes } = gradePattern(base, specOf({ increments: { waist: 40 }, rules }));
    const [back, front] = ['back', 'front'].map((name) =>
      pointOf(pieceOf(sizes.at(-1)!.pattern, name), 'waist'),
    );
    expect(back).toEqual([255 + 2 + 2 + 5 + 5, 250 - 4]);
    expect(front![0]).toBeCloseTo(255 + 40, 9);
  });

  it('grades a derived piece by rules once its derivation is switched off', () => {
    const part = { increments: { ...EVERY_INCREMENT, 'cap-height': 4 }, 'by-rules': ['sleeve'] };
    const { sizes } = gradePattern(base, specOf(part));
    const crown = sizes.map(({ pattern }) => pointOf(pieceOf(pattern, 'sleeve'), 'crown')[1]);
    expect(crown.at(-1)! - crown[2]!).toBeCloseTo(16, 9);
    expect(pieceOf(sizes[0]!.pattern, 'sleeve').derived).toBeUndefined();
    expect(pieceOf(sizes[0]!.pattern, 'band').derived).toBeDefined();
  });
});

describe('grading refuses', () => {
  it('a rule for an unknown piece or point, with what was meant', () => {
    expect(refusal(base, { rules: { 'bak.waist': { x: 1 } } })).toMatchObject({
      message: "unknown piece 'bak'",
      mend: "did you mean 'back'?",
      place: { path: 'grade.rules.bak.waist' },
    });
    expect(refusal(base, { rules: { 'back.waste': { x: 1 } } }).mend).toBe("did you mean 'waist'?");
    const points = { 'neck-pont': { x: { bust: 1 } } };
    expect(refusal(base, { distribution: { points } }).mend).toBe("did you mean 'neck-point'?");
  });

  it('a rule for a point of a derived piece', () => {
    const error = refusal(base, { rules: { 'sleeve.crown': { y: 3 } } });
    expect(error.message).toContain("'sleeve' is drawn again from front and back in every size");
    expect(error.mend).toContain('by-rules');
  });

  it('to switch off a derivation that a piece does not have', () => {
    expect(refusal(base, { 'by-rules': ['back'] }).message).toContain("piece 'back' is not derived");
  });

  it('an increment of the style that nothing uses, naming those in use', () => {
    const error = refusal(base, { increments: { bust: 40, 'cap-height': 3 } });
    expect(error.message).toBe("nothing in the pattern grows by 'cap-height'");
    expect(error.mend).toContain('bicep, body-length, bust');
  });

  it('a corner without a rule on a piece that is graded', () => {
    const back = pieceOf(base, 'back');
    const edges = back.edges.map((edge) =>
      edge.name === 'hem' ? { ...edge, to: 'slit' } : edge.name === 'side' ? { ...edge, from: 'slit' } : edge,
    );
    expect(refusal(withPiece(base, { ...back, edges }), {}).message).toBe(
      "nothing says how 'back.slit' grows",
    );
  });

  it('a rule that moves a point off the fold', () => {
    const error = refusal(base, { rules: { 'front.center-neck': { x: 2 } } });
    expect(error.message).toContain("'front.center-neck' lies on the fold");
  });

  it('a piece that crosses itself, naming size, piece and the point near', () => {
    // Each size is 150 mm shorter: in XL the hem rises above the waist and meets the side seam.
    const run = () => gradePattern(base, specOf({ increments: { 'body-length': -150 } }));
    expect(run).toThrow(CheckError);
    expect(run).toThrow(/^size XL: piece 'back' crosses itself at 'hem' and 'side', near 'side-hem'/);
    expect(run).toThrow(expect.objectContaining({ place: { path: 'grade.increments' } }));
  });

  it('rules that cross a piece over itself, naming the rule of the point near', () => {
    // The waist slips in by 90 mm a size: from 2XL on it lies beyond the fold.
    const rules = { 'front.waist': { x: -90 }, 'back.waist': { x: -20 } };
    const run = () => gradePattern(base, specOf({ rules }));
    expect(run).toThrow(CheckError);
    expect(run).toThrow(/^size 2XL: piece 'front' crosses itself at 'side' and 'fold', near 'waist'/);
    expect(run).toThrow(expect.objectContaining({ place: { path: 'grade.rules.front.waist' } }));
  });

  it('a piece that turns over', () => {
    const strip = rectangle('strip', 20, 300);
    const rules = { 'strip.b': { x: 15 }, 'strip.c': { x: 15 }, 'strip.a': {}, 'strip.d': {} };
    expect(() => gradePattern(withPiece(base, strip), specOf({ rules }))).toThrow(
      "size XS: piece 'strip' has turned over",
    );
  });
});

function refusal(pattern: Pattern, part: Record<string, unknown>): InputError {
  try {
    gradePattern(pattern, specOf(part));
  } catch (error) {
    if (error instanceof InputError) return error;
    throw error;
  }
  throw new Error('nothing was refused');
}

function rectangle(name: string, width: number, height: number): Piece {
  const corners = { a: [0, 0], b: [width, 0], c: [width, height], d: [0, height] } as const;
  const names = ['a', 'b', 'c', 'd'] as const;
  return {
    name,
    edges: names.map((from, i) => {
      const to = names[(i + 1) % 4]!;
      return { name: `${from}${to}`, from, to, path: [line(corners[from], corners[to])] };
    }),
    grain: { from: [width / 2, 0], to: [width / 2, height] },
    notches: [],
    counts: { asDrawn: 1, mirrored: 0 },
    fabric: 'self',
  };
}
