import { InputError, suggest } from '../errors.js';

/** Sizes from the smallest to the largest, and the one the pattern was drawn in. */
export interface Ladder {
  readonly sizes: readonly string[];
  readonly base: string;
}

/** Growth per size step, mm, and the sizes at which the step changes. */
export interface Increment {
  readonly step: number;
  readonly breaks: Readonly<Record<string, number>>;
}

/**
 * Growth of every size against the base, mm, in the order of the ladder; 0 at the base, negated below it.
 *
 * A step lies between two neighbouring sizes and is named by the larger one. A break at a size above the base
 * sets the step into that size and every step above it; a break at the base or below sets the step that
 * leaves that size downwards and every step below it:
 *
 *     sizes   XS    S    M    L    XL   2XL          base M, step 2, breaks { S: 1, XL: 3 }
 *     step       1    2    2    3    3
 *     growth  -3   -2    0    2    5    8
 *
 * @throws InputError when a break names an unknown size, or the smallest one, below which there is no step.
 */
export function growthBySize(ladder: Ladder, increment: Increment, path = ''): readonly number[] {
  const base = baseIndex(ladder);
  const breaks = breakIndices(ladder, increment, path);
  const growth = ladder.sizes.map(() => 0);
  let step = increment.step;
  for (let i = base + 1; i < growth.length; i++) {
    step = breaks.get(i) ?? step;
    growth[i] = growth[i - 1]! + step;
  }
  step = increment.step;
  for (let i = base; i > 0; i--) {
    step = breaks.get(i) ?? step;
    growth[i - 1] = growth[i]! - step;
  }
  return growth;
}

/** @throws InputError when the base is not among the sizes. */
export function baseIndex(ladder: Ladder): number {
  const index = ladder.sizes.indexOf(ladder.base);
  if (index >= 0) return index;
  throw new InputError(`the base size '${ladder.base}' is not among the sizes`, {
    mend: suggest(ladder.base, ladder.sizes),
  });
}

function breakIndices(ladder: Ladder, increment: Increment, path: string): Map<number, number> {
  const indices = new Map<number, number>();
  for (const [size, step] of Object.entries(increment.breaks)) {
    const place = { path: path ? `${path}.breaks.${size}` : `breaks.${size}` };
    const index = ladder.sizes.indexOf(size);
    if (index < 0) {
      throw new InputError(`a break names the unknown size '${size}'`, {
        mend: suggest(size, ladder.sizes),
        place,
      });
    }
    if (index === 0) {
      throw new InputError(`a break at '${size}' changes nothing: no step lies below the smallest size`, {
        mend: `name the larger size of the step, from '${ladder.sizes[1] ?? size}' on`,
        place,
      });
    }
    indices.set(index, step);
  }
  return indices;
}
