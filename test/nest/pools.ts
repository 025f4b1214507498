import type { FieldPools } from '../../src/nest/fields.js';
import type { Snapshot } from '../../src/nest/layout.js';
import { buildTables } from '../../src/nest/pairs.js';
import { createProblem, type Problem } from '../../src/nest/problem.js';
import { mixed } from './shapes.js';

/** What a generator returns in the end. */
export function outcome<T>(steps: Generator<unknown, T, void>): T {
  for (;;) {
    const step = steps.next();
    if (step.done) return step.value;
  }
}

/** Where copies lie: of a layout or one that was saved. */
type Lying = Pick<Snapshot, 'x' | 'y' | 'variant'>;

/** The copies that lie otherwise in one layout than in another. */
export const movedCopies = (from: Lying, to: Lying): number[] =>
  [...from.x.keys()].filter(
    (i) => to.x[i] !== from.x[i] || to.y[i] !== from.y[i] || to.variant[i] !== from.variant[i],
  );

/** The no-fit tables of a problem. */
export const poolsOf = (problem: Problem): FieldPools => outcome(buildTables(problem));

/** The no-fit tables of the mixed shapes. */
export const mixedPools = (): FieldPools => poolsOf(createProblem(mixed));
