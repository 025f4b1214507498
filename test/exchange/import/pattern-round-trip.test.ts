import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { loadPresets } from '../../../src/cli/load.js';
import {
  PATTERN_DXF_DEFAULTS,
  type PatternAxis,
  type PatternLine,
  type PatternPiece,
  patternDrawing,
  patternDxf,
  readDxf,
  readPatternDxf,
  writeR13,
} from '../../../src/exchange/dxf/index.js';
import { type Imported, importDrawing } from '../../../src/exchange/import/import-drawing.js';
import { placeOn } from '../../../src/exchange/import/near-path.js';
import { allowanceOf, NO_SHRINKAGE } from '../../../src/finish/options.js';
import { flatten, length, pointAt } from '../../../src/geometry/path.js';
import { distance, sub, type Vec } from '../../../src/geometry/vec.js';
import {
  type Notch,
  type Pattern,
  type Piece,
  pieceOf,
  pointOf,
  pointsOf,
} from '../../../src/pattern/model.js';
import { developStyle, readStyle } from '../../../src/style/index.js';

const presets = await loadPresets();

/** A demo style and what it comes to. */
function demo(name: string, step = '') {
  const file = join(import.meta.dirname, `../../../fixtures/demo/${name}.yaml`);
  const text = readFileSync(file, 'utf8').replace('\ngrade:', `\n${step}\ngrade:`);
  const style = readStyle(text, file, presets);
  const { range } = developStyle(style);
  const base: Pattern = range.sizes.find((s) => s.size === range.base)!.pattern;
  return { style, range, base };
}

const puffin = demo('puffin-crew');
const { style, range, base } = puffin;

function written(options: Partial<Parameters<typeof patternDxf>[1]>, { style, range } = puffin) {
  return patternDxf(range, {
    ...PATTERN_DXF_DEFAULTS,
    finish: style.finish,
    shrinkageOf: () => NO_SHRINKAGE,
    style: style.name,
    date: new Date('2026-03-31T00:00:00Z'),
    ...options,
  });
}

function roundTrip(options: Partial<Parameters<typeof patternDxf>[1]>, of = puffin): Imported {
  const [drawing, table] = written(options, of);
  const bytes = Buffer.from(drawing!.content as string);
  return importDrawing(
    bytes,
    'back.dxf',
    table ? { rules: { text: String(table.content), file: 'back.rul' } } : {},
  );
}

const placeOf = (piece: Piece, notch: Notch): Vec => {
  const { path } = piece.edges.find((e) => e.name === notch.edge)!;
  return pointAt(path, 'length' in notch.at ? notch.at.length : notch.at.ratio * length(path));
};

const SEWN = { sizes: 'rules', boundary: 'sew', units: 'METRIC' } as const;
const CUT = { sizes: 'rules', boundary: 'cut', units: 'ENGLISH' } as const;

/** Whether a notch stands where its edge ends: the file does not say on which of the two edges. */
const atEnd = (piece: Piece, notch: Notch): boolean => {
  const { path } = piece.edges.find((e) => e.name === notch.edge)!;
  const at = 'length' in notch.at ? notch.at.length : notch.at.ratio * length(path);
  return Math.min(at, length(path) - at) < 0.1;
};

