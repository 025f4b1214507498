import { CheckError } from '../errors.js';
import {
  directionAt,
  end,
  flatten,
  length,
  type Path,
  pointAt,
  reverse,
  splitAt,
  start,
} from '../geometry/path.js';
import { selfCrossing } from '../geometry/polygon.js';
import { solveBetween } from '../geometry/solve.js';
import { splineThrough } from '../geometry/spline.js';
import { add, angleBetween, lerp, norm, perp, scale, sub, unit, type Vec } from '../geometry/vec.js';
import { type Edge, edgeOf, type Piece } from '../pattern/model.js';

export type BodySide = 'front' | 'back';

/** Where a raglan line runs on one half of the body; mm. */
export interface RaglanLine {
  /** From the neck point along the neckline. */
  readonly neck: number;
  /** Share of the armhole, from the underarm, at which the line leaves it; where the two touch when left out. */
  readonly meet?: number | undefined;
  /** How far the middle of the line lies off the straight one, towards the shoulder; negative hollows it. */
  readonly guide: number;
}

/** What a raglan line cuts off a body half, in the half's own frame. */
export interface Yoke {
  readonly side: BodySide;
  /** From the armhole to the neckline. */
  readonly line: Path;
  /** What is left of the neckline on the yoke, from the neck point to the line. */
  readonly neckline: Path;
  /** From the tip to the neck point. */
  readonly shoulder: Path;
  /** Length of the armhole below the line, mm. */
  readonly below: number;
  /** Direction of the armhole where the line leaves it. */
  readonly leaving: Vec;
}

/** Where a line may touch the armhole, as shares of it from the underarm. */
const TOUCH = { least: 0.06, most: 0.6 } as const;
/** Of the neckline this much stays on the body, mm. */
const LEAST_NECKLINE = 10;
/** Chord error of the check that the line stays inside, mm. */
const CHECK_TOLERANCE = 0.2;

/**
 * A body half cut along a raglan line. The line runs on smoothly out of the armhole, passes its guide point off
 * the middle of the straight line and ends on the neckline; armhole below it and line become one edge, `raglan`.
 *
 *      ,--,           neck point, shoulder, tip
 *     (   \`-.
 *      `.  \  )       yoke to the right of the line
 *       |   `. )
 *       |     `.____  underarm
 *
 * @throws CheckError for a line that leaves no neckline or does not stay inside the half.
 */
export function cutRaglan(half: Piece, side: BodySide, spec: RaglanLine): { body: Piece; yoke: Yoke } {
  const armhole = edgeOf(half, 'armhole');
  const neckline = edgeOf(half, 'neckline');
  const shoulder = edgeOf(half, 'shoulder').path;
  const whole = length(neckline.path);
  if (spec.neck <= 0 || spec.neck > whole - LEAST_NECKLINE) {
    throw new CheckError(
      `a raglan line ${spec.neck.toFixed(1)} mm from the neck point leaves ${(whole - spec.neck).toFixed(1)} mm of the ${side} neckline, half of which measures ${whole.toFixed(1)} mm`,
      { mend: `let it end ${Math.floor(whole - LEAST_NECKLINE)} mm from the neck point at most (neck)` },
    );
  }
  const [onYoke, onBody] = splitAt(neckline.path, spec.neck);
  const below =
    spec.meet === undefined
      ? touching(armhole.path, end(onYoke), spec.guide, side)
      : length(armhole.path) * spec.meet;
  const [lower, upper] = splitAt(armhole.path, below);
  const leaving = directionAt(armhole.path, below);
  const line = raglanLine(end(lower), leaving, end(onYoke), spec.guide);
  const yoke: Yoke = { side, line, neckline: onYoke, shoulder, below, leaving };
  assertInside(yoke, upper, side);
  const raglan: Edge = {
    name: 'raglan',
    from: armhole.from,
    to: `${side}-neck`,
    path: [...lower, ...line],
  };
  const { drawn: _, ...plain } = neckline;
  const edges = half.edges.flatMap((edge): Edge[] => {
    if (edge.name === 'armhole') return [raglan];
    if (edge.name === 'shoulder') return [];
    return edge.name === 'neckline' ? [{ ...plain, from: raglan.to, path: onBody }] : [edge];
  });
  const notches = half.notches.filter((n) => !['armhole', 'shoulder', 'neckline'].includes(n.edge));
  const meeting = {
    name: `${side}-raglan`,
    edge: 'raglan',
    at: { length: below },
    kind: side === 'front' ? 'single' : 'double',
  } as const;
  return { body: { ...half, edges, notches: [...notches, meeting] }, yoke };
}

/** Arc length at which a line from `to`, bowed by `guide`, leaves the armhole along the armhole's own direction. */
function touching(armhole: Path, to: Vec, guide: number, side: BodySide): number {
  const total = length(armhole);
  const turn = (at: number) => {
    const way = sub(to, pointAt(armhole, at));
    // A parabola of that bow leaves its chord by 4 bow / chord.
    return angleBetween(way, directionAt(armhole, at)) + Math.atan((4 * guide) / norm(way));
  };
  const [low, high] = [TOUCH.least * total, TOUCH.most * total];
  if (turn(low) > 0 && turn(high) < 0) return solveBetween(turn, low, high, 1e-6);
  throw new CheckError(
    `no raglan line from the ${side} neckline touches the lower armhole: it would have to leave it ${turn(high) >= 0 ? `above ${high.toFixed(1)}` : `below ${low.toFixed(1)}`} mm from the underarm`,
    { mend: 'say where it leaves the armhole (meet: 33%)' },
  );
}

function raglanLine(from: Vec, leaving: Vec, to: Vec, guide: number): Path {
  // The shoulder lies right of the way from armhole to neckline.
  const aside = scale(perp(unit(sub(to, from))), -guide);
  return splineThrough([from, add(lerp(from, to, 0.5), aside), to], { start: leaving });
}

function assertInside(yoke: Yoke, armhole: Path, side: BodySide): void {
  const ring = [...reverse(yoke.line), ...armhole, ...yoke.shoulder, ...yoke.neckline];
  const outline = ring.flatMap((s) => flatten([s], CHECK_TOLERANCE).slice(0, -1));
  if (!selfCrossing(outline)) return;
  const [x, y] = pointAt(yoke.line, length(yoke.line) / 2);
  throw new CheckError(
    `the raglan line of the ${side} from (${start(yoke.line)
      .map((v) => v.toFixed(0))
      .join(
        ', ',
      )}) over (${x.toFixed(0)}, ${y.toFixed(0)}) mm leaves the piece: it crosses its armhole, shoulder or neckline`,
    { mend: 'bring it nearer to the straight line (guide), or let it leave the armhole elsewhere (meet)' },
  );
}
