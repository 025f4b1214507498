import { describe, expect, it } from 'vitest';
import { InputError } from '../../src/errors.js';
import { friendlyErrors } from '../../src/fields.js';
import { bounds, signedArea } from '../../src/geometry/polygon.js';
import {
  clothZones,
  fabricSchema,
  flawsSchema,
  layMarker,
  laySchema,
  markersSchema,
  planMarker,
  resolveFabric,
} from '../../src/lay/index.js';
import { cutPiece, FABRIC, LAY } from './samples.js';

const messages = (data: unknown): string[] => {
  const result = flawsSchema('cm').safeParse(data, { error: friendlyErrors });
  return result.success
    ? []
    : result.error.issues.map((issue) => `${issue.path.join('.')}: ${issue.message}`);
};

describe('flaws and splices', () => {
  it('are rectangles, polygons and lines in the units of the style', () => {
    const part = flawsSchema('cm').parse({
      flaws: [
        { at: [120, '40 mm'], size: [3, 5], note: 'hole' },
        {
          polygon: [
            [10, 0],
            [10, 20],
            [30, 0],
          ],
        },
      ],
      splices: [{ at: '3.1 m', overlap: 4 }],
    });
    const [hole, run, splice] = clothZones(part, 1650);
    expect(hole).toMatchObject({ kind: 'flaw', note: 'hole' });
    expect(bounds(hole!.outline)).toEqual({ minX: 1200, minY: 40, maxX: 1230, maxY: 90 });
    // Drawn clockwise, turned.
    expect(signedArea(run!.outline)).toBeCloseTo(20_000, 6);
    expect(splice).toMatchObject({ kind: 'splice', overlap: 40 });
    expect(bounds(splice!.outline)).toEqual({ minX: 3099.95, minY: 0, maxX: 3100.05, maxY: 1650 });
  });

  it.each([
    [{ flaws: [{ at: [1, 2] }] }, "flaws.0: a flaw needs 'at' and 'size', or a 'polygon'"],
    [
      {
        flaws: [
          {
            at: [1, 2],
            polygon: [
              [0, 0],
              [1, 0],
              [0, 1],
            ],
          },
        ],
      },
      "flaws.0: give 'polygon', or 'at' with 'size', not both",
    ],
    [
      {
        flaws: [
          {
            polygon: [
              [0, 0],
              [4, 4],
              [4, 0],
              [0, 4.5],
            ],
          },
        ],
      },
      'flaws.0: its polygon crosses itself',
    ],
    [
      {
        flaws: [
          {
            polygon: [
              [0, 0],
              [1, 1],
              [2, 2],
            ],
          },
        ],
      },
      'flaws.0: its polygon has no area',
    ],
    [{ splice: [{ at: 3 }] }, ": unknown field 'splice': did you mean 'splices'?"],
    [{ splices: [{ at: -3 }] }, 'splices.0.at: -3 must be more than 0'],
  ])('in %j say what is wrong', (data, message) => {
    expect(messages(data)).toEqual([message]);
  });

  it('off the cloth are a slip, and named', () => {
    const part = flawsSchema('in').parse({ flaws: [{ at: [10, 70], size: [1, 1] }] });
    expect(() => clothZones(part, 1650)).toThrow(InputError);
    expect(() => clothZones(part, 1650)).toThrow('flaw 1 lies off the cloth: 177.8 cm to 180.3 cm across');
  });

  it('lengthen a marker that would run over them, and no piece crosses a splice', async () => {
    const block = cutPiece('block', [
      [0, 0],
      [100, 0],
      [100, 100],
      [0, 100],
    ]);
    const spec = {
      name: 'm',
      style: 's',
      pieces: [block],
      fabric: { ...FABRIC, usableWidth: 210 },
      ratio: { M: 4 },
      options: LAY,
    };
    const plain = await layMarker(spec, { iterations: 1, threads: 0 });
    expect(plain.length).toBeCloseTo(202, 3);
    expect(plain.zones).toBeUndefined();
    const spliced = await layMarker(
      { ...spec, flaws: { splices: [{ at: 150, overlap: 40 }] } },
      { iterations: 1, threads: 0 },
    );
    // Two before the line, two behind it and the gap, which a splice asks for like a piece.
    expect(spliced.length).toBeCloseTo(150 + 0.05 + 2 + 100, 3);
    for (const p of spliced.pieces) {
      const { minX, maxX } = bounds(p.outline);
      expect(maxX <= 150 || minX >= 150).toBe(true);
    }
    expect(spliced.zones).toHaveLength(1);
  });

  it('in a marker of a style are read with it', () => {
    const [marker] = markersSchema('cm').parse([
      { name: 'a', fabric: 'self', ratio: { M: 1 }, splices: [{ at: 200 }] },
    ]);
    expect(marker!.splices).toEqual([{ at: 2000 }]);
  });
});

