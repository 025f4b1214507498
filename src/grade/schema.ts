import { z } from 'zod';
import { InputError } from '../errors.js';
import { lengthField, shareField as portionField } from '../fields.js';
import type { Vec } from '../geometry/vec.js';
import type { Unit } from '../units.js';
import type { PointShares } from './distribution.js';
import { type HalfSize, type Increment, withHalves } from './ladder.js';
import { MEASURES } from './measures.js';
import { DISTRIBUTIONS } from './schools.js';

/** The `grade` part of a style as read: lengths in mm, names not yet looked up. `gradeSpec` resolves it. */
export interface GradePart {
  /** Half sizes in their places. */
  readonly sizes: readonly string[];
  readonly base: string;
  readonly halves: Readonly<Record<string, HalfSize>>;
  readonly preset?: string;
  readonly increments: Readonly<Record<string, Increment>>;
  readonly distribution: { readonly name: string; readonly points: PointShares };
  readonly rules: Readonly<Record<string, RuleText>>;
  readonly byRules: readonly string[];
}

/** A rule for one `piece.point`: a step per axis, or the whole move of every size against the base. */
export type RuleText =
  | { readonly kind: 'steps'; readonly x: Increment; readonly y: Increment }
  | { readonly kind: 'moves'; readonly bySize: Readonly<Record<string, Vec>> };

const STILL: Increment = { step: 0, breaks: {} };

/**
 * Schema of a style's `grade` part; plain lengths are in `unit`.
 *
 *     sizes: [XS, S, M, L, XL]
 *     base: M
 *     half-sizes: { M/L: [M, L], L+: { between: [L, XL], at: 25% } }
 *     increments: { preset: women, bust: { step: 2, breaks: { XL: 2 1/2 } }, wrist: 1/4 }
 *     distribution: { points: { back.side-hem: { x: { hip: 1/4 } } } }
 *     rules: { pocket.top: { x: 1/8 }, yoke.tip: { moves: { L: [3 mm, 1 mm], S: [-3 mm, -1 mm] } } }
 *     by-rules: [sleeve]
 */
export function gradeSchema(unit: Unit) {
  const increment = incrementField(unit);
  const rule = z.union([
    z.strictObject({ x: increment.optional(), y: increment.optional() }),
    z.strictObject({ moves: z.record(z.string(), z.tuple([lengthField(unit), lengthField(unit)])) }),
  ]);
  return z
    .strictObject({
      sizes: z.array(sizeName).min(1).describe('from the smallest to the largest'),
      base: sizeName.describe('size the pattern is drawn in'),
      'half-sizes': z.record(z.string(), halfField).default({}).describe('sizes between two of the sizes'),
      increments: incrementsObject(unit).default({}),
      distribution: z
        .strictObject({
          name: z
            .string()
            .default('house')
            .describe(`school of grading: ${Object.keys(DISTRIBUTIONS).join(', ')}`),
          points: z.record(z.string(), shareField).default({}),
        })
        .default({ name: 'house', points: {} }),
      rules: z.record(z.string(), rule).default({}).describe('by piece.point, in place of the distribution'),
      'by-rules': z.array(z.string()).default([]).describe('derived pieces graded by rules instead'),
    })
    .superRefine((part, context) => {
      const twice = part.sizes.find((size, i) => part.sizes.indexOf(size) !== i);
      if (twice !== undefined) {
        context.addIssue({ code: 'custom', message: `size '${twice}' is listed twice`, path: ['sizes'] });
      }
      const known = [...part.sizes, ...Object.keys(part['half-sizes'])];
      try {
        withHalves(part.sizes, part['half-sizes']);
      } catch (error) {
        if (!(error instanceof InputError)) throw error;
        const name = error.place.path!.slice('grade.half-sizes.'.length);
        const message = error.mend === undefined ? error.message : `${error.message}: ${error.mend}`;
        context.addIssue({ code: 'custom', message, path: ['half-sizes', name] });
      }
      if (!known.includes(part.base)) {
        const message = `the base size '${part.base}' is not among the sizes ${known.join(', ')}`;
        context.addIssue({ code: 'custom', message, path: ['base'] });
      }
    })
    .transform((part): GradePart => {
      const { preset, ...increments } = part.increments;
      return {
        sizes: withHalves(part.sizes, part['half-sizes']),
        base: part.base,
        halves: part['half-sizes'],
        ...(preset === undefined ? {} : { preset }),
        increments: increments as Record<string, Increment>,
        distribution: part.distribution,
        rules: Object.fromEntries(Object.entries(part.rules).map(([name, r]) => [name, ruleText(r)])),
        byRules: part['by-rules'],
      };
    });
}

