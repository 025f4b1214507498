import dxfWriter, { type HeaderValue } from 'dxf-writer';
import type { Box } from '../geometry/polygon.js';
import type { Shape } from './drawing/shapes.js';
import type { Layer } from './layers.js';
import { fixed } from './numbers.js';
import { dxfText } from './text.js';

const DECIMALS = 4;
const MILLIMETRES = 'Millimeters';
const METRIC: HeaderValue[] = [[70, 1]];

// A CommonJS package: its default export is the class for types and the module for Node.
const Drawing = dxfWriter as unknown as { new (): dxfWriter };

/**
 * One DXF drawing through dxf-writer, with what that leaves to its caller: cleaned text, fixed decimals, finite
 * numbers only, and handles that do not depend on what was drawn before.
 */
export class DxfSheet {
  readonly #drawing = new Drawing();

  constructor(layers: readonly Layer[]) {
    this.#drawing.setUnits(MILLIMETRES);
    this.#drawing.header('MEASUREMENT', METRIC);
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
      const [x, y] = shape.at;
      const across = shape.align === 'start' ? 'left' : 'center';
      this.#drawing.drawText(x, y, shape.height, shape.angle, dxfText(shape.text), across, 'middle');
      return;
    }
    const points = shape.points.map(([x, y]): [number, number] => [x, y]);
    const [a, b] = points;
    if (!shape.closed && points.length === 2 && a && b) this.#drawing.drawLine(...a, ...b);
    else this.#drawing.drawPolyline(points, shape.closed);
  }

  /** @throws InputError on a number that is not finite. */
  toString(extent: Box): string {
    this.#drawing.header('EXTMIN', corner(extent.minX, extent.minY));
    this.#drawing.header('EXTMAX', corner(extent.maxX, extent.maxY));
    return settle(this.#drawing.toDxfString());
  }
}

const corner = (x: number, y: number): HeaderValue[] => [
  [10, x],
  [20, y],
  [30, 0],
];

/**
 * Settles what dxf-writer writes: real numbers get four decimals, and handles, which it draws from a counter
 * that lives as long as the process, are counted from 1 in the order they appear.
 */
function settle(text: string): string {
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
    else if (code >= 10 && code <= 59) lines[i + 1] = fixed(Number(value), DECIMALS);
  }
  // The seed is the next free handle, so it is known only at the end.
  if (seedLine >= 0) lines[seedLine] = (handles.size + 1).toString(16).toUpperCase();
  return `${lines.join('\n')}\n`;
}
