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
  pieceOf,
  pointOf,
  withPiece,
  withSeam,
} from '../pattern/model.js';
import { MM_PER_INCH } from '../units.js';
import { type Altered, altered, assertSound, defineAlteration } from './alteration.js';

export interface DraftSleeveOptions {
  /** Added to the block sleeve's width at the bicep and at the lower end, each side, mm. */
  readonly widen: number;
  readonly widenWrist: number;
  /** Added to the sleeve's length after the longer shoulder is taken off, mm. */
  readonly lengthen: number;
  /** How much longer the finished cap is than both armholes, mm. */
  readonly capEase: number;
  /** Lift of the cap near the crown, mm. */
  readonly crownLift: { readonly front: number; readonly back: number };
}

/** Common practice, no source: cap ease 0 to 1/2 in for knits, 1/2 in for a relaxed fit. */
export const DRAFT_SLEEVE_DEFAULTS: DraftSleeveOptions = {
  widen: 0,
  widenWrist: 0,
  lengthen: 0,
  capEase: MM_PER_INCH / 2,
  crownLift: CROWN_LIFT,
};

/**
 * Redrafts the sleeve from the measured armholes: the block sleeve's width plus `widen` on each side, its
 * length less what the shoulder has grown, and a cap solved to the wanted ease. The sleeve becomes a derived
 * piece: it is drafted again whenever the armholes change and in every size, where increments of bicep, wrist
 * and sleeve length are added.
 *
 * @throws CheckError when no cap height fits, with the numbers.
 */
export function redraftSleeve(pattern: Pattern, options: DraftSleeveOptions, block: Pattern): Altered {
  const old = pieceOf(block, 'sleeve');
  const crown = pointOf(old, 'crown')[1];
  const low = pointOf(old, 'front-wrist')[1];
  const shoulderGrowth = edgeLength(pattern, 'back', 'shoulder') - edgeLength(block, 'back', 'shoulder');
  const base = {
    bicep: pointOf(old, 'front-bicep')[0] - pointOf(old, 'back-bicep')[0] + 2 * options.widen,
    wrist: length(edgeOf(old, 'wrist').path) + 2 * options.widenWrist,
    length: crown - low - shoulderGrowth + options.lengthen,
  };
  const derive = (now: Pattern, growth: Growth): { pattern: Pattern; draft: SleeveDraft } => {
    const frontArmhole = edgeOf(pieceOf(now, 'front'), 'armhole').path;
    const backArmhole = edgeOf(pieceOf(now, 'back'), 'armhole').path;
    const grown = (value: number, measure: string) => value + (growth[measure] ?? 0);
    const draft = draftSleeve({
      frontArmhole,
      backArmhole,
      bicep: grown(base.bicep, 'bicep'),
      wrist: grown(base.wrist, 'wrist'),
      length: grown(base.length, 'sleeve-length'),
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
  if (base.bicep <= 0 || base.wrist <= 0 || base.length <= 0) {
    throw new CheckError('the sleeve would have no width or length left', {
      mend: 'check widen and lengthen',
    });
  }
  const { pattern: drafted, draft } = derive(pattern, {});
  return altered(drafted, [
    {
      subject: 'sleeve',
      values: [
        { name: 'both armholes', mm: draft.wantedCapLength - options.capEase },
        { name: 'cap', mm: draft.capLength },
        { name: 'cap height', mm: draft.capHeight },
        { name: 'a third of both and 3/8 in', mm: draft.firstHeight },
        { name: 'bicep width', mm: base.bicep },
      ],
    },
  ]);
}

export const draftSleeveAlteration = defineAlteration({
  name: 'draft-sleeve',
  summary: 'redraft the sleeve from the measured armholes',
  schema: (unit) =>
    z
      .strictObject({
        widen: lengthField(unit).optional(),
        'widen-wrist': lengthField(unit).optional(),
        lengthen: lengthField(unit).optional(),
        'cap-ease': lengthField(unit).optional(),
        'crown-lift': lengthField(unit, 'not-negative').optional(),
      })
      .transform((o): DraftSleeveOptions => {
        const lift = o['crown-lift'];
        return {
          widen: o.widen ?? DRAFT_SLEEVE_DEFAULTS.widen,
          widenWrist: o['widen-wrist'] ?? DRAFT_SLEEVE_DEFAULTS.widenWrist,
          lengthen: o.lengthen ?? DRAFT_SLEEVE_DEFAULTS.lengthen,
          capEase: o['cap-ease'] ?? DRAFT_SLEEVE_DEFAULTS.capEase,
          crownLift: lift === undefined ? DRAFT_SLEEVE_DEFAULTS.crownLift : { front: lift, back: lift },
        };
      }),
  apply: (pattern, options, context) => redraftSleeve(pattern, options, context.block),
});
