import { plural } from '../exchange/text.js';
import { upTo } from '../lay/purchase.js';
import { formatLength, type Unit } from '../units.js';

export const UNIT_NAMES: Readonly<Record<Unit, string>> = {
  in: 'inches',
  cm: 'centimetres',
  mm: 'millimetres',
};

const METRES_PER_YARD = 0.9144;

/** `5.35 m (5.85 yd)` for who works in inches, `5.35 m` for others. */
export const cloth = (metres: number, unit: Unit): string =>
  unit === 'in' ? `${metres.toFixed(2)} m (${yards(metres)})` : `${metres.toFixed(2)} m`;

export const yards = (metres: number): string => `${(metres / METRES_PER_YARD).toFixed(2)} yd`;

/** Cloth to ask for, rounded up to a tenth: `5.4 m (5.9 yd)`. */
export const clothUp = (metres: number, unit: Unit): string => {
  const asked = `${upTo(metres, 0.1).toFixed(1)} m`;
  return unit === 'in' ? `${asked} (${upTo(metres / METRES_PER_YARD, 0.1).toFixed(1)} yd)` : asked;
};

export const massUp = (kilograms: number): string => `${upTo(kilograms, 0.1).toFixed(1)} kg`;

export const squareMetres = (area: number): string => `${area.toFixed(2)} m²`;

/** Kilograms, in grams below one. */
export const mass = (kilograms: number): string =>
  kilograms < 1 ? `${Math.round(kilograms * 1000)} g` : `${kilograms.toFixed(2)} kg`;

export const money = (amount: number | undefined, currency: string): string =>
  amount === undefined ? 'no price given' : `${amount.toFixed(2)} ${currency}`.trim();

export const percent = (share: number): string => `${(share * 100).toFixed(1)} %`;

/** A difference in mm with its sign; a sixteenth of an inch would hide what truing looks for. */
export function difference(mm: number): string {
  const text = Math.abs(mm).toFixed(1);
  if (Number(text) === 0) return '0';
  return `${mm < 0 ? '−' : '+'}${text}`;
}

/** A length in the reader's unit, with millimetres beside inches. */
export const both = (mm: number, unit: Unit): string =>
  unit === 'mm' ? formatLength(mm, unit) : `${formatLength(mm, unit)} (${formatLength(mm, 'mm')})`;

export const day = (date: Date): string => date.toISOString().slice(0, 10);

export { plural };

/** `2 XS, 3 S`. */
export const ratioText = (ratio: Readonly<Record<string, number>>): string =>
  Object.entries(ratio)
    .filter(([, count]) => count > 0)
    .map(([size, count]) => `${count} ${size}`)
    .join(', ');
