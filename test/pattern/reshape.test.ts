import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { cubic, end, endDirection, line, start, startDirection } from '../../src/geometry/path.js';
import type { Vec } from '../../src/geometry/vec.js';
import { edgeOf, pieceArea, pieceOf, pointOf, pointsOf } from '../../src/pattern/model.js';
import { carry, movePoints } from '../../src/pattern/reshape.js';
import { block } from '../bodies.js';

/** Sixteenths of a millimetre, so that sums are exact in binary. */
const step = fc.integer({ min: -480, max: 480 }).map((n) => n / 16);

describe('carry', () => {
  const quarter = cubic([100, 0], [100, 55], [55, 100], [0, 100]);

  it('keeps upright and level tangents and lands on its new ends', () => {
    fc.assert(
      fc.property(step, step, step, step, (ax, ay, bx, by) => {
        const from: Vec = [100 + ax, ay];
        const to: Vec = [bx, 100 + by];
        const carried = carry([quarter], from, to);
        expect(start(carried)).toEqual(from);
        expect(end(carried)).toEqual(to);
        expect(startDirection(carried)[0]).toBeCloseTo(0, 9);
        expect(endDirection(carried)[1]).toBeCloseTo(0, 9);
      }),
    );
  });

  it('spreads by arc length where an axis has no extent', () => {
    const upright = [line([50, 0], [50, 40]), line([50, 40], [50, 100])];
    const carried = carry(upright, [50, 0], [60, 100]);
    expect(carried[0]!.b).toEqual([54, 40]);
  });

  it('is the identity for ends that do not move', () => {
    expect(carry([quarter], [100, 0], [0, 100])).toEqual([quarter]);
  });
});

describe('movePoints', () => {
  it('moves named points exactly, keeps names and closes the loop', () => {
    const piece = pieceOf(block(), 'back');
    fc.assert(
      fc.property(step, step, (dx, dy) => {
        const moved = movePoints(
          piece,
          new Map<string, Vec>([
            ['underarm', [dx, dy]],
            ['waist', [-dx, 0]],
          ]),
        );
        const [ux, uy] = pointOf(piece, 'underarm');
        expect(pointOf(moved, 'underarm')).toEqual([ux + dx, uy + dy]);
        expect(pointOf(moved, 'waist')[0]).toBeCloseTo(pointOf(piece, 'waist')[0] - dx, 9);
        expect([...pointsOf(moved).keys()]).toEqual([...pointsOf(piece).keys()]);
        expect(edgeOf(moved, 'neckline')).toEqual(edgeOf(piece, 'neckline'));
      }),
    );
  });

  it('there and back again is the piece that was', () => {
    const piece = pieceOf(block(), 'front');
    const there = movePoints(piece, new Map<string, Vec>([['shoulder-tip', [5, -3]]]));
    const back = movePoints(there, new Map<string, Vec>([['shoulder-tip', [-5, 3]]]));
    expect(pieceArea(back)).toBeCloseTo(pieceArea(piece), 6);
  });
});
