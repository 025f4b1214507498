import type { Fabric, LayOptions } from '../../src/lay/index.js';
import type { EfficiencyModel } from '../../src/plan/efficiency.js';
import type { FabricTask } from '../../src/plan/pricing.js';
import type { CostRates, Order, PlanLimits } from '../../src/plan/types.js';

export const CLOTH: Fabric = {
  name: 'self',
  description: 'test jersey',
  usableWidth: 1000,
  gramsPerSquareMetre: 200,
  pricePerMetre: 10,
  currency: 'EUR',
  shrinkage: { walewise: 0, coursewise: 0 },
  relaxationLoss: 0,
  orientation: 'one-way',
  mode: 'single',
};

export const NO_ENDS: LayOptions = { gap: 0, sideMargin: 0, endMargin: 0, endAllowance: 0 };
export const NO_RATES: CostRates = {
  spreadingPerPly: 0,
  spreadingPerMetre: 0,
  marker: 0,
  cuttingPerMetre: 0,
  lay: 0,
};

/** A marker as long as its garments together, laid one behind the other without loss. */
export const END_TO_END: EfficiencyModel = {
  predict: ({ area, width }) => ({ length: area / width, band: 0 }),
  learn: () => END_TO_END,
  records: [],
  noise: { marker: 0, group: 0, short: 0 },
};

/** A task of garments that each take a length of cloth, mm, with four pieces and four metres of cut line. */
export function taskOf(
  lengths: Readonly<Record<string, number>>,
  limits: PlanLimits,
  rates: Partial<CostRates> = {},
  fabric: Partial<Fabric> = {},
  options: Partial<LayOptions> = {},
): FabricTask {
  return {
    style: 'test',
    fabric: { ...CLOTH, ...fabric },
    options: { ...NO_ENDS, ...options },
    limits,
    rates: { ...NO_RATES, ...rates },
    content: {
      width: 1000,
      sizes: Object.entries(lengths).map(([size, length]) => ({
        size,
        pieces: 4,
        area: length * 1000,
        cutLength: 4000,
        longest: length,
      })),
    },
  };
}

/** An order from rows of numbers, colour by colour; allowances in garments. */
export function orderOf(
  sizes: readonly string[],
  rows: Readonly<Record<string, readonly number[]>>,
  over = 0,
  under = 0,
): Order {
  return {
    sizes,
    colours: Object.keys(rows),
    cells: Object.entries(rows).flatMap(([colour, row]) =>
      row.map((ordered, s) => ({
        colour,
        size: sizes[s]!,
        ordered,
        least: Math.max(0, ordered - under),
        most: ordered === 0 ? 0 : ordered + over,
      })),
    ),
  };
}
