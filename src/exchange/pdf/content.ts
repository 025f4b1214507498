import type { Box } from '../../geometry/polygon.js';
import type { Vec } from '../../geometry/vec.js';
import type { Shape } from '../drawing/shapes.js';
import { type LayerName, layerOf, type Pen } from '../layers.js';
import { short } from '../numbers.js';
import { oneLine } from '../text.js';
import type { PdfLayer, Typefaces } from './paper.js';
import type { Typeface } from './typeface.js';

/** Height of DejaVu's capitals as a share of the type size (1493 of 2048 units in its OS/2 table). */
export const CAP_HEIGHT = 1493 / 2048;
/** A micrometre: finer than any printer, and a fifth less to pack than one more decimal. */
const DECIMALS = 3;
/** A drawing smaller than this share of the true scale is a picture: its curves are thinned to what is seen, mm. */
const REDUCED = 0.2;
const SEEN_APART = 0.15;

export interface TextOptions {
  /** Height of capitals, mm. */
  readonly height: number;
  readonly bold?: boolean;
  readonly align?: 'start' | 'middle' | 'end';
  /** Degrees counter-clockwise. */
  readonly angle?: number;
  readonly colour?: string;
}

/** What one page shows, in millimetres from its lower left corner, y up. */
export class Content {
  readonly #fonts: Typefaces;
  readonly #parts: string[] = [];
  readonly #layers = new Set<PdfLayer>();
  #decimals = DECIMALS;
  /** Vertices nearer than this to the one before are left out: no eye sees them apart. */
  #step = 0;

  constructor(fonts: Typefaces) {
    this.#fonts = fonts;
  }

  /** Layers drawn so far. */
  get layers(): PdfLayer[] {
    return [...this.#layers];
  }

  /** Everything that `draw` adds is clipped to `box` and then moved and scaled into place. */
  within(box: Box, place: { scale: number; at: Vec }, draw: () => void): void {
    const { minX, minY, maxX, maxY } = box;
    this.#parts.push(
      `q ${this.#pair([minX, minY])} ${this.#pair([maxX - minX, maxY - minY])} re W n`,
      `${short(place.scale, 9)} 0 0 ${short(place.scale, 9)} ${this.#pair(place.at)} cm`,
    );
    const outside = { decimals: this.#decimals, step: this.#step };
    // What is shown much reduced needs neither micrometres nor every vertex of a curve.
    this.#decimals = Math.min(DECIMALS, Math.max(0, Math.ceil(DECIMALS + Math.log10(place.scale))));
    this.#step = place.scale < REDUCED ? SEEN_APART / place.scale : 0;
    draw();
    this.#decimals = outside.decimals;
    this.#step = outside.step;
    this.#parts.push('Q');
  }

  /** What `draw` adds can be switched off with the layer. */
  onLayer(layer: PdfLayer, draw: () => void): void {
    this.#layers.add(layer);
    this.#parts.push(`/OC /${layer} BDC`);
    draw();
    this.#parts.push('EMC');
  }

  /** Draws shapes with their layers' pens, each run of one layer inside its optional content group. */
  shapes(shapes: readonly Shape[], options: { penScale?: number } = {}): void {
    let open: LayerName | undefined;
    for (const shape of shapes) {
      if (shape.layer !== open) {
        if (open) this.#parts.push('EMC');
        open = shape.layer;
        this.#layers.add(open);
        this.#parts.push(`/OC /${open} BDC`);
        this.pen(layerOf(open).pen, options.penScale);
      }
      if (shape.kind === 'stroke') this.stroke(shape.points, shape.closed);
      else this.lettering(shape);
    }
    if (open) this.#parts.push('EMC');
  }

  pen(pen: Pen, scale = 1): void {
    const dash = pen.dash.map((d) => short(d * scale, DECIMALS)).join(' ');
    this.#parts.push(`${rgb(pen.colour)} RG ${short(pen.width * scale, DECIMALS)} w [${dash}] 0 d 1 j 1 J`);
  }

  stroke(points: readonly Vec[], closed = false): void {
    this.#parts.push(`${this.#route(points)}${closed ? ' h' : ''} S`);
  }

  fill(points: readonly Vec[], colour: string): void {
    this.#parts.push(`${rgb(colour)} rg ${this.#route(points)} f`);
  }

  /** Text on a line whose capitals start at `at`. */
  text(text: string, at: Vec, options: TextOptions): void {
    const clean = oneLine(text);
    if (clean === '') return;
    const size = options.height / CAP_HEIGHT;
    const { width, codes } = this.#face(options).set(clean);
    const back = { start: 0, middle: (width * size) / 2, end: width * size }[options.align ?? 'start'];
    const [cos, sin] = turn(options.angle ?? 0);
    const matrix = [cos, sin, -sin, cos, at[0] - back * cos, at[1] - back * sin];
    this.#parts.push(
      `BT ${rgb(options.colour ?? '#000000')} rg /${options.bold ? 'bold' : 'regular'} ${short(size, DECIMALS)} Tf ` +
        `${matrix.map((m) => short(m, 6)).join(' ')} Tm <${codes}> Tj ET`,
    );
  }

