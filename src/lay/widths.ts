import { InputError } from '../errors.js';
import type { Fabric, LayMode } from './types.js';

/** One lay of an order at one width, in one mode and with one seed: one ply of every marker together. */
export interface WidthRun {
  readonly seed: number;
  /** Drawn off the roll, m. */
  readonly length: number;
  /** m2. */
  readonly area: number;
  /** kg. */
  readonly mass: number;
  /** In the fabric's currency, where it has a price. */
  readonly cost?: number;
  readonly garments: number;
  /** Share of the laid cloth inside the cut lines, over all markers. */
  readonly efficiency: number;
  /** Rounds of the search, the least of its markers; at 0 there was no time to search. */
  readonly rounds: number;
}

/** What became of one width in one lay mode. */
export interface WidthCell {
  /** Usable width, mm. */
  readonly width: number;
  readonly mode: LayMode;
  /** Finished runs, by seed. */
  readonly runs: readonly WidthRun[];
  /** Why it cannot be laid, with what to do. */
  readonly fault?: string;
}

export const WIDTH_MEASURES = ['length', 'area', 'mass', 'cost', 'efficiency'] as const;
export type WidthMeasure = (typeof WIDTH_MEASURES)[number];

/** A measure over the runs of a cell. */
export interface RunSpread {
  readonly mean: number;
  readonly least: number;
  readonly most: number;
  readonly runs: number;
}

export interface WidthVerdict {
  /** What was compared: cost per garment, or area per garment without a price. */
  readonly by: 'cost' | 'area';
  /** Cells with runs, the best mean first. */
  readonly order: readonly WidthCell[];
  /** Cells whose runs overlap those of the best: the runs do not tell them from it. */
  readonly tied: readonly WidthCell[];
  /** How likely two cells that are in truth alike would be told apart all the same; 1 with one run each. */
  readonly chance: number;
}

/**
 * The fabric laid in another mode.
 *
 * @throws InputError for a tube that is to be laid otherwise, or cloth that is to be a tube.
 */
export function inMode(fabric: Fabric, mode: LayMode): Fabric {
  if (mode === fabric.mode) return fabric;
  if (fabric.mode === 'tubular') {
    throw new InputError(`fabric '${fabric.name}' is a tube and cannot be laid ${mode}`, {
      mend: `slit it and give it as a fabric of its own, 'mode: ${mode}', with the width it has then`,
    });
  }
  if (mode === 'tubular') {
    throw new InputError(`fabric '${fabric.name}' is not a tube`, { mend: "lay it folded: 'folded'" });
  }
  return { ...fabric, mode };
}

/**
 * The fabric of another usable width (mm). Its selvedges stay as wide as they are, and its price per square metre
 * stays too: a price per metre goes with the full width.
 */
export function atUsableWidth(fabric: Fabric, usableWidth: number): Fabric {
  const { fullWidth, pricePerMetre, ...rest } = fabric;
  const full = fullWidth === undefined ? undefined : usableWidth + (fullWidth - fabric.usableWidth);
  const wider = (full ?? usableWidth) / (fullWidth ?? fabric.usableWidth);
  return {
    ...rest,
    usableWidth,
    ...(full === undefined ? {} : { fullWidth: full }),
    ...(pricePerMetre === undefined ? {} : { pricePerMetre: pricePerMetre * wider }),
  };
}

/** A measure over the runs of a cell; undefined without runs or, for cost, without a price. */
export function runSpread(cell: WidthCell, measure: WidthMeasure): RunSpread | undefined {
  const values = cell.runs.map((run) => run[measure]).filter((v) => v !== undefined);
  if (values.length === 0 || values.length < cell.runs.length) return undefined;
  return {
    mean: values.reduce((sum, v) => sum + v, 0) / values.length,
    least: Math.min(...values),
    most: Math.max(...values),
    runs: values.length,
  };
}

/**
 * Which cells are best, and which of them the runs do not tell apart. Two cells are told apart when every run of
 * one is better than every run of the other. If both were drawn from one distribution, that would happen in
 * 2 / C(m + n, n) of cases for m and n runs (all orders being alike likely; the extreme of the rank-sum test of
 * Wilcoxon, Biometrics Bulletin 1 (1945) 80, and of Mann and Whitney, Ann. Math. Statist. 18 (1947) 50).
 */
export function compareWidths(cells: readonly WidthCell[]): WidthVerdict | undefined {
  const laid = cells.filter((cell) => cell.runs.length > 0);
  if (laid.length === 0) return undefined;
  const by = laid.every((cell) => runSpread(cell, 'cost')) ? 'cost' : 'area';
  const of = (cell: WidthCell) => runSpread(cell, by)!;
  const order = [...laid].sort((a, b) => of(a).mean - of(b).mean);
  const best = order[0]!;
  const tied = order.slice(1).filter((cell) => of(cell).least <= of(best).most);
  const next = order[1];
  const chance = next ? Math.min(1, 2 / choose(of(best).runs + of(next).runs, of(best).runs)) : 1;
  return { by, order, tied, chance };
}

function choose(n: number, k: number): number {
  let ways = 1;
  for (let i = 1; i <= k; i++) ways = (ways * (n - k + i)) / i;
  return ways;
}
