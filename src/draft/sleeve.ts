import { CheckError } from '../errors.js';
import {
  blend,
  crossings,
  direction,
  end,
  endDirection,
  length,
  line,
  mapPoints,
  type Path,
  reverse,
  type Segment,
  segmentPoint,
  splitAt,
  splitAtParameter,
  start,
  startDirection,
} from '../geometry/path.js';
import { solveBetween } from '../geometry/solve.js';
import { splineThrough } from '../geometry/spline.js';
import { add, angleBetween, cross, lerp, perp, rotate, scale, sub, unit, type Vec } from '../geometry/vec.js';

/** What a sleeve is drafted to; mm. */
export interface SleeveSpec {
  /** Armholes as sewn, from underarm to shoulder tip. */
  readonly frontArmhole: Path;
  readonly backArmhole: Path;
  /** Whole width at the bicep line. */
  readonly bicep: number;
  /** Whole width at the lower end. */
  readonly wrist: number;
  /** Crown to lower end along the middle, without cuff. */
  readonly length: number;
  /** How much longer the finished cap is than both armholes. */
  readonly capEase: number;
  /** Outward offset of the cap from its diagonal at the quarter point nearest the crown. */
  readonly crownLift: { readonly front: number; readonly back: number };
}

/**
 * Common practice (no source) lifts the quarter point by 1/4 in where the underarm is scooped by as much. Here the
 * underarm follows the bodice, which scoops deeper, and 3/8 in keeps the crown round.
 */
export const CROWN_LIFT = { front: 25.4 * 0.375, back: 25.4 * 0.375 } as const;
/** Added to a third of both armholes for the height a cap is first drawn with: the middle of 1/4 to 1/2 in. */
export const FIRST_HEIGHT_ALLOWANCE = 25.4 * 0.375;
/** Heights that are tried: from this share of the first height to this share of both armholes together. */
const LEAST_HEIGHT = 0.15;
const MOST_HEIGHT = 0.45;
/** The underarm seam of the shortest sleeve along its middle, mm. */
const LEAST_UNDERARM = 15;
/** How close the solved cap comes to the wanted length, mm. */
export const CAP_TOLERANCE = 0.2;

export interface SleeveDraft {
  readonly frontCap: Path;
  readonly backCap: Path;
  readonly frontUnderarm: Path;
  readonly backUnderarm: Path;
  readonly wrist: Path;
  readonly capHeight: number;
  /** Height by the rule of thumb the solve starts from. */
  readonly firstHeight: number;
  readonly capLength: number;
  readonly wantedCapLength: number;
}

interface Widths {
  readonly front: number;
  readonly back: number;
}

/**
 * Drafts a set-in sleeve whose cap sews into the two armholes. The cap starts at a height of a third of both
 * armholes plus 1/4 to 1/2 in (common practice, no source); each side follows the bodice's own armhole from
 * the underarm, is lifted off the diagonal at its last quarter and lies flat at the crown. The height is then solved so that the cap is `capEase` longer than both
 * armholes. The cap is divided where the shoulder seam meets it: each part is its armhole's length and its
 * share of the ease.
 *
 * Sleeve frame: bicep line on y = 0, crown on x = 0, front to the right.
 *
 * @throws CheckError with the numbers when no height gives the wanted length.
 */
export function draftSleeve(spec: SleeveSpec): SleeveDraft {
  const front = length(spec.frontArmhole);
  const back = length(spec.backArmhole);
  const wanted = front + back + spec.capEase;
  const firstHeight = (front + back) / 3 + FIRST_HEIGHT_ALLOWANCE;
  const capHeight = solveHeight(spec, wanted, firstHeight);
  const cap = drawCap(spec, capHeight);
  const [frontCap, backCap] = splitAt(cap, front + (spec.capEase * front) / (front + back));
  const { left, right, wrist } = wristLine(spec, capHeight);
  const widths = bicepWidths(spec);
  return {
    frontCap,
    backCap,
    frontUnderarm: [line(right, [widths.front, 0])],
    backUnderarm: [line([-widths.back, 0], left)],
    wrist,
    capHeight,
    firstHeight,
    capLength: length(cap),
    wantedCapLength: wanted,
  };
}

/**
 * The lower edge, square to both underarm seams so that it runs on across them when sewn, as long as asked
 * along its curve. Both seams slope alike and so are equally long, whatever the share of the bicep line.
 */
