import { describe, expect, it } from 'vitest';
import { InputError } from '../../src/errors.js';
import { line } from '../../src/geometry/path.js';
import { measure, usedLength } from '../../src/pattern/measure.js';
import {
  edgeOf,
  type PointOfMeasure,
  pieceOf,
  pointOf,
  withEdge,
  withPiece,
  withSeam,
} from '../../src/pattern/model.js';
import { walkJoins, walkSeam, walkSeams } from '../../src/pattern/walk.js';
import { BODY, block } from '../bodies.js';

describe('walkSeams', () => {
  it('finds a drafted block true, and the very seam that a longer shoulder breaks', () => {
    const pattern = block();
    expect(walkSeams(pattern).filter((w) => !w.matches)).toEqual([]);
    const front = pieceOf(pattern, 'front');
    const tip = pointOf(front, 'shoulder-tip');
    const neck = pointOf(front, 'neck-point');
    const longer = withEdge(front, {
      ...edgeOf(front, 'shoulder'),
      path: [line([tip[0] + 0.7, tip[1]], neck)],
    });
    const broken = walkSeams(withPiece(pattern, longer)).filter((w) => !w.matches);
    expect(broken.map((w) => w.seam)).toEqual(['shoulder']);
    expect(broken[0]!.difference).toBeGreaterThan(0.5);
  });

  it('counts wanted ease, ratios and how often an edge is met', () => {
    const pattern = withSeam(block(), {
      name: 'band',
      left: [{ piece: 'back', edge: 'hem', times: 1 }],
      right: [{ piece: 'back', edge: 'hem', times: 2 }],
      ratio: 0.5,
      plus: 3,
      tolerance: 3,
    });
    const walk = walkSeam(pattern, pattern.seams.at(-1)!);
    expect(walk.wanted).toBeCloseTo(walk.left + 3, 9);
    expect(walk.difference).toBeCloseTo(-3, 9);
    expect(walk.matches).toBe(true);
  });
});

describe('walkJoins', () => {
  it('finds every join of the block smooth, and a neckline that dips at the fold', () => {
    const pattern = block();
    const joins = walkJoins(pattern);
    expect(joins.map((j) => j.join)).toEqual([
      'back neckline at the fold',
      'back hem at the fold',
      'front neckline at the fold',
      'front hem at the fold',
      'shoulder at shoulder-tip',
      'shoulder at neck-point',
      'side at side-hem',
      'side at underarm',
      'sleeve-underarm at front-wrist',
      'sleeve-underarm at front-bicep',
    ]);
    expect(joins.every((j) => j.smooth)).toBe(true);

    const back = pieceOf(pattern, 'back');
    const slanted = withEdge(back, {
      ...edgeOf(back, 'neckline'),
      path: [line(pointOf(back, 'neck-point'), pointOf(back, 'center-neck'))],
    });
    const rough = walkJoins(withPiece(pattern, slanted)).filter((j) => !j.smooth);
    expect(rough.map((j) => j.join)).toEqual(['back neckline at the fold', 'shoulder at neck-point']);
    // atan(20 / 74.2): the slope of the straight line drawn in place of the neckline.
    expect(Math.abs(rough[0]!.degrees)).toBeCloseTo((Math.atan2(20, BODY.neck / 5) * 180) / Math.PI, 6);
  });
});

describe('measure', () => {
  it('takes spans and edges from the geometry', () => {
    const pattern = block();
    const diagonal: PointOfMeasure = {
      name: 'diagonal',
      terms: [{ kind: 'span', piece: 'back', from: 'center-hem', to: 'underarm', axis: 'direct', times: 1 }],
      tolerance: 1,
    };
    const back = pieceOf(pattern, 'back');
    const [x0, y0] = pointOf(back, 'center-hem');
    const [x1, y1] = pointOf(back, 'underarm');
    expect(measure(pattern, diagonal)).toBeCloseTo(Math.hypot(x1 - x0, y1 - y0), 9);
    expect(usedLength(pattern, [{ piece: 'back', edge: 'hem', times: 2 }])).toBeCloseTo(
      2 * (x1 + (pointOf(back, 'side-hem')[0] - x1)),
      9,
    );
  });

  it.each([
    [() => pieceOf(block(), 'bakc'), "unknown piece 'bakc'", "did you mean 'back'?"],
    [() => edgeOf(pieceOf(block(), 'back'), 'nek'), "piece 'back' has no edge 'nek'", undefined],
    [
      () => pointOf(pieceOf(block(), 'back'), 'wiast'),
      "piece 'back' has no point 'wiast'",
      "did you mean 'waist'?",
    ],
  ])('names what is unknown and offers what is near', (call, message, mend) => {
    try {
      call();
      expect.unreachable();
    } catch (error) {
      expect(error).toBeInstanceOf(InputError);
      expect((error as InputError).message).toBe(message);
      if (mend) expect((error as InputError).mend).toBe(mend);
    }
  });
});
