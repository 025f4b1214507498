import { z } from 'zod';
import { CheckError } from '../errors.js';
import { lengthField } from '../fields.js';
import { length, line } from '../geometry/path.js';
import { edgeOf, type Pattern, type Piece, pieceOf, pointOf, withEdge, withPiece } from '../pattern/model.js';
import { movePoints } from '../pattern/reshape.js';
import { altered, assertSound, defineAlteration, piecesField } from './alteration.js';
import { isStraight, moveTip, tipAtHeight, trueBody } from './true-up.js';

export interface RaiseShoulderOptions {
  readonly pieces: readonly string[];
  /** mm; negative lowers. */
  readonly by: number;
  /** What moves: the tip, the neck point, or both, which keeps the slope. */
  readonly at: 'tip' | 'neck' | 'both';
}

export const RAISE_SHOULDER_DEFAULTS = { pieces: ['back', 'front'], at: 'tip' } as const;

/**
 * Raises or lowers the shoulder, at its tip (a squarer or more sloping shoulder), at the neck point or both.
 * It keeps its length; the armhole and the neckline are drawn again square to it.
 *
 * @throws CheckError for a shoulder that is not straight or too short to lie as steeply.
 */
export function raiseShoulder(pattern: Pattern, options: RaiseShoulderOptions): Pattern {
  return options.pieces.reduce(
    (result, name) => withPiece(result, assertSound(raised(pieceOf(result, name), options))),
    pattern,
  );
}

export const raiseShoulderAlteration = defineAlteration({
  name: 'raise-shoulder',
  summary: 'raise or lower the shoulder at its tip, at the neck or both',
  schema: (unit) =>
    z
      .strictObject({
        by: lengthField(unit),
        at: z.enum(['tip', 'neck', 'both']).optional(),
        piece: piecesField.optional(),
      })
      .transform(
        (o): RaiseShoulderOptions => ({
          pieces: o.piece ?? RAISE_SHOULDER_DEFAULTS.pieces,
          by: o.by,
          at: o.at ?? RAISE_SHOULDER_DEFAULTS.at,
        }),
      ),
  apply: (pattern, options) => altered(raiseShoulder(pattern, options)),
});

function raised(piece: Piece, { by, at }: RaiseShoulderOptions): Piece {
  const shoulder = edgeOf(piece, 'shoulder');
  if (!isStraight(shoulder.path)) {
    throw new CheckError(`piece '${piece.name}': its shoulder is not straight`, {
      mend: 'draw it straight first',
    });
  }
  const size = length(shoulder.path);
  const tipHeight = pointOf(piece, 'shoulder-tip')[1] + (at === 'neck' ? 0 : by);
  if (at === 'tip') return moveTip(piece, tipAtHeight(piece, tipHeight, size));
  const up = [0, by] as const;
  const moved = movePoints(piece, new Map([['neck-point', up]]));
  const tip = tipAtHeight(moved, tipHeight, size);
  const straight = withEdge(moved, {
    ...shoulder,
    path: [line(pointOf(moved, 'shoulder-tip'), pointOf(moved, 'neck-point'))],
  });
  return trueBody(moveTip(straight, tip));
}
