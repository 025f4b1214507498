import { z } from 'zod';
import { CheckError } from '../errors.js';
import { lengthField } from '../fields.js';
import { length } from '../geometry/path.js';
import { solveBetween } from '../geometry/solve.js';
import { frontAndBack } from '../pattern/measure.js';
import { edgeOf, type Pattern, type Piece, pieceOf, pointOf, withPiece } from '../pattern/model.js';
import { inchFraction, MM_PER_INCH } from '../units.js';
import { type Altered, altered, assertSound, defineAlteration } from './alteration.js';
import { moveTip, raiseUnderarm, tipAtHeight } from './true-up.js';

export interface BalanceArmholesOptions {
  /** Armholes may differ by this much, mm. */
  readonly within: number;
  /** The most the shoulder tip may be lowered and the underarm raised, mm. */
  readonly tip: number;
  readonly underarm: number;
}

/** Common practice, no source: 1/4 in each. */
export const BALANCE_DEFAULTS: BalanceArmholesOptions = {
  within: MM_PER_INCH / 4,
  tip: MM_PER_INCH / 4,
  underarm: MM_PER_INCH / 4,
};

/** Aim a hair inside the allowed difference, so that rounding cannot leave it just outside. */
const AIM_INSIDE = 1e-3;

/**
 * Brings front and back armhole within the allowed difference by shortening the longer one: its shoulder tip
 * is lowered and its underarm raised by equal shares of their limits, no more than it takes. The shoulder
 * keeps its length. The side seam of the changed piece grows by what the underarm was raised;
 * level-side-seams takes that up.
 *
 * @throws CheckError with the numbers when the limits do not suffice.
 */
export function balanceArmholes(pattern: Pattern, options: BalanceArmholesOptions): Altered {
  const before = frontAndBack(pattern, 'armhole');
  const longer = before.front >= before.back ? 'front' : 'back';
  const target = Math.min(before.front, before.back) + options.within;
  if (Math.max(before.front, before.back) <= target) return altered(pattern, [note(before, before, 0, 0)]);
  const piece = pieceOf(pattern, longer);
  const share = solveShare(piece, target - AIM_INSIDE, options);
  if (share === undefined) {
    const least = armholeOf(shortened(piece, 1, options));
    throw new CheckError(
      `the ${longer} armhole measures ${inchFraction(before[longer])} in and can be shortened to ${inchFraction(least)} in, but the other asks for ${inchFraction(target)} in at most`,
      { mend: 'allow more at the tip or underarm, or a larger difference' },
    );
  }
  const result = withPiece(pattern, assertSound(shortened(piece, share, options)));
  return altered(result, [
    note(before, frontAndBack(result, 'armhole'), share * options.tip, share * options.underarm),
  ]);
}

export const balanceArmholesAlteration = defineAlteration({
  name: 'balance-armholes',
  summary: 'bring front and back armhole within a difference',
  schema: (unit) =>
    z
      .strictObject({
        within: lengthField(unit, 'not-negative').optional(),
        tip: lengthField(unit, 'not-negative').optional(),
        underarm: lengthField(unit, 'not-negative').optional(),
      })
      .transform(
        (o): BalanceArmholesOptions => ({
          within: o.within ?? BALANCE_DEFAULTS.within,
          tip: o.tip ?? BALANCE_DEFAULTS.tip,
          underarm: o.underarm ?? BALANCE_DEFAULTS.underarm,
        }),
      ),
  apply: balanceArmholes,
});

/** Share of both limits that brings the armhole down to `target`, or undefined when all of it is too little. */
function solveShare(piece: Piece, target: number, options: BalanceArmholesOptions): number | undefined {
  const over = (share: number) => armholeOf(shortened(piece, share, options)) - target;
  return over(1) > 0 ? undefined : solveBetween(over, 0, 1);
}

function shortened(piece: Piece, share: number, options: BalanceArmholesOptions): Piece {
  const tip = pointOf(piece, 'shoulder-tip');
  const shoulder = length(edgeOf(piece, 'shoulder').path);
  const lowered = moveTip(piece, tipAtHeight(piece, tip[1] - share * options.tip, shoulder));
  return raiseUnderarm(lowered, share * options.underarm);
}

const armholeOf = (piece: Piece): number => length(edgeOf(piece, 'armhole').path);

const note = (
  before: { front: number; back: number },
  after: { front: number; back: number },
  tip: number,
  underarm: number,
) => ({
  subject: 'armholes',
  values: [
    { name: 'front before', mm: before.front },
    { name: 'back before', mm: before.back },
    { name: 'front after', mm: after.front },
    { name: 'back after', mm: after.back },
    { name: 'tip lowered', mm: tip },
    { name: 'underarm raised', mm: underarm },
  ],
});
