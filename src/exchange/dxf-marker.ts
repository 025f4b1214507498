import type { Vec } from '../geometry/vec.js';
import type { Marker } from '../lay/types.js';
import { markerNote, markerShapes } from './drawing/marker.js';
import { drawingBox, type Lettering, type Shape } from './drawing/shapes.js';
import { DxfSheet } from './dxf-sheet.js';
import { LAYERS, MARKER_LAYERS } from './layers.js';

/** Lettering of the note below the cloth, height of capitals and line spacing in mm. */
const NOTE_HEIGHT = 10;
const NOTE_SPACING = 18;

/**
 * A marker as DXF (AC1021) in millimetres: X along the fabric, Y across from the lower selvedge; layers as in
 * `LAYERS`. The same marker gives the same bytes. Write the text as UTF-8.
 *
 * @throws InputError when a coordinate is not finite or a piece has no outline.
 */
export function markerDxf(marker: Marker): string {
  const shapes = [...markerShapes(marker), ...noteShapes(marker)];
  const sheet = new DxfSheet(LAYERS.filter((layer) => MARKER_LAYERS.includes(layer.name)));
  for (const shape of shapes) sheet.draw(shape);
  return sheet.toString(drawingBox(shapes));
}

/** The note starts at the marker's start, below the lower selvedge. */
function noteShapes(marker: Marker): Shape[] {
  return markerNote(marker, 'mm').map((text, i): Lettering => {
    const at: Vec = [0, -NOTE_SPACING * (i + 1)];
    return { kind: 'text', layer: 'NOTE', at, height: NOTE_HEIGHT, angle: 0, text, align: 'start' };
  });
}
