import { z } from 'zod';
import { suggest, UserError } from '../errors.js';
import { friendlyErrors, tellingIssue } from '../fields.js';
import type { Pattern } from '../pattern/model.js';
import type { Unit } from '../units.js';
import type { Alteration, Note, Step } from './alteration.js';
import { lowerArmholeAlteration, raiseArmholeAlteration, reshapeArmholeAlteration } from './armhole.js';
import { balanceArmholesAlteration } from './balance-armholes.js';
import { deriveFrontAlteration } from './derive-front.js';
import { draftBandAlteration } from './draft-band.js';
import { draftCollarAlteration } from './draft-collar.js';
import { draftSleeveAlteration } from './draft-sleeve.js';
import { dropShoulderAlteration } from './drop-shoulder.js';
import { forwardShoulderAlteration } from './forward-shoulder.js';
import { kangarooPocketAlteration } from './kangaroo-pocket.js';
import { lengthenAlteration } from './lengthen.js';
import { levelSideSeamsAlteration } from './level-side-seams.js';
import { markStretchAlteration } from './mark-stretch.js';
import { matchShouldersAlteration } from './match-shoulders.js';
import { neckShapeAlteration } from './neck-shape.js';
import { raiseShoulderAlteration } from './raise-shoulder.js';
import { shapeSideSeamAlteration } from './shape-side-seam.js';
import { slashAlteration } from './slash.js';
import { widenNecklineAlteration } from './widen-neckline.js';

/** Every alteration a recipe may name. */
export const ALTERATIONS: readonly Alteration[] = [
  slashAlteration,
  lengthenAlteration,
  lowerArmholeAlteration,
  raiseArmholeAlteration,
  reshapeArmholeAlteration,
  shapeSideSeamAlteration,
  raiseShoulderAlteration,
  dropShoulderAlteration,
  forwardShoulderAlteration,
  deriveFrontAlteration,
  matchShouldersAlteration,
  balanceArmholesAlteration,
  levelSideSeamsAlteration,
  widenNecklineAlteration,
  neckShapeAlteration,
  markStretchAlteration,
  draftSleeveAlteration,
  draftBandAlteration,
  draftCollarAlteration,
  kangarooPocketAlteration,
];

/** A recipe as a style file spells it: a list of one-key maps, or bare names for steps without options. */
export function recipeSchema(unit: Unit) {
  const names = ALTERATIONS.map((a) => a.name);
  const step = z.union([z.string(), z.record(z.string(), z.unknown())]).transform((entry, context): Step => {
    const pairs: [string, unknown][] = typeof entry === 'string' ? [[entry, {}]] : Object.entries(entry);
    const [pair] = pairs;
    if (pairs.length !== 1 || !pair) {
      context.addIssue({ code: 'custom', message: 'a step is one alteration with its options' });
      return z.NEVER;
    }
    const [name, options] = pair;
    const alteration = ALTERATIONS.find((a) => a.name === name);
    if (!alteration) {
      context.addIssue({
        code: 'custom',
        path: [name],
        message: `unknown alteration '${name}': ${suggest(name, names)}`,
      });
      return z.NEVER;
    }
    const read = alteration.step(unit).safeParse(options ?? {}, { error: friendlyErrors });
    if (read.success) return read.data;
    const issue = tellingIssue(read.error.issues)!;
    const key = issue.code === 'unrecognized_keys' ? issue.keys.slice(0, 1) : [];
    context.addIssue({ code: 'custom', message: issue.message, path: [name, ...issue.path, ...key] });
    return z.NEVER;
  });
  return z.array(step);
}

/** The pattern after one step, and what the step reported. */
export interface Stage {
  readonly step: string;
  readonly pattern: Pattern;
  readonly notes: readonly Note[];
}

/**
 * Runs a recipe on a block. After each step the derived pieces are drawn again, so that a sleeve never lags
 * behind its armholes.
 *
 * @throws InputError or CheckError that names the step by number and name; its place carries the step's path
 *   in the style file.
 */
export function runRecipe(block: Pattern, steps: readonly Step[]): { pattern: Pattern; stages: Stage[] } {
  let pattern = block;
  const stages: Stage[] = [];
  steps.forEach((step, index) => {
    try {
      const result = step.apply(pattern, { block });
      pattern = rederive(result.pattern);
      stages.push({ step: step.name, pattern, notes: result.notes });
    } catch (error) {
      throw atStep(error, step.name, index);
    }
  });
  return { pattern, stages };
}

/** Draws every derived piece again, in the order they were made. */
export const rederive = (pattern: Pattern): Pattern =>
  pattern.pieces.reduce((result, piece) => piece.derived?.run(result, {}) ?? result, pattern);

function atStep(error: unknown, name: string, index: number): unknown {
  if (!(error instanceof UserError)) return error;
  return error.prefixed(`step ${index + 1} (${name}): `).at({ path: `alter.${index}.${name}` });
}
