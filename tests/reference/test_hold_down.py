"""The hold-down: its bearing face, its hole, its sizes."""

import math

import numpy as np
import pytest
import shapely

# Clearance holes in mm: ISO 273 fine, medium, coarse; and for 1/4 in ASME B18.2.8-1999 (R2017),
# drills for close, normal, loose: 17/64, 9/32, 19/64 in.
CLEARANCE = {
    "M5": {"close": 5.3, "normal": 5.5, "loose": 5.8},
    "M6": {"close": 6.4, "normal": 6.6, "loose": 7.0},
    "M8": {"close": 8.4, "normal": 9.0, "loose": 10.0},
    "1/4 in": {"close": 17 / 64 * 25.4, "normal": 9 / 32 * 25.4, "loose": 19 / 64 * 25.4},
}


def flats(mesh, way):
    """Heights of level faces that look up (1) or down (-1), with their areas."""
    normal, area = mesh.face_normals, mesh.area_faces
    level = normal[:, 2] * way > 1.0 - 1e-9
    z = np.round(mesh.triangles_center[level, 2], 4)
    return {h: area[level][z == h].sum() for h in np.unique(z)}


def test_bearing_face_is_as_high_as_the_stock_less_the_squeeze(packet):
    mesh = packet.mesh("workholding/hold-down.stl")
    bed = mesh.bounds[0, 2]
    down = {h - bed: area for h, area in flats(mesh, -1).items() if h - bed > 1.0}
    assert down, "no face bears on the stock"
    height, area = max(down.items(), key=lambda item: item[1])
    block = packet.json["shop"]["hold_down"]
    assert height == pytest.approx(packet.json["stock"]["height_mm"] - block["squeeze_mm"], abs=0.01)
    assert area >= 0.8 * block["lip_mm"] * block["width_mm"]


def test_bolt_goes_through(packet):
    mesh = packet.mesh("workholding/hold-down.stl")
    bed, top = mesh.bounds[:, 2]
    block = packet.json["shop"]["hold_down"]
    cut = mesh.section(plane_origin=[0, 0, bed + 0.3 * (top - bed)], plane_normal=[0, 0, 1])
    loops = [np.asarray(loop)[:, :2] for loop in cut.discrete]
    shapes = sorted((shapely.Polygon(loop) for loop in loops), key=lambda s: -s.area)
    assert len(shapes) == 2, "one outside, one hole"
    outside, hole = shapes
    assert outside.contains(hole)
    bolt = packet.json["shop"]["bolt"]
    asked = CLEARANCE[bolt["size"]][bolt["fit"]] + packet.json["shop"]["printer_fit_mm"]
    model = packet.json["mounting"]["hold_downs"]["models"][0]
    centre, slide = np.array(model["hole_at_mm"]), block["slide_mm"]
    assert model["slide_mm"] == slide
    # A bolt fits through a polygon as far as its flats, not its corners, let it; all along the slot.
    for along in (-slide / 2, 0.0, slide / 2):
        middle = shapely.Point(centre + [along, 0.0])
        assert 2 * middle.distance(hole.exterior) == pytest.approx(asked, abs=0.001)
    # A slot with a ridge of 45 degrees: three quarters of a disc, a square, and the slot's own.
    r = asked / 2
    area = (0.75 * math.pi + 1) * r**2 + slide * r * (1 + math.sqrt(2)) + slide**2 / 4
    assert hole.area == pytest.approx(area, abs=2 * math.pi * r * 0.01)
    low = np.array(hole.bounds)
    assert low[2] - low[0] == pytest.approx(asked + slide, abs=0.02)
    across = sorted(np.ptp(np.array(outside.exterior.coords), axis=0))
    assert any(side == pytest.approx(block["width_mm"], abs=0.02) for side in across)
