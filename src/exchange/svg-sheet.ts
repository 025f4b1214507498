import type { Box } from '../geometry/polygon.js';
import type { Vec } from '../geometry/vec.js';
import type { Lettering, Shape } from './drawing/shapes.js';
import { type LayerName, layerOf, type Pen } from './layers.js';
import { short } from './numbers.js';
import { escapeXml } from './text.js';

const DECIMALS = 3;
/** Capitals of the sans-serif faces in common use are about this share of the type size. */
const CAP_HEIGHT = 0.72;

/** One SVG drawing in millimetres; y points up in what it is given and down in what it writes. */
export class SvgSheet {
  readonly #box: Box;
  readonly #parts: string[] = [];
  readonly #about: { title: string; description: string };
  readonly #penScale: number;

  /** `penScale` thickens the layers' pens, for a drawing that is shown much smaller than it is. */
  constructor(box: Box, about: { title: string; description: string }, penScale = 1) {
    this.#box = box;
    this.#about = about;
    this.#penScale = penScale;
  }

  shapes(shapes: readonly Shape[]): void {
    const byLayer = new Map<LayerName, Shape[]>();
    for (const shape of shapes) byLayer.set(shape.layer, [...(byLayer.get(shape.layer) ?? []), shape]);
    for (const [name, group] of byLayer) {
      const strokes = group.flatMap((s) => (s.kind === 'stroke' ? path(s.points, s.closed) : []));
      if (strokes.length > 0) this.path(strokes.join(''), this.#scaled(layerOf(name).pen), name);
      for (const shape of group) if (shape.kind === 'text') this.#text(shape);
    }
  }

  path(data: string, pen: Pen, layer?: LayerName): void {
    const dash =
      pen.dash.length > 0 ? ` stroke-dasharray="${pen.dash.map((d) => short(d, 2)).join(' ')}"` : '';
    const name = layer ? ` class="${layer}"` : '';
    this.#parts.push(
      `<path${name} d="${data}" fill="none" stroke="${pen.colour}" stroke-width="${short(pen.width, 3)}"${dash}/>`,
    );
  }

  fill(ring: readonly Vec[], colour: string): void {
    this.#parts.push(`<path d="${path(ring, true)}" fill="${colour}"/>`);
  }

  /** What `draw` adds is shown only inside `box`. A nested drawing clips without a name that could clash. */
  window({ minX, minY, maxX, maxY }: Box, draw: () => void): void {
    const [x, y] = [short(minX, DECIMALS), short(-maxY, DECIMALS)];
    const [width, height] = [short(maxX - minX, DECIMALS), short(maxY - minY, DECIMALS)];
    const place = `x="${x}" y="${y}" width="${width}" height="${height}" viewBox="${x} ${y} ${width} ${height}"`;
    this.#parts.push(`<svg ${place} overflow="hidden">`);
    draw();
    this.#parts.push('</svg>');
  }

  group(title: string, draw: () => void): void {
    this.#parts.push(`<g><title>${escapeXml(title)}</title>`);
    draw();
    this.#parts.push('</g>');
  }

  toString(): string {
    const { minX, minY, maxX, maxY } = this.#box;
    const [width, height] = [short(maxX - minX, DECIMALS), short(maxY - minY, DECIMALS)];
    return [
      `<svg xmlns="http://www.w3.org/2000/svg" width="${width}mm" height="${height}mm" ` +
        `viewBox="${short(minX, DECIMALS)} ${short(-maxY, DECIMALS)} ${width} ${height}" preserveAspectRatio="xMinYMid" role="img">`,
      `<title>${escapeXml(this.#about.title)}</title>`,
      `<desc>${escapeXml(this.#about.description)}</desc>`,
      '<g stroke-linejoin="round" font-family="DejaVu Sans, Verdana, sans-serif">',
      ...this.#parts,
      '</g>',
      '</svg>',
      '',
    ].join('\n');
  }

  #scaled({ width, dash, colour }: Pen): Pen {
    return { width: width * this.#penScale, dash: dash.map((d) => d * this.#penScale), colour };
  }

  #text(shape: Lettering): void {
    const x = short(shape.at[0], DECIMALS);
    const y = short(-shape.at[1], DECIMALS);
    const turned = shape.angle === 0 ? '' : ` transform="rotate(${short(-shape.angle, 3)} ${x} ${y})"`;
    const anchor = shape.align === 'start' ? 'start' : 'middle';
    const size = short(shape.height / CAP_HEIGHT, DECIMALS);
    // The base line lies half a capital below the middle; dominant-baseline is not read everywhere.
    const down = short(shape.height / 2, DECIMALS);
    this.#parts.push(
      `<text class="${shape.layer}" x="${x}" y="${y}" dy="${down}" font-size="${size}" text-anchor="${anchor}"${turned}>` +
        `${escapeXml(shape.text)}</text>`,
    );
  }
}

/** Path data of a chain of lines. */
export const path = (points: readonly Vec[], closed: boolean): string =>
  points.map(([x, y], i) => `${i === 0 ? 'M' : 'L'}${short(x, DECIMALS)} ${short(-y, DECIMALS)}`).join('') +
  (closed ? 'Z' : '');
