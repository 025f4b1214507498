import { describe, expect, it, vi } from 'vitest';
import { markerDxf } from '../../src/exchange/dxf-marker.js';
import { LAYERS, MARKER_LAYERS } from '../../src/exchange/layers.js';
import { area, bounds, contains } from '../../src/geometry/polygon.js';
import { distance } from '../../src/geometry/vec.js';
import { toMarker } from '../../src/lay/frame.js';
import type { Marker, PlacedPiece } from '../../src/lay/types.js';
import { readDxf } from './dxf-read.js';
import { sampleMarker, tubeMarker } from './sample.js';
import { hasEzdxf, needing, PYTHON, run, withFile } from './tools.js';

// Starting Python takes its time on a busy machine.
vi.setConfig({ testTimeout: 60_000 });

describe('a marker as DXF', () => {
  const marker = sampleMarker();
  const text = markerDxf(marker);
  const read = readDxf(text);
  const entities = read.entities;
  const on = (layer: string) => entities.filter((e) => e.layer === layer);

  it('states millimetres and its extent', () => {
    expect(read.header['$INSUNITS']).toBe(4);
    expect(read.header['$MEASUREMENT']).toBe(1);
    expect(read.header['$EXTMAX']).toMatchObject({ y: 1650 });
    expect((read.header['$EXTMAX'] as { x: number }).x).toBeCloseTo(marker.length, 3);
    expect(read.header['$EXTMIN']).toMatchObject({ x: 0 });
  });

  it('holds the cut line of every piece once, closed, where it was placed', () => {
    const cuts = on('CUT');
    expect(cuts).toHaveLength(12);
    expect(cuts.every((e) => e.type === 'LWPOLYLINE' && e.shape === true)).toBe(true);
    cuts.forEach((entity, i) => {
      const { outline, piece, ...pose } = marker.pieces[i]!;
      expect(entity.vertices).toHaveLength(outline.length);
      // Every copy of a piece starts at the piece's first vertex, mirrored ones too.
      const start = outline.findIndex((p) => distance(p, toMarker(pose)(piece.cut[0]!)) < 1e-6);
      entity.vertices!.forEach((v, k) => {
        const [x, y] = outline[(start + k) % outline.length]!;
        expect(Math.abs(v.x - x)).toBeLessThanOrEqual(5.1e-5);
        expect(Math.abs(v.y - y)).toBeLessThanOrEqual(5.1e-5);
      });
    });
  });

  it('draws no line twice', () => {
    const seen = entities
      .filter((e) => e.vertices)
      .map((e) =>
        e
          .vertices!.map((v) => `${v.x},${v.y}`)
          .sort()
          .join(' '),
      );
    expect(new Set(seen).size).toBe(seen.length);
  });

  it('puts notches as nicks of their depth that start on the cut line and run into the piece', () => {
    // A front has two single and two double notches (6 nicks), a sleeve one of each (3), a band one.
    const nicks = on('NOTCH');
    expect(nicks).toHaveLength(3 * (6 + 3 + 3 + 1));
    for (const { vertices } of nicks) {
      const [a, b] = vertices!;
      expect(Math.hypot(b!.x - a!.x, b!.y - a!.y)).toBeCloseTo(4, 3);
      const near = marker.pieces.map((p) => distanceToOutline(p, [a!.x, a!.y]));
      expect(Math.min(...near)).toBeLessThan(1e-3);
      const owner = marker.pieces[near.indexOf(Math.min(...near))]!;
      expect(contains(owner.outline, [b!.x, b!.y])).toBe(true);
    }
  });

  it('spaces the two nicks of a double notch by 5 mm', () => {
    const [front] = marker.pieces;
    const double = on('NOTCH')
      .slice(2, 4)
      .map((e) => e.vertices![0]!);
    expect(front!.piece.notches[2]!.kind).toBe('double');
    expect(Math.hypot(double[0]!.x - double[1]!.x, double[0]!.y - double[1]!.y)).toBeCloseTo(5, 1);
  });

  it('labels each piece inside it with style, piece, size, garment and number', () => {
    for (const placed of marker.pieces) {
      const box = bounds(placed.outline);
      const inside = on('LABEL').filter(
        ({ startPoint: p }) => p!.x > box.minX && p!.x < box.maxX && p!.y > box.minY && p!.y < box.maxY,
      );
      const words = inside.map((e) => e.text).join(' | ');
      for (const part of [
        marker.style,
        placed.piece.name,
        placed.piece.size,
        placed.garment,
        `no. ${placed.number}`,
      ]) {
        expect(words).toContain(part);
      }
      for (const label of inside) expect(label.textHeight).toBeGreaterThanOrEqual(3);
    }
  });

  it('marks mirrored pieces and the direction of the grain', () => {
    expect(on('LABEL').filter((e) => e.text!.includes('(mirrored)'))).toHaveLength(3);
    const heads = on('GRAIN').filter((e) => e.vertices!.length === 3);
    // One head a piece: the fabric runs one way; the tip lies towards +X, the direction of the wales.
    expect(heads).toHaveLength(12);
    for (const { vertices: [a, tip, b] = [] } of heads) expect(tip!.x).toBeGreaterThan(Math.max(a!.x, b!.x));
  });

  it('writes the same bytes for the same marker, whatever was drawn before', () => {
    const again = markerDxf(sampleMarker());
    markerDxf(tubeMarker());
    expect(again).toBe(text);
    expect(markerDxf(marker)).toBe(text);
  });

  it('gives every object a handle of its own below the seed', () => {
    const lines = text.split('\n');
    const handles = lines
      .filter((_, i) => i % 2 === 1 && lines[i - 1] === '5')
      .map((h) => Number.parseInt(h, 16));
    const [seed, ...used] = handles;
    expect(new Set(used).size).toBe(used.length);
    expect(seed).toBeGreaterThan(Math.max(...used));
  });

  it('writes coordinates with four decimals and ASCII minus signs only', () => {
    const lines = text.split('\n');
    const reals = lines.filter((_, i) => i % 2 === 1 && ['10', '20', '11', '21'].includes(lines[i - 1]!));
    expect(reals.length).toBeGreaterThan(1000);
    for (const real of reals) expect(real).toMatch(/^-?\d+\.\d{4}$/);
    expect(text).not.toMatch(/NaN|Infinity|undefined|-0\.0000/);
  });

  it('keeps a hostile name from breaking the file', () => {
    const style = 'Tarn\n0\nEOF\u0000 100%%u ^J "x"';
    const drawn = readDxf(markerDxf(sampleMarker({ over: { style } }))).entities;
    for (const layer of ['CUT', 'NOTCH', 'FABRIC', 'NOTE']) {
      expect(drawn.filter((e) => e.layer === layer)).toHaveLength(on(layer).length);
    }
    const words = drawn.map((e) => e.text ?? '');
    expect(words).toContain('Tarn 0 EOF 100% %u ^ J "x"');
  });

  it('refuses a coordinate that is not finite', () => {
    const [first, ...rest] = marker.pieces;
    const broken: PlacedPiece = { ...first!, outline: [...first!.outline.slice(1), [Number.NaN, 0]] };
    expect(() => markerDxf({ ...marker, pieces: [broken, ...rest] })).toThrow(
      'piece 1 of the marker (front M) has a coordinate that is not a finite number',
    );
    expect(() => markerDxf({ ...marker, length: Number.NaN })).toThrow('cannot be written to a file');
    expect(() => markerDxf({ ...marker, pieces: [{ ...first!, outline: [] }] })).toThrow('has no outline');
  });

  it('carries the stamp and an unverified state', () => {
    const stamped = markerDxf(sampleMarker({ over: { stamp: 'SEAMS OUT OF TOLERANCE', verified: false } }));
    expect(stamped).toContain('\nSEAMS OUT OF TOLERANCE\n');
    expect(stamped).toContain('\nNOT VERIFIED: pieces may overlap or leave the cloth. Do not cut.\n');
    expect(text).not.toContain('NOT VERIFIED');
  });

  it('leaves the fold of a half open and says so', () => {
    const tube = tubeMarker();
    const parsed = readDxf(markerDxf(tube)).entities;
    const cuts = parsed.filter((e) => e.layer === 'CUT');
    expect(cuts.map((e) => e.shape)).toEqual([false, true]);
    const half = cuts[0]!.vertices!;
    // From the fold at the neckline or hem back to it: both ends lie on the lower edge of the cloth.
    expect(half[0]!.y).toBeCloseTo(0, 3);
    expect(half[half.length - 1]!.y).toBeCloseTo(0, 3);
    const fold = parsed.filter((e) => e.layer === 'FOLD');
    expect(fold.map((e) => e.type)).toEqual(['LINE', 'TEXT']);
    // Only the notches of the half that was placed: one single and one double, and the sleeve's three nicks.
    expect(parsed.filter((e) => e.layer === 'NOTCH')).toHaveLength(3 + 3);
  });
});

