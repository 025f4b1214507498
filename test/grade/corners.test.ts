import { describe, expect, it } from 'vitest';
import { turnBetween } from '../../src/geometry/path.js';
import { keepCorners, seamEdges } from '../../src/grade/corners.js';
import { gradePattern, joinFailures, trueRange } from '../../src/grade/index.js';
import { edgeOf, type Pattern, pieceOf } from '../../src/pattern/model.js';
import { movePoints } from '../../src/pattern/reshape.js';
import { EVERY_INCREMENT, samplePattern, specOf } from './helpers.js';

const base = samplePattern();
const CORNERS = [
  ['side', 'armhole'],
  ['armhole', 'shoulder'],
  ['shoulder', 'neckline'],
  ['neckline', 'fold'],
] as const;

const turns = (pattern: Pattern, piece: string) =>
  CORNERS.map(([a, b]) => {
    const of = (name: string) => edgeOf(pieceOf(pattern, piece), name).path;
    return turnBetween(of(a), of(b));
  });

describe('corners of a graded piece', () => {
  it('keep their angles in every size, so that no join becomes rougher than in the base', () => {
    const range = gradePattern(base, specOf({ increments: EVERY_INCREMENT }));
    const rough = joinFailures(trueRange(gradePattern(base, specOf({}))));
    const roughInBase = new Set(rough.map((j) => j.join));
    for (const { pattern } of range.sizes) {
      for (const piece of ['back', 'front']) {
        turns(pattern, piece).forEach((turn, i) => {
          expect(turn).toBeCloseTo(turns(base, piece)[i]!, 9);
        });
      }
    }
    const sideOrShoulder = joinFailures(trueRange(range)).filter((j) => !j.join.includes('side-hem'));
    expect(sideOrShoulder.filter((j) => !roughInBase.has(j.join))).toEqual([]);
  });

  it('leave edges alone that are sewn to one other edge', () => {
    const back = pieceOf(base, 'back');
    const moved = movePoints(back, new Map([['underarm', [40, 0] as const]]));
    const kept = keepCorners(back, moved, seamEdges(base, 'back'));
    expect(edgeOf(kept, 'side')).toEqual(edgeOf(moved, 'side'));
    expect(edgeOf(kept, 'armhole')).not.toEqual(edgeOf(moved, 'armhole'));
  });

  it('know seam edges by their seams: one against one, length for length', () => {
    expect([...seamEdges(base, 'back')].sort()).toEqual(['shoulder', 'side']);
    expect([...seamEdges(base, 'band')]).toEqual([]);
  });
});
