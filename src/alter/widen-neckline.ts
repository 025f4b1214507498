import { z } from 'zod';
import { CheckError } from '../errors.js';
import { lengthField } from '../fields.js';
import { end, length, line, pointAt, start } from '../geometry/path.js';
import { add, type Vec } from '../geometry/vec.js';
import { edgeOf, type Pattern, type Piece, pieceOf, withPiece } from '../pattern/model.js';
import { carry } from '../pattern/reshape.js';
import { altered, assertSound, defineAlteration } from './alteration.js';
import { isStraight, squareNeckline } from './true-up.js';

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
 * @throws CheckError when the shoulder is shorter than the widening.
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
  const shoulder = edgeOf(piece, 'shoulder');
  const size = length(shoulder.path);
  if (by >= size || !isStraight(shoulder.path)) {
    throw new CheckError(
      `piece '${piece.name}': the neckline cannot be widened by ${by.toFixed(1)} mm along a shoulder of ${size.toFixed(1)} mm`,
      { mend: 'widen it less' },
    );
  }
  const neckline = edgeOf(piece, 'neckline');
  const neckPoint = pointAt(shoulder.path, size - by);
  const down: Vec = [0, mode === 'even' ? -by : 0];
  const centerNeck = add(end(neckline.path), down);
  const edges = piece.edges.map((edge) => {
    if (edge.name === 'shoulder') return { ...edge, path: [line(start(edge.path), neckPoint)] };
    if (edge.name === 'neckline') return { ...edge, path: carry(edge.path, neckPoint, centerNeck) };
    if (edge.name === piece.fold) return { ...edge, path: [line(centerNeck, end(edge.path))] };
    return edge;
  });
  return squareNeckline({ ...piece, edges });
}
