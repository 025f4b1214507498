import { describe, expect, it } from 'vitest';
import { recipeSchema, runRecipe, type Step } from '../../src/alter/index.js';
import { loadPresets } from '../../src/cli/load.js';
import { carriedBlock } from '../../src/draft/carried-block.js';
import { PIECE_ROLES } from '../../src/draft/carried-roles.js';
import { carriedSchema } from '../../src/draft/carried-schema.js';
import { InputError } from '../../src/errors.js';
import { withMark } from '../../src/exchange/import/roles.js';
import { styleText } from '../../src/exchange/import/style-text.js';
import { end, endDirection, length, nodes, start } from '../../src/geometry/path.js';
import { distance } from '../../src/geometry/vec.js';
import {
  edgeOf,
  type Pattern,
  pieceArea,
  pieceOf,
  pointOf,
  pointsOf,
  withEdge,
  withPiece,
} from '../../src/pattern/model.js';
import { walkSeams } from '../../src/pattern/walk.js';
import { developStyle, readStyle, type Style } from '../../src/style/index.js';
import { block } from '../bodies.js';

const presets = await loadPresets();
const read = (text: string): Style => readStyle(text, 'carried.yaml', presets);

const written = (pattern: Pattern, unit: 'mm' | 'cm' | 'in' = 'mm'): string =>
  styleText({
    name: 'carried',
    unit,
    pattern,
    sizes: ['M'],
    base: 'M',
    rules: [],
    comments: ['carried by hand'],
  });

const POCKET = `
style: apron pocket
units: cm
block:
  pieces:
    - name: pocket
      points: { low: [0, 0], right: [16, 0], tip: [16, 14], left: [0, 14] }
      edges:
        - { name: bottom, to: right, through: [[8, -3]] }
        - { name: side, to: tip, path: [[17, 7]] }
        - { name: opening, to: left, path: [{ curve: [[12, 15], [4, 15]] }] }
        - { name: inner, to: low }
      counts: { as-drawn: 2 }
      fabric: rib
      notches: [{ edge: opening, at: 50%, kind: double }, { name: low, edge: side, at: 2 }]
      internals: [{ name: hem line, from: [0, 12], path: [[16, 12]] }]
      stretch: { along: wale, percent: 20 }
grade: { sizes: [S, M], base: M }
`;

