import { CheckError } from '../errors.js';
import { end, length, type Path, startDirection } from '../geometry/path.js';
import { solveBetween } from '../geometry/solve.js';
import { add, scale, type Vec } from '../geometry/vec.js';
import type { Edge, Pattern, Piece, PointOfMeasure, Seam } from '../pattern/model.js';
import { type BlockEase, type BodyMeasurements, FITTED_EASE } from './body.js';
import { drawHalf, NOTCH_SHARE } from './half.js';
import { necklinePath } from './neckline.js';
import { CROWN_LIFT, draftSleeve, type SleeveDraft } from './sleeve.js';

export interface BlockOptions {
  readonly ease: BlockEase;
  /** Slope of the shoulder below the horizontal, degrees. */
  readonly shoulderSlope: number;
  /** Cap longer than both armholes, mm. */
  readonly capEase: number;
}

/** House defaults: slope and back neck rise from memory of common drafts; cap ease 0 to 1/2 in for knits. */
export const BLOCK_DEFAULTS: BlockOptions = { ease: FITTED_EASE, shoulderSlope: 20, capEase: 25.4 / 4 };

/** Height of the neck point above the nape, mm (from memory: about 2 cm at all adult sizes). */
const NECK_RISE = 20;
/** Half neck width as a share of the neck girth (common practice, no source: a fifth). */
const NECK_WIDTH_SHARE = 1 / 5;
/** Seams of the block sew edge to edge within this, mm. */
const SEAM_TOLERANCE = 0.5;

/**
 * Drafts a fitted knit block: back and front as halves on the fold (x = 0, waist on y = 0), and a sleeve.
 * Quarters of bust, waist and hip with their ease set the widths; the front neck depth is solved so that the
 * whole neckline measures neck girth plus ease; both armholes are drawn by guide points; the sleeve cap is
 * solved from the measured armholes.
 *
 * @throws CheckError when the measurements contradict each other.
 */
export function draftBlock(
  name: string,
  body: BodyMeasurements,
  options: BlockOptions = BLOCK_DEFAULTS,
): Pattern {
  const back = bodyHalf('back', body, options, NECK_RISE);
  const front = bodyHalf('front', body, options, solveNeckDepth(back, body, options));
  const armholes = { front: length(edgePath(front, 'armhole')), back: length(edgePath(back, 'armhole')) };
  const sleeve = sleevePiece(
    draftSleeve({
      frontArmhole: edgePath(front, 'armhole'),
      backArmhole: edgePath(back, 'armhole'),
      bicep: body.bicep + options.ease.bicep,
      wrist: body.wrist + options.ease.wrist,
      length: body.armLength,
      capEase: options.capEase,
      crownLift: CROWN_LIFT,
    }),
    armholes,
  );
  return {
    name,
    pieces: [back, front, sleeve],
    seams: [...bodySeams(), ...sleeveSeams(options.capEase, armholes)],
    measures: blockMeasures(),
  };
}

/** A half body panel on the fold; the neck point stands `neckDepth` above the centre neck. */
function bodyHalf(
  name: 'back' | 'front',
  body: BodyMeasurements,
  options: BlockOptions,
  neckDepth: number,
): Piece {
  const { ease } = options;
  const quarter = (girth: number, extra: number) => (girth + extra) / 4;
  const underarmLevel = body.backWaistLength - body.armholeDepth - ease.armholeDepth;
  const neckPoint: Vec = [body.neck * NECK_WIDTH_SHARE, body.backWaistLength + NECK_RISE];
  const slope = (options.shoulderSlope * Math.PI) / 180;
  const tip = add(neckPoint, scale([Math.cos(slope), -Math.sin(slope)], body.shoulder));
  const centerNeck: Vec = [0, neckPoint[1] - neckDepth];
  const underarm: Vec = [quarter(body.bust, ease.bust), underarmLevel];
  const waist: Vec = [quarter(body.waist, ease.waist), 0];
  const hip: Vec = [quarter(body.hip, ease.hip), -body.hipDepth];
  const centerHem: Vec = [0, -body.hipDepth];
  if (underarm[0] <= tip[0]) {
    throw new CheckError(
      `a bust of ${body.bust} mm with ${ease.bust} mm ease leaves no armhole: a quarter is ${underarm[0].toFixed(1)} mm, the shoulder tip lies at ${tip[0].toFixed(1)} mm`,
      { mend: 'give more bust ease or a shorter shoulder' },
    );
  }
  return drawHalf(name, { centerHem, sideHem: hip, waist, underarm, tip, neckPoint, centerNeck });
}

const edgePath = (piece: Piece, name: string): Path => piece.edges.find((e) => e.name === name)!.path;

const edge = (name: string, from: string, to: string, path: Path): Edge => ({ name, from, to, path });

/** Front neck depth at which both halves of both necklines together measure neck girth and ease. */
function solveNeckDepth(back: Piece, body: BodyMeasurements, options: BlockOptions): number {
  const backNeck = edgePath(back, 'neckline');
  const shoulder = startDirection(edgePath(back, 'shoulder'));
  const neckPoint = end(edgePath(back, 'shoulder'));
  const wanted = (body.neck + options.ease.neck) / 2 - length(backNeck);
  const miss = (depth: number) =>
    length(necklinePath(neckPoint, [0, neckPoint[1] - depth], shoulder)) - wanted;
  const [least, most] = [NECK_RISE, body.backWaistLength / 2];
  if (miss(least) > 0 || miss(most) < 0) {
    throw new CheckError(
      `no front neck depth gives a neckline of ${(body.neck + options.ease.neck).toFixed(1)} mm`,
      { mend: 'check the neck girth and its ease' },
    );
  }
  return solveBetween(miss, least, most);
}

