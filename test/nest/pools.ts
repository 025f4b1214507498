import type { FieldPools } from '../../src/nest/fields.js';
import { buildTables } from '../../src/nest/pairs.js';
import { createProblem, type Problem } from '../../src/nest/problem.js';
import { mixed } from './shapes.js';

/** The no-fit tables of a problem. */
export function poolsOf(problem: Problem): FieldPools {
  for (const building = buildTables(problem); ; ) {
    const step = building.next();
    if (step.done) return step.value;
  }
}

/** The no-fit tables of the mixed shapes. */
export const mixedPools = (): FieldPools => poolsOf(createProblem(mixed));
