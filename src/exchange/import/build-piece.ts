import type { TraceOptions } from '../../draft/trace.js';
import { InputError } from '../../errors.js';
import { directionAt, flatten, length, mapPoints, start } from '../../geometry/path.js';
import { bounds, selfCrossing } from '../../geometry/polygon.js';
import { add, cross, dot, norm, perp, scale, sub, unit, type Vec } from '../../geometry/vec.js';
import type { Counts, Edge, Notch, Piece } from '../../pattern/model.js';
import { edgesOf } from './edges.js';
import type { FoundPiece } from './found.js';
import { nearestOn } from './near-path.js';
import { type FoldSide, halved, mapped, type OrientOptions, orient, uprightSide } from './orient.js';
import { nameEdges } from './roles.js';

export interface BuildOptions extends OrientOptions {
  readonly trace: Partial<TraceOptions>;
}

/** A piece as it goes into a style. */
export interface BuiltPiece {
  readonly piece: Piece;
  /** The piece as found, in the frame of `piece`. */
  readonly found: FoundPiece;
  /** Whether its names are those that alterations and increments go by, and whether they are no numbers. */
  readonly role: boolean;
  readonly known: boolean;
  readonly notes: readonly string[];
  /** Greatest distance of a traced point from its edge, and the scatter of the points; mm. */
  readonly worst: number;
  readonly noise: number;
}

/** A notch lies on its outline within this, mm; on a cut line within an allowance of the sewing line. */
const ON_OUTLINE = 3;
const WIDEST_ALLOWANCE = 80;
const FLAT = 0.2;

/**
 * A found piece as a piece of a pattern: oriented, traced, named, its notches by shares of its edges.
 *
 * @throws InputError for an outline that encloses nothing or crosses itself.
 */
export function buildPiece(found: FoundPiece, options: BuildOptions): BuiltPiece {
  const notes: string[] = [];
  const oriented = orient(found, options);
  notes.push(...oriented.notes);
  const { piece } = oriented;
  const edges = edgesOf(piece, oriented.onFold, options.trace);
  if (oriented.onFold && !edges.fold) {
    notes.push('its left side is not straight and upright for two fifths of its height, so it has no fold');
  }
  if (options.fold === undefined && !oriented.onFold && isBody(found.name)) notes.push(...foldHint(piece));
  const named = nameEdges(piece, edges);
  notes.push(...edges.notes, ...named.notes);
  const outline = named.edges.flatMap((edge) => flatten(edge.path, FLAT).slice(0, -1));
  const crossing = selfCrossing(outline);
  if (crossing) {
    const [x, y] = outline[crossing[0]]!;
    throw new InputError(`the outline crosses itself near (${x.toFixed(0)}, ${y.toFixed(0)}) mm`);
  }
  const fold = edges.fold ? 'fold' : undefined;
  const counts = found.counts ?? countsOf(found, fold !== undefined, notes);
  const { traced } = edges;
  if (traced.noise > 0 && traced.tolerance > (options.trace.tolerance ?? 0)) {
    notes.push(
      `its points scatter by ${traced.noise.toFixed(2)} mm: traced within ${traced.tolerance.toFixed(2)} mm instead of ${(options.trace.tolerance ?? 0).toFixed(2)} mm`,
    );
  }
  const built: Piece = {
    name: found.name,
    edges: named.edges,
    ...(fold === undefined ? {} : { fold }),
    grain: grainOf(piece),
    notches: notchesOf(piece, named.edges, fold, notes),
    ...(piece.internals.length > 0 ? { internals: piece.internals } : {}),
    counts,
    fabric: fabricOf(found, notes),
  };
  // The traced fold lies a hair beside the leftmost point: a half starts at x = 0.
  const shift = fold === undefined || options.inPlace ? 0 : -start(built.edges[foldAt(built)]!.path)[0];
  return {
    piece: shift === 0 ? built : shifted(built, shift),
    found: shift === 0 ? piece : mapped(piece, ([x, y]) => [x + shift, y], false),
    role: named.role,
    known: named.known,
    notes,
    worst: traced.worst,
    noise: traced.noise,
  };
}

