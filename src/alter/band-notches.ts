import { edgeLength } from '../pattern/measure.js';
import { type EdgeUse, type Notch, type Pattern, pieceOf, withPiece } from '../pattern/model.js';

/** Places of a band's notches as shares of one part: quarters of a whole band, the middle of each of several. */
export const shares = (parts: number): readonly number[] => (parts === 1 ? [0.25, 0.5, 0.75] : [0.5]);

/**
 * Notches the edges that a band is sewn to where its own notches fall, so that it is stretched on evenly. The
 * band starts at the centre of the first edge's piece (a half on the fold is met twice, there and back) or at
 * the start of an edge of a whole piece; several parts meet at the side seams and have their middles at the
 * centres.
 */
export function withBandNotches(
  pattern: Pattern,
  band: string,
  uses: readonly EdgeUse[],
  parts: number,
): Pattern {
  return uses.reduce((result, use, index) => {
    const piece = pieceOf(result, use.piece);
    const name = `${band} on ${use.edge}`;
    const others = piece.notches.filter((notch) => notch.name !== name);
    const made = places(pattern, uses, index, parts).map(
      (at): Notch => ({ name, edge: use.edge, at, kind: 'single' }),
    );
    return withPiece(result, { ...piece, notches: [...others, ...made] });
  }, pattern);
}

function places(pattern: Pattern, uses: readonly EdgeUse[], index: number, parts: number): Notch['at'][] {
  const use = uses[index]!;
  if (use.times === 1) return uses.length === 1 ? shares(parts).map((ratio) => ({ ratio })) : [];
  // A half on the fold: its edge runs to the fold or from it, and the centre is at that end.
  const piece = pieceOf(pattern, use.piece);
  const fold = piece.edges.find((edge) => edge.name === piece.fold);
  const edge = piece.edges.find((e) => e.name === use.edge)!;
  const startsAtFold = fold !== undefined && edge.from === fold.to;
  const centre: Notch['at'] = { ratio: startsAtFold ? 0 : 1 };
  if (parts > 1 || uses.length !== 2) return [centre];
  // Two halves: a quarter of the whole lies half of both edges away from either centre.
  const own = edgeLength(pattern, use.piece, use.edge);
  const other = uses[1 - index]!;
  const quarter = (own + edgeLength(pattern, other.piece, other.edge)) / 2;
  if (quarter > own) return [centre];
  return [centre, { length: startsAtFold ? quarter : own - quarter }];
}
