import { z } from 'zod';
import { InputError, suggest, UserError } from '../errors.js';
import { friendlyErrors, tellingIssue } from '../fields.js';
import type { Pattern } from '../pattern/model.js';
import type { Unit } from '../units.js';
import type { Alteration, Altered, Note, Step } from './alteration.js';
import { lowerArmholeAlteration, raiseArmholeAlteration, reshapeArmholeAlteration } from './armhole.js';
import { balanceArmholesAlteration } from './balance-armholes.js';
import { deriveFrontAlteration } from './derive-front.js';
import { draftBandAlteration } from './draft-band.js';
import { draftCollarAlteration } from './draft-collar.js';
import { draftHoodAlteration } from './draft-hood.js';
import { draftSleeveAlteration } from './draft-sleeve.js';
import { dropShoulderAlteration } from './drop-shoulder.js';
import { forwardShoulderAlteration } from './forward-shoulder.js';
import { kangarooPocketAlteration } from './kangaroo-pocket.js';
import { lengthenAlteration } from './lengthen.js';
import { levelSideSeamsAlteration } from './level-side-seams.js';
import { markStretchAlteration } from './mark-stretch.js';
import { matchShouldersAlteration } from './match-shoulders.js';
import { neckShapeAlteration } from './neck-shape.js';
import { raglanAlteration } from './raglan.js';
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
  raglanAlteration,
  draftBandAlteration,
  draftCollarAlteration,
  draftHoodAlteration,
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
      const result = applied(step, pattern, block);
      pattern = rederive(result.pattern);
      stages.push({ step: step.name, pattern, notes: result.notes });
    } catch (error) {
      throw atStep(error, step.name, index);
    }
  });
  return { pattern, stages };
}

function applied(step: Step, pattern: Pattern, block: Pattern): Altered {
  try {
    const result = step.apply(pattern, { block });
    assertLasting(step, pattern, result.pattern);
    return result;
  } catch (error) {
    const mend = error instanceof InputError ? earlier(step, pattern, block) : undefined;
    if (mend === undefined) throw error;
    throw new InputError((error as InputError).message, { mend, cause: error });
  }
}

/** A derived piece is drawn again after the step: a change of its outline by any but its own step would be lost. */
function assertLasting(step: Step, before: Pattern, after: Pattern): void {
  for (const piece of after.pieces) {
    const own = before.pieces.find((p) => p.name === piece.name);
    const drawnBy = own?.derived?.step;
    if (drawnBy === undefined || drawnBy === step.name || piece.derived?.step !== drawnBy) continue;
    if (piece.edges === own?.edges) continue;
    throw new InputError(
      `what it changes on '${piece.name}' would be lost: ${drawnBy} draws that piece again after every step`,
      { mend: `put it before ${drawnBy}, or change the options of ${drawnBy}` },
    );
  }
}

/**
 * What to do about a step that fails on pieces but works on the pattern they were cut from. One that draws new
 * pieces has its place after the cut, and a mend of its own.
 */
function earlier(step: Step, { construction, pieces }: Pattern, block: Pattern): string | undefined {
  if (!construction) return undefined;
  try {
    const there = step.apply(construction, { block });
    if (there.pattern.pieces.length > construction.pieces.length) return undefined;
  } catch {
    return undefined;
  }
  const by = pieces.find((piece) => piece.derived && piece.name === 'front')?.derived?.step;
  return by === undefined ? undefined : `put it before ${by}, which cuts the pieces anew`;
}

/** Draws every derived piece again, in the order they were made. */
export const rederive = (pattern: Pattern): Pattern =>
  pattern.pieces.reduce((result, piece) => piece.derived?.run(result, {}) ?? result, pattern);

function atStep(error: unknown, name: string, index: number): unknown {
  if (!(error instanceof UserError)) return error;
  return error.prefixed(`step ${index + 1} (${name}): `).at({ path: `alter.${index}.${name}` });
}
