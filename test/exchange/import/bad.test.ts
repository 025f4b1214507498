import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import process from 'node:process';
import { describe, expect, it } from 'vitest';
import { loadPresets } from '../../../src/cli/load.js';
import { InputError, UserError } from '../../../src/errors.js';
import { importDrawing } from '../../../src/exchange/import/import-drawing.js';
import { SVG_LIMITS } from '../../../src/exchange/import/svg-read.js';
import { developStyle, readStyle } from '../../../src/style/index.js';

const BAD = join(import.meta.dirname, '../../../fixtures/bad');
const presets = await loadPresets();

/** What each drawing comes to: the words of its error, or of what the import says it left out. */
const SVG: Readonly<Record<string, RegExp>> = {
  'bad-path-data.svg': /dropped: part of a <path>/,
  'bad-transform.svg': /error: the transform 'rotate\(45deg\) wobble\(3\)' cannot be read/,
  'crossing.svg': /error: no piece was found.*crosses itself/,
  'deep-groups.svg': /error: groups stand more than 256 deep/,
  'doctype.svg': /read: 1 piece/,
  'empty.svg': /error: the file is empty/,
  'entity-bomb.svg': /error: the file defines entities in terms of others/,
  'external-entity.svg': /error: the file defines entities in terms of others or of other files/,
  'gzip-in-disguise.svg': /error: the file is a compressed SVG \(gzip\)/,
  'hidden.svg': /error: no piece was found.*hidden elements/,
  'huge-coordinates.svg':
    /dropped: part of a <path>: coordinates beyond all measure.*dropped: lines beyond 20 m/s,
  'latin1.svg': /read: 1 piece.*ärmel/s,
  'mismatched-tags.svg': /error: this is not well-formed XML/,
  'nan.svg': /dropped: <rect> without a size or with a number that cannot be read.*dropped: <circle>/s,
  'negative-viewbox.svg': /error: the viewBox '0 0 -400 300' is not four numbers with a positive size/,
  'negative-width.svg': /error: the width '-400mm' of the drawing is no positive length/,
  'no-area.svg': /error: no piece was found/,
  'no-units.svg': /error: the drawing does not say its units.*20 mm x 15 mm in mm.*508 mm x 381 mm in in/,
  'only-huge.svg': /error: no piece was found.*coordinates beyond all measure/,
  'open-lines.svg': /error: no piece was found.*open lines that close no outline/,
  'overflow-transform.svg': /dropped: part of a <rect>: coordinates beyond all measure/,
  'picture.svg': /error: the file is a PNG picture/,
  'pixels.svg': /error: the drawing does not say its units \(width and height are in pixels\)/,
  'recursive-use.svg': /dropped: <use> of #b.*dropped: <use> of #a/s,
  'script.svg': /read: 2 pieces.*dropped: <script>/s,
  'short-viewbox.svg': /error: the viewBox '0 0 400' is not four numbers/,
  'style-transform.svg': /error: a transform is set in a style/,
  'truncated.svg': /error: this is not well-formed XML/,
  'undefined-entity.svg': /error: this is not well-formed XML: undefined entity/,
  'unknown-encoding.svg': /error: the file is not text in x-wool/,
  'web-page.svg': /error: the file is XML but no SVG: its first element is <html>/,
  'wrong-encoding.svg': /error: the file is not text in utf-8/,
  'zero-bytes.svg': /error: the file is not text: it has zero bytes/,
};

