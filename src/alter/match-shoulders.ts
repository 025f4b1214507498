import { z } from 'zod';
import { add, scale, sub, unit } from '../geometry/vec.js';
import { frontAndBack } from '../pattern/measure.js';
import { type Pattern, pieceOf, pointOf, withPiece } from '../pattern/model.js';
import { type Altered, altered, assertSound, defineAlteration } from './alteration.js';
import { moveTip } from './true-up.js';

export interface MatchShouldersOptions {
  /** Which piece changes its shoulder to match the other. */
  readonly change: 'front' | 'back' | 'longer' | 'shorter';
}

export const MATCH_SHOULDERS_DEFAULTS: MatchShouldersOptions = { change: 'front' };

/** Makes both shoulders equally long by moving one shoulder tip along its own shoulder line. */
export function matchShoulders(pattern: Pattern, options: MatchShouldersOptions): Altered {
  const before = frontAndBack(pattern, 'shoulder');
  const longer = before.front >= before.back ? 'front' : 'back';
  const other = (name: 'front' | 'back') => (name === 'front' ? 'back' : 'front');
  const changed =
    options.change === 'longer' ? longer : options.change === 'shorter' ? other(longer) : options.change;
  const wanted = before[other(changed)];
  const piece = pieceOf(pattern, changed);
  const neckPoint = pointOf(piece, 'neck-point');
  const along = unit(sub(pointOf(piece, 'shoulder-tip'), neckPoint));
  const matched = assertSound(moveTip(piece, add(neckPoint, scale(along, wanted))));
  return altered(withPiece(pattern, matched), [
    {
      subject: 'shoulders',
      values: [
        { name: 'front before', mm: before.front },
        { name: 'back before', mm: before.back },
        { name: 'both after', mm: wanted },
      ],
    },
  ]);
}

export const matchShouldersAlteration = defineAlteration({
  name: 'match-shoulders',
  summary: 'make front and back shoulder equally long',
  schema: () =>
    z
      .strictObject({ change: z.enum(['front', 'back', 'longer', 'shorter']).optional() })
      .transform((o): MatchShouldersOptions => ({ change: o.change ?? MATCH_SHOULDERS_DEFAULTS.change })),
  apply: matchShoulders,
});
