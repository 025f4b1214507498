import type { CutPiece } from '../finish/types.js';
import { bounds } from '../geometry/polygon.js';
import { nearestRatio } from './baselines.js';
import type { EfficiencyModel } from './efficiency.js';
import {
  clothCost,
  clothOf,
  type FabricTask,
  factsOf,
  fitsTable,
  groupOf,
  modelledColumn,
  timesCloth,
  withinCounts,
} from './pricing.js';
import type { Cloth, Order } from './types.js';

/** What an order will take of one fabric, before anything is laid. */
export interface QuickEstimate {
  readonly fabric: string;
  readonly garments: number;
  /** The marker it is reckoned with: garments and sizes in it. */
  readonly marker: { readonly garments: number; readonly sizes: number; readonly length: number };
  /** Area of the pieces / (marker length x width). */
  readonly efficiency: number;
  /** For the whole order, off the roll. */
  readonly cloth: Cloth;
  /** Metres per garment, on average. */
  readonly metresPerGarment: number;
  readonly cost: number;
  readonly currency: string;
  /** Half width of the band that holds 90 % of such orders, as a share of the cloth. */
  readonly band: number;
  /** Markers the model has learned from. */
  readonly nests: number;
  /** The rectangle method of the trade's course notes, for comparison. */
  readonly rectangles: RectangleEstimate;
}

export interface RectangleEstimate {
  readonly kilograms: number;
  readonly metres: number;
  /** Percent added for waste. */
  readonly wastage: number;
}

/** Waste that course notes add to the rectangles: 7 to 10 %, and the upper end where nothing is known. */
export const RECTANGLE_WASTAGE = 10;

/**
 * Cloth for an order from the areas of its pieces and the efficiency model: as if the order were cut in one kind
 * of marker, as large as the limits allow, in the ratio of the order.
 *
 *     metres = area of all garments / area of the marker's garments x metres off the roll of one ply
 */
export function quickEstimate(
  task: FabricTask,
  order: Order,
  model: EfficiencyModel,
  pieces: readonly CutPiece[],
): QuickEstimate {
  const totals = task.content.sizes.map(({ size }) =>
    order.cells.reduce((sum, cell) => sum + (cell.size === size ? cell.ordered : 0), 0),
  );
  const garments = totals.reduce((a, b) => a + b, 0);
  const column = largestMarker(task, model, totals);
  const facts = factsOf(task.content, column.counts);
  const { band } = model.predict(facts, groupOf(task));
  const area = totals.reduce((sum, n, s) => sum + n * task.content.sizes[s]!.area, 0);
  const cloth = timesCloth(clothOf(task.fabric, task.options, column.length), area / column.area);
  return {
    fabric: task.fabric.name,
    garments,
    marker: { garments: column.garments, sizes: facts.sizes, length: column.length },
    efficiency: column.area / (facts.width * column.length),
    cloth,
    metresPerGarment: cloth.metres / garments,
    cost: clothCost(cloth, task.fabric),
    currency: task.fabric.currency,
    band,
    nests: model.records.length,
    rectangles: rectanglesOf(task, order, pieces),
  };
}

/** The marker of most garments, in the ratio of the order, that the limits take. */
function largestMarker(task: FabricTask, model: EfficiencyModel, totals: readonly number[]) {
  for (let n = task.limits.garments; n > 1; n--) {
    const column = modelledColumn(task, model, nearestRatio(totals, n));
    if (column.garments === n && withinCounts(task.limits, column) && fitsTable(task, column.length)) {
      return column;
    }
  }
  const most = totals.indexOf(Math.max(...totals));
  return modelledColumn(
    task,
    model,
    totals.map((_, s) => (s === most ? 1 : 0)),
  );
}

/** A rectangle of cloth, mm, and how many of it a garment takes. */
export interface Rectangle {
  readonly length: number;
  readonly width: number;
  readonly count: number;
}

/**
 * The rectangle method of course notes: every piece takes the rectangle it lies in.
 *
 *     kg per garment = sum of length x width x count x g/m2 x (1 + wastage)
 *
 * (In centimetres and dozens, kg = L x W x n x g/m2 x 12 / 10^7, as the notes print it.)
 */
export function rectangleKilograms(
  rectangles: readonly Rectangle[],
  gramsPerSquareMetre: number,
  wastagePercent = 0,
): number {
  const squareMetres = rectangles.reduce((sum, r) => sum + (r.length * r.width * r.count) / 1e6, 0);
  return ((squareMetres * gramsPerSquareMetre) / 1000) * (1 + wastagePercent / 100);
}

/** The rectangles that the cut pieces of the order lie in; allowances and shrinkage are in them already. */
function rectanglesOf(task: FabricTask, order: Order, pieces: readonly CutPiece[]): RectangleEstimate {
  const { fabric } = task;
  const ordered = (size: string) =>
    order.cells.reduce((sum, cell) => sum + (cell.size === size ? cell.ordered : 0), 0);
  const rectangles = pieces
    .filter((piece) => piece.fabric === fabric.name)
    .map((piece): Rectangle => {
      const { minX, minY, maxX, maxY } = bounds(piece.cut);
      const { asDrawn, mirrored } = piece.counts;
      return { length: maxY - minY, width: maxX - minX, count: (asDrawn + mirrored) * ordered(piece.size) };
    });
  const kilograms = rectangleKilograms(rectangles, fabric.gramsPerSquareMetre, RECTANGLE_WASTAGE);
  const perMetre = clothOf({ ...fabric, relaxationLoss: 0 }, { ...task.options, endAllowance: 0 }, 1000);
  return { kilograms, metres: kilograms / perMetre.kilograms, wastage: RECTANGLE_WASTAGE };
}
