import { join } from 'node:path';
import { beforeAll, describe, expect, it, vi } from 'vitest';
import { loadStyle } from '../../../src/cli/load.js';
import {
  DXF_TABLE,
  PATTERN_KEYWORDS,
  PATTERN_LAYERS,
  type PatternDxf,
  type PatternDxfOptions,
  type PatternPiece,
  patternDxf,
  readPatternDxf,
} from '../../../src/exchange/dxf/index.js';
import { MARKER_LAYERS, readRuleTable, ruleTableOf } from '../../../src/exchange/index.js';
import { finishRange, NO_SHRINKAGE } from '../../../src/finish/index.js';
import type { CutPiece } from '../../../src/finish/types.js';
import { flatten } from '../../../src/geometry/path.js';
import { area, bounds, distanceToSegment, type Polygon, signedArea } from '../../../src/geometry/polygon.js';
import { splineThrough } from '../../../src/geometry/spline.js';
import { distance, type Vec } from '../../../src/geometry/vec.js';
import { pointsOf } from '../../../src/pattern/model.js';
import type { Developed, Style } from '../../../src/style/index.js';
import { hasEzdxf, needing } from '../tools.js';
import { errorOf, read } from './helpers.js';
import { dxfParser, ezdxf, hasLibrecad, librecadPdf } from './readers.js';

vi.setConfig({ testTimeout: 120_000, hookTimeout: 120_000 });

const DATE = new Date('2026-03-31T08:15:00Z');
const demo = (name: string) => loadStyle(join(import.meta.dirname, `../../../fixtures/demo/${name}.yaml`));

let style: Style;
let developed: Developed;

beforeAll(async () => {
  ({ style, developed } = await demo('harbour-crew'));
});

const optionsOf = (own: Style, over: Partial<PatternDxfOptions> = {}): PatternDxfOptions => ({
  style: own.name,
  boundary: 'cut',
  fold: 'half',
  sizes: 'all',
  units: 'METRIC',
  date: DATE,
  finish: own.finish,
  shrinkageOf: (fabric) => own.fabrics.get(fabric)?.shrinkage ?? NO_SHRINKAGE,
  ...over,
});

const filesOf = (over: Partial<PatternDxfOptions> = {}) =>
  patternDxf(developed.range, optionsOf(style, over));
const readBack = (content: Uint8Array | string): PatternDxf => readPatternDxf(read(content.toString()));
const ringOf = (piece: PatternPiece): Vec[] => piece.boundary.vertices.map((v) => v.at);

/** Greatest distance of the vertices of one ring from the nearest vertex of the other. */
const apart = (a: Polygon, b: Polygon): number =>
  Math.max(...a.map((p) => Math.min(...b.map((q) => distance(p, q)))));

