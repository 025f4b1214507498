import { InputError } from '../../errors.js';
import type { FinishOptions, Shrinkage } from '../../finish/types.js';
import { bounds } from '../../geometry/polygon.js';
import type { Vec } from '../../geometry/vec.js';
import type { SizeRange } from '../../grade/types.js';
import { hasPiece } from '../../pattern/model.js';
import { cutCount } from '../drawing/piece.js';
import type { RuleBook } from '../rule-table.js';
import { oneLine } from '../text.js';
import type { Marked } from './pattern-chords.js';
import { ALONE, type MarkedPiece, markedPieces, type Nick } from './pattern-pieces.js';
import { pieceWords, textPlaces } from './pattern-text.js';
import type { PatternAxis, PatternLine, PatternNotch, PatternPiece, PatternVertex } from './pattern-types.js';

export interface BuildOptions {
  /** `cut`: the boundary is the cut line and the sewing line is drawn too. `sew`: the boundary is the sewing line. */
  readonly boundary: 'cut' | 'sew';
  /** Pieces on the fold as halves with a mirror line, or opened. */
  readonly fold: 'half' | 'open';
  /** Draw the sewing line beside a cut line. Default true. */
  readonly sewLines?: boolean;
  readonly finish: FinishOptions;
  readonly shrinkageOf: (fabric: string) => Shrinkage;
}

/** Width of a notch as drawn, mm: 0 is a slit. */
const SLIT = 0;

/** Numbers of the rules of a piece's named vertices and notches. */
type Rules = (key: string) => number | undefined;

/**
 * Every piece of every size as it stands in a pattern file, sizes in order and pieces in pattern order.
 *
 * @throws InputError and CheckError as finishing does.
 */
export function patternPieces(range: SizeRange, options: BuildOptions): PatternPiece[] {
  const marked = markedRange(range, options);
  return range.sizes.flatMap((_, i) =>
    marked.map((sizes) => patternPiece(sizes[i]!, options, () => undefined)),
  );
}

/**
 * The pieces of the base size, every turn point, curve point and notch with the number of its rule. Rules are the
 * moves of the lines that are written, cut lines where those are, in the final geometry.
 *
 * @param book numbers the rules; what is in it already is used again.
 * @throws InputError when a line has other vertices in another size, so that no rule could tell where they go.
 */
export function ruledPieces(range: SizeRange, options: BuildOptions, book: RuleBook): PatternPiece[] {
  const base = baseIndex(range);
  return markedRange(range, options).map((sizes) => {
    const places = sizes.map(placesOf);
    const own = sizes[base]!;
    const origin = places[base]!;
    sizes.forEach((other, i) => {
      assertAlike(own, other, [...origin.keys()], [...places[i]!.keys()]);
    });
    return patternPiece(own, options, (key) => {
      const at = origin.get(key);
      if (!at) return undefined;
      return book.numberOf(
        places.map((there): Vec => {
          const [x, y] = there.get(key)!;
          return [x - at[0], y - at[1]];
        }),
      );
    });
  });
}

function markedRange(range: SizeRange, options: BuildOptions): MarkedPiece[][] {
  const base = baseIndex(range);
  return range.sizes[base]!.pattern.pieces.map(({ name, fabric }) => {
    const missing = range.sizes.find(({ pattern }) => !hasPiece(pattern, name));
    if (missing) throw new InputError(`size ${missing.size} has no piece '${name}'`);
    return markedPieces(name, range.sizes, { ...options, shrinkage: options.shrinkageOf(fabric), base });
  });
}

function baseIndex({ sizes, base }: SizeRange): number {
  const at = sizes.findIndex(({ size }) => size === base);
  if (at >= 0) return at;
  throw new InputError(`the base size '${base}' is not among the sizes of the range`);
}

/** Where every vertex and notch that takes a rule lies. */
function placesOf({ boundary, sewLine, internals, nicks }: MarkedPiece): Map<string, Vec> {
  const lines = [boundary, sewLine?.vertices ?? [], ...internals];
  const places = new Map<string, Vec>();
  lines.forEach((line, i) => {
    for (const v of line) if (v.kind !== 'interpolated') places.set(keyOn(i, v), v.at);
  });
  for (const { key, at } of nicks) places.set(key, at);
  return places;
}

