import { z } from 'zod';
import { cutRaglan, type RaglanLine } from '../draft/raglan-body.js';
import { type RaglanSleeve, raglanSleeve } from '../draft/raglan-sleeve.js';
import { CheckError, InputError } from '../errors.js';
import { lengthField, shareField } from '../fields.js';
import { frontAndBack } from '../pattern/measure.js';
import {
  type Derivation,
  hasPiece,
  type Pattern,
  type Piece,
  type PointOfMeasure,
  pieceOf,
  pointsOf,
  type Seam,
  withPiece,
} from '../pattern/model.js';
import { MM_PER_INCH } from '../units.js';
import { type Altered, altered, assertSound, defineAlteration } from './alteration.js';

export interface RaglanOptions {
  readonly front: RaglanLine;
  readonly back: RaglanLine;
  /** One piece with a shoulder dart, or two with a seam over the arm. */
  readonly sleeve: 'one-piece' | 'two-piece';
  /** From the crown down to the end of the dart, mm. */
  readonly dart: number;
  /** Each shoulder tip off the middle of the sleeve, mm. */
  readonly spread: number;
}

/**
 * Common practice, no source: the line ends 1 1/2 in (front) and 1 in (back) from the neck point, is bowed 1/4 in
 * towards the shoulder, and the dart ends about 3 in below the tip. The line touches the lower armhole; the ease
 * over the shoulder is the house's.
 */
export const RAGLAN_DEFAULTS: RaglanOptions = {
  front: { neck: 1.5 * MM_PER_INCH, guide: MM_PER_INCH / 4 },
  back: { neck: MM_PER_INCH, guide: MM_PER_INCH / 4 },
  sleeve: 'one-piece',
  dart: 3 * MM_PER_INCH,
  spread: (MM_PER_INCH * 3) / 8,
};

/** Shoulders that become the legs of one dart may differ by this much, mm. */
const MATCHED = 0.5;
/** Raglan seams sew together within this, mm. */
const SEAM_TOLERANCE = 0.5;

/**
 * A raglan from a set-in sleeve: the yokes beyond a line from neckline to armhole are cut off front and back and
 * laid on the sleeve's cap. Both raglan seams are true by construction. The set-in pattern stays as the
 * construction of the new one: it is what is graded, and the raglan is cut from it again in every size. Steps
 * that change body or cap therefore go before this one, bands and collars after it.
 *
 * @throws InputError for pieces that were derived before (bands, collars); CheckError where it is not feasible.
 */
export function raglan(pattern: Pattern, options: RaglanOptions): Altered {
  assertReady(pattern);
  const names =
    options.sleeve === 'one-piece' ? (['sleeve'] as const) : (['front-sleeve', 'back-sleeve'] as const);
  const cut = raglanOf(pattern, options);
  const replaced: Pattern = {
    ...pattern,
    construction: pattern,
    pieces: pattern.pieces.filter((piece) => piece.name !== 'sleeve'),
    seams: [...pattern.seams.filter((seam) => !SET_IN.has(seam.name)), ...raglanSeams(options)],
    measures: raglanMeasures(pattern, options),
  };
  const pieces: Piece[] = [
    derivedFrom(cut.front, ['front'], (now) => raglanOf(now, options).front),
    derivedFrom(cut.back, ['back'], (now) => raglanOf(now, options).back),
    ...names.map((name, i) =>
      derivedFrom(
        cut.made.sleeves[i]!,
        ['front', 'back', 'sleeve'],
        (now) => raglanOf(now, options).made.sleeves.find((piece) => piece.name === name)!,
      ),
    ),
  ];
  const { front, back, opening } = cut.made;
  return altered(pieces.reduce(withPiece, replaced), [
    {
      subject: 'raglan',
      values: [
        { name: 'front line from the neck point', mm: options.front.neck },
        { name: 'back line from the neck point', mm: options.back.neck },
        { name: 'front armhole below the line', mm: front.below },
        { name: 'back armhole below the line', mm: back.below },
        { name: 'opening of the dart at the neck', mm: opening },
        { name: 'front yoke pushed up to true the seam', mm: front.pushed },
        { name: 'back yoke pushed up to true the seam', mm: back.pushed },
      ],
    },
  ]);
}

