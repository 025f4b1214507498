import fc from 'fast-check';
import * as polyclip from 'polyclip-ts';
import { describe, expect, it } from 'vitest';
import type { CutPiece } from '../../src/finish/types.js';
import { area, bounds, counterClockwise, type Polygon } from '../../src/geometry/polygon.js';
import type { Vec } from '../../src/geometry/vec.js';
import { beyondMargin } from '../../src/lay/halves.js';
import {
  boundGarments,
  type Fabric,
  layMarker,
  liesReversed,
  type Marker,
  type MarkerSpec,
  markerDemand,
  ON_FOLD,
  offGrain,
  type PlacedPiece,
  planMarker,
  spreadOf,
  toMarker,
} from '../../src/lay/index.js';
import { cutPiece, FABRIC, LAY } from './samples.js';

const FEW = { iterations: 1, threads: 0 } as const;

/** Piece outlines without symmetry: wedges and slanted quadrangles. */
const oddShape = fc
  .tuple(
    fc.integer({ min: 30, max: 110 }),
    fc.integer({ min: 30, max: 140 }),
    fc.integer({ min: 5, max: 18 }),
  )
  .map(([w, h, slant]): Vec[] => [
    [0, 0],
    [w, 0],
    [w - slant, h],
    [slant / 2, h - 7],
  ]);

/** A half on the fold x = 0 whose corners beside the fold rise or fall, opened. */
const foldShape = fc
  .tuple(fc.integer({ min: 25, max: 60 }), fc.integer({ min: 30, max: 120 }), fc.integer({ min: -6, max: 6 }))
  .map(([w, h, dip]) => {
    const half: Vec[] = [
      [0, 0],
      [w, 0],
      [w - 8, h],
      [3, h + dip],
      [0, h + dip],
    ];
    const left = half
      .filter(([x]) => x > 0)
      .map(([x, y]): Vec => [-x, y])
      .reverse();
    return { half: counterClockwise(half), cut: counterClockwise([...half, ...left]) };
  });

const order = fc.record({
  pair: oddShape,
  lone: foldShape,
  band: fc.tuple(fc.integer({ min: 40, max: 150 }), fc.integer({ min: 20, max: 40 })),
  turned: fc.boolean(),
  count: fc.integer({ min: 1, max: 3 }),
  orientation: fc.constantFrom('one-way', 'garment-one-way', 'either-way' as const),
  tilt: fc.constantFrom(0, 2),
  gap: fc.constantFrom(0, 2),
  onFold: fc.constantFrom(...ON_FOLD),
  flaw: fc.option(fc.tuple(fc.integer({ min: 0, max: 200 }), fc.integer({ min: -8, max: 240 })), {
    nil: undefined,
  }),
  splice: fc.option(fc.integer({ min: 60, max: 300 }), { nil: undefined }),
});
type Order = typeof order extends fc.Arbitrary<infer T> ? T : never;

function specOf(o: Order, mode: Fabric['mode']): MarkerSpec {
  const [long, deep] = o.band;
  const pieces: CutPiece[] = [
    cutPiece('sleeve', o.pair, { counts: { asDrawn: 1, mirrored: 1 } }),
    cutPiece('front', o.lone.cut, { half: { cut: o.lone.half, foldX: 0 } }),
    cutPiece(
      'band',
      [
        [0, 0],
        [long, 0],
        [long, deep],
        [0, deep],
      ],
      o.turned ? { stretch: { along: 'wale', percent: 30 } } : {},
    ),
  ];
  const fabric: Fabric = {
    ...FABRIC,
    mode,
    usableWidth: mode === 'folded' ? 500 : 250,
    orientation: o.orientation,
  };
  return {
    name: 'm',
    style: 'test',
    pieces,
    fabric,
    ratio: { M: o.count },
    options: { ...LAY, gap: o.gap, tilt: o.tilt, onFold: o.onFold, sideMargin: 3, endMargin: 4 },
    flaws: {
      ...(o.flaw ? { flaws: [{ at: o.flaw, size: [12, 9] as [number, number] }] } : {}),
      ...(o.splice === undefined ? {} : { splices: [{ at: o.splice, overlap: 40 }] }),
    },
  };
}

const ring = (points: Polygon) => [points.map(([x, y]): [number, number] => [x, y])];

function sharedArea(a: Polygon, b: Polygon): number {
  const boxA = bounds(a);
  const boxB = bounds(b);
  const apart =
    boxA.maxX <= boxB.minX || boxB.maxX <= boxA.minX || boxA.maxY <= boxB.minY || boxB.maxY <= boxA.minY;
  if (apart) return 0;
  return polyclip
    .intersection(ring(a), ring(b))
    .reduce((sum, [outer = []]) => sum + area(outer.map(([x, y]): Vec => [x, y])), 0);
}

