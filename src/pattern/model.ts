import { InputError, suggest } from '../errors.js';
import { end, nodes, type Path, start, sweptArea } from '../geometry/path.js';
import { samePoint, type Vec } from '../geometry/vec.js';

/**
 * A named stretch of a piece's outline. `marks` names nodes inside its chain (1 is the end of the first
 * segment), so that a waist on a side seam can be moved and graded by name.
 */
export interface Edge {
  readonly name: string;
  readonly from: string;
  readonly to: string;
  readonly path: Path;
  readonly marks?: Readonly<Record<string, number>>;
  /** How the edge was drawn, when it can be drawn again from its end points alone. */
  readonly drawn?: Drawn;
  /** Meets the fold at an angle on purpose, as a V neck does: no dip, no peak. */
  readonly pointed?: boolean;
  /** Length that a forward shoulder gave to this armhole, or (negative) took from it, mm. */
  readonly shifted?: number;
}

/** `round` serves crew, boat and back necks; a `scoop` stands upright longer and turns low; a `v` is nearly straight. */
export type NecklineShape = 'round' | 'scoop' | 'v';

/**
 * An armhole through a guide point `inward` mm off the vertical under the tip, at `height` (a share of the way
 * up from the underarm, the middle when left out), its underarm curve reaching `scoop` of the way in; a
 * neckline of a shape, round when left out, its handles `fullness` times as long as drafted.
 */
export type Drawn =
  | {
      readonly as: 'armhole';
      readonly inward: number;
      readonly height?: number;
      readonly scoop?: number;
    }
  | { readonly as: 'neckline'; readonly shape?: NecklineShape; readonly fullness?: number };

export interface Notch {
  readonly name: string;
  readonly edge: string;
  /** Arc length along the sewing line from the edge's start, or a share of its length. */
  readonly at: { readonly length: number } | { readonly ratio: number };
  readonly kind: 'single' | 'double';
}

export interface Stretch {
  /** Direction of greatest stretch in the piece frame: along the courses (x) or along the wales (y). */
  readonly along: 'course' | 'wale';
  readonly percent: number;
}

/** How many opened pieces one garment takes. */
export interface Counts {
  readonly asDrawn: number;
  readonly mirrored: number;
}

/** Cumulative increments of one size against the base, mm by measure name. */
export type Growth = Readonly<Record<string, number>>;

/** The step that made a derived piece; it runs again after every change of what it was derived from. */
export interface Derivation {
  readonly step: string;
  readonly from: readonly string[];
  readonly run: (pattern: Pattern, growth: Growth) => Pattern;
}

/**
 * One piece in its own frame: x along the courses, y along the wales, millimetres, edges counter-clockwise.
 * A piece cut on the fold holds one half and names the fold edge, which is a straight line.
 */
export interface Piece {
  readonly name: string;
  readonly edges: readonly Edge[];
  readonly fold?: string;
  readonly grain: { readonly from: Vec; readonly to: Vec };
  readonly stretch?: Stretch;
  readonly internals?: readonly { readonly name: string; readonly path: Path }[];
  readonly notches: readonly Notch[];
  readonly counts: Counts;
  readonly fabric: string;
  readonly derived?: Derivation;
}

/** One edge as it takes part in a seam: `times` such edges meet in the garment. */
export interface EdgeUse {
  readonly piece: string;
  readonly edge: string;
  readonly times: number;
}

/** `length(left) = ratio x length(right) + plus`, within `tolerance` mm. */
export interface Seam {
  readonly name: string;
  readonly left: readonly EdgeUse[];
  readonly right: readonly EdgeUse[];
  readonly ratio: number;
  readonly plus: number;
  readonly tolerance: number;
  /** The longer side is eased in, whatever it is longer by at the time, up to this many mm. */
  readonly easeUpTo?: number;
}

export type MeasureTerm =
  | { readonly kind: 'edge'; readonly piece: string; readonly edge: string; readonly times: number }
  | {
      readonly kind: 'span';
      readonly piece: string;
      readonly from: string;
      readonly to: string;
      readonly axis: 'x' | 'y' | 'direct';
      readonly times: number;
    };

