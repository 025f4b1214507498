import type { Vec } from '../geometry/vec.js';
import type { Marker } from '../lay/types.js';
import { markerNote, markerShapes, warningsOn } from './drawing/marker.js';
import { drawingBox, type Lettering, type Shape } from './drawing/shapes.js';
import { writeR12 } from './dxf/r12-writer.js';
import { DxfSheet, type DxfUnits, r12Drawing } from './dxf-sheet.js';
import { LAYERS, MARKER_LAYERS } from './layers.js';

/** Lettering of the note below the cloth, height of capitals and line spacing in mm. */
const NOTE_HEIGHT = 10;
const NOTE_SPACING = 18;

export interface MarkerDxfOptions {
  /** `current`: AC1021, units in the header. `r12`: closed POLYLINE, for cutters that read nothing newer. */
  readonly flavour: 'current' | 'r12';
  readonly units: DxfUnits;
  /** The cut lines alone: no cloth, label, notch or note, unless a warning must stand there. Default false. */
  readonly cutOnly?: boolean;
}

export const MARKER_DXF_DEFAULTS: MarkerDxfOptions = { flavour: 'current', units: 'mm' };

const UNIT_NOTES: Readonly<Record<DxfUnits, string>> = {
  mm: 'Units of this drawing: millimetres (1 unit = 1 mm)',
  in: 'Units of this drawing: inches (1 unit = 1 in = 25.4 mm)',
};

/**
 * A marker as DXF in millimetres or inches: X along the fabric, Y across from the lower selvedge; layers as in
 * `LAYERS`. R12 has no field for units, so a text beside the cloth says them (in inches always, as a slip there
 * costs most). The same marker gives the same bytes. Write the text as UTF-8.
 *
 * @throws InputError when a coordinate is not finite or a piece has no outline.
 */
export function markerDxf(marker: Marker, options: Partial<MarkerDxfOptions> = {}): string {
  const { flavour, units, cutOnly = false } = { ...MARKER_DXF_DEFAULTS, ...options };
  const said = flavour === 'r12' || units === 'in' ? [UNIT_NOTES[units]] : [];
  // A warning stays even where nothing but cut lines was asked for.
  const shapes = cutOnly
    ? [...markerShapes(marker).filter(({ layer }) => layer === 'CUT'), ...noteShapes(warningsOn(marker))]
    : [...markerShapes(marker), ...noteShapes([...markerNote(marker, units), ...said])];
  const layers = LAYERS.filter(({ name }) =>
    cutOnly ? shapes.some(({ layer }) => layer === name) : MARKER_LAYERS.includes(name),
  );
  if (flavour === 'r12') return writeR12(r12Drawing(shapes, layers, drawingBox(shapes), units));
  const sheet = new DxfSheet(layers, units);
  for (const shape of shapes) sheet.draw(shape);
  return sheet.toString(drawingBox(shapes));
}

/** The note starts at the marker's start, below the lower selvedge. */
function noteShapes(lines: readonly string[]): Shape[] {
  return lines.map((text, i): Lettering => {
    const at: Vec = [0, -NOTE_SPACING * (i + 1)];
    return { kind: 'text', layer: 'NOTE', at, height: NOTE_HEIGHT, angle: 0, text, align: 'start' };
  });
}