/** What each style's error says, and the field it stands at. */
const STYLE: Readonly<Record<string, readonly [message: RegExp, path: string]>> = {
  'alias-bomb.yaml': [/alias/i, ''],
  'base-not-listed.yaml': [/the base size 'M' is not among the sizes S/, 'grade.base'],
  'clockwise.yaml': [/the edges of piece 'front' run clockwise/, 'block.pieces.0.edges'],
  'crossing.yaml': [/piece 'front' crosses itself: '\w+' meets '\w+' near/, 'block.pieces.0.edges'],
  'cut-never.yaml': [/piece 'front' is cut no times/, 'block.pieces.0.counts'],
  'dotted-name.yaml': [/'front\.left' is no name: write it without dots/, 'block.pieces.0.name'],
  'fold-at-right.yaml': [/the half piece 'front' lies left of its fold/, 'block.pieces.0.fold'],
  'grain-across.yaml': [
    /the grain of piece 'front' lies 90\.0 degrees off the wales/,
    'block.pieces.0.grain',
  ],
  'huge-coordinates.yaml': [
    /a coordinate of 1\.00e\+12 mm is beyond the 20000 mm/,
    'block.pieces.0.points.c.0',
  ],
  'idle-point.yaml': [/no edge meets the point 'waist'/, 'block.pieces.0.points.waist'],
  'infinity.yaml': [/number 'Infinity' does not fit here/, 'block.pieces.0.points.c.1'],
  'latin1.yaml': [/this is not a text file in UTF-8/, ''],
  'misspelt-field.yaml': [/unknown field 'edgse': did you mean 'edges'/, 'block.pieces.0.edgse'],
  'nan.yaml': [/number 'NaN' does not fit here/, 'block.pieces.0.points.c.0'],
  'no-length.yaml': [/edge 'hem' has two points in one place, \(0\.0, 0\.0\) mm/, 'block.pieces.0.edges.0'],
  'no-pieces.yaml': [/this must not be empty/, 'block.pieces'],
  'notch-beyond.yaml': [
    /the notch lies at 400\.0 mm of 'side', which is 300\.0 mm long/,
    'block.pieces.0.notches.0.at',
  ],
  'notch-past-end.yaml': [/140% lies beyond the end of the edge/, 'block.pieces.0.notches.0.at'],
  'open-curve.yaml': [/only the last curve of a path may leave its end out/, 'block.pieces.0.edges.1.path.0'],
  'path-and-through.yaml': [/give 'path' or 'through', not both/, 'block.pieces.0.edges.1.through'],
  'points-as-list.yaml': [/expected record, found a list/, 'block.pieces.0.points'],
  'prototype.yaml': [/unknown point '__proto__'/, 'block.pieces.0.edges.1.to'],
  'seam-without-piece.yaml': [/'side' names no edge/, 'block.seams.0.left'],
  'slanted-fold.yaml': [
    /the fold 'fold' of piece 'front' is not straight along the wales/,
    'block.pieces.0.fold',
  ],
  'three-coordinates.yaml': [/this is longer than 2/, 'block.pieces.0.points.c'],
  'truncated.yaml': [/YAML|missing/, ''],
  'two-of-a-name.yaml': [/there are two pieces named 'front'/, 'block.pieces.1.name'],
  'unknown-point.yaml': [/unknown point 'cc'/, 'block.pieces.0.edges.1.to'],
  'unknown-seam-edge.yaml': [/piece 'front' has no edge 'sied'/, 'block.seams.0.left'],
  'wild-curve.yaml': [/piece 'front' crosses itself/, 'block.pieces.0.edges'],
};

/** An import in words: its error with the file's name, or what was read and dropped. */
function told(bytes: Uint8Array, name: string): string {
  const before = process.cpuUsage();
  const words = outcome(bytes, name);
  const { user, system } = process.cpuUsage(before);
  expect(user + system, `${name}: microseconds of processor time`).toBeLessThan(5e6);
  return words;
}

function outcome(bytes: Uint8Array, name: string): string {
  try {
    const { pieces, dropped } = importDrawing(bytes, name);
    const names = pieces.map((p) => p.name).join(', ');
    const lines = dropped.map((d) => `dropped: ${d.what} (${d.where})`);
    return [`read: ${pieces.length} ${pieces.length === 1 ? 'piece' : 'pieces'}, ${names}`, ...lines].join(
      '\n',
    );
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    expect(error.place.file, 'the error names the file').toBe(name);
    expect(error.mend, 'the error says what to do').toBeTruthy();
    return `error: ${error.message}`;
  }
}

describe('a bad drawing', () => {
  it('is expected by name, each file of the corpus once', () => {
    expect(readdirSync(join(BAD, 'svg')).sort()).toEqual(Object.keys(SVG).sort());
  });

  it.each(Object.entries(SVG))('%s ends in a clear error or says what was dropped', (name, expected) => {
    expect(told(readFileSync(join(BAD, 'svg', name)), name)).toMatch(expected);
  });

  it('of more elements than any drawing has is refused at the element', () => {
    const text = `<svg xmlns="http://www.w3.org/2000/svg">${'<g/>'.repeat(SVG_LIMITS.elements)}</svg>`;
    expect(told(Buffer.from(text), 'many.svg')).toBe('error: the drawing has more than 500000 elements');
  });
});

