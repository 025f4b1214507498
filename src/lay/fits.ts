import { InputError } from '../errors.js';
import { area, bounds } from '../geometry/polygon.js';
import { boundGarments, type Demand } from './counts.js';
import { halfOf } from './halves.js';
import { alongLay } from './instance.js';
import { isOpen, type LayFrame } from './spread.js';
import { acrossLay, turnOf } from './turns.js';
import type { Fabric, LayOptions } from './types.js';

/** A band is nearly as large as its box and lies crosswise. */
const BAND_SHARE = 0.97;

/** @throws InputError naming the widest piece and what to do, when it does not fit the width of the cloth. */
export function assertFits(
  demands: readonly Demand[],
  fabric: Fabric,
  frame: LayFrame,
  options: LayOptions,
): void {
  const room = (d: Demand) =>
    d.fold === undefined ? frame.stripWidth : frame.width - (d.fold === 'low' ? frame.high : frame.low);
  const across = ({ piece, fold }: Demand) =>
    fold === undefined ? acrossLay(piece, fabric) : bounds(piece.half!.cut).maxX - piece.half!.foldX;
  const widest = demands.reduce((a, b) => (across(b) - room(b) > across(a) - room(a) ? b : a));
  if (across(widest) <= room(widest)) return;
  const { piece, fold } = widest;
  const how = fold === undefined ? '' : ' as a half on the fold';
  throw new InputError(
    `piece '${piece.name}' in size ${piece.size} is ${across(widest).toFixed(1)} mm wide${how} and the fabric '${fabric.name}' has ${room(widest).toFixed(1)} mm to lay it on`,
    { mend: mendFor(widest, fabric, frame, options) },
  );
}

function mendFor({ piece, fold }: Demand, fabric: Fabric, frame: LayFrame, { onFold }: LayOptions): string {
  const { minX, maxX, minY, maxY } = bounds(piece.cut);
  const isBand = area(piece.cut) >= BAND_SHARE * (maxX - minX) * (maxY - minY) && maxX - minX > maxY - minY;
  const parts = Math.ceil(acrossLay(piece, fabric) / Math.max(1, frame.stripWidth));
  const cut = isBand
    ? `cut the band in ${parts} parts, which draft-band joins at the side seams with 'parts: ${parts}'`
    : 'cut the piece in more parts';
  const half = turnOf(piece, false, fabric) === 0 ? halfOf(piece) : undefined;
  const reach = half ? bounds(half.cut).maxX - half.foldX : Number.POSITIVE_INFINITY;
  if (fold === undefined && half && isOpen(fabric.mode) && reach <= fabric.usableWidth / 2) {
    return `use a wider fabric, ${cut}, or lay the fabric with 'mode: folded', where it is a half on the fold`;
  }
  if (fold === undefined && half && !isOpen(fabric.mode) && onFold === 'none' && reach <= frame.width) {
    return `let it lie as a half on the fold with 'on-fold: odd', use a wider fabric, or ${cut}`;
  }
  const wider = fabric.mode === 'folded' ? "lay the fabric opened with 'mode: single'" : 'use a wider fabric';
  return `${wider} or ${cut}`;
}

/** @throws InputError when the pieces of a garment surely do not fit the span that they are to lie within. */
export function assertSpans(
  demands: readonly Demand[],
  fabric: Fabric,
  frame: LayFrame,
  options: LayOptions,
): void {
  const { shadeSpan } = options;
  if (shadeSpan === undefined) return;
  const bound = boundGarments(demands);
  const areas = new Map<string, number>();
  for (const { piece, fold, garments } of demands) {
    for (const label of garments) {
      const key = bound.get(label.split('+')[0]!)!;
      areas.set(key, (areas.get(key) ?? 0) + area(fold ? piece.half!.cut : piece.cut));
    }
  }
  const [garment, most] = [...areas].reduce((a, b) => (b[1] > a[1] ? b : a));
  const longest = demands.reduce((a, b) =>
    alongLay(b.piece, fabric) > alongLay(a.piece, fabric) ? b : a,
  ).piece;
  const least = Math.max(most / frame.stripWidth, alongLay(longest, fabric));
  if (least <= shadeSpan) return;
  const shares = [...bound.values()].filter((root) => root === garment).length > 1;
  throw new InputError(
    `the pieces of garment ${garment}${shares ? ' and those it shares pieces with' : ''} need at least ${(least / 10).toFixed(1)} cm of cloth and the shade span is ${(shadeSpan / 10).toFixed(1)} cm`,
    { mend: 'give a longer shade-span' },
  );
}
