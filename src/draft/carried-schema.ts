import { z } from 'zod';
import { lengthField, percentField } from '../fields.js';
import type { Vec } from '../geometry/vec.js';
import type { Counts, Stretch } from '../pattern/model.js';
import type { Unit } from '../units.js';

/** A place on an outline: a named point of the piece, or coordinates in mm. */
export type NodeText = string | Vec;

/** One step along an edge: straight to a node, or a cubic Bezier with its two handles. */
export type StepText =
  | { readonly kind: 'line'; readonly to: NodeText }
  | { readonly kind: 'curve'; readonly handles: readonly [Vec, Vec]; readonly to: NodeText | undefined };

export interface EdgeText {
  readonly name: string;
  readonly to: string;
  readonly path?: readonly StepText[];
  readonly through?: readonly NodeText[];
  readonly leaving?: Vec;
  readonly arriving?: Vec;
  readonly pointed: boolean;
}

export interface NotchText {
  readonly name?: string;
  readonly edge: string;
  readonly at: { readonly length: number } | { readonly ratio: number };
  readonly kind: 'single' | 'double';
}

export interface InternalText {
  readonly name: string;
  readonly from: Vec;
  readonly path: readonly StepText[];
}

export interface PieceText {
  readonly name: string;
  readonly points: Readonly<Record<string, Vec>>;
  readonly edges: readonly EdgeText[];
  readonly fold?: string;
  readonly grain?: readonly [Vec, Vec];
  readonly stretch?: Stretch;
  readonly counts: Counts;
  readonly fabric: string;
  readonly notches: readonly NotchText[];
  readonly internals: readonly InternalText[];
}

export interface SeamText {
  readonly name: string;
  readonly left: readonly string[];
  readonly right: readonly string[];
  readonly ratio: number;
  readonly ease: number;
  readonly tolerance: number;
  readonly easeUpTo?: number;
}

/** A block that a style carries itself, as read: lengths in mm, names not yet looked up. */
export interface CarriedText {
  readonly pieces: readonly PieceText[];
  readonly seams: readonly SeamText[];
}

/** Two edges that are sewn together match within this, mm. */
const SEAM_TOLERANCE = 0.5;
/** Nothing that is cut is larger; beyond it a file has another unit than it says, mm. */
export const MOST_COORDINATE = 20_000;
/** More of one kind than a style has any use for. */
const MANY = 10_000;

/**
 * Schema of a block whose pieces stand in the style itself; plain lengths are in `unit`.
 *
 *     pieces:
 *       - name: front
 *         points: { center-hem: [0, 0], side-hem: [25, 0], underarm: [24, 38], ... }
 *         edges:
 *           - { name: hem, to: side-hem }
 *           - { name: armhole, to: shoulder-tip, path: [{ curve: [[22, 38], [19, 42]], to: [18.5, 47] }, ...] }
 *           - { name: neckline, to: center-neck, through: [[4, 53]], arriving: [-1, 0] }
 *         fold: fold
 *         grain: [[12, 10], [12, 40]]
 *         counts: { as-drawn: 1, mirrored: 0 }
 *         notches: [{ edge: armhole, at: 33% }]
 *     seams:
 *       - { name: neckband, left: neckband.lower, right: [2 x front.neckline, 2 x back.neckline], ratio: 0.85 }
 *
 * Edges are listed counter-clockwise; each starts where the one before ends, the first where the last ends.
 */
export function carriedSchema(unit: Unit) {
  return z
    .strictObject({
      pieces: z.array(pieceField(unit)).min(1).max(MANY).describe('pieces the style carries itself'),
      seams: z.array(seamField(unit)).max(MANY).default([]).describe('edges that are sewn together'),
    })
    .transform((o): CarriedText => o);
}

function pieceField(unit: Unit) {
  const vec = vecField(unit);
  return z
    .strictObject({
      name: nameField,
      points: z.record(nameField, vec).describe('named points, x along the courses, y up the wales'),
      edges: z.array(edgeField(unit)).min(2).max(MANY).describe('counter-clockwise'),
      fold: nameField.optional().describe('edge that lies on the fold: straight, upright, left of the half'),
      grain: z.tuple([vec, vec]).optional(),
      stretch: z
        .strictObject({ along: z.enum(['course', 'wale']), percent: percentField(500) })
        .optional()
        .describe('greatest stretch of this piece'),
      counts: z
        .strictObject({ 'as-drawn': countField.default(0), mirrored: countField.default(0) })
        .default({ 'as-drawn': 1, mirrored: 0 })
        .describe('opened pieces in one garment'),
      fabric: z.string().min(1).default('self').describe('fabric it is cut from, by its role'),
      notches: z.array(notchField(unit)).max(MANY).default([]),
      internals: z.array(internalField(unit)).max(MANY).default([]).describe('lines that are drawn, not cut'),
    })
    .transform((o): PieceText => {
      const { fold, grain, stretch, counts, ...piece } = o;
      return {
        ...piece,
        ...(fold === undefined ? {} : { fold }),
        ...(grain === undefined ? {} : { grain }),
        ...(stretch === undefined ? {} : { stretch }),
        counts: { asDrawn: counts['as-drawn'], mirrored: counts.mirrored },
      };
    });
}

