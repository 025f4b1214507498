import { Buffer } from 'node:buffer';
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import process from 'node:process';
import fc from 'fast-check';
import { describe, expect, it, onTestFinished } from 'vitest';
import { InputError } from '../../../src/errors.js';
import {
  flattenEntities,
  patternDrawing,
  readDxf,
  readPatternDxf,
  writeR12,
  writeR13,
} from '../../../src/exchange/dxf/index.js';
import { errorOf, groups, type Pair, read, section } from './helpers.js';

const FOLDER = join(import.meta.dirname, '../../../fixtures/bad/dxf');

/** What each file of the corpus comes to: an error with its line, or a partial read that says what it dropped. */
type Expected =
  | { readonly error: string; readonly line?: number }
  | {
      readonly paths: number;
      readonly blocks: number;
      readonly pieces: number;
      readonly dropped: readonly string[];
      readonly notes?: readonly string[];
    };

const expected = JSON.parse(readFileSync(join(FOLDER, 'expected.json'), 'utf8')) as Record<string, Expected>;
const names = readdirSync(FOLDER).filter((name) => name.endsWith('.dxf'));

describe('the corpus of malformed and hostile DXF files', () => {
  it('has an expectation for every file and a file for every expectation', () => {
    expect(Object.keys(expected).sort()).toEqual([...names].sort());
    expect(names.length).toBeGreaterThanOrEqual(60);
  });

  it.each(names)('%s ends in a clear error or a partial read, within 5 s of processor time', (name) => {
    const before = process.cpuUsage();
    onTestFinished(() => {
      const { user, system } = process.cpuUsage(before);
      expect(user + system, 'microseconds of processor time').toBeLessThan(5e6);
    });
    const bytes = readFileSync(join(FOLDER, name));
    const wanted = expected[name]!;
    const all = () => {
      const file = readDxf(bytes, name);
      return { file, flat: flattenEntities(file), pattern: readPatternDxf(file) };
    };
    if ('error' in wanted) {
      const error = errorOf(all);
      expect(error).toBeInstanceOf(InputError);
      expect(error.message).toBe(wanted.error);
      expect(error.place).toEqual({ file: name, ...(wanted.line ? { line: wanted.line } : {}) });
      expect(error.mend).toMatch(/\w{3}/);
      return;
    }
    const { file, flat, pattern } = all();
    const dropped = [...pattern.dropped, ...flat.dropped].map((d) => `${d.what} x${d.count} @${d.where}`);
    expect({
      paths: flat.paths.length,
      blocks: file.blocks.length,
      pieces: pattern.pieces.length,
      dropped: [...new Set(dropped)],
    }).toEqual({
      paths: wanted.paths,
      blocks: wanted.blocks,
      pieces: wanted.pieces,
      dropped: wanted.dropped,
    });
    // Nothing is left out without a word.
    expect(wanted.dropped.length + (wanted.notes?.length ?? 0) + pattern.notes.length).toBeGreaterThan(0);
    for (const note of wanted.notes ?? []) expect(pattern.notes).toContain(note);
  });
});

