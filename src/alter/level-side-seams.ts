import { z } from 'zod';
import { InputError } from '../errors.js';
import { blend, length, start, startDirection } from '../geometry/path.js';
import { perp, scale } from '../geometry/vec.js';
import { frontAndBack } from '../pattern/measure.js';
import {
  type Edge,
  edgeOf,
  type Pattern,
  type Piece,
  pieceOf,
  withPiece,
  withSeam,
} from '../pattern/model.js';
import { type Altered, altered, assertSound, defineAlteration } from './alteration.js';
import { extendStart, trimStart } from './edge-start.js';

export interface LevelSideSeamsOptions {
  /** Take it off the longer at the hem, share it between both hems, or sew the longer in with ease. */
  readonly how: 'hem' | 'equalise' | 'ease-in';
}

export const LEVEL_DEFAULTS: LevelSideSeamsOptions = { how: 'hem' };

/** Below this difference (mm) the seams are level already. */
const LEVEL = 1e-6;

/**
 * Deals with side seams of different length. `hem` takes the difference off the longer at the side and
 * curves its hem to the centre; `equalise` takes half off the longer and adds half to the shorter; `ease-in`
 * leaves the shapes and records the difference as wanted ease of the side seam.
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
    const sign = seam.left[0]?.piece === 'front' ? 1 : -1;
    const eased = withSeam(pattern, { ...seam, plus: sign * difference });
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
  schema: () =>
    z
      .strictObject({ how: z.enum(['hem', 'equalise', 'ease-in']).optional() })
      .transform((o): LevelSideSeamsOptions => ({ how: o.how ?? LEVEL_DEFAULTS.how })),
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

/** The hem from the centre, square to the fold, to the side seam's new end, square to the side seam. */
function withCurvedHem(piece: Piece, side: Edge): Piece {
  const hem = edgeOf(piece, 'hem');
  const corner = start(side.path);
  const arriving = scale(perp(startDirection(side.path)), -1);
  const curve = blend(start(hem.path), [1, 0], corner, arriving, [0.4, 0.35]);
  return {
    ...piece,
    edges: piece.edges.map((edge) =>
      edge.name === 'side' ? side : edge.name === 'hem' ? { ...hem, path: [curve] } : edge,
    ),
  };
}
