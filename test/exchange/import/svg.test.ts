import { execFileSync } from 'node:child_process';
import { describe, expect, it } from 'vitest';
import { inMillimetres } from '../../../src/exchange/import/drawing.js';
import { placeOn } from '../../../src/exchange/import/near-path.js';
import { readSvg } from '../../../src/exchange/import/svg-read.js';
import { end, length, start } from '../../../src/geometry/path.js';
import { bounds } from '../../../src/geometry/polygon.js';
import type { Vec } from '../../../src/geometry/vec.js';
import { hasTool, needing, withFile } from '../tools.js';

const svg = (content: string, root = 'width="400mm" height="300mm" viewBox="0 0 400 300"'): string =>
  `<svg xmlns="http://www.w3.org/2000/svg" xmlns:inkscape="http://www.inkscape.org/namespaces/inkscape" ${root}>${content}</svg>`;
const read = (text: string) => readSvg(Buffer.from(text), 'drawing.svg');
const scaled = (text: string) => inMillimetres(read(text), undefined);
const box = (text: string) => {
  const { minX, minY, maxX, maxY } = bounds(
    scaled(text).strokes.flatMap((s) => s.path.flatMap((p) => [p.a, p.b])),
  );
  return [minX, minY, maxX, maxY].map((k) => Number(k.toFixed(4)));
};

const SHAPES = `
  <g transform="translate(30 20) rotate(12)">
    <path d="M10 10h80v40q-20 30-40 0t-40 0z"/>
    <g transform="scale(1.5,0.7) skewX(8)"><path d="m60 60 c10-30 40-30 50 0s40 30 50 0 a25 12 30 1 0 10 10L100 140Z"/></g>
    <rect x="120" y="20" width="60" height="44" rx="9"/>
    <rect x="200" y="20" width="30" height="20"/>
  </g>
  <circle cx="320" cy="80" r="33.5"/>
  <ellipse cx="300" cy="180" rx="50" ry="21" transform="rotate(-30 300 180)"/>
  <polygon points="20,200 90,190 70,260" transform="matrix(0.9 0.1 -0.2 1.1 5 -7)"/>
  <polyline points="120 220,150 240 190 215"/>
  <line x1="210" y1="250" x2="260" y2="280"/>`;

/** What a script leaves between @@ and @@ on a page with a drawing. */
function inChromium(text: string, script: string): string {
  const page = `<!DOCTYPE html><html><body>${text}<script>${script}</script></body></html>`;
  const dom = withFile('page.html', page, (path) =>
    execFileSync(
      'chromium',
      ['--headless', '--no-sandbox', '--disable-gpu', '--dump-dom', `file://${path}`],
      {
        timeout: 60_000,
        stdio: ['ignore', 'pipe', 'ignore'],
      },
    ).toString(),
  );
  return /@@(.*)@@/.exec(dom)![1]!;
}

/** Points along every shape in mm from the corner of the page, y down, as Chromium draws them. */
function chromiumPoints(text: string): Vec[][] {
  const script = `
    const shapes = [...document.querySelectorAll('path,rect,circle,ellipse,polygon,polyline,line')];
    const mm = 25.4 / 96;
    const out = shapes.map((s) => Array.from({ length: 41 }, (_, k) => {
      const p = s.getPointAtLength((s.getTotalLength() * k) / 40).matrixTransform(s.getCTM());
      return [p.x * mm, p.y * mm];
    }));
    document.body.textContent = '@@' + JSON.stringify(out) + '@@';`;
  return JSON.parse(inChromium(text, script)) as Vec[][];
}

/** Boxes of what the outermost <use> elements show, mm from the corner of the page, y down, as Chromium draws them. */
function chromiumBoxes(text: string): [number, number, number, number][] {
  const script = `
    const root = document.querySelector('svg').getBoundingClientRect();
    const uses = [...document.querySelectorAll('use')].filter((u) => !u.closest('defs'));
    const out = uses.map((u) => {
      const r = u.getBoundingClientRect();
      return [r.left - root.left, r.top - root.top, r.right - root.left, r.bottom - root.top].map((k) => (k * 25.4) / 96);
    });
    document.body.textContent = '@@' + JSON.stringify(out) + '@@';`;
  return JSON.parse(inChromium(text, script)) as [number, number, number, number][];
}