describe('the fabric of a style', () => {
  const resolve = (part: object, preset?: object) =>
    resolveFabric(
      'self',
      fabricSchema('cm').parse({ 'g-per-m2': 200, ...part }),
      preset && fabricSchema('cm').parse(preset),
      'EUR',
    );

  it('takes any two of full width, usable width and selvedge', () => {
    expect(resolve({ 'full-width': 170, selvedge: 2 })).toMatchObject({ usableWidth: 1660, fullWidth: 1700 });
    expect(resolve({ 'usable-width': 150, selvedge: 1 })).toMatchObject({
      usableWidth: 1500,
      fullWidth: 1520,
    });
    // More may be left than the selvedges: a margin of the marker.
    expect(resolve({ 'full-width': 170, 'usable-width': 160, selvedge: 2 }).usableWidth).toBe(1600);
    // The preset's usable width gives way to a selvedge that the style states.
    expect(resolve({ selvedge: 5 }, { 'full-width': 168, 'usable-width': 165 }).usableWidth).toBe(1580);
  });

  it('refuses widths that contradict each other, and a selvedge of a tube', () => {
    expect(() => resolve({ 'full-width': 170, 'usable-width': 169, selvedge: 2 })).toThrow(
      "fabric 'self' is 170 cm wide in full; two selvedges of 2 cm leave 166 cm, not 169 cm",
    );
    expect(() => resolve({ 'usable-width': 90, mode: 'tubular', selvedge: 1 })).toThrow(
      "fabric 'self' is a tube, which has no selvedge",
    );
  });

  it('names the lay modes, and where it stretches', () => {
    expect(resolve({ 'usable-width': 150, mode: 'face-to-face', 'stretch-along': 'wale' })).toMatchObject({
      mode: 'face-to-face',
      stretchAlong: 'wale',
    });
    const wrong = fabricSchema('cm').safeParse({ mode: 'fold' }, { error: friendlyErrors });
    expect(wrong.error!.issues[0]!.message).toBe(
      "'fold' is not one of single, face-to-face, folded, tubular",
    );
  });

  it('turns a piece whose stretch runs otherwise than its own', () => {
    const piece = cutPiece(
      'band',
      [
        [0, 0],
        [300, 0],
        [300, 80],
        [0, 80],
      ],
      { stretch: { along: 'course', percent: 40 } },
    );
    const spec = {
      name: 'm',
      style: 's',
      pieces: [piece],
      ratio: { M: 1 },
      options: LAY,
      fabric: { ...FABRIC, usableWidth: 200, stretchAlong: 'wale' as const },
    };
    // Turned it is 80 mm wide and fits; with the fabric stretching across it would not.
    expect(planMarker(spec).demands).toHaveLength(1);
    expect(() => planMarker({ ...spec, fabric: { ...FABRIC, usableWidth: 200 } })).toThrow(/300\.0 mm wide/);
  });
});

describe('the lay of a style', () => {
  it('has rules of folds, tilt and shade, with house defaults', () => {
    expect(laySchema('cm').parse({}).options).toMatchObject({ foldMargin: 5, onFold: 'odd', tilt: 0 });
    const { options } = laySchema('cm').parse({
      tilt: 1.5,
      'on-fold': 'all',
      'shade-span': '2 m',
      'fold-margin': 0,
    });
    expect(options).toMatchObject({ tilt: 1.5, onFold: 'all', shadeSpan: 2000, foldMargin: 0 });
    const wrong = laySchema('cm').safeParse({ tilt: 12 }, { error: friendlyErrors });
    expect(wrong.error!.issues[0]!.message).toBe("number '12' must be at most 10");
    const slip = laySchema('cm').safeParse({ 'shade-spam': 3 }, { error: friendlyErrors });
    expect(slip.error!.issues[0]!.message).toBe("unknown field 'shade-spam': did you mean 'shade-span'?");
  });
});