const foldAt = (piece: Piece): number => piece.edges.findIndex((edge) => edge.name === piece.fold);

function shifted(piece: Piece, by: number): Piece {
  const move = ([x, y]: Vec): Vec => [x + by, y];
  const edges = piece.edges.map((edge) => ({ ...edge, path: mapPoints(edge.path, move) }));
  return {
    ...piece,
    edges,
    grain: { from: move(piece.grain.from), to: move(piece.grain.to) },
    ...(piece.internals
      ? { internals: piece.internals.map((i) => ({ ...i, path: mapPoints(i.path, move) })) }
      : {}),
  };
}

/** What to say to the import of a front or back whose fold nobody told. */
function foldHint(piece: FoundPiece): string[] {
  const say = (side: FoldSide) => `say --fold ${piece.name}=${side}`;
  if (halved(piece)) return [`it is symmetric: to keep one half of it, on the fold, ${say('center')}`];
  const side = uprightSide(piece);
  return side ? [`its ${side} side is straight and upright: if it lies on the fold, ${say(side)}`] : [];
}

/** Whether a piece is one that usually lies on the fold. */
export const isBody = (name: string): boolean => name === 'front' || name === 'back';

/** How often a text says that its piece is cut: `cut 2`, `x2`, `2 x`; `1 pair`. */
const HOW_OFTEN = /\b(?:cut|x)\s*(\d{1,2})\b|\b(\d{1,2})\s*x\b/i;
const IN_PAIRS = /\b(?:(\d{1,2})\s+)?pairs?\b|\bmirrored\b/i;

/** What pattern makers write for the cloth that a piece is cut from (common practice, no source), and its fabric here. */
const CLOTHS: readonly (readonly [written: RegExp, fabric: string])[] = [
  [/\brib(?:bing)?\b/i, 'rib'],
  [/\blining\b/i, 'lining'],
  [/\b(?:interfacing|interlining|fusing|fusible)\b/i, 'interfacing'],
  [/\bcontrast\b/i, 'contrast'],
  [/\b(?:self|shell|main)\b/i, 'self'],
];

/** The texts on a piece that say how often it is cut. */
const cutTexts = ({ texts }: FoundPiece): string[] =>
  texts.map(({ text }) => text).filter((text) => HOW_OFTEN.test(text) || IN_PAIRS.test(text));

/** `cut 1, rib`: the cloth, read from the texts that say how often a piece is cut; a name such as `rib` says nothing. */
function fabricOf(found: FoundPiece, notes: string[]): string {
  if (found.fabric !== undefined) return found.fabric;
  for (const text of cutTexts(found)) {
    const cloth = CLOTHS.find(([written]) => written.test(text));
    if (!cloth) continue;
    const [, fabric] = cloth;
    if (fabric !== 'self') notes.push(`'${text.slice(0, 40)}' is read as cut from the fabric '${fabric}'`);
    return fabric;
  }
  return 'self';
}

/** How many opened pieces one garment takes, read from the texts on a piece. */
function countsOf(found: FoundPiece, onFold: boolean, notes: string[]): Counts {
  const [text] = cutTexts(found);
  if (text !== undefined) {
    const match = HOW_OFTEN.exec(text);
    const pair = IN_PAIRS.exec(text);
    const count = Number(match?.[1] ?? match?.[2] ?? 2);
    const pairs = pair ? Number(pair[1] ?? 1) : 0;
    const counts: Counts =
      pairs > 0
        ? { asDrawn: pairs, mirrored: pairs }
        : onFold
          ? { asDrawn: count, mirrored: 0 }
          : { asDrawn: Math.ceil(count / 2), mirrored: Math.floor(count / 2) };
    notes.push(`'${text.slice(0, 40)}' is read as ${counts.asDrawn} as drawn, ${counts.mirrored} mirrored`);
    return counts;
  }
  const pair = found.name === 'sleeve';
  notes.push(`it does not say how often it is cut: ${pair ? '1 as drawn, 1 mirrored' : 'once'} is assumed`);
  return { asDrawn: 1, mirrored: pair ? 1 : 0 };
}

