import { InputError } from '../../errors.js';
import { MM_PER_INCH } from '../../units.js';

/** From user units of the root to the drawing's own: x and y scale, and the origin that is taken off first. */
export interface RootFrame {
  readonly scaleX: number;
  readonly scaleY: number;
  readonly minX: number;
  readonly minY: number;
  /** Millimetres per unit after that, where the file says. */
  readonly unit: { readonly mm: number; readonly said: string } | undefined;
  readonly hint?: string;
}

/** Absolute units of CSS. A pixel says little: most programs write it where they mean a unit of their own. */
const PHYSICAL: Readonly<Record<string, number>> = {
  mm: 1,
  cm: 10,
  in: MM_PER_INCH,
  pt: MM_PER_INCH / 72,
  pc: MM_PER_INCH / 6,
  q: 0.25,
};
const MM_PER_PIXEL = MM_PER_INCH / 96;

/**
 * How the root element scales its content: width and height against the viewBox, uniformly unless
 * preserveAspectRatio is none (SVG 1.1, 7.7 and 7.8). Only physical units say what a unit is.
 *
 * @throws InputError for a viewBox or size that is no positive number.
 */
export function rootFrame(attributes: Readonly<Record<string, string>>, file: string): RootFrame {
  const box = viewBox(attributes['viewBox'], file);
  const width = sizeOf(attributes['width'], 'width', file);
  const height = sizeOf(attributes['height'], 'height', file);
  const origin = { minX: box?.[0] ?? 0, minY: box?.[1] ?? 0 };
  const physical = [width, height].filter((size) => size?.mm !== undefined);
  if (physical.length === 0) {
    const hint =
      width || height
        ? `width and height are in ${width?.unit === 'px' || height?.unit === 'px' ? 'pixels' : 'no unit'}`
        : 'it has no width and height';
    return { ...origin, scaleX: 1, scaleY: 1, unit: undefined, hint };
  }
  const said = `the file says width ${attributes['width'] ?? '?'}, height ${attributes['height'] ?? '?'}`;
  if (!box)
    return {
      ...origin,
      scaleX: 1,
      scaleY: 1,
      unit: { mm: MM_PER_PIXEL, said: `${said} and no viewBox: a unit is 1/96 in` },
    };
  const x = width?.mm === undefined ? undefined : width.mm / box[2];
  const y = height?.mm === undefined ? undefined : height.mm / box[3];
  const [sx, sy] = [x ?? y!, y ?? x!];
  const aspect = (attributes['preserveAspectRatio'] ?? 'xMidYMid meet').trim();
  const viewed = `${said}, viewBox ${attributes['viewBox']!.trim()}`;
  if (Math.abs(sx / sy - 1) < 1e-3) {
    const mm = x === undefined || y === undefined ? sx : (sx + sy) / 2;
    return { ...origin, scaleX: 1, scaleY: 1, unit: { mm, said: viewed } };
  }
  if (aspect.startsWith('none')) {
    return { ...origin, scaleX: 1, scaleY: sy / sx, unit: { mm: sx, said: `${viewed}, stretched` } };
  }
  const mm = aspect.endsWith('slice') ? Math.max(sx, sy) : Math.min(sx, sy);
  return { ...origin, scaleX: 1, scaleY: 1, unit: { mm, said: viewed } };
}

interface Size {
  readonly unit: string;
  readonly mm: number | undefined;
}

function sizeOf(text: string | undefined, name: string, file: string): Size | undefined {
  if (text === undefined || text.trim() === '' || text.trim() === 'auto' || text.trim().endsWith('%'))
    return undefined;
  const match = /^([-+]?(?:\d+\.?\d*|\.\d+)(?:e[-+]?\d+)?)\s*([a-z]*)$/i.exec(text.trim());
  const value = match ? Number(match[1]) : Number.NaN;
  if (!(value > 0 && value < 1e9)) {
    throw new InputError(`the ${name} '${text.slice(0, 40)}' of the drawing is no positive length`, {
      mend: `write it like ${name}="600mm"`,
      place: { file },
    });
  }
  const unit = match![2]!.toLowerCase();
  const factor = PHYSICAL[unit];
  return { unit, mm: factor === undefined ? undefined : value * factor };
}

function viewBox(text: string | undefined, file: string): [number, number, number, number] | undefined {
  if (text === undefined) return undefined;
  const values = text
    .trim()
    .split(/[\s,]+/)
    .map(Number);
  const [minX = Number.NaN, minY = Number.NaN, width = Number.NaN, height = Number.NaN] = values;
  if (values.length === 4 && values.every(Number.isFinite) && width > 0 && height > 0) {
    return [minX, minY, width, height];
  }
  throw new InputError(`the viewBox '${text.slice(0, 60)}' is not four numbers with a positive size`, {
    mend: 'write it like viewBox="0 0 600 400"',
    place: { file },
  });
}
