import { area } from '../../geometry/polygon.js';
import { add, cross, distance, lerp, perp, scale, sub, unit, type Vec } from '../../geometry/vec.js';
import { toMarker } from '../../lay/frame.js';
import type { PlacedPiece } from '../../lay/types.js';
import { type Lettering, lineWidth } from './shapes.js';

/** Farthest a vertex on the fold may be off it, mm. */
const ON_FOLD = 0.01;
const FOLD_TEXT = 'fold: do not cut';

/** A placed piece's outline, parted into what is cut and what lies on a fold of the cloth. */
export interface Outline {
  /** The whole outline is cut: one closed ring. */
  readonly closed: boolean;
  readonly cut: readonly (readonly Vec[])[];
  readonly fold: readonly (readonly Vec[])[];
}

/** Whether the piece was placed as its half on a fold: its outline has the half's area, not the whole's. */
export function onFold(placed: PlacedPiece): boolean {
  const { half, cut } = placed.piece;
  if (!half) return false;
  if (placed.fold !== undefined) return true;
  const placedArea = area(placed.outline);
  return Math.abs(placedArea - area(half.cut)) < Math.abs(placedArea - area(cut));
}

/** Tells a cutter at the middle of a fold what it is; beside the line, inside the piece, no longer than the fold. */
export function foldNote(run: readonly Vec[], tallest: number): Lettering {
  const [a, b] = [run[0]!, run[run.length - 1]!];
  const along = sub(b, a);
  const height = Math.min(tallest, distance(a, b) / lineWidth(FOLD_TEXT));
  // The outline is counter-clockwise, so the inside lies to the left of travel.
  const inside = scale(perp(unit(along)), height * 1.2);
  const degrees = (Math.atan2(along[1], along[0]) * 180) / Math.PI;
  // Never upside down.
  const angle = degrees > 90 ? degrees - 180 : degrees <= -90 ? degrees + 180 : degrees;
  return {
    kind: 'text',
    layer: 'FOLD',
    at: add(lerp(a, b, 0.5), inside),
    height,
    angle,
    text: FOLD_TEXT,
  };
}

/** Where the cut line of a placed piece starts: at the piece's own first vertex, mirrored or not. */
export function cutStart(placed: PlacedPiece): Vec {
  const first = toMarker(placed)(placed.piece.cut[0]!);
  const nearest = placed.outline.reduce((best, p) => (distance(p, first) < distance(best, first) ? p : best));
  return distance(nearest, first) <= ON_FOLD ? nearest : placed.outline[0]!;
}

/**
 * Parts the outline of a placed piece; a piece off the fold is one closed cut line. Equal pieces start at the same
 * place, whichever way they lie, so that a cutter treats them alike.
 */
export function partOutline(placed: PlacedPiece): Outline {
  const ring = placed.outline;
  const half = placed.piece.half;
  const whole = (): Outline => ({ closed: true, cut: [startingAt(ring, cutStart(placed))], fold: [] });
  if (!half || !onFold(placed)) return whole();
  const map = toMarker(placed);
  const origin = map([half.foldX, 0]);
  const along = unit(sub(map([half.foldX, 1]), origin));
  const onLine = ring.map((p) => Math.abs(cross(along, sub(p, origin))) <= ON_FOLD);
  const isFold = (i: number) => onLine[i % ring.length]! && onLine[(i + 1) % ring.length]!;

  // Start at the first edge after a fold edge, so that no run is parted by the ring's seam.
  const first = ring.findIndex((_, i) => isFold(i + ring.length - 1) && !isFold(i));
  if (first < 0) return whole();
  const cut: Vec[][] = [];
  const fold: Vec[][] = [];
  for (let k = 0; k < ring.length; k++) {
    const i = first + k;
    const runs = isFold(i) ? fold : cut;
    const changed = k === 0 || isFold(i) !== isFold(i - 1);
    if (changed) runs.push([ring[i % ring.length]!]);
    runs[runs.length - 1]!.push(ring[(i + 1) % ring.length]!);
  }
  return { closed: false, cut, fold };
}

function startingAt(ring: readonly Vec[], start: Vec): readonly Vec[] {
  const at = ring.indexOf(start);
  return at <= 0 ? ring : [...ring.slice(at), ...ring.slice(0, at)];
}
