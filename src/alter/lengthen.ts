import { z } from 'zod';
import { CheckError, InputError } from '../errors.js';
import { lengthField } from '../fields.js';
import { crossings, end, line, start, startDirection } from '../geometry/path.js';
import { add, sub, type Vec } from '../geometry/vec.js';
import {
  type Edge,
  edgeOf,
  type Pattern,
  type Piece,
  pieceOf,
  pointOf,
  pointsOf,
  withPiece,
} from '../pattern/model.js';
import { movePoints } from '../pattern/reshape.js';
import { altered, assertSound, defineAlteration, piecesField } from './alteration.js';
import { sideLean, withCurvedHem, withSquareHem } from './curved-hem.js';
import { extendStart, trimStart } from './edge-start.js';
import { findPlace, type PlaceRef, placeField } from './place.js';
import { isStraight } from './true-up.js';

export interface LengthenOptions {
  readonly pieces: readonly string[];
  /** mm; negative shortens. */
  readonly by: number;
  /** A place whose level is cut and spread; without it the hem itself moves. */
  readonly at?: PlaceRef;
}

export const LENGTHEN_DEFAULTS = { pieces: ['back', 'front'] } as const;

/** A side seam that leans less than this at the hem still meets it squarely, radians (a degree). */
const LEAST_LEAN = Math.PI / 180;

/**
 * Lengthens (or, with a negative amount, shortens) body pieces along the grain. At the hem the side seam and
 * the fold run straight on down, and a hem cut off where the seam leans is squared to it; at a level everything below it moves down and the side seam is blended: redrawn
 * through by proportion between the named points above and below.
 *
 * @throws CheckError when the piece would be shortened past a named point.
 */
export function lengthen(pattern: Pattern, options: LengthenOptions): Pattern {
  return options.pieces.reduce((result, name) => {
    const piece = pieceOf(result, name);
    const changed =
      options.at === undefined ? moveHem(piece, options.by) : spreadAt(piece, options.at, options.by);
    return withPiece(result, assertSound(changed));
  }, pattern);
}

export const lengthenAlteration = defineAlteration({
  name: 'lengthen',
  summary: 'lengthen or shorten at the hem or at a level',
  schema: (unit) =>
    z
      .strictObject({
        by: lengthField(unit),
        at: placeField(unit).optional(),
        piece: piecesField.optional(),
      })
      .transform(
        (o): LengthenOptions => ({
          pieces: o.piece ?? LENGTHEN_DEFAULTS.pieces,
          by: o.by,
          ...(o.at === undefined ? {} : { at: o.at }),
        }),
      ),
  apply: (pattern, options) => altered(lengthen(pattern, options)),
});

function moveHem(piece: Piece, by: number): Piece {
  const hem = edgeOf(piece, 'hem');
  const side = edgeOf(piece, 'side');
  const corner = start(side.path);
  // Run on along its own direction, so that a slanted seam has no knee.
  const along = startDirection(side.path);
  const lowered =
    by >= 0 ? extendStart(side, along[1] > 0 ? by / along[1] : by) : shortened(piece, side, -by);
  // Take the side seam to its new start first, then carry hem and fold to it.
  const to = start(lowered.path);
  const center = pointOf(piece, hem.from);
  const carried = movePoints(
    piece,
    new Map<string, Vec>([
      [hem.from, [0, -by]],
      [hem.to, sub(to, corner)],
    ]),
  );
  const straightFold: Edge | undefined = piece.fold ? edgeOf(carried, piece.fold) : undefined;
  const edges = carried.edges.map((edge) => {
    if (edge.name === 'side') return lowered;
    if (edge === straightFold) {
      return { ...edge, path: [line(start(edge.path), add(center, [0, -by]))] };
    }
    return edge;
  });
  const moved: Piece = { ...carried, edges };
  if (!piece.fold) return moved;
  // Cut off where a shaped seam leans, the hem is squared to it again.
  if (by < 0 && sideLean(moved) > LEAST_LEAN) return withSquareHem(moved);
  return isStraight(hem.path) ? moved : withCurvedHem(moved);
}

function shortened(piece: Piece, side: Edge, by: number): Edge {
  const level = start(side.path)[1] + by;
  const cut = crossings(side.path, [0, level], [1, 0])[0];
  const lowestMark = Math.min(Number.POSITIVE_INFINITY, ...Object.values(side.marks ?? {}));
  const mark = lowestMark === Number.POSITIVE_INFINITY ? end(side.path) : side.path[lowestMark - 1]!.b;
  if (!cut || level >= mark[1]) {
    throw new CheckError(
      `piece '${piece.name}' cannot be shortened by ${by.toFixed(1)} mm: its side seam has ${(mark[1] - start(side.path)[1]).toFixed(1)} mm below its next named point`,
      { mend: 'shorten less, or shorten at a level with at' },
    );
  }
  return trimStart(side, cut.at);
}

function spreadAt(piece: Piece, at: PlaceRef, by: number): Piece {
  const { point, edge } = findPlace(piece, at);
  const [, level] = point;
  const below = new Map<string, Vec>();
  const stays = new Map<string, Vec>();
  for (const [name, p] of pointsOf(piece)) {
    if (p[1] < level - 1e-9) below.set(name, [0, -by]);
    else stays.set(name, p);
  }
  if (below.size === 0) {
    throw new InputError(`nothing of piece '${piece.name}' lies below '${placeName(at)}'`, {
      mend: 'name a place above the hem, such as waist or side at 50%',
    });
  }
  // Closed farther than to the next named point above, the piece would fold over.
  const lowest = Math.min(...[...stays.values()].map((p) => p[1]));
  const highest = Math.max(...[...below.keys()].map((name) => pointOf(piece, name)[1]));
  if (highest - by >= lowest) {
    throw new CheckError(
      `piece '${piece.name}' cannot be shortened by ${(-by).toFixed(1)} mm on '${edge.name}': there are ${(lowest - highest).toFixed(1)} mm between its named points there`,
      { mend: 'shorten it less, or at several levels' },
    );
  }
  return movePoints(piece, below);
}

const placeName = (ref: PlaceRef): string => (ref.kind === 'name' ? ref.name : ref.edge);
