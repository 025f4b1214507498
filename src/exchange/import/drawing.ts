import { InputError } from '../../errors.js';
import { mapPoints, type Path } from '../../geometry/path.js';
import { scale, type Vec } from '../../geometry/vec.js';
import { MM_PER_INCH } from '../../units.js';
import type { DxfDropped } from '../dxf/index.js';

export type Dropped = DxfDropped;

/** Units a drawing may be said to be in; a CSS pixel is 1/96 inch. */
export const IMPORT_UNITS = ['mm', 'cm', 'in', 'px'] as const;
export type ImportUnit = (typeof IMPORT_UNITS)[number];

export const MM_PER_IMPORT_UNIT: Readonly<Record<ImportUnit, number>> = {
  mm: 1,
  cm: 10,
  in: MM_PER_INCH,
  px: MM_PER_INCH / 96,
};

/** A line of a drawing, y up. */
export interface Stroke {
  readonly path: Path;
  readonly closed: boolean;
  readonly layer: string;
  /** Name the drawing gives it or its group, where it gives one. */
  readonly name?: string;
  /** Such as `line 12`. */
  readonly where: string;
}

export interface Lettering {
  readonly text: string;
  readonly at: Vec;
  readonly layer: string;
  readonly where: string;
}

/** A drawing as lines and letters, whatever it was read from; lengths in its own units until `inMillimetres`. */
export interface Drawing {
  readonly file: string;
  readonly strokes: readonly Stroke[];
  readonly texts: readonly Lettering[];
  readonly dropped: readonly Dropped[];
  /** Millimetres per unit where the file says it, and how it does. */
  readonly unit: { readonly mm: number; readonly said: string } | undefined;
  /** What the file hints at without saying it. */
  readonly hint?: string;
}

/** A drawing whose lengths are mm. */
export interface ScaledDrawing extends Drawing {
  readonly scaling: string;
}

/** Larger than anything that is cut in one piece, mm. */
export const MOST_EXTENT = 20_000;

/**
 * The drawing in millimetres: by the units asked for, else by what the file says.
 *
 * @throws InputError when nobody says, with the size that each reading would give.
 */
export function inMillimetres(drawing: Drawing, asked: ImportUnit | undefined): ScaledDrawing {
  if (asked === undefined && drawing.unit === undefined) throw unclear(drawing);
  const mm = asked === undefined ? drawing.unit!.mm : MM_PER_IMPORT_UNIT[asked];
  const against =
    asked !== undefined && drawing.unit !== undefined && Math.abs(drawing.unit.mm / mm - 1) > 1e-6
      ? `, although ${drawing.unit.said}`
      : '';
  const scaling = asked === undefined ? drawing.unit!.said : `${asked}, as asked for${against}`;
  const strokes = drawing.strokes.map((s) => ({ ...s, path: mapPoints(s.path, (p) => scale(p, mm)) }));
  const texts = drawing.texts.map((t) => ({ ...t, at: scale(t.at, mm) }));
  return { ...drawing, strokes, texts, scaling };
}

function unclear(drawing: Drawing): InputError {
  const size = extent(drawing);
  const largest = largestStroke(drawing);
  const hint = drawing.hint === undefined ? '' : ` (${drawing.hint})`;
  if (!size || !largest) {
    return new InputError(`the drawing does not say its units${hint}, and has no lines`, {
      place: { file: drawing.file },
    });
  }
  const readings = (['mm', 'cm', 'in'] as const).map((unit) => {
    const mm = MM_PER_IMPORT_UNIT[unit];
    return `${words(largest[0] * mm)} x ${words(largest[1] * mm)} in ${unit}`;
  });
  return new InputError(
    `the drawing does not say its units${hint}: its largest outline would measure ${readings.slice(0, -1).join(', ')} or ${readings.at(-1)!}`,
    { mend: 'say which: --units mm, --units cm or --units in', place: { file: drawing.file } },
  );
}

/** Width and height of all lines, drawing units; undefined without lines. */
export const extent = (drawing: Drawing): Vec | undefined => boxOf(drawing.strokes.map((s) => s.path));

function largestStroke(drawing: Drawing): Vec | undefined {
  const sizes = drawing.strokes.map((s) => boxOf([s.path])!);
  return sizes.reduce<Vec | undefined>(
    (best, s) => (!best || s[0] * s[1] > best[0] * best[1] ? s : best),
    undefined,
  );
}

function boxOf(paths: readonly Path[]): Vec | undefined {
  let [minX, minY, maxX, maxY] = [Infinity, Infinity, -Infinity, -Infinity];
  for (const path of paths) {
    for (const s of path) {
      for (const [x, y] of [s.a, s.b]) {
        if (x < minX) minX = x;
        if (y < minY) minY = y;
        if (x > maxX) maxX = x;
        if (y > maxY) maxY = y;
      }
    }
  }
  return minX <= maxX ? [maxX - minX, maxY - minY] : undefined;
}

const words = (mm: number): string => (mm >= 1000 ? `${(mm / 1000).toFixed(2)} m` : `${mm.toFixed(0)} mm`);