describe('ezdxf, an independent reader,', () => {
  const script = `
import ezdxf, json, sys
doc = ezdxf.readfile(sys.argv[1])
audit = doc.audit()
out = {"version": doc.dxfversion, "units": doc.units, "errors": len(audit.errors), "fixes": len(audit.fixes),
       "layers": sorted(l.dxf.name for l in doc.layers), "count": {}, "areas": [], "box": [1e9, 1e9, -1e9, -1e9]}
for e in doc.modelspace():
    key = e.dxf.layer + " " + e.dxftype()
    out["count"][key] = out["count"].get(key, 0) + 1
    if e.dxftype() == "LWPOLYLINE" and e.dxf.layer == "CUT":
        p = list(e.get_points("xy")); n = len(p)
        out["areas"].append(sum(p[i][0] * p[(i + 1) % n][1] - p[(i + 1) % n][0] * p[i][1] for i in range(n)) / 2)
        b = out["box"]
        out["box"] = [min([b[0]] + [q[0] for q in p]), min([b[1]] + [q[1] for q in p]),
                      max([b[2]] + [q[0] for q in p]), max([b[3]] + [q[1] for q in p])]
print(json.dumps(out))`;
  const ask = (marker: Marker) =>
    JSON.parse(withFile('marker.dxf', markerDxf(marker), (path) => run(PYTHON, ['-c', script, path])));

  it.skipIf(!hasEzdxf)(
    needing('finds no error, the same counts, areas and extent', 'python3-ezdxf', hasEzdxf),
    () => {
      const marker = sampleMarker();
      const found = ask(marker);
      expect(found).toMatchObject({ version: 'AC1021', units: 4, errors: 0, fixes: 0 });
      expect(found.layers).toEqual(expect.arrayContaining([...MARKER_LAYERS]));
      expect(found.count).toMatchObject({
        'FABRIC LWPOLYLINE': 1,
        'CUT LWPOLYLINE': 12,
        'NOTCH LINE': 39,
        'INTERNAL LINE': 3,
        'LABEL TEXT': 12 * 4,
        'GRAIN LWPOLYLINE': 12,
      });
      const exact = marker.pieces.map((p) => area(p.outline));
      expect(found.areas).toHaveLength(exact.length);
      exact.forEach((mm2, i) => {
        // Counter-clockwise, and within 0.01 %.
        expect(Math.abs(found.areas[i] - mm2) / mm2).toBeLessThan(1e-4);
      });
      const box = bounds(marker.pieces.flatMap((p) => p.outline));
      [box.minX, box.minY, box.maxX, box.maxY].forEach((edge, i) => {
        expect(found.box[i]).toBeCloseTo(edge, 3);
      });
    },
  );

  it.skipIf(!hasEzdxf)(needing('reads a tube with names outside ASCII', 'python3-ezdxf', hasEzdxf), () => {
    const found = ask({ ...tubeMarker(), style: 'Strickhülle Größe ñ 毛' });
    expect(found).toMatchObject({ errors: 0, fixes: 0 });
    expect(found.count['FOLD LINE']).toBe(1);
  });
});

describe('the table of layers', () => {
  it('has one line of meaning for each and no name twice', () => {
    expect(new Set(LAYERS.map((l) => l.name)).size).toBe(LAYERS.length);
    for (const layer of LAYERS) expect(layer.meaning).toMatch(/^[A-Z].*\.$/s);
    expect(MARKER_LAYERS).not.toContain('SEW');
  });
});

function distanceToOutline(placed: PlacedPiece, p: readonly [number, number]): number {
  let least = Infinity;
  placed.outline.forEach((a, i) => {
    const b = placed.outline[(i + 1) % placed.outline.length]!;
    const along = [b[0] - a[0], b[1] - a[1]] as const;
    const squared = along[0] ** 2 + along[1] ** 2;
    const t = Math.min(1, Math.max(0, ((p[0] - a[0]) * along[0] + (p[1] - a[1]) * along[1]) / squared));
    least = Math.min(least, Math.hypot(p[0] - a[0] - along[0] * t, p[1] - a[1] - along[1] * t));
  });
  return least;
}