describe('readSvg', () => {
  const canDraw = hasTool('chromium');
  const roots = [
    'width="400mm" height="300mm" viewBox="0 0 400 300"',
    'width="40cm" height="30cm" viewBox="-20 10 800 600"',
    'width="10in" height="5in" viewBox="0 0 400 300"',
    'width="400mm" height="300mm" viewBox="0 0 300 300" preserveAspectRatio="xMinYMin slice"',
  ];
  it.skipIf(!canDraw).each(roots)(
    needing('draws every shape where Chromium draws it, within 0.02 mm: %s', 'chromium', canDraw),
    (root) => {
      const text = svg(SHAPES, root);
      const { strokes } = scaled(text);
      const shapes = chromiumPoints(text);
      expect(shapes).toHaveLength(9);
      // A page of other proportions is centred by its browser; pieces are not where the page is.
      const centred = root.includes('10in') ? 25.4 * (10 - 5 * (400 / 300)) * 0.5 : 0;
      for (const points of shapes) {
        for (const [x, y] of points) {
          const off = Math.min(...strokes.map((s) => placeOn(s.path, [x - centred, -y]).off));
          expect(off).toBeLessThan(0.02);
        }
      }
    },
  );

  it.skipIf(!canDraw)(
    needing(
      'draws what <use> shows where Chromium draws it, in whatever order they stand',
      'chromium',
      canDraw,
    ),
    () => {
      const text = svg(
        `<use href="#half" x="30" y="20"/>
        <use xlink:href="#half" xmlns:xlink="http://www.w3.org/1999/xlink" transform="translate(250,30) scale(-1,1)" x="10"/>
        <g transform="translate(20 40) scale(1.3 0.8)"><use href="#pair" transform="translate(90,90) scale(0.5)"/></g>
        <use href="#sign" x="200" y="200"/>
        <symbol id="sign"><rect x="5" y="5" width="30" height="11"/></symbol>
        <defs>
          <path id="half" d="M0 0H60L50 80H0Z" transform="scale(1 1.2)"/>
          <g id="pair"><use href="#half"/><use href="#half" transform="scale(-1,1)" x="10"/></g>
        </defs>`,
      );
      const boxes = chromiumBoxes(text);
      const { strokes, dropped } = scaled(text);
      expect(dropped).toEqual([]);
      const own = [[0], [1], [2, 3], [4]].map((group) =>
        bounds(group.flatMap((i) => strokes[i]!.path.flatMap((p) => [p.a, p.b]))),
      );
      expect(boxes).toHaveLength(own.length);
      boxes.forEach(([minX, minY, maxX, maxY], i) => {
        const { minX: left, minY: low, maxX: right, maxY: high } = own[i]!;
        for (const off of [minX - left, maxX - right, -minY - high, -maxY - low]) {
          expect(Math.abs(off)).toBeLessThan(0.02);
        }
      });
    },
  );

  it('leaves out what shows itself, and refuses drawings that show more than they could hold', () => {
    const ring = read(
      svg('<g id="a"><use href="#b"/><path d="M0 0L9 9"/></g><g id="b"><use href="#a"/></g><use href="#a"/>'),
    );
    expect(ring.dropped.map((d) => d.what)).toContain('<use> of #a, which shows itself');
    // Each group shows the one before ten times over.
    const bomb = Array.from(
      { length: 12 },
      (_, k) => `<g id="g${k + 1}">${`<use href="#g${k}"/>`.repeat(10)}</g>`,
    );
    expect(() =>
      read(svg(`<defs><path id="g0" d="M0 0L9 9"/>${bomb.join('')}</defs><use href="#g12"/>`)),
    ).toThrow(/its <use> elements show too much/);
  });

  it('keeps lengths true under the scale of the page', () => {
    const line = '<line x1="0" y1="0" x2="100" y2="0"/>';
    const lengthOf = (root: string) => length(scaled(svg(line, root)).strokes[0]!.path);
    expect(lengthOf('width="400mm" height="300mm" viewBox="0 0 400 300"')).toBeCloseTo(100, 9);
    expect(lengthOf('width="40cm" viewBox="0 0 800 600"')).toBeCloseTo(50, 9);
    expect(lengthOf('width="10in" height="7.5in" viewBox="0 0 100 75"')).toBeCloseTo(254, 9);
    expect(lengthOf('width="720pt" height="720pt" viewBox="0 0 720 720"')).toBeCloseTo((100 * 25.4) / 72, 9);
    expect(lengthOf('width="400mm" height="300mm"')).toBeCloseTo((100 * 25.4) / 96, 9);
    expect(
      lengthOf('width="400mm" height="300mm" viewBox="0 0 800 300" preserveAspectRatio="none"'),
    ).toBeCloseTo(50, 9);
  });

  it('scales unevenly only where the drawing asks for it', () => {
    const square = '<rect width="100" height="100"/>';
    expect(
      box(svg(square, 'width="200mm" height="100mm" viewBox="0 0 100 100" preserveAspectRatio="none"')),
    ).toEqual([0, -100, 200, 0]);
    expect(box(svg(square, 'width="200mm" height="100mm" viewBox="0 0 100 100"'))).toEqual([0, -100, 100, 0]);
  });

  it('asks for units that a drawing in pixels does not tell, and takes them', () => {
    const text = svg('<rect width="100" height="50"/>', 'width="400px" height="300px" viewBox="0 0 400 300"');
    expect(() => scaled(text)).toThrow(
      /100 mm x 50 mm in mm, 1\.00 m x 500 mm in cm or 2\.54 m x 1\.27 m in in/,
    );
    const lengths = (['mm', 'cm', 'in', 'px'] as const).map((unit) => {
      const { path } = inMillimetres(read(text), unit).strokes[0]!;
      return length(path);
    });
    expect(lengths.map((k) => k / 300)).toEqual(
      [1, 10, 25.4, 25.4 / 96].map((k) => expect.closeTo(k, 9) as number),
    );
  });

  it('says so when the units asked for are not those of the file', () => {
    const { scaling } = inMillimetres(read(svg('<rect width="100" height="50"/>')), 'in');
    expect(scaling).toMatch(/^in, as asked for, although the file says width 400mm/);
  });

  it('reads names and layers of groups and shapes, and passes over those that programs make up', () => {
    const { strokes } = read(
      svg(
        `<g id="layer1" inkscape:label="Outlines"><path id="path12" d="M0 0L9 9"/><path id="Sleeve left" d="M0 0L9 9"/></g><g id="grain"><line x2="9"/></g>`,
      ),
    );
    expect(strokes.map((s) => [s.layer, s.name])).toEqual([
      ['Outlines', 'Outlines'],
      ['Outlines', 'Sleeve left'],
      ['grain', 'grain'],
    ]);
  });

  it('reads texts with their place, a line for each part that has one of its own', () => {
    const { texts } = scaled(
      svg(
        '<text x="50" y="60">Front <tspan>cut 1</tspan><tspan x="50" y="80">on fold</tspan></text><g transform="translate(10 0)"><text x="5" y="5">Back</text></g>',
      ),
    );
    expect(texts.map((t) => [t.text, t.at])).toEqual([
      ['Front cut 1', [50, -60]],
      ['on fold', [50, -80]],
      ['Back', [15, -5]],
    ]);
  });

  it('knows a subpath that is closed, and one that only ends where it starts', () => {
    const { strokes } = read(svg('<path d="M0 0L10 0L10 10Z M20 20L30 20L20 20.0001"/>'));
    expect(strokes.map((s) => s.closed)).toEqual([true, false]);
    expect(end(strokes[0]!.path)).toEqual(start(strokes[0]!.path));
  });

  it('leaves out what is hidden or only defined, and counts what that was', () => {
    const { strokes, dropped } = read(
      svg(
        '<defs><path d="M0 0L9 9"/></defs><symbol id="s"><path d="M0 0L9 9"/></symbol><g display="none"><path d="M0 0L9 9"/></g><use href="other.svg#s"/><use href="#nowhere"/><path d="M0 0L9 9"/>',
      ),
    );
    expect(strokes).toHaveLength(1);
    expect(dropped.map((d) => [d.what, d.count])).toEqual([
      ['hidden elements', 1],
      ['<use> of other.svg#s', 1],
      ['<use> of #nowhere', 1],
    ]);
  });

  it('tells the line of what it drops', () => {
    const { dropped } = read(svg('\n\n<path d="M10 10L20 20 oops"/>'));
    expect(dropped[0]).toMatchObject({ count: 1, where: 'line 3' });
  });
});