describe.each([
  ['cut', 'half', 'METRIC', 'r13'],
  ['cut', 'open', 'METRIC', 'r13'],
  ['sew', 'half', 'ENGLISH', 'r13'],
  ['sew', 'open', 'METRIC', 'r12'],
  ['cut', 'half', 'ENGLISH', 'r12'],
] as const)('a pattern file (%s line, %s, %s, %s), read back,', (boundary, fold, units, version) => {
  let pattern: PatternDxf;
  let finished: CutPiece[];
  const pairs = () => finished.map((piece, i) => [piece, pattern.pieces[i]!] as const);

  beforeAll(() => {
    const [file, ...more] = filesOf({ boundary, fold, units, version });
    expect(more).toEqual([]);
    pattern = readBack(file!.content);
    const { finish, shrinkageOf } = optionsOf(style);
    finished = finishRange(developed.range, finish, shrinkageOf).flatMap((s) => [...s.pieces]);
  });

  it('says what it is, and nothing is dropped', () => {
    expect(pattern.style).toEqual({
      name: 'Harbour crew',
      sampleSize: 'M',
      ruleTable: undefined,
      author: 'Walewise',
      created: '03-31-2026 08:15',
      version: 'D 6673-04',
    });
    expect(pattern).toMatchObject({
      units: units === 'METRIC' ? 'mm' : 'in',
      unitsFrom: 'text',
      dropped: [],
      notes: [],
    });
  });

  it('has every piece of every size with its name, size, quantity and fabric', () => {
    expect(pattern.pieces.map((p) => [p.name, p.size, p.quantity, p.material])).toEqual(
      finished.map((p) => [p.name, p.size, p.counts, p.fabric]),
    );
  });

  it('has the outline that is cut or sewn, every point to a hundredth of a millimetre', () => {
    let halves = 0;
    for (const [own, back] of pairs()) {
      const half = own.half && fold === 'half' ? own.half : undefined;
      const ring = ringOf(back);
      const whole = boundary === 'cut' ? own.cut : own.sew;
      expect(signedArea(ring)).toBeGreaterThan(0);
      const share = half ? 2 : 1;
      expect(Math.abs(share * area(ring) - area(whole)) / area(whole)).toBeLessThan(1e-5);
      expect(
        apart(
          ring.filter((p) => !half || p[0] > half.foldX + 0.01),
          whole,
        ),
      ).toBeLessThan(0.01);
      if (half) {
        halves++;
        expect(bounds(ring).minX).toBeCloseTo(half.foldX, 3);
        expect(back.mirror!.from[0]).toBeCloseTo(half.foldX, 3);
        expect(back.mirror!.to[1]).toBeGreaterThan(back.mirror!.from[1]);
        const fold = ring.filter((p) => Math.abs(p[0] - half.foldX) < 0.01).map((p) => p[1]);
        expect(back.mirror!.from[1]).toBeCloseTo(Math.min(...fold), 3);
        expect(back.mirror!.to[1]).toBeCloseTo(Math.max(...fold), 3);
      } else {
        expect(back.mirror).toBeUndefined();
        expect(apart(whole, ring)).toBeLessThan(0.01);
      }
    }
    expect(halves).toBe(fold === 'half' ? 2 * developed.range.sizes.length : 0);
  });

  it('has the sewing line beside a cut line, open along the fold', () => {
    for (const [own, back] of pairs()) {
      if (boundary === 'sew') {
        expect(back.sewLines).toEqual([]);
        continue;
      }
      expect(back.sewLines).toHaveLength(1);
      const [line] = back.sewLines;
      const points = line!.vertices.map((v) => v.at);
      const half = own.half && fold === 'half';
      expect(line!.closed).toBe(!half);
      expect(apart(points, own.sew)).toBeLessThan(0.01);
      if (half) {
        for (const end of [points[0]!, points[points.length - 1]!])
          expect(end[0]).toBeCloseTo(own.half!.foldX, 3);
      } else expect(apart(own.sew, points)).toBeLessThan(0.01);
    }
  });

  it('has grain, notches with place, depth and direction, and a level reference for the rules', () => {
    for (const [own, back] of pairs()) {
      expect(distance(back.grain!.from, own.grain.from)).toBeLessThan(0.01);
      expect(distance(back.grain!.to, own.grain.to)).toBeLessThan(0.01);
      expect(back.gradeReference!.to[0]).toBeGreaterThan(back.gradeReference!.from[0]);
      expect(back.gradeReference!.to[1]).toBeCloseTo(back.gradeReference!.from[1], 3);
      const shown = own.notches.filter(
        (n) => !own.half || fold === 'open' || n.at[0] >= own.half.foldX - 1e-3,
      );
      expect(back.notches).toHaveLength(shown.reduce((sum, n) => sum + (n.kind === 'double' ? 2 : 1), 0));
      let k = 0;
      for (const notch of shown) {
        const nicks = back.notches.slice(k, k + (notch.kind === 'double' ? 2 : 1));
        k += nicks.length;
        const middle = nicks.reduce<Vec>(
          (sum, n) => [sum[0] + n.at[0] / nicks.length, sum[1] + n.at[1] / nicks.length],
          [0, 0],
        );
        if (boundary === 'cut')
          expect(distance(middle, notch.at)).toBeLessThan(notch.kind === 'double' ? 0.1 : 0.01);
        else expect(toRing(middle, ringOf(back))).toBeLessThan(0.1);
        for (const nick of nicks) {
          expect(nick.shape).toBe('slit');
          expect(nick.depth).toBeCloseTo(notch.depth, 3);
          const angle = (nick.angle! * Math.PI) / 180;
          expect(distance([Math.cos(angle), Math.sin(angle)], notch.inward)).toBeLessThan(1e-3);
          expect(toRing(nick.at, ringOf(back))).toBeLessThan(0.01);
        }
      }
    }
  });

  it('keeps its lettering inside the pieces', () => {
    for (const { annotations, ...piece } of pattern.pieces) {
      const box = bounds(ringOf(piece as PatternPiece));
      expect(annotations.length).toBeGreaterThanOrEqual(3);
      for (const { at, height } of annotations) {
        expect(height).toBeGreaterThan(0.5);
        expect(
          at[0] >= box.minX && at[0] <= box.maxX && at[1] >= box.minY && at[1] + height <= box.maxY,
        ).toBe(true);
      }
    }
  });
});

