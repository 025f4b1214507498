import type { CutPiece } from '../finish/types.js';
import { bounds } from '../geometry/polygon.js';
import type { Fabric, Marker, Orientation } from './types.js';

/** What of a fabric decides how its pieces are turned. */
type Stretching = Pick<Fabric, 'stretchAlong'>;

/**
 * Degrees a piece is turned from its grain because its greatest stretch must run where the fabric has its own: 0,
 * or a quarter turn. The mirrored piece turns the other way, so that a pair lies as mirror images and its nap
 * strokes alike.
 */
export function turnOf(
  piece: Pick<CutPiece, 'stretch'>,
  mirrored: boolean,
  fabric: Stretching = {},
): 0 | 90 | 270 {
  const along = piece.stretch?.along;
  if (along === undefined || along === (fabric.stretchAlong ?? 'course')) return 0;
  return mirrored ? 270 : 90;
}

/** Turns a piece may lie in, tilt aside: degrees after its wales were laid along the fabric. */
export function allowedRotations(
  piece: Pick<CutPiece, 'stretch'>,
  orientation: Orientation,
  fabric: Stretching = {},
  mirrored = false,
): readonly number[] {
  const turn = turnOf(piece, mirrored, fabric);
  return orientation === 'one-way' ? [turn] : [turn, (turn + 180) % 360];
}

/** Extent of a piece across the lay as it must be turned, opened, mm. */
export function acrossLay(piece: Pick<CutPiece, 'stretch' | 'cut'>, fabric: Stretching): number {
  const { minX, maxX, minY, maxY } = bounds(piece.cut);
  return turnOf(piece, false, fabric) === 0 ? maxX - minX : maxY - minY;
}

/** Which way a placed piece lies: true when it is turned round against the others' way. Tilt does not matter. */
export function liesReversed(
  placed: {
    readonly piece: Pick<CutPiece, 'stretch'>;
    readonly mirrored: boolean;
    readonly rotation: number;
  },
  fabric: Stretching,
): boolean {
  const away = (((placed.rotation - turnOf(placed.piece, placed.mirrored, fabric)) % 360) + 360) % 360;
  return away > 90 && away < 270;
}

/** Degrees by which a placed piece is off its grain (or off the quarter turn that its stretch asks for). */
export function offGrain(
  placed: {
    readonly piece: Pick<CutPiece, 'stretch'>;
    readonly mirrored: boolean;
    readonly rotation: number;
  },
  fabric: Stretching,
): number {
  const away = (((placed.rotation - turnOf(placed.piece, placed.mirrored, fabric)) % 180) + 180) % 180;
  return Math.min(away, 180 - away);
}

/** The most that a piece of a marker lies off its grain, degrees. */
export const mostOffGrain = ({ pieces, fabric }: Pick<Marker, 'pieces' | 'fabric'>): number =>
  Math.max(0, ...pieces.map((placed) => offGrain(placed, fabric)));
