import { InputError } from '../errors.js';

/**
 * A number with exactly `decimals` decimals, never `-0`.
 *
 * @throws InputError when the value is not finite: a reader of the file would take it for a coordinate.
 */
export function fixed(value: number, decimals: number): string {
  if (!Number.isFinite(value)) throw new InputError(`${value} cannot be written to a file as a number`);
  const steps = Math.round(Math.abs(value) * 10 ** decimals);
  // Whole steps print much faster than toFixed does; the sign of what rounds to nothing is dropped.
  if (steps <= Number.MAX_SAFE_INTEGER) {
    const digits = String(steps).padStart(decimals + 1, '0');
    const text = decimals === 0 ? digits : `${digits.slice(0, -decimals)}.${digits.slice(-decimals)}`;
    return value < 0 && steps > 0 ? `-${text}` : text;
  }
  const text = value.toFixed(decimals);
  // Beyond 1e21 toFixed falls back to an exponent, which DXF and PDF do not read.
  if (text.includes('e')) throw new InputError(`${value} is too large to be written to a file`);
  return text;
}

/** The same without trailing zeros: `12.5`, `3`, `0`. */
export function short(value: number, decimals: number): string {
  const text = fixed(value, decimals);
  if (decimals === 0) return text;
  let end = text.length;
  while (text.charCodeAt(end - 1) === ZERO) end--;
  return text.slice(0, text.charCodeAt(end - 1) === POINT ? end - 1 : end);
}

const ZERO = 48;
const POINT = 46;
