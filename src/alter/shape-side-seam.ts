import { z } from 'zod';
import { CheckError } from '../errors.js';
import { lengthField } from '../fields.js';
import { cubic, line, type Path } from '../geometry/path.js';
import { splineThrough } from '../geometry/spline.js';
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
import { withCurvedHem, withSquareHem } from './curved-hem.js';
import { isStraight, redrawArmhole } from './true-up.js';

export interface ShapeSideSeamOptions {
  readonly pieces: readonly string[];
  readonly as: 'straight' | 'shaped' | 'flared';
  /** Where the hem end goes: plumb under the underarm, or left where it is. */
  readonly hem: 'plumb' | 'keep';
  /** How far a shaped seam comes in at the waist, mm; a flared one too, when it is more than 0. */
  readonly waistIn: number;
  /** How far a flared seam goes out at the hem, mm, and how far its hip curve swells off the straight line. */
  readonly flare: number;
  readonly hipOut: number;
}

export const SIDE_SEAM_DEFAULTS = {
  pieces: ['back', 'front'],
  hem: 'plumb',
  /** Common practice, no source. */
  waistIn: MM_PER_INCH / 2,
  flare: MM_PER_INCH,
  hipOut: 0,
} as const;

/** Where a hip curve is fullest, as a share of the way from waist to hem (common practice, no source). */
const FULLEST = 0.45;

/**
 * Draws the side seam straight from underarm to hem, brings it in at the waist in one smooth curve that stands
 * upright at waist and hem, or flares it: out at the hem, with a hip curve if asked, the hem raised at the side
 * and curved so that it stands square on the seam. The armhole is redrawn to meet the seam squarely.
 *
 * @throws CheckError when a shaped seam is asked of a piece without a waist point.
 */
export function shapeSideSeam(pattern: Pattern, options: ShapeSideSeamOptions): Pattern {
  return options.pieces.reduce((result, name) => {
    const piece = withHemEnd(pieceOf(result, name), options);
    const drawn = withEdge(piece, { ...edgeOf(piece, 'side'), ...sideSeam(piece, options) });
    const curved = piece.fold !== undefined && !isStraight(edgeOf(piece, 'hem').path);
    const rehemmed = curved ? withCurvedHem(drawn) : drawn;
    const shaped = options.as === 'flared' ? withSquareHem(drawn) : rehemmed;
    return withPiece(result, assertSound(redrawArmhole(shaped)));
  }, pattern);
}

export const shapeSideSeamAlteration = defineAlteration({
  name: 'shape-side-seam',
  summary: 'straighten the side seam or bring it in at the waist',
  schema: (unit) =>
    z
      .strictObject({
        as: z.enum(['straight', 'shaped', 'flared']),
        hem: z.enum(['plumb', 'keep']).optional(),
        'waist-in': lengthField(unit, 'not-negative').optional(),
        flare: lengthField(unit, 'positive').optional().describe('out at the hem'),
        'hip-out': lengthField(unit, 'not-negative').optional().describe('swell of the hip curve'),
        piece: piecesField.optional(),
      })
      .transform(
        (o): ShapeSideSeamOptions => ({
          pieces: o.piece ?? SIDE_SEAM_DEFAULTS.pieces,
          as: o.as,
          hem: o.hem ?? SIDE_SEAM_DEFAULTS.hem,
          waistIn: o['waist-in'] ?? (o.as === 'flared' ? 0 : SIDE_SEAM_DEFAULTS.waistIn),
          flare: o.flare ?? SIDE_SEAM_DEFAULTS.flare,
          hipOut: o['hip-out'] ?? SIDE_SEAM_DEFAULTS.hipOut,
        }),
      ),
  apply: (pattern, options) => altered(shapeSideSeam(pattern, options)),
});

function withHemEnd(piece: Piece, { as, hem, flare }: ShapeSideSeamOptions): Piece {
  const out = as === 'flared' ? flare : 0;
  const plumb = pointOf(piece, 'underarm')[0] - pointOf(piece, 'side-hem')[0];
  const shift = (hem === 'keep' ? 0 : plumb) + out;
  if (shift === 0) return piece;
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
  if (options.as === 'flared') return flaredSeam(low, underarm, hasWaist ? onLine : undefined, options);
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

/** Underarm, waist, fullest hip and hem on one smooth curve; without waist and hip a straight line. */
function flaredSeam(
  low: Vec,
  underarm: Vec,
  waist: Vec | undefined,
  options: ShapeSideSeamOptions,
): { path: Path; marks?: Record<string, number> } {
  if (!waist) return { path: [line(low, underarm)] };
  if (options.waistIn === 0 && options.hipOut === 0) {
    return { path: [line(low, waist), line(waist, underarm)], marks: { waist: 1 } };
  }
  const in_ = sub(waist, [options.waistIn, 0]);
  const hip = options.hipOut > 0 ? [add(lerp(in_, low, FULLEST), [options.hipOut, 0])] : [];
  return {
    path: splineThrough([low, ...hip, in_, underarm]),
    marks: { waist: hip.length + 1 },
  };
}
