import { Bezier } from 'bezier-js';
import { union } from 'polyclip-ts';
import { describe, expect, it } from 'vitest';
import { CheckError, InputError } from '../../src/errors.js';
import {
  allowanceOf,
  type CutPiece,
  FINISH_DEFAULTS,
  type FinishOptions,
  finishPiece,
  finishRange,
  finishSchema,
  NO_SHRINKAGE,
} from '../../src/finish/index.js';
import { offset } from '../../src/geometry/clip.js';
import { flatten, length, line, pointAt } from '../../src/geometry/path.js';
import {
  area,
  bounds,
  contains,
  distanceToSegment,
  perimeter,
  selfCrossing,
  signedArea,
} from '../../src/geometry/polygon.js';
import { distance, dot, norm, sub, unit, type Vec } from '../../src/geometry/vec.js';
import { gradePattern } from '../../src/grade/index.js';
import { edgeOf, type Notch, type Piece, pieceArea, pieceOf } from '../../src/pattern/model.js';
import { EVERY_INCREMENT, SIZES, samplePattern, specOf } from '../grade/helpers.js';
import { outside, toBoundary } from './helpers.js';

const base = samplePattern();
const range = gradePattern(base, specOf({ increments: EVERY_INCREMENT }));
const options: FinishOptions = finishSchema('mm').parse({
  allowances: { default: 10, edges: { hem: 25, wrist: 25, neckline: 6, 'front.side': 12 }, hems: {} },
});
const even = { ...FINISH_DEFAULTS, allowances: { default: 10, edges: {}, hems: {} } };
const shrinkage = { walewise: 5, coursewise: 3 };
const finished = finishRange(range, options, () => NO_SHRINKAGE);
const everyPiece = finished.flatMap((f) => f.pieces);
const cutOf = (name: string, size = 'M') =>
  finished.find((f) => f.size === size)!.pieces.find((p) => p.name === name)!;

