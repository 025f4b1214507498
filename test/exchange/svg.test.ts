import { describe, expect, it, vi } from 'vitest';
import { sizesIn } from '../../src/exchange/drawing/size-key.js';
import { OKABE_ITO, paletteFor } from '../../src/exchange/palette.js';
import { markerPictureSvg, markerSvg, piecesSvg, sizeNestSvg } from '../../src/exchange/svg.js';
import { area } from '../../src/geometry/polygon.js';
import { toMarker } from '../../src/lay/frame.js';
import { sampleRange } from '../report/sample.js';
import { basePieces, sampleMarker } from './sample.js';
import { hasPython, needing, PYTHON, run, withFile } from './tools.js';

// Starting Python takes its time on a busy machine.
vi.setConfig({ testTimeout: 60_000 });

describe('a marker as SVG', () => {
  const marker = sampleMarker();

  it('measures in millimetres, one unit to the millimetre', () => {
    const svg = markerSvg(marker);
    const [, width, height] = /width="([\d.]+)mm" height="([\d.]+)mm"/.exec(svg)!;
    expect(svg).toContain(` ${width} ${height}" preserveAspectRatio`);
    expect(Number(width)).toBeCloseTo(marker.length + 40, 2);
    expect(Number(height)).toBeCloseTo(marker.width + 40, 2);
  });

  it('draws every piece once, y turned downwards, with the area it has', () => {
    const svg = markerSvg(marker);
    const cuts = [...svg.matchAll(/<path class="CUT" d="([^"]+)Z"/g)].map((m) => m[1]!);
    expect(cuts).toHaveLength(12);
    cuts.forEach((data, i) => {
      const points = data
        .split(/[ML]/)
        .slice(1)
        .map((pair) => pair.split(' ').map(Number) as [number, number]);
      const { outline } = marker.pieces[i]!;
      expect(points).toHaveLength(outline.length);
      expect(area(points)).toBeCloseTo(area(outline), -1);
      const [x, y] = toMarker(marker.pieces[i]!)(marker.pieces[i]!.piece.cut[0]!);
      expect(points[0]![0]).toBeCloseTo(x, 3);
      expect(points[0]![1]).toBeCloseTo(-y, 3);
    });
  });

  it('numbers every piece in the small picture and names its size, not by colour alone', () => {
    const svg = markerPictureSvg(marker);
    const words = [...svg.matchAll(/<text class="LABEL"[^>]*>([^<]*)</g)].map((m) => m[1]!).join(' ');
    for (const { number } of marker.pieces) expect(words).toMatch(new RegExp(`\\b${number}\\b`));
    expect(words).toContain('neckband S');
  });

  it('fills the pieces of each size in a colour of its own', () => {
    const fills = [...markerSvg(marker).matchAll(/<path d="[^"]+" fill="(#\w+)"/g)].map((m) => m[1]!);
    const bySize = (size: string) => new Set(fills.filter((_, i) => marker.pieces[i]!.piece.size === size));
    expect(fills).toHaveLength(12);
    expect([bySize('S').size, bySize('M').size]).toEqual([1, 1]);
    expect(bySize('S')).not.toEqual(bySize('M'));
  });

  it('fills a size alike whichever sizes lie beside it', () => {
    const fillsOf = (svg: string) => new Set(svg.match(/fill="#(?!000000)\w+"/g));
    const { pieces } = marker;
    const own = { pieces: pieces.filter((p) => p.piece.size === 'M'), ratio: { M: 2 } };
    for (const draw of [markerSvg, markerPictureSvg]) {
      const [both, alone] = [marker, { ...marker, ...own }].map((m) => fillsOf(draw(m)));
      expect([...alone!].every((fill) => both!.has(fill))).toBe(true);
      expect(alone).not.toEqual(
        fillsOf(draw({ ...marker, pieces: pieces.filter((p) => p.piece.size === 'S') })),
      );
    }
    const key = sizesIn(marker).find(({ size }) => size === 'M')!.tint;
    expect(sizesIn({ ...marker, ...own })).toEqual([{ size: 'M', count: 2, tint: key }]);
  });

  it('shows the stamp', () => {
    expect(markerSvg(sampleMarker({ over: { stamp: 'SEAMS & EASE <off>' } }))).toContain(
      'SEAMS &amp; EASE &lt;off&gt;</text>',
    );
  });

  it('is the same each time', () => {
    expect(markerSvg(sampleMarker())).toBe(markerSvg(marker));
  });
});

describe('drawings of pieces', () => {
  it('shows cut and sewing lines of every piece', () => {
    const svg = piecesSvg(basePieces());
    expect(svg.match(/class="CUT"/g)).toHaveLength(3);
    expect(svg.match(/class="SEW"/g)).toHaveLength(3);
    expect(svg).toContain('cut 2: 1 as drawn, 1 mirrored');
  });

  it('stacks all sizes with a line of its own for each and a key', () => {
    const sizes = ['XS', 'S', 'M', 'L', 'XL', '2XL', '3XL'];
    const svg = sizeNestSvg(sampleRange(sizes), 'front');
    const pens = [
      ...svg.matchAll(
        /<path d="[^"]*Z" fill="none" stroke="(#\w+)" stroke-width="[\d.]+"( stroke-dasharray="[^"]+")?/g,
      ),
    ];
    expect(pens).toHaveLength(7);
    expect(new Set(pens.map((p) => p[1])).size).toBe(7);
    expect(new Set(pens.map((p) => p[2] ?? 'solid')).size).toBe(7);
    for (const size of sizes) expect(svg).toContain(`>${size === 'M' ? 'M (base)' : size}</text>`);
  });

  it('refuses a piece that no size has', () => {
    expect(() => sizeNestSvg(sampleRange(['M']), 'hood')).toThrow("no size has a piece 'hood'");
  });
});

describe('the palette', () => {
  it('gives as many different looks as there are sizes in a long range', () => {
    const names = Array.from({ length: 20 }, (_, i) => `${i}`);
    const look = paletteFor(names);
    const looks = names.map((name) => `${look(name).colour} ${look(name).dash.join(' ')}`);
    expect(new Set(looks).size).toBe(names.length);
    expect(OKABE_ITO).toHaveLength(8);
  });

  it('keeps black lettering readable on every tint', () => {
    // WCAG 2.2, 1.4.3: contrast of at least 4.5 : 1; black on a colour of luminance L has (L + 0.05) / 0.05.
    const look = paletteFor(OKABE_ITO);
    for (const name of OKABE_ITO) {
      const value = Number.parseInt(look(name).tint.slice(1), 16);
      const linear = [value >> 16, (value >> 8) & 255, value & 255].map((c) => {
        const s = c / 255;
        return s <= 0.04045 ? s / 12.92 : ((s + 0.055) / 1.055) ** 2.4;
      });
      const luminance = 0.2126 * linear[0]! + 0.7152 * linear[1]! + 0.0722 * linear[2]!;
      expect((luminance + 0.05) / 0.05).toBeGreaterThan(4.5);
    }
  });
});

describe("Python's XML reader", () => {
  it.skipIf(!hasPython)(
    needing('reads every drawing, names with markup in them too', 'python3', hasPython),
    () => {
      const hostile = sampleMarker({ over: { style: 'A & B <i> "x" \u0001 \ud800', name: "it's" } });
      const drawings = [
        markerSvg(hostile),
        markerPictureSvg(sampleMarker({ repeats: 3 })),
        piecesSvg(basePieces(), { title: '<&>' }),
        sizeNestSvg(sampleRange(['S', 'M & L']), 'front'),
      ];
      const script = 'import sys, xml.etree.ElementTree as e; print(e.parse(sys.argv[1]).getroot().tag)';
      for (const svg of drawings) {
        const tag = withFile('d.svg', svg, (path) => run(PYTHON, ['-c', script, path]).trim());
        expect(tag).toBe('{http://www.w3.org/2000/svg}svg');
      }
    },
  );
});
