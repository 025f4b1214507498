import type { CutNotch } from '../../finish/types.js';
import type { Polygon } from '../../geometry/polygon.js';
import { add, perp, scale, sub, unit, type Vec } from '../../geometry/vec.js';
import { closestOnRing } from './lines.js';
import { type Stroke, stroke } from './shapes.js';

/** Between the two nicks of a double notch, mm (common practice, no source). */
export const DOUBLE_NOTCH_SPACING = 5;
/** A notch farther than this from the cut line belongs to a part that was not placed, mm. */
const ON_LINE = 0.5;

/**
 * The nicks of a notch on an outline, `map` carrying the piece's frame into the outline's. None when the
 * outline does not pass there: the other half of a piece on the fold.
 */
export function nicks(notch: CutNotch, outline: Polygon, map: (point: Vec) => Vec): Stroke[] {
  const at = map(notch.at);
  if (closestOnRing(outline, at).distance > ON_LINE) return [];
  const inward = unit(sub(map(add(notch.at, notch.inward)), at));
  const sideways = scale(perp(inward), DOUBLE_NOTCH_SPACING / 2);
  const starts = notch.kind === 'double' ? [add(at, sideways), sub(at, sideways)] : [at];
  return starts.map((p) => {
    // On a curve the second nick starts on the line too, not beside it.
    const from = notch.kind === 'double' ? closestOnRing(outline, p).point : p;
    return stroke('NOTCH', [from, add(from, scale(inward, notch.depth))]);
  });
}
