import { length } from '../geometry/path.js';
import { edgeLength } from '../pattern/measure.js';
import {
  type EdgeUse,
  edgeOf,
  type Notch,
  type Pattern,
  type Piece,
  pieceOf,
  withPiece,
} from '../pattern/model.js';

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
  const piece = pieceOf(pattern, use.piece);
  if (use.times === 1) return uses.length === 1 ? shares(parts).map((ratio) => ({ ratio })) : [];
  const centre: Notch['at'][] = piece.fold ? [{ ratio: startsAtFold(piece, use.edge) ? 0 : 1 }] : [];
  if (parts > 1) return centre;
  const quarter = quarterOn(pattern, uses, index);
  return quarter === undefined ? centre : [...centre, { length: quarter }];
}

/**
 * Where on an edge a quarter of the ring lies, as arc length from its start: half of the way from the centre of
 * the first edge's piece to that of the last one's. Undefined where it lies on another edge, or where the ring
 * does not run from fold to fold.
 */
function quarterOn(pattern: Pattern, uses: readonly EdgeUse[], index: number): number | undefined {
  const pieces = uses.map((use) => pieceOf(pattern, use.piece));
  const ends = [0, uses.length - 1];
  if (uses.length < 2 || pieces.some((piece, i) => (piece.fold !== undefined) !== ends.includes(i))) {
    return undefined;
  }
  const sizes = uses.map((use) => edgeLength(pattern, use.piece, use.edge));
  const sum = (to: number) => sizes.slice(0, to).reduce((total, mm) => total + mm, 0);
  const along = sum(uses.length) / 2 - sum(index);
  const own = sizes[index]!;
  const edge = edgeOf(pieces[index]!, uses[index]!.edge);
  const runs = runsAlong(pieces, uses, index);
  // The last edge alone takes a quarter that falls on where it starts.
  if (along > own || along < 0 || (along === 0 && index > 0 && index < uses.length - 1)) return undefined;
  return runs === undefined ? undefined : runs ? along : length(edge.path) - along;
}

/** Whether an edge runs the way of the ring; undefined where it shares no named point with its neighbours. */
function runsAlong(pieces: readonly Piece[], uses: readonly EdgeUse[], index: number): boolean | undefined {
  const at = (i: number) => edgeOf(pieces[i]!, uses[i]!.edge);
  const edge = at(index);
  if (index === 0) return startsAtFold(pieces[0]!, edge.name);
  if (index === uses.length - 1) return !startsAtFold(pieces[index]!, edge.name);
  const [before, after] = [at(index - 1), at(index + 1)];
  if ([before.from, before.to].includes(edge.to) || [after.from, after.to].includes(edge.from)) return false;
  if ([before.from, before.to].includes(edge.from) || [after.from, after.to].includes(edge.to)) return true;
  return undefined;
}

/** Whether an edge runs from its piece's fold, where its centre is, or to it. */
function startsAtFold(piece: Piece, edgeName: string): boolean {
  const fold = piece.edges.find((edge) => edge.name === piece.fold);
  return fold !== undefined && edgeOf(piece, edgeName).from === fold.to;
}
