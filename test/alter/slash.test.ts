import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { recipeSchema } from '../../src/alter/index.js';
import { type Cut, type SlashOptions, slash } from '../../src/alter/slash.js';
import { InputError } from '../../src/errors.js';
import { length } from '../../src/geometry/path.js';
import { distance } from '../../src/geometry/vec.js';
import { edgeOf, pieceArea, pieceOf, pointOf, pointsOf } from '../../src/pattern/model.js';
import { walkJoins, walkSeams } from '../../src/pattern/walk.js';
import { block } from '../bodies.js';
import { INCH, measured } from './helpers.js';

const options = ({
  pieces = ['back', 'front'],
  tipLift = 0,
  ...cut
}: Partial<Cut & Omit<SlashOptions, 'cuts'>> = {}): SlashOptions => ({
  pieces,
  cuts: [
    {
      from: { kind: 'ratio', edge: 'shoulder', ratio: 0.5 },
      to: { kind: 'name', name: 'hem' },
      open: INCH,
      openTo: INCH,
      ...cut,
    },
  ],
  tipLift,
});

describe('slash', () => {
  it('opened 1 in on the half back and half front gives 4 in of girth (common practice, no source)', () => {
    const before = block();
    const after = slash(before, options());
    expect(measured(after, 'chest girth') - measured(before, 'chest girth')).toBeCloseTo(4 * INCH, 6);
    expect(measured(after, 'hem girth') - measured(before, 'hem girth')).toBeCloseTo(4 * INCH, 6);
  });

  it('moves only the part away from the fold and keeps every name', () => {
    const before = pieceOf(block(), 'back');
    const after = pieceOf(slash(block(), options()), 'back');
    expect([...pointsOf(after).keys()]).toEqual([...pointsOf(before).keys()]);
    for (const name of ['center-neck', 'neck-point', 'center-hem']) {
      expect(pointOf(after, name)).toEqual(pointOf(before, name));
    }
    for (const name of ['shoulder-tip', 'underarm', 'waist', 'side-hem']) {
      expect(pointOf(after, name)[0]).toBeCloseTo(pointOf(before, name)[0] + INCH, 9);
      expect(pointOf(after, name)[1]).toBeCloseTo(pointOf(before, name)[1], 9);
    }
    expect(length(edgeOf(after, 'side').path)).toBeCloseTo(length(edgeOf(before, 'side').path), 9);
  });

  it('redraws the shoulder as one straight line, lifts its tip, and keeps all joins smooth', () => {
    const after = slash(block(), options({ tipLift: INCH / 4 }));
    for (const name of ['back', 'front']) {
      const piece = pieceOf(after, name);
      const shoulder = edgeOf(piece, 'shoulder').path;
      expect(shoulder).toHaveLength(1);
      expect(length(shoulder)).toBeCloseTo(
        distance(pointOf(piece, 'shoulder-tip'), pointOf(piece, 'neck-point')),
        9,
      );
      expect(pointOf(piece, 'shoulder-tip')[1]).toBeCloseTo(
        pointOf(pieceOf(block(), name), 'shoulder-tip')[1] + INCH / 4,
        9,
      );
    }
    expect(walkJoins(after).filter((j) => !j.smooth)).toEqual([]);
    expect(walkSeams(after).filter((w) => ['shoulder', 'side'].includes(w.seam) && !w.matches)).toEqual([]);
  });

  it('adds at least the strip it opens: area grows with the opening', () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 60 }), (open) => {
        const before = pieceArea(pieceOf(block(), 'back'));
        const after = pieceArea(pieceOf(slash(block(), options({ open, openTo: open })), 'back'));
        const height = 430;
        expect(after - before).toBeGreaterThan(open * height);
        expect(after - before).toBeLessThan(open * 660);
      }),
      { numRuns: 20 },
    );
  });

  it('pivoted at the shoulder, opens the hem alone', () => {
    const before = pieceOf(block(), 'back');
    const after = pieceOf(
      slash(
        block(),
        options({
          from: { kind: 'ratio', edge: 'hem', ratio: 0.5 },
          to: { kind: 'ratio', edge: 'shoulder', ratio: 0.5 },
          open: INCH,
          openTo: 0,
        }),
      ),
      'back',
    );
    const flare = length(edgeOf(after, 'hem').path) - length(edgeOf(before, 'hem').path);
    expect(flare).toBeGreaterThan(0.9 * INCH);
    expect(flare).toBeLessThan(1.1 * INCH);
    const shoulder = length(edgeOf(after, 'shoulder').path) - length(edgeOf(before, 'shoulder').path);
    expect(Math.abs(shoulder)).toBeLessThan(0.1);
    expect(length(edgeOf(after, 'side').path)).toBeCloseTo(length(edgeOf(before, 'side').path), 6);
  });

  it('pivoted at the shoulder or at the hem, leaves the hem square on fold and side seam', () => {
    for (const [open, openTo] of [
      [0, INCH],
      [INCH, 0],
    ] as const) {
      const after = slash(block(), options({ open, openTo }));
      const hems = walkJoins(after).filter((j) => j.join.includes('hem'));
      expect(hems).toHaveLength(3);
      expect(hems.filter((j) => !j.smooth)).toEqual([]);
    }
  });

  it('opens several cuts at once, each placed on the piece as it was', () => {
    const at = (ratio: number, open: number): Cut => ({
      from: { kind: 'ratio', edge: 'shoulder', ratio },
      to: { kind: 'name', name: 'hem' },
      open,
      openTo: open,
    });
    const one = slash(block(), options({ open: 18, openTo: 18 }));
    const orders = [
      [at(0.25, 6), at(0.5, 4), at(0.75, 8)],
      [at(0.75, 8), at(0.25, 6), at(0.5, 4)],
    ];
    for (const cuts of orders) {
      const after = slash(block(), { pieces: ['back', 'front'], cuts, tipLift: 0 });
      for (const name of ['chest girth', 'hem girth', 'across shoulder', 'shoulder']) {
        expect(measured(after, name)).toBeCloseTo(measured(one, name), 2);
      }
      expect(walkJoins(after).filter((j) => !j.smooth)).toEqual([]);
    }
  });

  it('turns an outer part about the pivot it had before an inner cut moved it', () => {
    const outer: Cut = {
      from: { kind: 'ratio', edge: 'shoulder', ratio: 0.2 },
      to: { kind: 'ratio', edge: 'hem', ratio: 0.8 },
      open: 0,
      openTo: 20,
    };
    const inner: Cut = {
      from: { kind: 'ratio', edge: 'shoulder', ratio: 0.8 },
      to: { kind: 'name', name: 'hem' },
      open: 60,
      openTo: 60,
    };
    const sideHem = (cuts: readonly Cut[]) =>
      pointOf(pieceOf(slash(block(), { pieces: ['back'], cuts, tipLift: 0 }), 'back'), 'side-hem');
    const alone = sideHem([outer]);
    for (const cuts of [
      [inner, outer],
      [outer, inner],
    ]) {
      const [x, y] = sideHem(cuts);
      expect(Math.abs(x - alone[0] - 60)).toBeLessThan(0.2);
      expect(Math.abs(y - alone[1])).toBeLessThan(0.2);
    }
  });

  it('runs from a named point to a named point and pivots there', () => {
    const cut: Cut = {
      from: { kind: 'name', name: 'waist' },
      to: { kind: 'ratio', edge: 'hem', ratio: 0.5 },
      open: 0,
      openTo: 15,
    };
    const before = pieceOf(block(), 'back');
    const after = pieceOf(slash(block(), { pieces: ['back'], cuts: [cut], tipLift: 0 }), 'back');
    for (const name of ['waist', 'underarm', 'shoulder-tip', 'center-hem']) {
      expect(distance(pointOf(after, name), pointOf(before, name))).toBeLessThan(1e-9);
    }
    expect(distance(pointOf(after, 'side-hem'), pointOf(before, 'side-hem'))).toBeGreaterThan(12);
  });

  it('reads one cut or a list of them, and tells what is wrong with either', () => {
    const read = (o: object) => recipeSchema('in').safeParse([{ slash: o }]);
    const cut = { from: 'shoulder at 50%', to: 'hem', open: 1 };
    expect(read({ piece: 'back', ...cut }).success).toBe(true);
    expect(read({ piece: 'back', cuts: [cut, { ...cut, from: 'shoulder at 25%' }] }).success).toBe(true);
    const wrong = read({ piece: 'back', cuts: [{ ...cut, opn: 2 }] }).error!.issues[0]!;
    expect(wrong.message).toMatch(/unknown field 'opn': did you mean 'open'/);
    expect(wrong.path).toEqual([0, 'slash', 'cuts', 0, 'opn']);
  });

  it('opens a whole piece to one side', () => {
    const before = pieceOf(block(), 'sleeve');
    const cut = options({
      pieces: ['sleeve'],
      from: { kind: 'name', name: 'crown' },
      to: { kind: 'name', name: 'wrist' },
      open: 10,
      openTo: 10,
    });
    const after = pieceOf(slash(block(), cut), 'sleeve');
    expect(pointOf(after, 'front-bicep')[0]).toBeCloseTo(pointOf(before, 'front-bicep')[0] + 10, 6);
    expect(pointOf(after, 'back-bicep')).toEqual(pointOf(before, 'back-bicep'));
  });

  it('refuses a cut along one edge and one through the fold', () => {
    const along = options({ to: { kind: 'ratio', edge: 'shoulder', ratio: 0.9 } });
    expect(() => slash(block(), along)).toThrow("the cut starts and ends on edge 'shoulder' of 'back'");
    const through = options({
      from: { kind: 'ratio', edge: 'fold', ratio: 0.5 },
      to: { kind: 'ratio', edge: 'side', ratio: 0.5 },
    });
    expect(() => slash(block(), through)).toThrow(InputError);
  });

  it('refuses a cut without length', () => {
    const none = options({
      from: { kind: 'ratio', edge: 'shoulder', ratio: 1 },
      to: { kind: 'name', name: 'neck-point' },
    });
    expect(() => slash(block(), none)).toThrow("the cut through 'back' starts and ends at one point");
  });
});
