import { contains, type Polygon } from '../../geometry/polygon.js';
import { add, distance, lerp, rotate, scale, sub, unit, type Vec } from '../../geometry/vec.js';
import type { Stretch } from '../../pattern/model.js';
import type { Label } from './label.js';
import { partsInside } from './lines.js';
import { lineWidth, type Shape, stroke } from './shapes.js';

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

/**
 * The direction of greatest stretch as an arrow with two short heads beside the label, and how much it stretches
 * in words; what a piece has no room for is left out.
 *
 * @param room outline it must lie inside, such as the sewing line.
 */
export function stretchArrow({ along, percent }: Stretch, room: Polygon, label: Label): Shape[] {
  const across = along === 'course';
  const off = (across ? label.half[1] : label.half[0]) + GAP;
  for (const side of [-1, 1]) {
    const middle = add(label.at, across ? [0, side * off] : [-side * off, 0]);
    const half = scale(across ? [1, 0] : [0, 1], MOST / 2);
    const whole: [Vec, Vec] = [sub(middle, half), add(middle, half)];
    const inside = partsInside(whole, room).find((part) => holds(part, middle));
    if (!inside) continue;
    const reach = Math.min(distance(inside[0]!, middle), distance(inside.at(-1)!, middle)) - 1;
    if (2 * reach < LEAST) continue;
    const [a, b] = whole.map((end) => lerp(middle, end, (2 * reach) / MOST)) as [Vec, Vec];
    const text = `stretch ${Number(percent.toFixed(1))} %`;
    const height = Math.max(LEAST_WORDS, label.height * WORDS);
    // Beyond the arrow's tip, off the centre line that runs through the label.
    const ahead = scale(unit(half), GAP);
    const words = add(b, ahead);
    const wordsEnd = add(words, scale(unit(half), lineWidth(text) * height));
    const drawn = [stroke('GRAIN', [a, b]), head(a, b), head(b, a)];
    if (![words, wordsEnd].every((p) => contains(room, p))) return drawn;
    const angle = across ? 0 : 90;
    return [...drawn, { kind: 'text', layer: 'NOTE', at: words, height, angle, text, align: 'start' }];
  }
  return [];
}

const holds = (part: readonly Vec[], middle: Vec): boolean =>
  distance(part[0]!, middle) + distance(middle, part.at(-1)!) <= distance(part[0]!, part.at(-1)!) + 1e-6;

function head(tip: Vec, from: Vec): Shape {
  const back = scale(unit(sub(from, tip)), HEAD);
  return stroke('GRAIN', [add(tip, rotate(back, HEAD_ANGLE)), tip, add(tip, rotate(back, -HEAD_ANGLE))]);
}
