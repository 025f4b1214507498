import { z } from 'zod';
import { InputError } from './errors.js';
import { parseLength, type Unit } from './units.js';

/** What a length may be; all read as millimetres. */
export type LengthRule = 'any' | 'positive' | 'not-negative';

/**
 * A length as a user types it (`9 1/4`, `23.5 cm`, 2) in a style whose unit is `unit`; parses to millimetres.
 * Every room's schema uses this one, so lengths read alike everywhere.
 */
export function lengthField(unit: Unit, rule: LengthRule = 'any') {
  return z.union([z.string(), z.number(), z.nan()]).transform((value, context) => {
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

/** Percent from 0 up to but not reaching `limit`, written 5 or `5%`; parses to 5. */
export const percentField = (limit: number) =>
  z.union([z.string(), z.number()]).transform((value, context) => {
    const match = /^(\d+\.?\d*|\.\d+)\s*%?$/.exec(String(value).trim());
    const percent = match ? Number(match[1]) : Number.NaN;
    if (!(percent >= 0 && percent < limit)) {
      return refuse(context, `'${value}' is not a percentage from 0 to under ${limit}`);
    }
    return percent;
  });

function refuse(context: z.RefinementCtx, message: string): never {
  context.addIssue({ code: 'custom', message });
  return z.NEVER;
}
