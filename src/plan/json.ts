import type { Baseline, CutPlan, FabricPlan, PlanMarker } from './types.js';

type MarkerJson = Omit<PlanMarker, 'marker'>;

/** A plan as plain data, without the placements of its markers. Lengths mm, cloth m, m2 and kg, money in `currency`. */
export interface CutPlanJson extends Omit<CutPlan, 'fabrics'> {
  readonly fabrics: readonly (Omit<FabricPlan, 'markers' | 'baselines'> & {
    readonly markers: readonly MarkerJson[];
    readonly baselines: readonly (Omit<Baseline, 'result'> & {
      readonly result?: Omit<NonNullable<Baseline['result']>, 'markers'> & {
        readonly markers: readonly MarkerJson[];
      };
    })[];
  })[];
}

const bare = ({ marker: _, ...rest }: PlanMarker): MarkerJson => rest;

export const planJson = (plan: CutPlan): CutPlanJson => ({
  ...plan,
  fabrics: plan.fabrics.map((fabric) => ({
    ...fabric,
    markers: fabric.markers.map(bare),
    baselines: fabric.baselines.map(({ result, ...baseline }) =>
      result ? { ...baseline, result: { ...result, markers: result.markers.map(bare) } } : baseline,
    ),
  })),
});
