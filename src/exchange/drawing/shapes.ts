import { type Box, bounds } from '../../geometry/polygon.js';
import { add, rotate, type Vec } from '../../geometry/vec.js';
import type { LayerName } from '../layers.js';

/** A chain of straight lines on a layer, mm. */
export interface Stroke {
  readonly kind: 'stroke';
  readonly layer: LayerName;
  readonly points: readonly Vec[];
  readonly closed: boolean;
}

/**
 * One line of text: `height` is the height of its capitals in mm, `angle` in degrees. `at` is half-way up the
 * capitals, in the middle of the line unless `align` says that the line starts there.
 */
export interface Lettering {
  readonly kind: 'text';
  readonly layer: LayerName;
  readonly at: Vec;
  readonly height: number;
  readonly angle: number;
  readonly text: string;
  readonly align?: 'start';
}

/** What every writer draws; y points up. */
export type Shape = Stroke | Lettering;

export const stroke = (layer: LayerName, points: readonly Vec[]): Stroke => ({
  kind: 'stroke',
  layer,
  points,
  closed: false,
});

export const ring = (layer: LayerName, points: readonly Vec[]): Stroke => ({
  kind: 'stroke',
  layer,
  points,
  closed: true,
});

/**
 * The most room that a line of text takes, in heights of its capitals: one height a character, as the plain faces
 * of DXF readers need, or more where wide letters of the embedded typeface gather.
 */
export function lineWidth(text: string): number {
  let count = 0;
  let width = 0;
  for (const character of text) {
    count++;
    if (/[mwMW@%]/.test(character)) width += 1.38;
    else if (/[A-Z#&+=<>~^|*]/.test(character)) width += 1.15;
    else width += character < '\u007f' ? 0.9 : 1.5;
  }
  return Math.max(count, width);
}

/** Box round a shape, lettering taken at its widest. */
export function shapeBox(shape: Shape): Box {
  if (shape.kind === 'stroke') return bounds(shape.points);
  const width = Math.max(lineWidth(shape.text), 1) * shape.height;
  const radians = (shape.angle * Math.PI) / 180;
  const back = shape.align === 'start' ? 0 : width / 2;
  const along = (x: number, y: number): Vec => add(shape.at, rotate([x, y], radians));
  const [low, high] = [-shape.height, shape.height];
  return bounds([-back, width - back].flatMap((x) => [along(x, low), along(x, high)]));
}

export const boxesMeet = (a: Box, b: Box): boolean =>
  a.minX <= b.maxX && b.minX <= a.maxX && a.minY <= b.maxY && b.minY <= a.maxY;

/** Box round all shapes. */
export function drawingBox(shapes: readonly Shape[]): Box {
  const corners = shapes.map(shapeBox).flatMap((b): Vec[] => [
    [b.minX, b.minY],
    [b.maxX, b.maxY],
  ]);
  return bounds(corners);
}

/** A shape with the box round it, for what is looked up again and again. */
export interface BoxedShape {
  readonly shape: Shape;
  readonly box: Box;
}

export const boxed = (shapes: readonly Shape[]): BoxedShape[] =>
  shapes.map((shape) => ({ shape, box: shapeBox(shape) }));

/** Shapes of one layer side by side, so that a page opens each layer once. */
export function byLayer(shapes: readonly Shape[]): Shape[] {
  const groups = new Map<LayerName, Shape[]>();
  for (const shape of shapes) {
    const group = groups.get(shape.layer);
    if (group) group.push(shape);
    else groups.set(shape.layer, [shape]);
  }
  return [...groups.values()].flat();
}

export const shifted = <T extends Shape>(shape: T, by: Vec): T =>
  shape.kind === 'stroke'
    ? { ...shape, points: shape.points.map((p) => add(p, by)) }
    : { ...shape, at: add(shape.at, by) };
