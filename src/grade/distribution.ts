import { InputError, suggest } from '../errors.js';

/** A sum of measures, each with a factor: `{ bust: 0.25 }` is a quarter of the bust increment. */
export type Combination = Readonly<Record<string, number>>;

/** How one named point moves when the measures grow; x along the courses, y up along the wales. */
export interface PointShare {
  readonly x: Combination;
  readonly y: Combination;
}

/** Rules by point: `neck-point` on every piece that has it, `front.center-neck` on one piece, which wins. */
export type PointShares = Readonly<Record<string, PointShare>>;

/**
 * A school of grading: how the growth of the body's girths and lengths is shared out. `measures` are those it
 * works out from others, such as an across shoulder that is a fixed share of the bust grade; they take the
 * place of a preset's increments and give way to a style's own. `points` then places every measure.
 */
export interface Distribution {
  readonly name: string;
  readonly title: string;
  readonly source: string;
  readonly measures: Readonly<Record<string, Combination>>;
  readonly points: PointShares;
}

/**
 * The house distribution. A body half lies at x >= 0 with its fold on x = 0, which does not move across; the
 * underarm level does not move up or down. Every measure is then exact on the graded piece: the shoulder tip
 * rises by the armhole depth, the neck follows from the tip, the hem from the neck point.
 *
 * Back and front get the same moves at the shoulder and the side. Two equal shoulders whose slopes a and b
 * differ then part by g (cos a - cos b) + r (sin a - sin b), g = (across-shoulder - neck-width) / 2 and r =
 * shoulder-rise: under 0.3 mm for 16 mm of shoulder growth at 18 and 21 degrees.
 */
export const HOUSE_DISTRIBUTION: PointShares = {
  'neck-point': { x: { 'neck-width': 1 / 2 }, y: { 'armhole-depth': 1, 'shoulder-rise': 1 } },
  'shoulder-tip': { x: { 'across-shoulder': 1 / 2 }, y: { 'armhole-depth': 1 } },
  underarm: { x: { bust: 1 / 4 }, y: {} },
  'back.center-neck': { x: {}, y: { 'armhole-depth': 1, 'shoulder-rise': 1, 'back-neck-depth': -1 } },
  'front.center-neck': { x: {}, y: { 'armhole-depth': 1, 'shoulder-rise': 1, 'front-neck-depth': -1 } },
  // The waist of both halves hangs from the back neck, so that the side seams meet.
  waist: {
    x: { waist: 1 / 4 },
    y: { 'armhole-depth': 1, 'shoulder-rise': 1, 'back-neck-depth': -1, 'back-waist-length': -1 },
  },
  hip: {
    x: { hip: 1 / 4 },
    y: {
      'armhole-depth': 1,
      'shoulder-rise': 1,
      'back-neck-depth': -1,
      'back-waist-length': -1,
      'hip-depth': -1,
    },
  },
  'side-hem': { x: { hip: 1 / 4 }, y: { 'armhole-depth': 1, 'shoulder-rise': 1, 'body-length': -1 } },
  'center-hem': { x: {}, y: { 'armhole-depth': 1, 'shoulder-rise': 1, 'body-length': -1 } },
  // A sleeve follows its armholes; these serve one that is graded by rules instead.
  crown: { x: {}, y: { 'cap-height': 1 } },
  'front-bicep': { x: { bicep: 1 / 2 }, y: {} },
  'back-bicep': { x: { bicep: -1 / 2 }, y: {} },
  'front-wrist': { x: { wrist: 1 / 2 }, y: { 'cap-height': 1, 'sleeve-length': -1 } },
  'back-wrist': { x: { wrist: -1 / 2 }, y: { 'cap-height': 1, 'sleeve-length': -1 } },
};

/** @throws InputError with the nearest known name. */
export function distributionNamed(
  name: string,
  distributions: Readonly<Record<string, Distribution>>,
): Distribution {
  if (Object.hasOwn(distributions, name)) return distributions[name]!;
  throw new InputError(`unknown distribution '${name}'`, {
    mend: suggest(name, Object.keys(distributions)),
    place: { path: 'grade.distribution.name' },
  });
}

/** The share that moves `point` of `piece`: a rule for the piece beats one for the point; undefined if none. */
export const shareOf = (shares: PointShares, piece: string, point: string): PointShare | undefined =>
  shares[`${piece}.${point}`] ?? shares[point];

/** Measures a set of shares names. */
export function measuresOf(shares: PointShares): Set<string> {
  const names = Object.values(shares).flatMap((s) => [...Object.keys(s.x), ...Object.keys(s.y)]);
  return new Set(names);
}

/** Sum of a combination for one growth, mm; a measure without growth counts 0. */
export const combined = (combination: Combination, growth: Readonly<Record<string, number>>): number =>
  Object.entries(combination).reduce((sum, [name, factor]) => sum + factor * (growth[name] ?? 0), 0);
