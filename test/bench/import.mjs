/**
 * Reads a pattern DXF of 20 MB (300 pieces of 200 vertices, with sewing lines): its records, its pieces, and its pieces as a style with traced edges.
 *
 *     npm run build && node test/bench/import.mjs
 */

import { patternDrawing, readDxf, readPatternDxf, writeR13 } from '../../dist/src/exchange/dxf/index.js';
import { importDrawing } from '../../dist/src/exchange/import/import-drawing.js';

const PIECES = 300;
const VERTICES = 200;

const outline = (radius) => ({
  closed: true,
  vertices: Array.from({ length: VERTICES }, (_, k) => {
    const angle = (2 * Math.PI * k) / VERTICES;
    const at = [radius * Math.cos(angle), 1.5 * radius * Math.sin(angle)];
    if (k % 20 === 0) return { at, kind: 'turn', rule: k + 1 };
    return { at, kind: k % 5 === 0 ? 'curve' : 'interpolated' };
  }),
});

const piece = (i) => ({
  name: `piece ${i}`,
  block: '',
  size: 'M',
  quantity: { asDrawn: 1, mirrored: 1 },
  material: 'self',
  category: undefined,
  boundary: outline(300 + (i % 50)),
  mirror: undefined,
  grain: { from: [0, 0], to: [0, 10] },
  gradeReference: undefined,
  internals: [],
  cutouts: [],
  sewLines: [outline(290 + (i % 50))],
  notches: [],
  drillHoles: [],
  annotations: [],
});

const head = { style: 'Large', sampleSize: 'M', author: 'bench', date: new Date(0), units: 'METRIC' };
const pieces = Array.from({ length: PIECES }, (_, i) => piece(i));
const bytes = Buffer.from(writeR13(patternDrawing(pieces, head)), 'latin1');
process.stdout.write(`${PIECES} pieces, ${(bytes.length / 1e6).toFixed(1)} MB\n`);

function timed(name, work) {
  const wall = performance.now();
  const before = process.cpuUsage();
  const result = work();
  const { user, system } = process.cpuUsage(before);
  process.stdout.write(
    `${name.padEnd(16)} ${((performance.now() - wall) / 1000).toFixed(2)} s wall, ${((user + system) / 1e6).toFixed(2)} s processor\n`,
  );
  return result;
}

timed('import to style', () => importDrawing(bytes, 'large.dxf'));
const file = timed('records', () => readDxf(bytes, 'large.dxf'));
timed('pieces', () => readPatternDxf(file));
process.stdout.write(`most memory ${(process.resourceUsage().maxRSS / 1024).toFixed(0)} MB\n`);
