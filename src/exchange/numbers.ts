import { InputError } from '../errors.js';

/**
 * A number with exactly `decimals` decimals, never `-0`.
 *
 * @throws InputError when the value is not finite: a reader of the file would take it for a coordinate.
 */
export function fixed(value: number, decimals: number): string {
  if (!Number.isFinite(value)) throw new InputError(`${value} cannot be written to a file as a number`);
  const text = value.toFixed(decimals);
  // Beyond 1e21 toFixed falls back to an exponent, which DXF and PDF do not read.
  if (text.includes('e')) throw new InputError(`${value} is too large to be written to a file`);
  return Number(text) === 0 ? text.replace('-', '') : text;
}

/** The same without trailing zeros: `12.5`, `3`, `0`. */
export function short(value: number, decimals: number): string {
  const text = fixed(value, decimals);
  return text.includes('.') ? text.replace(/\.?0+$/, '') : text;
}
