import { runRecipe, type Stage } from '../alter/recipe.js';
import { finishRange } from '../finish/finish.js';
import { NO_SHRINKAGE } from '../finish/options.js';
import type { CutPiece, FinishedSize } from '../finish/types.js';
import {
  type ChartRow,
  gradePattern,
  type SizeRange,
  type SizeTruing,
  sizeChart,
  trueRange,
} from '../grade/index.js';
import type { Pattern } from '../pattern/model.js';
import type { Style } from './style.js';

/** Everything a style becomes before it is laid. */
export interface Developed {
  readonly base: Pattern;
  readonly stages: readonly Stage[];
  readonly range: SizeRange;
  readonly chart: readonly ChartRow[];
  readonly truing: readonly SizeTruing[];
  readonly finished: readonly FinishedSize[];
}

/**
 * Takes a style down the corridor: block, alterations, size range, chart and truing, cut pieces.
 *
 * @throws InputError or CheckError of the room that could not go on.
 */
export function developStyle(style: Style): Developed {
  const { pattern: base, stages } = runRecipe(style.block, style.steps);
  const range = gradePattern(base, style.grade);
  const shrinkageOf = (fabric: string) => style.fabrics.get(fabric)?.shrinkage ?? NO_SHRINKAGE;
  return {
    base,
    stages,
    range,
    chart: sizeChart(range),
    truing: trueRange(range),
    finished: finishRange(range, style.finish, shrinkageOf),
  };
}

/** All cut pieces of all sizes. */
export const allPieces = (finished: readonly FinishedSize[]): CutPiece[] =>
  finished.flatMap((s) => [...s.pieces]);
