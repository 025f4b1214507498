import type { Field } from '../../src/nest/field.js';
import { type FieldPools, packFields } from '../../src/nest/fields.js';
import { buildPair, planPairs } from '../../src/nest/pairs.js';
import { createProblem, type Problem } from '../../src/nest/problem.js';
import { mixed } from './shapes.js';

/** The no-fit tables of a problem. */
export function poolsOf(problem: Problem): FieldPools {
  const plan = planPairs(problem);
  const tables: Field[] = new Array(plan.tables);
  for (const job of plan.jobs) {
    buildPair(problem, job).forEach((field, k) => {
      tables[job.frames[k]![1]] = field;
    });
  }
  return packFields(tables, plan.code, problem.variants.length, problem.cell, problem.gap, false);
}

/** The no-fit tables of the mixed shapes. */
export const mixedPools = (): FieldPools => poolsOf(createProblem(mixed));
