import type { Program } from './highs.js';
import type { Column } from './pricing.js';

/** Cloth of one colour on one roll, or on rolls that are cut one after the other, with what can be cut of it. */
export interface StockLane {
  readonly fabric: string;
  /** Metres there are. */
  readonly metres: number;
  readonly columns: readonly { readonly column: Column; readonly metres: number }[];
  /** Plies come in so many. */
  readonly step: number;
}

export interface StockSolution {
  /** Garments of each size. */
  readonly garments: readonly number[];
  /** Plies of each column, lane by lane. */
  readonly plies: readonly (readonly number[])[];
}

export interface StockProgram {
  readonly program: Program;
  readonly read: (values: readonly number[]) => StockSolution;
}

/** Sizes may stand off the wanted ratio by less than one garment. */
const WITHIN = 1 - 1e-6;

/**
 * Most garments of one colour from the cloth there is:
 *
 *     maximise  sum over sizes of g_s, then least cloth
 *     where     g_s = garments that the plies of every fabric give (one over where plies come in pairs)
 *               plies of a roll x metres off the roll <= metres there are
 *               | g_s - t ordered_s | < 1,  0 <= t <= 1,  g_s <= ordered_s
 *
 * so that every size stays within one garment of the ordered ratio.
 */
export function stockProgram(ordered: readonly number[], lanes: readonly StockLane[]): StockProgram {
  const variables: Program['columns'][number][] = [];
  const rows: Program['rows'][number][] = [];
  const add = (cost: number, upper: number, whole: boolean) =>
    variables.push({ cost, lower: 0, upper, whole }) - 1;
  const all = lanes.reduce((sum, lane) => sum + lane.metres, 0);
  // All the cloth together weighs less than half a garment.
  const perMetre = all > 0 ? 0.5 / all : 0;

  const garments = ordered.map((n) => add(-1, n, true));
  const scale = add(0, 1, false);
  ordered.forEach((n, s) => {
    if (n === 0) return;
    rows.push({
      lower: -WITHIN,
      upper: WITHIN,
      entries: [
        [garments[s]!, 1],
        [scale, -n],
      ],
    });
  });
  const plies = lanes.map((lane) =>
    lane.columns.map(({ metres }) =>
      add(perMetre * metres * lane.step, Math.floor(lane.metres / metres / lane.step + 1e-9), true),
    ),
  );
  lanes.forEach((lane, l) => {
    const entries = lane.columns.map(({ metres }, j) => [plies[l]![j]!, metres * lane.step] as const);
    if (entries.length > 0) rows.push({ lower: 0, upper: lane.metres, entries });
  });
  for (const fabric of new Set(lanes.map((lane) => lane.fabric))) {
    const own = lanes.flatMap((lane, l) => (lane.fabric === fabric ? [l] : []));
    const over = Math.max(...own.map((l) => lanes[l]!.step)) - 1;
    ordered.forEach((_, s) => {
      const entries = own.flatMap((l) =>
        lanes[l]!.columns.flatMap(({ column }, j) =>
          column.counts[s]! > 0 ? [[plies[l]![j]!, column.counts[s]! * lanes[l]!.step] as const] : [],
        ),
      );
      rows.push({ lower: 0, upper: over, entries: [...entries, [garments[s]!, -1]] });
    });
  }
  return {
    program: { columns: variables, rows },
    read: (values) => ({
      garments: garments.map((v) => Math.round(values[v]!)),
      plies: plies.map((lane, l) => lane.map((v) => Math.round(values[v]!) * lanes[l]!.step)),
    }),
  };
}

/** Least cloth, metres, for exactly these garments of one colour on one fabric. */
export function leastClothProgram(
  wanted: readonly number[],
  lane: Omit<StockLane, 'metres' | 'fabric'>,
): StockProgram {
  const variables = lane.columns.map(({ metres }) => ({
    cost: metres * lane.step,
    lower: 0,
    upper: Math.max(...wanted),
    whole: true,
  }));
  const rows = wanted.map((n, s) => ({
    lower: n,
    upper: n + lane.step - 1,
    entries: lane.columns.flatMap(({ column }, j) =>
      column.counts[s]! > 0 ? [[j, column.counts[s]! * lane.step] as const] : [],
    ),
  }));
  return {
    program: { columns: variables, rows },
    read: (values) => ({
      garments: wanted,
      plies: [lane.columns.map((_, j) => Math.round(values[j]!) * lane.step)],
    }),
  };
}
