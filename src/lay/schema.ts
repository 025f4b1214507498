import { z } from 'zod';
import { InputError } from '../errors.js';
import { lengthField, percentField } from '../fields.js';
import { formatLength, type Unit } from '../units.js';
import type { Fabric, LayOptions } from './types.js';

/** A fabric as a style or preset writes it; what is left out comes from the preset it names. */
export type FabricPart = z.output<ReturnType<typeof fabricSchema>>;

/** Schema of one fabric. Every field may be left out here: `resolveFabric` says what is missing in the end. */
export function fabricSchema(unit: Unit) {
  const length = lengthField(unit, 'positive');
  const price = z.number().positive();
  // Some knits grow in one direction: a negative shrinkage.
  const shrinkage = percentField(50, -30);
  return z.strictObject({
    preset: z.string().optional(),
    description: z.string().optional(),
    'usable-width': length.optional(),
    'full-width': length.optional(),
    'g-per-m2': z.number().positive().optional(),
    'price-per-metre': price.optional(),
    'price-per-kg': price.optional(),
    shrinkage: z.strictObject({ walewise: shrinkage, coursewise: shrinkage }).optional(),
    'relaxation-loss': percentField(50).optional(),
    orientation: z.enum(['one-way', 'garment-one-way', 'either-way']).optional(),
    mode: z.enum(['single', 'tubular']).optional(),
    stretch: percentField(400).optional(),
  });
}

/** Knits outside these limits are taken for a slip of the unit: widths in mm, masses in g/m2. */
const LIKELY = { width: [200, 3000], mass: [40, 1500] } as const;

/**
 * A whole fabric from the style's part over its preset. A usable width that the style gives is that of another
 * roll: the preset's full width does not go with it.
 *
 * @throws InputError, its place relative to the fabric, for a field that is in neither, a width or mass that no
 *   knit has, or a usable width wider than the roll.
 */
export function resolveFabric(
  name: string,
  part: FabricPart,
  preset: FabricPart | undefined,
  currency: string,
): Fabric {
  const given = Object.fromEntries(Object.entries(part).filter(([, value]) => value !== undefined));
  const all: FabricPart = { ...preset, ...given };
  const usableWidth = likely(name, all, 'usable-width', LIKELY.width, (mm) => formatLength(mm, 'cm'));
  const grams = likely(name, all, 'g-per-m2', LIKELY.mass, (g) => `${g} g/m2`);
  const fullWidth = part['usable-width'] === undefined ? all['full-width'] : part['full-width'];
  if (fullWidth !== undefined && fullWidth < usableWidth) {
    throw new InputError(
      `fabric '${name}' is ${formatLength(fullWidth, 'cm')} wide in full and cannot have ${formatLength(usableWidth, 'cm')} to use`,
      { mend: 'the full width includes the selvedges', place: { path: 'full-width' } },
    );
  }
  const { 'price-per-metre': perMetre, 'price-per-kg': perKilogram, stretch } = all;
  return {
    name,
    description: all.description ?? name,
    usableWidth,
    ...(fullWidth === undefined ? {} : { fullWidth }),
    gramsPerSquareMetre: grams,
    ...(perMetre === undefined ? {} : { pricePerMetre: perMetre }),
    ...(perKilogram === undefined ? {} : { pricePerKilogram: perKilogram }),
    currency,
    shrinkage: all.shrinkage ?? { walewise: 0, coursewise: 0 },
    relaxationLoss: all['relaxation-loss'] ?? 0,
    // Knits shade when pieces of one garment are turned: one way unless the fabric says otherwise.
    orientation: all.orientation ?? 'one-way',
    mode: all.mode ?? 'single',
    ...(stretch === undefined ? {} : { stretchPercent: stretch }),
  };
}

function likely(
  name: string,
  part: FabricPart,
  field: 'usable-width' | 'g-per-m2',
  [least, most]: readonly [number, number],
  show: (value: number) => string,
): number {
  const value = part[field];
  if (value === undefined) {
    throw new InputError(`fabric '${name}' does not say its ${field}`, {
      mend: `add '${field}:' or name a preset`,
    });
  }
  if (value >= least && value <= most) return value;
  throw new InputError(`fabric '${name}': a ${field} of ${show(value)} is not that of a knit`, {
    mend: `expected ${show(least)} to ${show(most)}; say the unit, such as 165 cm`,
    place: { path: field },
  });
}

export interface LayPart {
  readonly options: LayOptions;
  readonly search: { readonly seconds: number; readonly seed: number; readonly threads: number };
}

/** House defaults: 2 mm between pieces, 2 cm of cloth beyond each end of a ply (trade range 1.5 to 2 cm for knits). */
export const LAY_DEFAULTS: LayPart = {
  options: { gap: 2, sideMargin: 0, endMargin: 0, endAllowance: 20 },
  search: { seconds: 20, seed: 1, threads: 2 },
};

/** Time to search, up to a day. */
const seconds = z.number().positive().max(86_400);

/** Schema of the `lay` part of a style. */
export function laySchema(unit: Unit) {
  const length = lengthField(unit, 'not-negative').optional();
  return z
    .strictObject({
      gap: length,
      'side-margin': length,
      'end-margin': length,
      'end-allowance': length,
      seconds: seconds.optional(),
      seed: z.int().min(0).optional(),
      threads: z.int().min(1).max(64).optional(),
    })
    .transform((o): LayPart => {
      const { options, search } = LAY_DEFAULTS;
      return {
        options: {
          gap: o.gap ?? options.gap,
          sideMargin: o['side-margin'] ?? options.sideMargin,
          endMargin: o['end-margin'] ?? options.endMargin,
          endAllowance: o['end-allowance'] ?? options.endAllowance,
        },
        search: {
          seconds: o.seconds ?? search.seconds,
          seed: o.seed ?? search.seed,
          threads: o.threads ?? search.threads,
        },
      };
    });
}

/** Garments per size, such as `{ S: 2, M: 3 }`. */
export type SizeRatio = Readonly<Record<string, number>>;

export interface MarkerPart {
  readonly name: string;
  readonly fabric: string;
  readonly ratio: SizeRatio;
  /** Time to search this marker, in place of the style's. */
  readonly seconds?: number | undefined;
}

/** Schema of the `markers` part of a style: which sizes of which fabric are laid together. */
export const markersSchema = z.array(
  z.strictObject({
    name: z.string().regex(/^[a-z0-9][\w-]*$/i, 'a marker name has letters, digits and dashes'),
    fabric: z.string(),
    ratio: z.record(z.string(), z.int().min(0).max(1000)),
    seconds: seconds.optional(),
  }),
);