describe.each([
  ['puffin-crew, sewing lines as boundary, in millimetres', puffin, SEWN, 0.01],
  ['puffin-crew, cut and sewing lines, in inches', puffin, CUT, 0.01],
  ['harbour-crew', demo('harbour-crew'), CUT, 0.01],
  ['skerry-tee, with a V neck', demo('skerry-tee'), CUT, 0.01],
  ['lantern-turtleneck', demo('lantern-turtleneck'), CUT, 0.01],
] as const)('a style written as pattern DXF and imported again: %s', (_, given, options, tolerance) => {
  const { style, range, base } = given;
  const imported = roundTrip(options, given);
  const back = readStyle(imported.text, 'back.yaml', presets);
  const again = developStyle(back);

  it('keeps pieces, their names, quantities and fabrics, and the name of the style', () => {
    expect(back.name).toBe(style.name);
    expect(back.block.pieces.map((p) => [p.name, p.counts, p.fabric])).toEqual(
      base.pieces.map((p) => [p.name, p.counts, p.fabric]),
    );
    expect(imported.dropped).toEqual([]);
  });

  it('keeps the names of points and edges that alterations go by', () => {
    for (const piece of base.pieces) {
      expect(pieceOf(back.block, piece.name).edges.map((e) => [e.name, e.from])).toEqual(
        piece.edges.map((e) => [e.name, e.from]),
      );
      expect(pieceOf(back.block, piece.name).fold).toBe(piece.fold);
    }
  });

  it(`keeps every corner, and every point of every sewing line in the file, to ${tolerance} mm`, () => {
    const [drawing] = written(options, given);
    const file = readPatternDxf(readDxf(Buffer.from(drawing!.content as string), 'back.dxf'));
    for (const piece of base.pieces) {
      const other = pieceOf(back.block, piece.name);
      for (const edge of piece.edges) {
        expect(distance(pointOf(other, edge.from), pointOf(piece, edge.from)), edge.from).toBeLessThan(
          tolerance,
        );
        // Between the chords of the file, 0.1 mm off the curve, nobody tells how it ran.
        const { path } = other.edges.find((e) => e.name === edge.name)!;
        for (const vertex of flatten(edge.path, 0.1)) expect(placeOn(path, vertex).off).toBeLessThan(0.05);
      }
      const { boundary, sewLines } = file.pieces.find((p) => p.name === piece.name)!;
      const outline = other.edges.flatMap((e) => [...e.path]);
      for (const { at } of (sewLines[0] ?? boundary).vertices) {
        expect(placeOn(outline, at).off, piece.name).toBeLessThan(tolerance + 1e-3);
      }
    }
  });

  it('keeps the grain, and every notch where it is sewn', () => {
    for (const piece of base.pieces) {
      const other = pieceOf(back.block, piece.name);
      expect(distance(other.grain.from, piece.grain.from)).toBeLessThan(tolerance);
      expect(distance(other.grain.to, piece.grain.to)).toBeLessThan(tolerance);
      const key = (of: Piece) => (n: Notch) => `${atEnd(of, n) ? 'end' : n.edge} ${n.kind}`;
      expect(other.notches.map(key(other)).sort()).toEqual(piece.notches.map(key(piece)).sort());
      for (const notch of piece.notches) {
        const at = placeOf(piece, notch);
        const same = other.notches
          .filter((n) => key(other)(n) === key(piece)(notch))
          .map((n) => distance(placeOf(other, n), at));
        // A cut line has chords of 0.1 mm: a notch stands square to them, not to the curve.
        expect(Math.min(...same), `${piece.name} ${notch.name}`).toBeLessThan(
          options.boundary === 'cut' ? 0.5 : 0.1,
        );
      }
    }
  });

  it('keeps the sizes and the grade rules of every corner', () => {
    expect(back.grade.sizes).toEqual(range.sizes.map((s) => s.size));
    expect(back.grade.base).toBe(range.base);
    for (const piece of base.pieces) {
      for (const edge of piece.edges) {
        const rule = back.grade.rules.find((r) => r.piece === piece.name && r.point === edge.from)!;
        range.sizes.forEach(({ pattern }, i) => {
          const move = sub(pointOf(pieceOf(pattern, piece.name), edge.from), pointOf(piece, edge.from));
          expect(distance(rule.bySize[i]!, move), `${piece.name}.${edge.from}`).toBeLessThan(tolerance);
        });
      }
    }
  });

  it('grades again to edges that measure the same in every size, to 0.5 mm', () => {
    for (const { size, pattern } of range.sizes) {
      const there = again.range.sizes.find((s) => s.size === size)!.pattern;
      for (const piece of pattern.pieces) {
        for (const edge of piece.edges) {
          const path = pieceOf(there, piece.name).edges.find((e) => e.name === edge.name)!.path;
          expect(
            Math.abs(length(path) - length(edge.path)),
            `${size} ${piece.name}.${edge.name}`,
          ).toBeLessThan(0.5);
        }
        for (const [name, at] of pointsOf(piece)) {
          const found = pointsOf(pieceOf(there, piece.name)).get(name);
          if (found) expect(distance(found, at)).toBeLessThan(2 * tolerance);
        }
      }
    }
  });

  it('finds the allowances between sewing and cut lines, where the file has both', () => {
    if (options.boundary === 'sew')
      return expect(imported.notes.join()).toMatch(/the file has no sewing lines/);
    for (const piece of base.pieces) {
      for (const edge of piece.edges.filter((e) => e.name !== piece.fold)) {
        const wanted = allowanceOf(style.finish, piece.name, edge.name);
        expect(Math.abs(allowanceOf(back.finish, piece.name, edge.name) - wanted)).toBeLessThan(0.15);
      }
    }
    return undefined;
  });
});

