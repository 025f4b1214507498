import { describe, expect, it } from 'vitest';
import { placedShapes } from '../../../src/exchange/drawing/marker.js';
import { pieceShapes } from '../../../src/exchange/drawing/piece.js';
import { lineWidth, type Shape } from '../../../src/exchange/drawing/shapes.js';
import { FINISH_DEFAULTS, finishPiece, NO_SHRINKAGE } from '../../../src/finish/index.js';
import { contains, distanceToSegment } from '../../../src/geometry/polygon.js';
import { type Piece, pieceOf, type Stretch } from '../../../src/pattern/model.js';
import { block } from '../../bodies.js';
import { sampleMarker } from '../sample.js';

const finished = (name: string, stretch?: Stretch) => {
  const piece: Piece = { ...pieceOf(block(), name), ...(stretch ? { stretch } : {}) };
  return finishPiece(piece, 'M', FINISH_DEFAULTS, NO_SHRINKAGE);
};
const words = (shapes: readonly Shape[]) =>
  shapes.flatMap((s) => (s.kind === 'text' && s.text.startsWith('stretch') ? [s] : []));
const arrows = (shapes: readonly Shape[]) =>
  shapes.flatMap((s) => (s.kind === 'stroke' && s.layer === 'STRETCH' ? [s] : []));

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
        expect(arrows(plain)).toEqual([]);
        const added = arrows(shapes);
        expect(added).toHaveLength(3);
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

  it.each(['course', 'wale'] as const)(
    'lies along the %s in a marker too, however the piece is turned, and its words are upright',
    (along) => {
      const marker = sampleMarker();
      for (const placed of marker.pieces.filter((p) => ['front', 'sleeve'].includes(p.piece.name))) {
        const shapes = placedShapes(marker, {
          ...placed,
          piece: { ...placed.piece, stretch: { along, percent: 30 } },
        });
        const [arrow, ...heads] = arrows(shapes);
        expect(heads).toHaveLength(2);
        const [a, b] = arrow!.points as [readonly [number, number], readonly [number, number]];
        // Along the marker run the wales.
        expect(Math.abs(along === 'wale' ? a[1] - b[1] : a[0] - b[0])).toBeLessThan(1e-6);
        for (const { points } of [arrow!, ...heads])
          for (const p of points) expect(contains(placed.outline, p)).toBe(true);
        const [text] = words(shapes);
        expect([0, 90]).toContain(Math.round(text!.angle));
        // Words as long as their letters, which no line of the grain meets.
        const [ux, uy] = along === 'wale' ? [1, 0] : [0, 1];
        const samples = Array.from({ length: 21 }, (_, k) => (k / 20) * lineWidth(text!.text) * text!.height);
        for (const s of shapes) {
          if (s.kind !== 'stroke' || s.layer !== 'GRAIN') continue;
          s.points.slice(1).forEach((q, i) => {
            for (const d of samples) {
              const p = [text!.at[0] + ux * d, text!.at[1] + uy * d] as const;
              expect(distanceToSegment(p, s.points[i]!, q)).toBeGreaterThan(text!.height * 0.5);
            }
          });
        }
      }
    },
  );
});
