import { runRecipe, type Stage } from '../alter/recipe.js';
import { InputError, suggest } from '../errors.js';
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
  assertFabrics(base, style);
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

/** A piece of a fabric the style does not have would never be cut. A style without fabrics is not laid yet. */
function assertFabrics(base: Pattern, style: Style): void {
  if (style.fabrics.size === 0) return;
  const stranger = base.pieces.find((piece) => !style.fabrics.has(piece.fabric));
  if (!stranger) return;
  throw new InputError(
    `piece '${stranger.name}' is cut from a fabric '${stranger.fabric}' that the style does not have`,
    {
      mend: suggest(stranger.fabric, [...style.fabrics.keys()]),
      place: { path: 'fabrics' },
    },
  );
}

/**
 * What a style would cut too little of: fabrics that pieces are cut from and no marker is laid on, and fabrics
 * whose markers give other numbers of garments than the first fabric's.
 */
export function cuttingGaps(style: Style, base: Pattern): string[] {
  const roles = [...new Set(base.pieces.map((piece) => piece.fabric))];
  if (style.markers.length === 0) return ['the style has no markers: nothing is laid'];
  const garments = (role: string) =>
    style.grade.sizes.map((size) =>
      style.markers.filter((m) => m.fabric === role).reduce((sum, m) => sum + (m.ratio[size] ?? 0), 0),
    );
  const laid = roles.filter((role) => style.markers.some((m) => m.fabric === role));
  const gaps = roles
    .filter((role) => !laid.includes(role))
    .map((role) => {
      const names = base.pieces.filter((piece) => piece.fabric === role).map((piece) => piece.name);
      return `no marker is laid on '${role}': ${names.join(', ')} would not be cut`;
    });
  const [first = '', ...others] = laid;
  for (const role of others) {
    const size = style.grade.sizes.find((_, i) => garments(role)[i] !== garments(first)[i]);
    if (size !== undefined)
      gaps.push(`markers of '${role}' and '${first}' give different numbers of garments in size ${size}`);
  }
  return gaps;
}

/** All cut pieces of all sizes. */
export const allPieces = (finished: readonly FinishedSize[]): CutPiece[] =>
  finished.flatMap((s) => [...s.pieces]);
