import { CheckError, InputError, suggest } from '../errors.js';
import type { CutPiece } from '../finish/types.js';
import { bounds } from '../geometry/polygon.js';
import { halfOf, isSymmetricPiece } from './halves.js';
import type { SizeRatio } from './schema.js';
import { isOpen, layFrame, spreadOf } from './spread.js';
import { acrossLay, turnOf } from './turns.js';
import type { Fabric, LayOptions, Side } from './types.js';

/** Copies of one cut piece that a marker holds, and for which wearables. */
export interface Demand {
  /** With its half filled in where it lies on a fold. */
  readonly piece: CutPiece;
  /** Hand that is laid; with `eitherHand` the search may lay the other one. */
  readonly mirrored: boolean;
  /** Every placement cuts one of each hand (from two layers or two plies), whichever of them is drawn. */
  readonly eitherHand: boolean;
  /** Laid as a half on this fold: one placement opens to one piece. */
  readonly fold?: Side;
  /** One entry per copy: the garment it is for, such as `M-2`, or the two that share what it cuts, `M-1+M-2`. */
  readonly garments: readonly string[];
}

/** The sizes of a style's pieces, in the order in which they come. */
export const sizesOf = (pieces: readonly CutPiece[]): string[] => [...new Set(pieces.map((p) => p.size))];

export interface MarkerDemand {
  readonly demands: readonly Demand[];
  /** Cut beyond what the garments need. */
  readonly spare: readonly { readonly piece: string; readonly size: string; readonly count: number }[];
  readonly garments: number;
}

/**
 * What a marker must hold so that one ply gives the garments of a size ratio (face to face: two plies, twice as
 * many).
 *
 * - Single, face up: exactly as drawn and mirrored.
 * - Face to face: the full count, in either hand, because the ply above cuts the other.
 * - Folded and tubular: one placement cuts two layers, the lower one mirrored. A pair is placed once. A symmetric
 *   piece is placed opened for two needed; a single one lies as a half on a fold, which opens to one piece, as far
 *   as `options.onFold` allows it, and else cuts two, of which one is spare.
 *
 * @throws InputError for a size without pieces; CheckError when a mode cannot give a piece's hands.
 */
export function markerDemand(
  pieces: readonly CutPiece[],
  fabric: Fabric,
  ratio: SizeRatio,
  options: Pick<LayOptions, 'gap' | 'sideMargin' | 'foldMargin' | 'onFold'> = { gap: 0, sideMargin: 0 },
): MarkerDemand {
  const sizes = sizesOf(pieces);
  const unknown = Object.keys(ratio).find((size) => !sizes.includes(size));
  if (unknown !== undefined) {
    throw new InputError(`unknown size '${unknown}' in a size ratio`, { mend: suggest(unknown, sizes) });
  }
  const demands: Demand[] = [];
  const onFold: { piece: CutPiece; garment: string }[] = [];
  const spare: { piece: string; size: string; count: number }[] = [];
  let garments = 0;
  for (const [size, count] of Object.entries(ratio)) {
    garments += count;
    const names = Array.from({ length: count }, (_, i) => `${size}-${i + 1}`);
    for (const piece of pieces.filter((p) => p.size === size && p.fabric === fabric.name)) {
      if (isOpen(fabric.mode)) demands.push(...openDemands(piece, names, fabric));
      else {
        const found = doubleDemand(piece, names, fabric, options);
        demands.push(found.opened);
        onFold.push(...found.onFold.map((garment) => ({ piece: found.piece, garment })));
        if (found.spare > 0) spare.push({ piece: piece.name, size, count: found.spare });
      }
    }
  }
  demands.push(...dealtToFolds(onFold, spreadOf(fabric).folds));
  return { demands: demands.filter((d) => d.garments.length > 0), spare, garments };
}

function openDemands(piece: CutPiece, garments: readonly string[], fabric: Fabric): Demand[] {
  const { asDrawn, mirrored } = piece.counts;
  const copies = (count: number) => garments.flatMap((g) => new Array<string>(count).fill(g));
  if (fabric.mode === 'single') {
    return [
      { piece, mirrored: false, eitherHand: false, garments: copies(asDrawn) },
      { piece, mirrored: true, eitherHand: false, garments: copies(mirrored) },
    ];
  }
  const symmetric = isSymmetricPiece(piece);
  if (!symmetric && asDrawn !== mirrored) throw unequalHands(piece, fabric);
  return [{ piece, mirrored: false, eitherHand: !symmetric, garments: copies(asDrawn + mirrored) }];
}

