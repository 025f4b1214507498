import { execFileSync } from 'node:child_process';
import { existsSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { describe, expect, it, vi } from 'vitest';
import {
  type PatternLine,
  type PatternPiece,
  patternDrawing,
  writeR12,
  writeR13,
} from '../../../src/exchange/dxf/index.js';
import type { Vec } from '../../../src/geometry/vec.js';
import { needing } from '../tools.js';

vi.setConfig({ testTimeout: 300_000 });

/** The built library: memory is measured in a process that holds nothing else. */
const BUILT = join(import.meta.dirname, '../../../dist/src/exchange/dxf/index.js');
const IMPORT = join(import.meta.dirname, '../../../dist/src/exchange/import/import-drawing.js');
const hasBuild = existsSync(BUILT);

const VERTICES = 200;

function piece(i: number): PatternPiece {
  const line = (radius: number): PatternLine => ({
    closed: true,
    vertices: Array.from({ length: VERTICES }, (_, k) => {
      const angle = (2 * Math.PI * k) / VERTICES;
      const at: Vec = [radius * Math.cos(angle), 1.5 * radius * Math.sin(angle) + i];
      return k % 20 === 0
        ? { at, kind: 'turn', rule: k + 1 }
        : { at, kind: k % 5 === 0 ? 'curve' : 'interpolated' };
    }),
  });
  return {
    name: `piece ${i}`,
    block: '',
    size: 'M',
    quantity: { asDrawn: 1, mirrored: 1 },
    material: 'self',
    category: undefined,
    boundary: line(300),
    mirror: undefined,
    grain: { from: [0, 0], to: [0, 10] },
    gradeReference: undefined,
    internals: [],
    cutouts: [],
    sewLines: [line(290)],
    notches: [],
    drillHoles: [],
    annotations: [],
  };
}

/** Reads the file in a process of its own and tells what it took. */
const CHILD = `
import { readFileSync } from 'node:fs';
const { readDxf, readPatternDxf, flattenEntities } = await import(process.argv[1]);
const { importDrawing } = await import(process.argv[3]);
const bytes = readFileSync(process.argv[2]);
const imported = importDrawing(bytes, 'large.dxf').pieces.length;
const before = process.cpuUsage();
const file = readDxf(bytes, 'large.dxf');
const read = process.cpuUsage(before).user / 1e6;
const { pieces, dropped } = readPatternDxf(file);
const flat = flattenEntities(file);
const { rss, heapUsed } = process.memoryUsage();
const most = process.resourceUsage().maxRSS * 1024;
console.log(JSON.stringify({ pieces: pieces.length, imported, paths: flat.paths.length, dropped, rss, heapUsed, most, read,
  all: process.cpuUsage(before).user / 1e6,
  vertices: pieces.reduce((sum, p) => sum + p.boundary.vertices.length, 0) }));`;

describe('a pattern file of 20 MB', () => {
  it.skipIf(!hasBuild).each([
    ['R13', writeR13, 320],
    ['R12', writeR12, 660],
  ] as const)(
    needing('%s is read whole within 500 MB', 'the build (npm run build)', hasBuild),
    (_, write, count) => {
      const pieces = Array.from({ length: count }, (_x, i) => piece(i));
      const head = {
        style: 'Large',
        sampleSize: 'M',
        author: 'x',
        date: new Date(0),
        units: 'METRIC',
      } as const;
      const text = write(patternDrawing(pieces, head));
      expect(text.length).toBeGreaterThan(20e6);
      const folder = mkdtempSync(join(tmpdir(), 'walewise-'));
      try {
        const path = join(folder, 'large.dxf');
        writeFileSync(path, text);
        const args = ['--max-old-space-size=350', '--input-type=module', '-e', CHILD, BUILT, path, IMPORT];
        const out = execFileSync(process.execPath, args, { timeout: 240_000 }).toString();
        const found = JSON.parse(out) as Record<string, number>;
        expect(found).toMatchObject({
          pieces: count,
          imported: count,
          dropped: [],
          vertices: count * VERTICES,
        });
        expect(found['paths']).toBe(3 * count);
        expect(found['most']).toBeLessThan(500e6);
      } finally {
        rmSync(folder, { recursive: true, force: true });
      }
    },
  );
});