  /** Text set in lines no wider than `width`; returns the baseline after the last line. */
  paragraph(text: string, at: Vec, width: number, options: TextOptions & { leading?: number }): number {
    const leading = options.leading ?? options.height * 2;
    let y = at[1];
    for (const line of this.wrap(text, width, options)) {
      this.text(line, [at[0], y], options);
      y -= leading;
    }
    return y;
  }

  wrap(text: string, width: number, options: Pick<TextOptions, 'height' | 'bold'>): string[] {
    const face = this.#face(options);
    const most = width / (options.height / CAP_HEIGHT);
    const lines: string[] = [];
    let line = '';
    for (const word of oneLine(text).split(' ')) {
      const longer = line === '' ? word : `${line} ${word}`;
      if (line !== '' && face.set(longer).width > most) {
        lines.push(line);
        line = word;
      } else line = longer;
    }
    return line === '' ? lines : [...lines, line];
  }

  toString(): string {
    return this.#parts.join('\n');
  }

  #pair([x, y]: Vec): string {
    return `${short(x, this.#decimals)} ${short(y, this.#decimals)}`;
  }

  #route(points: readonly Vec[]): string {
    let text = '';
    let last: Vec | undefined;
    for (let i = 0; i < points.length; i++) {
      const p = points[i]!;
      // The ends always stay.
      if (last && i + 1 < points.length && near(last, p, this.#step)) continue;
      text += `${this.#pair(p)} ${last ? 'l ' : 'm '}`;
      last = p;
    }
    return text.trimEnd();
  }

  #face({ bold }: Pick<TextOptions, 'bold'>): Typeface {
    return bold ? this.#fonts.bold : this.#fonts.regular;
  }

  private lettering(shape: Shape & { kind: 'text' }): void {
    // `at` is half-way up the capitals, across the direction of the line.
    const [cos, sin] = turn(shape.angle);
    const down = shape.height / 2;
    const at: Vec = [shape.at[0] + sin * down, shape.at[1] - cos * down];
    this.text(shape.text, at, {
      height: shape.height,
      angle: shape.angle,
      align: shape.align ?? 'middle',
    });
  }
}

const near = (a: Vec, b: Vec, step: number): boolean =>
  step > 0 && Math.abs(a[0] - b[0]) < step && Math.abs(a[1] - b[1]) < step;

function rgb(colour: string): string {
  const value = Number.parseInt(colour.slice(1), 16);
  return [value >> 16, (value >> 8) & 255, value & 255].map((c) => short(c / 255, 3)).join(' ');
}

function turn(degrees: number): readonly [number, number] {
  if (degrees === 0) return [1, 0];
  if (degrees === 90) return [0, 1];
  const radians = (degrees * Math.PI) / 180;
  return [Math.cos(radians), Math.sin(radians)];
}
