import { z } from 'zod';
import { CheckError } from '../errors.js';
import { flatten } from '../geometry/path.js';
import { selfCrossing } from '../geometry/polygon.js';
import { assertClosed, type Pattern, type Piece } from '../pattern/model.js';
import type { Unit } from '../units.js';

/** Something a step measured and a person wants to read; mm. */
export interface Note {
  readonly subject: string;
  readonly values: readonly { readonly name: string; readonly mm: number }[];
}

export interface Altered {
  readonly pattern: Pattern;
  readonly notes: readonly Note[];
}

export interface AlterContext {
  /** The block as it was before the first step. */
  readonly block: Pattern;
}

/** One step of a recipe with its options read. */
export interface Step {
  readonly name: string;
  readonly apply: (pattern: Pattern, context: AlterContext) => Altered;
}

/** An alteration as recipes know it. */
export interface Alteration {
  readonly name: string;
  readonly summary: string;
  readonly step: (unit: Unit) => z.ZodType<Step>;
}

/**
 * Makes an alteration known to recipes. `schema` reads its options as a style file spells them, in the
 * style's unit; `apply` is the function a library user calls.
 */
export function defineAlteration<O>(definition: {
  name: string;
  summary: string;
  schema: (unit: Unit) => z.ZodType<O>;
  apply: (pattern: Pattern, options: O, context: AlterContext) => Altered;
}): Alteration {
  const { name, summary, schema, apply } = definition;
  return {
    name,
    summary,
    step: (unit) =>
      schema(unit).transform(
        (options): Step => ({ name, apply: (pattern, context) => apply(pattern, options, context) }),
      ),
  };
}

/** A result without notes. */
export const altered = (pattern: Pattern, notes: readonly Note[] = []): Altered => ({ pattern, notes });

/** One piece name or a list of them. */
export const piecesField = z
  .union([z.string(), z.array(z.string()).min(1)])
  .transform((value) => (typeof value === 'string' ? [value] : value));

/** Flattening tolerance of the self-crossing check, mm. */
const CHECK_TOLERANCE = 0.2;

/** @throws CheckError when a piece crosses itself; InputError when its loop is open. */
export function assertSound(piece: Piece): Piece {
  assertClosed(piece);
  const owners: string[] = [];
  const outline = piece.edges.flatMap((edge) => {
    const points = flatten(edge.path, CHECK_TOLERANCE).slice(0, -1);
    owners.push(...points.map(() => edge.name));
    return points;
  });
  const crossing = selfCrossing(outline);
  if (crossing) {
    const [i, j] = crossing;
    const [x, y] = outline[i]!;
    throw new CheckError(
      `piece '${piece.name}' crosses itself: '${owners[i]}' meets '${owners[j]}' near (${x.toFixed(0)}, ${y.toFixed(0)}) mm`,
      { mend: 'use a smaller amount in this step' },
    );
  }
  return piece;
}
