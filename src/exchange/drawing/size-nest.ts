import { InputError, suggest } from '../../errors.js';
import { flatten, start } from '../../geometry/path.js';
import { type Box, bounds, signedArea } from '../../geometry/polygon.js';
import { add, sub, type Vec } from '../../geometry/vec.js';
import type { SizeRange } from '../../grade/types.js';
import { hasPiece, type Piece, pieceOf, pointsOf } from '../../pattern/model.js';
import { type Look, paletteFor } from '../palette.js';

export interface SizeNestOptions {
  /** Named point of the piece that all sizes share in the drawing. Default: the piece's own frame. */
  readonly stack?: string;
  /** Warning that stands in the drawing. */
  readonly stamp?: string;
}

/** One size in a size nest: its sewing line as stored (a half when it is cut on a fold). */
export interface NestedSize {
  readonly size: string;
  readonly isBase: boolean;
  readonly look: Look;
  readonly ring: readonly Vec[];
  readonly fold?: readonly [Vec, Vec];
}

/** All sizes of one piece, stacked; mm, y up. */
export interface SizeNest {
  readonly piece: string;
  readonly sizes: readonly NestedSize[];
  /** Box round all outlines. */
  readonly room: Box;
  /** Where all sizes meet, when they were stacked at a point. */
  readonly stack?: { readonly name: string; readonly at: Vec };
}

/** Farthest a drawn chord is off its curve, mm. */
const FLATTEN = 0.1;

/**
 * One piece in all sizes with the look of each. A derived piece that a size lacks is left out there.
 *
 * @throws InputError when no size has a piece of that name, or the piece has no point to stack at.
 */
export function sizeNest(range: SizeRange, piece: string, { stack }: SizeNestOptions = {}): SizeNest {
  const sizes = range.sizes.filter(({ pattern }) => hasPiece(pattern, piece));
  if (sizes.length === 0) throw new InputError(`no size has a piece '${piece}'`);
  const look = paletteFor(range.sizes.map((s) => s.size));
  const anchor = (drawn: Piece): Vec | undefined => {
    if (stack === undefined) return undefined;
    const points = pointsOf(drawn);
    const at = points.get(stack);
    if (at) return at;
    throw new InputError(`piece '${piece}' has no point '${stack}' to stack its sizes at`, {
      mend: suggest(stack, [...points.keys()]),
    });
  };
  const base = sizes.find((s) => s.size === range.base) ?? sizes[0]!;
  const home = anchor(pieceOf(base.pattern, piece));
  const nested = sizes.map(({ size, pattern }): NestedSize => {
    const drawn = pieceOf(pattern, piece);
    const at = anchor(drawn);
    const by = home && at ? sub(home, at) : ([0, 0] as const);
    return { size, isBase: size === range.base, look: look(size), ...outlineOf(drawn, by) };
  });
  return {
    piece,
    sizes: nested,
    room: bounds(nested.flatMap((s) => [...s.ring])),
    ...(stack !== undefined && home ? { stack: { name: stack, at: home } } : {}),
  };
}

/** What a size nest shows, in words. */
export const nestTitle = ({ piece, sizes }: SizeNest): string =>
  `${piece}: ${sizes.map((s) => s.size).join(', ')}`;

export const nestNote = ({ stack }: SizeNest): string =>
  `Sewing lines of all sizes before allowances, stacked ${stack ? `at ${stack.name}` : 'in the frame of the piece'}.`;

function outlineOf(piece: Piece, by: Vec): { ring: Vec[]; fold?: readonly [Vec, Vec] } {
  const ring = piece.edges.flatMap((edge) =>
    flatten(edge.path, FLATTEN)
      .slice(0, -1)
      .map((p) => add(p, by)),
  );
  const turned = signedArea(ring) < 0 ? ring.reverse() : ring;
  const fold = piece.edges.find((edge) => edge.name === piece.fold);
  if (!fold) return { ring: turned };
  return { ring: turned, fold: [add(start(fold.path), by), add(fold.path[fold.path.length - 1]!.b, by)] };
}
