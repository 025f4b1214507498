import { z } from 'zod';
import { hoodSide } from '../draft/hood.js';
import { CheckError, InputError } from '../errors.js';
import { lengthField } from '../fields.js';
import { length, line } from '../geometry/path.js';
import { edgeLength, usedLength } from '../pattern/measure.js';
import {
  type EdgeUse,
  hasPiece,
  type Notch,
  type Pattern,
  type Piece,
  pieceOf,
  type Seam,
  withPiece,
  withSeam,
} from '../pattern/model.js';
import { MM_PER_INCH } from '../units.js';
import { type Altered, altered, assertSound, defineAlteration } from './alteration.js';
import { edgeUses } from './draft-band.js';
import { necklineRing } from './neckline-ring.js';

export interface DraftHoodOptions {
  readonly name: string;
  /** Two sides with a seam over the head, or two sides and a strip between them. */
  readonly pieces: 'two' | 'three';
  /** From the neck to the top of the head, and from the back of the head to the face; mm. */
  readonly height: number;
  readonly depth: number;
  /** How much lower the neck edge is in front, mm. */
  readonly drop: number;
  /** Width of the strip, mm. */
  readonly strip: number;
  readonly fabric: string;
}

/**
 * Common practice, no source: 13 1/2 in high and 9 1/2 in deep, the neck edge 1 1/2 in lower in front, a strip of
 * 4 in.
 */
export const DRAFT_HOOD_DEFAULTS: DraftHoodOptions = {
  name: 'hood',
  pieces: 'two',
  height: 13.5 * MM_PER_INCH,
  depth: 9.5 * MM_PER_INCH,
  drop: 1.5 * MM_PER_INCH,
  strip: 4 * MM_PER_INCH,
  fabric: 'self',
};

/** Ease over the head added to its height, and share of its girth that a hood is deep (common practice, no source). */
export const HOOD_OF_HEAD = { ease: MM_PER_INCH, depth: 0.42 } as const;

/** Hoods sew on within this, mm. */
const HOOD_TOLERANCE = 0.5;

/**
 * A hood from the measured neckline: its neck edge is as long as the neckline in every size, since it is drawn again
 * from it. A strip takes half its width off either side, so that the hood keeps its height and depth.
 *
 * @throws InputError for a name that is taken; CheckError for sizes that do not stand on the neckline.
 */
export function draftHood(pattern: Pattern, options: DraftHoodOptions): Altered {
  const { name } = options;
  const strip = `${name}-strip`;
  for (const taken of options.pieces === 'two' ? [name] : [name, strip]) {
    if (!hasPiece(pattern, taken) && !pattern.seams.some((seam) => seam.name === taken)) continue;
    throw new InputError(`a piece or seam named '${taken}' is there already`, {
      mend: 'give the hood another name',
    });
  }
  const uses = edgeUses(pattern, necklineRing(pattern));
  const derive = (now: Pattern): Pattern => {
    const made = hoodPieces(now, options, uses).map((fresh): Piece => {
      const kept = hasPiece(now, fresh.name) ? pieceOf(now, fresh.name) : fresh;
      const derived = { step: 'draft-hood', from: uses.map((use) => use.piece), run: derive };
      return assertSound({
        ...kept,
        edges: fresh.edges,
        notches: fresh.notches,
        grain: fresh.grain,
        derived,
      });
    });
    return made.reduce(withPiece, now);
  };
  const drawn = hoodSeams(options, uses).reduce(withSeam, derive(pattern));
  const neckline = usedLength(pattern, uses);
  return altered(drawn, [
    {
      subject: name,
      values: [
        { name: 'neckline', mm: neckline },
        { name: 'neck edge of one side', mm: edgeLength(drawn, name, 'neckline') },
        { name: 'height', mm: options.height },
        { name: 'depth', mm: options.depth },
        { name: 'face edge of one side', mm: edgeLength(drawn, name, 'face') },
      ],
    },
  ]);
}

export const draftHoodAlteration = defineAlteration({
  name: 'draft-hood',
  summary: 'a hood from the measured neckline, of two or three pieces',
  schema: (unit) => {
    const size = lengthField(unit, 'positive');
    return z
      .strictObject({
        name: z
          .string()
          .regex(/^[a-z][\w-]*$/i, 'a piece name has letters, digits and dashes')
          .optional(),
        pieces: z.enum(['two', 'three']).optional(),
        height: size.optional().describe('of the hood, from the neck to the top'),
        depth: size.optional().describe('of the hood, from the back to the face'),
        'head-height': size.optional().describe('of the head, from the neck point to the top'),
        'head-girth': size.optional(),
        drop: lengthField(unit, 'not-negative').optional().describe('of the neck edge in front'),
        strip: size.optional().describe('width of the strip of a hood in three pieces'),
        fabric: z.string().optional(),
      })
      .superRefine((o, context) => {
        for (const [one, other] of [
          ['height', 'head-height'],
          ['depth', 'head-girth'],
        ] as const) {
          if (o[one] === undefined || o[other] === undefined) continue;
          const message = `give '${one}' or '${other}', not both`;
          context.addIssue({ code: 'custom', path: [other], message });
        }
        if (o.strip !== undefined && o.pieces !== 'three') {
          context.addIssue({ code: 'custom', path: ['strip'], message: "say 'pieces: three' too" });
        }
      })
      .transform((o): DraftHoodOptions => {
        const defaults = DRAFT_HOOD_DEFAULTS;
        const girth = o['head-girth'];
        const head = o['head-height'];
        return {
          name: o.name ?? defaults.name,
          pieces: o.pieces ?? defaults.pieces,
          height: o.height ?? (head === undefined ? defaults.height : head + HOOD_OF_HEAD.ease),
          depth: o.depth ?? (girth === undefined ? defaults.depth : girth * HOOD_OF_HEAD.depth),
          drop: o.drop ?? defaults.drop,
          strip: o.strip ?? defaults.strip,
          fabric: o.fabric ?? defaults.fabric,
        };
      });
  },
  apply: draftHood,
});

