import { z } from 'zod';
import { CheckError } from '../errors.js';
import { lengthField } from '../fields.js';
import { cubic, line, type Path } from '../geometry/path.js';
import { add, lerp, sub, type Vec } from '../geometry/vec.js';
import {
  edgeOf,
  type Pattern,
  type Piece,
  pieceOf,
  pointOf,
  pointsOf,
  withEdge,
  withPiece,
} from '../pattern/model.js';
import { movePoints } from '../pattern/reshape.js';
import { MM_PER_INCH } from '../units.js';
import { altered, assertSound, defineAlteration, piecesField } from './alteration.js';
import { redrawArmhole } from './true-up.js';

export interface ShapeSideSeamOptions {
  readonly pieces: readonly string[];
  readonly as: 'straight' | 'shaped';
  /** Where the hem end goes: plumb under the underarm, or left where it is. */
  readonly hem: 'plumb' | 'keep';
  /** How far a shaped seam comes in at the waist, mm. */
  readonly waistIn: number;
}

export const SIDE_SEAM_DEFAULTS = {
  pieces: ['back', 'front'],
  hem: 'plumb',
  /** Common practice, no source. */
  waistIn: MM_PER_INCH / 2,
} as const;

/**
 * Draws the side seam straight from underarm to hem, or brings it in at the waist in one smooth curve that
 * stands upright at waist and hem. The armhole is redrawn to meet the seam squarely.
 *
 * @throws CheckError when a shaped seam is asked of a piece without a waist point.
 */
export function shapeSideSeam(pattern: Pattern, options: ShapeSideSeamOptions): Pattern {
  return options.pieces.reduce((result, name) => {
    const piece = withHemEnd(pieceOf(result, name), options.hem);
    const shaped = withEdge(piece, { ...edgeOf(piece, 'side'), ...sideSeam(piece, options) });
    return withPiece(result, assertSound(redrawArmhole(shaped)));
  }, pattern);
}

export const shapeSideSeamAlteration = defineAlteration({
  name: 'shape-side-seam',
  summary: 'straighten the side seam or bring it in at the waist',
  schema: (unit) =>
    z
      .strictObject({
        as: z.enum(['straight', 'shaped']),
        hem: z.enum(['plumb', 'keep']).optional(),
        'waist-in': lengthField(unit, 'positive').optional(),
        piece: piecesField.optional(),
      })
      .transform(
        (o): ShapeSideSeamOptions => ({
          pieces: o.piece ?? SIDE_SEAM_DEFAULTS.pieces,
          as: o.as,
          hem: o.hem ?? SIDE_SEAM_DEFAULTS.hem,
          waistIn: o['waist-in'] ?? SIDE_SEAM_DEFAULTS.waistIn,
        }),
      ),
  apply: (pattern, options) => altered(shapeSideSeam(pattern, options)),
});

function withHemEnd(piece: Piece, hem: 'plumb' | 'keep'): Piece {
  if (hem === 'keep') return piece;
  const shift = pointOf(piece, 'underarm')[0] - pointOf(piece, 'side-hem')[0];
  return movePoints(piece, new Map<string, Vec>([['side-hem', [shift, 0]]]));
}

function sideSeam(
  piece: Piece,
  options: ShapeSideSeamOptions,
): { path: Path; marks?: Record<string, number> } {
  const low = pointOf(piece, 'side-hem');
  const underarm = pointOf(piece, 'underarm');
  const level = pointsOf(piece).get('waist')?.[1];
  const onLine =
    level === undefined ? undefined : lerp(low, underarm, (level - low[1]) / (underarm[1] - low[1]));
  const hasWaist = onLine !== undefined && onLine[1] > low[1] && onLine[1] < underarm[1];
  if (options.as === 'straight') {
    if (!hasWaist) return { path: [line(low, underarm)] };
    return { path: [line(low, onLine), line(onLine, underarm)], marks: { waist: 1 } };
  }
  if (!hasWaist) {
    throw new CheckError(`piece '${piece.name}' has no waist point between hem and underarm to shape`, {
      mend: 'draw the side seam straight, or lengthen the piece below the waist',
    });
  }
  const waist = sub(onLine, [options.waistIn, 0]);
  const below = waist[1] - low[1];
  const above = underarm[1] - waist[1];
  return {
    path: [
      cubic(low, add(low, [0, below * 0.4]), sub(waist, [0, below * 0.4]), waist),
      cubic(waist, add(waist, [0, above * 0.35]), lerp(underarm, waist, 0.35), underarm),
    ],
    marks: { waist: 1 },
  };
}