export const raglanAlteration = defineAlteration({
  name: 'raglan',
  summary: 'raglan sleeve from the set-in one',
  schema: (unit) => {
    const both = <T extends z.ZodType>(field: T) =>
      z.union([field, z.strictObject({ front: field, back: field })]).optional();
    return z
      .strictObject({
        neck: both(lengthField(unit, 'positive')).describe('from the neck point along the neckline'),
        meet: both(shareField).describe('of the armhole below the line'),
        guide: both(lengthField(unit)).describe('bow of the line towards the shoulder'),
        sleeve: z.enum(['one-piece', 'two-piece']).optional(),
        dart: lengthField(unit, 'positive').optional().describe('from the crown to the end of the dart'),
        spread: lengthField(unit, 'not-negative')
          .optional()
          .describe('of either shoulder tip off the middle'),
      })
      .transform((o): RaglanOptions => {
        const side = (name: 'front' | 'back'): RaglanLine => ({
          neck: ofSide(o.neck, name) ?? RAGLAN_DEFAULTS[name].neck,
          meet: ofSide(o.meet, name),
          guide: ofSide(o.guide, name) ?? RAGLAN_DEFAULTS[name].guide,
        });
        return {
          front: side('front'),
          back: side('back'),
          sleeve: o.sleeve ?? RAGLAN_DEFAULTS.sleeve,
          dart: o.dart ?? RAGLAN_DEFAULTS.dart,
          spread: o.spread ?? RAGLAN_DEFAULTS.spread,
        };
      });
  },
  apply: raglan,
});

const ofSide = (
  value: number | { front: number; back: number } | undefined,
  side: 'front' | 'back',
): number | undefined => (typeof value === 'object' ? value[side] : value);

/** Seams of a set-in sleeve that the raglan's own take the place of. */
const SET_IN = new Set(['shoulder', 'cap', 'front cap', 'back cap', 'sleeve-underarm']);

function assertReady(pattern: Pattern): void {
  if (pattern.construction) {
    throw new InputError('the pattern has a raglan already', { mend: 'leave one of the two steps out' });
  }
  const early = pattern.pieces.filter(
    (piece) => piece.derived && piece.name !== 'sleeve' && piece.derived.from.some((name) => BODY.has(name)),
  );
  if (early.length > 0) {
    throw new InputError(
      `${early.map((piece) => `'${piece.name}'`).join(' and ')} ${early.length === 1 ? 'is' : 'are'} drawn from pieces that this step cuts anew`,
      { mend: 'put raglan before the steps that draft them' },
    );
  }
  if (!hasPiece(pattern, 'sleeve') || !pointsOf(pieceOf(pattern, 'sleeve')).has('crown')) {
    throw new CheckError('there is no set-in sleeve to make a raglan from', {
      mend: 'start from a block with a sleeve, and put draft-sleeve before this step',
    });
  }
  const shoulders = frontAndBack(pattern, 'shoulder');
  if (Math.abs(shoulders.front - shoulders.back) > MATCHED) {
    throw new CheckError(
      `the shoulders measure ${shoulders.front.toFixed(1)} mm (front) and ${shoulders.back.toFixed(1)} mm (back): they are the legs of one dart`,
      { mend: 'put match-shoulders before this step' },
    );
  }
}

const BODY = new Set(['front', 'back', 'sleeve']);