describe('a drawing of far more than any pattern', () => {
  const sheet = (content: string) =>
    Buffer.from(
      `<svg xmlns="http://www.w3.org/2000/svg" width="2m" height="1m" viewBox="0 0 2000 1000">${content}</svg>`
        .replace('2m', '2000mm')
        .replace('1m', '1000mm'),
    );
  const yoke = '<rect id="yoke" x="10" y="10" width="300" height="200"/>';

  it('lines from one point are not followed', () => {
    const rays = Array.from(
      { length: 3000 },
      (_, k) => `<path d="M400 400L${500 + (k % 50)} ${400 + k / 10}"/>`,
    );
    const { pieces, notes } = importDrawing(sheet(yoke + rays.join('')), 'rays.svg');
    expect(pieces.map((p) => p.name)).toEqual(['yoke']);
    expect(notes.join()).toMatch(/3000 lines meet at \(400\.0, -400\.0\) mm: too many to tell which go on/);
  });

  it('closed lines are read up to a limit', () => {
    const rings = Array.from(
      { length: 5200 },
      (_, k) => `<path d="M${400 + (k % 100) * 5} ${10 + Math.floor(k / 100) * 5}h3v3z"/>`,
    );
    const { pieces, dropped } = importDrawing(sheet(yoke + rings.join('')), 'rings.svg');
    expect(pieces.map((p) => p.name)).toEqual(['yoke']);
    expect(dropped.find((d) => /closed lines after the first 5000/.test(d.what))?.count).toBe(201);
  });

  it('an outline of very many sides is thinned', () => {
    const points = Array.from({ length: 120_000 }, (_, k) => {
      const t = (2 * Math.PI * k) / 120_000;
      return `${(500 + 300 * Math.cos(t)).toFixed(4)} ${(500 + 200 * Math.sin(t)).toFixed(4)}`;
    });
    const { pieces } = importDrawing(sheet(`<path d="M${points.join('L')}Z"/>`), 'dense.svg');
    expect(pieces[0]!.width).toBeCloseTo(600, 0);
    expect(pieces[0]!.worst).toBeLessThan(0.1);
  });
});

/** A text with some of its characters changed, doubled, cut out or swapped for others of it. */
function damaged(text: string, seed: number): string {
  let state = seed + 1;
  const random = (n: number) => {
    state = (state * 48_271) % 2_147_483_647;
    return state % n;
  };
  let result = text;
  for (let k = 0; k <= random(4); k++) {
    const at = random(result.length);
    const size = 1 + random(12);
    const from = random(result.length);
    const put = ['', result.slice(from, from + size), String.fromCharCode(32 + random(95)), '-9e99', 'NaN'][
      random(5)
    ]!;
    result = result.slice(0, at) + put + result.slice(at + (random(2) === 0 ? 0 : size));
  }
  return result;
}

describe('a damaged file', () => {
  it('as SVG is read in part or refused, never a fault of the program (600 damages)', () => {
    const text = readFileSync(join(BAD, 'svg', 'script.svg'), 'utf8').replace(
      '</svg>',
      '<path d="M300 20c10 60 20 80 60 10z" transform="rotate(3)"/><text x="60" y="70">front</text></svg>',
    );
    const outcomes = new Set<string>();
    for (let seed = 1; seed <= 600; seed++)
      outcomes.add(told(Buffer.from(damaged(text, seed)), 'damaged.svg').slice(0, 5));
    expect([...outcomes].sort()).toEqual(['error', 'read:']);
  });

  it('as a style is read or refused, never a fault of the program (300 damages)', () => {
    const text = readFileSync(join(BAD, 'style', 'slanted-fold.yaml'), 'utf8').replace(
      '[20, 300]',
      '[0, 300]',
    );
    let refused = 0;
    for (let seed = 1; seed <= 300; seed++) {
      try {
        developStyle(readStyle(damaged(text, seed), 'damaged.yaml', presets));
      } catch (error) {
        expect(error).toBeInstanceOf(UserError);
        refused += 1;
      }
    }
    expect(refused).toBeGreaterThan(100);
    expect(refused).toBeLessThan(300);
  });
});

describe('a bad style that carries its pieces', () => {
  it('is expected by name, each file of the corpus once', () => {
    expect(readdirSync(join(BAD, 'style')).sort()).toEqual(Object.keys(STYLE).sort());
  });

  it.each(Object.entries(STYLE))('%s ends in an error at its line and field', (name, [message, path]) => {
    const text = readFileSync(join(BAD, 'style', name), 'utf8');
    let fault: unknown;
    try {
      developStyle(readStyle(text, name, presets));
    } catch (error) {
      fault = error;
    }
    expect(fault).toBeInstanceOf(InputError);
    const error = fault as InputError;
    expect(error.message).toMatch(message);
    expect(error.place.file).toBe(name);
    if (path === '') return;
    expect(error.place.path).toBe(path);
    expect(error.place.line).toBeGreaterThan(1);
  });
});
