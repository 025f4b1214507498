import { CheckError } from '../errors.js';
import {
  blend,
  crossings,
  end,
  endDirection,
  length,
  line,
  mapPoints,
  type Path,
  reverse,
  splitAt,
  splitAtParameter,
  start,
} from '../geometry/path.js';
import { solveBetween } from '../geometry/solve.js';
import type { Vec } from '../geometry/vec.js';
import { type Edge, edgeOf, type Notch, type Piece, pointOf } from '../pattern/model.js';
import type { Yoke } from './raglan-body.js';
import { type LaidYoke, layYoke, mirror } from './raglan-lay.js';

export interface RaglanSleeveSpec {
  /** How far below the crown the shoulder dart ends, or the seam has run straight down from, mm. */
  readonly dart: number;
  /** Each yoke's tip stands this far off the middle of the sleeve: ease over the shoulder, mm. */
  readonly spread: number;
  /** Cut in one with a shoulder dart, or in two with a seam from the neck to the wrist. */
  readonly pieces: 'one' | 'two';
}

export interface RaglanSleeve {
  readonly sleeves: readonly Piece[];
  readonly front: LaidYoke;
  readonly back: LaidYoke;
  /** How far front and back neck point lie apart, mm. */
  readonly opening: number;
}

/** Neck points nearer to each other than this leave no dart, mm. */
const LEAST_OPENING = 15;
/** The dart ends this far above the bicep line at least, mm. */
const LEAST_BELOW_DART = 10;
/** How far the dart's end may move off the middle to make both legs equally long, mm. */
const DART_ASIDE = 40;
/** Of the shoulder this share before the tip is rounded: the two would cross if they ran on straight. */
const ROUNDED = 0.4;
/** Both legs of a dart arrive this far off the grain, radians (4 degrees): they part instead of touching. */
const DART_LEAN = Math.PI / 45;

/**
 * A raglan sleeve from a set-in one, its yokes laid on either side of the cap. What the cap was longer than the
 * armholes goes into the shoulder. The shoulders run on smoothly as the legs of a dart, equally long, or as one
 * seam down to the wrist.
 *
 *      neck \      / neck
 *            \    /        shoulders
 *             \  /
 *       ,      \/     .    the dart ends below the crown
 *     --'             `--  bicep line
 *
 * @param sleeve a set-in sleeve whose cap is divided at its crown.
 * @throws CheckError with the numbers where yoke and cap do not lie together or no dart is left.
 */
export function raglanSleeve(
  sleeve: Piece,
  yokes: { readonly front: Yoke; readonly back: Yoke },
  spec: RaglanSleeveSpec,
): RaglanSleeve {
  const crown = pointOf(sleeve, 'crown');
  const front = layYoke(edgeOf(sleeve, 'front-cap').path, yokes.front, crown, spec.spread);
  const backCap = mirrored(reverse(edgeOf(sleeve, 'back-cap').path));
  const back = layYoke(backCap, yokes.back, mirror(crown), spec.spread);
  const opening = end(front.neckline)[0] + end(back.neckline)[0];
  if (opening < LEAST_OPENING) {
    throw new CheckError(
      `front and back yoke come to lie ${opening.toFixed(1)} mm apart at the neck: a cap ${crown[1].toFixed(1)} mm high leaves no dart between the shoulders`,
      { mend: 'make the cap higher: a narrower sleeve or more cap ease (draft-sleeve)' },
    );
  }
  const legs = shoulderLegs(front, back, crown, spec);
  const sleeves =
    spec.pieces === 'one' ? [onePiece(sleeve, front, back, legs)] : twoPieces(sleeve, front, back, legs);
  return { sleeves, front, back, opening };
}

const mirrored = (path: Path): Path => mapPoints(path, mirror);

/** From either neck point over its tip to the end of the dart, in the sleeve's frame. */
interface Legs {
  readonly front: Path;
  readonly back: Path;
}

/** Both legs are rounded over the tip and run down to one end, which moves aside until they are equally long. */
function shoulderLegs(front: LaidYoke, back: LaidYoke, crown: Vec, spec: RaglanSleeveSpec): Legs {
  const most = crown[1] - LEAST_BELOW_DART;
  if (spec.dart > most) {
    throw new CheckError(
      `a shoulder dart ${spec.dart.toFixed(1)} mm long ends below the bicep line of a cap ${crown[1].toFixed(1)} mm high`,
      { mend: `make it ${Math.floor(most)} mm long at most (dart)` },
    );
  }
  const lean = spec.pieces === 'one' ? DART_LEAN : 0;
  const legs = (aside: number): Legs => {
    const to: Vec = [crown[0] + aside, crown[1] - spec.dart];
    const leg = (shoulder: Path, sideways: number): Path => {
      const arriving: Vec = [sideways * Math.sin(lean), -Math.cos(lean)];
      const straight = splitAt(shoulder, length(shoulder) * (1 - ROUNDED))[0];
      return [...straight, blend(end(straight), endDirection(straight), to, arriving, [0.4, 0.4])];
    };
    return { front: leg(front.shoulder, -1), back: leg(mirrored(back.shoulder), 1) };
  };
  const miss = (aside: number) => length(legs(aside).front) - length(legs(aside).back);
  if (miss(-DART_ASIDE) * miss(DART_ASIDE) > 0) {
    throw new CheckError(
      `the legs of the shoulder dart differ by ${Math.abs(miss(0)).toFixed(1)} mm and cannot be made equally long`,
      { mend: 'match the shoulders first (match-shoulders), or make the dart longer' },
    );
  }
  return legs(solveBetween(miss, -DART_ASIDE, DART_ASIDE));
}

