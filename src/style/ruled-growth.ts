import type { GradePart } from '../grade/schema.js';
import { type MeasureTerm, type Pattern, pieceOf, pointsOf } from '../pattern/model.js';

/**
 * The pattern with the growth of those points of measure left open that explicit rules move: what a rule does to
 * a measure is observed, no increment says what it should be. Without increments that holds for all of them.
 */
export function withRuledGrowth(pattern: Pattern, grade: GradePart): Pattern {
  const stated = grade.preset !== undefined || Object.keys(grade.increments).length > 0;
  const measures = pattern.measures.map((measure) => {
    if (!measure.grows || (stated && !measure.terms.some((term) => isRuled(pattern, term, grade))))
      return measure;
    const { grows: _, ...seen } = measure;
    return seen;
  });
  return { ...pattern, measures };
}

function isRuled(pattern: Pattern, term: MeasureTerm, { rules }: GradePart): boolean {
  const points =
    term.kind === 'span' ? [term.from, term.to] : [...pointsOf(pieceOf(pattern, term.piece)).keys()];
  return points.some((point) => Object.hasOwn(rules, `${term.piece}.${point}`));
}
