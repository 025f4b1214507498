import { z } from 'zod';
import { InputError } from '../errors.js';
import type { Marker } from '../lay/types.js';
import type { CutPlan, PlanMarker } from '../plan/types.js';
import { keptFabricSchema, readKept } from './kept.js';

const count = z.number().int().min(0);
const amount = z.number().min(0);
const quantities = z.record(z.string(), z.record(z.string(), count));
const cost = z.looseObject({
  fabric: amount,
  spreading: amount,
  markers: amount,
  cutting: amount,
  lays: amount,
  short: amount,
  total: amount,
});
const cloth = z.object({ metres: amount, squareMetres: amount, kilograms: amount });

const marker = z.looseObject({
  name: z.string(),
  fabric: z.string(),
  ratio: z.record(z.string(), count),
  length: z.number().positive(),
  source: z.enum(['nested', 'modelled']),
  efficiency: z.number().positive(),
});

const baseline = z.looseObject({
  name: z.enum(['one size per marker', 'one marker for all sizes']),
  result: z
    .looseObject({ markers: z.array(marker), lays: count, cloth, cost, garments: count, beyond: count })
    .optional(),
  why: z.string().optional(),
});

const lay = z.looseObject({
  number: count,
  fabric: z.string(),
  marker: z.string(),
  plies: z.array(z.object({ colour: z.string(), plies: count })),
  totalPlies: count,
  thicknesses: count,
  garments: quantities,
  plyLength: z.number().positive(),
});

const planSchema = z.looseObject({
  style: z.string(),
  currency: z.string(),
  order: z.looseObject({
    sizes: z.array(z.string()),
    colours: z.array(z.string()),
    cells: z.array(z.looseObject({ colour: z.string(), size: z.string(), ordered: count })),
  }),
  fabrics: z.array(
    z.looseObject({
      fabric: keptFabricSchema,
      markers: z.array(marker),
      lays: z.array(lay),
      cloth,
      cost,
      baselines: z.array(baseline),
      solver: z.looseObject({
        value: amount,
        bound: z.number().optional(),
        columns: count,
        complete: z.boolean(),
      }),
      rounds: count,
      ended: z.enum(['agreed', 'round limit', 'stopped', 'not nested']),
      source: z.enum(['nested', 'modelled']),
    }),
  ),
  cut: quantities,
  garments: count,
  cost,
  costPerGarment: amount,
});

/** Longest, mm, that a kept marker may differ from the length that its plan tells. */
const SAME_LENGTH = 0.01;

/**
 * Reads the text of a plan.json as `plan` wrote it, and puts the markers that were laid for it back into it.
 *
 * @throws InputError, its place the file and the field, for text that is no such file, and when the markers are
 *   those of another plan.
 */
export function readKeptPlan(text: string, file: string, markers: readonly Marker[]): CutPlan {
  const plan = readKept(planSchema, text, file, "run 'walewise plan --out' again") as unknown as CutPlan;
  const withMarker = (planned: PlanMarker): PlanMarker => {
    if (planned.source === 'modelled') return planned;
    const laid = markers.find((m) => m.name === planned.name && m.fabric.name === planned.fabric);
    if (!laid || Math.abs(laid.length - planned.length) > SAME_LENGTH) {
      throw new InputError(`marker '${planned.name}' of the plan is not among the markers that were kept`, {
        place: { file },
        mend: "run 'walewise plan --out' again: it writes plan.json and report.json together",
      });
    }
    return { ...planned, marker: laid };
  };
  return { ...plan, fabrics: plan.fabrics.map((f) => ({ ...f, markers: f.markers.map(withMarker) })) };
}
