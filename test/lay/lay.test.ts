import fc from 'fast-check';
import * as polyclip from 'polyclip-ts';
import { describe, expect, it } from 'vitest';
import { InputError } from '../../src/errors.js';
import { area, bounds, signedArea } from '../../src/geometry/polygon.js';
import { rotate, type Vec } from '../../src/geometry/vec.js';
import {
  allowedRotations,
  assignGarments,
  consumption,
  isSymmetric,
  layMarker,
  type Marker,
  markerDemand,
  spreadOf,
  toMarker,
  walesAlong,
} from '../../src/lay/index.js';
import { cutPiece, FABRIC, LAY, sweatshirtPieces } from './samples.js';

const WEDGE: Vec[] = [
  [0, 0],
  [40, 0],
  [10, 60],
];
const BAND: Vec[] = [
  [0, 0],
  [200, 0],
  [200, 50],
  [0, 50],
];

describe('frame', () => {
  it('lays the wales along the fabric without mirroring', () => {
    expect(walesAlong([0, 10])).toEqual([10, -0]);
    expect(signedArea(WEDGE.map(walesAlong))).toBe(signedArea(WEDGE));
  });

  it('is the mirror, the turn and the move, in that order', () => {
    fc.assert(
      fc.property(
        fc.constantFrom(0, 90, 180, 270, 1.5),
        fc.boolean(),
        fc.tuple(fc.integer({ min: -99, max: 99 }), fc.integer({ min: -99, max: 99 })),
        (rotation, mirrored, at) => {
          const map = toMarker({ mirrored, rotation, at });
          const [x, y] = map([3, 7]);
          const [u, v] = rotate(walesAlong([mirrored ? -3 : 3, 7]), (rotation * Math.PI) / 180);
          expect(x).toBeCloseTo(u + at[0], 9);
          expect(y).toBeCloseTo(v + at[1], 9);
        },
      ),
    );
  });

  it('turns by quarters exactly', () => {
    expect(toMarker({ mirrored: false, rotation: 180, at: [0, 0] })([0.1, 0.7])).toEqual([-0.7, 0.1]);
  });
});

describe('markerDemand', () => {
  const pair = cutPiece('sleeve', WEDGE, { counts: { asDrawn: 1, mirrored: 1 } });
  const neckband = cutPiece('neckband', BAND);

  it('single, face up: exactly as drawn and mirrored, once for each garment', () => {
    const { demands, garments, spare } = markerDemand([pair, neckband], FABRIC, { M: 3 });
    expect(garments).toBe(3);
    expect(spare).toEqual([]);
    expect(demands.map((d) => [d.piece.name, d.mirrored, d.garments])).toEqual([
      ['sleeve', false, ['M-1', 'M-2', 'M-3']],
      ['sleeve', true, ['M-1', 'M-2', 'M-3']],
      ['neckband', false, ['M-1', 'M-2', 'M-3']],
    ]);
  });

  it('refuses an unknown size', () => {
    expect(() => markerDemand([pair], FABRIC, { XM: 1 })).toThrow("unknown size 'XM' in a size ratio");
  });

  it('knows a symmetric piece from one that is not', () => {
    expect(isSymmetric(BAND)).toBe(true);
    expect(isSymmetric(WEDGE)).toBe(false);
  });
});

describe('orientation', () => {
  it.each([
    ['one-way', undefined, [0]],
    ['either-way', undefined, [0, 180]],
    ['garment-one-way', undefined, [0, 180]],
    ['one-way', { along: 'wale', percent: 20 }, [90]],
    ['either-way', { along: 'wale', percent: 20 }, [90, 270]],
  ] as const)('%s with stretch %j allows turns %j', (orientation, stretch, turns) => {
    expect(allowedRotations(stretch ? { stretch } : {}, orientation)).toEqual(turns);
  });
});

describe('assignGarments', () => {
  it('deals equal pieces out in order of X and keeps each way round with its garments', () => {
    const piece = cutPiece('front', WEDGE);
    const at = (x: number, rotation: number, garment: string) => {
      const pose = { mirrored: false, rotation, at: [x, 0] as Vec };
      return { piece, garment, ...pose, outline: piece.cut.map(toMarker(pose)) };
    };
    const dealt = assignGarments([at(900, 0, 'M-1'), at(100, 0, 'M-3'), at(500, 180, 'M-2')], FABRIC);
    expect(dealt.map((p) => [p.at[0], p.garment])).toEqual([
      [100, 'M-1'],
      [900, 'M-3'],
      [500, 'M-2'],
    ]);
  });
});

