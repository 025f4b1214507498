import {
  crossings,
  end,
  length,
  line,
  mapPoints,
  type Path,
  pointAt,
  reverse,
  splitAt,
  start,
} from '../../geometry/path.js';
import { bounds } from '../../geometry/polygon.js';
import { distance, rotate, sub, type Vec } from '../../geometry/vec.js';
import type { FoundPiece, MarkedPoint } from './found.js';

/** Which side of a piece lies on the fold; `center` halves a piece that was drawn whole. */
export const FOLD_SIDES = ['left', 'right', 'center', 'none'] as const;
export type FoldSide = (typeof FOLD_SIDES)[number];

export interface OrientOptions {
  /** Direction of the grain in the drawing, degrees counter-clockwise from across; found or taken as up when left out. */
  readonly grain?: number;
  readonly fold?: FoldSide;
  /** A piece that has a frame of its own stays where it lies. */
  readonly inPlace?: boolean;
}

export interface Oriented {
  readonly piece: FoundPiece;
  /** Whether its left side is to be its fold. */
  readonly onFold: boolean;
  readonly notes: readonly string[];
}

/** A grain this little off upright is left as it is: turning by less would only blur exact coordinates, degrees. */
const UPRIGHT = 0.02;
/** A fold leans by no more than this after the grain is upright, degrees. */
const FOLD_LEAN = 3;

/**
 * A piece turned so that its grain runs up, mirrored so that its fold lies at the left, halved where asked, and
 * moved: a half so that its fold is x = 0, any piece so that its lowest point is y = 0.
 */
export function orient(found: FoundPiece, options: OrientOptions): Oriented {
  const notes: string[] = [];
  let piece = turned(found, options, notes);
  let side = options.fold ?? sideOf(piece, notes);
  if (options.fold !== undefined && options.fold !== 'none' && options.fold !== 'center') {
    notes.push(`its ${side} side is its fold, as asked for`);
  }
  if (side === 'center') {
    const half = halved(piece);
    if (half) {
      piece = half;
      side = 'left';
      notes.push('it was drawn whole: its right half is kept, on the fold');
    } else {
      notes.push('it is not symmetric about an upright line, so it is not halved');
      side = 'none';
    }
  }
  if (side === 'right') {
    piece = mapped(piece, ([x, y]) => [-x, y], true);
    notes.push('mirrored, so that its fold lies at the left');
  }
  return {
    piece: options.inPlace ? piece : moved(piece),
    onFold: side === 'left' || side === 'right',
    notes,
  };
}

function turned(found: FoundPiece, options: OrientOptions, notes: string[]): FoundPiece {
  const asked = options.grain;
  const [from, to] = found.grain ?? [
    [0, 0],
    [0, 1],
  ];
  const along = sub(to, from);
  const drawn = (Math.atan2(along[1], along[0]) * 180) / Math.PI;
  const degrees = asked ?? drawn;
  if (asked !== undefined) notes.push(`the grain lies at ${asked} degrees in the drawing, as asked for`);
  else if (!found.grain) notes.push('no grain line was found: up in the drawing is taken for the grain');
  // The nearer way to upright: an arrow that points down is a grain line all the same.
  const off = ((((90 - degrees) % 180) + 270) % 180) - 90;
  // Of two ways that are as near, the one that leaves the arrow pointing up.
  const by =
    off === -90 && Math.sin((degrees * Math.PI) / 180) <= Math.cos((degrees * Math.PI) / 180) ? 90 : off;
  if (Math.abs(by) < UPRIGHT) return found;
  notes.push(`turned by ${by.toFixed(1)} degrees, so that its grain runs up`);
  const radians = (by * Math.PI) / 180;
  return mapped(found, (p) => rotate(p, radians), false);
}

/** The side a fold line or a text tells. */
function sideOf(piece: FoundPiece, notes: string[]): FoldSide {
  const { minX, maxX } = boxOf(piece.outline);
  if (piece.fold) {
    const [a, b] = piece.fold;
    const lean = (Math.atan2(Math.abs(a[0] - b[0]), Math.abs(a[1] - b[1])) * 180) / Math.PI;
    if (lean > FOLD_LEAN) {
      notes.push(
        `its fold line lies ${lean.toFixed(0)} degrees off the grain, so it is not taken for a fold`,
      );
      return 'none';
    }
    const x = (a[0] + b[0]) / 2;
    const share = (x - minX) / (maxX - minX);
    if (share > 0.25 && share < 0.75) return 'center';
    notes.push('its fold line was found');
    return share <= 0.25 ? 'left' : 'right';
  }
  const said = piece.texts.find((t) => /\b(?:on|to)\s+(?:the\s+)?fold\b|\bcut\s+on\s+fold\b/i.test(t.text));
  if (!said) return 'none';
  const side = uprightSide(piece);
  if (!side) {
    notes.push(
      `it says '${said.text.slice(0, 40)}', but neither its left nor its right side is straight and upright`,
    );
    return 'none';
  }
  notes.push(`it says '${said.text.slice(0, 40)}': its ${side} side is its fold`);
  return side;
}

/** Least share of its height along which a side runs straight and upright. */
const UPRIGHT_SHARE = 0.5;
/** Off upright by no more than this, mm. */
const STRAIGHT = 1.5;

/**
 * The side that runs straight and upright for at least half of a piece's height. Of two such sides the longer one: a
 * fold runs from hem to neck, a side seam ends at the underarm; left before right where they are alike.
 */
