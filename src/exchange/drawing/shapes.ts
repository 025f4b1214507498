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

/** Widest a character of ordinary text comes out, in heights of its capitals: lettering is set by this. */
export const CHARACTER_WIDTH = 1;

/** Box round a shape, lettering taken at its widest. */
export function shapeBox(shape: Shape): Box {
  if (shape.kind === 'stroke') return bounds(shape.points);
  const width = Math.max(shape.text.length, 1) * CHARACTER_WIDTH * shape.height;
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