function wristLine(spec: SleeveSpec, capHeight: number): { left: Vec; right: Vec; wrist: Path } {
  const { front, back } = bicepWidths(spec);
  const low = capHeight - spec.length;
  const drawn = (across: number) => {
    const taper = (spec.bicep - across) / 2;
    const left: Vec = [taper - back, low];
    const right: Vec = [front - taper, low];
    const leaving = scale(perp(sub([-back, 0], left)), -1);
    const arriving = scale(perp(sub([front, 0], right)), -1);
    return { left, right, wrist: [blend(left, leaving, right, arriving, [1 / 3, 1 / 3])] };
  };
  // The curve is a little longer than its chord: the chord is shortened until the curve is right.
  let across = spec.wrist;
  for (let i = 0; i < 8; i++) across *= spec.wrist / length(drawn(across).wrist);
  return drawn(across);
}

/** The bicep line is shared out like the armholes, which keeps the crown near the shoulder seam. */
function bicepWidths(spec: SleeveSpec): Widths {
  const front = length(spec.frontArmhole);
  const share = front / (front + length(spec.backArmhole));
  return { front: spec.bicep * share, back: spec.bicep * (1 - share) };
}

/** The whole cap from the front end of the bicep line over the crown to the back end. */
function drawCap(spec: SleeveSpec, height: number): Path {
  const { front, back } = bicepWidths(spec);
  const { left, right } = wristLine(spec, height);
  const frontHalf = drawHalf(spec.frontArmhole, {
    corner: [front, 0],
    wrist: right,
    crown: [0, height],
    lift: spec.crownLift.front,
  });
  const backHalf = drawHalf(spec.backArmhole, {
    corner: [back, 0],
    wrist: [-left[0], left[1]],
    crown: [0, height],
    lift: spec.crownLift.back,
  });
  return [...frontHalf, ...reverse(mapPoints(backHalf, ([x, y]) => [-x, y]))];
}

/** One side of the sleeve, drawn to the right. */
interface Half {
  /** End of the bicep line, where the underarm seam from the wrist arrives. */
  readonly corner: Vec;
  readonly wrist: Vec;
  readonly crown: Vec;
  readonly lift: number;
}

/** One side of the cap, from the end of the bicep line to the crown. */
function drawHalf(armhole: Path, half: Half): Path {
  const { corner, crown, lift } = half;
  const outward = scale(perp(unit(sub(crown, corner))), -1);
  const upper = add(lerp(corner, crown, 0.75), scale(outward, lift));
  const lower = traceUnderarm(armhole, half, upper);
  const rest = splineThrough([lower.end, upper, crown], { start: lower.direction, end: [-1, 0] });
  return [...lower.path, ...rest];
}

/**
 * The bodice's armhole laid on the sleeve from its underarm, turned so that it leaves the underarm seam at a
 * right angle. It is followed until it points at the upper guide point, at most to the first quarter of the
 * diagonal: followed farther, a low cap would bulge.
 */
function traceUnderarm(armhole: Path, half: Half, upper: Vec): { path: Path; end: Vec; direction: Vec } {
  const { corner, crown, wrist } = half;
  const diagonal = sub(crown, corner);
  const turn = angleBetween(startDirection(armhole), perp(sub(corner, wrist)));
  const origin = start(armhole);
  const laid = mapPoints(armhole, (p) => add(rotate(sub(p, origin), turn), corner));
  const quarter = add(corner, scale(diagonal, 0.25));
  const farthest = crossings(laid, quarter, perp(diagonal))[0] ?? { segment: laid.length - 1, t: 1 };
  const leaves = pointsAt(laid, upper);
  // A cap this flat leaves the underarm above the armhole's curve: nothing of it can be followed.
  if (!leaves) return { path: [], end: corner, direction: startDirection(laid) };
  const sooner = leaves.segment - farthest.segment || leaves.t - farthest.t;
  const stop = sooner < 0 ? leaves : farthest;
  const path = splitAtParameter(laid, stop.segment, stop.t)[0];
  if (end(path)[0] <= 0) {
    throw new CheckError(
      `a sleeve with ${corner[0].toFixed(1)} mm on one side of its middle is too narrow: the armhole's underarm curve alone reaches past it`,
      { mend: 'widen the sleeve or raise the armhole' },
    );
  }
  return { path, end: end(path), direction: endDirection(path) };
}

