"""Draws one of everything with ezdxf and tells where its lines run, as ezdxf itself draws them."""

import json
import math
import sys

import ezdxf
from ezdxf import disassemble


def build(version):
    doc = ezdxf.new(version)
    doc.units = 4
    space = doc.modelspace()
    mirrored = {"extrusion": (0, 0, -1)}
    space.add_line((0, 0), (10, 5))
    space.add_arc((5, 5), 3, 30, 200)
    space.add_arc((5, 5), 3, 300, 40)
    space.add_arc((50, 5), 30, 300, 40, dxfattribs=mirrored)
    space.add_circle((1, 2), 40)
    space.add_circle((10, 2), 4, dxfattribs=mirrored)
    space.add_polyline2d([(0, 0, 0), (100, 0, 1), (100, 50, -0.3), (0, 50, 0.1)], format="xyb", close=True)
    space.add_polyline2d([(0, 0), (10, 20), (30, 5)])
    space.add_polyline2d([(0, 0, 0.5), (10, 0, 0), (10, 10, -1)], format="xyb", close=True, dxfattribs=mirrored)
    if version != "R12":
        space.add_lwpolyline([(0, 0, 0.4), (90, 0, -0.2), (80, 60, 2), (5, 5, 0)], format="xyb", close=True)
        space.add_lwpolyline([(0, 0, 0.4), (90, 0, -0.2), (80, 60, 0)], format="xyb", dxfattribs=mirrored)
        space.add_ellipse((3, 4), (20, 5), 0.4, 0, math.tau)
        space.add_ellipse((3, 4), (20, 5), 0.4, 1, 5)
        space.add_ellipse((3, 4), (20, 5), 0.4, 5, 1, dxfattribs=mirrored)
        points = [(0, 0), (10, 20), (30, 40), (50, 0), (80, 80), (90, 10)]
        for degree in (1, 2, 3, 4, 5):
            space.add_open_spline(points, degree=degree)
        space.add_spline().set_closed([(x, y, 0) for x, y in points], degree=3)
        space.add_spline().set_open_rational([(x, y, 0) for x, y in points], weights=[1, 2, 0.5, 3, 1, 1], degree=3)
    part = doc.blocks.new("PART", base_point=(1, 2))
    part.add_arc((0, 0), 20, 0, 90)
    part.add_polyline2d([(0, 0, 0), (30, 0, 0.5), (30, 20, 0)], format="xyb", close=True)
    part.add_line((0, 0), (0, 40))
    whole = doc.blocks.new("WHOLE", base_point=(-3, 4))
    whole.add_blockref("PART", (5, 5), dxfattribs={"rotation": 30, "xscale": 2, "yscale": 2})
    whole.add_blockref("PART", (50, 5), dxfattribs={"xscale": -1})
    whole.add_line((0, 0), (7, 7))
    space.add_blockref("WHOLE", (100, 200), dxfattribs={"rotation": -75, "xscale": 1.5, "yscale": 1.5})
    space.add_blockref("PART", (300, 200), dxfattribs={"rotation": -75, "xscale": 1.5, "yscale": -0.5})
    space.add_blockref("WHOLE", (100, 200), dxfattribs={"rotation": 20, **mirrored})
    array = {"rotation": 30, "column_count": 3, "row_count": 2, "column_spacing": 150, "row_spacing": 90}
    space.add_blockref("PART", (-500, 0), dxfattribs=array)
    return doc


def points(entity):
    """Close to the true curve: a path of ezdxf would be made of quarter circles as cubics."""
    if hasattr(entity, "virtual_entities"):
        for part in entity.virtual_entities():
            yield from points(part)
    elif hasattr(entity, "flattening"):
        yield [[p.x, p.y] for p in entity.flattening(0.001)]
    else:
        yield [[p.x, p.y] for p in (entity.dxf.start, entity.dxf.end)]


def lines(doc):
    return [run for entity in disassemble.recursive_decompose(doc.modelspace()) for run in points(entity)]


if __name__ == "__main__":
    document = build(sys.argv[1])
    document.saveas(sys.argv[2])
    print(json.dumps(lines(document)))
