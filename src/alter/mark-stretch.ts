import { z } from 'zod';
import { percentField } from '../fields.js';
import { type Pattern, pieceOf, type Stretch, withPiece } from '../pattern/model.js';
import { altered, defineAlteration, piecesField } from './alteration.js';

export interface MarkStretchOptions {
  /** All pieces when left out. */
  readonly pieces?: readonly string[];
  readonly stretch: Stretch;
}

/** Notes on pieces in which direction the knit must stretch most, and by how much. */
export function markStretch(pattern: Pattern, options: MarkStretchOptions): Pattern {
  const names = options.pieces ?? pattern.pieces.map((p) => p.name);
  return names.reduce(
    (result, name) => withPiece(result, { ...pieceOf(result, name), stretch: options.stretch }),
    pattern,
  );
}

export const markStretchAlteration = defineAlteration({
  name: 'mark-stretch',
  summary: 'mark the direction of greatest stretch',
  schema: () =>
    z
      .strictObject({
        piece: piecesField.optional(),
        along: z.enum(['course', 'wale']).optional(),
        percent: percentField(400),
      })
      .transform(
        (o): MarkStretchOptions => ({
          ...(o.piece ? { pieces: o.piece } : {}),
          stretch: { along: o.along ?? 'course', percent: o.percent },
        }),
      ),
  apply: (pattern, options) => altered(markStretch(pattern, options)),
});
