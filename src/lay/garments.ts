import { bounds } from '../geometry/polygon.js';
import type { PlacedPiece } from './types.js';

type Unnumbered = Omit<PlacedPiece, 'number'>;

/**
 * Deals the pieces of one size out to its garments so that the pieces of a garment lie near each other: equal
 * pieces that lie the same way round are interchangeable, so in order of X the first go to the first garment.
 * Which garments lie which way round stays as it was searched.
 */
export function assignGarments<T extends Unnumbered>(placed: readonly T[]): T[] {
  const groups = new Map<string, T[]>();
  for (const p of placed) {
    const key = [p.piece.size, p.piece.name, p.mirrored, p.rotation].join('|');
    groups.set(key, [...(groups.get(key) ?? []), p]);
  }
  return [...groups.values()].flatMap((copies) => {
    const inOrder = [...copies].sort((p, q) => bounds(p.outline).minX - bounds(q.outline).minX);
    const garments = copies.map((p) => p.garment).sort(byNumber);
    return inOrder.map((p, i) => ({ ...p, garment: garments[i]! }));
  });
}

const byNumber = (a: string, b: string): number => a.localeCompare(b, 'en', { numeric: true });
