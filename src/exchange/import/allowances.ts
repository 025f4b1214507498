import { directionAt, length, pointAt } from '../../geometry/path.js';
import { cross, perp, scale, sub, type Vec } from '../../geometry/vec.js';
import type { BuiltPiece } from './build-piece.js';
import type { Allowances } from './source.js';

/** Allowances that agree within this are one, mm. */
const SAME = 0.25;
const SAMPLES = 9;

/**
 * The allowance of every edge where a file has sewing and cut line both: the distance between them square to the
 * sewing line, in the middle of several places. What most edges have becomes the default. An edge whose allowance
 * changes along it is told.
 */
export function measuredAllowances(built: readonly BuiltPiece[]): { found: Allowances; notes: string[] } {
  const notes: string[] = [];
  const byEdge: [string, number][] = [];
  for (const { piece, found } of built) {
    const { cut } = found;
    if (!cut) continue;
    for (const edge of piece.edges) {
      if (edge.name === piece.fold) continue;
      const total = length(edge.path);
      const widths = Array.from({ length: SAMPLES }, (_, k) => {
        const at = (total * (k + 1)) / (SAMPLES + 1);
        return reach(pointAt(edge.path, at), scale(perp(directionAt(edge.path, at)), -1), cut);
      }).filter((w) => w !== undefined);
      if (widths.length === 0) continue;
      widths.sort((a, b) => a - b);
      const middle = widths[widths.length >> 1]!;
      byEdge.push([`${piece.name}.${edge.name}`, Math.round(middle * 100) / 100]);
      if (widths[widths.length - 1]! - widths[0]! > 4 * SAME) {
        notes.push(
          `the allowance of '${piece.name}.${edge.name}' runs from ${widths[0]!.toFixed(1)} to ${widths[widths.length - 1]!.toFixed(1)} mm: ${middle.toFixed(1)} mm is taken`,
        );
      }
    }
  }
  if (byEdge.length === 0) {
    notes.push(
      'the file has no sewing lines: its boundary is taken for them, and allowances are added under finish',
    );
    return { found: { edges: {} }, notes };
  }
  const count = (mm: number) => byEdge.filter(([, other]) => Math.abs(other - mm) <= SAME).length;
  const usual = byEdge.map(([, mm]) => mm).reduce((best, mm) => (count(mm) > count(best) ? mm : best));
  const others = byEdge.filter(([, mm]) => Math.abs(mm - usual) > SAME);
  notes.push(`allowances were measured between sewing and cut lines: ${usual} mm for most edges`);
  return { found: { default: usual, edges: Object.fromEntries(others) }, notes };
}

/** Distance along a ray to the nearest side of a polygon, mm. */
function reach(from: Vec, along: Vec, polygon: readonly Vec[]): number | undefined {
  let nearest: number | undefined;
  polygon.forEach((a, i) => {
    const side = sub(polygon[(i + 1) % polygon.length]!, a);
    const turn = cross(along, side);
    if (turn === 0) return;
    const t = cross(sub(a, from), side) / turn;
    const share = cross(sub(a, from), along) / turn;
    if (t < -1e-6 || share < -1e-9 || share > 1 + 1e-9) return;
    if (nearest === undefined || t < nearest) nearest = Math.max(0, t);
  });
  return nearest;
}
