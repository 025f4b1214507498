import type { FieldPools } from '../../src/nest/fields.js';
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

/** The no-fit tables of a problem. */
export const poolsOf = (problem: Problem): FieldPools => outcome(buildTables(problem));

/** The no-fit tables of the mixed shapes. */
export const mixedPools = (): FieldPools => poolsOf(createProblem(mixed));