describe('the cut line of a pattern file', () => {
  it('ends at corners as the finish asks for, the same as in a marker', () => {
    const squared = { ...style.finish, corners: { 'shoulder-tip': 'shoulder' } };
    const { pieces } = readBack(filesOf({ finish: squared, fold: 'open' })[0]!.content);
    const { shrinkageOf } = optionsOf(style);
    const cut = finishRange(developed.range, squared, shrinkageOf).flatMap((s) => [...s.pieces]);
    const plain = finishRange(developed.range, style.finish, shrinkageOf).flatMap((s) => [...s.pieces]);
    let moved = 0;
    pieces.forEach((piece, i) => {
      expect(apart(ringOf(piece), cut[i]!.cut)).toBeLessThan(0.01);
      expect(apart(cut[i]!.cut, ringOf(piece))).toBeLessThan(0.01);
      if (apart(cut[i]!.cut, plain[i]!.cut) > 0.5) moved++;
    });
    expect(moved).toBeGreaterThanOrEqual(developed.range.sizes.length);
  });
});

describe('the sizes of a pattern file', () => {
  it('can each have a file of their own, all of them or those asked for', () => {
    const files = filesOf({ sizes: 'files' });
    expect(files.map((f) => f.name)).toEqual(
      ['xs', 's', 'm', 'l', 'xl', '2xl', '3xl'].map((size) => `pattern-harbour-crew-${size}.dxf`),
    );
    const sizes = files.map((f) => new Set(readBack(f.content).pieces.map((p) => p.size)));
    expect(sizes.map((s) => [...s])).toEqual(developed.range.sizes.map((s) => [s.size]));
    const some = filesOf({ only: ['L', 'S'] });
    expect([...new Set(readBack(some[0]!.content).pieces.map((p) => p.size))]).toEqual(['S', 'L']);
    const error = errorOf(() => filesOf({ only: ['XXL'] }));
    expect(error.message).toBe("the range has no size 'XXL'");
  });

  it('hold the cut line alone when asked', () => {
    const [with_, without] = [true, false].map((sewLines) => readBack(filesOf({ sewLines })[0]!.content));
    expect(without!.pieces.every((p) => p.sewLines.length === 0)).toBe(true);
    expect(without!.pieces.map((p) => p.boundary)).toEqual(with_!.pieces.map((p) => p.boundary));
    // Rules are then for the points that are there.
    const [dxf, rul] = filesOf({ sizes: 'rules', sewLines: false });
    expect(readBack(dxf!.content).dropped).toEqual([]);
    expect(rul!.content.length).toBeLessThan(filesOf({ sizes: 'rules' })[1]!.content.length);
  });

  it('give the same bytes for the same date', () => {
    expect(filesOf()).toEqual(filesOf());
    expect(filesOf({ date: new Date('2027-01-01T00:00:00Z') })).not.toEqual(filesOf());
  });
});

