import { z } from 'zod';
import { sleevePiece, sleeveSeams } from '../draft/block.js';
import { CROWN_LIFT, draftSleeve, type SleeveDraft } from '../draft/sleeve.js';
import { CheckError } from '../errors.js';
import { lengthField } from '../fields.js';
import { length } from '../geometry/path.js';
import { edgeLength } from '../pattern/measure.js';
import {
  edgeOf,
  type Growth,
  hasPiece,
  type Pattern,
  type PointOfMeasure,
  pieceOf,
  pointOf,
  withPiece,
  withSeam,
} from '../pattern/model.js';
import { MM_PER_INCH } from '../units.js';
import { type Altered, altered, assertSound, defineAlteration } from './alteration.js';

/** A size of the sleeve: as it is, or the block's changed by an amount; mm. */
export type SleeveSize = { readonly is: number } | { readonly change: number };

/** How far down the arm a sleeve reaches. */
export type SleeveReach = 'short' | 'three-quarter' | 'long';

export interface DraftSleeveOptions {
  /** Whole width at the bicep; a change is added on each side. */
  readonly width: SleeveSize;
  /** Girth at the lower end; a change is added on each side. */
  readonly wrist: SleeveSize;
  /** Crown to lower end; a change is added after the longer shoulder is taken off. */
  readonly length: SleeveSize;
  /** A shorter sleeve is cut off the block's, whose taper it keeps. */
  readonly reach: SleeveReach;
  /** How much longer the finished cap is than both armholes, mm. */
  readonly capEase: number;
  /** Lift of the cap near the crown, mm. */
  readonly crownLift: { readonly front: number; readonly back: number };
}

/** Common practice, no source: cap ease 0 to 1/2 in for knits, 1/2 in for a relaxed fit. */
export const DRAFT_SLEEVE_DEFAULTS: DraftSleeveOptions = {
  width: { change: 0 },
  wrist: { change: 0 },
  length: { change: 0 },
  reach: 'long',
  capEase: MM_PER_INCH / 2,
  crownLift: CROWN_LIFT,
};

/**
 * How far a sleeve goes of the way from the bicep line to the wrist (from memory: a short sleeve has about 7 cm
 * of underarm seam, a three-quarter one ends below the elbow).
 */
export const REACH_SHARES: Readonly<Record<SleeveReach, number>> = {
  short: 0.17,
  'three-quarter': 0.65,
  long: 1,
};

/**
 * Redrafts the sleeve from the measured armholes: the block sleeve's width and length, changed or replaced, and
 * a cap solved to the wanted ease. What the shoulder has grown is taken off the block's length. The sleeve
 * becomes a derived piece: it is drafted again whenever the armholes change and in every size, where increments
 * of bicep, wrist and sleeve length are added; a shorter sleeve takes its share of them, and of the armhole depth
 * what is left.
 *
 * @throws CheckError when no cap height fits, with the numbers and the nearest width that would.
 */
export function redraftSleeve(pattern: Pattern, options: DraftSleeveOptions, block: Pattern): Altered {
  const old = pieceOf(block, 'sleeve');
  const base = baseSizes(pattern, options, block);
  const share = REACH_SHARES[options.reach];
  const derive = (now: Pattern, growth: Growth): { pattern: Pattern; draft: SleeveDraft } => {
    const frontArmhole = edgeOf(pieceOf(now, 'front'), 'armhole').path;
    const backArmhole = edgeOf(pieceOf(now, 'back'), 'armhole').path;
    const grown = (value: number, measure: string) => value + (growth[measure] ?? 0);
    // Cut off higher, the lower end grows partly as the wrist and partly as the bicep.
    const lower = share * (growth['wrist'] ?? 0) + (1 - share) * (growth['bicep'] ?? 0);
    const draft = draftSleeve({
      frontArmhole,
      backArmhole,
      bicep: grown(base.bicep, 'bicep'),
      wrist: base.wrist + lower,
      // A shorter sleeve goes down the arm with its armhole, so that its underarm seam does not wither.
      length:
        base.length + share * (growth['sleeve-length'] ?? 0) + (1 - share) * (growth['armhole-depth'] ?? 0),
      capEase: options.capEase,
      crownLift: options.crownLift,
    });
    const armholes = { front: length(frontArmhole), back: length(backArmhole) };
    const drawn = sleevePiece(draft, armholes);
    // What was marked on the sleeve, such as its stretch, outlives a redraft.
    const kept = hasPiece(now, 'sleeve') ? pieceOf(now, 'sleeve') : old;
    const sleeve = assertSound({
      ...kept,
      edges: drawn.edges,
      notches: drawn.notches,
      grain: drawn.grain,
      derived: {
        step: 'draft-sleeve',
        from: ['front', 'back'],
        run: (p: Pattern, g: Growth) => derive(p, g).pattern,
      },
    });
    const seams = sleeveSeams(options.capEase, armholes);
    return { pattern: seams.reduce(withSeam, withPiece(now, sleeve)), draft };
  };
  const { pattern: drafted, draft } = derive(pattern, {});
  return altered(measuring(drafted, share), [
    {
      subject: 'sleeve',
      values: [
        { name: 'both armholes', mm: draft.wantedCapLength - options.capEase },
        { name: 'cap', mm: draft.capLength },
        { name: 'cap height', mm: draft.capHeight },
        { name: 'a third of both and 3/8 in', mm: draft.firstHeight },
        { name: 'bicep width', mm: base.bicep },
        { name: 'lower end', mm: base.wrist },
        { name: 'length', mm: base.length },
      ],
    },
  ]);
}

