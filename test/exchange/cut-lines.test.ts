import fc from 'fast-check';
import { describe, expect, it, vi } from 'vitest';
import { type CutLine, checkCutLines, cutLines, judgeLines } from '../../src/exchange/cut-lines.js';
import { type MarkerDxfOptions, markerDxf } from '../../src/exchange/dxf-marker.js';
import { SegmentGrid } from '../../src/exchange/segment-grid.js';
import { type Polygon, perimeter } from '../../src/geometry/polygon.js';
import { distance, type Vec } from '../../src/geometry/vec.js';
import { toMarker } from '../../src/lay/frame.js';
import type { Marker } from '../../src/lay/types.js';
import { sampleMarker, tubeMarker } from './sample.js';
import { hasEzdxf, hasPython, needing, PYTHON, run, withFile } from './tools.js';

// Starting Python takes its time on a busy machine.
vi.setConfig({ testTimeout: 60_000 });

const box = (x: number, y: number, width: number, height: number): Polygon => [
  [x, y],
  [x + width, y],
  [x + width, y + height],
  [x, y + height],
];
const closed = (piece: number, points: Polygon, over: Partial<CutLine> = {}): CutLine => ({
  piece,
  name: 'front M',
  closed: true,
  points,
  folds: [],
  ...over,
});
const judge = (rings: readonly Polygon[], gap: number) =>
  judgeLines(
    rings.map((ring, i) => closed(i + 1, ring)),
    gap,
  );

describe('the cut lines of a marker', () => {
  it('are closed, counted and as long as the outlines', () => {
    const marker = sampleMarker();
    const report = checkCutLines(marker);
    expect(report).toMatchObject({
      marker: 'main',
      pieces: 12,
      closed: 12,
      foldToFold: 0,
      shared: 0,
      faults: [],
    });
    const around = marker.pieces.reduce((sum, p) => sum + perimeter(p.outline), 0);
    expect(report.length).toBeCloseTo(around, 6);
  });

  it('leave the fold out of a half on the fold, and run from fold to fold', () => {
    const tube = tubeMarker();
    const report = checkCutLines(tube);
    expect(report).toMatchObject({ closed: 1, foldToFold: 1, faults: [] });
    const [half, sleeve] = tube.pieces;
    const onFold = half!.outline.filter(([, y]) => Math.abs(y) < 1e-6).map(([x]) => x);
    const fold = Math.max(...onFold) - Math.min(...onFold);
    expect(report.length).toBeCloseTo(perimeter(half!.outline) + perimeter(sleeve!.outline) - fold, 6);
  });

  it('start at the same place of every copy, mirrored or not, and run counter-clockwise', () => {
    const marker = sampleMarker();
    const lines = cutLines(marker);
    lines.forEach(({ points }, i) => {
      const placed = marker.pieces[i]!;
      expect(distance(points[0]!, toMarker(placed)(placed.piece.cut[0]!))).toBeLessThan(1e-9);
      // The same vertices, none lost.
      expect(points).toHaveLength(placed.outline.length);
      expect(new Set(points)).toEqual(new Set(placed.outline));
    });
    expect(marker.pieces.filter((p) => p.mirrored).length).toBeGreaterThan(0);
  });

  it('refuse a piece without an outline', () => {
    const [first] = sampleMarker().pieces;
    expect(() => checkCutLines({ ...sampleMarker(), pieces: [{ ...first!, outline: [] }] })).toThrow(
      'piece 1 of the marker (front M) has no outline',
    );
  });
});