/** A step, or a step with breaks by size: `2`, `1.2 cm`, `{ step: 2, breaks: { XL: 2 1/2 } }`. */
export function incrementField(unit: Unit) {
  const text = z.union([z.string(), z.number()]);
  const length = lengthField(unit);
  return z
    .union([text, z.strictObject({ step: text, breaks: z.record(z.string(), text).optional() })])
    .transform((value, context): Increment => {
      const read = (source: string | number, path: string[]): number => {
        const result = length.safeParse(source);
        if (result.success) return result.data;
        context.addIssue({ code: 'custom', message: result.error.issues[0]!.message, path });
        return z.NEVER;
      };
      if (typeof value !== 'object') return { step: read(value, []), breaks: {} };
      const breaks = Object.entries(value.breaks ?? {});
      return {
        step: read(value.step, ['step']),
        breaks: Object.fromEntries(breaks.map(([size, step]) => [size, read(step, ['breaks', size])])),
      };
    });
}

/** The known measures by name, so that editors offer them; a style's own measures beside them. */
function incrementsObject(unit: Unit) {
  const increment = incrementField(unit);
  const known = Object.entries(MEASURES).map(
    ([name, meaning]) => [name, increment.optional().describe(meaning)] as const,
  );
  return z
    .object({ preset: z.string().optional(), ...Object.fromEntries(known) })
    .catchall(increment) as unknown as z.ZodType<
    { preset?: string | undefined } & Record<string, unknown>,
    Record<string, unknown>
  >;
}

const sizeName = z.union([z.string().min(1), z.number()]).transform(String);

/** The two sizes a half size lies between, and how far up from the smaller one: half-way unless it says. */
const halfField = z
  .union([
    z.tuple([sizeName, sizeName]),
    z.strictObject({ between: z.tuple([sizeName, sizeName]), at: portionField.optional() }),
  ])
  .transform((value, context): HalfSize => {
    const { between, at = 0.5 } = Array.isArray(value) ? { between: value } : value;
    if (at <= 0 || at >= 1) {
      context.addIssue({
        code: 'custom',
        message: `a half size lies between 0 and 1, not at ${at}`,
        path: ['at'],
      });
    }
    return { from: between[0], to: between[1], share: at };
  });

/** A plain factor or a fraction: 0.25, `1/4`, `-1/2`. */
const factorField = z.union([z.number(), z.string()]).transform((value, context) => {
  const match = /^\s*(-?\d+(?:\.\d+)?)\s*(?:\/\s*(\d+))?\s*$/.exec(String(value));
  const factor = match ? Number(match[1]) / Number(match[2] ?? 1) : Number.NaN;
  if (Number.isFinite(factor)) return factor;
  context.addIssue({ code: 'custom', message: `'${value}' is not a factor: write 1/4 or 0.25` });
  return z.NEVER;
});

const combinationField = z.record(z.string(), factorField).default({});

const shareField = z.strictObject({ x: combinationField, y: combinationField });

function ruleText(
  rule:
    | { x?: Increment | undefined; y?: Increment | undefined }
    | { moves: Record<string, [number, number]> },
): RuleText {
  if ('moves' in rule) return { kind: 'moves', bySize: rule.moves };
  return { kind: 'steps', x: rule.x ?? STILL, y: rule.y ?? STILL };
}
