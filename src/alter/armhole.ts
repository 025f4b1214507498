import { z } from 'zod';
import { CheckError } from '../errors.js';
import { lengthField } from '../fields.js';
import { type Pattern, pieceOf, pointOf, withPiece } from '../pattern/model.js';
import { altered, assertSound, defineAlteration, piecesField } from './alteration.js';
import { raiseUnderarm, redrawArmhole } from './true-up.js';

export interface LowerArmholeOptions {
  readonly pieces: readonly string[];
  /** mm; negative raises. */
  readonly by: number;
}

/**
 * Lowers the underarm straight down the grain, so that the girth stays, and reshapes the armhole through its
 * guide point at the new depth.
 *
 * @throws CheckError when the underarm would pass the waist or the hem.
 */
export function lowerArmhole(pattern: Pattern, options: LowerArmholeOptions): Pattern {
  return options.pieces.reduce((result, name) => {
    const piece = pieceOf(result, name);
    const underarm = pointOf(piece, 'underarm');
    const side = piece.edges.find((e) => e.to === 'underarm')!;
    const below = Math.max(...side.path.map((s) => s.a[1]));
    if (underarm[1] - options.by <= below) {
      throw new CheckError(
        `piece '${name}': lowering the armhole by ${options.by.toFixed(1)} mm passes the next point of the side seam, ${(underarm[1] - below).toFixed(1)} mm down`,
        { mend: 'lower it less' },
      );
    }
    return withPiece(result, assertSound(raiseUnderarm(piece, -options.by)));
  }, pattern);
}

export const lowerArmholeAlteration = defineAlteration({
  name: 'lower-armhole',
  summary: 'lower (or raise) the underarm and reshape the armhole',
  schema: (unit) =>
    z
      .strictObject({ by: lengthField(unit), piece: piecesField.optional() })
      .transform((o): LowerArmholeOptions => ({ pieces: o.piece ?? ['back', 'front'], by: o.by })),
  apply: (pattern, options) => altered(lowerArmhole(pattern, options)),
});

export interface ReshapeArmholeOptions {
  readonly pieces: readonly string[];
  /** Guide point inward from the middle of the vertical under the shoulder tip, mm. */
  readonly inward: number;
}

/** Redraws the armhole through a guide point of one's own choice. */
export function reshapeArmhole(pattern: Pattern, options: ReshapeArmholeOptions): Pattern {
  return options.pieces.reduce(
    (result, name) => withPiece(result, assertSound(redrawArmhole(pieceOf(result, name), options.inward))),
    pattern,
  );
}

export const reshapeArmholeAlteration = defineAlteration({
  name: 'reshape-armhole',
  summary: 'redraw the armhole through a guide point',
  schema: (unit) =>
    z
      .strictObject({ piece: piecesField, guide: lengthField(unit) })
      .transform((o): ReshapeArmholeOptions => ({ pieces: o.piece, inward: o.guide })),
  apply: (pattern, options) => altered(reshapeArmhole(pattern, options)),
});
