import { z } from 'zod';
import { CheckError } from '../errors.js';
import { lengthField } from '../fields.js';
import { edgeLength } from '../pattern/measure.js';
import {
  type NecklineShape,
  type Pattern,
  type Piece,
  pieceOf,
  pointOf,
  withPiece,
} from '../pattern/model.js';
import { MM_PER_INCH } from '../units.js';
import { type Altered, altered, assertSound, defineAlteration } from './alteration.js';
import { alongToWidth, changeNeck, neckPointAfter } from './neck-edge.js';

export type NeckShape = 'crew' | 'v' | 'scoop' | 'boat';

/** Depth of a neckline: from its neck point down to its centre, or how much the centre is lowered; mm. */
export type NeckDepth = { readonly depth: number } | { readonly lower: number };

export interface NeckShapeOptions {
  readonly shape: NeckShape;
  /** Whole width between the neck points of the back, or a distance along both shoulders; mm. */
  readonly width: { readonly whole: number } | { readonly widen: number };
  readonly front: NeckDepth;
  readonly back: NeckDepth;
}

/**
 * What each shape changes when a style says nothing else. A V of 12 to 14 cm is a figure of weak trade
 * sources; the rest is the house's, from common practice, no source.
 */
export const NECK_SHAPE_DEFAULTS: Readonly<Record<NeckShape, Omit<NeckShapeOptions, 'shape'>>> = {
  crew: { width: { widen: 0 }, front: { lower: 0 }, back: { lower: 0 } },
  v: { width: { widen: 0 }, front: { depth: 130 }, back: { lower: 0 } },
  scoop: {
    width: { widen: MM_PER_INCH },
    front: { lower: 2 * MM_PER_INCH },
    back: { lower: MM_PER_INCH / 2 },
  },
  boat: {
    width: { widen: 2 * MM_PER_INCH },
    front: { depth: 1.5 * MM_PER_INCH },
    back: { depth: MM_PER_INCH },
  },
};

/** Curves that the front of each shape is drawn with; the back is round in all of them. */
const FRONT_CURVE: Readonly<Record<NeckShape, NecklineShape>> = {
  crew: 'round',
  v: 'v',
  scoop: 'scoop',
  boat: 'round',
};

/** A neckline less deep than this has no curve, mm. */
const LEAST_DEPTH = 5;

/**
 * Gives the neck another shape. Both neck points move by the same distance along their shoulders, so that
 * these still match; then both necklines are drawn to their depths. Round necklines stand square on the fold; a
 * V alone meets it at an angle.
 *
 * @throws CheckError for a shoulder that is not straight or is used up, or a neckline of no depth.
 */
export function neckShape(pattern: Pattern, options: NeckShapeOptions): Altered {
  const { width } = options;
  const along = 'widen' in width ? width.widen : alongToWidth(pieceOf(pattern, 'back'), width.whole / 2);
  const front = shaped(pieceOf(pattern, 'front'), along, options.front, FRONT_CURVE[options.shape]);
  const back = shaped(pieceOf(pattern, 'back'), along, options.back, 'round');
  const result = withPiece(withPiece(pattern, front), back);
  return altered(result, [
    {
      subject: `${options.shape} neck`,
      values: [
        { name: 'width', mm: 2 * (pointOf(back, 'neck-point')[0] - pointOf(back, 'center-neck')[0]) },
        { name: 'front depth', mm: depthOf(front) },
        { name: 'back depth', mm: depthOf(back) },
        { name: 'shoulder', mm: edgeLength(result, 'back', 'shoulder') },
        {
          name: 'neckline',
          mm: 2 * (edgeLength(result, 'front', 'neckline') + edgeLength(result, 'back', 'neckline')),
        },
      ],
    },
  ]);
}

export const neckShapeAlteration = defineAlteration({
  name: 'neck-shape',
  summary: 'crew, V, scoop or boat neck, of a depth and width',
  schema: (unit) =>
    z
      .strictObject({
        as: z.enum(['crew', 'v', 'scoop', 'boat']),
        width: lengthField(unit, 'positive').optional().describe('whole, between the neck points'),
        widen: lengthField(unit).optional().describe('along both shoulders'),
        depth: lengthField(unit, 'positive').optional().describe('of the front, from the neck point'),
        lower: lengthField(unit).optional().describe('the centre front by so much'),
        'back-depth': lengthField(unit, 'positive').optional(),
        'back-lower': lengthField(unit).optional(),
      })
      .superRefine((o, context) => {
        for (const [one, other] of [
          ['width', 'widen'],
          ['depth', 'lower'],
          ['back-depth', 'back-lower'],
        ] as const) {
          if (o[one] === undefined || o[other] === undefined) continue;
          context.addIssue({
            code: 'custom',
            path: [other],
            message: `give '${one}' or '${other}', not both`,
          });
        }
      })
      .transform((o): NeckShapeOptions => {
        const defaults = NECK_SHAPE_DEFAULTS[o.as];
        return {
          shape: o.as,
          width:
            o.width !== undefined
              ? { whole: o.width }
              : o.widen !== undefined
                ? { widen: o.widen }
                : defaults.width,
          front: depthOr(o.depth, o.lower, defaults.front),
          back: depthOr(o['back-depth'], o['back-lower'], defaults.back),
        };
      }),
  apply: neckShape,
});

const depthOr = (depth: number | undefined, lower: number | undefined, other: NeckDepth): NeckDepth =>
  depth !== undefined ? { depth } : lower !== undefined ? { lower } : other;

const depthOf = (piece: Piece): number => pointOf(piece, 'neck-point')[1] - pointOf(piece, 'center-neck')[1];

function shaped(piece: Piece, along: number, wanted: NeckDepth, shape: NecklineShape): Piece {
  const neck = neckPointAfter(piece, along);
  const center = 'depth' in wanted ? neck[1] - wanted.depth : pointOf(piece, 'center-neck')[1] - wanted.lower;
  if (neck[1] - center < LEAST_DEPTH) {
    throw new CheckError(
      `the ${piece.name} neckline would be ${(neck[1] - center).toFixed(1)} mm deep once the neck point lies ${along.toFixed(1)} mm farther along the shoulder`,
      { mend: `give it a ${piece.name === 'back' ? 'back-depth' : 'depth'}, or widen it less` },
    );
  }
  return assertSound(changeNeck(piece, { along, center, shape }));
}
