import { bounds } from '../geometry/polygon.js';
import { liesReversed } from './turns.js';
import type { Fabric, PlacedPiece } from './types.js';

type Unnumbered = Omit<PlacedPiece, 'number'>;

/**
 * Deals the pieces of one size out to its garments so that the pieces of a garment lie near each other: equal
 * pieces are interchangeable, so in order of X the first go to the first garment. Where each garment lies one way,
 * those that lie the same way round are dealt among their garments only; so are the two hands where every placement
 * cuts one. A half on the fold gives one piece where a placement beside it gives two: they are not interchangeable.
 */
export function assignGarments<T extends Unnumbered>(
  placed: readonly T[],
  fabric: Pick<Fabric, 'orientation' | 'mode' | 'stretchAlong'>,
): T[] {
  const groups = new Map<string, T[]>();
  for (const p of placed) {
    const hand = fabric.mode === 'single' ? p.mirrored : undefined;
    const way = fabric.orientation === 'garment-one-way' ? liesReversed(p, fabric) : undefined;
    const key = [p.piece.size, p.piece.name, hand, way, p.fold !== undefined].join('|');
    groups.set(key, [...(groups.get(key) ?? []), p]);
  }
  return [...groups.values()].flatMap((copies) => {
    const inOrder = [...copies].sort((p, q) => bounds(p.outline).minX - bounds(q.outline).minX);
    const garments = copies.map((p) => p.garment).sort(byNumber);
    return inOrder.map((p, i) => ({ ...p, garment: garments[i]! }));
  });
}

const byNumber = (a: string, b: string): number => a.localeCompare(b, 'en', { numeric: true });
