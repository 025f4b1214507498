import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it, vi } from 'vitest';
import { flattenBlocks, flattenEntities, readDxf } from '../../../src/exchange/dxf/index.js';
import { end, flatten, length, start } from '../../../src/geometry/path.js';
import { bounds, distanceToSegment } from '../../../src/geometry/polygon.js';
import { distance, type Vec } from '../../../src/geometry/vec.js';
import { hasEzdxf, needing, PYTHON, run, withFile } from '../tools.js';
import { drawing, errorOf, groups, type Pair, read, section } from './helpers.js';

vi.setConfig({ testTimeout: 60_000 });

const line = (x: number, layer = '1'): Pair[] => [
  [0, 'LINE'],
  [8, layer],
  [10, x],
  [20, 0],
  [11, x + 1],
  [21, 0],
];
const block = (name: string, ...body: Pair[]): Pair[] => [
  [0, 'BLOCK'],
  [8, '0'],
  [2, name],
  [10, 0],
  [20, 0],
  ...body,
  [0, 'ENDBLK'],
];
const insert = (name: string, ...more: Pair[]): Pair[] => [
  [0, 'INSERT'],
  [8, 'SHEET'],
  [2, name],
  [10, 0],
  [20, 0],
  ...more,
];
const file = (blocks: Pair[], entities: Pair[]): string =>
  groups([...section('BLOCKS', ...blocks), ...section('ENTITIES', ...entities), [0, 'EOF']]);

/** Greatest distance of the vertices of some runs from the nearest of the others. */
function strays(runs: readonly (readonly Vec[])[], others: readonly (readonly Vec[])[]): number {
  const boxes = others.map((run) => bounds(run));
  const off = (p: Vec) => {
    let least = Number.POSITIVE_INFINITY;
    others.forEach((run, k) => {
      const { minX, minY, maxX, maxY } = boxes[k]!;
      if (p[0] < minX - 1 || p[0] > maxX + 1 || p[1] < minY - 1 || p[1] > maxY + 1) return;
      for (let i = 1; i < run.length; i++)
        least = Math.min(least, distanceToSegment(p, run[i - 1]!, run[i]!));
    });
    return least;
  };
  return Math.max(...runs.flat().map(off));
}

const lengthOf = (runs: readonly (readonly Vec[])[]): number =>
  runs.reduce((sum, run) => sum + run.slice(1).reduce((part, b, i) => part + distance(run[i]!, b), 0), 0);

describe('a drawing made by ezdxf, unfolded', () => {
  const script = join(import.meta.dirname, 'outside.py');

  const title = needing('runs where ezdxf draws it (%s)', 'python3-ezdxf', hasEzdxf);
  it.skipIf(!hasEzdxf).each(['R12', 'R2000'])(title, (version) => {
    withFile('all.dxf', '', (path) => {
      const theirs = JSON.parse(run(PYTHON, [script, version, path])) as Vec[][];
      const flat = flattenEntities(readDxf(readFileSync(path), 'all.dxf'), { tolerance: 0.001 });
      expect(flat.dropped).toEqual([]);
      const ours = flat.paths.map(({ path: own }) => flatten(own, 0.001));
      expect(ours.length).toBeGreaterThan(40);
      expect(strays(ours, theirs)).toBeLessThan(0.01);
      expect(strays(theirs, ours)).toBeLessThan(0.01);
      expect(lengthOf(ours) / lengthOf(theirs)).toBeCloseTo(1, 5);
    });
  });
});

describe('arcs and bulges', () => {
  const only = (text: string) => flattenEntities(read(text), { tolerance: 1e-4 }).paths[0]!;

  it('of a half circle have its length, ends and side', () => {
    // Bulge 1 is a half circle to the right of the chord's direction (counter-clockwise arc).
    const { path, closed } = only(
      drawing([0, 'LWPOLYLINE'], [90, 2], [70, 0], [10, 0], [20, 0], [42, 1], [10, 10], [20, 0]),
    );
    expect(closed).toBe(false);
    expect(length(path)).toBeCloseTo(5 * Math.PI, 3);
    expect(start(path)).toEqual([0, 0]);
    expect(end(path)).toEqual([10, 0]);
    expect(Math.min(...flatten(path, 0.01).map((p) => p[1]))).toBeCloseTo(-5, 3);
  });

  it('of a circle close exactly', () => {
    const { path, closed } = only(drawing([0, 'CIRCLE'], [10, 3], [20, 4], [40, 250]));
    expect(closed).toBe(true);
    expect(end(path)).toEqual(start(path));
    for (const p of flatten(path, 0.001)) expect(distance(p, [3, 4])).toBeCloseTo(250, 3);
  });

  it('go from the start angle counter-clockwise to the end angle, past 0', () => {
    const { path } = only(drawing([0, 'ARC'], [10, 0], [20, 0], [40, 10], [50, 350], [51, 10]));
    expect(length(path)).toBeCloseTo((10 * Math.PI) / 9, 3);
    expect(start(path)[1]).toBeLessThan(0);
  });

  it('stay within the tolerance asked for, scaled up or not', () => {
    const text = file(
      block('A', [0, 'CIRCLE'], [8, '1'], [10, 0], [20, 0], [40, 1]),
      insert('A', [41, 1000], [42, 1000]),
    );
    for (const tolerance of [1, 0.01, 0.0001]) {
      const { path } = flattenEntities(read(text), { tolerance }).paths[0]!;
      const worst = flatten(path, 1e-6).reduce(
        (most, p) => Math.max(most, Math.abs(Math.hypot(...p) - 1000)),
        0,
      );
      expect(worst).toBeLessThan(tolerance);
    }
  });
});

