import { z } from 'zod';
import { InputError } from '../errors.js';
import { friendlyErrors, lengthField } from '../fields.js';
import { length, line, mapPoints, nodes, type Path, pointAt } from '../geometry/path.js';
import {
  add,
  cross,
  unit as direction,
  distance,
  lerp,
  perp,
  rotate,
  scale,
  sub,
  type Vec,
} from '../geometry/vec.js';
import {
  type Edge,
  edgeOf,
  type Pattern,
  type Piece,
  pieceOf,
  pointOf,
  withPiece,
} from '../pattern/model.js';
import { moveEdge } from '../pattern/reshape.js';
import { altered, assertSound, defineAlteration, piecesField } from './alteration.js';
import { withCurvedHem } from './curved-hem.js';
import { findPlace, nearestAt, type Place, type PlaceRef, placeField } from './place.js';
import { isStraight, moveTip, trueBody } from './true-up.js';

/** One cut and how far it opens. */
export interface Cut {
  readonly from: PlaceRef;
  readonly to: PlaceRef;
  /** Opening at `from` and at `to`, mm; 0 at one end pivots there. */
  readonly open: number;
  readonly openTo: number;
}

export interface SlashOptions {
  readonly pieces: readonly string[];
  /** Cuts that do not cross each other, in any order; all are placed before the first is opened. */
  readonly cuts: readonly Cut[];
  /** Lift of the shoulder tip after the shoulder is drawn straight, mm. */
  readonly tipLift: number;
}

/** A cut shorter than this has no direction, mm. */
const LEAST_CUT = 1;

/**
 * Slash and spread: the piece is cut along lines from one edge to another and the part away from the fold is
 * moved off by `open` (half of a piece on the fold, which gains twice that). Each edge a cut crosses is redrawn
 * as one: a straight one straight, a curve by proportion; then shoulder, armhole and neckline are trued, and a
 * hem that a pivoted cut has opened is curved to stand square on fold and side seam.
 *
 * @throws InputError when both ends of a cut lie on one edge; CheckError when the piece crosses itself.
 */
export function slash(pattern: Pattern, options: SlashOptions): Pattern {
  return options.pieces.reduce(
    (result, name) => withPiece(result, slashPiece(pieceOf(result, name), options)),
    pattern,
  );
}

export const slashAlteration = defineAlteration({
  name: 'slash',
  summary: 'slash and spread, parallel or pivoted',
  schema: (unit) => {
    const cut = {
      from: placeField(unit),
      to: placeField(unit),
      open: lengthField(unit, 'not-negative'),
      'open-to': lengthField(unit, 'not-negative').optional(),
    };
    const asCut = (o: z.output<z.ZodObject<typeof cut>>): Cut => ({
      from: o.from,
      to: o.to,
      open: o.open,
      openTo: o['open-to'] ?? o.open,
    });
    const common = { piece: piecesField, 'tip-lift': lengthField(unit, 'not-negative').optional() };
    const one = z.strictObject({ ...common, ...cut });
    const several = z.strictObject({ ...common, cuts: z.array(z.strictObject(cut)).min(1) });
    return z
      .unknown()
      .transform((value, context) => {
        const schema = typeof value === 'object' && value !== null && 'cuts' in value ? several : one;
        const read = schema.safeParse(value, { error: friendlyErrors });
        if (read.success) return read.data;
        // Both forms share their fields: what is wrong is told of the form that was meant.
        for (const issue of read.error.issues) context.addIssue({ ...issue } as never);
        return z.NEVER;
      })
      .transform(
        (o): SlashOptions => ({
          pieces: o.piece,
          cuts: 'cuts' in o ? o.cuts.map(asCut) : [asCut(o)],
          tipLift: o['tip-lift'] ?? 0,
        }),
      );
  },
  apply: (pattern, options) => altered(slash(pattern, options)),
});

function slashPiece(piece: Piece, options: SlashOptions): Piece {
  const placed = options.cuts.map((cut) => {
    const a = findPlace(piece, cut.from);
    const b = findPlace(piece, cut.to, a.point);
    assertCut(piece, a, b);
    return { cut, a, b, moves: movingPoints(piece, a, b).size, x: a.point[0] + b.point[0] };
  });
  // The outermost first: what lies nearer to the fold then still is where its places were found.
  placed.sort((p, q) => p.moves - q.moves || q.x - p.x);
  const opened = placed.reduce(
    (now, { cut, a, b }) => openCut(now, again(now, a), again(now, b), cut),
    piece,
  );
  const crossed = (name: string) => placed.some(({ a, b }) => a.edge.name === name || b.edge.name === name);
  const pivoted = placed.some(({ cut }) => cut.open !== cut.openTo);
  const hemmed = pivoted && crossed('hem') && piece.fold ? withCurvedHem(opened) : opened;
  if (!crossed('shoulder')) return assertSound(hemmed);
  const tip = pointOf(hemmed, 'shoulder-tip');
  const lifted = moveTip(hemmed, add(tip, [0, options.tipLift]));
  return assertSound(trueBody(lifted));
}

function assertCut(piece: Piece, a: Place, b: Place): void {
  if (distance(a.point, b.point) < LEAST_CUT) {
    throw new InputError(`the cut through '${piece.name}' starts and ends at one point`, {
      mend: 'let it cross the piece to another edge',
    });
  }
  if (a.edge.name === b.edge.name) {
    throw new InputError(`the cut starts and ends on edge '${a.edge.name}' of '${piece.name}'`, {
      mend: 'let it cross the piece to another edge',
    });
  }
}