describe('a base size with grade rules', () => {
  it.each([
    ['sew', 'half', 'METRIC'],
    ['cut', 'half', 'METRIC'],
    ['cut', 'open', 'ENGLISH'],
  ] as const)('makes every other size again (%s line, %s, %s)', (boundary, fold, units) => {
    const [dxf, rul] = filesOf({ sizes: 'rules', boundary, fold, units });
    expect([dxf!.name, rul!.name]).toEqual(['pattern-harbour-crew.dxf', 'pattern-harbour-crew.rul']);
    const base = readBack(dxf!.content);
    const { table, deltaBase, notes } = readRuleTable(rul!.content.toString());
    expect({ deltaBase, notes, sample: table.sample }).toEqual({
      deltaBase: 'sample',
      notes: [],
      sample: 'M',
    });
    expect(base.style.ruleTable).toBe(table.name);
    const drawn = filesOf({ sizes: 'all', boundary, fold }).map((f) => readBack(f.content))[0]!.pieces;
    const rules = new Map(table.rules.map((r) => [r.number, r.deltas]));
    for (const [i, size] of table.sizes.entries()) {
      for (const piece of base.pieces) {
        const other = drawn.find((p) => p.name === piece.name && p.size === size)!;
        const lines = (p: PatternPiece) =>
          [p.boundary, ...p.sewLines, ...p.internals].flatMap((l) => l.vertices);
        lines(piece).forEach((vertex, k) => {
          const there = lines(other)[k]!;
          expect(vertex.kind).toBe(there.kind);
          if (vertex.kind === 'interpolated') expect(vertex.rule).toBeUndefined();
          else expect(distance(moved(vertex, rules, i), there.at)).toBeLessThan(0.01);
        });
        piece.notches.forEach((notch, k) => {
          expect(distance(moved(notch, rules, i), other.notches[k]!.at)).toBeLessThan(0.01);
        });
      }
    }
  });

  it('numbers named points of the sewing line as the grade-rule table of the range does', () => {
    const none = () => NO_SHRINKAGE;
    const [dxf] = filesOf({ sizes: 'rules', boundary: 'sew', fold: 'half', shrinkageOf: none });
    const base = readBack(dxf!.content);
    const { points } = ruleTableOf(developed.range, 'x');
    let seen = 0;
    for (const { piece, point, rule } of points) {
      const at = pointsOf(developed.base.pieces.find((p) => p.name === piece)!).get(point)!;
      const vertices = base.pieces.find((p) => p.name === piece)!.boundary.vertices;
      const vertex = vertices.find((v) => distance(v.at, at) < 0.001);
      expect(vertex, `${piece}.${point}`).toMatchObject({ rule });
      seen++;
    }
    expect(seen).toBeGreaterThan(30);
  });

  it('is refused where allowances run into each other: no point of the cut line could be told', async () => {
    const raglan = await demo('gannet-raglan');
    const cut = optionsOf(raglan.style, { sizes: 'rules' });
    const error = errorOf(() => patternDxf(raglan.developed.range, cut));
    expect(error.name).toBe('InputError');
    expect(error.message).toMatch(/the allowances of 'sleeve' run into each other/);
    expect(error.mend).toMatch(/send every size as drawn/);
    expect(patternDxf(raglan.developed.range, { ...cut, boundary: 'sew' })).toHaveLength(2);
    expect(patternDxf(raglan.developed.range, { ...cut, sizes: 'all' })).toHaveLength(1);
  });
});