describe('a finished piece', () => {
  it('has a simple, counter-clockwise cut line round its sewing line, in every size', () => {
    expect(everyPiece).toHaveLength(7 * 4);
    for (const piece of everyPiece) {
      expect(selfCrossing(piece.cut), piece.name).toBeUndefined();
      expect(signedArea(piece.cut)).toBeGreaterThan(0);
      expect(signedArea(piece.sew)).toBeGreaterThan(0);
      expect(outside(piece.sew, piece.cut), piece.name).toBeLessThan(0.01);
    }
  });

  it('keeps each edge at its own allowance', () => {
    for (const { size, pattern } of range.sizes) {
      for (const piece of pattern.pieces) {
        const { cut } = cutOf(piece.name, size);
        for (const edge of piece.edges) {
          if (edge.name === piece.fold) continue;
          // A vertex of the cut polygon may lie on the curve or on its chord; a chord's middle lies 0.1 mm off.
          const chord = chordAtMiddle(cutOf(piece.name, size), pointAt(edge.path, length(edge.path) / 2));
          const off = toBoundary(chord, cut) - allowanceOf(options, piece.name, edge.name);
          expect(Math.abs(off), `${piece.name}.${edge.name} ${size}`).toBeLessThan(0.02);
        }
      }
    }
  });

  it('has the area of an independent offset where all allowances are equal', () => {
    for (const piece of base.pieces) {
      const { cut, sew } = finishPiece(piece, 'M', even, NO_SHRINKAGE);
      const [independent] = offset([sew], 10, { join: 'miter', miterLimit: 4 });
      expect(Math.abs(area(cut) - area(independent!)), piece.name).toBeLessThan(0.002 * perimeter(cut));
    }
  });

  it('opens a half across its fold: twice the area, mirror image and all', () => {
    for (const name of ['back', 'front']) {
      const half = pieceOf(base, name);
      const { sew, cut } = cutOf(name);
      expect(Math.abs(area(sew) - 2 * pieceArea(half))).toBeLessThan(0.1 * perimeter(sew));
      const chain = half.edges.flatMap((e) => flatten(e.path, 0.05).slice(0, -1));
      const mirrored = chain.map(([x, y]): [number, number] => [-x, y]).reverse();
      const opened = union([chain.map(([x, y]): [number, number] => [x, y])], [mirrored]);
      const independent = opened[0]![0]!.slice(0, -1) as Vec[];
      expect(Math.abs(area(sew) - area(independent))).toBeLessThan(0.1 * perimeter(sew));
      for (const [x, y] of cut) expect(cut.some((q) => q[0] === 0 - x && q[1] === y)).toBe(true);
    }
  });

  it('keeps the half beside the opened piece, with no allowance at the fold', () => {
    for (const size of SIZES) {
      const { half, cut } = cutOf('front', size);
      expect(half!.foldX).toBe(0);
      expect(bounds(half!.cut).minX).toBe(0);
      expect(2 * area(half!.cut)).toBeCloseTo(area(cut), 6);
      expect(half!.cut.filter(([x]) => x === 0)).toHaveLength(2);
    }
    expect(cutOf('sleeve').half).toBeUndefined();
  });

  it('mitres a V neck on the fold, so that the half ends where its mirror image begins', () => {
    const front = pieceOf(base, 'front');
    const edges = front.edges.map((e) =>
      e.name === 'neckline' ? { ...e, path: [line([85, 720], [0, 640])] } : e,
    );
    const { half, cut } = finishPiece({ ...front, edges }, 'M', options, NO_SHRINKAGE);
    const [top] = half!.cut.filter(([x]) => x === 0).sort((a, b) => b[1] - a[1]);
    // 6 mm off a line that falls 80 over 85: 6 / cos of its slope, straight up on the fold.
    expect(top![1]).toBeCloseTo(640 + 6 * (Math.hypot(85, 80) / 85), 6);
    expect(selfCrossing(cut)).toBeUndefined();
    expect(cut.filter(([x, y]) => x === 0 && y > 600)).toHaveLength(1);
  });

  it('has corresponding vertices in all sizes', () => {
    for (const name of base.pieces.map((p) => p.name)) {
      const counts = SIZES.map((size) => [cutOf(name, size).sew.length, cutOf(name, size).cut.length]);
      for (const count of counts) expect(count, name).toEqual(counts[0]);
    }
  });

  it('has its label clear of the cut line, nowhere clearer', () => {
    for (const { cut, label } of everyPiece) {
      expect(contains(cut, label.at)).toBe(true);
      expect(toBoundary(label.at, cut)).toBeCloseTo(label.radius, 6);
      const box = bounds(cut);
      let clearest = 0;
      for (let x = box.minX; x <= box.maxX; x += 15) {
        for (let y = box.minY; y <= box.maxY; y += 15) {
          if (contains(cut, [x, y])) clearest = Math.max(clearest, toBoundary([x, y], cut));
        }
      }
      expect(label.radius).toBeGreaterThanOrEqual(clearest - 0.5);
    }
  });

  it('keeps its grain along the wales and inside, in the smallest size too', () => {
    for (const { grain, sew, name } of everyPiece) {
      expect(grain.from[0], name).toBe(grain.to[0]);
      for (const end of [grain.from, grain.to]) expect(contains(sew, end), name).toBe(true);
    }
    const lost: Piece = { ...pieceOf(base, 'band'), grain: { from: [5000, 10], to: [5000, 50] } };
    const { grain, label } = finishPiece(lost, 'M', even, NO_SHRINKAGE);
    expect(grain.from[0]).toBe(label.at[0]);
    expect(grain.to[1]).toBeGreaterThan(grain.from[1]);
  });

  it('mirrors internal lines of a half, save those on the fold', () => {
    const internals = [
      { name: 'pocket', path: [line([40, 100], [160, 100])] },
      { name: 'centre', path: [line([0, 50], [0, 300])] },
    ];
    const cut = finishPiece({ ...pieceOf(base, 'front'), internals }, 'M', options, NO_SHRINKAGE);
    expect(cut.internals.map((i) => [i.name, i.points[0]![0]])).toEqual([
      ['pocket', 40],
      ['pocket', -40],
      ['centre', 0],
    ]);
  });
});