/** A point of measure: a sum of terms taken from the geometry. */
export interface PointOfMeasure {
  readonly name: string;
  readonly terms: readonly MeasureTerm[];
  /** Growth this measure should show: increment name -> factor. Left out where growth is only observed. */
  readonly grows?: Readonly<Record<string, number>>;
  readonly tolerance: number;
  /** Taken from the pattern that the pieces are cut from: where its points lie no longer on one piece. */
  readonly on?: 'construction';
}

export interface Pattern {
  readonly name: string;
  readonly pieces: readonly Piece[];
  readonly seams: readonly Seam[];
  readonly measures: readonly PointOfMeasure[];
  /**
   * The pattern that pieces of this one are cut from, as raglan pieces are from a set-in body and sleeve. It is
   * what is graded; the pieces are derived from it again in every size.
   */
  readonly construction?: Pattern;
}

/** @throws InputError naming the nearest known piece. */
export function pieceOf(pattern: Pattern, name: string): Piece {
  const piece = pattern.pieces.find((p) => p.name === name);
  if (piece) return piece;
  const names = pattern.pieces.map((p) => p.name);
  throw new InputError(`unknown piece '${name}'`, { mend: suggest(name, names) });
}

/** @throws InputError naming the nearest known edge. */
export function edgeOf(piece: Piece, name: string): Edge {
  const edge = piece.edges.find((e) => e.name === name);
  if (edge) return edge;
  const names = piece.edges.map((e) => e.name);
  throw new InputError(`piece '${piece.name}' has no edge '${name}'`, { mend: suggest(name, names) });
}

/** Every named point of a piece: edge ends and marks. */
export function pointsOf(piece: Piece): ReadonlyMap<string, Vec> {
  const points = new Map<string, Vec>();
  for (const edge of piece.edges) {
    points.set(edge.from, start(edge.path));
    const chain = nodes(edge.path);
    for (const [name, node] of Object.entries(edge.marks ?? {})) points.set(name, chain[node]!);
  }
  return points;
}

/** @throws InputError naming the nearest known point. */
export function pointOf(piece: Piece, name: string): Vec {
  const points = pointsOf(piece);
  const point = points.get(name);
  if (point) return point;
  throw new InputError(`piece '${piece.name}' has no point '${name}'`, {
    mend: suggest(name, [...points.keys()]),
  });
}

export const hasPiece = (pattern: Pattern, name: string): boolean =>
  pattern.pieces.some((p) => p.name === name);

/** The pattern with `piece` in the place of the one of that name, or added at the end. */
export function withPiece(pattern: Pattern, piece: Piece): Pattern {
  const known = hasPiece(pattern, piece.name);
  return {
    ...pattern,
    pieces: known
      ? pattern.pieces.map((p) => (p.name === piece.name ? piece : p))
      : [...pattern.pieces, piece],
  };
}

export function withSeam(pattern: Pattern, seam: Seam): Pattern {
  return { ...pattern, seams: [...pattern.seams.filter((s) => s.name !== seam.name), seam] };
}

/** The piece with the named edge replaced; the caller keeps the loop closed. */
export const withEdge = (piece: Piece, edge: Edge): Piece => ({
  ...piece,
  edges: piece.edges.map((e) => (e.name === edge.name ? edge : e)),
});

/** Area enclosed by the sewing line as stored (a half for a piece on the fold), square millimetres. */
export const pieceArea = (piece: Piece): number =>
  piece.edges.reduce((sum, edge) => sum + sweptArea(edge.path), 0);

/** @throws InputError when the edges do not form one closed loop whose point names agree. */
export function assertClosed(piece: Piece): Piece {
  piece.edges.forEach((edge, i) => {
    const next = piece.edges[(i + 1) % piece.edges.length]!;
    if (edge.to !== next.from || !samePoint(end(edge.path), start(next.path), 1e-6)) {
      throw new InputError(
        `piece '${piece.name}' is not closed between '${edge.name}' and '${next.name}' at '${edge.to}'`,
      );
    }
  });
  return piece;
}
