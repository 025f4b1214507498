import { z } from 'zod';
import { lengthField } from '../fields.js';
import type { Pattern } from '../pattern/model.js';
import { MM_PER_INCH } from '../units.js';
import { type Altered, defineAlteration } from './alteration.js';
import { BAND_KNITS, bandRatio } from './band-ratio.js';
import { DRAFT_BAND_DEFAULTS, draftBand } from './draft-band.js';
import { necklineRing } from './neckline-ring.js';

export interface DraftCollarOptions {
  readonly name: string;
  /** A stand is worn upright, a turtleneck turned down over itself. */
  readonly kind: 'stand' | 'turtleneck';
  /** As worn, mm. */
  readonly height: number;
  /** Collar length over the neckline's. */
  readonly ratio: number;
  readonly fabric: string;
}

/** Common practice, no source: 2 in for a stand, 3 in as worn for a turtleneck. */
export const COLLAR_HEIGHTS: Readonly<Record<DraftCollarOptions['kind'], number>> = {
  stand: 2 * MM_PER_INCH,
  turtleneck: 3 * MM_PER_INCH,
};

/**
 * A stand collar or turtleneck from the measured neckline: a straight band that the knit's stretch shapes,
 * folded along its upper edge. A turtleneck is twice as deep again and marked where it is turned down. The
 * collar is a derived piece, cut again from the neckline in every size; whether it passes the head is a matter
 * of its ratio and the fabric's stretch, which `check` looks at.
 *
 * @throws InputError when a piece of that name is there already.
 */
export function draftCollar(pattern: Pattern, options: DraftCollarOptions): Altered {
  const turned = options.kind === 'turtleneck';
  return draftBand(pattern, {
    ...DRAFT_BAND_DEFAULTS,
    name: options.name,
    along: necklineRing(pattern),
    ratio: options.ratio,
    depth: options.height * (turned ? 2 : 1),
    fabric: options.fabric,
    lines: turned ? [{ name: 'turned down here', share: 1 / 2 }] : [],
  });
}

export const draftCollarAlteration = defineAlteration({
  name: 'draft-collar',
  summary: 'a stand collar or turtleneck from the measured neckline',
  schema: (unit) =>
    z
      .strictObject({
        as: z.enum(['stand', 'turtleneck']),
        name: z
          .string()
          .regex(/^[a-z][\w-]*$/i, 'a piece name has letters, digits and dashes')
          .optional(),
        height: lengthField(unit, 'positive').optional().describe('as worn'),
        ratio: z
          .union([z.number().positive().max(1.5), z.enum(BAND_KNITS as [string, ...string[]])])
          .optional(),
        fabric: z.string().optional(),
      })
      .transform(
        (o): DraftCollarOptions => ({
          name: o.name ?? 'collar',
          kind: o.as,
          height: o.height ?? COLLAR_HEIGHTS[o.as],
          ratio:
            typeof o.ratio === 'string' ? bandRatio(o.ratio, 'neck') : (o.ratio ?? DRAFT_BAND_DEFAULTS.ratio),
          fabric: o.fabric ?? DRAFT_BAND_DEFAULTS.fabric,
        }),
      ),
  apply: draftCollar,
});
