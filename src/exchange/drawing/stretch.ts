import { contains, type Polygon } from '../../geometry/polygon.js';
import { add, distance, lerp, perp, rotate, scale, sub, unit, type Vec } from '../../geometry/vec.js';
import type { Stretch } from '../../pattern/model.js';
import type { Label } from './label.js';
import { partsInside } from './lines.js';
import { lineWidth, type Shape, type Stroke, stroke } from './shapes.js';

/** Longest and shortest arrow, mm. */
const MOST = 60;
const LEAST = 12;
/** Between label, arrow and its words, mm. */
const GAP = 4;
const HEAD = 4;
const HEAD_ANGLE = Math.PI / 7;
/** Height of the words' capitals: a share of the label's, and the least, mm. */
const WORDS = 0.5;
const LEAST_WORDS = 2.5;

/** The direction of greatest stretch of a piece as it lies in a drawing. */
export interface StretchArrow {
  /** Either way along it. */
  readonly along: Vec;
  readonly percent: number;
}

/** The arrow of a piece's stretch where `map` takes the piece's frame into the drawing's. */
export function stretchAlong({ along, percent }: Stretch, map: (p: Vec) => Vec): StretchArrow {
  const origin = map([0, 0]);
  return { along: unit(sub(map(along === 'course' ? [1, 0] : [0, 1]), origin)), percent };
}

/**
 * The direction of greatest stretch as an arrow with two short heads beside the label, and how much it stretches
 * in words; what a piece has no room for is left out.
 *
 * @param room outline it must lie inside, such as the sewing line.
 * @param grain the grain's arrow, which must not run through the words.
 */
export function stretchArrow(
  { along, percent }: StretchArrow,
  room: Polygon,
  label: Label,
  grain: readonly Stroke[] = [],
): Shape[] {
  const ahead = readable(along);
  const aside = perp(ahead);
  const off = Math.abs(aside[0]) * label.half[0] + Math.abs(aside[1]) * label.half[1] + GAP;
  for (const side of [-1, 1]) {
    const middle = add(label.at, scale(aside, side * off));
    const half = scale(ahead, MOST / 2);
    const whole: [Vec, Vec] = [sub(middle, half), add(middle, half)];
    const inside = partsInside(whole, room).find((part) => holds(part, middle));
    if (!inside) continue;
    const reach = Math.min(distance(inside[0]!, middle), distance(inside.at(-1)!, middle)) - 1;
    if (2 * reach < LEAST) continue;
    const [a, b] = whole.map((end) => lerp(middle, end, (2 * reach) / MOST)) as [Vec, Vec];
    const text = `stretch ${Number(percent.toFixed(1))} %`;
    const height = Math.max(LEAST_WORDS, label.height * WORDS);
    const drawn = [stroke('STRETCH', [a, b]), head(a, b), head(b, a)];
    // Beyond one of the arrow's tips, off the centre line that runs through the label.
    const far = lineWidth(text) * height;
    const places = [add(b, scale(ahead, GAP)), sub(a, scale(ahead, GAP + far))];
    const at = places.find((from) => {
      const box = wordBox(from, add(from, scale(ahead, far)), height);
      return box.every((p) => contains(room, p)) && !grain.some((line) => crosses(line, box));
    });
    if (!at) return drawn;
    const angle = (Math.atan2(ahead[1], ahead[0]) * 180) / Math.PI;
    return [...drawn, { kind: 'text', layer: 'STRETCH', at, height, angle, text, align: 'start' }];
  }
  return [];
}

/** Corners of a line of words, with a little room above and below. */
function wordBox(from: Vec, to: Vec, height: number): Vec[] {
  const aside = scale(perp(unit(sub(to, from))), height);
  return [sub(from, aside), sub(to, aside), add(to, aside), add(from, aside)];
}

const crosses = ({ points }: Stroke, box: Polygon): boolean =>
  points.some((p) => contains(box, p)) ||
  points.slice(1).some((p, i) => partsInside([points[i]!, p], box).length > 0);

/** The way along a direction in which words are not upside down: to the right, or straight up. */
const readable = ([x, y]: Vec): Vec => (x > 1e-9 || (x > -1e-9 && y > 0) ? [x, y] : [-x, -y]);

const holds = (part: readonly Vec[], middle: Vec): boolean =>
  distance(part[0]!, middle) + distance(middle, part.at(-1)!) <= distance(part[0]!, part.at(-1)!) + 1e-6;

function head(tip: Vec, from: Vec): Shape {
  const back = scale(unit(sub(from, tip)), HEAD);
  return stroke('STRETCH', [add(tip, rotate(back, HEAD_ANGLE)), tip, add(tip, rotate(back, -HEAD_ANGLE))]);
}