describe('turn and curve points', () => {
  it('hold a curve in every size: a spline through them is the line, to 0.3 mm', () => {
    for (const piece of readBack(filesOf()[0]!.content).pieces) {
      for (const span of spansOf(piece)) {
        const points = span.filter((v) => v.kind !== 'interpolated').map((v) => v.at);
        const curve = flatten(splineThrough(points), 0.01);
        for (const { at } of span) {
          const off = Math.min(...curve.slice(1).map((b, i) => distanceToSegment(at, curve[i]!, b)));
          expect(off, `${piece.name} ${piece.size}`).toBeLessThan(0.3);
        }
      }
    }
  });

  it('are turn points at the corners, and far fewer than the vertices of the curves', () => {
    const [front] = readBack(
      filesOf({ sizes: 'files', only: ['M'], boundary: 'sew' })[0]!.content,
    ).pieces.filter((p) => p.name === 'front');
    const kinds = front!.boundary.vertices.map((v) => v.kind);
    const edges = developed.base.pieces.find((p) => p.name === 'front')!.edges;
    expect(kinds.filter((k) => k === 'turn')).toHaveLength(edges.length);
    expect(kinds.filter((k) => k === 'interpolated').length).toBeGreaterThan(
      kinds.filter((k) => k === 'curve').length,
    );
  });
});

describe('independent readers of a pattern file', () => {
  it.skipIf(!hasEzdxf)(
    needing('ezdxf: audit, layers, counts, areas and extent agree', 'python3-ezdxf', hasEzdxf),
    () => {
      const content = filesOf()[0]!.content.toString();
      const audit = ezdxf(content);
      const own = readBack(content);
      expect(audit).toMatchObject({ version: 'AC1012', errors: 0, fixes: [] });
      expect(audit.layers).toEqual(expect.arrayContaining(PATTERN_LAYERS.map((l) => String(l.number))));
      expect(audit.counts['']).toEqual({ '1 INSERT': 42, '1 TEXT': 7 });
      expect(Object.keys(audit.counts)).toHaveLength(43);
      const rings = audit.polylines.filter((p) => p.layer === '1');
      expect(rings.map((r) => r.block)).toEqual(own.pieces.map((p) => p.block));
      rings.forEach((ring, i) => {
        const piece = own.pieces[i]!;
        expect(ring.closed).toBe(true);
        const exact = area(ringOf(piece));
        expect(Math.abs(area(ring.points) - exact) / exact).toBeLessThan(1e-4);
        const count = audit.counts[ring.block]!;
        const kinds = [piece.boundary, ...piece.sewLines, ...piece.internals].flatMap((l) =>
          l.vertices.map((v) => v.kind),
        );
        expect(count['2 POINT']).toBe(kinds.filter((k) => k === 'turn').length);
        expect(count['3 POINT'] ?? 0).toBe(kinds.filter((k) => k === 'curve').length);
        expect(count['4 POINT']).toBe(piece.notches.length);
        expect(count).toMatchObject({
          '1 POLYLINE': 1,
          '14 POLYLINE': 1,
          '7 LINE': 1,
          '5 LINE': 1,
          '1 TEXT': 4,
        });
        expect(count['6 LINE'] ?? 0).toBe(piece.mirror ? 1 : 0);
      });
      expect(audit.texts).toEqual(expect.arrayContaining(['Units: METRIC', 'Style Name: Harbour crew']));
    },
  );

  it.skipIf(!hasEzdxf)(
    needing(
      'ezdxf: base with rules has a number at every point, and R12 no error',
      'python3-ezdxf',
      hasEzdxf,
    ),
    () => {
      const ruled = ezdxf(filesOf({ sizes: 'rules' })[0]!.content.toString());
      expect(ruled).toMatchObject({ errors: 0, fixes: [] });
      for (const [block, count] of Object.entries(ruled.counts)) {
        if (block === '') continue;
        for (const layer of ['2', '3', '4']) expect(count[`${layer} TEXT`]).toBe(count[`${layer} POINT`]);
      }
      const old = ezdxf(filesOf({ version: 'r12', sizes: 'files', only: ['M'] })[0]!.content.toString());
      expect(old).toMatchObject({ version: 'AC1009', errors: 0 });
    },
  );

  it('dxf-parser finds the same blocks and vertices', async () => {
    const content = filesOf({ sizes: 'files', only: ['M'] })[0]!.content.toString();
    const own = readBack(content);
    const found = (await dxfParser(content)) as unknown as {
      blocks: Record<
        string,
        { entities: { type: string; layer: string; vertices: Vec[]; shape?: boolean }[] }
      >;
    };
    for (const piece of own.pieces) {
      const lines = found.blocks[piece.block]!.entities.filter((e) => e.type === 'POLYLINE');
      expect(lines.map((l) => [l.layer, l.shape, l.vertices.length])).toEqual([
        ['1', true, piece.boundary.vertices.length],
        ...piece.sewLines.map((l) => ['14', l.closed, l.vertices.length]),
      ]);
    }
  });

  it.skipIf(!hasLibrecad)(needing('LibreCAD draws every size', 'librecad', hasLibrecad), () => {
    const [all] = filesOf();
    const [one] = filesOf({ sizes: 'files', only: ['M'] });
    const sizes = [all!, one!].map((f) => librecadPdf(f.content.toString()).length);
    expect(sizes[0]).toBeGreaterThan(3 * sizes[1]!);
  });
});