function hoodPieces(pattern: Pattern, options: DraftHoodOptions, uses: readonly EdgeUse[]): Piece[] {
  const { name, height, depth, drop, fabric } = options;
  const inset = options.pieces === 'three' ? options.strip / 2 : 0;
  const neck = usedLength(pattern, uses) / 2 - inset;
  if (height <= 2 * inset || depth <= 2 * inset || neck <= 0) {
    throw new CheckError(
      `a strip of ${options.strip.toFixed(1)} mm leaves nothing of a hood ${height.toFixed(1)} mm high and ${depth.toFixed(1)} mm deep`,
      { mend: 'make the strip narrower' },
    );
  }
  const { neckline, face, crown } = hoodSide({ neck, height: height - inset, depth: depth - inset, drop });
  // What lies on the back half of the ring, up to the neck point, is sewn to the back.
  const ends = uses.findIndex((use) => /^front/.test(use.piece) || /^front/.test(use.edge));
  const onBack = uses.slice(0, ends).reduce((sum, use) => sum + edgeLength(pattern, use.piece, use.edge), 0);
  const x = neckline[0]!.b[0] * 0.6;
  const side: Piece = {
    name,
    edges: [
      { name: 'neckline', from: 'back-neck', to: 'front-neck', path: neckline },
      { name: 'face', from: 'front-neck', to: 'top', path: face },
      { name: 'crown', from: 'top', to: 'back-neck', path: crown },
    ],
    grain: { from: [x, height * 0.2], to: [x, height * 0.7] },
    notches: [
      // A strip may be as wide as the back neck: the neck point then lies on it.
      ...(onBack > inset ? [neckPoint(onBack - inset)] : []),
      { name: 'crown', edge: 'crown', at: { ratio: 0.5 }, kind: 'single' },
    ],
    counts: { asDrawn: 1, mirrored: 1 },
    fabric,
  };
  return inset === 0 ? [side] : [side, stripPiece(options, length(crown))];
}

const neckPoint = (at: number): Notch => ({
  name: 'neck-point',
  edge: 'neckline',
  at: { length: at },
  kind: 'single',
});

/** The strip over the head, its length along the wales; its lower end is sewn to the middle of the back neck. */
function stripPiece({ name, strip, fabric }: DraftHoodOptions, size: number): Piece {
  return {
    name: `${name}-strip`,
    edges: [
      { name: 'neckline', from: 'neck-left', to: 'neck-right', path: [line([0, 0], [strip, 0])] },
      { name: 'right', from: 'neck-right', to: 'face-right', path: [line([strip, 0], [strip, size])] },
      { name: 'face', from: 'face-right', to: 'face-left', path: [line([strip, size], [0, size])] },
      { name: 'left', from: 'face-left', to: 'neck-left', path: [line([0, size], [0, 0])] },
    ],
    grain: { from: [strip / 2, size * 0.2], to: [strip / 2, size * 0.8] },
    notches: [
      { name: 'crown-right', edge: 'right', at: { ratio: 0.5 }, kind: 'single' },
      { name: 'crown-left', edge: 'left', at: { ratio: 0.5 }, kind: 'single' },
      { name: 'center-back', edge: 'neckline', at: { ratio: 0.5 }, kind: 'single' },
    ],
    counts: { asDrawn: 1, mirrored: 0 },
    fabric,
  };
}

function hoodSeams({ name, pieces }: DraftHoodOptions, uses: readonly EdgeUse[]): Seam[] {
  const even = { ratio: 1, plus: 0, tolerance: HOOD_TOLERANCE };
  const own: EdgeUse = { piece: name, edge: 'neckline', times: 2 };
  if (pieces === 'two') return [{ name, left: [own], right: uses, ...even }];
  const strip = (edge: string): EdgeUse => ({ piece: `${name}-strip`, edge, times: 1 });
  const crown: EdgeUse = { piece: name, edge: 'crown', times: 1 };
  return [
    { name, left: [own, strip('neckline')], right: uses, ...even },
    { name: `${name} strip, right`, left: [strip('right')], right: [crown], ...even },
    { name: `${name} strip, left`, left: [strip('left')], right: [crown], ...even },
  ];
}
