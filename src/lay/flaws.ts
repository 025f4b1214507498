import { z } from 'zod';
import { InputError } from '../errors.js';
import { lengthField } from '../fields.js';
import { bounds, counterClockwise, type Polygon, selfCrossing, signedArea } from '../geometry/polygon.js';
import { formatLength, type Unit } from '../units.js';
import type { ClothZone } from './types.js';

/** Faults of a piece of cloth: what pieces must keep off, and where it is spliced. */
export type FlawsPart = z.output<ReturnType<typeof flawsSchema>>;

/** Width of the line that no piece may cross, mm. */
const SPLICE_LINE = 0.1;

/**
 * Schema of the faults of one marker's cloth. Positions are in the marker's frame: first along the cloth from the
 * start of the marker, then across it from its lower edge (a selvedge, or the fold of folded cloth).
 *
 *     flaws:
 *       - { at: [120 cm, 40 cm], size: [3 cm, 5 cm], note: hole }
 *       - { polygon: [[200 cm, 0], [210 cm, 0], [205 cm, 12 cm]] }
 *     splices:
 *       - { at: 310 cm, overlap: 4 cm }
 */
export const flawsSchema = (unit: Unit) => z.strictObject(flawsFields(unit));

/** The two lists on their own, for a schema that holds more. */
export function flawsFields(unit: Unit) {
  const any = lengthField(unit);
  const size = lengthField(unit, 'positive');
  const flaw = z
    .strictObject({
      at: z.tuple([any, any]).optional().describe('corner nearest the start and the lower edge'),
      size: z.tuple([size, size]).optional().describe('along and across'),
      polygon: z
        .array(z.tuple([any, any]))
        .min(3)
        .optional(),
      note: z.string().optional(),
    })
    .superRefine((o, context) => {
      const fault = flawFault(o);
      if (fault) context.addIssue({ code: 'custom', message: fault });
    });
  const splice = z.strictObject({
    at: lengthField(unit, 'positive'),
    overlap: lengthField(unit, 'not-negative').optional(),
    note: z.string().optional(),
  });
  return { flaws: z.array(flaw).optional(), splices: z.array(splice).optional() };
}

/**
 * The zones of cloth of a width (mm) that no piece may enter or cross.
 *
 * @throws InputError, its place relative to the part, for a flaw that lies off the cloth.
 */
export function clothZones({ flaws = [], splices = [] }: FlawsPart, width: number): ClothZone[] {
  const areas = flaws.map((flaw, i): ClothZone => {
    const outline = outlineOf(flaw);
    const { minY, maxX, maxY } = bounds(outline);
    if (maxY <= 0 || minY >= width || maxX <= 0) {
      const show = (mm: number) => formatLength(mm, 'cm');
      throw new InputError(
        `flaw ${i + 1} lies off the cloth: ${show(minY)} to ${show(maxY)} across, where ${show(width)} are laid`,
        {
          mend: 'positions are along the cloth from the start of the marker, then across from its lower edge; say the unit, such as 40 cm',
          place: { path: `flaws.${i}` },
        },
      );
    }
    return { kind: 'flaw', outline, ...(flaw.note === undefined ? {} : { note: flaw.note }) };
  });
  const lines = splices.map(({ at, overlap, note }): ClothZone => {
    const [from, to] = [at - SPLICE_LINE / 2, at + SPLICE_LINE / 2];
    return {
      kind: 'splice',
      outline: [
        [from, 0],
        [to, 0],
        [to, width],
        [from, width],
      ],
      overlap: overlap ?? 0,
      ...(note === undefined ? {} : { note }),
    };
  });
  return [...areas, ...lines];
}

interface Flaw {
  readonly at?: readonly [number, number] | undefined;
  readonly size?: readonly [number, number] | undefined;
  readonly polygon?: readonly (readonly [number, number])[] | undefined;
}

function flawFault({ at, size, polygon }: Flaw): string | undefined {
  if (polygon && (at || size)) return "give 'polygon', or 'at' with 'size', not both";
  if (!polygon && !(at && size)) return "a flaw needs 'at' and 'size', or a 'polygon'";
  if (!polygon) return undefined;
  if (signedArea(polygon) === 0) return 'its polygon has no area';
  return selfCrossing(polygon) ? 'its polygon crosses itself' : undefined;
}

function outlineOf({ at, size, polygon }: Flaw): Polygon {
  if (polygon) return counterClockwise(polygon);
  const [x, y] = at!;
  const [long, across] = size!;
  return [
    [x, y],
    [x + long, y],
    [x + long, y + across],
    [x, y + across],
  ];
}
