import { describe, expect, it } from 'vitest';
import { area, perimeter } from '../../src/geometry/polygon.js';
import { consumption, type Fabric, layMarker } from '../../src/lay/index.js';
import { fabricContent } from '../../src/plan/content.js';
import { quickEstimate } from '../../src/plan/estimate.js';
import { clothCost, clothOf, factsOf, layersOf } from '../../src/plan/pricing.js';
import { cutPiece, LAY } from '../lay/samples.js';
import { CLOTH, END_TO_END, orderOf, taskOf } from './samples.js';

const bar = (length: number, width: number): [number, number][] => [
  [0, 0],
  [width, 0],
  [width, length],
  [0, length],
];
const PIECES = [
  cutPiece('body', bar(500, 300), { counts: { asDrawn: 2, mirrored: 0 } }),
  cutPiece('sleeve', bar(400, 200), { counts: { asDrawn: 1, mirrored: 1 } }),
  cutPiece('neckband', bar(40, 350), { counts: { asDrawn: 1, mirrored: 0 } }),
];
const OPTIONS = { ...LAY, endAllowance: 25 };
const FABRICS: readonly Fabric[] = [
  { ...CLOTH, fullWidth: 1040, relaxationLoss: 2 },
  { ...CLOTH, mode: 'tubular', relaxationLoss: 1 },
  { ...CLOTH, usableWidth: 1600, fullWidth: 1660, mode: 'folded' },
  { ...CLOTH, mode: 'face-to-face' },
];

describe('what a ply is reckoned at', () => {
  for (const fabric of FABRICS) {
    it(`is what the lay room says of the laid marker, ${fabric.mode}`, async () => {
      const spec = { name: 'm', style: 's', pieces: PIECES, fabric, ratio: { M: 2 }, options: OPTIONS };
      const marker = await layMarker(spec, { iterations: 1, threads: 0 });
      const used = consumption(marker);
      const cloth = clothOf(fabric, OPTIONS, marker.length);
      expect(cloth.metres).toBeCloseTo(used.rollLength, 9);
      expect(cloth.squareMetres).toBeCloseTo(used.area, 9);
      expect(cloth.kilograms).toBeCloseTo(used.mass, 9);
      expect(clothCost(cloth, fabric)).toBeCloseTo(used.cost!, 9);
      const { pricePerMetre: _, ...unpriced } = fabric;
      const byWeight = { ...unpriced, pricePerKilogram: 12 };
      expect(clothCost(cloth, byWeight)).toBeCloseTo(consumption({ ...marker, fabric: byWeight }).cost!, 9);
      expect(layersOf(fabric)).toBe(marker.layers);
    });

    it(`counts the pieces, areas and cut lines that are placed, ${fabric.mode}`, async () => {
      const content = fabricContent(PIECES, fabric, OPTIONS, ['M']);
      const spec = { name: 'm', style: 's', pieces: PIECES, fabric, ratio: { M: 4 }, options: OPTIONS };
      const marker = await layMarker(spec, { iterations: 1, threads: 0 });
      const facts = factsOf(content, [4]);
      expect(facts.pieces).toBe(marker.pieces.length);
      expect(facts.area).toBeCloseTo(
        marker.pieces.reduce((sum, p) => sum + area(p.outline), 0),
        3,
      );
      expect(facts.cutLength).toBeCloseTo(
        marker.pieces.reduce((sum, p) => sum + perimeter(p.outline), 0),
        3,
      );
      expect(facts.width).toBe(marker.width);
      expect(facts.longest).toBeCloseTo(500, 6);
    });
  }
});

describe('a quick estimate', () => {
  it('reckons the order as if cut in the largest marker, and the rectangles beside it', () => {
    const task = taskOf(
      { S: 700, M: 800 },
      { thicknesses: 9, garments: 4, tableLength: 3300 },
      {},
      {},
      { endAllowance: 50 },
    );
    const pieces = ['S', 'M'].map((size) =>
      cutPiece('body', bar(size === 'S' ? 700 : 800, 1000), { size, counts: { asDrawn: 1, mirrored: 0 } }),
    );
    const found = quickEstimate(
      task,
      orderOf(['S', 'M'], { navy: [10, 10], oat: [0, 20] }),
      END_TO_END,
      pieces,
    );
    // Four garments, one S to three M, make 3.1 m of pieces and two ends of 5 cm.
    expect(found.marker).toEqual({ garments: 4, sizes: 2, length: 3100 });
    expect(found.garments).toBe(40);
    expect(found.cloth.metres).toBeCloseTo((31 * 3.2) / 3.1, 9);
    expect(found.metresPerGarment).toBeCloseTo(3.2 / 4, 9);
    expect(found.cost).toBeCloseTo(10 * found.cloth.metres, 9);
    // 31 m2 of rectangles at 200 g/m2 and 10 % waste, on cloth a metre wide.
    expect(found.rectangles.kilograms).toBeCloseTo(31 * 0.2 * 1.1, 9);
    expect(found.rectangles.metres).toBeCloseTo(31 * 1.1, 9);
  });
});
