import { describe, expect, it, vi } from 'vitest';
import type { Drawn, DrawnFile } from '../../../src/exchange/dxf/drawing.js';
import { flattenEntities, writeR12, writeR13 } from '../../../src/exchange/dxf/index.js';
import { nodes } from '../../../src/geometry/path.js';
import { hasEzdxf, needing } from '../tools.js';
import { read } from './helpers.js';
import { dxfParser, ezdxf, hasLibrecad, librecadPdf } from './readers.js';

vi.setConfig({ testTimeout: 120_000 });

const SHAPES: readonly Drawn[] = [
  {
    kind: 'polyline',
    layer: '1',
    closed: true,
    points: [
      [0, 0],
      [100, 0],
      [100, 50.12345],
      [0, 50],
    ],
  },
  {
    kind: 'polyline',
    layer: '14',
    closed: false,
    points: [
      [10, 10],
      [90, 10],
      [90, 40],
    ],
  },
  { kind: 'line', layer: '7', a: [50, 5], b: [50, 45] },
  { kind: 'point', layer: '4', at: [100, 20], z: 3, thickness: 1.5, angle: 180 },
  { kind: 'point', layer: '2', at: [0, 0] },
  { kind: 'text', layer: '1', at: [20, 20], height: 5, text: 'Piece Name: ärmel 100%%u ^J' },
  { kind: 'text', layer: '15', at: [20, 30], height: 4, angle: 90, text: 'middle', align: 'middle' },
];

const file = (over: Partial<DrawnFile> = {}): DrawnFile => ({
  layers: ['1', '2', '4', '7', '14', '15'].map((name, i) => ({ name, colour: i + 1 })),
  blocks: [{ name: 'FRONT-M', entities: SHAPES }],
  entities: [...SHAPES, { kind: 'insert', layer: '1', block: 'FRONT-M', at: [200, 0] }],
  extent: [
    [0, 0],
    [300, 60],
  ],
  decimals: 4,
  ...over,
});

const COUNTS = {
  '1 POLYLINE': 1,
  '14 POLYLINE': 1,
  '7 LINE': 1,
  '4 POINT': 1,
  '2 POINT': 1,
  '1 TEXT': 1,
  '15 TEXT': 1,
};

