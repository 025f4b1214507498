import { z } from 'zod';
import { CheckError, InputError } from '../errors.js';
import { lengthField } from '../fields.js';
import { length } from '../geometry/path.js';
import { frontAndBack } from '../pattern/measure.js';
import { edgeOf, type Pattern, type Piece, pieceOf, withPiece, withSeam } from '../pattern/model.js';
import { inchFraction, MM_PER_INCH } from '../units.js';
import { type Altered, altered, assertSound, defineAlteration } from './alteration.js';
import { withCurvedHem } from './curved-hem.js';
import { extendStart, trimStart } from './edge-start.js';

export interface LevelSideSeamsOptions {
  /** Take it off the longer at the hem, share it between both hems, or sew the longer in with ease. */
  readonly how: 'hem' | 'equalise' | 'ease-in';
  /** The most that is eased in, mm. */
  readonly most: number;
}

/** Common practice, no source: a knit side seam takes 1/2 in of ease. */
export const LEVEL_DEFAULTS: LevelSideSeamsOptions = { how: 'hem', most: MM_PER_INCH / 2 };

/** Below this difference (mm) the seams are level already. */
const LEVEL = 1e-6;

/**
 * Deals with side seams of different length. `hem` takes the difference off the longer at the side and
 * curves its hem to the centre; `equalise` takes half off the longer and adds half to the shorter; `ease-in`
 * leaves the shapes and lets the seam ease in what it differs by, measured anew after every step and in every
 * size, up to `most`.
 *
 * What later steps do to one side seam alone is not levelled again: `check` names the step.
 *
 * @throws CheckError for a difference above what may be eased in.
 */
export function levelSideSeams(pattern: Pattern, options: LevelSideSeamsOptions): Altered {
  const before = frontAndBack(pattern, 'side');
  const difference = before.front - before.back;
  const notes = (result: Pattern) => {
    const after = frontAndBack(result, 'side');
    return [
      {
        subject: 'side seams',
        values: [
          { name: 'front before', mm: before.front },
          { name: 'back before', mm: before.back },
          { name: 'front after', mm: after.front },
          { name: 'back after', mm: after.back },
        ],
      },
    ];
  };
  if (Math.abs(difference) <= LEVEL) return altered(pattern, notes(pattern));
  const [longer, shorter] = difference > 0 ? ['front', 'back'] : ['back', 'front'];
  if (options.how === 'ease-in') {
    const seam = pattern.seams.find((s) => s.name === 'side');
    if (!seam) throw new InputError("the pattern has no seam 'side' to ease in");
    if (Math.abs(difference) > options.most) {
      throw new CheckError(
        `the ${longer} side seam is ${inchFraction(Math.abs(difference))} in longer than the ${shorter}'s, and ${inchFraction(options.most)} in at most are eased in`,
        { mend: 'allow more (most), take it off at the hem (how: hem) or share it (how: equalise)' },
      );
    }
    const eased = withSeam(pattern, { ...seam, easeUpTo: options.most });
    return altered(eased, notes(eased));
  }
  const off = options.how === 'hem' ? Math.abs(difference) : Math.abs(difference) / 2;
  let result = withPiece(pattern, assertSound(raiseHemAtSide(pieceOf(pattern, longer!), off)));
  if (options.how === 'equalise') {
    result = withPiece(result, assertSound(lowerHemAtSide(pieceOf(result, shorter!), off)));
  }
  return altered(result, notes(result));
}

export const levelSideSeamsAlteration = defineAlteration({
  name: 'level-side-seams',
  summary: 'level, share or ease in a side-seam difference',
  schema: (unit) =>
    z
      .strictObject({
        how: z.enum(['hem', 'equalise', 'ease-in']).optional(),
        most: lengthField(unit, 'positive').optional().describe('that is eased in'),
      })
      .transform(
        (o): LevelSideSeamsOptions => ({
          how: o.how ?? LEVEL_DEFAULTS.how,
          most: o.most ?? LEVEL_DEFAULTS.most,
        }),
      ),
  apply: levelSideSeams,
});

function raiseHemAtSide(piece: Piece, by: number): Piece {
  const side = edgeOf(piece, 'side');
  if (by >= length(side.path)) {
    throw new InputError(`the side seam of '${piece.name}' is shorter than its difference`);
  }
  return withCurvedHem(piece, trimStart(side, by));
}

const lowerHemAtSide = (piece: Piece, by: number): Piece =>
  withCurvedHem(piece, extendStart(edgeOf(piece, 'side'), by));
