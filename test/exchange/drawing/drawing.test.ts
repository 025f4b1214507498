import fontkit from '@pdf-lib/fontkit';
import { describe, expect, it } from 'vitest';
import { onFold, partOutline } from '../../../src/exchange/drawing/fold.js';
import { grainArrow } from '../../../src/exchange/drawing/grain.js';
import { fitLabel, lettering } from '../../../src/exchange/drawing/label.js';
import { closestOnRing, partsInside, partsOutsideBox } from '../../../src/exchange/drawing/lines.js';
import {
  bundleFacts,
  bundleLabel,
  markerNote,
  markerShapes,
  placedShapes,
  plyFace,
  warningsOn,
} from '../../../src/exchange/drawing/marker.js';
import { cutCount } from '../../../src/exchange/drawing/piece.js';
import { bestRowCount, rowPicture, rowShapes, rowZones } from '../../../src/exchange/drawing/rows.js';
import { drawingBox, lineWidth, shapeBox } from '../../../src/exchange/drawing/shapes.js';
import { fontBytes } from '../../../src/exchange/files.js';
import { area, contains, counterClockwise, type Polygon } from '../../../src/geometry/polygon.js';
import { distance, type Vec } from '../../../src/geometry/vec.js';
import { toMarker } from '../../../src/lay/frame.js';
import { spreadOf } from '../../../src/lay/spread.js';
import type { ClothZone, Fabric, Marker } from '../../../src/lay/types.js';
import { bodyPiece, place, sampleMarker, sleevePiece, tubeMarker } from '../sample.js';

const SQUARE: Polygon = [
  [0, 0],
  [100, 0],
  [100, 100],
  [0, 100],
];
/** A U: a line across it lies inside twice. */
const U: Polygon = [
  [0, 0],
  [30, 0],
  [30, 20],
  [20, 20],
  [20, 10],
  [10, 10],
  [10, 20],
  [0, 20],
];

describe('lines', () => {
  it('are parted where they leave a polygon', () => {
    expect(
      partsInside(
        [
          [-5, 15],
          [35, 15],
        ],
        U,
      ),
    ).toEqual([
      [
        [0, 15],
        [10, 15],
      ],
      [
        [20, 15],
        [30, 15],
      ],
    ]);
    expect(
      partsInside(
        [
          [1, 1],
          [5, 5],
          [9, 1],
        ],
        U,
      ),
    ).toEqual([
      [
        [1, 1],
        [5, 5],
        [9, 1],
      ],
    ]);
    expect(
      partsInside(
        [
          [40, 0],
          [40, 20],
        ],
        U,
      ),
    ).toEqual([]);
  });

  it('are cut out where a label stands', () => {
    const middle: Vec = [50, 50];
    expect(
      partsOutsideBox(
        [
          [0, 50],
          [100, 50],
        ],
        middle,
        [10, 5],
      ),
    ).toEqual([
      [
        [0, 50],
        [40, 50],
      ],
      [
        [60, 50],
        [100, 50],
      ],
    ]);
    expect(
      partsOutsideBox(
        [
          [0, 60],
          [50, 60],
          [100, 60],
        ],
        middle,
        [10, 5],
      ),
    ).toEqual([
      [
        [0, 60],
        [50, 60],
        [100, 60],
      ],
    ]);
    expect(
      partsOutsideBox(
        [
          [45, 50],
          [55, 50],
        ],
        middle,
        [10, 5],
      ),
    ).toEqual([]);
  });

  it('find the nearest point of a ring', () => {
    expect(closestOnRing(SQUARE, [50, 103])).toEqual({ point: [50, 100], distance: 3 });
    expect(closestOnRing(SQUARE, [-3, -4])).toEqual({ point: [0, 0], distance: 5 });
  });
});