export const draftSleeveAlteration = defineAlteration({
  name: 'draft-sleeve',
  summary: 'redraft the sleeve from the measured armholes',
  schema: (unit) => {
    const lift = lengthField(unit, 'not-negative');
    return z
      .strictObject({
        as: z.enum(['short', 'three-quarter', 'long']).optional(),
        width: lengthField(unit, 'positive').optional().describe('whole, at the bicep'),
        widen: lengthField(unit).optional().describe('the block by so much on each side'),
        wrist: lengthField(unit, 'positive').optional().describe('whole, at the lower end'),
        'widen-wrist': lengthField(unit).optional(),
        length: lengthField(unit, 'positive').optional().describe('crown to lower end, without cuff'),
        lengthen: lengthField(unit).optional(),
        'cap-ease': lengthField(unit).optional(),
        'crown-lift': z
          .union([lift, z.strictObject({ front: lift, back: lift })])
          .optional()
          .describe('of the cap off its diagonal near the crown'),
      })
      .superRefine((o, context) => {
        for (const [one, other] of [
          ['width', 'widen'],
          ['wrist', 'widen-wrist'],
          ['length', 'lengthen'],
        ] as const) {
          if (o[one] === undefined || o[other] === undefined) continue;
          context.addIssue({
            code: 'custom',
            path: [other],
            message: `give '${one}' or '${other}', not both`,
          });
        }
      })
      .transform((o): DraftSleeveOptions => {
        const crown = o['crown-lift'];
        return {
          width: sizeOr(o.width, o.widen),
          wrist: sizeOr(o.wrist, o['widen-wrist']),
          length: sizeOr(o.length, o.lengthen),
          reach: o.as ?? DRAFT_SLEEVE_DEFAULTS.reach,
          capEase: o['cap-ease'] ?? DRAFT_SLEEVE_DEFAULTS.capEase,
          crownLift:
            crown === undefined
              ? DRAFT_SLEEVE_DEFAULTS.crownLift
              : typeof crown === 'number'
                ? { front: crown, back: crown }
                : crown,
        };
      });
  },
  apply: (pattern, options, context) => redraftSleeve(pattern, options, context.block),
});

const sizeOr = (is: number | undefined, change: number | undefined): SleeveSize =>
  is !== undefined ? { is } : { change: change ?? 0 };

/** Width, lower end and length of the sleeve before the cap is solved, mm. */
function baseSizes(
  pattern: Pattern,
  options: DraftSleeveOptions,
  block: Pattern,
): { bicep: number; wrist: number; length: number } {
  const old = pieceOf(block, 'sleeve');
  const capHeight = pointOf(old, 'crown')[1] - pointOf(old, 'front-bicep')[1];
  const whole = pointOf(old, 'crown')[1] - pointOf(old, 'front-wrist')[1];
  const own = {
    bicep: pointOf(old, 'front-bicep')[0] - pointOf(old, 'back-bicep')[0],
    wrist: length(edgeOf(old, 'wrist').path),
  };
  const share = REACH_SHARES[options.reach];
  const shoulderGrowth = edgeLength(pattern, 'back', 'shoulder') - edgeLength(block, 'back', 'shoulder');
  const reached = capHeight + (whole - capHeight) * share;
  const sleeve =
    'is' in options.length ? options.length.is : reached - shoulderGrowth + options.length.change;
  const bicep = 'is' in options.width ? options.width.is : own.bicep + 2 * options.width.change;
  // The block's own taper where the sleeve ends, widened there by what is left of the change at the bicep.
  const taper = own.bicep + (own.wrist - own.bicep) * share;
  const followed = (bicep - own.bicep) * (1 - share);
  const wrist = 'is' in options.wrist ? options.wrist.is : taper + followed + 2 * options.wrist.change;
  const sizes = { bicep, wrist, length: sleeve };
  const names = { bicep: 'width', wrist: 'width at its lower end', length: 'length' };
  for (const [name, mm] of Object.entries(sizes)) {
    if (mm > 0) continue;
    throw new CheckError(
      `the sleeve would have no ${names[name as keyof typeof names]} left: ${mm.toFixed(1)} mm`,
      {
        mend: `the block's sleeve is ${own.bicep.toFixed(0)} mm wide, ${own.wrist.toFixed(0)} mm at the wrist and ${whole.toFixed(0)} mm long: take off less, or say its size`,
      },
    );
  }
  return sizes;
}

/** The points of measure of a sleeve grow as it does: one that ends higher by its share. */
function measuring(pattern: Pattern, share: number): Pattern {
  const grows: Readonly<Record<string, PointOfMeasure['grows']>> = {
    'sleeve length':
      share === 1 ? { 'sleeve-length': 1 } : { 'sleeve-length': share, 'armhole-depth': 1 - share },
    'sleeve hem': share === 1 ? { wrist: 1 } : { wrist: share, bicep: 1 - share },
  };
  const measures = pattern.measures.map((measure) => {
    const own = grows[measure.name];
    return own ? { ...measure, grows: own } : measure;
  });
  return { ...pattern, measures };
}