const edge = (name: string, from: string, to: string, path: Path): Edge => ({ name, from, to, path });

const notch = (name: string, on: string, at: number, kind: Notch['kind']): Notch => ({
  name,
  edge: on,
  at: { length: at },
  kind,
});

/** Edges counter-clockwise: the front's go up from the wrist, the back's come down. */
function onePiece(sleeve: Piece, front: LaidYoke, back: LaidYoke, legs: Legs): Piece {
  const tip = length(front.shoulder);
  const backLeg = length(legs.back);
  return {
    ...sleeve,
    edges: [
      edgeOf(sleeve, 'wrist'),
      edgeOf(sleeve, 'front-underarm'),
      edge('front-raglan', 'front-bicep', 'front-neck', front.raglan),
      edge('front-neckline', 'front-neck', 'front-neck-point', front.neckline),
      edge('front-shoulder', 'front-neck-point', 'dart-end', legs.front),
      edge('back-shoulder', 'dart-end', 'back-neck-point', reverse(legs.back)),
      edge('back-neckline', 'back-neck-point', 'back-neck', reverse(mirrored(back.neckline))),
      edge('back-raglan', 'back-neck', 'back-bicep', reverse(mirrored(back.raglan))),
      edgeOf(sleeve, 'back-underarm'),
    ],
    notches: [
      notch('front-raglan', 'front-raglan', front.below, 'single'),
      notch('back-raglan', 'back-raglan', length(back.raglan) - back.below, 'double'),
      notch('front-tip', 'front-shoulder', tip, 'single'),
      notch('back-tip', 'back-shoulder', backLeg - tip, 'single'),
    ],
  };
}

function twoPieces(sleeve: Piece, front: LaidYoke, back: LaidYoke, legs: Legs): Piece[] {
  const to = end(legs.front);
  const wrist = edgeOf(sleeve, 'wrist').path;
  const met = crossings(wrist, to, [0, 1])[0];
  if (!met) {
    throw new CheckError(
      `the seam over the arm, ${Math.abs(to[0]).toFixed(1)} mm off the middle, does not meet the lower end of the sleeve`,
      { mend: 'match the shoulders first (match-shoulders), or make the sleeve wider at its lower end' },
    );
  }
  const [backWrist, frontWrist] = splitAtParameter(wrist, met.segment, met.t);
  const down = line(to, met.point);
  const tip = length(front.shoulder);
  const whole = length(legs.back) + length([down]);
  const half = (name: string, own: Pick<Piece, 'edges' | 'notches'>): Piece => {
    const { internals: _, ...plain } = sleeve;
    const x = (start(own.edges[0]!.path)[0] + end(own.edges[0]!.path)[0]) / 2;
    const grain = {
      from: [x, sleeve.grain.from[1]] as const,
      to: [x, Math.min(0, sleeve.grain.to[1])] as const,
    };
    return { ...plain, ...own, name, grain };
  };
  return [
    half('front-sleeve', {
      edges: [
        edge('wrist', 'overarm-wrist', 'underarm-wrist', frontWrist),
        edge('underarm', 'underarm-wrist', 'bicep', edgeOf(sleeve, 'front-underarm').path),
        edge('raglan', 'bicep', 'front-neck', front.raglan),
        edge('neckline', 'front-neck', 'neck-point', front.neckline),
        edge('overarm', 'neck-point', 'overarm-wrist', [...legs.front, down]),
      ],
      notches: [
        notch('front-raglan', 'raglan', front.below, 'single'),
        notch('front-tip', 'overarm', tip, 'single'),
      ],
    }),
    half('back-sleeve', {
      edges: [
        edge('wrist', 'underarm-wrist', 'overarm-wrist', backWrist),
        edge('overarm', 'overarm-wrist', 'neck-point', reverse([...legs.back, down])),
        edge('neckline', 'neck-point', 'back-neck', reverse(mirrored(back.neckline))),
        edge('raglan', 'back-neck', 'bicep', reverse(mirrored(back.raglan))),
        edge('underarm', 'bicep', 'underarm-wrist', edgeOf(sleeve, 'back-underarm').path),
      ],
      notches: [
        notch('back-raglan', 'raglan', length(back.raglan) - back.below, 'double'),
        notch('back-tip', 'overarm', whole - tip, 'single'),
      ],
    }),
  ];
}
