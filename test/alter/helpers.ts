import { type Altered, recipeSchema, runRecipe, type Step } from '../../src/alter/index.js';
import { measure } from '../../src/pattern/measure.js';
import type { Pattern } from '../../src/pattern/model.js';
import { block } from '../bodies.js';

export const INCH = 25.4;

export const measured = (pattern: Pattern, name: string): number => {
  const point = pattern.measures.find((m) => m.name === name);
  if (!point) throw new Error(`no measure ${name}`);
  return measure(pattern, point);
};

/** A recipe in inches, run on the test block. */
export const altered = (steps: readonly unknown[]): Pattern =>
  runRecipe(block(), recipeSchema('in').parse(steps) as Step[]).pattern;

export const noted = (result: Altered, name: string): number =>
  result.notes.flatMap((note) => note.values).find((v) => v.name === name)!.mm;

/** The relaxed sweatshirt of common practice, in inches. */
export const SWEATSHIRT: readonly unknown[] = [
  { slash: { piece: 'back', from: 'shoulder at 50%', to: 'hem', open: 1, 'tip-lift': '1/4' } },
  { lengthen: { piece: 'back', by: 1 } },
  { 'lower-armhole': { piece: 'back', by: 1 } },
  { 'shape-side-seam': { piece: 'back', as: 'straight' } },
  { 'derive-front': {} },
  'match-shoulders',
  { 'balance-armholes': { within: '1/4' } },
  { 'level-side-seams': { how: 'hem' } },
  { 'widen-neckline': { by: '3/4' } },
  { 'draft-sleeve': { widen: 1, 'widen-wrist': '1/4' } },
  { 'draft-band': { name: 'neckband', along: ['back.neckline', 'front.neckline'], depth: '3/4' } },
  { 'draft-band': { name: 'cuff', along: ['sleeve.wrist'], depth: '2 1/2', count: 2 } },
  {
    'draft-band': {
      name: 'hem-band',
      along: ['back.hem', 'front.hem'],
      depth: '2 1/2',
      parts: 2,
      ratio: 0.9,
    },
  },
];
