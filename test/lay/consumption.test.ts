import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { area } from '../../src/geometry/polygon.js';
import type { Vec } from '../../src/geometry/vec.js';
import { consumption, type Marker, spreadOf } from '../../src/lay/index.js';
import { cutPiece, FABRIC, LAY } from './samples.js';

/** A marker of `ratio` garments, each a rectangle of 100 x `side` mm. */
function markerOf(options: {
  length?: number;
  fabric?: Partial<Marker['fabric']>;
  endAllowance?: number;
  sides?: Readonly<Record<string, number>>;
  zones?: Marker['zones'];
}): Marker {
  const fabric = { ...FABRIC, ...options.fabric };
  const sides = options.sides ?? { M: 400, L: 500 };
  const spread = spreadOf(fabric);
  const pieces = Object.entries(sides).map(([size, side], i) => {
    const outline: Vec[] = [
      [0, 0],
      [side, 0],
      [side, 100],
      [0, 100],
    ];
    return {
      piece: cutPiece('p', outline, { size }),
      garment: `${size}-1`,
      number: i + 1,
      mirrored: false,
      rotation: 0,
      at: [0, 0] as Vec,
      outline,
    };
  });
  return {
    name: 'm',
    style: 's',
    fabric,
    options: { ...LAY, endAllowance: options.endAllowance ?? 20 },
    ratio: Object.fromEntries(Object.keys(sides).map((size) => [size, 1])),
    sizes: Object.keys(sides),
    width: fabric.mode === 'folded' ? fabric.usableWidth / 2 : fabric.usableWidth,
    length: options.length ?? 3000,
    pieces,
    spread,
    layers: spread.layers,
    ...(options.zones === undefined ? {} : { zones: options.zones }),
    spare: [],
    efficiency: 0.8,
    search: { seconds: 0, seed: 1, threads: 1, rounds: 0 },
    verified: true,
  };
}

const millimetres = fc.integer({ min: 200, max: 20_000 });
const loss = fc.double({ min: 0, max: 20, noNaN: true });
const sides = fc.dictionary(
  fc.constantFrom('XS', 'S', 'M', 'L', 'XL', '2XL'),
  fc.integer({ min: 50, max: 900 }),
  { minKeys: 1 },
);

describe('consumption of one ply', () => {
  it('is shared out by size so that the sizes add up to it exactly', () => {
    fc.assert(
      fc.property(millimetres, loss, sides, (length, relaxationLoss, all) => {
        const used = consumption(
          markerOf({ length, fabric: { relaxationLoss, pricePerMetre: 11.4 }, sides: all }),
        );
        const sum = (of: (s: (typeof used.bySize)[number]) => number) =>
          used.bySize.reduce((total, s) => total + of(s), 0);
        expect(sum((s) => s.length)).toBe(used.rollLength);
        expect(sum((s) => s.area)).toBe(used.area);
        expect(sum((s) => s.mass)).toBe(used.mass);
        expect(sum((s) => s.cost!)).toBe(used.cost);
        expect(sum((s) => s.garments)).toBe(used.garments);
      }),
    );
  });

  it('grows with the marker, the end allowance, the relaxation loss and the full width', () => {
    fc.assert(
      fc.property(millimetres, loss, fc.integer({ min: 0, max: 100 }), (length, relaxationLoss, more) => {
        const mass = (over: Parameters<typeof markerOf>[0]) => consumption(markerOf(over)).mass;
        const base = mass({ length, fabric: { relaxationLoss } });
        expect(mass({ length: length + more, fabric: { relaxationLoss } })).toBeGreaterThanOrEqual(base);
        expect(mass({ length, endAllowance: 20 + more, fabric: { relaxationLoss } })).toBeGreaterThanOrEqual(
          base,
        );
        expect(
          mass({ length, fabric: { relaxationLoss: relaxationLoss + more / 10 } }),
        ).toBeGreaterThanOrEqual(base);
        expect(
          mass({ length, fabric: { relaxationLoss, fullWidth: FABRIC.usableWidth + more } }),
        ).toBeGreaterThanOrEqual(base);
      }),
    );
  });

  it('draws off the roll what relaxes to the ply: the loss is a share of what is drawn', () => {
    const used = consumption(markerOf({ fabric: { relaxationLoss: 4 } }));
    expect(used.plyLength).toBeCloseTo(3.04, 12);
    expect(used.rollLength * (1 - 0.04)).toBeCloseTo(used.plyLength, 12);
  });

  it('does not count wash shrinkage: it is in the pieces already', () => {
    fc.assert(
      fc.property(millimetres, fc.double({ min: -5, max: 20, noNaN: true }), (length, s) => {
        const shrunk = markerOf({ length, fabric: { shrinkage: { walewise: s, coursewise: s } } });
        expect(consumption(shrunk)).toEqual(consumption(markerOf({ length })));
      }),
    );
  });

  it('of folded cloth is that of the open width, of a tube twice the flat width', () => {
    const open = consumption(markerOf({}));
    const folded = consumption(markerOf({ fabric: { mode: 'folded', fullWidth: 1700 } }));
    expect(folded.area).toBeCloseTo(folded.rollLength * 1.7, 12);
    expect(consumption(markerOf({ fabric: { mode: 'folded' } })).area).toBeCloseTo(open.area, 12);
    const tube = consumption(markerOf({ fabric: { mode: 'tubular', usableWidth: 900 } }));
    expect(tube.area).toBeCloseTo(tube.rollLength * 1.8, 12);
    const pair = consumption(markerOf({ fabric: { mode: 'face-to-face' } }));
    expect(pair.area).toBeCloseTo(open.area, 12);
  });

  it('counts the cloth that lies double at a splice, once', () => {
    const outline: Vec[] = [
      [1000, 0],
      [1000.1, 0],
      [1000.1, 1650],
      [1000, 1650],
    ];
    const used = consumption(markerOf({ zones: [{ kind: 'splice', outline, overlap: 40 }] }));
    expect(used.plyLength).toBeCloseTo(3.04, 12);
    expect(used.spliceOverlap).toBeCloseTo(0.04, 12);
    expect(used.rollLength).toBeCloseTo(3.08, 12);
    const pieces = 0.1 * (0.4 + 0.5);
    expect(used.utilisation).toBeCloseTo(pieces / (3.08 * 1.65), 12);
    expect(consumption(markerOf({}))).not.toHaveProperty('spliceOverlap');
  });

  it('leaves sizes without garments out', () => {
    const marker = markerOf({});
    const used = consumption({ ...marker, ratio: { S: 0, ...marker.ratio } });
    expect(used.bySize.map((s) => s.size)).toEqual(['M', 'L']);
    expect(used.bySize[1]!.length / used.bySize[0]!.length).toBeCloseTo(1.25, 12);
    expect(area(marker.pieces[1]!.outline)).toBe(50_000);
  });
});