/** Where a curve that starts out below `target` first points at it; undefined when it starts out above. */
function pointsAt(path: Path, target: Vec): { segment: number; t: number } | undefined {
  const past = (s: Segment, t: number) => cross(direction(s, t), sub(target, segmentPoint(s, t)));
  if (past(path[0]!, 0) > 0) return undefined;
  const segment = path.findIndex((s) => past(s, 1) > 0);
  if (segment < 0) return { segment: path.length - 1, t: 1 };
  return { segment, t: solveBetween((t) => past(path[segment]!, t), 0, 1) };
}

/** A higher cap of the same width is longer, so there is at most one height. */
function solveHeight(spec: SleeveSpec, wanted: number, firstHeight: number): number {
  const miss = (height: number) => length(drawCap(spec, height)) - wanted;
  const { low, high } = heightRange(spec, wanted - spec.capEase);
  if (low >= high) {
    throw new CheckError(
      `a sleeve ${spec.length.toFixed(1)} mm long is too short for its armholes of ${(wanted - spec.capEase).toFixed(1)} mm: the cap alone is about ${firstHeight.toFixed(1)} mm high`,
      { mend: `make it longer than ${(firstHeight + LEAST_UNDERARM).toFixed(0)} mm` },
    );
  }
  if (miss(low) > 0) throw noHeight(spec, wanted, low, 'narrower');
  if (miss(high) < 0) throw noHeight(spec, wanted, high, 'wider');
  const height = solveBetween(miss, low, high);
  if (Math.abs(miss(height)) > CAP_TOLERANCE) throw noHeight(spec, wanted, height, 'wider');
  return height;
}

function heightRange(spec: SleeveSpec, armholes: number): { low: number; high: number } {
  return {
    low: (armholes / 3 + FIRST_HEIGHT_ALLOWANCE) * LEAST_HEIGHT,
    high: Math.min(armholes * MOST_HEIGHT, spec.length - LEAST_UNDERARM),
  };
}

/** Steps in which the nearest width that would work is looked for: share of the width, and how many. */
const WIDTH_STEP = 0.01;
const WIDTH_STEPS = 60;
/** How close the nearest width is told, mm. */
const WIDTH_PRECISION = 0.5;

/** The bicep width nearest to the one asked for that some cap height solves; undefined when none is near. */
export function nearestWidth(spec: SleeveSpec, towards: 'narrower' | 'wider'): number | undefined {
  const sign = towards === 'wider' ? 1 : -1;
  const solves = (bicep: number) => {
    try {
      const tried = { ...spec, bicep };
      const armholes = length(spec.frontArmhole) + length(spec.backArmhole);
      const { low, high } = heightRange(tried, armholes);
      const wanted = armholes + spec.capEase;
      return length(drawCap(tried, low)) <= wanted && length(drawCap(tried, high)) >= wanted;
    } catch (error) {
      if (error instanceof CheckError) return false;
      throw error;
    }
  };
  for (let k = 1; k <= WIDTH_STEPS; k++) {
    let works = spec.bicep * (1 + sign * WIDTH_STEP * k);
    if (!solves(works)) continue;
    let fails = spec.bicep * (1 + sign * WIDTH_STEP * (k - 1));
    while (Math.abs(works - fails) > WIDTH_PRECISION) {
      const middle = (works + fails) / 2;
      if (solves(middle)) works = middle;
      else fails = middle;
    }
    return works;
  }
  return undefined;
}

function noHeight(
  spec: SleeveSpec,
  wanted: number,
  height: number,
  towards: 'narrower' | 'wider',
): CheckError {
  const mm = (value: number) => `${value.toFixed(1)} mm`;
  const nearest = nearestWidth(spec, towards);
  const other = towards === 'wider' ? 'raise the armhole' : 'lower the armhole';
  const mend =
    nearest === undefined
      ? `make the sleeve ${towards} or ${other}`
      : `make the sleeve ${mm(nearest)} wide, the nearest that works, or ${other}`;
  const armholes = length(spec.frontArmhole) + length(spec.backArmhole);
  return new CheckError(
    `no cap height makes a sleeve ${mm(spec.bicep)} wide fit: both armholes measure ${mm(armholes)} and ask for a cap of ${mm(wanted)}, ` +
      `but at a height of ${mm(height)} the cap measures ${mm(length(drawCap(spec, height)))}`,
    { mend },
  );
}
