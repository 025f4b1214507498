import { intersection } from '../../geometry/clip.js';
import { bounds } from '../../geometry/polygon.js';
import type { Vec } from '../../geometry/vec.js';
import type { ClothZone, Marker } from '../../lay/types.js';
import { formatLength } from '../../units.js';
import { oneLine } from '../text.js';
import { type Lettering, ring, type Shape, stroke } from './shapes.js';

const HEIGHT = 6;

/** Flaws and splices that a marker keeps free, each with what it is; what lies beyond the cloth is left out. */
export const zoneShapes = (marker: Marker): Shape[] =>
  (marker.zones ?? []).flatMap((zone) =>
    zone.kind === 'splice' ? spliceShapes(zone, marker) : flawShapes(zone, marker),
  );

/** The area to avoid, with its name in its middle. */
function flawShapes({ outline, note }: ClothZone, { length, width }: Marker): Shape[] {
  const cloth: Vec[] = [
    [0, 0],
    [length, 0],
    [length, width],
    [0, width],
  ];
  return intersection([outline], [cloth]).flatMap((part): Shape[] => {
    const { minX, minY, maxX, maxY } = bounds(part);
    const text = oneLine(note === undefined ? 'flaw' : `flaw: ${note}`);
    return [ring('ZONE', part), lettering(text, [(minX + maxX) / 2, (minY + maxY) / 2], 0)];
  });
}

/** A line across the cloth, with its name along it at the lower edge. */
function spliceShapes({ outline, overlap, note }: ClothZone, { length, width }: Marker): Shape[] {
  const { minX, maxX } = bounds(outline);
  const x = (minX + maxX) / 2;
  if (x < 0 || x > length) return [];
  const line: Vec[] = [
    [x, 0],
    [x, width],
  ];
  const parts = [
    'splice',
    ...(overlap ? [`overlap ${formatLength(overlap, 'mm')}`] : []),
    ...(note === undefined ? [] : [note]),
  ];
  const words = lettering(oneLine(parts.join(', ')), [x + HEIGHT, HEIGHT], 90);
  return [stroke('ZONE', line), { ...words, align: 'start' }];
}

const lettering = (text: string, at: Vec, angle: number): Lettering => ({
  kind: 'text',
  layer: 'ZONE',
  at,
  height: HEIGHT,
  angle,
  text,
});
