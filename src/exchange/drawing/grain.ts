import type { Polygon } from '../../geometry/polygon.js';
import { add, distance, dot, lerp, perp, rotate, scale, sub, unit, type Vec } from '../../geometry/vec.js';
import type { Label } from './label.js';
import { closestOnRing, partsInside, partsOutsideBox } from './lines.js';
import { type Stroke, stroke } from './shapes.js';

const HEAD_LENGTH = 8;
const HEAD_ANGLE = Math.PI / 9;
/** A grain line nearer to the edge than this is moved beside the label, mm. */
const EDGE_ROOM = 5;
/** Share of a grain line that must be seen outside the label. */
const LEAST_SHOWN = 0.4;

/**
 * The grain line inside an outline with one head (cut one way) or two (either way round), parted where the
 * label stands. One that would lie on the edge, as on a fold, is moved beside the label, and so is one that the
 * label or another line (`beside`) would hide.
 */
export function grainArrow(
  from: Vec,
  to: Vec,
  outline: Polygon,
  label: Label,
  options: { heads: 1 | 2; beside?: boolean },
): Stroke[] {
  if (distance(from, to) < 1) return [];
  const parts = partsInside([from, to], outline);
  const onEdge = parts.length === 0 || closestOnRing(outline, lerp(from, to, 0.5)).distance < EDGE_ROOM;
  const asGiven = onEdge || options.beside ? [] : longestOf(parts);
  const line = shownShare(asGiven, label) < LEAST_SHOWN ? besideLabel(from, to, outline, label) : asGiven;
  if (line.length < 2) return [];

  // Kept off the cut line, so that an arrow head is never mistaken for a notch.
  const a = lerp(line[0]!, line[line.length - 1]!, 0.06);
  const b = lerp(line[0]!, line[line.length - 1]!, 0.94);
  const head = Math.min(HEAD_LENGTH, distance(a, b) / 4);
  const lines = partsOutsideBox([a, b], label.at, label.half).map((part) => stroke('GRAIN', part));
  const arrows = [arrowHead(b, sub(a, b), head)];
  if (options.heads === 2) arrows.push(arrowHead(a, sub(b, a), head));
  return [...lines, ...arrows];
}

/** The line moved sideways to pass the label on the side where more of it lies inside. */
function besideLabel(from: Vec, to: Vec, outline: Polygon, label: Label): readonly Vec[] {
  const across = perp(unit(sub(to, from)));
  const toLabel = dot(sub(label.at, from), across);
  const room = Math.abs(across[0]) * label.half[0] + Math.abs(across[1]) * label.half[1] + EDGE_ROOM;
  const sides = [toLabel + room, toLabel - room].map((by) => {
    const shift = scale(across, by);
    return longestOf(partsInside([add(from, shift), add(to, shift)], outline));
  });
  return longestOf(sides);
}

/** How much of a line lies outside the label's box. */
function shownShare(line: readonly Vec[], { at, half }: Label): number {
  if (line.length < 2) return 0;
  const shown = partsOutsideBox([line[0]!, line[line.length - 1]!], at, half);
  return shown.reduce((sum, part) => sum + span(part), 0) / span(line);
}

const longestOf = (parts: readonly (readonly Vec[])[]): readonly Vec[] =>
  parts.reduce<readonly Vec[]>((best, part) => (span(part) > span(best) ? part : best), []);

function arrowHead(tip: Vec, back: Vec, size: number): Stroke {
  const away = scale(unit(back), size);
  return stroke('GRAIN', [add(tip, rotate(away, HEAD_ANGLE)), tip, add(tip, rotate(away, -HEAD_ANGLE))]);
}

const span = (part: readonly Vec[]): number =>
  part.length < 2 ? 0 : distance(part[0]!, part[part.length - 1]!);
