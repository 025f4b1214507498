import { z } from 'zod';
import type { ArmholeGuide } from '../draft/armhole.js';
import { CheckError } from '../errors.js';
import { lengthField, shareField } from '../fields.js';
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

export const raiseArmholeAlteration = defineAlteration({
  name: 'raise-armhole',
  summary: 'raise the underarm and reshape the armhole',
  schema: (unit) =>
    z
      .strictObject({ by: lengthField(unit, 'not-negative'), piece: piecesField.optional() })
      .transform((o): LowerArmholeOptions => ({ pieces: o.piece ?? ['back', 'front'], by: -o.by })),
  apply: (pattern, options) => altered(lowerArmhole(pattern, options)),
});

export interface ReshapeArmholeOptions {
  readonly pieces: readonly string[];
  /** What is left out stays as the armhole was drawn. */
  readonly guide: Partial<ArmholeGuide>;
}

/** Redraws the armhole through a guide point of one's own choice. */
export function reshapeArmhole(pattern: Pattern, options: ReshapeArmholeOptions): Pattern {
  return options.pieces.reduce(
    (result, name) => withPiece(result, assertSound(redrawArmhole(pieceOf(result, name), options.guide))),
    pattern,
  );
}

export const reshapeArmholeAlteration = defineAlteration({
  name: 'reshape-armhole',
  summary: 'redraw the armhole through a guide point',
  schema: (unit) =>
    z
      .strictObject({
        piece: piecesField,
        guide: lengthField(unit).optional().describe('inward of the vertical under the shoulder tip'),
        height: shareField.optional().describe('of the guide above the underarm, as a share of the armhole'),
        scoop: shareField.optional().describe('reach of the underarm curve'),
      })
      .transform(
        (o): ReshapeArmholeOptions => ({
          pieces: o.piece,
          guide: {
            ...(o.guide === undefined ? {} : { inward: o.guide }),
            ...(o.height === undefined ? {} : { height: o.height }),
            ...(o.scoop === undefined ? {} : { scoop: o.scoop }),
          },
        }),
      ),
  apply: (pattern, options) => altered(reshapeArmhole(pattern, options)),
});
