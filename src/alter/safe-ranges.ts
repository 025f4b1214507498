import { MM_PER_INCH } from '../units.js';

/** From and to, mm. */
export type Range = readonly [least: number, most: number];

const inches = (least: number, most: number): Range => [least * MM_PER_INCH, most * MM_PER_INCH];

/**
 * Amounts that an adult's fitted block takes in almost any combination of steps. Outside of them a recipe may
 * do as well; where it does not, the step that fails says why. Within them at least 95 of 100 random recipes
 * run through (measured, see the tests of recipes).
 */
export const SAFE_RANGES = {
  /** Opening of a slash in each half piece. */
  slashOpen: inches(0, 2),
  tipLift: inches(0, 1 / 4),
  lengthen: inches(-2, 6),
  lowerArmhole: inches(-1 / 4, 1.5),
  waistIn: inches(1 / 4, 1),
  flare: inches(1 / 4, 3),
  raiseShoulder: inches(-3 / 8, 3 / 8),
  dropShoulder: inches(1 / 4, 1),
  forwardShoulder: inches(1 / 4, 1),
  guide: inches(1 / 8, 3 / 4),
  widenNeckline: inches(0, 1.25),
  frontNeckDepth: inches(2.5, 7),
  backNeckDepth: inches(1 / 2, 1.5),
  /** Added to the sleeve on each side. */
  widenSleeve: inches(0, 1.25),
  capEase: inches(0, 1 / 2),
} as const satisfies Readonly<Record<string, Range>>;
