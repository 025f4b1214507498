import type { Marker } from '../../lay/types.js';
import { paletteFor } from '../palette.js';

/** The sizes of a marker with the fill that they have in its picture. */
export function sizesIn(marker: Marker): { size: string; count: number; tint: string }[] {
  const look = paletteFor(marker.sizes);
  return Object.entries(marker.ratio)
    .filter(([, count]) => count > 0)
    .map(([size, count]) => ({ size, count, tint: look(size).tint }));
}