describe('what a cutter would stumble over', () => {
  it.each<[string, CutLine, RegExp]>([
    [
      'a line that is open',
      closed(3, box(0, 0, 10, 10), { closed: false }),
      /piece 3 \(front M\).*open and does not run from fold/,
    ],
    ['a clockwise line', closed(1, [...box(0, 0, 10, 10)].reverse()), /does not run counter-clockwise/],
    [
      'a vertex there twice',
      closed(1, [
        [0, 0],
        [10, 0],
        [10, 0.0001],
        [10, 10],
      ]),
      /vertex 2 of the cut line is there twice/,
    ],
    [
      'a first vertex repeated at the end',
      closed(1, [...box(0, 0, 10, 10), [0, 0]]),
      /vertex 5 of the cut line is there twice/,
    ],
    [
      'a line of two points',
      closed(1, [
        [0, 0],
        [10, 0],
      ]),
      /has 2 vertices/,
    ],
    [
      'another start than the piece has',
      closed(1, box(0, 0, 10, 10), { start: [10, 10] }),
      /does not start where equal pieces start/,
    ],
    // Out along y = 0 to x = 60 and back over itself from there.
    [
      'a line that runs back over itself',
      closed(1, [
        [0, 0],
        [60, 0],
        [20, 0],
        [20, 30],
        [0, 30],
      ]),
      /piece 1 \(front M\): 40\.0 mm of the cut line run back/,
    ],
  ])('is told of: %s', (_, line, message) => {
    const { faults } = judgeLines([line], 2);
    expect(faults.join('\n')).toMatch(message);
    expect(judgeLines([closed(1, box(0, 0, 10, 10))], 2).faults).toEqual([]);
  });

  it('is a piece drawn twice, or two lines on each other where a gap was asked for', () => {
    const marker = sampleMarker();
    const [first] = marker.pieces;
    const twice: Marker = { ...marker, pieces: [...marker.pieces, { ...first!, number: 13 }] };
    const report = checkCutLines(twice);
    expect(report.faults).toHaveLength(1);
    expect(report.faults[0]).toMatch(
      /piece 1 \(front M\) and piece 13 \(front M\): [\d.]+ mm of their cut lines/,
    );
    expect(Number(/([\d.]+) mm/.exec(report.faults[0]!)![1])).toBeCloseTo(perimeter(first!.outline), 1);
    expect(judge([box(0, 0, 50, 50), box(50, 0, 50, 50)], 2).faults).toHaveLength(1);
  });

  it('is not a gap kept, however small, nor a touch in a corner, nor a crossing', () => {
    expect(judge([box(0, 0, 50, 50), box(50.05, 0, 50, 50)], 0.05).faults).toEqual([]);
    expect(judge([box(0, 0, 50, 50), box(50, 50, 50, 50)], 2).faults).toEqual([]);
    expect(judge([box(0, 0, 50, 50), box(20, 20, 50, 50)], 2).faults).toEqual([]);
  });
});

describe('lines shared at a gap of 0', () => {
  it('are measured once for each pair, the longest first, and are no fault', () => {
    const rings = [box(0, 0, 100, 50), box(100, 10, 80, 90), box(0, 50, 100, 40)];
    const { shared, sharedBy, faults } = judge(rings, 0);
    expect(faults).toEqual([]);
    expect(sharedBy).toEqual([
      { pieces: [1, 3], length: 100 },
      { pieces: [1, 2], length: 40 },
      { pieces: [2, 3], length: 40 },
    ]);
    expect(shared).toBe(180);
  });

  it('are found along curves parted at other places', () => {
    // An arc of radius 200 with 40 chords below, 33 above: chords are off the arc by at most 0.03 mm.
    const arc = (n: number) =>
      Array.from({ length: n + 1 }, (_, i): Vec => {
        const turn = Math.PI * (0.3 + (0.4 * i) / n);
        return [200 * Math.cos(turn), 200 * Math.sin(turn)];
      });
    const below: Polygon = [[-80, 0], [80, 0], ...arc(40)];
    const above: Polygon = [...arc(33).reverse(), [80, 400], [-80, 400]];
    const { shared } = judge([below, above], 0);
    expect(Math.abs(shared - 200 * 0.4 * Math.PI)).toBeLessThan(2);
  });

  const hasShapely =
    hasPython &&
    (() => {
      try {
        return run(PYTHON, ['-c', 'import shapely; print(shapely.__version__)']).length > 0;
      } catch {
        return false;
      }
    })();

  it.skipIf(!hasShapely)(
    needing('come to what shapely finds common to the boundaries', 'python3-shapely', hasShapely),
    () => {
      // Rectangles on a grid of 10 mm, side by side in every way; their insides may overlap.
      const side = fc.integer({ min: 1, max: 6 });
      const place = fc.integer({ min: 0, max: 12 });
      const rings = fc.array(
        fc.tuple(place, place, side, side).map(([x, y, w, h]) => box(10 * x, 10 * y, 10 * w, 10 * h)),
        { minLength: 2, maxLength: 8 },
      );
      const cases = fc.sample(rings, { numRuns: 120, seed: 11 });
      const script = `
import json, sys
from shapely.geometry import Polygon
out = []
for rings in json.load(sys.stdin):
    p = [Polygon(r).exterior for r in rings]
    out.append(sum(p[i].intersection(p[j]).length for i in range(len(p)) for j in range(i)))
print(json.dumps(out))`;
      const expected = JSON.parse(run(PYTHON, ['-c', script], JSON.stringify(cases))) as number[];
      expect(Math.max(...expected)).toBeGreaterThan(50);
      cases.forEach((set, i) => {
        expect(judge(set, 0).shared).toBeCloseTo(expected[i]!, 6);
      });
    },
  );
});

