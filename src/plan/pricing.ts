import { type Fabric, type LayOptions, spreadOf } from '../lay/index.js';
import type { FabricContent } from './content.js';
import type { EfficiencyModel } from './efficiency.js';
import type { Cloth, CostRates, LengthSource, PlanLimits } from './types.js';

/** Everything that planning one fabric starts from. */
export interface FabricTask {
  readonly style: string;
  readonly fabric: Fabric;
  readonly options: LayOptions;
  readonly limits: PlanLimits;
  readonly rates: CostRates;
  /** Sizes in the order of the size range. */
  readonly content: FabricContent;
  /** Part of the names of its markers, to tell widths of one fabric apart. */
  readonly tag?: string;
}

/** A size ratio that a marker could have, with its length and what it costs. */
export interface Column {
  /** Garments of each size, in the order of `content.sizes`. */
  readonly counts: readonly number[];
  readonly garments: number;
  readonly pieces: number;
  readonly area: number;
  /** mm. */
  readonly cutLength: number;
  /** mm. */
  readonly length: number;
  readonly source: LengthSource;
  readonly band?: number;
  /** Cloth of one ply. */
  readonly plyFabric: number;
  /** Spreading one ply. */
  readonly plySpreading: number;
  /** Cutting and setting up one lay. */
  readonly layCutting: number;
}

const MM_PER_M = 1000;

/** Garments not cut are reckoned at this many times their cloth where the style does not say: a house value. */
export const SHORT_FACTOR = 2;

export const keyOf = (counts: readonly number[]): string => counts.join('-');

/** Layers of cloth in one ply as it lies: a tube or folded cloth is two. */
export const layersOf = (fabric: Fabric): number => spreadOf(fabric).layers;

/** Face to face, plies of a colour come in pairs. */
export const pliesStep = (fabric: Fabric): number => (spreadOf(fabric).plies === 'even' ? 2 : 1);

/** Most plies in one lay. */
export function plyLimit({ fabric, limits }: Pick<FabricTask, 'fabric' | 'limits'>): number {
  const step = pliesStep(fabric);
  return Math.floor(limits.thicknesses / layersOf(fabric) / step) * step;
}

/** Group of the efficiency model. */
export const groupOf = (task: Pick<FabricTask, 'style' | 'fabric'>): string =>
  `${task.style} / ${task.fabric.name}`;

/** Facts of a size ratio that need no nesting. A piece that two garments share is placed whole. */
export function factsOf(content: FabricContent, counts: readonly number[]) {
  const sum = (of: (i: number) => number) => counts.reduce((total, n, i) => total + n * of(i), 0);
  const { sizes } = content;
  return {
    garments: sum(() => 1),
    sizes: counts.filter((n) => n > 0).length,
    pieces: Math.ceil(sum((i) => sizes[i]!.pieces) - 1e-9),
    area: sum((i) => sizes[i]!.area),
    cutLength: sum((i) => sizes[i]!.cutLength),
    width: content.width,
    longest: Math.max(0, ...sizes.map((size, i) => (counts[i]! > 0 ? size.longest : 0))),
  };
}

/** A size ratio with its length reckoned by the efficiency model. */
export function modelledColumn(task: FabricTask, model: EfficiencyModel, counts: readonly number[]): Column {
  const facts = factsOf(task.content, counts);
  const { length, band } = model.predict(facts, groupOf(task));
  return { ...priced(task, counts, facts, length), source: 'modelled', band };
}

/** A size ratio with the length and the cut lines of its nested marker. */
export function nestedColumn(
  task: FabricTask,
  counts: readonly number[],
  laid: {
    readonly length: number;
    readonly pieces: number;
    readonly area: number;
    readonly cutLength: number;
  },
): Column {
  const { garments } = factsOf(task.content, counts);
  return { ...priced(task, counts, { ...laid, garments }, laid.length), source: 'nested' };
}

function priced(
  { fabric, options, rates }: FabricTask,
  counts: readonly number[],
  facts: {
    readonly garments: number;
    readonly pieces: number;
    readonly area: number;
    readonly cutLength: number;
  },
  length: number,
): Omit<Column, 'source'> {
  const plyMetres = (length + 2 * options.endAllowance) / MM_PER_M;
  return {
    counts,
    garments: facts.garments,
    pieces: facts.pieces,
    area: facts.area,
    cutLength: facts.cutLength,
    length,
    plyFabric: clothCost(clothOf(fabric, options, length), fabric),
    plySpreading: rates.spreadingPerPly + rates.spreadingPerMetre * plyMetres,
    layCutting: rates.cuttingPerMetre * (facts.cutLength / MM_PER_M),
  };
}

/**
 * Cloth that one ply of a marker draws off the roll; the formulae are those of `consumption` in the lay room.
 *
 * @param length of the marker, mm.
 */
export function clothOf(fabric: Fabric, options: LayOptions, length: number): Cloth {
  const metres = (length + 2 * options.endAllowance) / MM_PER_M / (1 - fabric.relaxationLoss / 100);
  // Cloth that lies folded has two layers of half the width; a tube two of its flat width.
  const width = ((fabric.fullWidth ?? fabric.usableWidth) / MM_PER_M) * (fabric.mode === 'tubular' ? 2 : 1);
  const squareMetres = metres * width;
  return { metres, squareMetres, kilograms: (squareMetres * fabric.gramsPerSquareMetre) / 1000 };
}

export const timesCloth = (cloth: Cloth, n: number): Cloth => ({
  metres: cloth.metres * n,
  squareMetres: cloth.squareMetres * n,
  kilograms: cloth.kilograms * n,
});

export const addCloth = (a: Cloth, b: Cloth): Cloth => ({
  metres: a.metres + b.metres,
  squareMetres: a.squareMetres + b.squareMetres,
  kilograms: a.kilograms + b.kilograms,
});

export const NO_CLOTH: Cloth = { metres: 0, squareMetres: 0, kilograms: 0 };

/** What cloth costs by the metre, or by the kilogram where the fabric has no price by the metre. */
export function clothCost(cloth: Cloth, fabric: Fabric): number {
  const { pricePerMetre, pricePerKilogram } = fabric;
  if (pricePerMetre !== undefined) return cloth.metres * pricePerMetre;
  return cloth.kilograms * (pricePerKilogram ?? 0);
}

/** Cost of one more ply. */
export const plyCost = (column: Column): number => column.plyFabric + column.plySpreading;

/** Cost of one more lay. */
export const layCost = (column: Column, rates: CostRates): number => column.layCutting + rates.lay;

/** Whether a ply of the marker lies on the table. */
export const fitsTable = ({ limits, options }: FabricTask, length: number): boolean =>
  limits.tableLength === undefined || length + 2 * options.endAllowance <= limits.tableLength + 1e-6;

/** Whether the garments and pieces of a size ratio are within the limits. */
export const withinCounts = (limits: PlanLimits, column: Pick<Column, 'garments' | 'pieces'>): boolean =>
  column.garments <= limits.garments && column.pieces <= (limits.pieces ?? Number.POSITIVE_INFINITY);

/** What one garment of each size that is left out is reckoned at. */
export function shortCosts(task: FabricTask, perSquareMillimetre: number): readonly number[] {
  const { short } = task.rates;
  return task.content.sizes.map((size) => short ?? SHORT_FACTOR * size.area * perSquareMillimetre);
}
