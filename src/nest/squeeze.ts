import type { Layout, Snapshot } from './layout.js';
import { relax } from './relax.js';

export interface Squeezed {
  /** The shortest layout without overlap that was found. */
  readonly best: Snapshot | undefined;
  /** Pairs looked at, as `relax` counts them. */
  readonly looked: number;
}

/**
 * Compaction and separation in one: the shortest strip between `shortest` and `longest` in which pushing
 * overlapping pieces apart, all at once, leaves no overlap, by steps from the layout as it stands. Pieces
 * keep their neighbours (the aim of the linear programs of Gomes and Oliveira 2006, reached by relaxation),
 * so this costs as little as a few passes of the search, and closes what single moves leave open.
 */
export function squeeze(
  layout: Layout,
  shortest: number,
  longest: number,
  trials: number,
  sweeps: number,
): Squeezed {
  let looked = 0;
  const fits = (length: number): boolean => {
    layout.length = length;
    looked += relax(layout, sweeps);
    return layout.total() === 0;
  };
  if (!fits(longest)) return { best: undefined, looked };
  let best = layout.save();
  // A long shift may fail, pieces being pushed past one another, where several short ones succeed.
  let step = best.length - shortest;
  for (let trial = 0; trial < trials && best.length > shortest; trial++) {
    layout.load(best);
    if (fits(Math.max(shortest, best.length - step))) best = layout.save();
    else step /= 2;
  }
  layout.load(best);
  return { best, looked };
}