describe('the search for lines on each other', () => {
  it('looks at no more pairs a segment in a large marker than in a small one', () => {
    const perSegment = (repeats: number) => {
      const grid = new SegmentGrid(cutLines(sampleMarker({ repeats })));
      let pairs = 0;
      grid.eachNearPair(0.1, () => pairs++);
      return pairs / grid.line.length;
    };
    expect(perSegment(16) / perSegment(2)).toBeLessThan(1.3);
    expect(perSegment(16)).toBeLessThan(60);
  });

  it('visits each pair of near segments exactly once, long and steep ones too', () => {
    // On a coarse grid many segments lie on each other; a few are off it.
    const at = fc.oneof(
      fc.integer({ min: 0, max: 12 }).map((n) => 25 * n),
      fc.double({ min: 0, max: 300, noNaN: true }),
    );
    const point = fc.tuple(at, at);
    let together = 0;
    fc.assert(
      fc.property(fc.array(fc.tuple(point, point), { minLength: 2, maxLength: 30 }), (ends) => {
        const grid = new SegmentGrid(ends.map((points) => ({ points, closed: false })));
        const seen = new Set<string>();
        grid.eachNearPair(0.1, (i, j) => {
          expect(i).toBeLessThan(j);
          expect(seen.has(`${i} ${j}`)).toBe(false);
          seen.add(`${i} ${j}`);
        });
        // A pair that lies on each other by the plain double loop is among them.
        for (let i = 0; i < ends.length; i++) {
          for (let j = i + 1; j < ends.length; j++) {
            if (grid.inCommon(i, j, 0.1) === 0) continue;
            together++;
            expect(seen.has(`${i} ${j}`)).toBe(true);
          }
        }
      }),
      { numRuns: 100, seed: 3 },
    );
    expect(together).toBeGreaterThan(50);
  });
});

describe('ezdxf, an independent reader,', () => {
  const script = `
import ezdxf, math, sys
total = 0.0
for e in ezdxf.readfile(sys.argv[1]).modelspace():
    if e.dxf.layer != "CUT": continue
    if e.dxftype() == "LWPOLYLINE": p, closed = [q[:2] for q in e.get_points("xy")], e.closed
    elif e.dxftype() == "POLYLINE": p, closed = [(v.dxf.location.x, v.dxf.location.y) for v in e.vertices], e.is_closed
    elif e.dxftype() == "LINE": p, closed = [(e.dxf.start.x, e.dxf.start.y), (e.dxf.end.x, e.dxf.end.y)], False
    else: raise SystemExit("a " + e.dxftype() + " on the cut layer")
    if closed: p = p + p[:1]
    total += sum(math.dist(a, b) for a, b in zip(p, p[1:]))
print(total)`;

  for (const [name, marker] of [
    ['open width', sampleMarker({ repeats: 2 })],
    ['a tube with a half on the fold', tubeMarker()],
  ] as const) {
    for (const options of [
      {},
      { flavour: 'r12' },
      { units: 'in' },
      { flavour: 'r12', cutOnly: true },
      { cutOnly: true },
    ] as const satisfies readonly Partial<MarkerDxfOptions>[]) {
      it.skipIf(!hasEzdxf)(
        needing(
          `adds the cut layer up to the length that is reported (${name}, ${JSON.stringify(options)})`,
          'python3-ezdxf',
          hasEzdxf,
        ),
        () => {
          const text = markerDxf(marker, options);
          const total = Number(withFile('m.dxf', text, (path) => run(PYTHON, ['-c', script, path])));
          const { length } = checkCutLines(marker);
          const unit = 'units' in options ? 25.4 : 1;
          // Four decimals a coordinate or more, thousands of them.
          expect(Math.abs(total * unit - length)).toBeLessThan(2e-6 * length);
        },
      );
    }
  }

  it.skipIf(!hasEzdxf)(
    needing('finds nothing but cut lines where only they were asked for', 'python3-ezdxf', hasEzdxf),
    () => {
      const layers = (marker: Marker) =>
        withFile('m.dxf', markerDxf(marker, { cutOnly: true }), (path) =>
          run(PYTHON, [
            '-c',
            'import ezdxf, sys; print(sorted({e.dxf.layer for e in ezdxf.readfile(sys.argv[1]).modelspace()}))',
            path,
          ]).trim(),
        );
      expect(layers(sampleMarker())).toBe("['CUT']");
      // A warning must not be lost with the notes.
      expect(layers(sampleMarker({ over: { stamp: 'SEAMS' } }))).toBe("['CUT', 'NOTE']");
    },
  );
});
