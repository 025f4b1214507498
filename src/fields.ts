import { z } from 'zod';
import { InputError, suggest } from './errors.js';
import { parseLength, type Unit } from './units.js';

/** What a length may be; all read as millimetres. */
export type LengthRule = 'any' | 'positive' | 'not-negative';

/**
 * A length as a user types it (`9 1/4`, `23.5 cm`, 2) in a style whose unit is `unit`; parses to millimetres.
 * Every room's schema uses this one, so lengths read alike everywhere.
 */
export function lengthField(unit: Unit, rule: LengthRule = 'any') {
  return z.union([z.string(), z.number()]).transform((value, context) => {
    try {
      const mm = parseLength(value, unit);
      if (rule === 'positive' && mm <= 0) return refuse(context, `${value} must be more than 0`);
      if (rule === 'not-negative' && mm < 0) return refuse(context, `${value} must not be negative`);
      return mm;
    } catch (error) {
      if (!(error instanceof InputError)) throw error;
      return refuse(context, error.mend ? `${error.message}: ${error.mend}` : error.message);
    }
  });
}

/** A share written `50%`, `50 %` or 0.5; parses to 0.5. */
export const shareField = z.union([z.string(), z.number()]).transform((value, context) => {
  const text = String(value).trim();
  const match = /^(\d+\.?\d*|\.\d+)\s*(%?)$/.exec(text);
  const share = match ? Number(match[1]) / (match[2] ? 100 : 1) : Number.NaN;
  if (!(share >= 0 && share <= 1)) return refuse(context, `'${text}' is not a share: write 50% or 0.5`);
  return share;
});

/** Percent from `least` up to but not reaching `limit`, written 5 or `5%`; parses to 5. */
export const percentField = (limit: number, least = 0) =>
  z.union([z.string(), z.number()]).transform((value, context) => {
    const match = /^(-?(?:\d+\.?\d*|\.\d+))\s*%?$/.exec(String(value).trim());
    const percent = match ? Number(match[1]) : Number.NaN;
    if (!(percent >= least && percent < limit)) {
      return refuse(context, `'${value}' is not a percentage from ${least} to under ${limit}`);
    }
    return percent;
  });

function refuse(context: z.RefinementCtx, message: string): never {
  context.addIssue({ code: 'custom', message });
  return z.NEVER;
}

/**
 * Messages a pattern maker can act on, for the mistakes zod words for programmers: a field left out, a field
 * that is not known (with the nearest one that is), a value of the wrong kind.
 */
export const friendlyErrors: z.core.$ZodErrorMap = (issue) => {
  if (issue.code === 'unrecognized_keys') {
    const known = issue.inst instanceof z.ZodObject ? Object.keys(issue.inst.shape) : [];
    const [key = ''] = issue.keys;
    return `unknown field '${key}': ${suggest(key, known)}`;
  }
  if (issue.code === 'invalid_type' && issue.input === undefined) return 'this field is missing';
  if (issue.code === 'invalid_type') return `expected ${issue.expected}, found ${describe(issue.input)}`;
  if (issue.code === 'invalid_union' && issue.input === undefined) return 'this field is missing';
  if (issue.code === 'invalid_union') return `${describe(issue.input)} does not fit here`;
  if (issue.code === 'too_small' || issue.code === 'too_big') {
    const least = issue.code === 'too_small';
    const limit = String(least ? issue.minimum : issue.maximum);
    if (issue.origin === 'array' || issue.origin === 'string') {
      return least ? 'this must not be empty' : `this is longer than ${limit}`;
    }
    const bound =
      issue.inclusive === false ? (least ? 'more than' : 'less than') : least ? 'at least' : 'at most';
    return `${describe(issue.input)} must be ${bound} ${limit}`;
  }
  if (issue.code === 'invalid_value') {
    const values = issue.values.map(String);
    return `'${String(issue.input)}' is not one of ${values.join(', ')}`;
  }
  return undefined;
};

/** Reads data by a schema. @throws InputError of the first issue, its place the dotted path of the field. */
export function readBy<S extends z.ZodType>(schema: S, data: unknown): z.output<S> {
  const result = schema.safeParse(data, { error: friendlyErrors });
  if (result.success) return result.data;
  const issue = result.error.issues[0]!;
  throw new InputError(issue.message, { place: { path: issue.path.join('.') } });
}

/** The issue that tells most: a misspelt field is at once unknown and missing, and the unknown one says why. */
export const tellingIssue = (issues: readonly z.core.$ZodIssue[]): z.core.$ZodIssue | undefined =>
  issues.find((issue) => issue.code === 'unrecognized_keys') ?? issues[0];

function describe(value: unknown): string {
  if (value === null) return 'nothing';
  if (Array.isArray(value)) return 'a list';
  if (typeof value === 'object') return 'a map';
  return `${typeof value} '${String(value)}'`;
}