describe('shrinkage in a finished piece', () => {
  const shrunk = finishRange(range, options, (fabric) => (fabric === 'self' ? shrinkage : NO_SHRINKAGE));
  const back = shrunk.find((f) => f.size === 'M')!.pieces.find((p) => p.name === 'back')!;

  it('enlarges the sewing line along wales and courses, and not the allowances', () => {
    const [before, after] = [bounds(cutOf('back').sew), bounds(back.sew)];
    expect(after.maxX / before.maxX).toBeCloseTo(1 / 0.97, 9);
    expect(after.maxY / before.maxY).toBeCloseTo(1 / 0.95, 9);
    const cut = bounds(back.cut);
    expect(after.minY - cut.minY).toBeCloseTo(25, 9);
    expect(toBoundary([0, 0], back.cut)).toBeCloseTo(25, 6);
  });

  it('goes by the fabric of the piece', () => {
    const band = shrunk.find((f) => f.size === 'M')!.pieces.find((p) => p.name === 'band')!;
    expect(band).toEqual(cutOf('band'));
  });

  it('carries notches with the sewing line', () => {
    const [plain, carried] = [cutOf('back').notches[0]!, back.notches[0]!];
    const sewn = foot(plain, 10);
    const moved = foot(carried, 10);
    expect(moved[0]).toBeCloseTo(sewn[0] / 0.97, 0);
    expect(moved[1]).toBeCloseTo(sewn[1] / 0.95, 0);
  });
});

describe('notches', () => {
  it('stay square to the edge where wales and courses shrink unequally', () => {
    const { notches, sew } = finishPiece(pieceOf(base, 'back'), 'M', options, {
      walewise: 25,
      coursewise: 0,
    });
    const sewn = foot(notches[0]!, 10);
    const [chord] = sew
      .map((a, i) => [a, sew[(i + 1) % sew.length]!] as const)
      .sort(([a, b], [c, d]) => distanceToSegment(sewn, a, b) - distanceToSegment(sewn, c, d));
    const along = unit(sub(chord![1], chord![0]));
    // A chord turns up to 3 degrees from the curve beside it; unequal shrinkage, uncorrected, turns 5.
    expect(Math.abs(dot(notches[0]!.inward, along))).toBeLessThan(Math.sin((3.5 * Math.PI) / 180));
  });

  const withNotch = (piece: string, notch: Partial<Notch>): Piece => {
    const given: Notch = { name: 'n', edge: 'side', at: { ratio: 0.5 }, kind: 'single', ...notch };
    return { ...pieceOf(base, piece), notches: [given] };
  };
  const finish = (piece: Piece, with_ = options): CutPiece => finishPiece(piece, 'M', with_, NO_SHRINKAGE);

  it('stand at their length along the sewing line, carried out along its normal', () => {
    const { path } = edgeOf(pieceOf(base, 'back'), 'armhole');
    const first = path[0]!;
    if (first.kind !== 'cubic') throw new Error('the armhole starts with a curve');
    const at = ([x, y]: Vec) => ({ x, y });
    const curve = new Bezier(at(first.a), at(first.c), at(first.d), at(first.b));
    // bezier-js measures and differentiates by itself: find 75 mm along the armhole with it.
    let [low, high] = [0, 1];
    for (let i = 0; i < 50; i++) {
      const middle = (low + high) / 2;
      if (curve.split(0, middle).length() < 75) low = middle;
      else high = middle;
    }
    const [point, normal] = [curve.get(low), curve.normal(low)];
    const outward = normal.x > 0 ? normal : { x: -normal.x, y: -normal.y };
    const [notch] = cutOf('back').notches;
    expect(distance(notch!.at, [point.x + 10 * outward.x, point.y + 10 * outward.y])).toBeLessThan(0.12);
    expect(dot(notch!.inward, [outward.x, outward.y])).toBeCloseTo(-1, 4);
  });

  it('lie on the cut line, point into the piece and keep their kind', () => {
    for (const piece of everyPiece) {
      for (const notch of piece.notches) {
        expect(toBoundary(notch.at, piece.cut)).toBeLessThan(1e-6);
        expect(norm(notch.inward)).toBeCloseTo(1, 12);
        const end: Vec = [notch.at[0] + 3 * notch.inward[0], notch.at[1] + 3 * notch.inward[1]];
        expect(contains(piece.cut, end)).toBe(true);
        expect(contains(piece.sew, end)).toBe(false);
      }
    }
    expect(cutOf('back').notches.map((n) => n.kind)).toEqual(['double', 'double']);
    expect(cutOf('front').notches.map((n) => n.kind)).toEqual(['single', 'single']);
  });

  it('are mirrored on an opened half, and single on the fold', () => {
    const [right, left] = cutOf('front').notches;
    expect(left!.at).toEqual([-right!.at[0], right!.at[1]]);
    expect(left!.inward).toEqual([-right!.inward[0], right!.inward[1]]);
    const centre = finish(withNotch('front', { edge: 'neckline', at: { ratio: 1 } })).notches;
    expect(centre).toHaveLength(1);
    expect(centre[0]!.at[0]).toBeCloseTo(0, 9);
    expect(centre[0]!.at[1]).toBeCloseTo(640 + 6, 2);
  });

  it('are cut along the fold at the point of a V neck', () => {
    const front = pieceOf(base, 'front');
    const pointed = {
      ...front,
      edges: front.edges.map((e) =>
        e.name === 'neckline' ? { ...e, path: [line([85, 720], [0, 640])] } : e,
      ),
      notches: [{ name: 'centre', kind: 'single', edge: 'neckline', at: { ratio: 1 } } as const],
    };
    const { notches } = finishPiece(pointed, 'M', options, NO_SHRINKAGE);
    expect(notches).toHaveLength(1);
    // The mitre of the allowance, as above: not across the opening to the other side of the V.
    expect(notches[0]!.at[0]).toBeCloseTo(0, 9);
    expect(notches[0]!.at[1]).toBeCloseTo(640 + 6 * (Math.hypot(85, 80) / 85), 6);
    expect(notches[0]!.inward).toEqual([-0, -1]);
  });

  it('stand at either end of an edge', () => {
    for (const ratio of [0, 1]) {
      const { notches, cut } = finish(withNotch('front', { at: { ratio } }));
      expect(toBoundary(notches[0]!.at, cut)).toBeLessThan(1e-6);
    }
  });

  it('must be less deep than the allowance', () => {
    const shallow = { ...options, allowances: { default: 10, edges: { side: 3 }, hems: {} } };
    expect(() => finish(withNotch('back', {}), shallow)).toThrow(
      "notch 'n' of 'back' is 3.0 mm deep, but 'side' has an allowance of 3.0 mm",
    );
  });

  it('must lie on their edge and not on the fold', () => {
    expect(() => finish(withNotch('back', { at: { length: 900 } }))).toThrow(
      /lies at 900\.0 mm of 'side', which is 45/,
    );
    expect(() => finish(withNotch('back', { at: { length: -5 } }))).toThrow(InputError);
    expect(() => finish(withNotch('back', { edge: 'fold' }))).toThrow('lies on the fold');
  });
});

