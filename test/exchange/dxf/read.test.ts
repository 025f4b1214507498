import { Buffer } from 'node:buffer';
import { describe, expect, it } from 'vitest';
import { readDxf } from '../../../src/exchange/dxf/index.js';
import type { DxfEntity } from '../../../src/exchange/dxf/types.js';
import { drawing, groups, type Pair, read, section } from './helpers.js';

const only = (...pairs: Pair[]): DxfEntity => {
  const { entities, dropped } = read(drawing(...pairs));
  expect(dropped).toEqual([]);
  expect(entities).toHaveLength(1);
  return entities[0]!;
};
const at = (x: number, y: number, code = 10): Pair[] => [
  [code, x],
  [code + 10, y],
];
/** Seen from behind. */
const BEHIND: Pair[] = [
  [210, 0],
  [220, 0],
  [230, -1],
];

describe('a DXF', () => {
  const text = groups([
    [999, 'a comment'],
    ...section(
      'HEADER',
      [9, '$ACADVER'],
      [1, 'AC1015'],
      [9, '$INSUNITS'],
      [70, 4],
      [9, '$MEASUREMENT'],
      [70, 0],
      [9, '$EXTMIN'],
      ...at(1, 2),
    ),
    ...section(
      'TABLES',
      [0, 'TABLE'],
      [2, 'LAYER'],
      [0, 'LAYER'],
      [2, 'CUT'],
      [62, -3],
      [70, 0],
      [0, 'LAYER'],
      [2, '14'],
      [70, 1],
      [0, 'ENDTAB'],
    ),
    ...section(
      'BLOCKS',
      [0, 'BLOCK'],
      [8, '1'],
      [2, 'FRONT'],
      ...at(5, 6),
      [0, 'LINE'],
      ...at(0, 0),
      ...at(1, 1, 11),
      [0, 'ENDBLK'],
    ),
    ...section('ENTITIES', [0, 'INSERT'], [8, '2'], [2, 'FRONT'], ...at(7, 8)),
    ...section('OBJECTS', [0, 'DICTIONARY'], [3, 'x']),
    [0, 'EOF'],
    [0, 'LINE'],
  ]);

  it('gives its header, layers, blocks and entities, each with its line', () => {
    const file = read(text);
    expect(file).toMatchObject({
      version: 'AC1015',
      insUnits: 4,
      measurement: 0,
      complete: true,
      dropped: [],
    });
    expect(file.header.get('$EXTMIN')).toEqual([
      { code: 10, value: '1', line: 22 },
      { code: 20, value: '2', line: 24 },
    ]);
    expect(file.layers).toEqual([
      { name: 'CUT', off: true, frozen: false, colour: 3 },
      { name: '14', off: false, frozen: true, colour: 7 },
    ]);
    expect(file.blocks).toMatchObject([
      { name: 'FRONT', base: [5, 6], layer: '1', entities: [{ kind: 'line', layer: '0' }] },
    ]);
    const lines = text.split('\n');
    for (const { lineNumber } of [...file.blocks, ...file.entities, ...file.blocks[0]!.entities]) {
      expect(lines[lineNumber - 1]!.trim()).toBe('0');
    }
    expect(lines[file.entities[0]!.lineNumber]).toBe('INSERT');
  });

  it.each([['\r\n'], ['\r'], ['\n']])('reads alike with any end of line: %j', (newline) => {
    const plain = read(text);
    const other = readDxf(Buffer.from(text.replaceAll('\n', newline)), 'test.dxf');
    expect(other).toEqual(plain);
  });
});

