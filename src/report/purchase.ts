import type { Consumption } from '../lay/types.js';
import type { ReportData } from './types.js';

/** What to buy of one fabric: metres, square metres, kilograms. */
export interface Purchase {
  readonly fabric: string;
  readonly plies: number;
  readonly garments: number;
  readonly length: number;
  readonly area: number;
  readonly mass: number;
  /** Left out when a marker of the fabric has no price. */
  readonly cost?: number;
  readonly currency: string;
}

export const pliesOf = (data: Pick<ReportData, 'plies'>, marker: string): number => data.plies?.[marker] ?? 1;

/** Sums over markers of (plies x fabric of one ply) x (1 + spare), per fabric in the order of first use. */
export function purchases(data: Pick<ReportData, 'consumption' | 'plies' | 'sparePercent'>): Purchase[] {
  const factor = 1 + (data.sparePercent ?? 0) / 100;
  const byFabric = new Map<string, Consumption[]>();
  for (const one of data.consumption) {
    byFabric.set(one.fabric, [...(byFabric.get(one.fabric) ?? []), one]);
  }
  return [...byFabric].map(([fabric, parts]) => {
    const sum = (of: (c: Consumption) => number) =>
      parts.reduce((total, c) => total + of(c) * pliesOf(data, c.marker), 0);
    const priced = parts.every((c) => c.cost !== undefined);
    return {
      fabric,
      plies: sum(() => 1),
      garments: sum((c) => c.garments),
      length: sum((c) => c.rollLength) * factor,
      area: sum((c) => c.area) * factor,
      mass: sum((c) => c.mass) * factor,
      ...(priced ? { cost: sum((c) => c.cost ?? 0) * factor } : {}),
      currency: parts[0]!.currency,
    };
  });
}