/**
 * The sleeve as a pattern piece. Its notches stand as far above the underarm as the armholes' own, so that
 * the ease stays in the crown.
 *
 * @param armholes lengths of the armholes it sews into, mm.
 */
export function sleevePiece(draft: SleeveDraft, armholes: { front: number; back: number }): Piece {
  const height = draft.capHeight;
  const low = end(draft.wrist)[1];
  return {
    name: 'sleeve',
    edges: [
      edge('wrist', 'back-wrist', 'front-wrist', draft.wrist),
      edge('front-underarm', 'front-wrist', 'front-bicep', draft.frontUnderarm),
      edge('front-cap', 'front-bicep', 'crown', draft.frontCap),
      edge('back-cap', 'crown', 'back-bicep', draft.backCap),
      edge('back-underarm', 'back-bicep', 'back-wrist', draft.backUnderarm),
    ],
    grain: { from: [0, low * 0.75], to: [0, height * 0.5] },
    notches: [
      {
        name: 'front-armhole',
        edge: 'front-cap',
        at: { length: armholes.front * NOTCH_SHARE },
        kind: 'single',
      },
      {
        name: 'back-armhole',
        edge: 'back-cap',
        at: { length: length(draft.backCap) - armholes.back * NOTCH_SHARE },
        kind: 'double',
      },
      { name: 'shoulder', edge: 'front-cap', at: { ratio: 1 }, kind: 'single' },
    ],
    counts: { asDrawn: 1, mirrored: 1 },
    fabric: 'self',
  };
}

const use = (piece: string, edgeName: string, times = 1) => ({ piece, edge: edgeName, times });

export function bodySeams(): Seam[] {
  const even = { ratio: 1, plus: 0, tolerance: SEAM_TOLERANCE };
  return [
    { name: 'shoulder', left: [use('front', 'shoulder')], right: [use('back', 'shoulder')], ...even },
    { name: 'side', left: [use('front', 'side')], right: [use('back', 'side')], ...even },
  ];
}

/**
 * The cap against both armholes, as a whole and on either side of the shoulder seam, and the sleeve's own
 * underarm seam. Each side has its share of the ease, by armhole length.
 */
export function sleeveSeams(capEase: number, armholes: { front: number; back: number }): Seam[] {
  const sides = (['front', 'back'] as const).map(
    (side): Seam => ({
      name: `${side} cap`,
      left: [use('sleeve', `${side}-cap`)],
      right: [use(side, 'armhole')],
      ratio: 1,
      plus: (capEase * armholes[side]) / (armholes.front + armholes.back),
      tolerance: SEAM_TOLERANCE,
    }),
  );
  return [
    ...sides,
    {
      name: 'cap',
      left: [use('sleeve', 'front-cap'), use('sleeve', 'back-cap')],
      right: [use('front', 'armhole'), use('back', 'armhole')],
      ratio: 1,
      plus: capEase,
      tolerance: SEAM_TOLERANCE,
    },
    {
      name: 'sleeve-underarm',
      left: [use('sleeve', 'front-underarm')],
      right: [use('sleeve', 'back-underarm')],
      ratio: 1,
      plus: 0,
      tolerance: SEAM_TOLERANCE,
    },
  ];
}

/** Points of measure of a block; growth names are increments of the size range. */
export function blockMeasures(): PointOfMeasure[] {
  const span = (piece: string, from: string, to: string, axis: 'x' | 'y' | 'direct', times = 1) =>
    ({ kind: 'span', piece, from, to, axis, times }) as const;
  const along = (piece: string, name: string, times = 1) =>
    ({ kind: 'edge', piece, edge: name, times }) as const;
  const both = (to: string) => [
    span('back', 'center-hem', to, 'x', 2),
    span('front', 'center-hem', to, 'x', 2),
  ];
  const grown = (name: string, terms: PointOfMeasure['terms'], increment: string, tolerance = 3) => ({
    name,
    terms,
    grows: { [increment]: 1 },
    tolerance,
  });
  const seen = (name: string, terms: PointOfMeasure['terms'], tolerance = 3) => ({ name, terms, tolerance });
  return [
    grown('chest girth', both('underarm'), 'bust'),
    grown('waist girth', both('waist'), 'waist'),
    grown('hem girth', both('side-hem'), 'hip'),
    grown('across shoulder', [span('back', 'center-hem', 'shoulder-tip', 'x', 2)], 'across-shoulder'),
    grown('neck width', [span('back', 'center-hem', 'neck-point', 'x', 2)], 'neck-width'),
    grown('front neck depth', [span('front', 'center-neck', 'neck-point', 'y')], 'front-neck-depth'),
    grown('body length', [span('back', 'neck-point', 'center-hem', 'y')], 'body-length'),
    seen('shoulder', [along('back', 'shoulder')]),
    seen('back armhole', [along('back', 'armhole')]),
    seen('front armhole', [along('front', 'armhole')]),
    grown('bicep', [span('sleeve', 'back-bicep', 'front-bicep', 'x')], 'bicep'),
    grown('sleeve hem', [along('sleeve', 'wrist')], 'wrist'),
    grown('sleeve length', [span('sleeve', 'front-wrist', 'crown', 'y')], 'sleeve-length'),
    seen('sleeve underarm', [along('sleeve', 'front-underarm')]),
    seen('cap height', [span('sleeve', 'front-bicep', 'crown', 'y')]),
    seen('neckline', [along('back', 'neckline', 2), along('front', 'neckline', 2)]),
  ];
}