describe('a pattern DXF with a pocket', () => {
  it('keeps the place of the pocket, an internal line, where it lies', () => {
    const given = demo('harbour-crew', '  - kangaroo-pocket: {}');
    const back = readStyle(roundTrip(SEWN, given).text, 'back.yaml', presets).block;
    const [place, ...others] = pieceOf(given.base, 'front').internals!;
    expect(others).toEqual([]);
    const [line, ...rest] = pieceOf(back, 'front').internals!;
    expect(rest).toEqual([]);
    for (const p of flatten(place!.path, 0.1)) expect(placeOn(line!.path, p).off).toBeLessThan(0.01);
    for (const p of flatten(line!.path, 0.1)) expect(placeOn(place!.path, p).off).toBeLessThan(0.01);
    // The format has no names for corners: a piece that goes by no known ones gets numbers.
    expect(pieceOf(back, 'pocket').edges).toHaveLength(pieceOf(given.base, 'pocket').edges.length);
  });
});

describe('a pattern DXF that lies another way', () => {
  /** The file again with every piece turned by a quarter, its grade reference line with it, as many programs lay it. */
  function turnedFile(): Buffer {
    const [drawing] = written({ sizes: 'rules', boundary: 'sew' });
    const file = readPatternDxf(readDxf(Buffer.from(drawing!.content as string), 'up.dxf'));
    const turn = ([x, y]: Vec): Vec => [-y, x];
    const line = (l: PatternLine): PatternLine => ({
      ...l,
      vertices: l.vertices.map((v) => ({ ...v, at: turn(v.at) })),
    });
    const axis = (a: PatternAxis | undefined) => a && { from: turn(a.from), to: turn(a.to) };
    const pieces = file.pieces.map(
      (p): PatternPiece => ({
        ...p,
        boundary: line(p.boundary),
        sewLines: p.sewLines.map(line),
        internals: p.internals.map(line),
        notches: p.notches.map((n) => ({
          ...n,
          at: turn(n.at),
          angle: n.angle === undefined ? undefined : n.angle + 90,
        })),
        grain: axis(p.grain),
        mirror: axis(p.mirror),
        gradeReference: axis(p.gradeReference),
        annotations: [],
      }),
    );
    const head = {
      style: style.name,
      sampleSize: range.base,
      author: 'test',
      date: new Date(0),
      units: 'METRIC',
      ruleTable: 't',
    } as const;
    return Buffer.from(writeR13(patternDrawing(pieces, head)));
  }

  it('is turned to its grain, its grade rules with it', () => {
    const [, table] = written({ sizes: 'rules', boundary: 'sew' });
    const imported = importDrawing(turnedFile(), 'turned.dxf', {
      rules: { text: String(table!.content), file: 't.rul' },
    });
    expect(imported.pieces[0]!.notes.join()).toMatch(/turned by -90\.0 degrees/);
    const back = readStyle(imported.text, 'turned.yaml', presets);
    for (const piece of base.pieces.filter((p) => p.fold)) {
      const other = pieceOf(back.block, piece.name);
      for (const edge of piece.edges) {
        expect(distance(pointOf(other, edge.from), pointOf(piece, edge.from)), edge.from).toBeLessThan(0.01);
        const rule = back.grade.rules.find((r) => r.piece === piece.name && r.point === edge.from)!;
        range.sizes.forEach(({ pattern }, i) => {
          const move = sub(pointOf(pieceOf(pattern, piece.name), edge.from), pointOf(piece, edge.from));
          expect(distance(rule.bySize[i]!, move), `${piece.name}.${edge.from}`).toBeLessThan(0.01);
        });
      }
    }
  });

  it('with pieces opened at the fold is halved again where it is asked for', () => {
    const [drawing, table] = written({ sizes: 'rules', boundary: 'sew', fold: 'open' });
    const bytes = Buffer.from(drawing!.content as string);
    const rules = { text: String(table!.content), file: 'open.rul' };
    expect(
      importDrawing(bytes, 'open.dxf', { rules })
        .pieces.find((p) => p.name === 'front')!
        .notes.join(),
    ).toMatch(/it is symmetric: to keep one half of it, on the fold, say --fold front=center/);
    const imported = importDrawing(bytes, 'open.dxf', { rules, fold: 'center' });
    const back = readStyle(imported.text, 'open.yaml', presets);
    for (const piece of base.pieces.filter((p) => p.fold)) {
      const other = pieceOf(back.block, piece.name);
      expect(other.edges.map((e) => e.name)).toEqual(piece.edges.map((e) => e.name));
      for (const edge of piece.edges) {
        expect(distance(pointOf(other, edge.from), pointOf(piece, edge.from)), edge.from).toBeLessThan(0.01);
      }
    }
    expect(developStyle(back).range.sizes).toHaveLength(range.sizes.length);
  });
});

