import { Buffer } from 'node:buffer';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  type PatternLine,
  type PatternPiece,
  patternDrawing,
  readDxf,
  readPatternDxf,
  writeR12,
  writeR13,
} from '../../../src/exchange/dxf/index.js';
import { area, signedArea } from '../../../src/geometry/polygon.js';
import { distance, type Vec } from '../../../src/geometry/vec.js';
import { groups, type Pair, read, section } from './helpers.js';

const HEAD = {
  style: 'Skerry',
  sampleSize: 'M',
  author: 'A. N. Other',
  date: new Date('2026-03-31T08:15:00Z'),
  units: 'METRIC',
} as const;

const text = (words: string, at: Vec = [1, 1], layer = '1'): Pair[] => [
  [0, 'TEXT'],
  [8, layer],
  [10, at[0]],
  [20, at[1]],
  [40, 2],
  [1, words],
];
const point = (layer: string, at: Vec): Pair[] => [
  [0, 'POINT'],
  [8, layer],
  [10, at[0]],
  [20, at[1]],
];
const line = (a: Vec, b: Vec, layer = '1'): Pair[] => [
  [0, 'LINE'],
  [8, layer],
  [10, a[0]],
  [20, a[1]],
  [11, b[0]],
  [21, b[1]],
];
const polyline = (points: readonly Vec[], layer = '1', closed = 1): Pair[] => [
  [0, 'LWPOLYLINE'],
  [8, layer],
  [90, points.length],
  [70, closed],
  ...points.flatMap((p): Pair[] => [
    [10, p[0]],
    [20, p[1]],
  ]),
];
const SQUARE: readonly Vec[] = [
  [0, 0],
  [100, 0],
  [100, 200],
  [0, 200],
];

/** A file of one piece, as some other program might have written it. */
function foreign(body: readonly Pair[], more: { style?: Pair[]; header?: Pair[] } = {}): string {
  const head = section('HEADER', [9, '$ACADVER'], [1, 'AC1015'], ...(more.header ?? []));
  const block: Pair[] = [
    [0, 'SECTION'],
    [2, 'BLOCKS'],
    [0, 'BLOCK'],
    [8, '0'],
    [2, 'P1'],
    [10, 0],
    [20, 0],
  ];
  const insert: Pair[] = [
    [0, 'INSERT'],
    [8, '1'],
    [2, 'P1'],
    [10, 0],
    [20, 0],
  ];
  const end: Pair[] = [
    [0, 'ENDBLK'],
    [0, 'ENDSEC'],
    ...section('ENTITIES', ...insert, ...(more.style ?? [])),
  ];
  return [head, block, body, end, [[0, 'EOF'] as const]].map((part) => groups(part)).join('');
}

const METRIC = { style: text('Units: METRIC') };

describe('units of a pattern file', () => {
  const file = (style: Pair[], header: Pair[] = []) => read(foreign(polyline(SQUARE), { style, header }));
  const insUnits = (value: number): Pair[] => [
    [9, '$INSUNITS'],
    [70, value],
  ];

  it.each([
    ['Units: METRIC', 'mm', 1],
    ['UNITS:metric', 'mm', 1],
    ['  units :  English ', 'in', 25.4],
  ] as const)('are what %j says', (words, units, mm) => {
    const pattern = readPatternDxf(file(text(words)));
    expect(pattern).toMatchObject({ units, unitsFrom: 'text', mmPerUnit: mm });
    expect(area(pattern.pieces[0]!.boundary.vertices.map((v) => v.at))).toBeCloseTo(20000 * mm * mm, 3);
  });

  it("are the header's where no text says any", () => {
    for (const [code, units, mm] of [
      [1, 'in', 25.4],
      [4, 'mm', 1],
      [5, 'cm', 10],
    ] as const) {
      expect(readPatternDxf(file([], insUnits(code)))).toMatchObject({
        units,
        unitsFrom: 'header',
        mmPerUnit: mm,
      });
    }
  });

  it('stay open where nothing says them, or text and header contradict each other', () => {
    for (const open of [file([]), file([], insUnits(0)), file(text('Units: METRIC'), insUnits(1))]) {
      const pattern = readPatternDxf(open);
      expect(pattern).toMatchObject({ units: undefined, unitsFrom: undefined, mmPerUnit: 1 });
      expect(pattern.pieces[0]!.boundary.vertices[2]!.at).toEqual([100, 200]);
    }
    expect(readPatternDxf(file(text('Units: METRIC'), insUnits(1))).notes.join()).toMatch(
      /the text says the units are METRIC, the header says in/,
    );
    expect(readPatternDxf(file([], insUnits(6))).notes.join()).toMatch(/INSUNITS 6/);
    // Measurement is a default of many programs: no proof.
    const measured = readPatternDxf(
      file(
        [],
        [
          [9, '$MEASUREMENT'],
          [70, 1],
        ],
      ),
    );
    expect(measured.units).toBeUndefined();
  });

  it("are the caller's when the caller says them", () => {
    const pattern = readPatternDxf(file(text('Units: METRIC'), insUnits(1)), { units: 'in' });
    expect(pattern).toMatchObject({ units: 'in', unitsFrom: 'option', mmPerUnit: 25.4 });
  });
});

