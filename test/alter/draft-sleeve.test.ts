import { describe, expect, it } from 'vitest';
import { DRAFT_SLEEVE_DEFAULTS, REACH_SHARES, recipeSchema, redraftSleeve } from '../../src/alter/index.js';
import { CheckError } from '../../src/errors.js';
import { pieceOf } from '../../src/pattern/model.js';
import { walkJoins, walkSeams } from '../../src/pattern/walk.js';
import { block } from '../bodies.js';
import { altered, INCH, measured } from './helpers.js';

const drafted = (over: Partial<typeof DRAFT_SLEEVE_DEFAULTS>) =>
  redraftSleeve(block(), { ...DRAFT_SLEEVE_DEFAULTS, ...over }, block()).pattern;

describe('draft-sleeve by its own sizes', () => {
  it('is as wide, as long and as narrow at the wrist as said, with the cap still solved', () => {
    const pattern = drafted({ width: { is: 14 * INCH }, wrist: { is: 9 * INCH }, length: { is: 22 * INCH } });
    expect(measured(pattern, 'bicep')).toBeCloseTo(14 * INCH, 6);
    expect(measured(pattern, 'sleeve hem')).toBeCloseTo(9 * INCH, 6);
    const { edges } = pieceOf(pattern, 'sleeve');
    const heights = edges.flatMap((e) => e.path.flatMap((s) => [s.a[1], s.b[1]]));
    expect(Math.max(...heights) - Math.min(...heights)).toBeCloseTo(22 * INCH, 6);
    expect(walkSeams(pattern).filter((w) => !w.matches)).toEqual([]);
    expect(walkJoins(pattern).filter((j) => !j.smooth)).toEqual([]);
  });

  it('reads both ways in a style file, but not both for one size', () => {
    const read = (options: object) => recipeSchema('in').safeParse([{ 'draft-sleeve': options }]);
    expect(read({ width: 14, wrist: 9, length: 22 }).success).toBe(true);
    expect(read({ 'crown-lift': { front: '3/8', back: '1/4' } }).success).toBe(true);
    expect(read({ width: 14, widen: 1 }).error!.issues[0]!.message).toBe("give 'width' or 'widen', not both");
  });

  it('lifts front and back of the crown on their own', () => {
    const even = drafted({});
    const fuller = drafted({ crownLift: { front: 14, back: 6 } });
    expect(pieceOf(fuller, 'sleeve').edges).not.toEqual(pieceOf(even, 'sleeve').edges);
    expect(walkSeams(fuller).filter((w) => !w.matches)).toEqual([]);
  });
});

describe('draft-sleeve, shorter', () => {
  it('cut off at three quarters of the arm it keeps the block’s taper: its end lies between bicep and wrist', () => {
    const pattern = drafted({ reach: 'three-quarter', length: { change: 0 } });
    const long = drafted({});
    expect(measured(pattern, 'sleeve length') / measured(long, 'sleeve length')).toBeCloseTo(0.75, 1);
    const end = measured(pattern, 'sleeve hem');
    expect(end).toBeGreaterThan(measured(long, 'sleeve hem'));
    expect(end).toBeLessThan(measured(long, 'bicep'));
    expect(walkJoins(pattern).filter((j) => !j.smooth)).toEqual([]);
  });

  it('short, it ends a little above the elbow and grows by its share in every size', () => {
    const base = drafted({ reach: 'short' });
    const grown = pieceOf(base, 'sleeve').derived!.run(base, {
      bicep: 12,
      wrist: 4,
      'sleeve-length': 10,
      'armhole-depth': 8,
    });
    const low = (p: typeof base) =>
      Math.min(...pieceOf(p, 'sleeve').edges.flatMap((e) => e.path.flatMap((s) => [s.a[1], s.b[1]])));
    const high = (p: typeof base) =>
      Math.max(...pieceOf(p, 'sleeve').edges.flatMap((e) => e.path.flatMap((s) => [s.a[1], s.b[1]])));
    expect(high(grown) - low(grown) - (high(base) - low(base))).toBeCloseTo(
      10 * REACH_SHARES.short + 8 * (1 - REACH_SHARES.short),
      6,
    );
    const hem = measured(grown, 'sleeve hem') - measured(base, 'sleeve hem');
    expect(hem).toBeGreaterThan(4);
    expect(hem).toBeLessThan(12);
    const { grows } = base.measures.find((m) => m.name === 'sleeve hem')!;
    expect(4 * grows!['wrist']! + 12 * grows!['bicep']!).toBeCloseTo(hem, 6);
  });

  it('is one step of a recipe', () => {
    const pattern = altered([{ 'draft-sleeve': { as: 'short', widen: '1/2', 'cap-ease': '1/4' } }]);
    expect(walkSeams(pattern).filter((w) => !w.matches)).toEqual([]);
  });
});

describe('draft-sleeve, impossible', () => {
  const refusal = (over: Partial<typeof DRAFT_SLEEVE_DEFAULTS>): CheckError => {
    try {
      drafted(over);
    } catch (error) {
      if (error instanceof CheckError) return error;
    }
    return expect.unreachable();
  };

  it('names the nearest width that works, and that width does', () => {
    const { mend } = refusal({ width: { is: 600 } });
    const width = Number(/make the sleeve (\d+\.\d) mm wide, the nearest that works/.exec(mend!)![1]);
    expect(width).toBeLessThan(600);
    expect(() => drafted({ width: { is: width - 1 } })).not.toThrow();
    expect(() => drafted({ width: { is: width + 2 } })).toThrow(CheckError);
  });

  it('says how long a sleeve must be at the least, and what the block’s measures are when nothing is left', () => {
    expect(refusal({ length: { is: 20 } }).message).toMatch(/too short for its armholes/);
    expect(refusal({ wrist: { change: -120 } }).mend).toMatch(/the block's sleeve is 330 mm wide/);
  });
});
