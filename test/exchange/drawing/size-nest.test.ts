import { describe, expect, it } from 'vitest';
import { nestNote, sizeNest } from '../../../src/exchange/drawing/size-nest.js';
import { sizeNestSvg } from '../../../src/exchange/svg.js';
import { area } from '../../../src/geometry/polygon.js';
import { distance } from '../../../src/geometry/vec.js';
import { gradePattern } from '../../../src/grade/index.js';
import { pieceArea, pieceOf, pointOf } from '../../../src/pattern/model.js';
import { EVERY_INCREMENT, SIZES, samplePattern, specOf } from '../../grade/helpers.js';

const range = gradePattern(samplePattern(), specOf({ increments: EVERY_INCREMENT }));

describe('a size nest', () => {
  it('holds the sewing line of every size, with a look of its own', () => {
    const nest = sizeNest(range, 'front');
    expect(nest.sizes.map((s) => s.size)).toEqual(SIZES);
    expect(nest.sizes.filter((s) => s.isBase).map((s) => s.size)).toEqual(['M']);
    for (const { size, ring } of nest.sizes) {
      const { pattern } = range.sizes.find((s) => s.size === size)!;
      expect(area(ring) / pieceArea(pieceOf(pattern, 'front'))).toBeCloseTo(1, 3);
    }
    const looks = nest.sizes.map(({ look }) => `${look.colour} ${look.dash.join(' ')}`);
    expect(new Set(looks).size).toBe(SIZES.length);
    expect(new Set(nest.sizes.map(({ look }) => look.dash.join(' '))).size).toBe(SIZES.length);
  });

  it.each([
    ['back', 'neck-point'],
    ['front', 'side-hem'],
    ['sleeve', 'crown'],
  ])('stacks all sizes of %s at %s, where the base has it', (piece, point) => {
    const nest = sizeNest(range, piece, { stack: point });
    const home = pointOf(pieceOf(samplePattern(), piece), point);
    expect(distance(nest.stack!.at, home)).toBeLessThan(1e-9);
    for (const { ring } of nest.sizes) {
      expect(Math.min(...ring.map((p) => distance(p, home)))).toBeLessThan(1e-9);
    }
    expect(nestNote(nest)).toContain(`stacked at ${point}`);
  });

  it('keeps the frame of the piece when it is stacked nowhere: the fold of every size on one line', () => {
    for (const { fold } of sizeNest(range, 'back').sizes) expect(fold!.map((p) => p[0])).toEqual([0, 0]);
  });

  it('marks in the drawing where the sizes meet', () => {
    const plain = sizeNestSvg(range, 'back');
    const stacked = sizeNestSvg(range, 'back', { stack: 'neck-point' });
    expect(plain).not.toContain('class="NOTE" d="');
    expect(stacked.match(/<path class="NOTE"/g)).toHaveLength(2);
    expect(stacked).toContain('stacked at neck-point');
  });

  it('refuses a point the piece lacks, with the nearest one', () => {
    expect(() => sizeNest(range, 'back', { stack: 'neckpoint' })).toThrow(
      expect.objectContaining({ mend: "did you mean 'neck-point'?" }),
    );
  });
});