describe.each([
  ['R13', writeR13, 'AC1012'],
  ['R12', writeR12, 'AC1009'],
] as const)('a drawing as %s', (name, write, version) => {
  const text = write(file());

  it('comes back through our own reader', () => {
    const back = read(text);
    expect(back).toMatchObject({ version, complete: true, dropped: [], encoding: 'utf-8' });
    expect(back.layers.map((l) => l.name)).toEqual(['0', '1', '2', '4', '7', '14', '15']);
    const pieces = back.blocks.filter((b) => !b.name.startsWith('*'));
    expect(pieces.map((b) => b.name)).toEqual(['FRONT-M']);
    expect(pieces[0]!.entities.map((e) => e.kind)).toEqual(SHAPES.map((s) => s.kind));
    expect(pieces[0]!.entities[3]).toMatchObject({ at: [100, 20], z: 3, thickness: 1.5, angle: 180 });
    expect(pieces[0]!.entities[4]).toMatchObject({ z: 0, thickness: 0, angle: undefined });
    expect(pieces[0]!.entities[5]).toMatchObject({ text: 'Piece Name: ärmel 100% %u ^J' });
    const flat = flattenEntities(back);
    expect(flat.paths.map((p) => p.closed)).toEqual([true, false, false, true, false, false]);
    expect(nodes(flat.paths[3]!.path).slice(0, -1)).toEqual([
      [200, 0],
      [300, 0],
      [300, 50.1235],
      [200, 50],
    ]);
  });

  it('is plain ASCII with CR LF, the same bytes every time', () => {
    expect(text).toMatch(/^[\x20-\x7e\r\n]*$/);
    expect(text.replaceAll('\r\n', '')).not.toMatch(/[\r\n]/);
    expect(text.endsWith('EOF\r\n')).toBe(true);
    expect(write(file())).toBe(text);
    expect(text).toContain('\\U+00E4rmel');
  });

  it('writes coordinates with its decimals and never -0 or an exponent', () => {
    const points: Drawn = {
      kind: 'polyline',
      layer: '1',
      closed: false,
      points: [
        [-1e-9, 1e-9],
        [123456.7, -0.00004],
      ],
    };
    const lines = write(file({ blocks: [], entities: [points] })).split('\r\n');
    const reals = lines.filter((_, i) => i % 2 === 1 && /^ *[1-5]0$/.test(lines[i - 1]!));
    expect(reals.length).toBeGreaterThan(6);
    for (const real of reals) expect(real).toMatch(/^-?\d+\.\d{4}$/);
    expect(reals).not.toContain('-0.0000');
    expect(reals).toContain('123456.7000');
  });

  it.each<[string, Drawn, RegExp]>([
    ['NaN', { kind: 'line', layer: '1', a: [0, Number.NaN], b: [1, 1] }, /NaN cannot be written/],
    ['an infinite height', { kind: 'text', layer: '1', at: [0, 0], height: Infinity, text: 'x' }, /Infinity/],
    ['a line break', { kind: 'text', layer: '1', at: [0, 0], height: 1, text: 'a\n0\nEOF' }, /line break/],
    ['a control character', { kind: 'text', layer: '1', at: [0, 0], height: 1, text: 'a\u0007' }, /control/],
    ['an odd layer', { kind: 'point', layer: 'a b\n', at: [0, 0] }, /cannot be the name of a block or layer/],
    ['an odd block', { kind: 'insert', layer: '1', block: 'ä', at: [0, 0] }, /cannot be the name/],
  ])('refuses %s', (_, shape, message) => {
    expect(() => write(file({ entities: [shape] }))).toThrow(message);
    expect(() => write(file({ blocks: [{ name: 'X', entities: [shape] }] }))).toThrow(message);
  });

  it('refuses a block whose name the version cannot carry', () => {
    const long = { name: 'A'.repeat(32), entities: [] };
    expect(() => write(file({ blocks: [long] }))).toThrow(/up to 31|cannot be the name/);
  });

  it.skipIf(!hasEzdxf)(
    needing('passes the audit of ezdxf, which finds the same entities', 'python3-ezdxf', hasEzdxf),
    () => {
      const audit = ezdxf(text);
      expect(audit).toMatchObject({ version, errors: 0, extent: [0, 0, 300, 60] });
      expect(audit.layers).toEqual(expect.arrayContaining(['1', '14', '15', '2', '4', '7']));
      expect(audit.counts).toEqual({ '': { ...COUNTS, '1 INSERT': 1 }, 'FRONT-M': COUNTS });
      expect(audit.polylines.map((p) => p.closed)).toEqual([true, false, true, false]);
      // Of R12 without handles ezdxf mends a link of its own in every polyline of a block; of R13 nothing.
      const own = audit.fixes.filter((fix) => !/SEQEND\(#[0-9A-F]+\) entity with invalid owner/.test(fix));
      expect(own).toEqual([]);
      if (name === 'R13') expect(audit.fixes).toEqual([]);
    },
  );

  it('is read alike by dxf-parser', async () => {
    const found = await dxfParser(text);
    expect(found.entities.map((e) => e.type)).toEqual([
      'POLYLINE',
      'POLYLINE',
      'LINE',
      'POINT',
      'POINT',
      'TEXT',
      'TEXT',
      'INSERT',
    ]);
    expect(found.entities[0]).toMatchObject({ layer: '1', shape: true });
    expect(found.entities[0]!.vertices!.map((v) => [v.x, v.y])).toEqual([
      [0, 0],
      [100, 0],
      [100, 50.1235],
      [0, 50],
    ]);
  });

  it.skipIf(!hasLibrecad)(needing('is drawn by LibreCAD', 'librecad', hasLibrecad), () => {
    const empty = librecadPdf(write(file({ blocks: [], entities: [] })));
    const drawn = librecadPdf(text);
    expect(drawn.subarray(0, 5).toString()).toBe('%PDF-');
    expect(drawn.length).toBeGreaterThan(empty.length);
  });
});

describe('the handles of R13', () => {
  it('are there once each, below the seed, and every owner is one of them', () => {
    const lines = writeR13(file()).split('\r\n');
    const values = (code: string) => lines.filter((_, i) => i % 2 === 1 && lines[i - 1]!.trim() === code);
    const [seed, ...handles] = values('5').map((h) => Number.parseInt(h, 16));
    expect(new Set(handles).size).toBe(handles.length);
    expect(seed).toBe(Math.max(...handles) + 1);
    for (const owner of values('330')) expect(handles).toContain(Number.parseInt(owner, 16));
  });
});
