import { describe, expect, it, vi } from 'vitest';
import { laidOutline, layMarker } from '../../src/lay/index.js';
import type { Fabric } from '../../src/lay/types.js';
import { bandPiece, bodyPiece, sleevePiece, TERRY } from '../exchange/sample.js';

vi.setConfig({ testTimeout: 60_000 });

const PIECES = [bodyPiece('M'), sleevePiece('M'), bandPiece('M')];
const OPTIONS = { gap: 2, sideMargin: 7.3, endMargin: 3.1, endAllowance: 20, onFold: 'all' } as const;

describe('the outline of a piece put back where it was laid', () => {
  it.each(['single', 'face-to-face', 'folded', 'tubular'] as const)(
    'is the same to the last digit, halves on a fold too (%s)',
    async (mode) => {
      const fabric: Fabric = { ...TERRY, name: 'self', mode, orientation: 'either-way', usableWidth: 1650 };
      const marker = await layMarker(
        { name: 'm', style: 's', pieces: PIECES, fabric, ratio: { M: 1 }, options: OPTIONS },
        { iterations: 1, threads: 0 },
      );
      for (const placed of marker.pieces) expect(laidOutline(placed)).toEqual(placed.outline);
      expect(marker.pieces.some((p) => p.fold !== undefined)).toBe(mode === 'folded' || mode === 'tubular');
    },
  );

  it('holds for pieces that lie off the grain too', async () => {
    const fabric: Fabric = { ...TERRY, name: 'self', orientation: 'either-way' };
    const marker = await layMarker(
      { name: 'm', style: 's', pieces: PIECES, fabric, ratio: { M: 2 }, options: { ...OPTIONS, tilt: 3 } },
      { iterations: 2, threads: 0 },
    );
    for (const placed of marker.pieces) {
      laidOutline(placed).forEach(([x, y], i) => {
        expect(x).toBeCloseTo(placed.outline[i]![0], 8);
        expect(y).toBeCloseTo(placed.outline[i]![1], 8);
      });
    }
  });
});