describe('a pattern file of another program', () => {
  it('is read with keywords in any case and spacing, on any layer, and several lines in one text', () => {
    const words = [
      ...text('PIECE NAME :front', [5, 5], '15'),
      ...text('size: M', [5, 9], 'TEXTS'),
      ...text('Quantity:1, 2', [5, 15]),
      [0, 'MTEXT'] as Pair,
      [8, '1'] as Pair,
      [10, 3] as Pair,
      [20, 3] as Pair,
      [40, 2] as Pair,
      [1, '{\\fArial|b0;Material: self}\\PCategory: body\\PAnnotation: drill 3 mm\\Pmind the nap'] as Pair,
    ];
    const style = [...text('STYLE NAME: Skerry'), ...text('units: metric'), ...text('Sample size: M')];
    const pattern = readPatternDxf(read(foreign([...polyline(SQUARE), ...words], { style })));
    expect(pattern.style).toMatchObject({ name: 'Skerry', sampleSize: 'M' });
    expect(pattern.pieces[0]).toMatchObject({
      name: 'front',
      block: 'P1',
      size: 'M',
      quantity: { asDrawn: 1, mirrored: 2 },
      material: 'self',
      category: 'body',
    });
    expect(pattern.pieces[0]!.annotations.map((a) => a.text)).toEqual(['drill 3 mm', 'mind the nap']);
  });

  it.each([
    [
      'lines that meet, in any order and direction',
      [
        ...line([100, 200], [0, 200]),
        ...line([0, 0], [100, 0]),
        ...line([0, 0], [0, 200.03]),
        ...line([100, 200], [100, 0]),
      ],
      [],
    ],
    ['an open polyline whose ends meet', polyline([...SQUARE, [0, 0]], '1', 0), []],
    ['a clockwise polyline', polyline([...SQUARE].reverse()), []],
    ['a layer named 01', polyline(SQUARE, '01'), []],
    ['a polyline that gapes a little', polyline([...SQUARE, [0, 0.4]], '1', 0), [/gaped by 0.400/]],
  ] as const)('has a boundary of %s', (_, body, notes) => {
    const pattern = readPatternDxf(read(foreign(body, METRIC)));
    const ring = pattern.pieces[0]!.boundary.vertices.map((v) => v.at);
    expect(signedArea(ring)).toBeGreaterThan(0);
    expect(Math.abs(area(ring) - 20000)).toBeLessThan(50);
    expect(pattern.dropped).toEqual([]);
    const said = pattern.notes.filter((n) => !/no turn or curve points/.test(n));
    expect(said).toHaveLength(notes.length);
    notes.forEach((note, i) => {
      expect(said[i]).toMatch(note);
    });
  });

  it('takes a half that is open along its mirror line', () => {
    const half: Vec[] = [
      [0, 0],
      [100, 0],
      [100, 200],
      [0, 200],
    ];
    const body = [...polyline(half, '1', 0), ...line([0, -5], [0, 205], '6')];
    const [piece] = readPatternDxf(read(foreign(body, METRIC))).pieces;
    expect(area(piece!.boundary.vertices.map((v) => v.at))).toBeCloseTo(20000, 6);
    expect(piece!.mirror).toEqual({ from: [0, -5], to: [0, 205] });
  });

  it('makes chords of arcs and splines, and tells them from the vertices that were drawn', () => {
    const half: Pair[] = [
      [0, 'LWPOLYLINE'],
      [8, '1'],
      [90, 3],
      [70, 1],
      [10, 0],
      [20, 0],
      [10, 100],
      [20, 0],
      [42, 1],
      [10, 100],
      [20, 100],
    ];
    const [piece] = readPatternDxf(read(foreign(half, METRIC)), { tolerance: 0.01 }).pieces;
    const { vertices } = piece!.boundary;
    // Chords cut off a little of the half circle of radius 50: less than 2/3 of the tolerance along its arc.
    const missing = 5000 + (Math.PI * 2500) / 2 - area(vertices.map((v) => v.at));
    expect(missing).toBeGreaterThan(0);
    expect(missing).toBeLessThan(0.01 * Math.PI * 50);
    expect(vertices.length).toBeGreaterThan(30);
    // The half circle leaves the first side smoothly, and comes back with a corner.
    expect(vertices.filter((v) => v.kind === 'turn').map((v) => v.at)).toEqual([
      [0, 0],
      [100, 100],
    ]);
  });

  it('finds corners by their bend where no point marks them, and says so', () => {
    const round = Array.from(
      { length: 24 },
      (_, i): Vec => [100 + 50 * Math.cos((i * Math.PI) / 23), 50 * Math.sin((i * Math.PI) / 23)],
    );
    const pattern = readPatternDxf(read(foreign(polyline(round), METRIC)));
    expect(pattern.pieces[0]!.boundary.vertices.filter((v) => v.kind === 'turn')).toHaveLength(2);
    expect(pattern.notes).toEqual(["'P1' has no turn or curve points: its corners were found by their bend"]);
  });

  it('matches points and rule numbers by their place, whatever layer the numbers are on', () => {
    const body = [
      ...polyline(SQUARE),
      ...point('2', [0, 0]),
      ...point('3', [100, 0.004]),
      ...text('# 4', [0, 0], '2'),
      ...text('#5', [100, 0], 'RULES'),
      ...point('4', [50, 0]),
      ...text('# 6', [50, 0], '4'),
      ...point('13', [50, 50]),
      ...text('# 7', [50, 50], '1'),
      ...text('# 8', [70, 70], '2'),
      ...point('2', [33, 33]),
    ];
    const { pieces, dropped } = readPatternDxf(read(foreign(body, METRIC)));
    expect(pieces[0]!.boundary.vertices.map((v) => [v.kind, v.rule])).toEqual([
      ['turn', 4],
      ['curve', 5],
      ['interpolated', undefined],
      ['interpolated', undefined],
    ]);
    expect(pieces[0]!.notches).toMatchObject([{ at: [50, 0], rule: 6 }]);
    expect(pieces[0]!.drillHoles).toEqual([{ at: [50, 50], rule: 7 }]);
    expect(dropped.map((d) => d.what)).toEqual([
      'grade rule number that stands at no point',
      "turn point that is on no line's vertex",
    ]);
  });

  it('tells a notch that shares its place with a vertex by the layer of the number', () => {
    const body = [
      ...polyline(SQUARE),
      ...point('2', [0, 0]),
      ...text('# 1', [0, 0], '2'),
      ...point('4', [0, 0]),
      ...text('# 2', [0, 0], '4'),
      // Boundary and sewing line meet here, and move apart in other sizes.
      ...polyline(
        [
          [0, 0],
          [50, 50],
        ],
        '14',
        0,
      ),
      ...text('# 3', [0, 0], '2'),
    ];
    const [piece] = readPatternDxf(read(foreign(body, METRIC))).pieces;
    expect(piece!.boundary.vertices[0]!.rule).toBe(1);
    expect(piece!.notches[0]!.rule).toBe(2);
    expect(piece!.sewLines[0]!.vertices[0]!.rule).toBe(3);
  });

  it('reads notches of every shape, drawn as points or as short lines', () => {
    const body = [
      ...polyline(SQUARE),
      ...['4', '80', '81', '82', '83'].flatMap((layer, i): Pair[] => [
        ...point(layer, [0, 10 * (i + 1)]),
        [30, 3],
        [39, 2],
        [50, 0],
      ]),
      ...line([95, 100], [100, 100], '4'),
    ];
    const [piece] = readPatternDxf(read(foreign(body, METRIC))).pieces;
    expect(piece!.notches.map((n) => n.shape)).toEqual(['slit', 't', 'castle', 'check', 'u', 'slit']);
    expect(piece!.notches[0]).toEqual({ at: [0, 10], shape: 'slit', depth: 3, width: 2, angle: 0 });
    expect(piece!.notches[5]).toEqual({ at: [100, 100], shape: 'slit', depth: 5, width: 0, angle: 180 });
  });

  it('counts what it has no place for', () => {
    const body = [
      ...polyline(SQUARE),
      ...line([0, 0], [5, 5], '9'),
      ...line([0, 0], [5, 5], 'FRAME'),
      ...line([0, 0], [6, 5], 'FRAME'),
      ...polyline([
        [1, 1],
        [9, 1],
        [9, 9],
      ]),
      ...line([10, 10], [10, 90], '7'),
      ...line([12, 10], [12, 90.5], '7'),
      ...point('99', [3, 3]),
    ];
    const { dropped, pieces } = readPatternDxf(read(foreign(body, METRIC)));
    expect(dropped.map((d) => `${d.count} ${d.what}`).sort()).toEqual([
      '1 further line on layer 1',
      '1 further line on layer 7',
      '1 line on layer 9',
      '1 point on layer 99',
      '2 line on layer FRAME',
    ]);
    expect(pieces[0]!.grain).toEqual({ from: [12, 10], to: [12, 90.5] });
  });

  it('reads pieces at the size of their blocks, moved by the base point, and notes an INSERT that scales', () => {
    const text = groups([
      ...section('BLOCKS', [0, 'BLOCK'], [8, '0'], [2, 'P1'], [10, 10], [20, 20], ...polyline(SQUARE), [
        0,
        'ENDBLK',
      ]),
      ...section('ENTITIES', [0, 'INSERT'], [2, 'P1'], [10, 500], [20, 0], [41, 2], [42, 2]),
      [0, 'EOF'],
    ]);
    const { pieces, notes } = readPatternDxf(read(text), { units: 'mm' });
    expect(pieces[0]!.boundary.vertices[0]!.at).toEqual([-10, -20]);
    expect(notes.join()).toMatch(/the drawing shows the block 'P1' scaled by 2/);
  });

  it('resolves blocks inside a piece and does not take them for pieces', () => {
    const text = groups([
      ...section(
        'BLOCKS',
        [0, 'BLOCK'],
        [2, 'SHAPE'],
        ...polyline(SQUARE),
        [0, 'ENDBLK'],
        [0, 'BLOCK'],
        [2, 'FRONT'],
        [0, 'INSERT'],
        [2, 'SHAPE'],
        [10, 7],
        [20, 0],
        [0, 'ENDBLK'],
      ),
      ...section('ENTITIES', [0, 'INSERT'], [2, 'FRONT'], [10, 0], [20, 0]),
      [0, 'EOF'],
    ]);
    const { pieces } = readPatternDxf(read(text), { units: 'mm' });
    expect(pieces.map((p) => [p.block, p.boundary.vertices[0]!.at])).toEqual([['FRONT', [7, 0]]]);
  });
});