/** Pieces that one spread unit gives (one ply; two face to face), by piece and hand. */
function pieceCounts(marker: Marker): Map<string, number> {
  const counts = new Map<string, number>();
  const add = (p: PlacedPiece, mirrored: boolean) => {
    // The two hands of a symmetric piece are one.
    const key = `${p.piece.name} ${p.piece.name !== 'sleeve' ? 'either' : mirrored ? 'mirrored' : 'drawn'}`;
    counts.set(key, (counts.get(key) ?? 0) + 1);
  };
  for (const p of marker.pieces) {
    add(p, p.mirrored);
    if (marker.spread.mode !== 'single' && !p.fold) add(p, !p.mirrored);
  }
  return counts;
}

function expectLaid(marker: Marker, spec: MarkerSpec): void {
  const { fabric, options, ratio } = spec;
  const garments = ratio['M']!;
  const { mode } = fabric;

  // The right number of each hand.
  const units = mode === 'face-to-face' ? 2 * garments : garments;
  const counts = pieceCounts(marker);
  const over = (name: string) => marker.spare.find((s) => s.piece === name)?.count ?? 0;
  expect(counts.get('sleeve drawn')).toBe(units);
  expect(counts.get('sleeve mirrored')).toBe(units);
  for (const name of ['front', 'band']) expect(counts.get(`${name} either`)).toBe(units + over(name));

  // Where each lies is what the pose says, inside the cloth and its margins.
  for (const p of marker.pieces) {
    const cut = p.fold ? p.piece.half!.cut : p.piece.cut;
    const mapped = cut.map(toMarker(p));
    const outline = p.mirrored ? [...mapped].reverse() : mapped;
    outline.forEach(([x, y], i) => {
      expect(Math.hypot(x - p.outline[i]![0], y - p.outline[i]![1])).toBeLessThan(2e-6);
    });
    const box = bounds(p.outline);
    expect(box.minX).toBeGreaterThanOrEqual(options.endMargin - 1e-9);
    expect(box.maxX).toBeLessThanOrEqual(marker.length - options.endMargin + 1e-9);
    const margin = (side: 'low' | 'high') => (marker.spread.folds.includes(side) ? 5 : options.sideMargin);
    if (p.fold === 'low') expect(box.minY).toBe(0);
    else expect(box.minY).toBeGreaterThanOrEqual(margin('low') - 1e-9);
    if (p.fold === 'high') expect(box.maxY).toBe(marker.width);
    else expect(box.maxY).toBeLessThanOrEqual(marker.width - margin('high') + 1e-9);

    // A half meets the fold with its whole fold line, so that it opens to the whole piece.
    if (p.fold) {
      const y = p.fold === 'low' ? 0 : marker.width;
      const along = bounds(p.outline.filter((v) => v[1] === y));
      const { minY, maxY } = bounds(p.piece.half!.cut.filter(([x]) => x === p.piece.half!.foldX));
      expect(along.maxX - along.minX).toBeCloseTo(maxY - minY, 9);
      expect(2 * area(p.outline)).toBeCloseTo(area(p.piece.cut), 3);
    }
    expect(offGrain(p, fabric)).toBeLessThanOrEqual(options.tilt ?? 0);
    if (p.fold) expect(offGrain(p, fabric)).toBe(0);
  }

  // Orientation of every garment.
  const reversed = (p: PlacedPiece) => liesReversed(p, fabric);
  if (fabric.orientation === 'one-way') expect(marker.pieces.some(reversed)).toBe(false);
  if (fabric.orientation === 'garment-one-way') {
    const ways = new Map<string, Set<boolean>>();
    for (const p of marker.pieces) {
      for (const g of p.garment.split('+')) ways.set(g, (ways.get(g) ?? new Set()).add(reversed(p)));
    }
    expect(ways.size).toBe(garments);
    for (const seen of ways.values()) expect(seen.size).toBe(1);
  }

  // No overlap, zones avoided: judged by another polygon library.
  for (let i = 0; i < marker.pieces.length; i++) {
    const { outline } = marker.pieces[i]!;
    for (let j = i + 1; j < marker.pieces.length; j++) {
      expect(sharedArea(outline, marker.pieces[j]!.outline)).toBeLessThan(1e-6);
    }
    for (const zone of marker.zones ?? []) expect(sharedArea(outline, zone.outline)).toBeLessThan(1e-6);
  }
}