describe('finishing refuses', () => {
  it('a fold that does not run along the wales', () => {
    const back = pieceOf(base, 'back');
    const edges = back.edges.map((e) => (e.name === 'fold' ? { ...e, path: [line([0, 698], [4, 0])] } : e));
    expect(() => finishPiece({ ...back, edges }, 'M', options, NO_SHRINKAGE)).toThrow(
      "the fold of 'back' is not a straight line along the wales",
    );
  });

  it('a half that lies left of its fold', () => {
    const piece: Piece = {
      ...pieceOf(base, 'band'),
      fold: 'right',
      notches: [],
    };
    expect(() => finishPiece(piece, 'M', options, NO_SHRINKAGE)).toThrow("'band' lies left of its fold");
  });

  it('a sewing line that crosses itself, naming piece and size', () => {
    const band = pieceOf(base, 'band');
    const turned = [...band.edges].map((e) => ({
      ...e,
      path: [line(flip(e.path[0]!.a), flip(e.path[0]!.b))],
    }));
    const run = () => finishPiece({ ...band, edges: turned }, 'XL', options, NO_SHRINKAGE);
    expect(run).toThrow(CheckError);
    expect(run).toThrow("the sewing line of 'band' in size XL crosses itself");
  });

  it('an allowance for an edge nobody has', () => {
    const wrong = { ...options, allowances: { default: 10, edges: { colar: 6 }, hems: {} } };
    expect(() => finishRange(range, wrong, () => NO_SHRINKAGE)).toThrow("no piece has an edge 'colar'");
  });
});

const flip = ([x, y]: Vec): Vec => [-x, y];

/** Where a notch's normal meets the sewing line, `allowance` mm inside the cut line. */
const foot = (notch: { at: Vec; inward: Vec }, allowance: number): Vec => [
  notch.at[0] + allowance * notch.inward[0],
  notch.at[1] + allowance * notch.inward[1],
];

/** Middle of the chord of the sewing line nearest to a point of the curve. */
function chordAtMiddle(piece: CutPiece, near: Vec): Vec {
  let best: { off: number; middle: Vec } | undefined;
  piece.sew.forEach((a, i) => {
    const b = piece.sew[(i + 1) % piece.sew.length]!;
    const middle: Vec = [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2];
    const off = norm(sub(middle, near));
    if (!best || off < best.off) best = { off, middle };
  });
  return best!.middle;
}