/** Coordinates of a grid, so that no two vertices of a piece meet by chance. */
const inside = fc
  .tuple(fc.integer({ min: 1, max: 199 }), fc.integer({ min: 1, max: 299 }))
  .map(([x, y]): Vec => [x, y]);
const kind = fc.constantFrom('turn', 'curve', 'interpolated');
const words = fc
  .string({ unit: 'grapheme-composite', minLength: 1, maxLength: 20 })
  .map((s) => s.replace(/[\p{C}\p{Z}:#%^\\{}]+/gu, '-'))
  .filter((s) => s.trim() !== '');
const rule = fc.option(fc.integer({ min: 1, max: 999 }), { nil: undefined });
const ruled = <T extends object>(item: T, number: number | undefined) =>
  number === undefined ? item : { ...item, rule: number };

/** A star round (100, 150), `salt` keeping the places of several lines apart. */
const lineOf = (closed: boolean, salt: number): fc.Arbitrary<PatternLine> =>
  fc
    .array(fc.tuple(fc.integer({ min: 40, max: 99 }), kind, rule), { minLength: 3, maxLength: 30 })
    .map((spokes) => ({
      closed,
      vertices: spokes.map(([radius, what, number], i) => {
        const angle = (2 * Math.PI * i) / spokes.length + salt / 100;
        const at: Vec = [100 + radius * Math.cos(angle), 150 + radius * Math.sin(angle) + salt / 7];
        return {
          at,
          kind: what,
          ...(what === 'interpolated' || number === undefined ? {} : { rule: number }),
        };
      }),
    }));

const axis = fc
  .tuple(inside, inside)
  .filter(([a, b]) => distance(a, b) > 1)
  .map(([from, to]) => ({ from, to }));

const piece: fc.Arbitrary<PatternPiece> = fc
  .record({
    name: words,
    size: fc.option(words, { nil: undefined }),
    quantity: fc.option(
      fc.record({ asDrawn: fc.integer({ min: 0, max: 9 }), mirrored: fc.integer({ min: 0, max: 9 }) }),
      { nil: undefined },
    ),
    material: fc.option(words, { nil: undefined }),
    category: fc.option(words, { nil: undefined }),
    boundary: lineOf(true, 0),
    mirror: fc.option(axis, { nil: undefined }),
    grain: fc.option(axis, { nil: undefined }),
    gradeReference: fc.option(axis, { nil: undefined }),
    internals: fc.tuple(lineOf(false, 1), lineOf(true, 2)),
    cutouts: fc.tuple(lineOf(true, 3)),
    sewLines: fc.tuple(lineOf(true, 4), lineOf(false, 5)),
    notches: fc.uniqueArray(
      fc.record({
        at: inside,
        shape: fc.constantFrom('slit', 't', 'castle', 'check', 'u'),
        depth: fc.integer({ min: 1, max: 9 }),
        width: fc.integer({ min: 0, max: 9 }),
        angle: fc.option(fc.integer({ min: -179, max: 180 }), { nil: undefined }),
        number: rule,
      }),
      { maxLength: 5, selector: ({ at }) => at.join() },
    ),
    drillHoles: fc.uniqueArray(fc.record({ at: inside, number: rule }), {
      maxLength: 4,
      selector: ({ at }) => at.join(),
    }),
    annotations: fc.array(fc.record({ at: inside, height: fc.integer({ min: 1, max: 9 }), text: words }), {
      maxLength: 3,
    }),
  })
  .map(({ notches, drillHoles, ...rest }) => ({
    ...rest,
    block: '',
    notches: notches.map(({ number, ...notch }) => ruled(notch, number)),
    drillHoles: drillHoles.map(({ number, ...hole }) => ruled(hole, number)),
  }));

describe('any piece, written and read back,', () => {
  it('is the same piece: every point, kind, rule, notch, hole, line and word', () => {
    fc.assert(
      fc.property(
        fc.array(piece, { minLength: 1, maxLength: 3 }),
        fc.constantFrom('METRIC', 'ENGLISH'),
        fc.constantFrom(writeR13, writeR12),
        (pieces, units, write) => {
          const content = write(patternDrawing(pieces, { ...HEAD, units, ruleTable: 'skerry' }));
          const back = readPatternDxf(readDxf(Buffer.from(content), 'back.dxf'));
          expect(back).toMatchObject({ dropped: [], units: units === 'METRIC' ? 'mm' : 'in' });
          expect(back.style).toMatchObject({ name: 'Skerry', author: 'A. N. Other', ruleTable: 'skerry' });
          expect(back.pieces).toHaveLength(pieces.length);
          back.pieces.forEach((found, i) => {
            expectSame(found, pieces[i]!);
          });
        },
      ),
      { numRuns: 40 },
    );
  });
});

function expectSame(found: PatternPiece, given: PatternPiece): void {
  for (const key of ['name', 'size', 'quantity', 'material', 'category'] as const) {
    expect(found[key]).toEqual(given[key]);
  }
  const lines = (p: PatternPiece) => [p.boundary, ...p.internals, ...p.cutouts, ...p.sewLines];
  const [ours, theirs] = [lines(found), lines(given)];
  expect(ours.map((l) => l.closed)).toEqual(theirs.map((l) => l.closed));
  const marked = theirs.some((l) => l.vertices.some((v) => v.kind !== 'interpolated'));
  ours.forEach((own, i) => {
    expect(own.vertices).toHaveLength(theirs[i]!.vertices.length);
    own.vertices.forEach((v, k) => {
      const vertex = theirs[i]!.vertices[k]!;
      expect(distance(v.at, vertex.at)).toBeLessThan(0.01);
      // Without any mark in the piece corners are told by their bend.
      if (marked) expect(v.kind).toBe(vertex.kind);
      expect(v.rule).toBe(vertex.rule);
    });
  });
  for (const key of ['mirror', 'grain', 'gradeReference'] as const) {
    expect(found[key] === undefined).toBe(given[key] === undefined);
    for (const end of ['from', 'to'] as const) {
      if (given[key]) expect(distance(found[key]![end], given[key][end])).toBeLessThan(0.01);
    }
  }
  expect(found.notches.map((n) => [n.shape, n.rule])).toEqual(given.notches.map((n) => [n.shape, n.rule]));
  found.notches.forEach((n, i) => {
    const notch = given.notches[i]!;
    expect(distance(n.at, notch.at)).toBeLessThan(0.01);
    expect(n.depth).toBeCloseTo(notch.depth, 3);
    expect(n.width).toBeCloseTo(notch.width, 3);
    if (notch.angle === undefined) expect(n.angle).toBeUndefined();
    else expect(n.angle).toBeCloseTo(notch.angle, 3);
  });
  expect(found.drillHoles.map((h) => h.rule)).toEqual(given.drillHoles.map((h) => h.rule));
  found.drillHoles.forEach((h, i) => {
    expect(distance(h.at, given.drillHoles[i]!.at)).toBeLessThan(0.01);
  });
  expect(found.annotations.map((a) => a.text)).toEqual(given.annotations.map((a) => a.text));
}

describe('a hostile pattern file', () => {
  const wave = (count: number, height: number): Pair[] => [
    [0, 'SPLINE'],
    [8, '8'],
    [70, 0],
    [71, 2],
    ...Array.from({ length: count + 3 }, (_, i): Pair => [40, i]),
    ...Array.from({ length: count }, (_, i): Pair[] => [
      [10, i],
      [20, i % 2 === 0 ? height : -height],
    ]).flat(),
  ];

  it('with curves of kilometres is refused before they become chords', () => {
    const file = read(foreign([...polyline(SQUARE), ...wave(5000, 9e7)], METRIC));
    expect(() => readPatternDxf(file)).toThrow('the curves of the DXF are too long to be drawn as chords');
    const fewer = read(foreign([...polyline(SQUARE), ...wave(5000, 900)], METRIC));
    expect(() => readPatternDxf(fewer, { limits: { vertices: 20_000 } })).toThrow('more than 20000 chords');
    expect(readPatternDxf(fewer).pieces[0]!.internals).toHaveLength(1);
  });

  it('with a hundred thousand lines for notches is read without looking at the boundary for each', () => {
    const round = Array.from(
      { length: 3000 },
      (_, i): Vec => [100 * Math.cos((i * Math.PI) / 1500), 100 * Math.sin((i * Math.PI) / 1500)],
    );
    const nicks = Array.from({ length: 100_000 }, (_, i) => line([i / 1000, 0], [i / 1000, 3], '4')).flat();
    const { pieces } = readPatternDxf(read(foreign([...polyline(round), ...nicks], METRIC)));
    expect(pieces[0]!.notches).toHaveLength(100_000);
    expect(pieces[0]!.notches[7]).toMatchObject({ at: [0.007, 0], depth: 3, angle: 90 });
  });

  it('with everything in one place is read in the time that its length asks for', () => {
    const heap = Array.from({ length: 20_000 }, () => [
      ...point('2', [0, 0]),
      ...text('# 1', [0, 0], '2'),
    ]).flat();
    const same = Array.from({ length: 20_000 }, () => line([0, 0], [1, 0])).flat();
    const { pieces } = readPatternDxf(read(foreign([...polyline(SQUARE), ...heap, ...same], METRIC)));
    expect(pieces[0]!.boundary.vertices[0]).toMatchObject({ kind: 'turn', rule: 1 });
  });
});
