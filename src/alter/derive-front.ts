import { z } from 'zod';
import { ARMHOLE_GUIDE } from '../draft/armhole.js';
import { lengthField } from '../fields.js';
import { end, line, start } from '../geometry/path.js';
import { add, type Vec } from '../geometry/vec.js';
import { edgeOf, type Pattern, type Piece, pieceOf, pointOf, withPiece } from '../pattern/model.js';
import { carry } from '../pattern/reshape.js';
import { MM_PER_INCH } from '../units.js';
import { altered, assertSound, defineAlteration } from './alteration.js';
import { redrawArmhole, squareNeckline } from './true-up.js';

export interface DeriveFrontOptions {
  /** How much higher the front's shoulder lies than the back's, mm. */
  readonly raise: number;
  /** Guide offset of the front's own armhole, mm. */
  readonly guide: number;
}

/** Common practice, no source. */
export const DERIVE_FRONT_DEFAULTS: DeriveFrontOptions = {
  raise: MM_PER_INCH / 2,
  guide: ARMHOLE_GUIDE.front,
};

/**
 * Makes the front from the altered back: the same hem, side seam and shoulder, the whole shoulder raised (so
 * it keeps the back's length and slope), the neckline of the block's own front at its own depth below the new
 * neck point, and an armhole with the front's guide. An alternative to altering the block's own front by the
 * same steps; a recipe does one or the other.
 *
 * @param block the block before any step: its front lends the neckline.
 */
export function deriveFront(pattern: Pattern, options: DeriveFrontOptions, block: Pattern): Pattern {
  const back = pieceOf(pattern, 'back');
  const own = pieceOf(block, 'front');
  return withPiece(pattern, assertSound(frontFrom(back, own, options)));
}

export const deriveFrontAlteration = defineAlteration({
  name: 'derive-front',
  summary: 'make the front from the altered back',
  schema: (unit) =>
    z
      .strictObject({
        raise: lengthField(unit, 'not-negative').optional(),
        guide: lengthField(unit).optional(),
      })
      .transform(
        (o): DeriveFrontOptions => ({
          raise: o.raise ?? DERIVE_FRONT_DEFAULTS.raise,
          guide: o.guide ?? DERIVE_FRONT_DEFAULTS.guide,
        }),
      ),
  apply: (pattern, options, context) => altered(deriveFront(pattern, options, context.block)),
});

function frontFrom(back: Piece, own: Piece, options: DeriveFrontOptions): Piece {
  const lift: Vec = [0, options.raise];
  const tip = add(pointOf(back, 'shoulder-tip'), lift);
  const neckPoint = add(pointOf(back, 'neck-point'), lift);
  const ownNeck = edgeOf(own, 'neckline');
  const depth = start(ownNeck.path)[1] - end(ownNeck.path)[1];
  const centerNeck: Vec = [0, neckPoint[1] - depth];
  const edges = back.edges.map((edge) => {
    switch (edge.name) {
      case 'shoulder':
        return { ...edge, path: [line(tip, neckPoint)] };
      case 'neckline':
        return { ...ownNeck, path: carry(ownNeck.path, neckPoint, centerNeck) };
      case 'armhole':
        return { ...edge, path: carry(edge.path, start(edge.path), tip) };
      case 'fold':
        return { ...edge, path: [line(centerNeck, pointOf(back, 'center-hem'))] };
      default:
        return edge;
    }
  });
  const front: Piece = { ...back, name: 'front', edges, notches: own.notches };
  return squareNeckline(redrawArmhole(front, { inward: options.guide }));
}
