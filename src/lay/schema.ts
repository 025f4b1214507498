import { z } from 'zod';
import { InputError } from '../errors.js';
import { lengthField, percentField } from '../fields.js';
import { formatLength, type Unit } from '../units.js';
import { type FlawsPart, flawsFields } from './flaws.js';
import { type Fabric, LAY_MODES, type LayOptions, ON_FOLD } from './types.js';

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
    selvedge: lengthField(unit, 'not-negative').optional().describe('each of the two, not cut into'),
    'g-per-m2': z.number().positive().optional(),
    'price-per-metre': price.optional(),
    'price-per-kg': price.optional(),
    shrinkage: z.strictObject({ walewise: shrinkage, coursewise: shrinkage }).optional(),
    'relaxation-loss': percentField(50).optional(),
    orientation: z.enum(['one-way', 'garment-one-way', 'either-way']).optional(),
    mode: z.enum(LAY_MODES).optional(),
    stretch: percentField(400).optional(),
    'stretch-along': z.enum(['course', 'wale']).optional().describe('where it stretches most'),
    spare: percentField(100).optional(),
    'roll-length': length.optional(),
    'splice-waste': lengthField(unit, 'not-negative').optional(),
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
  const all: FabricPart = withWidths(name, { ...preset, ...given }, part);
  const usableWidth = likely(name, all, 'usable-width', LIKELY.width, (mm) => formatLength(mm, 'cm'));
  const grams = likely(name, all, 'g-per-m2', LIKELY.mass, (g) => `${g} g/m2`);
  const { 'full-width': fullWidth } = all;
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
    ...(all['stretch-along'] === undefined ? {} : { stretchAlong: all['stretch-along'] }),
    ...rollsOf(name, all),
  };
}

/**
 * Usable width, full width and selvedge, of which any two tell the third.
 *
 * @throws InputError where they contradict each other, or for the selvedge of a tube.
 */
function withWidths(name: string, all: FabricPart, part: FabricPart): FabricPart {
  // A usable width of the style is that of another roll than the preset's full width.
  const full = part['usable-width'] === undefined ? all['full-width'] : part['full-width'];
  const { 'full-width': _, ...rest } = all;
  const withFull = (mm: number | undefined) => (mm === undefined ? rest : { ...rest, 'full-width': mm });
  const { selvedge } = part;
  if (selvedge === undefined) return withFull(full);
  const place = { place: { path: 'selvedge' } };
  if (all.mode === 'tubular' && selvedge > 0) {
    throw new InputError(`fabric '${name}' is a tube, which has no selvedge`, {
      mend: 'leave it out, or lay the fabric in another mode',
      ...place,
    });
  }
  if (full === undefined) {
    const usable = all['usable-width'];
    return withFull(usable === undefined ? undefined : usable + 2 * selvedge);
  }
  const usable = full - 2 * selvedge;
  const stated = part['usable-width'];
  if (usable <= 0 || (stated !== undefined && stated > usable + 0.1)) {
    const cm = (mm: number) => formatLength(mm, 'cm');
    throw new InputError(
      `fabric '${name}' is ${cm(full)} wide in full; two selvedges of ${cm(selvedge)} leave ${cm(Math.max(0, usable))}, not ${cm(stated ?? 0)}`,
      { mend: 'give two of full-width, usable-width and selvedge', ...place },
    );
  }
  return { ...withFull(full), 'usable-width': stated ?? usable };
}

/** Rolls outside these limits are taken for a slip of the unit, mm. */
const LIKELY_ROLL = [5_000, 1_000_000] as const;

/** How the cloth is bought: fields that the fabric states. */
function rollsOf(name: string, all: FabricPart): Pick<Fabric, 'sparePercent' | 'rollLength' | 'spliceWaste'> {
  const { spare, 'roll-length': roll, 'splice-waste': splice } = all;
  if (roll !== undefined && !(roll >= LIKELY_ROLL[0] && roll <= LIKELY_ROLL[1])) {
    throw new InputError(`fabric '${name}': a roll of ${(roll / 1000).toFixed(2)} m is not one of cloth`, {
      mend: 'expected 5 m to 1000 m; say the unit, such as 60 m or 65 yd',
      place: { path: 'roll-length' },
    });
  }
  return {
    ...(spare === undefined ? {} : { sparePercent: spare }),
    ...(roll === undefined ? {} : { rollLength: roll }),
    ...(splice === undefined ? {} : { spliceWaste: splice }),
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

/**
 * Kept free of whole pieces at a fold, mm. A piece that touches a fold stays joined to its twin below, and the
 * folds of a stack lie within 5 mm of one another (tolerance of edge alignment in *Industrial Cutting of Textile
 * Materials*, p. 31). A half on the fold is one piece with its twin and needs no distance.
 */
export const FOLD_MARGIN = 5;

/** House defaults: 2 mm between pieces, 2 cm of cloth beyond each end of a ply (trade range 1.5 to 2 cm for knits). */
export const LAY_DEFAULTS: LayPart = {
  options: {
    gap: 2,
    sideMargin: 0,
    endMargin: 0,
    endAllowance: 20,
    foldMargin: FOLD_MARGIN,
    onFold: 'odd',
    tilt: 0,
  },
  search: { seconds: 20, seed: 1, threads: 2 },
};

/** Degrees off the grain beyond which a piece is not tilted but cut on the bias; the engine takes up to 15. */
const MOST_TILT = 10;

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
      'fold-margin': length,
      'on-fold': z.enum(ON_FOLD).optional(),
      tilt: z.number().min(0).max(MOST_TILT).optional().describe('degrees off the grain'),
      'shade-span': lengthField(unit, 'positive').optional().describe('length that holds a garment'),
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
          foldMargin: o['fold-margin'] ?? options.foldMargin!,
          onFold: o['on-fold'] ?? options.onFold!,
          tilt: o.tilt ?? options.tilt!,
          ...(o['shade-span'] === undefined ? {} : { shadeSpan: o['shade-span'] }),
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
  /** What its cloth has of flaws and splices. */
  readonly flaws?: FlawsPart['flaws'];
  readonly splices?: FlawsPart['splices'];
}

/** Schema of the `markers` part of a style: which sizes of which fabric are laid together. */
export const markersSchema = (unit: Unit) =>
  z.array(
    z.strictObject({
      name: z.string().regex(/^[a-z0-9][\w-]*$/i, 'a marker name has letters, digits and dashes'),
      fabric: z.string(),
      ratio: z.record(z.string(), z.int().min(0).max(1000)),
      seconds: seconds.optional(),
      ...flawsFields(unit),
    }),
  );