describe('INSERT', () => {
  it('carries points and texts along: place, depth, direction and height', () => {
    const point: Pair[] = [
      [0, 'POINT'],
      [8, '4'],
      [10, 1],
      [20, 0],
      [30, 3],
      [39, 2],
      [50, 90],
    ];
    const words: Pair[] = [
      [0, 'TEXT'],
      [8, '0'],
      [10, 1],
      [20, 0],
      [40, 5],
      [50, 10],
      [1, '# 4'],
    ];
    const flat = flattenEntities(
      read(file(block('A', ...point, ...words), insert('A', [41, 2], [42, 2], [50, 90]))),
    );
    expect(flat.points).toEqual([
      { layer: '4', lineNumber: 15, blocks: ['A'], at: [0, 2], z: 6, thickness: 4, angle: 180 },
    ]);
    expect(flat.texts[0]).toMatchObject({
      text: '# 4',
      at: [0, 2],
      height: 10,
      layer: 'SHEET',
      blocks: ['A'],
    });
    expect(flat.texts[0]!.rotation).toBeCloseTo(100, 9);
  });

  it('multiplies maps that a block of its own could not carry: a turned block in one scaled unequally', () => {
    // By hand: (0, 0) - (1, 2), doubled, turned by 30 degrees, moved by (5, 5); less (-3, 4), scaled by 1.5 and 0.5,
    // turned by -75 degrees, moved by (100, 200).
    const at = (name: string, x: number, y: number): Pair[] => [
      [0, 'BLOCK'],
      [2, name],
      [10, x],
      [20, y],
    ];
    const inner: Pair[] = [
      [0, 'INSERT'],
      [2, 'PART'],
      [10, 5],
      [20, 5],
      [41, 2],
      [42, 2],
      [50, 30],
    ];
    const outer: Pair[] = [
      [0, 'INSERT'],
      [2, 'WHOLE'],
      [10, 100],
      [20, 200],
      [41, 1.5],
      [42, 0.5],
      [50, -75],
    ];
    const part: Pair[] = [...at('PART', 1, 2), [0, 'POINT'], [10, 0], [20, 0], [0, 'ENDBLK']];
    const whole: Pair[] = [...at('WHOLE', -3, 4), ...inner, [0, 'ENDBLK']];
    const [point] = flattenEntities(read(file([...part, ...whole], outer))).points;
    expect(point!.at[0]).toBeCloseTo(101.537, 3);
    expect(point!.at[1]).toBeCloseTo(187.572, 3);
    expect(point!.blocks).toEqual(['WHOLE', 'PART']);
  });

  it('gives layer 0 inside a block the layer of the INSERT, and no other', () => {
    const flat = flattenEntities(read(file(block('A', ...line(0, '0'), ...line(3, '8')), insert('A'))));
    expect(flat.paths.map((p) => p.layer)).toEqual(['SHEET', '8']);
  });

  it('repeats a block in columns and rows', () => {
    const text = file(block('A', ...line(0)), insert('A', [70, 3], [71, 2], [44, 10], [45, 100]));
    const starts = flattenEntities(read(text)).paths.map((p) => start(p.path));
    expect(starts).toEqual([
      [0, 0],
      [10, 0],
      [20, 0],
      [0, 100],
      [10, 100],
      [20, 100],
    ]);
  });

  it('finds its block in any case of letters', () => {
    expect(flattenEntities(read(file(block('Front', ...line(0)), insert('FRONT')))).paths).toHaveLength(1);
  });

  it('leaves out a block inside itself, with its line', () => {
    const text = file(
      [...block('A', ...insert('B')), ...block('B', ...insert('A'), ...line(0))],
      insert('A'),
    );
    const { paths, dropped } = flattenEntities(read(text));
    expect(paths).toHaveLength(1);
    expect(dropped).toEqual([{ what: "INSERT of the block 'A' in itself", count: 1, where: 'line 37' }]);
  });

  it('stops at the limits of copies and vertices, however they come about', () => {
    const ten = (name: string) => Array.from({ length: 10 }, () => insert(name)).flat();
    const bomb = file(
      [
        ...block('A', ...ten('B')),
        ...block('B', ...ten('C')),
        ...block('C', ...ten('D')),
        ...block('D', ...line(0)),
      ],
      ten('A'),
    );
    const copies = errorOf(() => flattenEntities(read(bomb), { limits: { copies: 1000 } }));
    expect(copies.message).toBe('the blocks of the DXF unfold into more than 1000 copies');
    expect(copies.place!.line).toBeGreaterThan(0);
    const vertices = errorOf(() => flattenEntities(read(bomb), { limits: { vertices: 1000 } }));
    expect(vertices.message).toBe('the DXF unfolds into more than 1000 vertices');
    // A block of lines without length is work too.
    const empty = file(
      block('A', [0, 'LINE'], [10, 0], [20, 0], [11, 0], [21, 0]),
      insert('A', [70, 999], [44, 1]),
    );
    expect(errorOf(() => flattenEntities(read(empty), { limits: { vertices: 500 } })).message).toMatch(/500/);
    expect(errorOf(() => flattenBlocks(read(bomb), { limits: { copies: 1000 } })).message).toMatch(
      /1000 copies/,
    );
  });
});

describe('scaling', () => {
  it('turns drawing units into millimetres', () => {
    const flat = flattenEntities(read(drawing(...line(1))), { scale: 25.4 });
    expect(flat.paths[0]!.path[0]).toMatchObject({ a: [25.4, 0], b: [50.8, 0] });
  });
});