export function uprightSide(piece: FoundPiece): 'left' | 'right' | undefined {
  const { minX, minY, maxX, maxY } = boxOf(piece.outline);
  const run = (x: number) => {
    const ys = piece.outline.flatMap((s) =>
      Math.abs(s.a[0] - x) <= STRAIGHT && Math.abs(s.b[0] - x) <= STRAIGHT ? [s.a[1], s.b[1]] : [],
    );
    return ys.length === 0 ? 0 : Math.max(...ys) - Math.min(...ys);
  };
  const least = UPRIGHT_SHARE * (maxY - minY);
  const [left, right] = [run(minX), run(maxX)];
  if (Math.max(left, right) < least) return undefined;
  return right > left + STRAIGHT ? 'right' : 'left';
}

/** The right half of a piece that is symmetric about the upright line through its middle; undefined when it is not. */
export function halved(piece: FoundPiece): FoundPiece | undefined {
  const { minX, maxX } = boxOf(piece.outline);
  const x = (minX + maxX) / 2;
  const cut = cutUpright(piece.outline, x);
  if (!cut) return undefined;
  const keep = ([px]: Vec) => px >= x - STRAIGHT;
  return {
    ...piece,
    outline: cut,
    fold: [
      [x, 0],
      [x, 1],
    ],
    internals: piece.internals.filter(({ path }) => keep(start(path)) && keep(end(path))),
    notches: piece.notches.filter(({ at }) => keep(at)),
    ...(piece.marked
      ? { marked: [...piece.marked.filter(({ at }) => keep(at)), ...foldCorners(piece.marked, cut)] }
      : {}),
  };
}

/** The ends of a new fold are corners, where the file does not mark them so already. */
function foldCorners(marked: readonly MarkedPoint[], half: Path): MarkedPoint[] {
  const fold = half[half.length - 1]!;
  return [fold.a, fold.b]
    .filter((at) => !marked.some((m) => m.kind === 'corner' && distance(m.at, at) <= STRAIGHT))
    .map((at) => ({ at, kind: 'corner' }));
}

/** How far mirrored places of an outline may lie apart for it to be symmetric, mm. */
const SYMMETRY = 2;
const SYMMETRY_SAMPLES = 48;

function cutUpright(outline: Path, x: number): Path | undefined {
  const whole = length(outline);
  // A ring that starts on the line meets it there twice, at its start and its end.
  const met = crossings(outline, [x, 0], [0, 1]).filter(({ at }) => at < whole - 1e-6);
  if (met.length !== 2) return undefined;
  const [a, b] = [met[0]!.at, met[1]!.at];
  if (b - a < 1 || whole - (b - a) < 1) return undefined;
  const [first, rest] = a < 1e-9 ? [[], outline] : splitAt(outline, a);
  const [middle, last] = whole - b < 1e-9 ? [rest, []] : splitAt(rest, b - a);
  const outer = [...last, ...first];
  const [right, left] = sideSign(middle, x) > 0 ? [middle, outer] : [outer, middle];
  const [sizeR, sizeL] = [length(right), length(left)];
  // Walked from the same crossing, mirrored places must fall on each other.
  const back = reverse(left);
  for (let k = 0; k <= SYMMETRY_SAMPLES; k++) {
    const p = pointAt(right, (sizeR * k) / SYMMETRY_SAMPLES);
    const q = pointAt(back, (sizeL * k) / SYMMETRY_SAMPLES);
    if (distance(p, [2 * x - q[0], q[1]]) > SYMMETRY) return undefined;
  }
  const [from, to] = [end(right), start(right)];
  return [...right, line(from, to)];
}

const sideSign = (path: Path, x: number): number => pointAt(path, length(path) / 2)[0] - x;

function moved(piece: FoundPiece): FoundPiece {
  const { minX, minY } = boxOf(piece.outline);
  return mapped(piece, ([x, y]) => [x - minX, y - minY], false);
}

const boxOf = (path: Path) =>
  bounds(path.flatMap((s) => (s.kind === 'line' ? [s.a, s.b] : [s.a, pointAt([s], length([s]) / 2), s.b])));

const markedAt = (point: MarkedPoint, f: (p: Vec) => Vec): MarkedPoint => ({
  ...point,
  at: f(point.at),
  ...(point.sizes ? { sizes: point.sizes.map(([size, at]) => [size, f(at)] as const) } : {}),
});

/** A piece with everything in it mapped; `mirrors` when the map turns it over. */
export function mapped(piece: FoundPiece, f: (p: Vec) => Vec, mirrors: boolean): FoundPiece {
  const outline = mapPoints(piece.outline, f);
  return {
    ...piece,
    outline: mirrors ? reverse(outline) : outline,
    ...(piece.cut ? { cut: mirrors ? piece.cut.map(f).reverse() : piece.cut.map(f) } : {}),
    ...(piece.marked ? { marked: piece.marked.map((m) => markedAt(m, f)) } : {}),
    ...(piece.fold ? { fold: [f(piece.fold[0]), f(piece.fold[1])] as const } : {}),
    ...(piece.grain ? { grain: [f(piece.grain[0]), f(piece.grain[1])] as const } : {}),
    internals: piece.internals.map((i) => ({ ...i, path: mapPoints(i.path, f) })),
    notches: piece.notches.map((n) => ({ ...n, at: f(n.at), ...(n.inside ? { inside: f(n.inside) } : {}) })),
    texts: piece.texts.map((t) => ({ ...t, at: f(t.at) })),
  };
}
