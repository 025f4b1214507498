import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { joinStrokes } from '../../../src/exchange/import/chains.js';
import { inMillimetres, type Stroke } from '../../../src/exchange/import/drawing.js';
import { findPieces } from '../../../src/exchange/import/find-pieces.js';
import { importDrawing } from '../../../src/exchange/import/import-drawing.js';
import { readSvg } from '../../../src/exchange/import/svg-read.js';
import { piecesSvg } from '../../../src/exchange/svg.js';
import { end, length, line, reverse, start } from '../../../src/geometry/path.js';
import { distance, type Vec } from '../../../src/geometry/vec.js';
import { pieceOf, pointsOf } from '../../../src/pattern/model.js';
import { bodyPiece } from '../sample.js';

const page = (content: string) =>
  Buffer.from(
    `<svg xmlns="http://www.w3.org/2000/svg" width="900mm" height="900mm" viewBox="0 0 900 900">${content}</svg>`,
  );
const found = (content: string) => findPieces(inMillimetres(readSvg(page(content), 'sheet.svg'), undefined));
const imported = (content: string, options = {}) => importDrawing(page(content), 'sheet.svg', options);

const FRONT = 'M100 700H300L290 400Q270 380 270 200L170 160Q160 260 100 260Z';

describe('findPieces', () => {
  it('takes outlines in no other for pieces, and what lies inside them for their lines', () => {
    const { pieces } = found(
      '<rect id="front" x="10" y="10" width="300" height="400"/><rect x="50" y="50" width="80" height="90"/><circle cx="200" cy="300" r="4"/><path d="M60 350L140 350"/><rect id="back" x="400" y="10" width="300" height="400"/>',
    );
    expect(pieces.map((p) => p.name)).toEqual(['front', 'back']);
    expect(pieces[0]!.internals).toHaveLength(3);
    expect(pieces[1]!.internals).toHaveLength(0);
  });

  it('leaves the cloth round the pieces of a marker out, and says so; a layer of that name alone is no marker', () => {
    const sheet = (layer: string) =>
      found(
        `<g id="FABRIC"><rect x="0" y="0" width="800" height="600"/></g><g id="${layer}"><rect x="10" y="10" width="300" height="400"/></g>`,
      );
    const marker = sheet('CUT');
    expect(marker.pieces).toHaveLength(1);
    expect(marker.pieces[0]!.internals).toEqual([]);
    expect(marker.dropped).toEqual([
      { what: 'the cloth of a marker, on layer FABRIC', count: 1, where: 'line 1' },
    ]);
    const plain = sheet('shapes');
    expect(plain.pieces[0]!.internals).toHaveLength(1);
  });

  it('reads a drawing of pieces that was written here: sewing lines, grain, centre line and notches', () => {
    const piece = bodyPiece('M');
    const svg = piecesSvg([piece], { title: 'Harbour crew, size M' });
    const { pieces } = findPieces(inMillimetres(readSvg(Buffer.from(svg), 'pieces-m.svg'), undefined));
    expect(pieces.map((p) => p.name)).toEqual(['front']);
    const [front] = pieces;
    expect(front!.cut).toHaveLength(piece.cut.length);
    expect(front!.notches).toHaveLength(piece.notches.length);
    expect(front!.internals).toHaveLength(piece.internals.length);
    const [[ax, ay], [bx, by]] = front!.grain!;
    expect(Math.abs(ax - bx)).toBeLessThan(1e-6);
    expect(Math.abs(ay - by)).toBeGreaterThan(100);
  });

  it('takes the longer of two straight upright sides for the fold that a text tells: a side seam ends at the underarm', () => {
    const STRAIGHT = 'M100 700H350V420Q270 380 270 200L170 160Q160 260 100 260Z';
    const text = '<text x="180" y="500">Front cut 1 on fold</text>';
    const mirrored = `<g transform="translate(450 0) scale(-1 1)"><path d="${STRAIGHT}"/>${text}</g>`;
    for (const drawn of [`<path d="${STRAIGHT}"/>${text}`, mirrored]) {
      const { pattern } = imported(drawn);
      const at = pointsOf(pieceOf(pattern, 'front'));
      expect(at.get('side-hem')).toEqual([250, 0]);
      expect(at.get('center-neck')).toEqual([0, 440]);
    }
  });

  it('names pieces by their texts, their own names or numbers, no two alike', () => {
    const box = (x: number, id = '') => `<rect ${id} x="${x}" y="10" width="90" height="90"/>`;
    const { pieces } = found(
      `${box(0)}<text x="20" y="40">LEFT SLEEVE cut 1</text>${box(100, 'id="Tasche oben"')}${box(200)}${box(300, 'id="Tasche oben"')}${box(400)}<text x="420" y="40">Kapuze</text>`,
    );
    expect(pieces.map((p) => p.name)).toEqual([
      'sleeve',
      'tasche-oben',
      'piece-3',
      'tasche-oben-2',
      'kapuze',
    ]);
  });

  it('takes short lines on an outline for notches, two together for a double one', () => {
    const { pieces } = found(
      '<rect id="yoke" x="0" y="0" width="300" height="200"/><path d="M100 0V5M106 0V5M200 200V194"/><g id="notches"><path d="M0 100H12"/></g>',
    );
    expect(pieces[0]!.notches.map((n) => [n.at, n.kind])).toEqual([
      [[103, 0], 'double'],
      [[200, -200], 'single'],
      [[0, -100], 'single'],
    ]);
  });

  it('reads counts, fold and grain from what is written and drawn on a piece', () => {
    const { pattern, pieces } = imported(
      `<path d="${FRONT}"/><text x="150" y="500">Front</text><text x="150" y="520">cut 1 on fold</text><g id="grain"><path d="M180 600V300"/></g>`,
    );
    const front = pieceOf(pattern, 'front');
    expect(pieces[0]!.fold).toBe(true);
    expect(front.counts).toEqual({ asDrawn: 1, mirrored: 0 });
    expect(front.grain.from[0]).toBeCloseTo(80, 9);
    expect(Math.abs(front.grain.to[1] - front.grain.from[1])).toBeCloseTo(300, 9);
    expect(front.edges.map((e) => e.name)).toEqual([
      'hem',
      'side',
      'armhole',
      'shoulder',
      'neckline',
      'fold',
    ]);
  });

  it.each([
    ['cut 1, rib', 'rib'],
    ['CUT 2 LINING', 'lining'],
    ['1 pair interfacing', 'interfacing'],
    ['2 x contrast', 'contrast'],
    ['cut 1 self', 'self'],
    ['cut 1', 'self'],
    // The name of a piece, and a rib that is none.
    ['Rib band', 'self'],
    ['cut 1 ribbon', 'self'],
  ])("takes the cloth from '%s': %s", (text, fabric) => {
    const band = '<rect x="0" y="0" width="300" height="120"/>';
    const { pattern, pieces } = imported(
      `${band}<text x="20" y="40">Cuff</text><text x="20" y="60">${text}</text>`,
    );
    expect(pattern.pieces.map((p) => p.fabric)).toEqual([fabric]);
    const said = pieces[0]!.notes.some((note) => note.endsWith(`cut from the fabric '${fabric}'`));
    expect(said).toBe(fabric !== 'self');
  });

  it('takes corners where texts name them all, and a waist between two of them', () => {
    const names: [string, number, number][] = [
      ['center hem', 104, 696],
      ['side hem', 296, 696],
      ['underarm', 284, 404],
      ['shoulder tip', 266, 206],
      ['neck point', 172, 168],
      ['center neck', 104, 264],
      ['waist', 288, 550],
    ];
    const texts = names.map(([name, x, y]) => `<text x="${x}" y="${y}">${name}</text>`).join('');
    // A chamfer of the hem is a corner to whoever looks for corners.
    const chamfered = FRONT.replace('H300L290 400', 'H280L300 680L290 400');
    const content = `<path id="front" d="${chamfered}"/>${texts}`;
    const front = pieceOf(imported(content, { fold: 'left' }).pattern, 'front');
    expect(front.edges.map((e) => e.name)).toEqual([
      'hem',
      'side',
      'armhole',
      'shoulder',
      'neckline',
      'fold',
    ]);
    expect(pointsOf(front).get('waist')![1]).toBeCloseTo(150, 0);
    const unnamed = imported(`<path id="front" d="${chamfered}"/>`, { fold: 'left' });
    expect(unnamed.pieces[0]!.corners).toBeGreaterThanOrEqual(6);
  });

  it('takes the sewing line for the outline where a layer is named after it, and measures the allowance', () => {
    const { pattern, text } = imported(
      '<rect id="cuff" x="0" y="0" width="300" height="120"/><g id="sewing-line"><rect x="12" y="8" width="276" height="104"/></g>',
    );
    const { edges } = pieceOf(pattern, 'cuff');
    expect(edges.map((e) => Math.round(length(e.path)))).toEqual([276, 104, 276, 104]);
    expect(text).toMatch(/default: 8/);
    expect(text).toMatch(/cuff\.right: 12/);
    expect(text).toMatch(/cuff\.left: 12/);
  });

  it('says so when an outline lies in another nearly as large: a sewing line nobody named, or another size', () => {
    const { pieces, notes } = found(
      '<rect id="yoke" x="10" y="10" width="300" height="200"/>\n<rect x="20" y="20" width="280" height="180"/>',
    );
    expect(pieces.map((p) => p.name)).toEqual(['yoke']);
    expect(notes).toEqual([
      expect.stringMatching(/the outline at line 2 lies in that at line 1 and is nearly as large/),
    ]);
  });

  it('counts a line that was drawn twice once, and frames not at all', () => {
    const box = '<rect id="yoke" x="10" y="10" width="300" height="200"/>';
    const { pieces, notes, dropped } = found(
      `<g id="page-frame"><rect width="890" height="890"/></g>${box}${box}`,
    );
    expect(pieces.map((p) => p.name)).toEqual(['yoke']);
    expect(notes.join()).toMatch(/1 lines were drawn twice/);
    expect(dropped).toEqual([{ what: 'frames and test squares', count: 1, where: 'line 1' }]);
  });

  it('tells what it leaves out, like things together', () => {
    const { dropped } = found(
      '<rect id="yoke" x="10" y="10" width="300" height="200"/><path d="M500 500L600 600"/><path d="M500 600L700 650"/><text x="800" y="800">sheet 3</text>',
    );
    expect(dropped.map((d) => [d.what, d.count])).toEqual([
      ['open lines that close no outline', 2],
      ["text 'sheet 3' away from any piece", 1],
    ]);
  });
});

