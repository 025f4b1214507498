import { CheckError } from '../errors.js';
import {
  blend,
  directionAt,
  end,
  endDirection,
  length,
  mapPoints,
  type Path,
  pointAt,
  reverse,
  splitAt,
  start,
  startDirection,
} from '../geometry/path.js';
import { solveBetween } from '../geometry/solve.js';
import { add, angleBetween, norm, rotate, sub, type Vec } from '../geometry/vec.js';
import type { BodySide, Yoke } from './raglan-body.js';

/** How far cap and yoke may turn where they touch, degrees: hollow as a raglan seam is, or swelling. */
const TURN = { hollow: 50, swelling: 12 } as const;
/** Share of the cap below the line, and of the line, over which both are blended, and the most of either, mm. */
const BLEND = { cap: 0.5, line: 0.35, most: 60 } as const;
/** How far a yoke may be pushed to true the seam, mm. */
const PUSH = { least: -15, most: 40 } as const;

/** One side of a sleeve with its yoke laid on the cap, drawn to the right: the front as it is, the back mirrored. */
export interface LaidYoke {
  readonly side: BodySide;
  /** From the bicep line along cap and raglan line to the neckline. */
  readonly raglan: Path;
  /** From the raglan line to the neck point. */
  readonly neckline: Path;
  /** From the neck point to the tip. */
  readonly shoulder: Path;
  /** Arc length from the bicep line to where armhole and line met, mm. */
  readonly below: number;
  /** How far the yoke was pushed up so that the sleeve's edge measures what the body's does, mm. */
  readonly pushed: number;
  /** Turn between cap and yoke where they touch, which the blend takes up; degrees. */
  readonly turn: number;
}

export const mirror = ([x, y]: Vec): Vec => [-x, y];

/**
 * Lays a yoke on its side of a cap: its armhole touches the cap where it met the raglan line, and its tip stands
 * `spread` mm off the middle beside the crown. The sleeve keeps its cap below; between cap and line one smooth
 * curve is drawn, and the yoke pushed up until the edge measures what the body's does.
 *
 * @param cap from the bicep line to the crown, drawn to the right.
 * @throws CheckError with the numbers where yoke and cap do not lie together.
 */
export function layYoke(cap: Path, yoke: Yoke, crown: Vec, spread: number): LaidYoke {
  const { side, below } = yoke;
  if (below >= length(cap)) {
    throw new CheckError(
      `the ${side} raglan line leaves the armhole ${below.toFixed(1)} mm above the underarm, past the crown of a cap of ${length(cap).toFixed(1)} mm`,
      { mend: 'let it leave the armhole lower (meet)' },
    );
  }
  const at = pointAt(cap, below);
  // Sewn edge to edge and opened flat, the yoke lies face up with the sleeve: the mirror image of its half.
  const foot = mirror(start(yoke.line));
  const toTip = sub(mirror(start(yoke.shoulder)), foot);
  const across = crown[0] + spread - at[0];
  const reach = norm(toTip);
  if (reach <= Math.abs(across)) {
    throw new CheckError(
      `the ${side} yoke is ${reach.toFixed(1)} mm from the raglan line to its tip and does not reach the middle of the sleeve, ${Math.abs(across).toFixed(1)} mm away`,
      { mend: 'make the sleeve narrower (draft-sleeve), or let the line leave the armhole lower (meet)' },
    );
  }
  const turned = angleBetween(toTip, [across, Math.sqrt(reach * reach - across * across)]);
  const lay = (p: Vec): Vec => add(at, rotate(sub(mirror(p), foot), turned));
  const turn = degrees(angleBetween(directionAt(cap, below), rotate(mirror(yoke.leaving), turned)));
  if (turn < -TURN.hollow || turn > TURN.swelling) {
    const [way, most] = turn < 0 ? ['hollow', TURN.hollow] : ['swelling', TURN.swelling];
    throw new CheckError(
      `the ${side} yoke turns ${Math.abs(turn).toFixed(1)} degrees (${way}) against the cap where its armhole meets the raglan line; up to ${most} are blended`,
      { mend: `let the line leave the armhole ${turn < 0 ? 'higher' : 'lower'} (meet)` },
    );
  }
  const { path, pushed } = blended(cap, mapPoints(yoke.line, lay), below, side);
  const push = (p: Vec): Vec => add(lay(p), [0, pushed]);
  return {
    side,
    raglan: path,
    neckline: reverse(mapPoints(yoke.neckline, push)),
    shoulder: reverse(mapPoints(yoke.shoulder, push)),
    below,
    pushed,
    turn,
  };
}

/** Cap, blend and line in one smooth chain, the line pushed up until the chain is as long as cap and line were. */
function blended(cap: Path, laid: Path, below: number, side: BodySide): { path: Path; pushed: number } {
  const down = Math.min(BLEND.cap * below, BLEND.most);
  const up = Math.min(BLEND.line * length(laid), BLEND.most);
  const kept = splitAt(cap, below - down)[0];
  const rest = splitAt(laid, up)[1];
  const bridge = (pushed: number) =>
    blend(end(kept), endDirection(kept), add(start(rest), [0, pushed]), startDirection(rest), [1 / 3, 1 / 3]);
  const size = (pushed: number) => length([bridge(pushed)]);
  const wanted = down + up;
  if (size(PUSH.least) > wanted || size(PUSH.most) < wanted) {
    throw new CheckError(
      `the ${side} raglan seam cannot be trued: its ${wanted.toFixed(1)} mm between cap and line measure from ${size(PUSH.least).toFixed(1)} to ${size(PUSH.most).toFixed(1)} mm on the sleeve`,
      { mend: 'let the line leave the armhole elsewhere (meet)' },
    );
  }
  const pushed = solveBetween((by) => size(by) - wanted, PUSH.least, PUSH.most);
  return { path: [...kept, bridge(pushed), ...mapPoints(rest, (p) => add(p, [0, pushed]))], pushed };
}

const degrees = (radians: number): number => (radians * 180) / Math.PI;
