import { describe, expect, it, vi } from 'vitest';
import { flattenEntities } from '../../../src/exchange/dxf/index.js';
import { MARKER_LAYERS, markerDxf } from '../../../src/exchange/index.js';
import { nodes } from '../../../src/geometry/path.js';
import { area, bounds } from '../../../src/geometry/polygon.js';
import { readDxf as parserOf } from '../dxf-read.js';
import { rasterise } from '../raster.js';
import { sampleMarker, tubeMarker } from '../sample.js';
import { hasEzdxf, needing } from '../tools.js';
import { read } from './helpers.js';
import { dxfParser, ezdxf, hasLibrecad, librecadPdf } from './readers.js';

vi.setConfig({ testTimeout: 120_000 });

const marker = sampleMarker();
const r12 = markerDxf(marker, { flavour: 'r12' });

describe('a marker as DXF R12', () => {
  it('holds every cut line once as a closed POLYLINE, where the piece lies', () => {
    const cuts = flattenEntities(read(r12)).paths.filter((p) => p.layer === 'CUT');
    expect(cuts).toHaveLength(marker.pieces.length);
    expect(r12).not.toContain('LWPOLYLINE');
    cuts.forEach(({ path, closed }, i) => {
      expect(closed).toBe(true);
      const drawn = nodes(path).slice(0, -1);
      expect(drawn).toHaveLength(marker.pieces[i]!.outline.length);
      const outline = marker.pieces[i]!.outline;
      expect(Math.abs(area(drawn) - area(outline)) / area(outline)).toBeLessThan(1e-6);
      const [a, b] = [bounds(drawn), bounds(outline)];
      for (const side of ['minX', 'minY', 'maxX', 'maxY'] as const) expect(a[side]).toBeCloseTo(b[side], 3);
    });
  });

  it('says its units in words and has no header field for them', () => {
    const texts = flattenEntities(read(r12)).texts.map((t) => t.text);
    expect(texts).toContain('Units of this drawing: millimetres (1 unit = 1 mm)');
    expect(read(r12)).toMatchObject({ version: 'AC1009', insUnits: undefined });
    const inches = markerDxf(marker, { flavour: 'r12', units: 'in' });
    expect(inches).toContain('Units of this drawing: inches (1 unit = 1 in = 25.4 mm)');
  });

  it('draws the same shapes as the current flavour', () => {
    // The current flavour writes layer by layer, R12 piece by piece: within a layer the order is the same.
    const [old, now] = [r12, markerDxf(marker)].map((text) => {
      const { paths, texts } = flattenEntities(read(text));
      const byLayer = <T extends { layer: string }>(list: readonly T[]) =>
        [...list].sort((a, b) => (a.layer < b.layer ? -1 : a.layer > b.layer ? 1 : 0));
      return { paths: byLayer(paths), texts: byLayer(texts) };
    });
    expect(old!.paths.map((p) => [p.layer, p.closed])).toEqual(now!.paths.map((p) => [p.layer, p.closed]));
    old!.paths.forEach(({ path }, i) => {
      const other = nodes(now!.paths[i]!.path);
      expect(nodes(path).length).toBe(other.length);
      nodes(path).forEach((p, k) => {
        expect(Math.abs(p[0] - other[k]![0])).toBeLessThan(2e-4);
        expect(Math.abs(p[1] - other[k]![1])).toBeLessThan(2e-4);
      });
    });
    // One text more: the units.
    expect(old!.texts).toHaveLength(now!.texts.length + 1);
    expect(old!.texts.map((t) => t.text).filter((text) => !text.startsWith('Units of'))).toEqual(
      now!.texts.map((t) => t.text),
    );
  });

  it('gives the same bytes again, and keeps a hostile name out of the format', () => {
    expect(markerDxf(sampleMarker(), { flavour: 'r12' })).toBe(r12);
    const style = 'Tarn\n0\nEOF\u0000 ü';
    const hostile = read(markerDxf(sampleMarker({ over: { style } }), { flavour: 'r12' }));
    expect(hostile.entities).toHaveLength(read(r12).entities.length);
    expect(flattenEntities(hostile).texts.map((t) => t.text)).toContain('Tarn 0 EOF ü');
  });

  it.skipIf(!hasEzdxf)(
    needing('passes the audit of ezdxf: layers, counts, areas, extent', 'python3-ezdxf', hasEzdxf),
    () => {
      const audit = ezdxf(r12);
      expect(audit).toMatchObject({ version: 'AC1009', errors: 0, fixes: [] });
      expect(audit.layers).toEqual(expect.arrayContaining([...MARKER_LAYERS]));
      expect(audit.counts['']).toMatchObject({ 'CUT POLYLINE': 12, 'NOTCH LINE': 39, 'FABRIC POLYLINE': 1 });
      const cuts = audit.polylines.filter((p) => p.layer === 'CUT');
      expect(cuts.every((p) => p.closed)).toBe(true);
      cuts.forEach(({ points }, i) => {
        const exact = area(marker.pieces[i]!.outline);
        expect(Math.abs(area(points) - exact) / exact).toBeLessThan(1e-4);
      });
      expect(audit.extent[2]).toBeCloseTo(marker.length, 3);
      expect(audit.extent[3]).toBeCloseTo(marker.width, 3);
      const tube = ezdxf(markerDxf({ ...tubeMarker(), style: 'Strickhülle 毛' }, { flavour: 'r12' }));
      expect(tube).toMatchObject({ errors: 0, fixes: [] });
    },
  );

  it('is read alike by dxf-parser', async () => {
    const cuts = (await dxfParser(r12)).entities.filter((e) => e.layer === 'CUT');
    expect(cuts).toHaveLength(12);
    expect(cuts.every((e) => e.type === 'POLYLINE' && e.shape === true)).toBe(true);
  });
});

