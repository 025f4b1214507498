import { CheckError } from '../errors.js';
import { length } from '../geometry/path.js';
import { solveBetween } from '../geometry/solve.js';
import { edgeOf, type Pattern, type Piece } from '../pattern/model.js';
import { ARMHOLE_GUIDE } from './armhole.js';
import { blockMeasures, bodySeams, sleevePiece, sleeveSeams } from './block.js';
import { drawHalf, type HalfCurves, type HalfPoints } from './half.js';
import { CROWN_LIFT, draftSleeve } from './sleeve.js';

/** What a tape measure says of a half back or front on paper, mm. Heights run down from the neck point's level. */
export interface HalfTape {
  /** Fold to side seam at the underarm, at the waist and at the hem. */
  readonly chest: number;
  readonly waist?: number;
  readonly hem: number;
  /** Fold to neck point, and to the shoulder tip. */
  readonly neckWidth: number;
  readonly acrossShoulder: number;
  readonly shoulder: number;
  readonly neckDepth: number;
  readonly armholeDepth: number;
  readonly waistLength?: number;
  readonly length: number;
  /** Along the curve. */
  readonly armhole: number;
  readonly neckline?: number;
  readonly side?: number;
}

export interface SleeveTape {
  /** Whole, at the bicep line and at the lower end. */
  readonly width: number;
  readonly wrist: number;
  /** Crown to lower end. */
  readonly length: number;
  /** Along the whole cap. */
  readonly cap?: number;
}

export interface TapeMeasurements {
  readonly back: HalfTape;
  readonly front: HalfTape;
  readonly sleeve: SleeveTape;
}

/** A tape laid along a side seam may be out by this much, mm (1/8 in). */
const SIDE_TOLERANCE = 25.4 / 8;
/** Cap ease of a sleeve whose cap was not measured, mm. */
const CAP_EASE = 25.4 / 4;

/** How far the guide of an armhole may lie off the vertical under the tip: shares of the width there, and mm. */
const OUTWARD = 0.4;
const INWARD = 70;
const FULLNESS = { least: 0.35, most: 1.5 };
const STEPS = 48;

/**
 * Draws a block that exists on paper from what a tape measure says of it. Points lie where the measurements put
 * them; each armhole's guide point, and each neckline's fullness where it was measured, is solved so that the
 * curve measures what the tape said to 0.5 mm. Back and front share the underarm level, y = 0.
 *
 * @throws CheckError that names the measurements that contradict each other, with what would agree.
 */
export function draftFromTape(name: string, tape: TapeMeasurements): Pattern {
  const back = halfFrom('back', tape.back);
  const front = halfFrom('front', tape.front);
  const armhole = (piece: Piece) => edgeOf(piece, 'armhole').path;
  const armholes = { front: length(armhole(front)), back: length(armhole(back)) };
  const both = armholes.front + armholes.back;
  const capEase = tape.sleeve.cap === undefined ? CAP_EASE : tape.sleeve.cap - both;
  if (capEase < -CAP_SHORT || capEase > CAP_LONG) {
    throw new CheckError(
      `sleeve: the tape says the cap is ${mm(tape.sleeve.cap!)} along its curve, but both armholes measure ${mm(both)}`,
      { mend: 'measure the cap and both armholes again, each along its own seam line' },
    );
  }
  const draft = draftSleeve({
    frontArmhole: armhole(front),
    backArmhole: armhole(back),
    bicep: tape.sleeve.width,
    wrist: tape.sleeve.wrist,
    length: tape.sleeve.length,
    capEase,
    crownLift: CROWN_LIFT,
  });
  const hasWaist = tape.back.waist !== undefined && tape.front.waist !== undefined;
  return {
    name,
    pieces: [back, front, sleevePiece(draft, armholes)],
    seams: [...bodySeams(), ...sleeveSeams(capEase, armholes)],
    measures: blockMeasures().filter((measure) => hasWaist || measure.name !== 'waist girth'),
  };
}

/** A cap this much shorter or longer than both armholes was not measured on the same block, mm. */
const CAP_SHORT = 10;
const CAP_LONG = 50;

function halfFrom(name: 'back' | 'front', tape: HalfTape): Piece {
  const points = pointsFrom(name, tape);
  const draw = (curves: HalfCurves) => drawHalf(name, points, curves);
  const armhole = { inward: solveArmhole(name, tape, points, draw) };
  const fullness =
    tape.neckline === undefined ? undefined : solveNeckline(name, tape.neckline, draw, armhole);
  const piece = draw({ armhole, ...(fullness === undefined ? {} : { fullness }) });
  const side = length(edgeOf(piece, 'side').path);
  if (tape.side !== undefined && Math.abs(side - tape.side) > SIDE_TOLERANCE) {
    throw new CheckError(
      `${name}: the tape says the side seam is ${mm(tape.side)}, but from an underarm ${mm(tape.armholeDepth)} down to a hem ${mm(tape.length)} down it measures ${mm(side)}`,
      {
        mend: `measure armhole-depth, length and side again; a length of ${mm(tape.length + tape.side - side)} would agree`,
      },
    );
  }
  return piece;
}

