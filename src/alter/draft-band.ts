import { z } from 'zod';
import { InputError } from '../errors.js';
import { lengthField, shareField } from '../fields.js';
import { line } from '../geometry/path.js';
import type { Vec } from '../geometry/vec.js';
import { usedLength } from '../pattern/measure.js';
import {
  type Counts,
  type EdgeUse,
  edgeOf,
  hasPiece,
  type Notch,
  type Pattern,
  type Piece,
  pieceOf,
  withPiece,
  withSeam,
} from '../pattern/model.js';
import { type Altered, altered, assertSound, defineAlteration } from './alteration.js';
import { shares, withBandNotches } from './band-notches.js';
import { BAND_KNITS, type BandPlace, bandRatio } from './band-ratio.js';
import { necklineOnSleeves, necklineRing } from './neckline-ring.js';

export interface DraftBandOptions {
  readonly name: string;
  /**
   * Edges the band is sewn to, as `piece.edge`, in the order they are sewn. An edge of a piece on the fold counts
   * twice; in a ring with such edges, one of a piece cut twice does too.
   */
  readonly along: readonly string[];
  /** Band length over the length of those edges: less than 1 stretches the band on. */
  readonly ratio: number;
  /** Finished depth, mm; a folded band is cut twice as deep. */
  readonly depth: number;
  readonly folded: boolean;
  /** Pieces the band's length is cut in, joined by seams. */
  readonly parts: number;
  /** Bands in one garment: 2 for cuffs. */
  readonly count: number;
  readonly fabric: string;
  /** Lines to mark along the band, at a share of the finished depth from the sewn edge. */
  readonly lines?: readonly { readonly name: string; readonly share: number }[];
}

/** House default from memory: 2x2 and 1x1 rib at 80 to 85 % of the edge. */
export const DRAFT_BAND_DEFAULTS = { ratio: 0.85, folded: true, parts: 1, count: 1, fabric: 'rib' } as const;

/** Bands sew on within this, mm. */
const BAND_TOLERANCE = 0.5;

/**
 * A straight band (neckband, cuff, hem band) from the measured edge: its length is `ratio` times the edge, laid
 * along the courses where a rib stretches. A derived piece, cut again from the edge in every size.
 */
export function draftBand(pattern: Pattern, options: DraftBandOptions): Altered {
  const { name } = options;
  const uses = edgeUses(pattern, options.along);
  if (hasPiece(pattern, name) || pattern.seams.some((seam) => seam.name === name)) {
    const what = hasPiece(pattern, name) ? 'piece' : 'seam';
    throw new InputError(`a ${what} named '${name}' is there already`, {
      mend: 'give the band another name',
    });
  }
  const derive = (now: Pattern): Pattern => {
    const size = (options.ratio * usedLength(now, uses)) / options.parts;
    const fresh = bandPiece(options, size);
    // What was marked on the band since, such as its stretch, outlives a redraft.
    const kept = hasPiece(now, name) ? pieceOf(now, name) : fresh;
    const band: Piece = {
      ...kept,
      edges: fresh.edges,
      notches: fresh.notches,
      grain: fresh.grain,
      ...(fresh.internals ? { internals: fresh.internals } : {}),
      derived: { step: 'draft-band', from: uses.map((u) => u.piece), run: derive },
    };
    return withBandNotches(withPiece(now, assertSound(band)), name, uses, options.parts);
  };
  const drawn = withSeam(derive(pattern), {
    name,
    left: [{ piece: name, edge: 'lower', times: options.parts }],
    right: uses,
    ratio: options.ratio,
    plus: 0,
    tolerance: BAND_TOLERANCE,
  });
  const edge = usedLength(pattern, uses);
  return altered(drawn, [
    {
      subject: name,
      values: [
        { name: 'edge', mm: edge },
        { name: 'band', mm: options.ratio * edge },
        { name: 'finished depth', mm: options.depth },
      ],
    },
  ]);
}