/** Placements of one piece on cloth of two layers. */
function doubleDemand(
  piece: CutPiece,
  garments: readonly string[],
  fabric: Fabric,
  options: Pick<LayOptions, 'gap' | 'sideMargin' | 'foldMargin' | 'onFold'>,
): { opened: Demand; piece: CutPiece; onFold: string[]; spare: number } {
  const { asDrawn, mirrored } = piece.counts;
  const symmetric = isSymmetricPiece(piece);
  if (!symmetric && asDrawn !== mirrored) throw unequalHands(piece, fabric);
  const each = asDrawn + mirrored;
  const policy = options.onFold ?? 'odd';
  const frame = layFrame(fabric, options);
  const half = policy === 'none' || turnOf(piece, false, fabric) !== 0 ? undefined : halfOf(piece);
  // A half that does not reach beyond the fold's margin could not be told from none.
  const foldable =
    half && bounds(half.cut).maxX - half.foldX > Math.max(frame.low, frame.high)
      ? { ...piece, half }
      : undefined;
  const opened = (labels: readonly string[]): Demand => ({
    piece,
    mirrored: false,
    eitherHand: !symmetric,
    garments: labels,
  });
  if (foldable && acrossLay(piece, fabric) > frame.stripWidth) {
    const all = garments.flatMap((g) => new Array<string>(each).fill(g));
    return { opened: opened([]), piece: foldable, onFold: all, spare: 0 };
  }
  const pairs = garments.flatMap((g) => new Array<string>(Math.floor(each / 2)).fill(g));
  const singles = each % 2 === 1 ? [...garments] : [];
  if (foldable && policy === 'all') {
    return { opened: opened(pairs), piece: foldable, onFold: singles, spare: 0 };
  }
  const odd = singles.length % 2 === 1 ? singles.pop()! : undefined;
  const shared = singles.flatMap((g, i) => (i % 2 === 0 ? [`${g}+${singles[i + 1]!}`] : []));
  const placed = [...pairs, ...shared];
  if (odd === undefined) return { opened: opened(placed), piece, onFold: [], spare: 0 };
  if (foldable) return { opened: opened(placed), piece: foldable, onFold: [odd], spare: 0 };
  return { opened: opened([...placed, odd]), piece, onFold: [], spare: 1 };
}

/** Halves dealt to the folds so that both are filled alike: the longest first, each to the emptier fold. */
function dealtToFolds(
  halves: readonly { piece: CutPiece; garment: string }[],
  folds: readonly Side[],
): Demand[] {
  const long = ({ half }: CutPiece) => {
    const { minY, maxY } = bounds(half!.cut);
    return maxY - minY;
  };
  const filled = new Map(folds.map((side) => [side, 0]));
  const dealt = new Map<string, { piece: CutPiece; fold: Side; garments: string[] }>();
  for (const { piece, garment } of [...halves].sort((a, b) => long(b.piece) - long(a.piece))) {
    const fold = folds.reduce((a, b) => (filled.get(b)! < filled.get(a)! ? b : a));
    filled.set(fold, filled.get(fold)! + long(piece));
    const key = `${piece.name}|${piece.size}|${fold}`;
    const known = dealt.get(key) ?? { piece, fold, garments: [] };
    known.garments.push(garment);
    dealt.set(key, known);
  }
  return [...dealt.values()].map((d) => ({ ...d, mirrored: false, eitherHand: false }));
}

function unequalHands(piece: CutPiece, { mode }: Fabric): CheckError {
  const { asDrawn, mirrored } = piece.counts;
  const where =
    mode === 'tubular'
      ? 'cut from a tube'
      : mode === 'folded'
        ? 'cut from folded cloth'
        : 'cut from plies laid face to face';
  const mend = mode === 'tubular' ? 'lay it on fabric opened to single width' : 'lay it in mode: single';
  return new CheckError(
    `piece '${piece.name}' (${asDrawn} as drawn, ${mirrored} mirrored) cannot be ${where}: each placement gives one of each hand`,
    { mend: `${mend}, or give the piece as many mirrored as drawn` },
  );
}

/**
 * Garments that must be treated as one because a placement serves two of them: the first garment's name for every
 * garment, by its name.
 */
export function boundGarments(demands: readonly Demand[]): ReadonlyMap<string, string> {
  const first = new Map<string, string>();
  const root = (name: string): string => {
    const next = first.get(name);
    if (next === undefined) first.set(name, name);
    return next === undefined || next === name ? name : root(next);
  };
  for (const label of demands.flatMap((d) => d.garments)) {
    const [a, ...others] = label.split('+').map(root);
    for (const b of others) first.set(root(b), root(a!));
  }
  return new Map([...first.keys()].map((name) => [name, root(name)]));
}
