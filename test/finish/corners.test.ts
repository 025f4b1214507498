import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { InputError } from '../../src/errors.js';
import { addAllowances, type Side } from '../../src/finish/allowance.js';
import {
  type FinishOptions,
  finishPiece,
  finishRange,
  finishSchema,
  NO_SHRINKAGE,
} from '../../src/finish/index.js';
import { endDirection } from '../../src/geometry/path.js';
import { distanceToSegment, selfCrossing, signedArea } from '../../src/geometry/polygon.js';
import { add, cross, distance, dot, lerp, perp, scale, sub, unit, type Vec } from '../../src/geometry/vec.js';
import { gradePattern } from '../../src/grade/index.js';
import { edgeOf, pieceOf, pointOf } from '../../src/pattern/model.js';
import { block } from '../bodies.js';
import { EVERY_INCREMENT, samplePattern, specOf } from '../grade/helpers.js';
import { outside, toBoundary } from './helpers.js';

const pattern = samplePattern();
const optionsOf = (part: object): FinishOptions =>
  finishSchema('mm').parse({ allowances: { default: 10 }, ...part });
const drafted = block();
const cutOf = (piece: string, options: FinishOptions) =>
  finishPiece(pieceOf(drafted, piece), 'M', options, NO_SHRINKAGE);

/** A corner at the origin: along +x towards it, then off at an angle; closed far away. */
function wedge(degrees: number, seam: number, other: number, squared: boolean): { sides: Side[]; at: Vec } {
  const turn = (degrees * Math.PI) / 180;
  const far: Vec = [200 * Math.cos(turn), 200 * Math.sin(turn)];
  return {
    at: [0, 0],
    sides: [
      {
        points: [
          [-200, 0],
          [0, 0],
        ],
        allowance: seam,
        squared: { end: squared },
      },
      { points: [[0, 0], far], allowance: other },
      { points: [far, [-200, 400]], allowance: 5 },
      {
        points: [
          [-200, 400],
          [-200, 0],
        ],
        allowance: 5,
      },
    ],
  };
}

describe('a corner squared at the seam', () => {
  it('ends the seam’s allowance square to its sewing line, where that runs on to the other cut line', () => {
    // A turn of 60 degrees, 10 mm on the seam and 6 on the other: the sewing line runs on by 6 / sin 60.
    const { sides } = wedge(60, 10, 6, true);
    const cut = addAllowances(sides, 3);
    const on = 6 / Math.sin(Math.PI / 3);
    expect(cut.some((p) => distance(p, [on, -10]) < 1e-9)).toBe(true);
    expect(cut.some((p) => distance(p, [on, 0]) < 1e-9)).toBe(true);
    const mitred = addAllowances(wedge(60, 10, 6, false).sides, 3);
    expect(mitred.some((p) => distance(p, [on, -10]) < 1e-6)).toBe(false);
  });

  it('holds both allowances whole at any angle and any widths, and never crosses itself', () => {
    const mm = fc.double({ min: 3, max: 25, noNaN: true });
    fc.assert(
      fc.property(fc.double({ min: 25, max: 120, noNaN: true }), mm, mm, (degrees, seam, other) => {
        const { sides } = wedge(degrees, seam, other, true);
        const cut = addAllowances(sides, 3);
        expect(selfCrossing(cut)).toBeUndefined();
        expect(signedArea(cut)).toBeGreaterThan(0);
        // The half of either side that lies at the corner.
        for (const [{ points, allowance }, half] of [
          [sides[0]!, [0.5, 1]],
          [sides[1]!, [0, 0.5]],
        ] as const) {
          const [a, b] = half.map((share) => lerp(points[0]!, points[1]!, share)) as [Vec, Vec];
          const out = scale(perp(unit(sub(b, a))), -1);
          const strip = [a, add(a, scale(out, allowance)), add(b, scale(out, allowance)), b];
          const wanted = signedArea(strip) < 0 ? [...strip].reverse() : strip;
          expect(outside(wanted, cut)).toBeLessThan(0.1);
        }
      }),
      { numRuns: 60 },
    );
  });

  it('falls back to a mitre at a hollow corner and where it would run farther than the corner limit', () => {
    for (const degrees of [-60, 10]) {
      const squared = addAllowances(wedge(degrees, 10, 10, true).sides, 2);
      expect(squared).toEqual(addAllowances(wedge(degrees, 10, 10, false).sides, 2));
    }
  });

  it('stands square on the shoulder of front and back, both as long as each other when sewn', () => {
    const options = optionsOf({ corners: { 'shoulder-tip': 'shoulder', 'neck-point': 'shoulder' } });
    const ends = (['front', 'back'] as const).map((name) => {
      const piece = pieceOf(drafted, name);
      const { cut } = cutOf(name, options);
      const along = endDirection(edgeOf(piece, 'shoulder').path);
      return (['shoulder-tip', 'neck-point'] as const).map((point) => {
        const corner = pointOf(piece, point);
        // The end of the allowance: a side of the cut line square to the shoulder, beside the corner.
        const side = cut.findIndex((p, i) => {
          const q = cut[(i + 1) % cut.length]!;
          const way = sub(q, p);
          return distance(p, q) > 9 && distance(p, corner) < 30 && Math.abs(dot(unit(way), along)) < 1e-6;
        });
        expect(side, `${name} ${point}`).toBeGreaterThanOrEqual(0);
        const [p, q] = [cut[side]!, cut[(side + 1) % cut.length]!];
        expect(distance(p, q)).toBeCloseTo(10, 6);
        expect(distanceToSegment(corner, p, q)).toBeGreaterThan(5);
        return Math.abs(cross(sub(p, corner), perp(along)));
      });
    });
    // Both necklines and armholes stand square on the shoulder: the sewing line runs on by the allowance.
    for (const [tip, neck] of ends) {
      expect(tip).toBeCloseTo(10, 1);
      expect(neck).toBeCloseTo(10, 1);
    }
  });

  it('is mirrored on an opened half, in every size', () => {
    const options = optionsOf({ corners: { 'front.underarm': 'side' } });
    const range = gradePattern(pattern, specOf({ increments: EVERY_INCREMENT }));
    for (const { pieces } of finishRange(range, options, () => NO_SHRINKAGE)) {
      const { cut } = pieces.find((p) => p.name === 'front')!;
      for (const [x, y] of cut) expect(toBoundary([-x, y], cut)).toBeLessThan(1e-6);
    }
    expect(cutOf('back', options).cut).toEqual(cutOf('back', optionsOf({})).cut);
    expect(cutOf('front', options).cut).not.toEqual(cutOf('front', optionsOf({})).cut);
  });

  it('names the nearest corner or edge for one that is not there', () => {
    const range = gradePattern(pattern, specOf({ increments: {} }));
    const refusal = (corners: Record<string, string>): InputError => {
      try {
        finishRange(range, optionsOf({ corners }), () => NO_SHRINKAGE);
      } catch (error) {
        if (error instanceof InputError) return error;
        throw error;
      }
      return expect.unreachable();
    };
    expect(refusal({ 'shoulder-tp': 'shoulder' })).toMatchObject({
      message: "no piece has a corner 'shoulder-tp'",
      mend: "did you mean 'shoulder-tip'?",
      place: { path: 'finish.corners.shoulder-tp' },
    });
    expect(refusal({ 'front.shoulder-tip': 'sholder' })).toMatchObject({
      message: "no edge 'sholder' ends at 'front.shoulder-tip'",
      mend: "did you mean 'shoulder'?",
    });
  });
});
