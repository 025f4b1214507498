import type { Polygon } from '../../geometry/polygon.js';
import type { Vec } from '../../geometry/vec.js';
import type { LayerName } from '../layers.js';
import { type Lettering, lineWidth } from './shapes.js';

/** From the baseline of one line to the next, in heights of capitals. */
const LEADING = 1.7;
/** Clear space kept round a label, in heights of capitals. */
const PADDING = 0.4;
/** Upright text must be this much larger before a label is turned. */
const TURN_GAIN = 1.3;

export interface Label {
  readonly lines: readonly string[];
  readonly at: Vec;
  /** Height of capitals, mm. */
  readonly height: number;
  readonly angle: 0 | 90;
  /** Half the size of the lettering's box along x and y, mm. */
  readonly half: Vec;
}

export interface LabelOptions {
  /** Heights of capitals, mm: never more than `max`; a shorter wording is used before it falls under `min`. */
  readonly max: number;
  readonly min: number;
}

export const LABEL_DEFAULTS: LabelOptions = { max: 9, min: 3 };

/**
 * The first of several wordings (longest first) that fits into the outline round `at` at a readable height,
 * along x or, in a piece that is narrow that way, along y. When none does, the last wording as large as fits.
 */
export function fitLabel(
  outline: Polygon,
  at: Vec,
  wordings: readonly (readonly string[])[],
  options: LabelOptions = LABEL_DEFAULTS,
): Label {
  let last: Label | undefined;
  for (const lines of wordings) {
    const [width, height] = unitBox(lines);
    const flat = Math.min(options.max, clearScale(outline, at, width, height));
    const turned = Math.min(options.max, clearScale(outline, at, height, width));
    const angle = turned > flat * TURN_GAIN ? 90 : 0;
    const size = Math.max(angle === 90 ? turned : flat, 1);
    const half: Vec = angle === 90 ? [height * size, width * size] : [width * size, height * size];
    last = { lines, at, height: size, angle, half };
    if (size >= options.min) return last;
  }
  if (!last) throw new RangeError('a label needs at least one wording');
  return last;
}

/** A label's lines as lettering. */
export function lettering(layer: LayerName, label: Label): Lettering[] {
  const { lines, at, height, angle } = label;
  return lines.map((text, i) => {
    const down = (i - (lines.length - 1) / 2) * LEADING * height;
    const centre: Vec = angle === 90 ? [at[0] + down, at[1]] : [at[0], at[1] - down];
    return { kind: 'text', layer, at: centre, height, angle, text };
  });
}

/** Half width and half height of a label whose capitals are 1 high. */
function unitBox(lines: readonly string[]): readonly [number, number] {
  const longest = lines.reduce((most, line) => Math.max(most, lineWidth(line)), 1);
  return [longest / 2 + PADDING, (1 + LEADING * (lines.length - 1)) / 2 + PADDING];
}

/**
 * The factor by which a box of half size (a, b) round `at` grows until it touches the outline: the least of
 * max(|x|/a, |y|/b) over the outline. Along one edge that is convex, with its least value at an end or where
 * two of its four linear parts meet.
 */
function clearScale(outline: Polygon, at: Vec, a: number, b: number): number {
  let least = Infinity;
  const count = outline.length;
  for (let i = 0; i < count; i++) {
    const p = outline[i]!;
    const q = outline[(i + 1) % count]!;
    const u = (p[0] - at[0]) / a;
    const v = (p[1] - at[1]) / b;
    const du = (q[0] - p[0]) / a;
    const dv = (q[1] - p[1]) / b;
    for (const t of [0, -u / du, -v / dv, (v - u) / (du - dv), -(u + v) / (du + dv)]) {
      if (!(t >= 0 && t <= 1)) continue;
      least = Math.min(least, Math.max(Math.abs(u + t * du), Math.abs(v + t * dv)));
    }
  }
  return least;
}