/** The place found again on a piece whose outer part has been moved: the nearest point of the same edge. */
function again(piece: Piece, place: Place): Place {
  const edge = edgeOf(piece, place.edge.name);
  if (edge === place.edge) return place;
  const at = nearestAt(edge.path, place.point);
  return { edge, at, point: pointAt(edge.path, at) };
}

function openCut(piece: Piece, a: Place, b: Place, cut: Cut): Piece {
  const moves = movingPoints(piece, a, b);
  const move = spread(piece, a.point, b.point, cut, moves);
  const edges = piece.edges.map((edge) => openEdge(edge, moves, move));
  return { ...piece, edges, ...movedInternals(piece, a.point, b.point, moves, move) };
}

/** Names of the points on the part that moves: the one without the fold, or the right one of a whole piece. */
function movingPoints(piece: Piece, a: Place, b: Place): ReadonlySet<string> {
  const after = pointsBetween(piece, a, b);
  const before = pointsBetween(piece, b, a);
  if (piece.fold) {
    const fold = piece.edges.find((e) => e.name === piece.fold)!;
    const holdsFold = (names: ReadonlySet<string>) => names.has(fold.from) && names.has(fold.to);
    if (holdsFold(after)) return before;
    if (holdsFold(before)) return after;
    throw new InputError(`the cut through '${piece.name}' crosses its fold`, {
      mend: 'end it on another edge',
    });
  }
  const middle = (names: ReadonlySet<string>) => {
    const points = [...names].map((name) => pointOf(piece, name));
    return points.reduce((sum, p) => sum + p[0], 0) / points.length;
  };
  return middle(after) > middle(before) ? after : before;
}

/** Point names met walking counter-clockwise from place `a` to place `b`. */
function pointsBetween(piece: Piece, a: Place, b: Place): ReadonlySet<string> {
  const count = piece.edges.length;
  const first = piece.edges.findIndex((e) => e.name === a.edge.name);
  const names = new Set<string>();
  for (const name of marksWithin(a.edge, a.at, Infinity)) names.add(name);
  for (let k = 1; k <= count; k++) {
    const edge = piece.edges[(first + k) % count]!;
    names.add(edge.from);
    const last = edge.name === b.edge.name;
    for (const name of marksWithin(edge, -1, last ? b.at : Infinity)) names.add(name);
    if (last) break;
  }
  return names;
}

function marksWithin(edge: Edge, after: number, before: number): string[] {
  return Object.entries(edge.marks ?? {})
    .filter(([, node]) => {
      const at = length(edge.path.slice(0, node));
      return at > after && at < before;
    })
    .map(([name]) => name);
}

/** The rigid move that opens the cut by `open` at a and `openTo` at b, away from the part that stays. */
function spread(piece: Piece, a: Vec, b: Vec, options: Cut, moving: ReadonlySet<string>): (p: Vec) => Vec {
  const across = perp(direction(sub(b, a)));
  const sample = [...moving].map((name) => pointOf(piece, name));
  const lean = sample.reduce((sum, p) => sum + cross(sub(b, a), sub(p, a)), 0);
  const outward = lean >= 0 ? across : scale(across, -1);
  const shifted = scale(outward, options.openTo);
  const reach = distance(a, b);
  const half = (options.open - options.openTo) / (2 * reach);
  // Chord geometry: turning by 2 asin(h) about b moves a by 2 h reach.
  const angle = 2 * Math.asin(Math.max(-1, Math.min(1, half))) * (lean >= 0 ? -1 : 1);
  return (p) => add(rotate(p, angle, b), shifted);
}

/** An edge with none, one or both ends on the moving part. */
function openEdge(edge: Edge, moving: ReadonlySet<string>, move: (p: Vec) => Vec): Edge {
  const names = [edge.from, edge.to, ...Object.keys(edge.marks ?? {})];
  const moved = names.filter((name) => moving.has(name));
  if (moved.length === 0) return edge;
  if (moved.length === names.length) return { ...edge, path: mapPoints(edge.path, move) };
  const start = edge.path[0]!.a;
  const end = edge.path[edge.path.length - 1]!.b;
  if (isStraight(edge.path)) {
    return {
      ...edge,
      path: straightened(
        edge,
        moving.has(edge.from) ? move(start) : start,
        moving.has(edge.to) ? move(end) : end,
      ),
    };
  }
  const chain = nodes(edge.path);
  return moveEdge(edge, (name) => {
    if (!moving.has(name)) return [0, 0];
    const node = name === edge.from ? 0 : name === edge.to ? chain.length - 1 : edge.marks![name]!;
    return sub(move(chain[node]!), chain[node]!);
  });
}

/** A straight edge between new ends; its nodes keep their shares of the length. */
function straightened(edge: Edge, start: Vec, end: Vec): Path {
  const chain = nodes(edge.path);
  const total = distance(chain[0]!, chain[chain.length - 1]!);
  const points = chain.map((p) => lerp(start, end, distance(chain[0]!, p) / total));
  return points.slice(1).map((p, i) => line(points[i]!, p));
}

function movedInternals(piece: Piece, a: Vec, b: Vec, moving: ReadonlySet<string>, move: (p: Vec) => Vec) {
  if (!piece.internals) return {};
  const side = (p: Vec) => Math.sign(cross(sub(b, a), sub(p, a)));
  const movingSide = Math.sign([...moving].reduce((sum, name) => sum + side(pointOf(piece, name)), 0));
  return {
    internals: piece.internals.map((internal) =>
      side(internal.path[0]!.a) === movingSide
        ? { ...internal, path: mapPoints(internal.path, move) }
        : internal,
    ),
  };
}