describe('a label', () => {
  it('stays inside its piece, box and all', () => {
    for (const marker of [sampleMarker(), tubeMarker()]) {
      for (const placed of marker.pieces) {
        const label = fitLabel(placed.outline, insideOf(placed.outline), [
          [placed.piece.name, placed.garment],
        ]);
        for (const [sx, sy] of [
          [-1, -1],
          [-1, 1],
          [1, -1],
          [1, 1],
        ] as const) {
          expect(
            contains(placed.outline, [
              label.at[0] + 0.999 * sx * label.half[0],
              label.at[1] + 0.999 * sy * label.half[1],
            ]),
          ).toBe(true);
        }
      }
    }
  });

  it('is as large as allowed where there is room, and turned in a narrow piece', () => {
    expect(fitLabel(SQUARE, [50, 50], [['ab']], { max: 9, min: 3 })).toMatchObject({ height: 9, angle: 0 });
    const narrow: Polygon = [
      [0, 0],
      [12, 0],
      [12, 200],
      [0, 200],
    ];
    expect(fitLabel(narrow, [6, 100], [['neckband M']], { max: 9, min: 3 }).angle).toBe(90);
  });

  it('falls back to fewer words before it becomes too small', () => {
    const tiny: Polygon = [
      [0, 0],
      [20, 0],
      [20, 20],
      [0, 20],
    ];
    const label = fitLabel(tiny, [10, 10], [['a long name that does not fit'], ['14']], { max: 9, min: 3 });
    expect(label.lines).toEqual(['14']);
    expect(label.height).toBeGreaterThanOrEqual(3);
  });

  it('reads downwards, line under line', () => {
    const label = fitLabel(SQUARE, [50, 50], [['one', 'two']], { max: 5, min: 3 });
    const [one, two] = lettering('LABEL', label);
    expect(one!.at[1] - two!.at[1]).toBeCloseTo(8.5, 9);
    expect(one!.at[0]).toBe(50);
  });
});

describe('the label of a placed piece', () => {
  const facts = (marker: Marker) => marker.pieces.map((placed) => bundleFacts(marker, placed));

  it('says style, piece, size, bundle, number, hand and which face of the cloth is up', () => {
    expect(facts(sampleMarker())[2]).toEqual([
      'Harbour crew',
      'sleeve M (mirrored)',
      'M-1',
      'no. 3',
      'face up',
    ]);
    expect(facts(tubeMarker())[0]).toEqual([
      'Harbour crew',
      'front M (on fold)',
      'M-1',
      'no. 1',
      'both faces',
    ]);
    const modes = (['single', 'face-to-face', 'folded', 'tubular'] as const).map((mode) => {
      const fabric: Fabric = { ...sampleMarker().fabric, mode };
      return plyFace(sampleMarker({ over: { fabric, spread: spreadOf(fabric) } }));
    });
    expect(modes).toEqual(['face up', 'both faces', 'both faces', 'both faces']);
  });

  it('is level or rising whichever way the piece lies, never upside down, and inside its outline', () => {
    const piece = sleevePiece('M', 0.7);
    for (let rotation = 0; rotation < 360; rotation += 15) {
      for (const mirrored of [false, true]) {
        const pose = { mirrored, rotation, at: [300, 400] as Vec };
        const outline = counterClockwise(piece.cut.map(toMarker(pose)));
        const placed = { piece, garment: 'M-1', number: 1, ...pose, outline };
        const words = placedShapes(sampleMarker(), placed).filter((s) => s.kind === 'text');
        expect(words.length).toBeGreaterThan(1);
        for (const word of words) {
          expect(word.angle).toBeGreaterThan(-90);
          expect(word.angle).toBeLessThanOrEqual(90);
          const { minX, minY, maxX, maxY } = shapeBox({ ...word, height: word.height / 2 });
          for (const corner of [
            [minX, minY],
            [maxX, minY],
            [maxX, maxY],
            [minX, maxY],
          ] as const) {
            expect(contains(outline, corner)).toBe(true);
          }
        }
      }
    }
  });

  it('is shortened in a small piece, and the number stays', () => {
    const piece = { ...bodyPiece('M'), notches: [] };
    const shown = [1, 0.1, 0.04, 0.015].map((k) => {
      const small = { ...piece, cut: piece.cut.map(([x, y]): Vec => [k * x, k * y]) };
      return bundleLabel(sampleMarker(), place(small, 'M-12', 34, false, [0, 0])).lines.join(' | ');
    });
    expect(shown[0]).toContain('Harbour crew');
    expect(shown.map((text) => text.length)).toEqual([...shown.map((t) => t.length)].sort((a, b) => b - a));
    expect(shown[3]!.length).toBeLessThan(shown[0]!.length);
    for (const text of shown) expect(text).toMatch(/34/);
  });

  it('has room for what the embedded typeface sets, letter by letter', () => {
    const font = fontkit.create(Buffer.from(fontBytes('DejaVuSans')));
    const capitals = 1493;
    for (let code = 0x20; code < 0x17f; code++) {
      if (code >= 0x7f && code < 0xa0) continue;
      const letter = String.fromCharCode(code);
      const set = font.layout(letter).advanceWidth / capitals;
      // A line of ten of it, so that the least of one height a letter does not decide alone.
      expect(lineWidth(letter.repeat(10)), letter).toBeGreaterThanOrEqual(10 * set - 1e-9);
    }
  });
});