describe('the table of layers and keywords', () => {
  it('claims nothing of the standard as verified', () => {
    expect([...PATTERN_LAYERS, ...PATTERN_KEYWORDS].some((line) => line.verified)).toBe(false);
  });

  it('claims nothing at all for lines of the marker alone', () => {
    const alone = DXF_TABLE.filter((line) => line.pattern === undefined);
    expect(alone.map((line) => line.marker)).toEqual(expect.arrayContaining(['FABRIC', 'NOTE']));
    expect(new Set(alone.map((line) => line.verified))).toEqual(new Set([undefined]));
    expect(DXF_TABLE.filter((line) => line.verified === true)).toEqual([]);
  });

  it('has each layer and keyword once, and every layer that a file of ours uses', () => {
    for (const kind of ['pattern', 'marker'] as const) {
      const names = DXF_TABLE.filter((l) => l.kind === 'layer' && l[kind] !== undefined).map((l) => l[kind]);
      expect(new Set(names).size).toBe(names.length);
    }
    expect(new Set(PATTERN_KEYWORDS.map((k) => k.text)).size).toBe(PATTERN_KEYWORDS.length);
    const known = new Set(DXF_TABLE.flatMap((l) => [l.pattern, l.marker]));
    expect(MARKER_LAYERS.filter((name) => !known.has(name))).toEqual([]);
    const file = read(filesOf()[0]!.content.toString());
    const used = [...file.entities, ...file.blocks.flatMap((b) => b.entities)].map((e) => e.layer);
    expect([...new Set(used)].filter((name) => !known.has(name))).toEqual([]);
  });
});

const moved = (
  point: { at: Vec; rule?: number },
  rules: ReadonlyMap<number, readonly Vec[]>,
  size: number,
): Vec => {
  const [dx, dy] = rules.get(point.rule!)![size]!;
  return [point.at[0] + dx, point.at[1] + dy];
};

const toRing = (p: Vec, ring: Polygon): number =>
  Math.min(...ring.map((a, i) => distanceToSegment(p, a, ring[(i + 1) % ring.length]!)));

/** Vertices from turn point to turn point round the boundary. */
function spansOf({ boundary: { vertices } }: PatternPiece) {
  const first = vertices.findIndex((v) => v.kind === 'turn');
  const round = [...vertices.slice(first), ...vertices.slice(0, first + 1)];
  const turns = round.flatMap((v, i) => (v.kind === 'turn' ? [i] : []));
  return turns.slice(1).map((to, k) => round.slice(turns[k]!, to + 1));
}
