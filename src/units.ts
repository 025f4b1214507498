import { InputError } from './errors.js';

/** Units a user types and reads; inside, every length is in millimetres. */
export type Unit = 'in' | 'cm' | 'mm';
export const UNITS: readonly Unit[] = ['in', 'cm', 'mm'];

export const MM_PER_INCH = 25.4;
const MM_PER_UNIT: Readonly<Record<Unit, number>> = { in: MM_PER_INCH, cm: 10, mm: 1 };

// What may stand behind a number; metres and yards are for cloth and tables.
const MM_PER_WORD: Readonly<Record<string, number>> = {
  in: MM_PER_INCH,
  inch: MM_PER_INCH,
  inches: MM_PER_INCH,
  '"': MM_PER_INCH,
  '″': MM_PER_INCH,
  cm: 10,
  mm: 1,
  m: 1000,
  yd: 36 * MM_PER_INCH,
};

// Sign, then one of: whole and fraction ("9 1/4", "9-1/4"), fraction ("3/8"), decimal ("23.5", ".5"); then a unit.
const LENGTH =
  /^([+-]?)\s*(?:(\d+)(?:\s+|-)(\d+)\s*\/\s*(\d+)|(\d+)\s*\/\s*(\d+)|(\d+\.?\d*|\.\d+))\s*([a-z"″]*)$/i;

/**
 * Reads a length such as `9 1/4`, `9 1/4 in`, `3/8"`, `23.5cm` or the number 9.25 and returns millimetres.
 *
 * @param unit applies where the text names none.
 * @throws InputError when the text is no length, the fraction has a zero denominator, the unit is unknown or
 *   the number is not finite.
 */
export function parseLength(text: string | number, unit: Unit): number {
  if (typeof text === 'number') {
    if (!Number.isFinite(text)) throw notALength(String(text));
    return text * MM_PER_UNIT[unit];
  }
  const match = LENGTH.exec(text.trim());
  if (!match) throw notALength(text);
  const [, sign, whole, top, bottom, soleTop, soleBottom, decimal, word] = match;
  const scale = word ? MM_PER_WORD[word.toLowerCase()] : MM_PER_UNIT[unit];
  if (scale === undefined) {
    throw new InputError(`unknown unit '${word}' in '${text}'`, {
      mend: 'use in, cm or mm (m or yd for cloth)',
    });
  }
  let value: number;
  if (decimal !== undefined) value = Number(decimal);
  else {
    const denominator = Number(bottom ?? soleBottom);
    if (denominator === 0) throw notALength(text);
    value = Number(whole ?? 0) + Number(top ?? soleTop) / denominator;
  }
  const mm = (sign === '-' ? -value : value) * scale;
  if (!Number.isFinite(mm)) throw notALength(text);
  return mm;
}

/** Millimetres as inches rounded to the nearest 1/`denominator`: `9 1/4`, `-3/8`, `0`. No unit mark. */
export function inchFraction(mm: number, denominator = 16): string {
  const parts = Math.round((Math.abs(mm) / MM_PER_INCH) * denominator);
  const whole = Math.floor(parts / denominator);
  let top = parts - whole * denominator;
  let bottom = denominator;
  while (top > 0 && top % 2 === 0 && bottom % 2 === 0) {
    top /= 2;
    bottom /= 2;
  }
  const sign = mm < 0 && parts > 0 ? '-' : '';
  if (top === 0) return `${sign}${whole}`;
  return whole === 0 ? `${sign}${top}/${bottom}` : `${sign}${whole} ${top}/${bottom}`;
}

/** Millimetres as a person reads them: inches in sixteenths, centimetres to 0.1, millimetres to 0.1. */
export function formatLength(mm: number, unit: Unit, options: { mark?: boolean } = {}): string {
  const mark = (options.mark ?? true) ? ` ${unit}` : '';
  if (unit === 'in') return `${inchFraction(mm)}${mark}`;
  return `${trimZero((mm / MM_PER_UNIT[unit]).toFixed(1))}${mark}`;
}

export const toUnit = (mm: number, unit: Unit): number => mm / MM_PER_UNIT[unit];

function trimZero(text: string): string {
  const plain = text.replace(/\.0$/, '');
  return plain === '-0' ? '0' : plain;
}

function notALength(text: string): InputError {
  return new InputError(`'${text}' is not a length`, {
    mend: 'write it like 9 1/4, 9 1/4 in, 23.5 cm or 235 mm',
  });
}
