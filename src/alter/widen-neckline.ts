import { z } from 'zod';
import { lengthField } from '../fields.js';
import { type Pattern, type Piece, pieceOf, pointOf, withPiece } from '../pattern/model.js';
import { altered, assertSound, defineAlteration } from './alteration.js';
import { changeNeck } from './neck-edge.js';

export type WideningMode = 'even' | 'shoulder';

export interface WidenNecklineOptions {
  /** Distance along both shoulders, mm. */
  readonly by: number;
  /** Even all round lowers the centre by the same amount; at the shoulder only leaves it. */
  readonly front: WideningMode;
  readonly back: WideningMode;
}

export const WIDEN_DEFAULTS = { front: 'even', back: 'shoulder' } as const;

/**
 * Widens the neckline by the same distance along both shoulders, so that they still match; each piece is
 * widened evenly all round or at its shoulder only.
 *
 * @throws CheckError when the shoulder is not straight or is shorter than the widening.
 */
export function widenNeckline(pattern: Pattern, options: WidenNecklineOptions): Pattern {
  return (['front', 'back'] as const).reduce(
    (result, name) =>
      withPiece(result, assertSound(widened(pieceOf(result, name), options.by, options[name]))),
    pattern,
  );
}

export const widenNecklineAlteration = defineAlteration({
  name: 'widen-neckline',
  summary: 'widen the neckline along both shoulders',
  schema: (unit) =>
    z
      .strictObject({
        by: lengthField(unit, 'not-negative'),
        front: z.enum(['even', 'shoulder']).optional(),
        back: z.enum(['even', 'shoulder']).optional(),
      })
      .transform(
        (o): WidenNecklineOptions => ({
          by: o.by,
          front: o.front ?? WIDEN_DEFAULTS.front,
          back: o.back ?? WIDEN_DEFAULTS.back,
        }),
      ),
  apply: (pattern, options) => altered(widenNeckline(pattern, options)),
});

function widened(piece: Piece, by: number, mode: WideningMode): Piece {
  const center = pointOf(piece, 'center-neck')[1] - (mode === 'even' ? by : 0);
  return changeNeck(piece, { along: by, center });
}