export const draftBandAlteration = defineAlteration({
  name: 'draft-band',
  summary: 'a neckband, cuff or hem band from the measured edge',
  schema: (unit) =>
    z
      .strictObject({
        name: z.string().regex(/^[a-z][\w-]*$/i, 'a piece name has letters, digits and dashes'),
        along: z.array(z.string().regex(/^[\w-]+\.[\w-]+$/, 'write it as piece.edge')).min(1),
        ratio: z.number().positive().max(1.5).optional(),
        knit: z
          .enum(BAND_KNITS as [string, ...string[]])
          .optional()
          .describe('what it is cut from, which says the ratio'),
        recovery: shareField.optional().describe('share of its stretch that the knit goes back'),
        depth: lengthField(unit, 'positive'),
        folded: z.boolean().optional(),
        parts: z.int().min(1).max(8).optional(),
        count: z.int().min(1).max(8).optional(),
        fabric: z.string().optional(),
      })
      .superRefine((o, context) => {
        if (o.ratio !== undefined && o.knit !== undefined) {
          context.addIssue({ code: 'custom', path: ['knit'], message: "give 'ratio' or 'knit', not both" });
        }
        if (o.recovery !== undefined && o.knit === undefined) {
          context.addIssue({ code: 'custom', path: ['recovery'], message: "say the 'knit' too" });
        }
      })
      .transform(
        (o): DraftBandOptions => ({
          name: o.name,
          along: o.along,
          ratio:
            o.knit === undefined
              ? (o.ratio ?? DRAFT_BAND_DEFAULTS.ratio)
              : bandRatio(o.knit, placeOf(o.along), o.recovery),
          depth: o.depth,
          folded: o.folded ?? DRAFT_BAND_DEFAULTS.folded,
          parts: o.parts ?? DRAFT_BAND_DEFAULTS.parts,
          count: o.count ?? DRAFT_BAND_DEFAULTS.count,
          fabric: o.fabric ?? DRAFT_BAND_DEFAULTS.fabric,
        }),
      ),
  apply: draftBand,
});

/** What a band is sewn to, by the name of its first edge. */
function placeOf(along: readonly string[]): BandPlace {
  const edge = along[0]?.split('.')[1] ?? '';
  return edge.endsWith('neckline') ? 'neck' : edge === 'wrist' ? 'cuff' : 'hem';
}

/**
 * Edges named as `piece.edge` with how often each is met in one garment.
 *
 * @throws InputError for an unknown piece or edge, or a neckline that is named in part.
 */
export function edgeUses(pattern: Pattern, along: readonly string[]): EdgeUse[] {
  const found = along.map((text) => {
    const [pieceName = '', edgeName = ''] = text.split('.');
    const piece = pieceOf(pattern, pieceName);
    edgeOf(piece, edgeName);
    return { piece, edge: edgeName };
  });
  // A cuff is sewn to one sleeve; a band round the body meets both.
  const roundBody = found.some(({ piece }) => piece.fold);
  if (roundBody) assertWholeNeckline(pattern, along);
  return found.map(({ piece, edge }) => {
    const copies = roundBody ? piece.counts.asDrawn + piece.counts.mirrored : 1;
    return { piece: piece.name, edge, times: piece.fold ? 2 : copies };
  });
}

/** A raglan's neckline runs over its sleeves: a band along the rest alone would be too short. */
function assertWholeNeckline(pattern: Pattern, along: readonly string[]): void {
  if (!along.includes('back.neckline') || !along.includes('front.neckline')) return;
  const missing = necklineOnSleeves(pattern).filter((text) => !along.includes(text));
  if (missing.length === 0) return;
  throw new InputError(`the neckline runs over ${missing.join(' and ')} too`, {
    mend: `write along: [${necklineRing(pattern).join(', ')}]`,
  });
}

function bandPiece(options: DraftBandOptions, size: number): Piece {
  const cutDepth = options.depth * (options.folded ? 2 : 1);
  const corner = (x: number, y: number): Vec => [x, y];
  const a = corner(0, 0);
  const b = corner(size, 0);
  const c = corner(size, cutDepth);
  const d = corner(0, cutDepth);
  const counts: Counts = { asDrawn: options.parts * options.count, mirrored: 0 };
  const notches = shares(options.parts).map(
    (ratio): Notch => ({ name: `at ${ratio * 100} %`, edge: 'lower', at: { ratio }, kind: 'single' }),
  );
  const along = (name: string, y: number) => ({ name, path: [line(corner(0, y), corner(size, y))] });
  const internals = [
    ...(options.folded ? [along('fold line', cutDepth / 2)] : []),
    ...(options.lines ?? []).map(({ name, share }) => along(name, options.depth * share)),
  ];
  return {
    name: options.name,
    edges: [
      { name: 'lower', from: 'lower-left', to: 'lower-right', path: [line(a, b)] },
      { name: 'right', from: 'lower-right', to: 'upper-right', path: [line(b, c)] },
      { name: 'upper', from: 'upper-right', to: 'upper-left', path: [line(c, d)] },
      { name: 'left', from: 'upper-left', to: 'lower-left', path: [line(d, a)] },
    ],
    grain: { from: [size / 2, cutDepth * 0.15], to: [size / 2, cutDepth * 0.85] },
    ...(internals.length > 0 ? { internals } : {}),
    notches,
    counts,
    fabric: options.fabric,
  };
}