describe('a whole pattern file, damaged at random,', () => {
  const square = (salt: number) => ({
    closed: true,
    vertices: [0, 1, 2, 3].map((i) => ({
      at: [((i + 1) & 2) * 50 + salt, (i & 2) * 50 + salt] as const,
      kind: 'turn' as const,
      rule: i + 1,
    })),
  });
  const drawing = patternDrawing(
    ['front', 'back'].map((name) => ({
      name,
      block: '',
      size: 'M',
      quantity: { asDrawn: 1, mirrored: 1 },
      material: 'self',
      category: undefined,
      boundary: square(0),
      mirror: undefined,
      grain: { from: [10, 10], to: [10, 90] },
      gradeReference: undefined,
      internals: [],
      cutouts: [],
      sewLines: [square(5)],
      notches: [{ at: [50, 0], shape: 'slit', depth: 3, width: 0, angle: 90 }],
      drillHoles: [],
      annotations: [],
    })),
    { style: 'x', sampleSize: 'M', author: 'x', date: new Date(0), units: 'METRIC' },
  );
  const whole = [writeR12(drawing), writeR13(drawing)].map((text) => Buffer.from(text));

  /** Either it is read, or it is refused by name: never a crash, and every number that comes out is finite. */
  const survives = (bytes: Uint8Array): void => {
    try {
      const file = readDxf(bytes, 'damaged.dxf');
      const flat = flattenEntities(file);
      const { pieces } = readPatternDxf(file, { units: 'mm' });
      const points = [...flat.points, ...flat.texts].flatMap((p) => [...p.at]);
      const vertices = pieces.flatMap((p) => p.boundary.vertices.flatMap((v) => [...v.at]));
      expect([...points, ...vertices].every(Number.isFinite)).toBe(true);
    } catch (error) {
      if (!(error instanceof InputError)) throw error;
      expect(error.place.file).toBe('damaged.dxf');
      expect(error.mend).toBeTruthy();
    }
  };

  it('by bytes changed, taken out, put in or swapped for others, is read or refused', () => {
    const change = fc.record({
      at: fc.double({ min: 0, max: 1, noNaN: true }),
      take: fc.integer({ min: 0, max: 12 }),
      put: fc.oneof(
        fc.uint8Array({ maxLength: 6 }),
        fc
          .constantFrom(
            '\r\n',
            '  0\r\n',
            'INSERT\r\n',
            '1e999',
            '-',
            'NaN',
            'POLYLINE',
            '999\r\n',
            '\u0000',
            'é',
          )
          .map((s) => new Uint8Array(Buffer.from(s, 'latin1'))),
      ),
    });
    fc.assert(
      fc.property(
        fc.constantFrom(...whole),
        fc.array(change, { minLength: 1, maxLength: 4 }),
        (start, changes) => {
          let bytes = start;
          for (const { at, take, put } of changes) {
            const from = Math.floor(at * bytes.length);
            bytes = Buffer.concat([bytes.subarray(0, from), put, bytes.subarray(from + take)]);
          }
          survives(bytes);
        },
      ),
      { numRuns: 400 },
    );
  });

  it('by breaking off anywhere, never gives a piece with a part of its outline', () => {
    const complete = readPatternDxf(readDxf(whole[0]!, 'a.dxf')).pieces;
    for (let length = 200; length < whole[0]!.length; length += 7) {
      let file: ReturnType<typeof readDxf>;
      try {
        file = readDxf(whole[0]!.subarray(0, length), 'damaged.dxf');
      } catch (error) {
        expect(error).toBeInstanceOf(InputError);
        continue;
      }
      const { pieces, dropped } = readPatternDxf(file, { units: 'mm' });
      pieces.forEach((piece, i) => {
        expect(piece.boundary).toEqual(complete[i]!.boundary);
        expect(piece.notches).toEqual(complete[i]!.notches);
      });
      if (!file.complete) expect(dropped.map((d) => d.what).join()).toMatch(/it may have been cut off/);
    }
  });
});

describe('the limits', () => {
  const line: Pair[] = [
    [0, 'LINE'],
    [10, 0],
    [20, 0],
    [11, 1],
    [21, 1],
  ];
  const text = groups([...section('ENTITIES', ...Array.from({ length: 50 }, () => line).flat()), [0, 'EOF']]);

  it('hold for bytes and records, and name the file', () => {
    const large = errorOf(() => readDxf(Buffer.from(text), 'large.dxf', { bytes: 100 }));
    expect(large.message).toMatch(/^the DXF has 0\.0 MB; more than 0\.0 MB are not read$/);
    expect(large.place).toEqual({ file: 'large.dxf' });
    expect(errorOf(() => read(text, { records: 20 })).message).toBe('the DXF has more than 20 records');
  });

  it('hold for vertices of polylines of either kind and of splines', () => {
    const many = (code: number) =>
      Array.from({ length: 40 }, (_, i): Pair[] => [
        [code, i],
        [code + 10, 0],
      ]).flat();
    const vertices: Pair[] = Array.from({ length: 40 }, (): Pair[] => [
      [0, 'VERTEX'],
      [10, 0],
      [20, 0],
    ]).flat();
    for (const body of [
      [[0, 'LWPOLYLINE'], ...many(10)],
      [[0, 'SPLINE'], [71, 3], ...many(10)],
      [[0, 'POLYLINE'], ...vertices, [0, 'SEQEND']],
    ] as Pair[][]) {
      const file = groups([...section('ENTITIES', ...body), [0, 'EOF']]);
      expect(errorOf(() => read(file, { vertices: 30 })).message).toBe('the DXF has more than 30 vertices');
      expect(read(file).entities).toHaveLength(1);
    }
  });

  it('keep a list of odd things short', () => {
    const odd = Array.from({ length: 1000 }, (_, i): Pair => [0, `ODD${i}`]);
    const { dropped } = read(groups([...section('ENTITIES', ...odd), [0, 'EOF']]));
    expect(dropped.length).toBeLessThanOrEqual(201);
    expect(dropped.reduce((sum, d) => sum + d.count, 0)).toBe(1000);
    expect(dropped[dropped.length - 1]!.what).toBe('other things');
  });
});