describe('the grain', () => {
  const label = fitLabel(SQUARE, [50, 50], [['ab']], { max: 5, min: 3 });

  it('has one head for one way, two for either way, and makes room for the label', () => {
    const one = grainArrow([10, 50], [90, 50], SQUARE, label, { heads: 1 });
    expect(one.filter((s) => s.points.length === 3)).toHaveLength(1);
    const lines = one.filter((s) => s.points.length === 2);
    expect(lines).toHaveLength(2);
    for (const { points } of lines) {
      for (const p of points) expect(Math.abs(p[0] - 50)).toBeGreaterThanOrEqual(label.half[0] - 1e-9);
    }
    expect(
      grainArrow([10, 50], [90, 50], SQUARE, label, { heads: 2 }).filter((s) => s.points.length === 3),
    ).toHaveLength(2);
  });

  it('moves off the edge and off a line that would hide it, still parallel', () => {
    for (const [from, to, beside] of [
      [[10, 0], [90, 0], false],
      [[10, 50], [90, 50], true],
    ] as const) {
      const line = grainArrow(from, to, SQUARE, label, { heads: 1, beside }).find(
        (s) => s.points.length === 2,
      )!;
      const [a, b] = line.points as [Vec, Vec];
      expect(a[1]).toBeCloseTo(b[1], 9);
      expect(Math.abs(a[1] - 50)).toBeGreaterThan(label.half[1]);
      expect(distance(a, b)).toBeGreaterThan(60);
    }
  });
});

describe('a piece on the fold', () => {
  it('is told by its area and parted into cut line and fold', () => {
    const [half, sleeve] = tubeMarker().pieces;
    expect([onFold(half!), onFold(sleeve!)]).toEqual([true, false]);
    const { closed, cut, fold } = partOutline(half!);
    expect([closed, cut.length, fold.length]).toEqual([false, 1, 1]);
    // The parts meet end to end and are the whole outline.
    expect(cut[0]![0]).toEqual(fold[0]![fold[0]!.length - 1]);
    expect(cut[0]![cut[0]!.length - 1]).toEqual(fold[0]![0]);
    expect(cut[0]!.length + fold[0]!.length - 2).toBe(half!.outline.length);
    for (const [, y] of fold[0]!) expect(y).toBeCloseTo(0, 3);
  });
});

describe('a marker in rows', () => {
  const marker = sampleMarker({ repeats: 3 });

  it('shows the whole length once, the start on top, and every label in one row', () => {
    const { rows, width, height } = rowPicture(marker, 3);
    expect(rows[0]!.from).toBe(0);
    expect(rows[2]!.to).toBeCloseTo(marker.length, 9);
    expect(rows[1]!.from).toBe(rows[0]!.to);
    expect(rows[0]!.by[1]).toBeGreaterThan(rows[1]!.by[1]);
    expect(width * 3).toBeCloseTo(marker.length, 9);
    expect(height).toBeGreaterThan(3 * marker.width);
    const words = rows.flatMap((row) =>
      row.pieces.flatMap((placed) => rowShapes(placed, row, { max: 30, min: 20 })[1].map((l) => l.text)),
    );
    for (const { number } of marker.pieces) {
      expect(words.filter((w) => w === `${number}` || w.startsWith(`${number} `))).toHaveLength(1);
    }
  });

  it('keeps labels within their row, all lines moved alike', () => {
    const { rows, width } = rowPicture(marker, 4);
    for (const row of rows) {
      for (const placed of row.pieces) {
        const letters = rowShapes(placed, row, { max: 30, min: 20 })[1];
        if (letters.length === 0) continue;
        const box = drawingBox(letters);
        expect(box.minX).toBeGreaterThanOrEqual(-1e-6);
        expect(box.maxX).toBeLessThanOrEqual(width + 1e-6);
        if (letters.every((l) => l.angle === 0)) expect(new Set(letters.map((l) => l.at[0])).size).toBe(1);
      }
    }
  });

  it('draws a piece in every row that it reaches into', () => {
    const { rows } = rowPicture(marker, 4);
    for (const placed of marker.pieces) {
      const xs = placed.outline.map((p) => p[0]);
      const reached = rows.filter((row) => Math.min(...xs) < row.to && Math.max(...xs) > row.from);
      expect(rows.filter((row) => row.pieces.includes(placed))).toEqual(reached);
    }
  });

  it('takes as many rows as show it largest', () => {
    expect(bestRowCount(sampleMarker(), 270, 190)).toBe(1);
    expect(bestRowCount(marker, 270, 190)).toBe(2);
    expect(bestRowCount({ ...marker, length: 40_000 }, 270, 140)).toBe(3);
  });
});

