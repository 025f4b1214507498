import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { importDrawing } from '../../../src/exchange/import/import-drawing.js';
import { pieceArea, pieceOf } from '../../../src/pattern/model.js';
import { hasEzdxf, needing, PYTHON, run, withFile } from '../tools.js';

/**
 * A drawing written by ezdxf, an independent DXF library, with every kind of entity; the areas and extents of its
 * pieces by ezdxf's own flattening and the shoelace formula.
 */
const WRITE = `
import sys, json, math, ezdxf
from ezdxf import path
from ezdxf.math import Matrix44
doc = ezdxf.new('R2010')
doc.units = int(sys.argv[2])
doc.header['$INSUNITS'] = int(sys.argv[2])
msp = doc.modelspace()
areas = {}
def ring(points):
    return abs(sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(points, points[1:] + points[:1]))) / 2
def area(name, entities):
    points = []
    for e in entities:
        flat = [(p.x, p.y) for p in path.make_path(e).flattening(0.001, 64)]
        if points and math.dist(points[-1], flat[-1]) < 1e-6: flat.reverse()
        points += flat
    areas[name] = ring(points)
def text(s, x, y): msp.add_text(s, dxfattribs={'insert': (x, y), 'height': 8})

# A yoke of lines and an arc, each an entity of its own and some the other way round.
yoke = [msp.add_line((0, 0), (300, 0)), msp.add_arc((300, 60), 60, -90, 90), msp.add_line((0, 120), (300, 120)), msp.add_line((0, 120), (0, 0))]
area('yoke', yoke); text('Yoke', 120, 60)

# A pocket with rounded corners: bulges.
pocket = msp.add_lwpolyline([(400, 0, 0), (560, 0, 0), (580, 20, 0), (580, 150, 0.2), (400, 150, 0), ], format='xyb', close=True)
pocket[1] = (560, 0, 0, 0, math.tan(math.radians(90) / 4))
area('pocket', [pocket]); text('pocket, cut 2', 440, 60)

# A facing of an old POLYLINE with a bulge and a closed SPLINE in a block, scaled, turned and mirrored.
facing = msp.add_polyline2d([(700, 0), (900, 0), (900, 80), (700, 80)], close=True)
facing.vertices[1].dxf.bulge = 0.5
area('facing', [facing]); text('facing', 760, 40)
block = doc.blocks.new('gusset')
block.add_open_spline([(0, 0), (40, -20), (80, 40), (60, 90), (10, 70), (0, 0)])
for insert in [(1000, 100, 2, 2, 30), (1300, 100, -1.5, 1.5, 0)]:
    x, y, sx, sy, r = insert
    e = msp.add_blockref('gusset', (x, y), dxfattribs={'xscale': sx, 'yscale': sy, 'rotation': r})
    copy = list(e.virtual_entities())
    area('gusset' if sx > 0 else 'gusset-2', copy)

# Not drawn to be cut.
msp.add_hatch().paths.add_polyline_path([(0, 0), (10, 0), (10, 10)], is_closed=True)
msp.add_line((2000, 0), (2100, 0))
doc.saveas(sys.argv[1])
print(json.dumps(areas))
`;

const MM2: Readonly<Record<number, number>> = { 4: 1, 1: 25.4 ** 2, 5: 100 };

describe('a plain DXF', () => {
  it.skipIf(!hasEzdxf).each([
    [4, 'millimetres'],
    [5, 'centimetres'],
  ])(
    needing(
      'written by ezdxf in unit %i (%s) is read whole: every area agrees to 0.02 %%',
      'python3-ezdxf',
      hasEzdxf,
    ),
    (unit) => {
      const { areas, bytes } = withFile('plain.dxf', '', (path) => ({
        areas: JSON.parse(run(PYTHON, ['-', path, String(unit)], WRITE)) as Record<string, number>,
        bytes: readFileSync(path),
      }));
      const { pattern, dropped, scaling } = importDrawing(bytes, 'plain.dxf');
      expect(scaling).toMatch(unit === 4 ? /millimetres \(\$INSUNITS 4\)/ : /centimetres \(\$INSUNITS 5\)/);
      expect(pattern.pieces.map((p) => p.name).sort()).toEqual(Object.keys(areas).sort());
      for (const [name, area] of Object.entries(areas)) {
        expect(pieceArea(pieceOf(pattern, name)) / (area * MM2[unit]!), name).toBeCloseTo(1, 3.4);
      }
      const told = dropped.map((d) => d.what).join('; ');
      expect(told).toMatch(/HATCH/);
      expect(told).toMatch(/open lines that close no outline/);
      expect(pieceOf(pattern, 'pocket').counts).toEqual({ asDrawn: 1, mirrored: 1 });
    },
  );

  it.skipIf(!hasEzdxf)(
    needing('without units is asked for them, with the size of each reading', 'python3-ezdxf', hasEzdxf),
    () => {
      const bytes = withFile('plain.dxf', '', (path) => {
        run(PYTHON, ['-', path, '0'], WRITE);
        return readFileSync(path);
      });
      expect(() => importDrawing(bytes, 'plain.dxf')).toThrow(
        /does not say its units.*\$INSUNITS 0 is no unit of a pattern.* mm x \d+ mm in mm, .* or .* in in/,
      );
      const { pattern } = importDrawing(bytes, 'plain.dxf', { units: 'in' });
      expect(pattern.pieces).toHaveLength(5);
    },
  );
});
