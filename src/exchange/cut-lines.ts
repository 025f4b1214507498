import { perimeter, signedArea } from '../geometry/polygon.js';
import { distance, type Vec } from '../geometry/vec.js';
import type { Marker } from '../lay/types.js';
import { cutStart, partOutline } from './drawing/fold.js';
import { assertDrawable } from './drawing/marker.js';
import { SegmentGrid } from './segment-grid.js';

/** One line that a cutter follows, mm, in the order in which it is written. */
export interface CutLine {
  /** Running number of the piece in its marker. */
  readonly piece: number;
  /** Name and size, for messages. */
  readonly name: string;
  readonly closed: boolean;
  readonly points: readonly Vec[];
  /** Where a closed line must start: equal pieces start at the same place. */
  readonly start?: Vec;
  /** Ends of the folds that an open line must run between. */
  readonly folds: readonly Vec[];
}

/** Two pieces with a stretch of line in common. */
export interface SharedLine {
  readonly pieces: readonly [number, number];
  /** mm. */
  readonly length: number;
}

/** What the cut lines of a marker come to. Lengths mm. */
export interface CutLineReport {
  readonly marker: string;
  readonly pieces: number;
  readonly closed: number;
  /** Lines that are open because they run from fold to fold. */
  readonly foldToFold: number;
  /** Length of all cut lines as written: what the files of the marker add up to. */
  readonly length: number;
  readonly gap: number;
  /** Length that two pieces have in common, counted once; it is cut twice. Above 0 only with a gap of 0. */
  readonly shared: number;
  /** Pairs of pieces that share a line, the longest first. */
  readonly sharedBy: readonly SharedLine[];
  /** What a cutter would stumble over, a sentence each; none when all is well. */
  readonly faults: readonly string[];
}

/** Two lines nearer than this are one line to a knife, mm: curves are flattened no finer. */
const SAME_LINE = 0.1;
/** Less in common than this is a touch, not a shared line, mm. */
const LEAST_SHARED = 1;
/** Farthest an end may be off a fold, or a start off its place, mm. */
const AT_PLACE = 0.01;
/** Vertices nearer than this are one, mm: files carry four decimals. */
const SAME_VERTEX = 0.0005;

/**
 * The cut lines of a marker as every writer draws them.
 *
 * @throws InputError when a piece has no outline or a coordinate of it is not finite.
 */
export function cutLines(marker: Marker): CutLine[] {
  return marker.pieces.flatMap((placed): CutLine[] => {
    assertDrawable(placed);
    const { closed, cut, fold } = partOutline(placed);
    const folds = fold.flatMap((run) => [run[0]!, run[run.length - 1]!]);
    const name = `${placed.piece.name} ${placed.piece.size}`;
    return cut.map((points) => ({
      piece: placed.number,
      name,
      closed,
      points,
      folds,
      ...(closed ? { start: cutStart(placed) } : {}),
    }));
  });
}

/** Checks the cut lines of a marker: see `CutLineReport`. */
export const checkCutLines = (marker: Marker): CutLineReport => ({
  marker: marker.name,
  pieces: marker.pieces.length,
  ...judgeLines(cutLines(marker), marker.options.gap),
});

/** What a set of cut lines comes to, with the least distance that their pieces should keep, mm. */
export function judgeLines(lines: readonly CutLine[], gap: number): Omit<CutLineReport, 'marker' | 'pieces'> {
  const pairs = doubledLengths(lines, gap);
  const doubled = pairs.filter(({ a, b }) => a === b || gap > 0);
  const sharedBy = pairs
    .filter((pair) => !doubled.includes(pair))
    .map(({ a, b, length }): SharedLine => ({ pieces: [lines[a]!.piece, lines[b]!.piece], length }))
    .sort((p, q) => q.length - p.length);
  return {
    closed: lines.filter((line) => line.closed).length,
    foldToFold: lines.filter((line) => !line.closed).length,
    length: lines.reduce((sum, line) => sum + lengthOf(line), 0),
    gap,
    shared: sharedBy.reduce((sum, { length }) => sum + length, 0),
    sharedBy,
    faults: [
      ...lines.flatMap(faultsOf),
      ...doubled.map(({ a, b, length }) => doubledFault(lines[a]!, lines[b]!, length)),
    ],
  };
}

/** Length of a line in mm; a closed one with the way back to its start. */
function lengthOf({ points, closed }: CutLine): number {
  if (closed) return perimeter(points);
  return points.reduce((sum, p, i) => (i === 0 ? 0 : sum + distance(points[i - 1]!, p)), 0);
}

function faultsOf(line: CutLine): string[] {
  const { points, closed, start, folds } = line;
  const who = whoOf(line);
  if (points.length < (closed ? 3 : 2)) return [`${who}: the cut line has ${points.length} vertices`];
  const faults: string[] = [];
  const repeated = points.findIndex((p, i) => {
    const next = i + 1 < points.length ? points[i + 1]! : closed ? points[0]! : undefined;
    return next !== undefined && distance(p, next) < SAME_VERTEX;
  });
  if (repeated >= 0) faults.push(`${who}: vertex ${repeated + 1} of the cut line is there twice`);
  // An open line is closed by the fold it ends on, so its direction shows the same way.
  if (signedArea(points) <= 0) faults.push(`${who}: the cut line does not run counter-clockwise`);
  if (!closed) {
    const ends = [points[0]!, points[points.length - 1]!];
    const onFold = ends.every((end) => folds.some((fold) => distance(end, fold) <= AT_PLACE));
    if (!onFold) faults.push(`${who}: the cut line is open and does not run from fold to fold`);
  } else if (start && distance(points[0]!, start) > AT_PLACE) {
    faults.push(`${who}: the cut line does not start where equal pieces start`);
  }
  return faults;
}

function doubledFault(a: CutLine, b: CutLine, length: number): string {
  const mm = `${length.toFixed(1)} mm`;
  if (a === b) return `${whoOf(a)}: ${mm} of the cut line run back over themselves`;
  return `${whoOf(a)} and ${whoOf(b)}: ${mm} of their cut lines lie on each other`;
}

const whoOf = ({ piece, name }: CutLine): string => `piece ${piece} (${name})`;

interface Doubled {
  /** Indices of the lines; equal when a line runs back over itself. */
  readonly a: number;
  readonly b: number;
  readonly length: number;
}

/** Lengths that lines have in common with one another or with themselves, by pair of lines. */
function doubledLengths(lines: readonly CutLine[], gap: number): Doubled[] {
  const within = gap > 0 ? Math.min(SAME_LINE, gap / 2) : SAME_LINE;
  const grid = new SegmentGrid(lines);
  const byPair = new Map<number, number>();
  grid.eachNearPair(within, (i, j) => {
    const length = grid.inCommon(i, j, within);
    if (length === 0) return;
    const [a, b] = [grid.line[i]!, grid.line[j]!];
    const key = Math.min(a, b) * lines.length + Math.max(a, b);
    byPair.set(key, (byPair.get(key) ?? 0) + length);
  });
  return [...byPair]
    .filter(([, length]) => length >= LEAST_SHARED)
    .map(([key, length]) => ({ a: Math.floor(key / lines.length), b: key % lines.length, length }))
    .sort((p, q) => p.a - q.a || p.b - q.b);
}
