import { length } from '../geometry/path.js';
import { distance } from '../geometry/vec.js';
import {
  type EdgeUse,
  edgeOf,
  type MeasureTerm,
  type Pattern,
  type PointOfMeasure,
  pieceOf,
  pointOf,
} from './model.js';

/** Value of a point of measure, mm, from the geometry. Throws InputError on an unknown piece, edge or point. */
export function measure(pattern: Pattern, point: PointOfMeasure): number {
  const on = point.on === 'construction' ? (pattern.construction ?? pattern) : pattern;
  return point.terms.reduce((sum, term) => sum + termLength(on, term), 0);
}

/** Total length (mm) of the edges that meet on one side of a seam. */
export const usedLength = (pattern: Pattern, uses: readonly EdgeUse[]): number =>
  uses.reduce((sum, use) => sum + edgeLength(pattern, use.piece, use.edge) * use.times, 0);

export const edgeLength = (pattern: Pattern, piece: string, edge: string): number =>
  length(edgeOf(pieceOf(pattern, piece), edge).path);

/** Length (mm) of the edge of that name on the front and on the back. */
export const frontAndBack = (pattern: Pattern, edge: string): { front: number; back: number } => ({
  front: edgeLength(pattern, 'front', edge),
  back: edgeLength(pattern, 'back', edge),
});

function termLength(pattern: Pattern, term: MeasureTerm): number {
  if (term.kind === 'edge') return edgeLength(pattern, term.piece, term.edge) * term.times;
  const piece = pieceOf(pattern, term.piece);
  const a = pointOf(piece, term.from);
  const b = pointOf(piece, term.to);
  const spans = { x: Math.abs(b[0] - a[0]), y: Math.abs(b[1] - a[1]), direct: distance(a, b) };
  return spans[term.axis] * term.times;
}
