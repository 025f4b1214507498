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
  /** The most the shoulder tip may be lowered and the underarm raised (or the reverse), mm. */
  readonly tip: number;
  readonly underarm: number;
  /** Which piece gives way: the longer armhole is shortened, or the shorter one lengthened. */
  readonly change: 'front' | 'back' | 'longer' | 'shorter';
}

/** Common practice, no source: 1/4 in each. */
export const BALANCE_DEFAULTS: BalanceArmholesOptions = {
  within: MM_PER_INCH / 4,
  tip: MM_PER_INCH / 4,
  underarm: MM_PER_INCH / 4,
  change: 'longer',
};

/** Aim a hair inside the allowed difference, so that rounding cannot leave it just outside. */
const AIM_INSIDE = 1e-3;

/**
 * Brings front and back armhole within the allowed difference. The piece that gives way has its shoulder tip
 * lowered and its underarm raised where its armhole is the longer one, the reverse where it is the shorter, by
 * equal shares of their limits, no more than it takes. The shoulder keeps its length. The side seam of the
 * changed piece changes by what the underarm moved; level-side-seams takes that up.
 *
 * @throws CheckError with the numbers when the limits do not suffice.
 */
export function balanceArmholes(pattern: Pattern, options: BalanceArmholesOptions): Altered {
  const before = frontAndBack(pattern, 'armhole');
  const longer = before.front >= before.back ? 'front' : 'back';
  const shorter = longer === 'front' ? 'back' : 'front';
  if (before[longer] <= before[shorter] + options.within) {
    return altered(pattern, [note(before, before, 0, 0)]);
  }
  const changed =
    options.change === 'longer' ? longer : options.change === 'shorter' ? shorter : options.change;
  const [sign, target] =
    changed === longer
      ? ([1, before[shorter] + options.within - AIM_INSIDE] as const)
      : ([-1, before[longer] - options.within + AIM_INSIDE] as const);
  const piece = pieceOf(pattern, changed);
  const share = solveShare(piece, target, sign, options);
  if (share === undefined) {
    const reached = armholeOf(shortened(piece, sign, options));
    const [how, bound] = sign > 0 ? ['shortened', 'at most'] : ['lengthened', 'at least'];
    throw new CheckError(
      `the ${changed} armhole measures ${inchFraction(before[changed])} in and can be ${how} to ${inchFraction(reached)} in, but the other asks for ${inchFraction(target)} in ${bound}`,
      { mend: 'allow more at the tip or underarm, or a larger difference' },
    );
  }
  const result = withPiece(pattern, assertSound(shortened(piece, sign * share, options)));
  const moved = sign * share;
  return altered(result, [
    note(before, frontAndBack(result, 'armhole'), moved * options.tip, moved * options.underarm),
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
        change: z.enum(['front', 'back', 'longer', 'shorter']).optional(),
      })
      .transform(
        (o): BalanceArmholesOptions => ({
          within: o.within ?? BALANCE_DEFAULTS.within,
          tip: o.tip ?? BALANCE_DEFAULTS.tip,
          underarm: o.underarm ?? BALANCE_DEFAULTS.underarm,
          change: o.change ?? BALANCE_DEFAULTS.change,
        }),
      ),
  apply: balanceArmholes,
});

/** Share of both limits that brings the armhole to `target`, or undefined when all of it is too little. */
function solveShare(
  piece: Piece,
  target: number,
  sign: 1 | -1,
  options: BalanceArmholesOptions,
): number | undefined {
  const over = (share: number) => sign * (armholeOf(shortened(piece, sign * share, options)) - target);
  return over(1) > 0 ? undefined : solveBetween(over, 0, 1);
}

/** The piece with its tip lowered and its underarm raised by a share of their limits; a negative one reverses. */
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
