/** How much work goes into what, in the units of `Mover.work` (about nanoseconds). */
export interface Pace {
  /** One round. */
  readonly round: number;
  /** Least work before the best layout of all may be called stale, by lane 0 and by the others. */
  readonly bestFirst: number;
  readonly best: number;
  /** The same for a layout begun anew. */
  readonly own: number;
  /** Ages at which a layout begun anew is held against those before it. */
  readonly heats: readonly number[];
}

const ROUND = 60e6;

export const PACE: Pace = {
  round: ROUND,
  bestFirst: 300 * ROUND,
  best: 100 * ROUND,
  own: 60 * ROUND,
  heats: [20 * ROUND, 40 * ROUND],
};
