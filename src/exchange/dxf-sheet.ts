import dxfWriter, { type HeaderValue } from 'dxf-writer';
import type { Box } from '../geometry/polygon.js';
import type { Vec } from '../geometry/vec.js';
import { MM_PER_INCH } from '../units.js';
import type { Shape } from './drawing/shapes.js';
import type { Drawn, DrawnFile } from './dxf/drawing.js';
import type { Layer } from './layers.js';
import { fixed } from './numbers.js';
import { dxfText, oneLine } from './text.js';

/** Units of a drawing; lengths inside are millimetres. */
export type DxfUnits = 'mm' | 'in';

const MM_PER: Readonly<Record<DxfUnits, number>> = { mm: 1, in: MM_PER_INCH };
const DECIMALS: Readonly<Record<DxfUnits, number>> = { mm: 4, in: 6 };
const NAMES = { mm: 'Millimeters', in: 'Inches' } as const;
const MEASUREMENT: Readonly<Record<DxfUnits, HeaderValue[]>> = { mm: [[70, 1]], in: [[70, 0]] };

// A CommonJS package: its default export is the class for types and the module for Node.
const Drawing = dxfWriter as unknown as { new (): dxfWriter };

/**
 * One DXF drawing through dxf-writer, with what that leaves to its caller: cleaned text, fixed decimals, finite
 * numbers only, and handles that do not depend on what was drawn before.
 */
export class DxfSheet {
  readonly #drawing = new Drawing();
  readonly #units: DxfUnits;
  readonly #perMm: number;

  constructor(layers: readonly Layer[], units: DxfUnits = 'mm') {
    this.#units = units;
    this.#perMm = 1 / MM_PER[units];
    this.#drawing.setUnits(NAMES[units]);
    this.#drawing.header('MEASUREMENT', MEASUREMENT[units]);
    for (const layer of layers) {
      this.#drawing.addLayer(
        layer.name,
        layer.colourIndex,
        layer.pen.dash.length > 0 ? 'DASHED' : 'CONTINUOUS',
      );
    }
  }

  draw(shape: Shape): void {
    this.#drawing.setActiveLayer(shape.layer);
    if (shape.kind === 'text') {
      const [x, y] = this.#scaled(shape.at);
      const across = shape.align === 'start' ? 'left' : 'center';
      const height = shape.height * this.#perMm;
      this.#drawing.drawText(x, y, height, shape.angle, dxfText(shape.text), across, 'middle');
      return;
    }
    const points = shape.points.map((p) => this.#scaled(p));
    const [a, b] = points;
    if (!shape.closed && points.length === 2 && a && b) this.#drawing.drawLine(...a, ...b);
    else this.#drawing.drawPolyline(points, shape.closed);
  }

  /** @throws InputError on a number that is not finite. */
  toString(extent: Box): string {
    this.#drawing.header('EXTMIN', corner(...this.#scaled([extent.minX, extent.minY])));
    this.#drawing.header('EXTMAX', corner(...this.#scaled([extent.maxX, extent.maxY])));
    return settle(this.#drawing.toDxfString(), DECIMALS[this.#units]);
  }

  #scaled([x, y]: Vec): [number, number] {
    return [x * this.#perMm, y * this.#perMm];
  }
}

/** The same shapes for the R12 writer. */
export function r12Drawing(
  shapes: readonly Shape[],
  layers: readonly Layer[],
  extent: Box,
  units: DxfUnits,
): DrawnFile {
  const scaled = ([x, y]: Vec): Vec => [x / MM_PER[units], y / MM_PER[units]];
  return {
    layers: layers.map(({ name, colourIndex }) => ({ name, colour: colourIndex })),
    blocks: [],
    entities: shapes.map((shape): Drawn => {
      const { layer } = shape;
      if (shape.kind === 'text') {
        const { at, angle, text } = shape;
        const align = shape.align === 'start' ? 'left' : 'middle';
        const height = shape.height / MM_PER[units];
        return { kind: 'text', layer, at: scaled(at), height, angle, text: oneLine(text), align };
      }
      const points = shape.points.map(scaled);
      const [a, b] = points;
      if (!shape.closed && points.length === 2 && a && b) return { kind: 'line', layer, a, b };
      return { kind: 'polyline', layer, points, closed: shape.closed };
    }),
    extent: [scaled([extent.minX, extent.minY]), scaled([extent.maxX, extent.maxY])],
    decimals: DECIMALS[units],
  };
}

const corner = (x: number, y: number): HeaderValue[] => [
  [10, x],
  [20, y],
  [30, 0],
];

/**
 * Settles what dxf-writer writes: real numbers get their decimals, and handles, which it draws from a counter
 * that lives as long as the process, are counted from 1 in the order they appear.
 */
function settle(text: string, decimals: number): string {
  const lines = text.split('\n');
  const handles = new Map<string, string>();
  const renumbered = (handle: string): string => {
    if (handle === '0') return handle;
    const known = handles.get(handle) ?? (handles.size + 1).toString(16).toUpperCase();
    handles.set(handle, known);
    return known;
  };
  let seedLine = -1;
  for (let i = 0; i + 1 < lines.length; i += 2) {
    const code = Number(lines[i]);
    const value = lines[i + 1]!;
    if (code === 9 && value === '$HANDSEED') seedLine = i + 3;
    else if (i + 1 === seedLine) continue;
    else if (code === 5 || code === 330 || code === 350) lines[i + 1] = renumbered(value);
    else if (code >= 10 && code <= 59) lines[i + 1] = fixed(Number(value), decimals);
  }
  // The seed is the next free handle, so it is known only at the end.
  if (seedLine >= 0) lines[seedLine] = (handles.size + 1).toString(16).toUpperCase();
  return `${lines.join('\n')}\n`;
}