describe('layMarker', () => {
  const spec = {
    name: 'm',
    style: 'test',
    pieces: sweatshirtPieces(),
    fabric: FABRIC,
    ratio: { M: 3 },
    options: LAY,
  };

  it('lays every piece once, inside, apart, each garment one way: an independent polygon library agrees', async () => {
    const marker = await layMarker(spec, { iterations: 3, threads: 0 });
    expect(marker.pieces).toHaveLength(12);
    expect(marker.verified).toBe(true);
    const turns = new Map<string, Set<number>>();
    for (const p of marker.pieces) {
      const box = bounds(p.outline);
      expect(box.minX).toBeGreaterThanOrEqual(0);
      expect(box.minY).toBeGreaterThanOrEqual(0);
      expect(box.maxX).toBeLessThanOrEqual(marker.length);
      expect(box.maxY).toBeLessThanOrEqual(marker.width);
      expect(signedArea(p.outline)).toBeGreaterThan(0);
      turns.set(p.garment, (turns.get(p.garment) ?? new Set()).add(p.rotation));
    }
    expect([...turns.keys()].sort()).toEqual(['M-1', 'M-2', 'M-3']);
    for (const used of turns.values()) expect(used.size).toBe(1);
    expect(marker.pieces.map((p) => p.number)).toEqual(marker.pieces.map((_, i) => i + 1));
    const ring = (points: readonly Vec[]) => [points.map(([x, y]): [number, number] => [x, y])];
    for (let i = 0; i < marker.pieces.length; i++) {
      for (let j = i + 1; j < marker.pieces.length; j++) {
        const common = polyclip.intersection(
          ring(marker.pieces[i]!.outline),
          ring(marker.pieces[j]!.outline),
        );
        expect(common).toEqual([]);
      }
    }
  });

  it('keeps margins free and counts them in the length', async () => {
    const options = { ...LAY, sideMargin: 15, endMargin: 10 };
    const marker = await layMarker({ ...spec, ratio: { M: 1 }, options }, { iterations: 1, threads: 0 });
    const boxes = marker.pieces.map((p) => bounds(p.outline));
    expect(Math.min(...boxes.map((b) => b.minX))).toBeGreaterThanOrEqual(10);
    expect(Math.min(...boxes.map((b) => b.minY))).toBeGreaterThanOrEqual(15);
    expect(Math.max(...boxes.map((b) => b.maxY))).toBeLessThanOrEqual(1635);
    expect(marker.length - Math.max(...boxes.map((b) => b.maxX))).toBeCloseTo(10, 9);
  });

  it('names the piece and size that the fabric is too narrow for', async () => {
    const narrow = { ...FABRIC, usableWidth: 500 };
    await expect(layMarker({ ...spec, fabric: narrow })).rejects.toThrow(
      /^piece '(back|front)' in size M is \d+\.\d mm wide/,
    );
    await expect(layMarker({ ...spec, ratio: { M: 0 } })).rejects.toThrow(InputError);
  });

  it('carries a stamp when a check was overridden', async () => {
    const marker = await layMarker(
      { ...spec, ratio: { M: 1 }, stamp: 'SEAMS' },
      { iterations: 1, threads: 0 },
    );
    expect(marker.stamp).toBe('SEAMS');
  });
});

describe('consumption', () => {
  const marker = (length: number, over: Partial<Marker['fabric']> = {}, endAllowance = 0): Marker => ({
    name: 'm',
    style: 's',
    fabric: { ...FABRIC, ...over },
    options: { ...LAY, endAllowance },
    ratio: { M: 2, L: 1 },
    sizes: ['M', 'L'],
    width: over.usableWidth ?? FABRIC.usableWidth,
    length,
    spread: spreadOf(FABRIC),
    layers: 1,
    spare: [],
    efficiency: 0.8,
    search: { seconds: 1, seed: 1, threads: 1, rounds: 1 },
    verified: true,
    pieces: ['M', 'M', 'L'].map((size, i) => ({
      piece: cutPiece('p', WEDGE, { size }),
      garment: `${size}-1`,
      number: i + 1,
      mirrored: false,
      rotation: 0,
      at: [0, 0],
      outline: WEDGE,
    })),
  });

  it('1 yd of 58 in at 165 g/m2 weighs 0.2223 kg', () => {
    // Published as 0.222 kg (goldnfiber, fabric weight calculation).
    const used = consumption(marker(914.4, { usableWidth: 58 * 25.4, gramsPerSquareMetre: 165 }));
    expect(used.mass).toBeCloseTo(0.2223, 4);
  });

  it('100 m of 60 in at 180 g/m2 weighs 27.432 kg, not the 696.77 kg once published', () => {
    // The published figure (textilecalculator.com) forgot to turn inches into metres.
    const used = consumption(marker(100_000, { usableWidth: 60 * 25.4, gramsPerSquareMetre: 180 }));
    expect(used.mass).toBeCloseTo(27.432, 3);
  });

  it('counts end allowances, relaxation and full width once, and wash shrinkage not at all', () => {
    const plain = consumption(marker(1000));
    const used = consumption(
      marker(1000, { relaxationLoss: 4, fullWidth: 1700, shrinkage: { walewise: 7, coursewise: 7 } }, 20),
    );
    expect(plain.rollLength).toBeCloseTo(1, 12);
    expect(used.plyLength).toBeCloseTo(1.04, 12);
    expect(used.rollLength).toBeCloseTo(1.04 / 0.96, 12);
    expect(used.area).toBeCloseTo((1.04 / 0.96) * 1.7, 12);
  });

  it('shares out by size in proportion to area, and the shares add up', () => {
    const used = consumption(marker(1000, { pricePerMetre: 10 }));
    expect(used.cost).toBeCloseTo(10, 9);
    expect(used.bySize.map((s) => s.size)).toEqual(['M', 'L']);
    const sum = (of: (s: (typeof used.bySize)[number]) => number) =>
      used.bySize.reduce((t, s) => t + of(s), 0);
    expect(sum((s) => s.length)).toBeCloseTo(used.rollLength, 12);
    expect(sum((s) => s.cost!)).toBeCloseTo(used.cost!, 12);
    expect(used.bySize[0]!.length / used.bySize[1]!.length).toBeCloseTo(2, 9);
    expect(used.utilisation).toBeCloseTo((3 * area(WEDGE)) / 1e6 / (1 * 1.65), 12);
  });

  it('prices by weight when the fabric is sold so, and not at all without a price', () => {
    expect(consumption(marker(1000, { pricePerKilogram: 12 })).cost).toBeCloseTo(1.65 * 0.28 * 12, 9);
    expect(consumption(marker(1000)).cost).toBeUndefined();
  });
});