describe('joinStrokes', () => {
  const stroke = (a: Vec, b: Vec, layer = 'A'): Stroke => ({
    path: [line(a, b)],
    closed: false,
    layer,
    where: 'line 1',
  });

  it('closes any polygon drawn as loose strokes in any order and direction, ends apart by less than the tolerance (property)', () => {
    fc.assert(
      fc.property(
        fc.array(fc.double({ min: 0.6, max: 1.4, noNaN: true }), { minLength: 3, maxLength: 14 }),
        fc.integer({ min: 1, max: 1e6 }),
        (radii, seed) => {
          const corners = radii.map((r, k): Vec => {
            const t = (2 * Math.PI * k) / radii.length;
            return [200 * r * Math.cos(t), 200 * r * Math.sin(t)];
          });
          let state = seed;
          const random = () => {
            state = (state * 48_271) % 2_147_483_647;
            return state / 2_147_483_647;
          };
          const shaken = ([x, y]: Vec): Vec => [x + 0.2 * (random() - 0.5), y + 0.2 * (random() - 0.5)];
          const strokes = corners
            .map((a, k) => stroke(shaken(a), shaken(corners[(k + 1) % corners.length]!)))
            .map((s) => (random() < 0.5 ? s : { ...s, path: reverse(s.path) }))
            .map((s) => ({ s, order: random() }))
            .sort((a, b) => a.order - b.order)
            .map(({ s }) => s);
          const { chains } = joinStrokes(strokes, 0.5);
          expect(chains).toHaveLength(1);
          const [ring] = chains;
          expect(ring!.closed).toBe(true);
          expect(ring!.path).toHaveLength(corners.length);
          expect(end(ring!.path)).toEqual(start(ring!.path));
          for (const corner of corners) {
            expect(Math.min(...ring!.path.map((s) => distance(s.a, corner)))).toBeLessThan(0.3);
          }
        },
      ),
      { numRuns: 200, seed: 11 },
    );
  });

  it('follows one layer, then the smoothest way, where more than two ends meet, and says so', () => {
    const arms = [stroke([0, 0], [100, 0]), stroke([100, 0], [200, 40]), stroke([100, 0], [100, 90])];
    const straight = stroke([100, 0], [190, 0], 'B');
    const smooth = joinStrokes(arms, 0.5);
    expect(smooth.chains.map((c) => [start(c.path), end(c.path)])).toEqual([
      [
        [0, 0],
        [200, 40],
      ],
      [
        [100, 0],
        [100, 90],
      ],
    ]);
    expect(smooth.notes).toEqual(['3 lines meet at (100.0, 0.0) mm: the smoothest way was followed']);
    const layered = joinStrokes([arms[0]!, arms[1]!, straight], 0.5);
    expect(layered.chains.map((c) => c.path.length)).toEqual([2, 1]);
    expect(end(layered.chains[0]!.path)).toEqual([200, 40]);
  });
});
