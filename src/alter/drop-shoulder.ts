import { z } from 'zod';
import { CheckError } from '../errors.js';
import { lengthField } from '../fields.js';
import { startDirection } from '../geometry/path.js';
import { add, scale } from '../geometry/vec.js';
import { edgeLength } from '../pattern/measure.js';
import { edgeOf, type Pattern, type Piece, pieceOf, pointOf, withPiece } from '../pattern/model.js';
import { MM_PER_INCH } from '../units.js';
import { type Altered, altered, assertSound, defineAlteration } from './alteration.js';
import { isStraight, moveTip, raiseUnderarm, redrawArmhole } from './true-up.js';

export interface DropShoulderOptions {
  /** How far the shoulder is run on over the arm along its own line, mm. */
  readonly by: number;
  /** How much the underarm is lowered with it, mm. */
  readonly lower: number;
  /** Guide offset of the flatter armhole, mm. */
  readonly guide: number;
}

/** Common practice, no source: a dropped shoulder has a lower, nearly straight armhole. */
export const DROP_SHOULDER_DEFAULTS = { lower: MM_PER_INCH, guide: MM_PER_INCH / 8 } as const;

/** An armhole needs this much between its guide and the underarm, or its lower curve is too tight to sew, mm. */
const LEAST_ACROSS = 30;

/**
 * Drops the shoulder over the arm: both shoulders are run on along their lines by the same amount, the underarm
 * is lowered and the armhole drawn nearly straight. draft-sleeve then takes the longer shoulder off the
 * sleeve's length and finds its lower cap.
 *
 * @throws CheckError when the tip would lie too far out, with how far it may go.
 */
export function dropShoulder(pattern: Pattern, options: DropShoulderOptions): Altered {
  const result = (['back', 'front'] as const).reduce(
    (p, name) => withPiece(p, assertSound(dropped(pieceOf(p, name), options))),
    pattern,
  );
  return altered(result, [
    {
      subject: 'dropped shoulder',
      values: [
        { name: 'shoulder', mm: edgeLength(result, 'back', 'shoulder') },
        { name: 'front armhole', mm: edgeLength(result, 'front', 'armhole') },
        { name: 'back armhole', mm: edgeLength(result, 'back', 'armhole') },
      ],
    },
  ]);
}

export const dropShoulderAlteration = defineAlteration({
  name: 'drop-shoulder',
  summary: 'run the shoulder on over the arm, with a lower and flatter armhole',
  schema: (unit) =>
    z
      .strictObject({
        by: lengthField(unit, 'positive'),
        lower: lengthField(unit, 'not-negative').optional(),
        guide: lengthField(unit).optional(),
      })
      .transform(
        (o): DropShoulderOptions => ({
          by: o.by,
          lower: o.lower ?? DROP_SHOULDER_DEFAULTS.lower,
          guide: o.guide ?? DROP_SHOULDER_DEFAULTS.guide,
        }),
      ),
  apply: dropShoulder,
});

function dropped(piece: Piece, options: DropShoulderOptions): Piece {
  const { path } = edgeOf(piece, 'shoulder');
  if (!isStraight(path)) {
    throw new CheckError(`piece '${piece.name}': a shoulder that is not straight cannot be run on`, {
      mend: 'draw it straight first',
    });
  }
  const out = scale(startDirection(path), -1);
  const tip = add(pointOf(piece, 'shoulder-tip'), scale(out, options.by));
  const room = pointOf(piece, 'underarm')[0] - (tip[0] - options.guide) - LEAST_ACROSS;
  if (room < 0) {
    const most = options.by + room / out[0];
    throw new CheckError(
      `piece '${piece.name}': dropped by ${options.by.toFixed(1)} mm the shoulder leaves ${(room + LEAST_ACROSS).toFixed(1)} mm for the curve of the armhole, which needs ${LEAST_ACROSS.toFixed(1)} mm`,
      {
        mend:
          most > 0
            ? `drop it by ${most.toFixed(1)} mm at most, or give the body more width first (slash)`
            : 'give the body more width first (slash)',
      },
    );
  }
  const guided = redrawArmhole(piece, { inward: options.guide });
  return raiseUnderarm(moveTip(guided, tip), -options.lower);
}
