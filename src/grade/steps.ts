import type { ChartCell, ChartRow, SizeRange } from './types.js';

/** How a point of measure grows from one size into the next; mm. */
export interface GrowthStep {
  readonly from: string;
  readonly to: string;
  readonly growth: number;
  /** Growth over a whole size step: twice the growth into a half size. */
  readonly perStep: number;
  /** It grows much more or less than the step before, or turns round. */
  readonly jumps: boolean;
  readonly cause?: JumpCause;
}

/**
 * Where a jump comes from: the increments ask for it (a break); they ask for even growth here, so a rule or a
 * point is off; or the measure states no growth of its own and follows from others.
 */
export type JumpCause = 'stated' | 'unstated' | 'follows';

export interface GrowthRow {
  readonly measure: string;
  readonly steps: readonly GrowthStep[];
}

export interface JumpOptions {
  /** A step more than this many times the one before, or less than its inverse, jumps. */
  readonly ratio: number;
  /** Changes of step up to this many mm never jump. */
  readonly least: number;
}

/** House default: half as much again, and more than 3 mm, which is the usual tolerance of a point of measure. */
export const JUMP_DEFAULTS: JumpOptions = { ratio: 1.5, least: 3 };

/** Growth per step of every row of a size chart, with the steps that jump. */
export function growthRows(
  range: SizeRange,
  chart: readonly ChartRow[],
  options: JumpOptions = JUMP_DEFAULTS,
): GrowthRow[] {
  const at = new Map(range.sizes.map((s) => [s.size, s.steps]));
  return chart.map(({ measure, cells }) => {
    const perStep = (value: (cell: ChartCell) => number | undefined) =>
      cells.slice(1).map((cell, i) => {
        const before = cells[i]!;
        const [low, high] = [value(before), value(cell)];
        const parts = at.get(cell.size)! - at.get(before.size)!;
        return low === undefined || high === undefined ? undefined : (high - low) / parts;
      });
    const grown = perStep((cell) => cell.measured);
    const asked = perStep((cell) => cell.expected);
    const steps = cells.slice(1).map((cell, i): GrowthStep => {
      const before = cells[i]!;
      const jumped = jumps(grown[i - 1], grown[i], options);
      return {
        from: before.size,
        to: cell.size,
        growth: cell.measured - before.measured,
        perStep: grown[i]!,
        jumps: jumped,
        ...(jumped ? { cause: causeOf(asked[i - 1], asked[i], options) } : {}),
      };
    });
    return { measure, steps };
  });
}

/** Steps that jump, with their measure and the step before. */
export const jumpsOf = (rows: readonly GrowthRow[]): (GrowthStep & { measure: string; before: number })[] =>
  rows.flatMap(({ measure, steps }) =>
    steps.flatMap((step, i) => (step.jumps ? [{ ...step, measure, before: steps[i - 1]!.perStep }] : [])),
  );

function causeOf(before: number | undefined, now: number | undefined, options: JumpOptions): JumpCause {
  if (before === undefined || now === undefined) return 'follows';
  return jumps(before, now, options) ? 'stated' : 'unstated';
}

function jumps(before: number | undefined, now: number | undefined, { ratio, least }: JumpOptions): boolean {
  if (before === undefined || now === undefined) return false;
  if (Math.abs(now - before) <= least) return false;
  if (before * now <= 0) return true;
  const share = now / before;
  return share > ratio || share < 1 / ratio;
}