/** Front, back and sleeves cut from the set-in pattern: from `pattern` itself, or what it was cut from. */
function raglanOf(
  pattern: Pattern,
  options: RaglanOptions,
): { front: Piece; back: Piece; made: RaglanSleeve } {
  const setIn = pattern.construction ?? pattern;
  const front = cutRaglan(pieceOf(setIn, 'front'), 'front', options.front);
  const back = cutRaglan(pieceOf(setIn, 'back'), 'back', options.back);
  const made = raglanSleeve(
    pieceOf(setIn, 'sleeve'),
    { front: front.yoke, back: back.yoke },
    {
      dart: options.dart,
      spread: options.spread,
      pieces: options.sleeve === 'one-piece' ? 'one' : 'two',
    },
  );
  return { front: front.body, back: back.body, made };
}

/** What was marked on a piece since, such as its stretch, outlives its being cut again. */
function derivedFrom(piece: Piece, from: readonly string[], cut: (now: Pattern) => Piece): Piece {
  const run: Derivation['run'] = (now) => {
    const kept = pieceOf(now, piece.name);
    const fresh = cut(now);
    const { internals: _, ...plain } = kept;
    return withPiece(now, {
      ...plain,
      ...assertSound(fresh),
      ...(kept.stretch ? { stretch: kept.stretch } : {}),
      counts: kept.counts,
      fabric: kept.fabric,
      derived: { step: 'raglan', from, run },
    });
  };
  return { ...assertSound(piece), derived: { step: 'raglan', from, run } };
}

const use = (piece: string, edge: string) => ({ piece, edge, times: 1 });

function raglanSeams({ sleeve }: RaglanOptions): Seam[] {
  const even = { ratio: 1, plus: 0, tolerance: SEAM_TOLERANCE };
  const seam = (name: string, left: ReturnType<typeof use>, right: ReturnType<typeof use>): Seam => ({
    name,
    left: [left],
    right: [right],
    ...even,
  });
  if (sleeve === 'one-piece') {
    return [
      seam('front raglan', use('sleeve', 'front-raglan'), use('front', 'raglan')),
      seam('back raglan', use('sleeve', 'back-raglan'), use('back', 'raglan')),
      seam('shoulder dart', use('sleeve', 'front-shoulder'), use('sleeve', 'back-shoulder')),
      seam('sleeve-underarm', use('sleeve', 'front-underarm'), use('sleeve', 'back-underarm')),
    ];
  }
  return [
    seam('front raglan', use('front-sleeve', 'raglan'), use('front', 'raglan')),
    seam('back raglan', use('back-sleeve', 'raglan'), use('back', 'raglan')),
    seam('overarm', use('front-sleeve', 'overarm'), use('back-sleeve', 'overarm')),
    seam('sleeve-underarm', use('front-sleeve', 'underarm'), use('back-sleeve', 'underarm')),
  ];
}

/** What is no measure of a raglan garment. */
const SET_IN_MEASURES = new Set([
  'across shoulder',
  'shoulder',
  'back armhole',
  'front armhole',
  'cap height',
]);

function raglanMeasures(pattern: Pattern, { sleeve }: RaglanOptions): PointOfMeasure[] {
  const kept = pattern.measures
    .filter((measure) => !SET_IN_MEASURES.has(measure.name))
    .map((measure): PointOfMeasure => ({ ...measure, on: 'construction' }));
  const along = (name: string, piece: string): PointOfMeasure => ({
    name,
    terms: [{ kind: 'edge', piece, edge: 'raglan', times: 1 }],
    tolerance: 3,
  });
  const [piece, low, neck] =
    sleeve === 'one-piece'
      ? ['sleeve', 'front-wrist', 'front-neck-point']
      : ['front-sleeve', 'underarm-wrist', 'neck-point'];
  return [
    ...kept,
    along('front raglan', 'front'),
    along('back raglan', 'back'),
    {
      name: 'sleeve from the neck',
      terms: [{ kind: 'span', piece, from: low, to: neck, axis: 'y', times: 1 }],
      tolerance: 3,
    },
  ];
}
