import { InputError, suggest } from '../errors.js';

/**
 * Measures that a size range can grow by, and what each one means. Girths and widths are whole: a style says
 * `bust: 2 in` and the distribution takes the quarter. A style may add measures of its own by naming them in
 * its distribution.
 */
export const MEASURES = {
  bust: 'whole girth at the underarm',
  waist: 'whole girth at the waist',
  hip: 'whole girth at the hem of the body',
  'across-shoulder': 'shoulder tip to shoulder tip, straight across',
  'neck-width': 'neck point to neck point, straight across',
  'shoulder-rise': 'neck point above shoulder tip, vertical',
  'armhole-depth': 'shoulder tip down to the underarm level, vertical',
  'front-neck-depth': 'neck point down to the centre front neck, vertical',
  'back-neck-depth': 'neck point down to the centre back neck, vertical',
  'back-waist-length': 'centre back neck down to the waist',
  'body-length': 'neck point down to the hem, vertical',
  'hip-depth': 'waist down to the hip, vertical',
  bicep: 'whole width of the sleeve at the bicep line',
  wrist: 'whole width of the sleeve at its lower end',
  'sleeve-length': 'crown down to the lower end of the sleeve',
  'cap-height': 'bicep line up to the crown, for a sleeve graded by rules',
} as const satisfies Record<string, string>;

export type Measure = keyof typeof MEASURES;

export const MEASURE_NAMES = Object.keys(MEASURES) as readonly Measure[];

/** @throws InputError, with the nearest known measure, when `name` is neither ours nor in `own`. */
export function assertMeasure(name: string, own: Iterable<string>, path: string): void {
  if (Object.hasOwn(MEASURES, name)) return;
  const known = [...MEASURE_NAMES, ...own];
  if (known.includes(name)) return;
  throw new InputError(`unknown measure '${name}'`, { mend: suggest(name, known), place: { path } });
}
