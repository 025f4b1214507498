import { mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { run, withFile } from './tools.js';

/** A grey picture: 0 black, 255 white, rows from the top. */
export interface Raster {
  readonly width: number;
  readonly height: number;
  readonly pixels: Uint8Array;
}

export type Renderer = 'pdftoppm' | 'mutool';

/** Pages of a PDF as pictures, by one of two independent renderers. */
export function rasterise(pdf: Uint8Array, renderer: Renderer, dpi: number): Raster[] {
  return withFile('in.pdf', pdf, (path) => {
    const out = mkdtempSync(join(tmpdir(), 'walewise-raster-'));
    try {
      if (renderer === 'pdftoppm') run('pdftoppm', ['-gray', '-r', `${dpi}`, path, join(out, 'p')]);
      else
        run('mutool', [
          'draw',
          '-q',
          '-c',
          'gray',
          '-F',
          'pgm',
          '-r',
          `${dpi}`,
          '-o',
          join(out, 'p-%04d.pgm'),
          path,
        ]);
      const names = readdirSync(out).sort();
      return names.map((name) => readPgm(readFileSync(join(out, name))));
    } finally {
      rmSync(out, { recursive: true, force: true });
    }
  });
}

/** Middles of the dark runs along a row, in pixels. */
export const darkRunsInRow = (raster: Raster, y: number, fromX: number, toX: number): number[] =>
  darkRuns(fromX, toX, (x) => raster.pixels[y * raster.width + x]!);

/** Middles of the dark runs along a column, in pixels. */
export const darkRunsInColumn = (raster: Raster, x: number, fromY: number, toY: number): number[] =>
  darkRuns(fromY, toY, (y) => raster.pixels[y * raster.width + x]!);

/** The darkest value within `reach` pixels of a point. */
export function darkestNear(raster: Raster, x: number, y: number, reach: number): number {
  let darkest = 255;
  for (let py = Math.round(y) - reach; py <= Math.round(y) + reach; py++) {
    for (let px = Math.round(x) - reach; px <= Math.round(x) + reach; px++) {
      if (px < 0 || py < 0 || px >= raster.width || py >= raster.height) continue;
      darkest = Math.min(darkest, raster.pixels[py * raster.width + px]!);
    }
  }
  return darkest;
}

function darkRuns(from: number, to: number, valueAt: (i: number) => number): number[] {
  const middles: number[] = [];
  let start = -1;
  for (let i = Math.max(0, Math.floor(from)); i <= to; i++) {
    const dark = valueAt(i) < 128;
    if (dark && start < 0) start = i;
    if (!dark && start >= 0) {
      middles.push((start + i - 1) / 2);
      start = -1;
    }
  }
  return middles;
}

/** Binary PGM: `P5 width height maximum` and one byte a pixel; comments may stand between. */
function readPgm(bytes: Uint8Array): Raster {
  const fields: string[] = [];
  let at = 0;
  while (fields.length < 4) {
    while (/\s/.test(String.fromCharCode(bytes[at]!))) at++;
    if (bytes[at] === 35) {
      while (bytes[at] !== 10) at++;
      continue;
    }
    let word = '';
    while (!/\s/.test(String.fromCharCode(bytes[at]!))) word += String.fromCharCode(bytes[at++]!);
    fields.push(word);
  }
  at++;
  if (fields[0] !== 'P5' || fields[3] !== '255') throw new Error(`not an 8 bit PGM: ${fields.join(' ')}`);
  return { width: Number(fields[1]), height: Number(fields[2]), pixels: bytes.subarray(at) };
}
