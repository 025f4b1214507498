import { PIECE_ROLES } from '../../draft/carried-roles.js';
import { type Traced, type TraceOptions, traceOutline } from '../../draft/trace.js';
import { line, type Path, segmentPoint, start } from '../../geometry/path.js';
import { distance, type Vec } from '../../geometry/vec.js';
import { carry } from '../../pattern/reshape.js';
import { type FoundPiece, slug } from './found.js';
import { cornerLabels, labelsOf } from './labels.js';

/** Edges of a piece between its corners, the fold first where there is one. */
export interface Edges {
  readonly paths: readonly Path[];
  /** Turn at the start of each, degrees. */
  readonly turns: readonly number[];
  readonly traced: Traced;
  /** The first edge is the fold: upright, from its upper end down. */
  readonly fold: boolean;
  readonly notes: readonly string[];
}

/** An edge that reaches a fold this near to square is drawn square, degrees. */
const SQUARE_WITHIN = 6;
/** Ends of a fold lie within this of the left side, mm, and the noise. */
const AT_SIDE = 1.5;
/** A fold runs along the left side for at least this share of the height. */
const FOLD_SHARE = 0.4;

/**
 * The outline of an oriented piece as edges. On a fold the left side becomes one straight upright edge, and edges
 * that reach it nearly at a right angle reach it at one, so that the opened piece is smooth there.
 */
export function edgesOf(piece: FoundPiece, onFold: boolean, options: Partial<TraceOptions>): Edges {
  const corners = namedCorners(piece) ?? piece.marked?.filter((m) => m.kind === 'corner').map((m) => m.at);
  const minX = Math.min(...piece.outline.map((s) => s.a[0]));
  const square = (corner: Vec, found: Vec): Vec | undefined => {
    if (Math.abs(corner[0] - minX) > AT_SIDE) return undefined;
    const degrees = (Math.atan2(Math.abs(found[1]), Math.abs(found[0])) * 180) / Math.PI;
    return degrees <= SQUARE_WITHIN ? [Math.sign(found[0]), 0] : undefined;
  };
  const crown = piece.name === 'sleeve' && !piece.marked ? crownOf(piece) : undefined;
  const traced = traceOutline(thinned(piece.outline), {
    ...options,
    ...(crown ? { joints: [crown.at] } : {}),
    ...(corners && corners.length >= 2 ? { corners } : {}),
    ...(onFold ? { square } : {}),
  });
  const notes = crown ? [`the crown of the sleeve is ${crown.by}`] : [];
  const plain = { paths: traced.edges, turns: traced.turns, traced, fold: false, notes };
  if (!onFold) return plain;
  const side = foldRun(traced.edges, minX, AT_SIDE + 3 * traced.noise);
  return side ? withFold(plain, side) : plain;
}

/** More sides of an outline than this tell nothing more: a piece 2.5 m round has one every 0.3 mm. */
const MOST_SIDES = 8000;

/** A row of very many short lines with every second, third, ... of its points. */
function thinned(outline: Path): Path {
  const stride = Math.ceil(outline.length / MOST_SIDES);
  if (stride === 1 || outline.some((s) => s.kind !== 'line')) return outline;
  const points = outline.filter((_, i) => i % stride === 0).map((s) => s.a);
  return points.map((p, i) => line(p, points[(i + 1) % points.length]!));
}

/** Edges, one or a row of them, that run down the left side; as index and count. */
function foldRun(edges: readonly Path[], minX: number, within: number): [number, number] | undefined {
  const isSide = edges.map((path) =>
    path.every((s) => [s.a, s.b].every((p) => Math.abs(p[0] - minX) <= within)),
  );
  const count = edges.length;
  const ys = edges.map((path) => start(path)[1]);
  const height = Math.max(...ys) - Math.min(...ys);
  for (let i = 0; i < count; i++) {
    if (!isSide[i] || isSide[(i + count - 1) % count]) continue;
    let n = 1;
    while (n < count - 1 && isSide[(i + n) % count]) n++;
    const run = start(edges[i]!)[1] - start(edges[(i + n) % count]!)[1];
    if (run >= FOLD_SHARE * height) return [i, n];
  }
  return undefined;
}

function withFold({ paths, turns, traced, notes }: Edges, [at, count]: [number, number]): Edges {
  const total = paths.length;
  const order = (k: number) => (at + k) % total;
  const top = start(paths[at]!);
  const low = start(paths[order(count)]!);
  // A fold that lies at 0 but for rounding lies at 0.
  const middle = (top[0] + low[0]) / 2;
  const x = Math.abs(middle) < 0.01 ? 0 : middle;
  const [from, to]: [Vec, Vec] = [
    [x, top[1]],
    [x, low[1]],
  ];
  const rest = Array.from({ length: total - count }, (_, k) => paths[order(count + k)]!);
  const led = rest.map((path, k) => {
    const a = k === 0 ? to : start(path);
    const b = k === rest.length - 1 ? from : path[path.length - 1]!.b;
    return ledTo(path, a, b);
  });
  return {
    paths: [[line(from, to)], ...led],
    turns: [turns[at]!, ...Array.from({ length: total - count }, (_, k) => turns[order(count + k)]!)],
    traced,
    fold: true,
    notes,
  };
}

function ledTo(path: Path, a: Vec, b: Vec): Path {
  const end = path[path.length - 1]!.b;
  if (distance(start(path), a) === 0 && distance(end, b) === 0) return path;
  return carry(path, a, b);
}

/** Corners that texts name, where they name all of the piece: nobody looks for others then. */
function namedCorners(piece: FoundPiece): Vec[] | undefined {
  const role = PIECE_ROLES[piece.name];
  const labels = role && cornerLabels(labelsOf(piece), role);
  // A crown is no corner: the cap runs on smoothly there.
  return labels?.filter(({ name }) => name !== 'crown').map(({ at }) => at);
}

/** A shoulder notch lies no farther than this from the highest point of a cap, mm. */
const CROWN_REACH = 30;

/** Where the shoulder meets the cap of a sleeve: at its name, else at a notch near its highest point, else there. */
function crownOf(piece: FoundPiece): { at: Vec; by: string } {
  const label = piece.texts.find((t) => slug(t.text) === 'crown');
  if (label) return { at: label.at, by: 'where its name stands' };
  const top = piece.outline.reduce((best, s) => (s.a[1] > best[1] ? s.a : best), piece.outline[0]!.a);
  const [notch] = piece.notches
    .filter((n) => distance(n.at, top) <= CROWN_REACH)
    .sort((a, b) => distance(a.at, top) - distance(b.at, top));
  if (notch) return { at: notch.at, by: 'the notch near the highest point of its cap' };
  return { at: highest(piece.outline), by: 'the highest point of its cap' };
}

/** Highest point of an outline, by samples of its segments. */
function highest(path: Path): Vec {
  let best = start(path);
  for (const s of path) {
    for (let k = 0; k < 64; k++) {
      const p = segmentPoint(s, k / 64);
      if (p[1] > best[1]) best = p;
    }
  }
  return best;
}