function edgeField(unit: Unit) {
  const direction = z.tuple([z.number(), z.number()]);
  return z
    .strictObject({
      name: nameField,
      to: nameField.describe('point it ends at; it starts where the edge before ends'),
      path: z.array(stepField(unit)).min(1).max(MANY).optional().describe('lines and Bezier curves'),
      through: z
        .array(nodeField(unit))
        .min(1)
        .max(MANY)
        .optional()
        .describe('one smooth curve through these'),
      leaving: direction.optional().describe('direction in which a smooth curve starts'),
      arriving: direction.optional().describe('direction in which a smooth curve ends'),
      pointed: z.boolean().default(false).describe('meets the fold at an angle, as a V neck does'),
    })
    .superRefine((o, context) => {
      const fault = (path: string, message: string) =>
        context.addIssue({ code: 'custom', path: [path], message });
      if (o.path && o.through) fault('through', "give 'path' or 'through', not both");
      for (const end of ['leaving', 'arriving'] as const) {
        if (o[end] && !o.through)
          fault(end, "a direction is for a smooth curve: give it points to go 'through'");
        if (o[end]?.every((k) => k === 0)) fault(end, 'a direction cannot be [0, 0]');
      }
    })
    .transform(
      (o): EdgeText => ({
        name: o.name,
        to: o.to,
        pointed: o.pointed,
        ...(o.path === undefined ? {} : { path: o.path }),
        ...(o.through === undefined ? {} : { through: o.through }),
        ...(o.leaving === undefined ? {} : { leaving: o.leaving }),
        ...(o.arriving === undefined ? {} : { arriving: o.arriving }),
      }),
    );
}

function stepField(unit: Unit) {
  const vec = vecField(unit);
  const node = nodeField(unit);
  const curve = z.strictObject({
    curve: z.tuple([vec, vec]).describe('handles of a cubic Bezier'),
    to: node.optional().describe("node it ends at; the last one ends at the edge's own end"),
  });
  return z
    .union([node, curve])
    .transform(
      (value): StepText =>
        typeof value === 'object' && 'curve' in value
          ? { kind: 'curve', handles: value.curve, to: value.to }
          : { kind: 'line', to: value },
    );
}

function notchField(unit: Unit) {
  return z
    .strictObject({
      name: nameField.optional(),
      edge: nameField,
      at: notchPlace(unit).describe(
        "from the edge's start along the sewing line: a length, or a share as 33%",
      ),
      kind: z.enum(['single', 'double']).default('single'),
    })
    .transform(({ name, ...o }): NotchText => ({ ...o, ...(name === undefined ? {} : { name }) }));
}

function notchPlace(unit: Unit) {
  const length = lengthField(unit, 'not-negative');
  return z.union([z.string(), z.number()]).transform((value, context): NotchText['at'] => {
    const share = /^\s*(\d+\.?\d*|\.\d+)\s*%\s*$/.exec(String(value));
    if (share) {
      const ratio = Number(share[1]) / 100;
      if (ratio <= 1) return { ratio };
      context.addIssue({ code: 'custom', message: `${value} lies beyond the end of the edge` });
      return z.NEVER;
    }
    const read = length.safeParse(value);
    if (read.success) return { length: read.data };
    context.addIssue({ code: 'custom', message: read.error.issues[0]!.message });
    return z.NEVER;
  });
}

function internalField(unit: Unit) {
  return z.strictObject({
    name: z.string().min(1),
    from: vecField(unit),
    path: z.array(stepField(unit)).min(1).max(MANY),
  });
}

function seamField(unit: Unit) {
  const uses = z
    .union([z.string(), z.array(z.string()).min(1)])
    .transform((value): readonly string[] => (typeof value === 'string' ? [value] : value));
  return z
    .strictObject({
      name: z.string().min(1),
      left: uses.describe("edges as piece.edge, or '2 x piece.edge' where both halves meet"),
      right: uses,
      ratio: z.number().positive().default(1).describe('length of left as a share of right'),
      ease: lengthField(unit).default(0).describe('left is longer by this'),
      tolerance: lengthField(unit, 'not-negative').default(SEAM_TOLERANCE),
      'ease-up-to': lengthField(unit, 'not-negative').optional().describe('eased in, whichever is longer'),
    })
    .transform(
      ({ 'ease-up-to': easeUpTo, ...o }): SeamText => ({
        ...o,
        ...(easeUpTo === undefined ? {} : { easeUpTo }),
      }),
    );
}

const countField = z.number().int().min(0).max(99);

/** Names of pieces, points, edges and notches: no dot, since `piece.point` is how a rule is addressed. */
const nameField = z.union([z.string(), z.number()]).transform((value, context): string => {
  const name = String(value);
  // biome-ignore lint/suspicious/noControlCharactersInRegex: a name with control characters is a slip.
  if (name.length <= 80 && /^[^\s.\u0000-\u001f][^.\u0000-\u001f]*$/.test(name) && name === name.trim())
    return name;
  context.addIssue({
    code: 'custom',
    message: `'${name.slice(0, 80)}' is no name: write it without dots, up to 80 letters`,
  });
  return z.NEVER;
});

function nodeField(unit: Unit) {
  return z.union([nameField, vecField(unit)]);
}

function vecField(unit: Unit) {
  const coordinate = lengthField(unit).transform((mm, context) => {
    if (Math.abs(mm) <= MOST_COORDINATE) return mm;
    const message = `a coordinate of ${mm.toPrecision(3)} mm is beyond the ${MOST_COORDINATE} mm a pattern has: look at 'units'`;
    context.addIssue({ code: 'custom', message });
    return z.NEVER;
  });
  return z.tuple([coordinate, coordinate]).transform(([x, y]): Vec => [x, y]);
}
