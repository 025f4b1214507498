import { z } from 'zod';
import { add, scale, sub, unit } from '../geometry/vec.js';
import { frontAndBack } from '../pattern/measure.js';
import { type Pattern, type Piece, pieceOf, pointOf, withPiece } from '../pattern/model.js';
import { type Altered, altered, assertSound, defineAlteration } from './alteration.js';
import { moveTip } from './true-up.js';

type Side = 'front' | 'back';

export interface MatchShouldersOptions {
  /** Which piece changes its shoulder to match the other; `both` meet half-way. */
  readonly change: 'front' | 'back' | 'longer' | 'shorter' | 'both';
}

export const MATCH_SHOULDERS_DEFAULTS: MatchShouldersOptions = { change: 'front' };

/** Shoulders this near are equally long already, mm. */
const MATCHED = 0.01;

/** Makes both shoulders equally long by moving shoulder tips along their own shoulder lines. */
export function matchShoulders(pattern: Pattern, options: MatchShouldersOptions): Altered {
  const before = frontAndBack(pattern, 'shoulder');
  const longer: Side = before.front >= before.back ? 'front' : 'back';
  const other = (name: Side): Side => (name === 'front' ? 'back' : 'front');
  const chosen: readonly Side[] =
    options.change === 'longer'
      ? [longer]
      : options.change === 'shorter'
        ? [other(longer)]
        : options.change === 'both'
          ? ['front', 'back']
          : [options.change];
  const [first] = chosen;
  const wanted = chosen.length === 2 ? (before.front + before.back) / 2 : before[other(first!)];
  let result = pattern;
  for (const name of chosen) {
    // Drawn again to no end, a shoulder would lose the run that a forward shift gave its neckline.
    if (Math.abs(before[name] - wanted) <= MATCHED) continue;
    result = withPiece(result, assertSound(withShoulder(pieceOf(result, name), wanted)));
  }
  return altered(result, [
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

function withShoulder(piece: Piece, wanted: number): Piece {
  const neckPoint = pointOf(piece, 'neck-point');
  const along = unit(sub(pointOf(piece, 'shoulder-tip'), neckPoint));
  return moveTip(piece, add(neckPoint, scale(along, wanted)));
}

export const matchShouldersAlteration = defineAlteration({
  name: 'match-shoulders',
  summary: 'make front and back shoulder equally long',
  schema: () =>
    z
      .strictObject({ change: z.enum(['front', 'back', 'longer', 'shorter', 'both']).optional() })
      .transform((o): MatchShouldersOptions => ({ change: o.change ?? MATCH_SHOULDERS_DEFAULTS.change })),
  apply: matchShoulders,
});