describe('a marker drawing', () => {
  it('keeps everything within the cloth', () => {
    const marker = sampleMarker();
    const box = drawingBox(markerShapes(marker));
    expect(box).toEqual({ minX: 0, minY: 0, maxX: marker.length, maxY: marker.width });
  });

  it('notes what it is, in the unit of the reader, and what is wrong with it', () => {
    const note = markerNote(sampleMarker(), 'in');
    expect(note).toContain('Sizes S x 1, M x 2');
    expect(note).toContain('3 garments, 12 pieces placed, one layer a ply, right side up');
    expect(note).toContain('All pieces lie one way');
    expect(markerNote(tubeMarker(), 'cm')).toContain('Usable width 90 cm (900 mm), tube laid flat');
    expect(warningsOn(sampleMarker())).toEqual([]);
    expect(warningsOn(sampleMarker({ over: { verified: false, stamp: 's' } }))).toHaveLength(2);
  });

  it('counts pieces in words', () => {
    expect(cutCount({ asDrawn: 1, mirrored: 0 })).toBe('cut 1');
    expect(cutCount({ asDrawn: 2, mirrored: 1 })).toBe('cut 3: 2 as drawn, 1 mirrored');
    expect(cutCount({ asDrawn: 0, mirrored: 1 })).toBe('cut 1, mirrored');
  });
});

/** Some point well inside: the middle of the longest chord through the box's middle height. */
function insideOf(outline: Polygon): Vec {
  const ys = outline.map((p) => p[1]);
  const y = (Math.min(...ys) + Math.max(...ys)) / 2 + 0.123;
  const xs = outline.map((p) => p[0]);
  const parts = partsInside(
    [
      [Math.min(...xs) - 1, y],
      [Math.max(...xs) + 1, y],
    ],
    outline,
  );
  const [a, b] = parts.sort(
    (p, q) => distance(q[0]!, q[q.length - 1]!) - distance(p[0]!, p[p.length - 1]!),
  )[0]!;
  return [(a![0] + b![0]) / 2, y];
}

describe('flaws and splices', () => {
  const zones: ClothZone[] = [
    {
      kind: 'flaw',
      outline: [
        [100, -20],
        [140, -20],
        [140, 30],
        [100, 30],
      ],
      note: 'hole',
    },
    {
      kind: 'splice',
      outline: [
        [499.5, 0],
        [500.5, 0],
        [500.5, 1650],
        [499.5, 1650],
      ],
      overlap: 40,
    },
    {
      kind: 'flaw',
      outline: [
        [9000, 0],
        [9010, 0],
        [9010, 10],
        [9000, 10],
      ],
    },
  ];

  it('are drawn where they lie on the cloth, with what they are, and not beyond it', () => {
    const drawn = markerShapes(sampleMarker({ over: { zones } })).filter((s) => s.layer === 'ZONE');
    const strokes = drawn.filter((s) => s.kind === 'stroke');
    expect(strokes.map((s) => s.closed)).toEqual([true, false]);
    // Of the flaw only what lies on the cloth: 40 x 30 mm.
    expect(Math.abs(area(strokes[0]!.points) - 40 * 30)).toBeLessThan(0.1);
    expect(strokes[1]!.points).toEqual([
      [500, 0],
      [500, 1650],
    ]);
    expect(drawn.flatMap((s) => (s.kind === 'text' ? s.text : []))).toEqual([
      'flaw: hole',
      'splice, overlap 40 mm',
    ]);
    expect(markerShapes(sampleMarker()).filter((s) => s.layer === 'ZONE')).toEqual([]);
  });

  it('show in the small picture in the row that they lie in', () => {
    const marker = sampleMarker({ over: { zones } });
    const { rows } = rowPicture(marker, 2);
    const splice = rowZones(marker, rows[0]!).find((s) => !s.closed)!;
    expect(splice.points[0]![0]).toBeCloseTo(500 + rows[0]!.by[0], 9);
  });
});
