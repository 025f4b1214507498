import { describe, expect, it } from 'vitest';
import { pieceShapes } from '../../../src/exchange/drawing/piece.js';
import type { Shape } from '../../../src/exchange/drawing/shapes.js';
import { FINISH_DEFAULTS, finishPiece, NO_SHRINKAGE } from '../../../src/finish/index.js';
import { contains } from '../../../src/geometry/polygon.js';
import { type Piece, pieceOf, type Stretch } from '../../../src/pattern/model.js';
import { block } from '../../bodies.js';

const finished = (name: string, stretch?: Stretch) => {
  const piece: Piece = { ...pieceOf(block(), name), ...(stretch ? { stretch } : {}) };
  return finishPiece(piece, 'M', FINISH_DEFAULTS, NO_SHRINKAGE);
};
const words = (shapes: readonly Shape[]) =>
  shapes.flatMap((s) => (s.kind === 'text' && s.text.startsWith('stretch') ? [s] : []));

describe('the stretch of a piece, drawn', () => {
  it.each(['course', 'wale'] as const)(
    'is an arrow with two heads along the %s, inside the piece',
    (along) => {
      for (const name of ['front', 'back', 'sleeve']) {
        const piece = finished(name, { along, percent: 30 });
        const plain = pieceShapes(finished(name));
        const shapes = pieceShapes(piece);
        expect(words(plain)).toEqual([]);
        const [text] = words(shapes);
        expect(text!.text).toBe('stretch 30 %');
        expect(contains(piece.sew, text!.at)).toBe(true);
        const grain = (list: readonly Shape[]) =>
          list.flatMap((s) => (s.kind === 'stroke' && s.layer === 'GRAIN' ? [s] : []));
        const added = grain(shapes).slice(-3);
        expect(grain(shapes)).toHaveLength(grain(plain).length + 3);
        const [a, b] = added[0]!.points as [readonly [number, number], readonly [number, number]];
        expect(Math.abs(along === 'course' ? a[1] - b[1] : a[0] - b[0])).toBeLessThan(1e-9);
        for (const { points } of added) for (const p of points) expect(contains(piece.sew, p)).toBe(true);
      }
    },
  );

  it('is left out where a piece has no room for it', () => {
    const piece = finished('sleeve', { along: 'course', percent: 30 });
    const small = (p: readonly [number, number]) => [p[0] / 60, p[1] / 60] as const;
    const tiny = {
      ...piece,
      cut: piece.cut.map(small),
      sew: piece.sew.map(small),
      label: { at: [0, 0] as const, radius: 1 },
    };
    expect(words(pieceShapes({ ...tiny, notches: [], internals: [] }))).toEqual([]);
  });
});