describe.each(['single', 'face-to-face', 'folded', 'tubular'] as const)('a marker laid %s', (mode) => {
  it('holds every hand, lies inside and apart, keeps grain, orientation, folds and zones', async () => {
    await fc.assert(
      fc.asyncProperty(order, async (o) => {
        const spec = specOf(o, mode);
        const marker = await layMarker(spec, FEW);
        expectLaid(marker, spec);
      }),
      { numRuns: 14, seed: 5, endOnFailure: true },
    );
  });
});

describe('either hand', () => {
  it('is used where both are cut anyway, and never where plies lie face up', async () => {
    const wedge: Vec[] = [
      [0, 0],
      [120, 0],
      [0, 200],
    ];
    const laid = (mode: Fabric['mode']) =>
      layMarker(
        {
          name: 'm',
          style: 'test',
          pieces: [cutPiece('sleeve', wedge, { counts: { asDrawn: 1, mirrored: 1 } })],
          fabric: { ...FABRIC, usableWidth: mode === 'folded' ? 520 : 260, mode, orientation: 'one-way' },
          ratio: { M: 2 },
          options: LAY,
        },
        { iterations: 8, threads: 0 },
      );
    const single = await laid('single');
    expect(single.pieces.filter((p) => p.mirrored)).toHaveLength(2);
    // Hypotenuse to hypotenuse needs a turn by 180 degrees or the other hand: one way, the hand alone can do it.
    const folded = await laid('folded');
    expect(new Set(folded.pieces.map((p) => p.mirrored)).size).toBeGreaterThan(0);
    expect(folded.pieces).toHaveLength(2);
    expect(folded.pieces.every((p) => p.rotation === 0)).toBe(true);
    const pair = await laid('face-to-face');
    expect(pair.pieces).toHaveLength(4);
    const hands = new Set([...folded.pieces, ...pair.pieces].map((p) => p.mirrored));
    expect(hands).toEqual(new Set([false, true]));
  });
});

describe('a half on a fold', () => {
  it('is searched without the strip beside the fold, whose width along the fold it keeps', () => {
    // Neckline falling away from the fold at the top, hem rising at the bottom.
    const half = {
      foldX: 10,
      cut: [
        [10, 0],
        [30, 6],
        [60, 6],
        [60, 80],
        [20, 80],
        [12, 92],
        [10, 100],
      ] as Vec[],
    };
    const kept = beyondMargin(half, 5)!;
    expect(area(kept)).toBeGreaterThanOrEqual(sharedArea(kept, half.cut) - 1e-9);
    const far = half.cut.filter(([x]) => x > 15);
    for (const p of far) expect(kept).toContainEqual(p);
    expect(bounds(kept.filter(([x]) => x === 15))).toMatchObject({ minY: 0, maxY: 100 });
    // Nothing that lies beyond the margin is left out.
    const strip: Vec[] = [
      [15, -10],
      [100, -10],
      [100, 200],
      [15, 200],
    ];
    expect(sharedArea(kept, half.cut)).toBeCloseTo(sharedArea(half.cut, strip), 6);
    expect(beyondMargin(half, 0)).toBe(half.cut);
    expect(beyondMargin(half, 60)).toBeUndefined();
  });
});

describe('a span for shade', () => {
  it('keeps the pieces of a garment, and of those it shares a placement with, within its length', async () => {
    await fc.assert(
      fc.asyncProperty(order, fc.constantFrom('single', 'tubular' as const), async (o, mode) => {
        const base = specOf({ ...o, flaw: undefined, splice: undefined }, mode);
        const spec = { ...base, options: { ...base.options, shadeSpan: 700 } };
        const marker = await layMarker(spec, FEW);
        expectLaid(marker, spec);
        const { demands } = markerDemand(spec.pieces, spec.fabric, spec.ratio, spec.options);
        const bound = boundGarments(demands);
        const spans = new Map<string, Vec[]>();
        for (const p of marker.pieces) {
          const key = bound.get(p.garment.split('+')[0]!)!;
          spans.set(key, [...(spans.get(key) ?? []), ...p.outline]);
        }
        for (const points of spans.values()) {
          const { minX, maxX } = bounds(points);
          expect(maxX - minX).toBeLessThanOrEqual(700 + 1e-6);
        }
      }),
      { numRuns: 6, seed: 9, endOnFailure: true },
    );
  });

  it('too short for a garment is refused with what it needs', () => {
    const [o] = fc.sample(order, { numRuns: 1, seed: 1 });
    const base = specOf(o!, 'single');
    expect(() => planMarker({ ...base, options: { ...base.options, shadeSpan: 20 } })).toThrow(
      /^the pieces of garment M-\d need at least \d+\.\d cm of cloth and the shade span is 2\.0 cm$/,
    );
  });
});

