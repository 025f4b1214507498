import { InputError, suggest } from '../errors.js';

/** A size that lies between two neighbouring sizes of the ladder, at a share of the way up. */
export interface HalfSize {
  readonly from: string;
  readonly to: string;
  readonly share: number;
}

/** Sizes from the smallest to the largest, half sizes in their places, and the one the pattern was drawn in. */
export interface Ladder {
  readonly sizes: readonly string[];
  readonly base: string;
  /** Which of the sizes are half sizes. They have no step of their own. */
  readonly halves?: Readonly<Record<string, HalfSize>>;
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
 * A half size stands between its neighbours by its share. A base that is a half size lies inside the step of
 * `step` itself: breaks at the size above it and the size below it change that step and the one below.
 *
 * @throws InputError when a break names an unknown size, a half size, or the smallest size, below which there
 *   is no step.
 */
export function growthBySize(ladder: Ladder, increment: Increment, path = ''): readonly number[] {
  const whole = wholeSizes(ladder);
  const half = ladder.halves?.[ladder.base];
  const growth = wholeGrowth({ sizes: whole, base: half?.from ?? ladder.base }, ladder, increment, path);
  return betweenSizes(ladder, (size) => growth[whole.indexOf(size)]!);
}

/**
 * A value of every size against the base from the values of the whole sizes: a half size takes its share of
 * the difference between its neighbours.
 */
export function betweenSizes(ladder: Ladder, ofWhole: (wholeSize: string) => number): number[] {
  const at = (size: string): number => {
    const half = ladder.halves?.[size];
    if (!half) return ofWhole(size);
    const low = ofWhole(half.from);
    return low + (ofWhole(half.to) - low) * half.share;
  };
  const origin = at(ladder.base);
  return ladder.sizes.map((size) => (size === ladder.base ? 0 : at(size) - origin));
}

/** Steps of every size from the base: whole numbers for whole sizes on a whole base. */
export function stepsFromBase(ladder: Ladder): number[] {
  const whole = wholeSizes(ladder);
  return betweenSizes(ladder, (size) => whole.indexOf(size));
}

/** Sizes that have a step of their own, in order. */
export const wholeSizes = (ladder: Ladder): string[] =>
  ladder.sizes.filter((size) => ladder.halves?.[size] === undefined);

/** @throws InputError when the base is not among the sizes. */
export function baseIndex(ladder: Ladder): number {
  const index = ladder.sizes.indexOf(ladder.base);
  if (index >= 0) return index;
  throw new InputError(`the base size '${ladder.base}' is not among the sizes`, {
    mend: suggest(ladder.base, ladder.sizes),
  });
}

/**
 * The ladder with half sizes put in their places.
 *
 * @throws InputError when a half size is there already, or does not lie between two neighbouring whole sizes.
 */
export function withHalves(
  sizes: readonly string[],
  halves: Readonly<Record<string, HalfSize>>,
  path = 'grade.half-sizes',
): string[] {
  const inserts = sizes.map((): [number, string][] => []);
  for (const [name, { from, to, share }] of Object.entries(halves)) {
    const place = { path: `${path}.${name}` };
    if (sizes.includes(name)) throw new InputError(`size '${name}' is listed twice`, { place });
    for (const size of [from, to]) {
      if (sizes.includes(size)) continue;
      throw new InputError(`half size '${name}' lies beside the unknown size '${size}'`, {
        mend: suggest(size, sizes),
        place,
      });
    }
    const at = sizes.indexOf(from);
    if (sizes.indexOf(to) !== at + 1) {
      throw new InputError(`half size '${name}' must lie between two neighbouring sizes, the smaller first`, {
        mend: `the sizes are ${sizes.join(', ')}`,
        place,
      });
    }
    inserts[at]!.push([share, name]);
  }
  return sizes.flatMap((size, i) => [size, ...inserts[i]!.sort(([a], [b]) => a - b).map(([, name]) => name)]);
}

function wholeGrowth(ladder: Ladder, named: Ladder, increment: Increment, path: string): number[] {
  const base = baseIndex(ladder);
  const breaks = breakIndices(ladder, named, increment, path);
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

function breakIndices(
  { sizes }: Ladder,
  named: Ladder,
  increment: Increment,
  path: string,
): Map<number, number> {
  const indices = new Map<number, number>();
  for (const [size, step] of Object.entries(increment.breaks)) {
    const place = { path: path ? `${path}.breaks.${size}` : `breaks.${size}` };
    const half = named.halves?.[size];
    if (half) {
      throw new InputError(`a break cannot stand at the half size '${size}', inside a step`, {
        mend: `name the size above it, '${half.to}'`,
        place,
      });
    }
    const index = sizes.indexOf(size);
    if (index < 0) {
      throw new InputError(`a break names the unknown size '${size}'`, {
        mend: suggest(size, sizes),
        place,
      });
    }
    if (index === 0) {
      throw new InputError(`a break at '${size}' changes nothing: no step lies below the smallest size`, {
        mend: `name the larger size of the step, from '${sizes[1] ?? size}' on`,
        place,
      });
    }
    indices.set(index, step);
  }
  return indices;
}
