import { z } from 'zod';
import { lengthField } from '../fields.js';
import type { Unit } from '../units.js';
import { FINISH_DEFAULTS } from './options.js';
import type { FinishOptions } from './types.js';

/**
 * Schema of a style's `finish` part; plain lengths are in `unit`. An allowance for one edge of one piece beats
 * the edge's, which beats the default. An edge on the fold has none.
 *
 *     allowances: { default: 3/8, edges: { neckline: 1/4, front.side: 1/2 }, hems: { hem: 1 } }
 *     notch-depth: 3 mm
 *     corner-limit: 2
 *     corners: { shoulder-tip: shoulder, back.underarm: side }
 *     curve-tolerance: 0.1 mm
 */
export function finishSchema(unit: Unit) {
  const allowance = lengthField(unit, 'not-negative');
  return z
    .strictObject({
      allowances: z
        .strictObject({
          default: allowance.optional(),
          edges: z.record(z.string(), allowance).default({}).describe('by edge, or by piece.edge'),
          hems: z.record(z.string(), allowance).default({}).describe('edges that are turned up, likewise'),
        })
        .default({ edges: {}, hems: {} }),
      'notch-depth': lengthField(unit, 'positive').optional(),
      'corner-limit': z.number().min(1).max(10).optional().describe('longest corner, in allowances'),
      corners: z
        .record(z.string(), z.string())
        .optional()
        .describe('by point or piece.point: the edge whose allowance ends square there'),
      'curve-tolerance': lengthField(unit, 'positive').optional(),
    })
    .transform(
      (part): FinishOptions => ({
        allowances: {
          default: part.allowances.default ?? FINISH_DEFAULTS.allowances.default,
          edges: part.allowances.edges,
          hems: part.allowances.hems,
        },
        notchDepth: part['notch-depth'] ?? FINISH_DEFAULTS.notchDepth,
        cornerLimit: part['corner-limit'] ?? FINISH_DEFAULTS.cornerLimit,
        ...(part.corners === undefined ? {} : { corners: part.corners }),
        curveTolerance: part['curve-tolerance'] ?? FINISH_DEFAULTS.curveTolerance,
      }),
    );
}