describe('a style that carries its pieces', () => {
  it('reads straight, drawn and smooth edges in its own units', () => {
    const pocket = pieceOf(read(POCKET).block, 'pocket');
    expect(pointOf(pocket, 'tip')).toEqual([160, 140]);
    expect(edgeOf(pocket, 'side').path.map((s) => s.kind)).toEqual(['line', 'line']);
    expect(edgeOf(pocket, 'opening').path).toEqual([
      { kind: 'cubic', a: [160, 140], c: [120, 150], d: [40, 150], b: [0, 140] },
    ]);
    // The smooth curve goes through its point and on from it without a corner.
    expect(nodes(edgeOf(pocket, 'bottom').path)[1]).toEqual([80, -30]);
    expect(pocket.counts).toEqual({ asDrawn: 2, mirrored: 0 });
    expect(pocket.fabric).toBe('rib');
    expect(pocket.stretch).toEqual({ along: 'wale', percent: 20 });
    expect(pocket.notches).toEqual([
      { name: 'notch-1', edge: 'opening', at: { ratio: 0.5 }, kind: 'double' },
      { name: 'low', edge: 'side', at: { length: 20 }, kind: 'single' },
    ]);
    expect(pocket.internals).toEqual([
      { name: 'hem line', path: [{ kind: 'line', a: [0, 120], b: [160, 120] }] },
    ]);
    // Without a grain of its own it runs up the middle.
    expect(pocket.grain.from[0]).toBe(pocket.grain.to[0]);
  });

  it('meets the directions in which a smooth curve leaves and arrives', () => {
    const text = POCKET.replace(
      'through: [[8, -3]]',
      'through: [[8, -3]], leaving: [1, -2], arriving: [1, 2]',
    );
    const { path } = edgeOf(pieceOf(read(text).block, 'pocket'), 'bottom');
    expect(endDirection(path)[1] / endDirection(path)[0]).toBeCloseTo(2, 9);
  });

  it.each(['mm', 'cm', 'in'] as const)(
    'written in %s and read again is the same block to 1e-4 mm',
    (unit) => {
      const before = block();
      const after = read(written(before, unit)).block;
      expect(after.pieces.map((p) => p.name)).toEqual(before.pieces.map((p) => p.name));
      for (const piece of before.pieces) {
        const other = pieceOf(after, piece.name);
        expect(other.edges.map((e) => [e.name, e.from, e.to])).toEqual(
          piece.edges.map((e) => [e.name, e.from, e.to]),
        );
        for (const [name, at] of pointsOf(piece))
          expect(distance(pointOf(other, name), at)).toBeLessThan(1e-4);
        for (const edge of piece.edges) {
          const path = edgeOf(other, edge.name).path;
          expect(path.map((s) => s.kind)).toEqual(edge.path.map((s) => s.kind));
          expect(Math.abs(length(path) - length(edge.path))).toBeLessThan(1e-3);
        }
        expect(pieceArea(other) / pieceArea(piece)).toBeCloseTo(1, 6);
        expect(other.fold).toBe(piece.fold);
        expect(other.counts).toEqual(piece.counts);
      }
      expect(after.measures.map((m) => m.name)).toEqual(before.measures.map((m) => m.name));
      expect(after.seams.map((s) => s.name)).toEqual(before.seams.map((s) => s.name));
      expect(walkSeams(after).every((walk) => walk.matches)).toBe(true);
    },
  );

  it('is altered by a recipe as the block it was written from', () => {
    const recipe = recipeSchema('in').parse([
      { lengthen: { by: 1 } },
      { 'lower-armhole': { by: '1/2' } },
      { 'reshape-armhole': { piece: ['front', 'back'], guide: '3/8' } },
      { 'widen-neckline': { by: '3/4' } },
      { 'draft-sleeve': { widen: '1/2' } },
    ]) as Step[];
    const carried = runRecipe(read(written(block())).block, recipe).pattern;
    const drafted = runRecipe(block(), recipe).pattern;
    for (const piece of drafted.pieces) {
      for (const [name, at] of pointsOf(piece)) {
        expect(distance(pointOf(pieceOf(carried, piece.name), name), at)).toBeLessThan(0.5);
      }
    }
    expect(walkSeams(carried).every((walk) => walk.matches)).toBe(true);
  });

  it('is graded by increments where its points go by the known names', () => {
    const text = written(block()).replace(
      /grade: .*\n/,
      'grade: { sizes: [S, M, L], base: M, increments: { preset: women-en } }\n',
    );
    const { chart, range } = developStyle(read(text));
    const chest = chart.find((row) => row.measure === 'chest girth')!;
    expect(range.sizes.map((s) => s.size)).toEqual(['S', 'M', 'L']);
    expect(chest.cells.every((cell) => cell.within)).toBe(true);
    expect(chest.cells[2]!.measured - chest.cells[1]!.measured).toBeGreaterThan(20);
  });

  it('is graded by rules of its own; what they do to a measure is observed, not expected', () => {
    const points = ['center-hem', 'side-hem', 'underarm', 'shoulder-tip', 'neck-point', 'center-neck'];
    const rules = points.map(
      (p) => `    back.${p}: { moves: { L: [${p.startsWith('center') ? 0 : 9}, 4] } }`,
    );
    const text = written(block()).replace(
      /grade: .*\n/,
      `grade:\n  sizes: [M, L]\n  base: M\n  rules:\n${rules.join('\n')}\n`,
    );
    const { chart, range } = developStyle(read(text));
    const [base, large] = range.sizes.map((s) => pointOf(pieceOf(s.pattern, 'back'), 'underarm'));
    expect(large![0] - base![0]).toBeCloseTo(9, 9);
    expect(large![1] - base![1]).toBeCloseTo(4, 9);
    expect(chart.flatMap((row) => row.cells).every((cell) => cell.within)).toBe(true);
    expect(chart.find((row) => row.measure === 'across shoulder')!.cells[1]!.expected).toBeUndefined();
  });

  it('whose names a recipe does not find says which name is missing, at the step', () => {
    const noPoint = written(block())
      .replaceAll('shoulder-tip', 'tip')
      .replace('alter: []', 'alter: [{ raise-shoulder: { by: 5 } }]');
    expect(() => developStyle(read(noPoint))).toThrow(
      /step 1 \(raise-shoulder\): piece 'back' has no point 'shoulder-tip'/,
    );
    // Increments know the other points of the back: one that they do not know would stay behind.
    const ungraded = noPoint.replace(/alter: .*/, 'alter: []');
    expect(() => developStyle(read(ungraded))).toThrow("nothing says how 'back.tip' grows");
    const noEdge = written(block())
      .replaceAll('name: armhole', 'name: scye')
      .replaceAll('edge: armhole', 'edge: scye')
      .replaceAll('.armhole', '.scye')
      .replace('alter: []', 'alter: [{ reshape-armhole: { piece: back, guide: 5 } }]');
    let fault: unknown;
    try {
      developStyle(read(noEdge));
    } catch (error) {
      fault = error;
    }
    expect(fault).toBeInstanceOf(InputError);
    expect((fault as InputError).message).toBe(
      "step 1 (reshape-armhole): piece 'back' has no edge 'armhole'",
    );
    expect((fault as InputError).mend).toMatch(/known: .*scye/);
  });

  it('gives up points that were named inside an armhole when a step draws it anew', () => {
    const before = block();
    const back = pieceOf(before, 'back');
    const marked = withMark(edgeOf(back, 'armhole'), 'notch-point', 80);
    const text = written(withPiece(before, withEdge(back, marked))).replace(
      'alter: []',
      'alter: [{ reshape-armhole: { piece: back, guide: 8 } }]',
    );
    const style = read(text);
    expect([...pointsOf(pieceOf(style.block, 'back')).keys()]).toContain('notch-point');
    expect([...pointsOf(pieceOf(developStyle(style).base, 'back')).keys()]).not.toContain('notch-point');
  });

  it('leads a path that ends on its point there exactly', () => {
    const text = carriedSchema('mm').parse({
      pieces: [
        {
          name: 'patch',
          points: { a: [0, 0], b: [100, 0], c: [100, 80] },
          edges: [
            {
              name: 'low',
              to: 'b',
              path: [
                [50, -5],
                [100, 0.0004],
              ],
            },
            { name: 'right', to: 'c' },
            {
              name: 'slant',
              to: 'a',
              path: [
                {
                  curve: [
                    [80, 60],
                    [40, 30],
                  ],
                },
              ],
            },
          ],
        },
      ],
    });
    const patch = pieceOf(carriedBlock('p', text), 'patch');
    expect(end(edgeOf(patch, 'low').path)).toEqual(start(edgeOf(patch, 'right').path));
  });

  it('knows the names that alterations go by: those of the drafted block', () => {
    for (const piece of block().pieces) {
      const role = PIECE_ROLES[piece.name]!;
      expect(piece.edges.map((e) => e.name)).toEqual(role.edges);
      expect(piece.edges.map((e) => e.from)).toEqual(role.points);
    }
  });
});