function grainOf(piece: FoundPiece): Piece['grain'] {
  if (piece.grain) return { from: piece.grain[0], to: piece.grain[1] };
  const { minX, minY, maxX, maxY } = bounds(piece.outline.map((s) => s.a));
  const x = (minX + maxX) / 2;
  return { from: [x, minY + (maxY - minY) / 4], to: [x, maxY - (maxY - minY) / 4] };
}

function notchesOf(
  piece: FoundPiece,
  edges: readonly Edge[],
  fold: string | undefined,
  notes: string[],
): Notch[] {
  const within = piece.cut ? WIDEST_ALLOWANCE : ON_OUTLINE;
  const made: Notch[] = [];
  for (const { at, kind, inside } of piece.notches) {
    const near = nearestEdge(edges, fold, at, inside);
    if (!near || near.off > within) {
      notes.push(`a notch at (${at.map((k) => k.toFixed(0)).join(', ')}) mm lies on no edge and was dropped`);
      continue;
    }
    const name = freeName(made, near.edge.name);
    // As a share, so that it stays on its edge in every size.
    const ratio = Math.min(1, Math.max(0, near.at / length(near.edge.path)));
    made.push({ name, edge: near.edge.name, at: { ratio }, kind });
  }
  return made;
}

/** Edges this much farther off than the nearest are as near: at a corner the way in tells which is meant, mm. */
const AS_NEAR = 0.1;

function nearestEdge(edges: readonly Edge[], fold: string | undefined, at: Vec, inside: Vec | undefined) {
  const near = edges
    .filter((edge) => edge.name !== fold)
    .map((edge) => ({ edge, ...nearestOn(edge.path, at) }))
    .sort((a, b) => a.off - b.off);
  const first = near[0];
  if (!first || !inside) return first;
  const inward = sub(inside, at);
  // Off a cut line the way in leads to where it is sewn; the nearest place may lie round a corner.
  const met = first.off > AS_NEAR ? firstMet(edges, fold, at, inward, MET_WITHIN * first.off) : undefined;
  if (met) return met;
  const square = ({ edge, at: along }: (typeof near)[number]) =>
    dot(perp(directionAt(edge.path, along)), inward);
  return near
    .filter((other) => other.off <= first.off + AS_NEAR)
    .reduce((best, other) => (square(other) > square(best) + 1e-9 ? other : best));
}

/** Where the way in from a notch is looked for, as a multiple of the way to the nearest edge. */
const MET_WITHIN = 3;
/** A way in that passes the end of an edge this close meets it, mm. */
const AT_END = 0.01;

/** The edge that the way `inward` from a notch meets first, and where; undefined when none is within `most` mm. */
function firstMet(edges: readonly Edge[], fold: string | undefined, at: Vec, inward: Vec, most: number) {
  const along = unit(inward);
  let best: { reach: number; edge: Edge } | undefined;
  for (const edge of edges) {
    if (edge.name === fold) continue;
    const line = flatten(edge.path, 0.05);
    line.slice(1).forEach((b, i) => {
      const a = line[i]!;
      const side = sub(b, a);
      const turn = cross(along, side);
      if (Math.abs(turn) < 1e-9) return;
      const reach = cross(sub(a, at), side) / turn;
      const share = cross(sub(a, at), along) / turn;
      const slack = AT_END / norm(side);
      if (reach < 0 || reach > most || share < -slack || share > 1 + slack) return;
      if (!best || reach < best.reach) best = { reach, edge };
    });
  }
  if (!best) return undefined;
  return {
    edge: best.edge,
    ...nearestOn(best.edge.path, add(at, scale(along, best.reach))),
    off: best.reach,
  };
}

function freeName(made: readonly Notch[], edge: string): string {
  let k = 1;
  while (made.some((n) => n.name === `${edge}-${k}`)) k++;
  return `${edge}-${k}`;
}
