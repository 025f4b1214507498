/** How much work goes into what, in the units of `Mover.work` (about nanoseconds). */
export interface Pace {
  /** One round. */
  readonly round: number;
  /** Least work before the best layout of all may be called stale. */
  readonly best: number;
  /** The same for a layout begun anew. */
  readonly own: number;
}

const ROUND = 50e6;

export const PACE: Pace = { round: ROUND, best: 100 * ROUND, own: 150 * ROUND };
