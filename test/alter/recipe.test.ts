import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { ALTERATIONS, assertSound, recipeSchema, runRecipe } from '../../src/alter/index.js';
import { CheckError, InputError, UserError } from '../../src/errors.js';
import { pieceOf } from '../../src/pattern/model.js';
import { walkJoins, walkSeams } from '../../src/pattern/walk.js';
import { block } from '../bodies.js';
import { altered, INCH, measured, SWEATSHIRT } from './helpers.js';

const read = (steps: unknown) => recipeSchema('in').safeParse(steps);

describe('a recipe', () => {
  it('turns the fitted block into a relaxed sweatshirt whose every seam sews and every join is smooth', () => {
    const before = block();
    const after = altered(SWEATSHIRT);
    expect(walkSeams(after).filter((w) => !w.matches)).toEqual([]);
    expect(walkJoins(after).filter((j) => !j.smooth)).toEqual([]);
    expect(measured(after, 'chest girth') - measured(before, 'chest girth')).toBeCloseTo(4 * INCH, 6);
    expect(after.pieces.map((p) => p.name)).toEqual([
      'back',
      'front',
      'sleeve',
      'neckband',
      'cuff',
      'hem-band',
    ]);
  });

  it('gives the same girth the other way: the block’s own front altered by the same steps', () => {
    const own = altered([
      { slash: { piece: ['back', 'front'], from: 'shoulder at 50%', to: 'hem', open: 1, 'tip-lift': '1/4' } },
      { lengthen: { by: 1 } },
      { 'lower-armhole': { by: 1 } },
      { 'shape-side-seam': { as: 'straight' } },
      { 'match-shoulders': {} },
      { 'balance-armholes': {} },
      { 'level-side-seams': {} },
      { 'draft-sleeve': { widen: 1 } },
    ]);
    expect(measured(own, 'chest girth')).toBeCloseTo(measured(altered(SWEATSHIRT), 'chest girth'), 6);
    expect(walkSeams(own).filter((w) => !w.matches)).toEqual([]);
    expect(walkJoins(own).filter((j) => !j.smooth)).toEqual([]);
  });

  it('with sane amounts never yields a piece that crosses itself: it sews or says which step could not', () => {
    const sixteenth = (min: number, max: number) => fc.integer({ min, max }).map((n) => `${n}/16`);
    const recipe = fc
      .record({
        open: sixteenth(0, 32),
        lift: sixteenth(0, 4),
        by: sixteenth(-16, 96),
        lower: sixteenth(0, 32),
        shape: fc.constantFrom('straight', 'shaped'),
        raise: sixteenth(0, 9),
        neck: sixteenth(0, 24),
        widen: sixteenth(0, 28),
      })
      .map((r) => [
        { slash: { piece: 'back', from: 'shoulder at 50%', to: 'hem', open: r.open, 'tip-lift': r.lift } },
        { lengthen: { piece: 'back', by: r.by } },
        { 'lower-armhole': { piece: 'back', by: r.lower } },
        { 'shape-side-seam': { piece: 'back', as: r.shape } },
        { 'derive-front': { raise: r.raise } },
        { 'balance-armholes': { tip: '3/8', underarm: '3/8' } },
        { 'level-side-seams': { how: 'hem' } },
        { 'widen-neckline': { by: r.neck } },
        { 'draft-sleeve': { widen: r.widen } },
      ]);
    let done = 0;
    let refused = 0;
    fc.assert(
      fc.property(recipe, (steps) => {
        try {
          const pattern = altered(steps);
          done++;
          for (const piece of pattern.pieces) assertSound(piece);
          expect(walkSeams(pattern).filter((w) => !w.matches)).toEqual([]);
        } catch (error) {
          if (!(error instanceof UserError)) throw error;
          refused++;
          expect(error.message).toMatch(/^step \d+ \([a-z-]+\): /);
        }
      }),
      { numRuns: 120 },
    );
    expect(done / (done + refused)).toBeGreaterThan(0.95);
  });

  it('names the step that failed by number and name, with its path in the file', () => {
    const run = () =>
      altered([
        { lengthen: { by: 1 } },
        { slash: { piece: 'bak', from: 'shoulder at 50%', to: 'hem', open: 1 } },
      ]);
    try {
      run();
      expect.unreachable();
    } catch (error) {
      expect(error).toBeInstanceOf(InputError);
      expect((error as InputError).message).toBe("step 2 (slash): unknown piece 'bak'");
      expect((error as InputError).mend).toBe("did you mean 'back'?");
      expect((error as InputError).place.path).toBe('alter.1.slash');
    }
    expect(() => altered([{ 'lower-armhole': { by: 12 } }])).toThrow(CheckError);
  });

  it.each([
    [[{ slsh: {} }], /unknown alteration 'slsh': did you mean 'slash'/],
    [
      [{ slash: { piece: 'back', from: 'shoulder at 50%', to: 'hem', opn: 1 } }],
      /unknown field 'opn'|missing/,
    ],
    [[{ lengthen: { by: 'long' } }], /'long' is not a length/],
    [[{ lengthen: { by: Number.NaN } }], /number 'NaN' does not fit here/],
    [[{ 'widen-neckline': { by: -1 } }], /must not be negative/],
    [[{ slash: { piece: 'back', from: 'shoulder at 140%', to: 'hem', open: 1 } }], /beyond the end/],
    [[{ lengthen: { by: 1 }, slash: {} }], /one alteration/],
  ])('refuses %j', (steps, message) => {
    const result = read(steps);
    expect(result.success).toBe(false);
    expect(result.error!.issues.map((i) => i.message).join('; ')).toMatch(message);
  });

  it('knows every alteration once, each with a summary', () => {
    const names = ALTERATIONS.map((a) => a.name);
    expect(new Set(names).size).toBe(names.length);
    expect(ALTERATIONS.every((a) => a.summary.length > 10)).toBe(true);
  });

  it('keeps derived pieces in step with what they were made from', () => {
    const { stages } = runRecipe(
      block(),
      recipeSchema('in').parse([{ 'draft-sleeve': {} }, { 'lower-armhole': { by: 1 } }]),
    );
    const caps = stages.map((s) => pieceOf(s.pattern, 'sleeve'));
    expect(caps[0]).not.toEqual(caps[1]);
    expect(stages.every((s) => walkSeams(s.pattern).every((w) => w.matches))).toBe(true);
  });
});