describe('an entity', () => {
  it('is read as it lies', () => {
    expect(only([0, 'LINE'], [8, 'A'], ...at(1, 2), ...at(3, 4, 11))).toMatchObject({
      kind: 'line',
      layer: 'A',
      a: [1, 2],
      b: [3, 4],
    });
    expect(only([0, 'ARC'], ...at(1, 2), [40, 5], [50, 10], [51, 100])).toMatchObject({
      centre: [1, 2],
      radius: 5,
      from: 10,
      to: 100,
    });
    expect(only([0, 'LWPOLYLINE'], [90, 2], [70, 1], ...at(1, 2), [42, 0.5], ...at(3, 4))).toMatchObject({
      closed: true,
      vertices: [
        { at: [1, 2], bulge: 0.5 },
        { at: [3, 4], bulge: 0 },
      ],
    });
    expect(only([0, 'POINT'], ...at(1, 2), [30, 3], [39, 4], [50, 90])).toMatchObject({
      at: [1, 2],
      z: 3,
      thickness: 4,
      angle: 90,
    });
    expect(only([0, 'POINT'], ...at(1, 2))).toMatchObject({ z: 0, thickness: 0, angle: undefined });
    expect(only([0, 'INSERT'], [2, 'B'], ...at(1, 2), [41, 3], [70, 2], [44, 9])).toMatchObject({
      block: 'B',
      scaleX: 3,
      scaleY: 1,
      columns: 2,
      rows: 1,
      columnSpacing: 9,
    });
  });

  it('seen from behind is turned over (DXF reference, extrusion 0, 0, -1)', () => {
    expect(only([0, 'ARC'], ...at(1, 2), [40, 5], [50, 10], [51, 100], ...BEHIND)).toMatchObject({
      centre: [-1, 2],
      from: 80,
      to: 170,
    });
    expect(only([0, 'LWPOLYLINE'], [90, 1], ...at(1, 2), [42, 0.5], ...BEHIND)).toMatchObject({
      vertices: [{ at: [-1, 2], bulge: -0.5 }],
    });
    expect(only([0, 'INSERT'], [2, 'B'], ...at(1, 2), [50, 30], [44, 9], ...BEHIND)).toMatchObject({
      at: [-1, 2],
      scaleX: -1,
      scaleY: 1,
      rotation: -30,
      columnSpacing: -9,
    });
    // Lines and points lie in the world whatever their extrusion.
    expect(only([0, 'LINE'], ...at(1, 2), ...at(3, 4, 11), ...BEHIND)).toMatchObject({ a: [1, 2] });
  });

  it('POLYLINE takes its vertices, without the frame of a spline', () => {
    const vertex = (x: number, flags: number): Pair[] => [[0, 'VERTEX'], ...at(x, 0), [70, flags]];
    const body = [...vertex(0, 16), ...vertex(1, 8), ...vertex(2, 8)];
    const polyline = only([0, 'POLYLINE'], [8, '1'], [70, 5], ...body, [0, 'SEQEND']);
    expect(polyline).toMatchObject({ closed: true, layer: '1', vertices: [{ at: [1, 0] }, { at: [2, 0] }] });
  });

  it('TEXT stands at its alignment point where it has one', () => {
    const text = (...more: Pair[]) =>
      only([0, 'TEXT'], ...at(1, 2), ...at(5, 6, 11), [40, 3], [1, 'x'], ...more);
    expect(text()).toMatchObject({ at: [1, 2], height: 3, rotation: 0 });
    expect(text([72, 1])).toMatchObject({ at: [5, 6] });
    expect(text([73, 2], [50, 45])).toMatchObject({ at: [5, 6], rotation: 45 });
  });

  it.each([
    ['50%%d and %%p1 %%c9 %%u100%%%', '50° and ±1 Ø9 100%'],
    ['%%065bc', 'Abc'],
    ['\\U+00E4rmel', 'ärmel'],
    ['a^Ib^ c', 'a b^c'],
    ['# 12', '# 12'],
  ])('TEXT %j reads %j', (raw, words) => {
    expect(only([0, 'TEXT'], ...at(0, 0), [40, 1], [1, raw])).toMatchObject({ text: words });
  });

  it.each([
    ['plain', 'plain'],
    ['{\\fArial|b0|i0;Piece Name: front}\\PSize: M', 'Piece Name: front\nSize: M'],
    ['\\A1;\\H2.5x;\\C1;tall\\~word', 'tall word'],
    ['1 \\S1/4; in, \\S3^8;', '1 1/4 in, 3/8'],
    ['a\\\\b \\{c\\}', 'a\\b {c}'],
    ['\\Lunder\\l \\U+00E4', 'under ä'],
    ['cut \\fArial', 'cut Arial'],
  ])('MTEXT %j reads %j', (raw, words) => {
    expect(only([0, 'MTEXT'], ...at(0, 0), [40, 1], [1, raw])).toMatchObject({ text: words });
  });

  it('MTEXT is put together from its parts and turned along its direction', () => {
    const parts: Pair[] = [
      [3, 'Piece '],
      [3, 'Name: '],
      [1, 'front'],
    ];
    expect(only([0, 'MTEXT'], ...at(0, 0), [40, 1], ...parts, [11, 0], [21, 1])).toMatchObject({
      text: 'Piece Name: front',
      rotation: 90,
    });
  });

  it('that is not read is counted by its kind, with the line of the first', () => {
    const { dropped, entities } = read(
      drawing([0, 'HATCH'], [0, 'LINE'], ...at(0, 0), ...at(1, 1, 11), [0, 'HATCH'], [0, 'DIMENSION']),
    );
    expect(entities).toHaveLength(1);
    expect(dropped).toEqual([
      { what: 'HATCH', count: 2, where: 'line 5' },
      { what: 'DIMENSION', count: 1, where: 'line 19' },
    ]);
  });
});