/** The boundary is line 0, the sewing line 1, internal lines follow. */
const keyOn = (line: number, { key }: Marked): string => `${line} ${key}`;

function assertAlike(base: MarkedPiece, other: MarkedPiece, ours: string[], theirs: string[]): void {
  const known = new Set(theirs);
  if (ours.length === theirs.length && ours.every((key) => known.has(key))) return;
  const why = ours.some((key) => key.includes(ALONE)) || theirs.some((key) => key.includes(ALONE));
  throw new InputError(
    why
      ? `the allowances of '${base.finished.name}' run into each other, so no grade rule can tell its cut line`
      : `the lines of '${base.finished.name}' have other vertices in size ${other.size} than in size ${base.size}, so no grade rule can tell them`,
    {
      mend: 'send every size as drawn (export --sizes all, or --per-size), or the sewing lines (--no-allowances)',
    },
  );
}

function patternPiece(marked: MarkedPiece, options: BuildOptions, rules: Rules): PatternPiece {
  const { finished, boundary, sewLine, internals, nicks, foldX } = marked;
  const half = foldX !== undefined && options.fold === 'half';
  const line = (index: number, vertices: readonly Marked[], closed: boolean): PatternLine => ({
    closed,
    vertices: vertices.map((v): PatternVertex => {
      const rule = v.kind === 'interpolated' ? undefined : rules(keyOn(index, v));
      return { at: v.at, kind: v.kind, ...(rule === undefined ? {} : { rule }) };
    }),
  });
  const { asDrawn, mirrored } = finished.counts;
  const piece: PatternPiece = {
    name: finished.name,
    block: '',
    size: finished.size,
    quantity: { asDrawn, mirrored },
    material: finished.fabric,
    category: undefined,
    boundary: line(0, boundary, true),
    mirror: half ? mirrorLine(boundary, foldX) : undefined,
    grain: finished.grain,
    gradeReference: referenceLine(boundary),
    internals: internals.map((vertices, i) => line(2 + i, vertices, false)),
    cutouts: [],
    sewLines: sewLine && options.sewLines !== false ? [line(1, sewLine.vertices, sewLine.closed)] : [],
    notches: nicks.map((nick) => notchPoint(nick, rules(nick.key))),
    drillHoles: [],
    annotations: [],
  };
  return withNotes(piece, marked, options, half);
}

function notchPoint({ at, inward: [dx, dy], depth }: Nick, rule: number | undefined): PatternNotch {
  return {
    at,
    shape: 'slit',
    depth,
    width: SLIT,
    angle: (Math.atan2(dy, dx) * 180) / Math.PI,
    ...(rule === undefined ? {} : { rule }),
  };
}

function mirrorLine(boundary: readonly Marked[], foldX: number): PatternAxis {
  const ys = boundary.filter((v) => Math.abs(v.at[0] - foldX) <= 1e-4).map((v) => v.at[1]);
  return { from: [foldX, Math.min(...ys)], to: [foldX, Math.max(...ys)] };
}

/** Level across the middle of the piece: along the courses, as the x of every rule is. */
function referenceLine(boundary: readonly Marked[]): PatternAxis {
  const { minX, minY, maxX, maxY } = bounds(boundary.map((v) => v.at));
  const y = (minY + maxY) / 2;
  const inset = (maxX - minX) / 4;
  return { from: [minX + inset, y], to: [maxX - inset, y] };
}

/** What whoever plots the piece should know, below what the piece says of itself. */
function withNotes(
  piece: PatternPiece,
  marked: MarkedPiece,
  options: BuildOptions,
  half: boolean,
): PatternPiece {
  const { finished, foldX } = marked;
  const notes = [
    `${finished.name}, size ${finished.size}`,
    `${cutCount(finished.counts)}, ${finished.fabric}`,
    ...(half ? ['half: mirror at the fold'] : foldX === undefined ? [] : ['opened at the fold']),
    options.boundary === 'cut' ? 'boundary is the cut line' : 'boundary is the sewing line: add allowances',
  ].map(oneLine);
  const words = pieceWords(piece);
  const places = textPlaces(piece, [...words, ...notes]).slice(words.length);
  return { ...piece, annotations: notes.map((text, i) => ({ ...places[i]!, text })) };
}