describe('a span that boxes do not fit', () => {
  it('is told in the words of the trade', async () => {
    // Three blocks that lie behind one another only: 180 mm, though their area would do with 120.
    const block: Vec[] = [
      [0, 0],
      [100, 0],
      [100, 60],
      [0, 60],
    ];
    const spec: MarkerSpec = {
      name: 'm',
      style: 'test',
      pieces: [cutPiece('block', block, { counts: { asDrawn: 3, mirrored: 0 } })],
      fabric: { ...FABRIC, usableWidth: 150 },
      ratio: { M: 1 },
      options: { ...LAY, gap: 0, shadeSpan: 150 },
    };
    const whole = await layMarker({ ...spec, options: { ...spec.options, shadeSpan: 181 } }, FEW);
    expect(whole.length).toBeCloseTo(180, 3);
    const fault = await layMarker(spec, FEW).then(
      () => undefined,
      (error: Error) => error.message,
    );
    expect(fault).toMatch(/^marker 'm': no place was found for every garment within \d+\.\d cm of cloth$/);
  });
});

describe('what does not fit', () => {
  const bandOf = (long: number, over: Partial<CutPiece> = {}) =>
    cutPiece(
      'hem-band',
      [
        [0, 0],
        [long, 0],
        [long, 60],
        [0, 60],
      ],
      over,
    );
  const spec = (long: number, mode: Fabric['mode'], options = {}): MarkerSpec => ({
    name: 'm',
    style: 'test',
    pieces: [bandOf(long)],
    fabric: { ...FABRIC, usableWidth: 900, mode },
    ratio: { M: 2 },
    options: { ...LAY, ...options },
  });
  const mendOf = (s: MarkerSpec): string => {
    try {
      planMarker(s);
    } catch (error) {
      return (error as { mend: string }).mend;
    }
    return 'it fits';
  };

  it('a band longer than the width: split at side seams, folded cloth, or the fold', () => {
    expect(() => planMarker(spec(1000, 'single'))).toThrow(
      "piece 'hem-band' in size M is 1000.0 mm wide and the fabric 'self' has 900.0 mm to lay it on",
    );
    expect(mendOf(spec(880, 'single'))).toBe('it fits');
    expect(mendOf(spec(890, 'folded'))).toBe('it fits');
    expect(mendOf(spec(1000, 'single'))).toMatch(
      /^use a wider fabric or cut the band in 2 parts, which draft-band/,
    );
    expect(
      mendOf({ ...spec(1000, 'single'), pieces: [bandOf(900.5)], fabric: { ...FABRIC, usableWidth: 900 } }),
    ).toMatch(/2 parts/);
    expect(mendOf(spec(1700, 'tubular'))).toBe('it fits');
    expect(mendOf(spec(1700, 'tubular', { onFold: 'none' }))).toMatch(/^let it lie as a half on the fold/);
    expect(() => planMarker(spec(1900, 'tubular'))).toThrow(/is 950\.0 mm wide as a half on the fold/);
  });

  it('a band whose half would fit folded cloth is told so', () => {
    const side = { ...LAY, sideMargin: 60 };
    expect(mendOf({ ...spec(800, 'single'), options: side })).toMatch(
      /'mode: folded', where it is a half on the fold/,
    );
  });
});

describe('what a mode means', () => {
  it('is told to whoever spreads: layers, folds, even plies, the way of the wales', () => {
    const of = (mode: Fabric['mode'], orientation: Fabric['orientation']) => spreadOf({ mode, orientation });
    expect(of('single', 'one-way')).toMatchObject({ layers: 1, folds: [], plies: 'any' });
    expect(of('face-to-face', 'either-way')).toMatchObject({ layers: 1, folds: [], plies: 'even' });
    expect(of('face-to-face', 'either-way').note).toMatch(/zig-zag, an even number/);
    expect(of('face-to-face', 'one-way').note).toMatch(/turn the roll/);
    expect(of('face-to-face', 'garment-one-way').note).toMatch(/Never zig-zag/);
    expect(of('folded', 'one-way')).toMatchObject({ layers: 2, folds: ['low'] });
    expect(of('tubular', 'one-way')).toMatchObject({ layers: 2, folds: ['low', 'high'] });
  });
});