function pointsFrom(name: string, tape: HalfTape): HalfPoints {
  const top = tape.armholeDepth;
  const run = tape.acrossShoulder - tape.neckWidth;
  if (run <= 0 || run > tape.shoulder) {
    throw new CheckError(
      `${name}: a shoulder of ${mm(tape.shoulder)} does not reach from ${mm(tape.neckWidth)} (neck-width) to ${mm(tape.acrossShoulder)} (across-shoulder), which are ${mm(run)} apart`,
      { mend: `measure all three again; across-shoulder is at most ${mm(tape.neckWidth + tape.shoulder)}` },
    );
  }
  const drop = Math.sqrt(tape.shoulder ** 2 - run ** 2);
  if (tape.armholeDepth <= drop) {
    throw new CheckError(
      `${name}: the shoulder drops ${mm(drop)}, past an underarm ${mm(tape.armholeDepth)} down`,
      { mend: 'measure shoulder, across-shoulder and armhole-depth again' },
    );
  }
  if (tape.chest <= tape.acrossShoulder) {
    throw new CheckError(
      `${name}: the shoulder tip lies ${mm(tape.acrossShoulder)} off the fold, outside the underarm at ${mm(tape.chest)}`,
      { mend: 'measure chest and across-shoulder as half widths, from the fold' },
    );
  }
  const { waist, waistLength } = tape;
  if (
    tape.length <= Math.max(tape.armholeDepth, waistLength ?? 0) ||
    (waistLength ?? Infinity) <= tape.armholeDepth
  ) {
    throw new CheckError(
      `${name}: measured down from the neck point, armhole-depth (${mm(tape.armholeDepth)}), waist-length (${waistLength === undefined ? 'none' : mm(waistLength)}) and length (${mm(tape.length)}) must follow one below the other`,
      { mend: 'measure each from the neck point straight down' },
    );
  }
  return {
    neckPoint: [tape.neckWidth, top],
    centerNeck: [0, top - tape.neckDepth],
    tip: [tape.acrossShoulder, top - drop],
    underarm: [tape.chest, 0],
    waist: waist === undefined || waistLength === undefined ? undefined : [waist, top - waistLength],
    sideHem: [tape.hem, top - tape.length],
    centerHem: [0, top - tape.length],
  };
}

function solveArmhole(
  name: 'back' | 'front',
  tape: HalfTape,
  points: HalfPoints,
  draw: (curves: HalfCurves) => Piece,
): number {
  const across = points.underarm[0] - points.tip[0];
  const measured = (inward: number) => length(edgeOf(draw({ armhole: { inward } }), 'armhole').path);
  const [low, high] = [-OUTWARD * across, Math.min(INWARD, points.tip[0] / 2)];
  const found = solveNear(measured, tape.armhole, low, high, ARMHOLE_GUIDE[name]);
  if ('at' in found) return found.at;
  throw new CheckError(
    `${name}: the tape says the armhole is ${mm(tape.armhole)}, but between a shoulder tip ${mm(points.tip[1])} above and ${mm(across)} inside the underarm an armhole measures from ${mm(found.least)} to ${mm(found.most)}`,
    { mend: 'measure the armhole along its curve again, then armhole-depth, chest and across-shoulder' },
  );
}

function solveNeckline(
  name: string,
  wanted: number,
  draw: (curves: HalfCurves) => Piece,
  armhole: { inward: number },
): number {
  const measured = (fullness: number) => length(edgeOf(draw({ armhole, fullness }), 'neckline').path);
  const found = solveNear(measured, wanted, FULLNESS.least, FULLNESS.most, 1);
  if ('at' in found) return found.at;
  throw new CheckError(
    `${name}: the tape says half the neckline is ${mm(wanted)}, but with this neck-width and neck-depth it measures from ${mm(found.least)} to ${mm(found.most)}`,
    { mend: 'measure half the neckline along its curve again, then neck-width and neck-depth' },
  );
}

/** Where `f` has the value wanted, nearest to `home`; the range of its values where it has not. */
function solveNear(
  f: (x: number) => number,
  wanted: number,
  low: number,
  high: number,
  home: number,
): { at: number } | { least: number; most: number } {
  const xs = Array.from({ length: STEPS + 1 }, (_, i) => low + ((high - low) * i) / STEPS);
  const values = xs.map(f);
  const roots = xs.slice(1).flatMap((x, i) => {
    const [a, b] = [values[i]! - wanted, values[i + 1]! - wanted];
    if (a === 0) return [xs[i]!];
    if (b === 0) return [x];
    return Math.sign(a) === Math.sign(b) ? [] : [solveBetween((t) => f(t) - wanted, xs[i]!, x)];
  });
  if (roots.length === 0) return { least: Math.min(...values), most: Math.max(...values) };
  return { at: roots.reduce((best, x) => (Math.abs(x - home) < Math.abs(best - home) ? x : best)) };
}

const mm = (value: number): string => `${value.toFixed(1)} mm`;