describe('a pattern DXF of several sizes without a rule table', () => {
  it('grades to edges that measure the same in every size, to 0.5 mm, and to seams that sew', () => {
    const [drawing] = written({ sizes: 'all', boundary: 'cut' });
    const imported = importDrawing(Buffer.from(drawing!.content as string), 'all.dxf');
    const again = developStyle(readStyle(imported.text, 'all.yaml', presets));
    for (const { size, pattern } of range.sizes) {
      const there = again.range.sizes.find((s) => s.size === size)!.pattern;
      for (const piece of pattern.pieces) {
        for (const edge of piece.edges) {
          const { path } = pieceOf(there, piece.name).edges.find((e) => e.name === edge.name)!;
          expect(
            Math.abs(length(path) - length(edge.path)),
            `${size} ${piece.name}.${edge.name}`,
          ).toBeLessThan(0.5);
        }
      }
    }
    expect(again.truing.flatMap((t) => t.seams.filter((s) => !s.matches))).toEqual([]);
  });

  it('gives the corners of the base size rules from where they are in the others', () => {
    const [drawing] = written({ sizes: 'all', boundary: 'sew', only: ['98', '104', '110'] });
    const imported = importDrawing(Buffer.from(drawing!.content as string), 'all.dxf');
    const back = readStyle(imported.text, 'all.yaml', presets);
    expect(back.grade.sizes).toEqual(['98', '104', '110']);
    const rule = back.grade.rules.find((r) => r.piece === 'front' && r.point === 'underarm')!;
    const at = (size: string) =>
      pointOf(pieceOf(range.sizes.find((s) => s.size === size)!.pattern, 'front'), 'underarm');
    expect(distance(rule.bySize[2]!, sub(at('110'), at('104')))).toBeLessThan(0.01);
    expect(distance(rule.bySize[0]!, sub(at('98'), at('104')))).toBeLessThan(0.01);
    expect(developStyle(back).range.sizes).toHaveLength(3);
  });

  it('of one size is taken in that size, although the file names the sample size of the whole style', () => {
    const files = written({ sizes: 'files', boundary: 'sew' });
    const file = files.find((f) => f.name.endsWith('-98.dxf'))!;
    const one = importDrawing(Buffer.from(file.content as string), file.name);
    expect(one.notes).toContain('the file does not hold its sample size 104: 98 is taken for the base');
    expect(one.text).toMatch(/grade: \{ sizes: \[ "?98"? \], base: "?98"? \}/);
  });

  it('refuses a rule table that lacks the rules its points follow, or the sample size', () => {
    const [drawing, table] = written({ sizes: 'rules', boundary: 'sew' });
    const bytes = Buffer.from(drawing!.content as string);
    const text = String(table!.content);
    const short = text.replace(/Rule: Delta 1\r\n[\s\S]*?(?=Rule: Delta 2)/, '');
    expect(() => importDrawing(bytes, 'a.dxf', { rules: { text: short, file: 'a.rul' } })).toThrow(
      /a point of '\w+' follows rule 1, which the rule table lacks/,
    );
    const other = text
      .replace(/Size List: .*/, 'Size List: 34 36 38 40 42 44')
      .replace('Sample Size: 104', 'Sample Size: 38');
    expect(() => importDrawing(bytes, 'a.dxf', { rules: { text: other, file: 'a.rul' } })).toThrow(
      /the rule table has no size '104', the sample size of the pattern/,
    );
  });
});