describe.each(['current', 'r12'] as const)('the cut lines of a marker as DXF (%s)', (flavour) => {
  it.skipIf(!hasLibrecad)(
    needing('are drawn whole and in shape by LibreCAD', 'librecad', hasLibrecad),
    () => {
      const [page] = rasterise(librecadPdf(markerDxf(marker, { flavour, cutOnly: true })), 'pdftoppm', 150);
      const { width, pixels } = page!;
      let [minX, minY, maxX, maxY] = [Infinity, Infinity, -Infinity, -Infinity];
      pixels.forEach((value, i) => {
        if (value > 200) return;
        const [x, y] = [i % width, Math.floor(i / width)];
        [minX, maxX] = [Math.min(minX, x), Math.max(maxX, x)];
        [minY, maxY] = [Math.min(minY, y), Math.max(maxY, y)];
      });
      const all = bounds(marker.pieces.flatMap((p) => [...p.outline]));
      const [long, across] = [all.maxX - all.minX, all.maxY - all.minY];
      // Its converter fits a drawing to the page, either way round.
      const drawn = [maxX - minX, maxY - minY].sort((a, b) => b - a);
      const wanted = [long, across].sort((a, b) => b - a);
      expect(drawn[0]!).toBeGreaterThan(300);
      expect(drawn[0]! / drawn[1]!).toBeGreaterThan(0.97 * (wanted[0]! / wanted[1]!));
      expect(drawn[0]! / drawn[1]!).toBeLessThan(1.03 * (wanted[0]! / wanted[1]!));
    },
  );
});

describe('a marker in inches', () => {
  it.each(['current', 'r12'] as const)('is the same drawing, divided by 25.4 (%s)', (flavour) => {
    const [mm, inch] = [markerDxf(marker, { flavour }), markerDxf(marker, { flavour, units: 'in' })].map(
      (text) => flattenEntities(read(text)),
    );
    expect(inch!.paths).toHaveLength(mm!.paths.length);
    inch!.paths.forEach(({ path }, i) => {
      const other = nodes(mm!.paths[i]!.path);
      nodes(path).forEach((p, k) => {
        expect(Math.abs(p[0] * 25.4 - other[k]![0])).toBeLessThan(1e-3);
        expect(Math.abs(p[1] * 25.4 - other[k]![1])).toBeLessThan(1e-3);
      });
    });
    mm!.texts.slice(0, 3).forEach((text, i) => {
      expect(inch!.texts[i]!.height * 25.4).toBeCloseTo(text.height, 3);
    });
  });

  it('says so in the header and in words', () => {
    const text = markerDxf(marker, { units: 'in' });
    expect(read(text)).toMatchObject({ insUnits: 1, measurement: 0 });
    expect(read(markerDxf(marker))).toMatchObject({ insUnits: 4, measurement: 1 });
    expect(parserOf(text).header['$INSUNITS']).toBe(1);
    expect(text).toContain('Units of this drawing: inches');
  });
});

describe('a marker of cut lines alone', () => {
  it.each(['current', 'r12'] as const)('holds them and nothing else (%s)', (flavour) => {
    const file = read(markerDxf(marker, { flavour, cutOnly: true }));
    expect(file.entities).toHaveLength(marker.pieces.length);
    expect(new Set(file.entities.map((e) => e.layer))).toEqual(new Set(['CUT']));
    expect(file.layers.map((l) => l.name).filter((name) => name !== '0')).toEqual(['CUT']);
  });
});
