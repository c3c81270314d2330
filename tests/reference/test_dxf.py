"""The DXF files before an independent reader and auditor (ezdxf) and 2D geometry (shapely)."""

import math

import arcs
import lengths
import measure
import numpy as np
import pytest
import shapely
from conftest import ROOT
from shapely import affinity

SETUPS = ["top", "bottom"]


def drawings(packet):
    return [name for name in packet.files if name.endswith(".dxf")]


def mesh_outline(packet, setup):
    """The body's plan from the mesh, in the setup's frame."""
    outline = packet.outline()[0]
    m = packet.to_setup(setup)
    assert abs(m[2, 0]) + abs(m[2, 1]) + abs(m[0, 2]) + abs(m[1, 2]) < 1e-12, "the plan stays a plan"
    return affinity.affine_transform(
        outline, [m[0, 0], m[0, 1], m[1, 0], m[1, 1], m[0, 3], m[1, 3]]
    )


def only(packet, name):
    """The one path of a drawing."""
    paths = packet.drawing(name).paths
    assert len(paths) == 1, f"{name} has {len(paths)} paths"
    return paths[0][1]


def test_expected_drawings_are_there(packet):
    names = set(drawings(packet))
    for setup in SETUPS:
        assert {f"{setup}/{part}.dxf" for part in ("outline", "tabs", "limits")} <= names
    # Slots only where they are cut, the board's holes once, the bed's by themselves.
    assert ("bottom/slots.dxf" in names) == (packet.kind == "fork")
    assert {"board.dxf", "top/pins.dxf", "bed/pins.dxf"} <= names
    for name in names:
        assert name.rsplit("/")[-1] != "limit.dxf" and name not in ("top/slots.dxf", "bottom/pins.dxf")


def test_audit_finds_nothing(packet):
    for name in drawings(packet):
        document = packet.drawing(name).document
        auditor = document.audit()
        assert not auditor.has_errors, f"{name}: {[e.message for e in auditor.errors]}"
        assert not auditor.has_fixes, f"{name}: {[e.message for e in auditor.fixes]}"
        # LWPOLYLINE needs R14 or later; AC1015 is R2000 (DXF Reference, $ACADVER).
        assert document.dxfversion >= "AC1015"
        # 1 inches, 4 millimetres (DXF Reference, $INSUNITS).
        unit = lengths.read(ROOT / "params/shop.toml")["shop"]["unit"]
        assert document.header["$INSUNITS"] == {"in": 1, "mm": 4}[unit], name


def test_paths_are_closed_turn_left_and_do_not_cross(packet):
    for name in drawings(packet):
        drawing = packet.drawing(name)
        space = drawing.document.modelspace()
        others = {e.dxftype() for e in space} - {"LWPOLYLINE", "CIRCLE", "TEXT", "MTEXT", "POINT", "LINE"}
        assert not others, f"{name}: {others}"
        for line, (layer, path) in zip(drawing.polylines, drawing.paths):
            # Flaws that are cracks, saw lines and the arms of a zero mark are lines; all else is closed.
            if not line.closed and ("flaw" in layer.lower() or layer.startswith(("zero", "saw"))):
                continue
            assert line.closed, f"{name}, layer {layer}"
            assert arcs.area(path) > 0.0, f"{name}, layer {layer}: runs clockwise"
            assert arcs.polygon(path).is_valid, f"{name}, layer {layer}: crosses itself"
            steps = np.hypot(*np.diff(np.array([p[:2] for p in path + path[:1]]), axis=0).T)
            assert steps.min() > 1e-6, f"{name}, layer {layer}: a doubled corner"


@pytest.mark.parametrize("setup", SETUPS)
def test_outline_is_that_of_the_mesh(fine, setup):
    path = only(fine, f"{setup}/outline.dxf")
    mine, theirs = mesh_outline(fine, setup), arcs.polygon(path)
    # Arcs within 0.005 mm of the curve, and the mesh's chords within its own tolerance, 0.005.
    assert shapely.hausdorff_distance(mine.exterior, theirs.exterior, densify=0.01) < 0.012
    assert arcs.area(path) == pytest.approx(mine.area, abs=0.01 * mine.length)
    assert arcs.area(path) == pytest.approx(theirs.area, abs=0.0003 * mine.length)
    # Fitted, not chopped: curves of this size need tens of arcs.
    assert len(path) < 250
    print(f"{fine.kind} {setup}: {len(path)} arcs, corners break by {arcs.turns(path).max():.3f}°")
    breaks = arcs.turns(path)
    assert (breaks > 1.0).sum() <= (0 if fine.kind != "turner" else 2), breaks.max()


@pytest.mark.parametrize("setup", SETUPS)
def test_limits_are_even_offsets_of_the_outline(fine, setup):
    outline = arcs.polygon(only(fine, f"{setup}/outline.dxf"))
    shop = fine.json["shop"]
    ball = next(c for c in shop["cutters"] if c["name"] == shop["work"]["finish"])["diameter_mm"]
    paths = [p for p in fine.drawing(f"{setup}/limits.dxf").paths if p[0] == "finish-centre"]
    assert paths
    for layer, path in paths:
        limit = arcs.polygon(path)
        assert limit.contains(outline)
        apart = shapely.distance(outline.exterior, shapely.points(np.array(limit.exterior.coords)))
        distance = float(np.median(apart))
        assert distance >= ball / 2, f"{layer}: a ball kept inside could not finish the edge"
        # Two fits of 0.005 mm each, and the chords of the comparison.
        assert np.abs(apart - distance).max() < 0.015, layer
        # The other library's own offset has the same area.
        even = outline.buffer(distance, quad_segs=64)
        assert limit.area == pytest.approx(even.area, abs=0.015 * even.length)


@pytest.mark.parametrize("setup", SETUPS)
def test_tabs_stand_on_the_outline_as_asked(packet, setup):
    outline = arcs.polygon(only(packet, f"{setup}/outline.dxf"))
    tabs = [arcs.polygon(path) for _, path in packet.drawing(f"{setup}/tabs.dxf").paths]
    asked = packet.asked["tabs"]
    count = len(asked["place"]) if isinstance(asked["place"], list) else asked["count"]
    assert len(tabs) == count
    width = lengths.length_mm(asked["width"])
    back = np.linalg.inv(packet.to_setup(setup))
    for tab in tabs:
        assert tab.distance(outline) < 0.02, "a tab that misses the body"
        box = tab.minimum_rotated_rectangle
        sides = np.hypot(*np.diff(np.array(box.exterior.coords)[:3], axis=0).T)
        assert np.abs(sides - width).min() < 0.05, f"{sides} for {width}"
    if isinstance(asked["place"], list):
        for place in asked["place"]:
            x = lengths.percent(place["at"]) * packet.length
            side = 1 if place["side"] == "left" else -1
            near = []
            for tab in tabs:
                p = back @ np.array([*tab.intersection(outline.buffer(0.5)).centroid.coords[0], 0, 1])
                if np.sign(p[1]) == side:
                    near.append(abs(p[0] - x))
            assert min(near) < 1.0, place


def test_slots_are_cut_open(packet):
    setup = "bottom"
    if packet.kind != "fork":
        pytest.skip("no slots")
    slots = packet.drawing(f"{setup}/slots.dxf").paths
    tines = packet.asked["tines"]
    assert len(slots) == tines["count"] - 1
    outline = arcs.polygon(only(packet, f"{setup}/outline.dxf"))
    shop = packet.json["shop"]
    cutter = next(c for c in shop["cutters"] if c["name"] == shop["work"]["slots"])["diameter_mm"]
    shapes = [arcs.polygon(path) for _, path in slots]
    for shape, (_, path) in zip(shapes, slots):
        out = shape.difference(outline)
        assert not out.is_empty
        # Past the tips by the cutter's radius at least.
        reach = max(outline.distance(shapely.Point(p)) for p in shape.exterior.coords)
        assert reach >= cutter / 2 - 0.01
        assert any(abs(b) > 0.3 for *_, b in path), "the root is not rounded"
        # A cutter of the shop goes in: what is left of the slot at half its diameter is not empty.
        assert not shape.buffer(-cutter / 2 * 0.999).is_empty
    assert not any(a.intersects(b) for i, a in enumerate(shapes) for b in shapes[:i])
    # The mesh has just these slots: the plan of what is left is the outline less the slots.
    cut = arcs.polygon(only(packet, f"{setup}/outline.dxf"))
    for shape in shapes:
        cut = cut.difference(shape)
    mesh = packet.mesh("finished.stl")
    rings = measure.silhouette(mesh.vertices, mesh.faces)
    assert len(rings) == 1
    assert rings[0].area == pytest.approx(cut.area, rel=2e-3)


def pin_holes(packet, setup):
    """Middles and radii in mm in a setup's plan: of the board's holes with its top up, and of the pins
    in the bed with its bottom up."""
    name, layer = {"top": ("top/pins.dxf", "pins"), "bottom": ("bed/pins.dxf", "pins-bottom")}[setup]
    drawing = packet.drawing(name)
    circles = drawing.document.modelspace().query(f'CIRCLE[layer=="{layer}"]')
    mount = next(m for m in packet.json["mounting"]["mounts"] if m["setup"] == setup)
    zero = np.array([mount["enter_x_mm"], mount["enter_y_mm"], 0.0]) if setup == "bottom" else np.zeros(3)
    holes = [np.array([*c.dxf.center][:2] + [c.dxf.radius]) * drawing.scale - zero for c in circles]
    return np.array(holes)


@pytest.mark.parametrize("setup", SETUPS)
def test_pins_fit_and_are_clear_of_the_work(packet, setup):
    holes = pin_holes(packet, setup)
    assert len(holes) >= 2
    pin = packet.json["shop"]["pin"]
    assert 2 * holes[:, 2] == pytest.approx(np.full(len(holes), pin["diameter_mm"] + pin["play_mm"]), abs=0.01)
    work = shapely.union_all([arcs.polygon(path) for _, path in packet.drawing(f"{setup}/limits.dxf").paths])
    for x, y, radius in holes:
        assert work.distance(shapely.Point(x, y)) > radius, "a pin in the work"


def test_pins_let_the_board_back_one_way_only(packet):
    # The board in its place on the bed, in each of the three wrong ways: its holes miss the pins of
    # the second setup by more than a pin. (Shifted out of its place, any board with two holes goes
    # on two pins the wrong way round too; then its edge is that far out.)
    board = packet.json["board"]
    size = np.array([board["length_mm"], board["width_mm"]])
    pins = pin_holes(packet, "bottom")
    first = pin_holes(packet, "top")[:, :2]
    turned = {"x": [1, -1], "y": [-1, 1]}[packet.json["shop"]["turn"]]

    def lain(signs):
        signs = np.array(signs)
        return first * signs + size * (signs < 0)

    def misses(places):
        apart = np.linalg.norm(places[:, None] - pins[None, :, :2], axis=2)
        return apart.min(1).max()

    assert misses(lain(turned)) < 1e-3, "the right way"
    for signs in ([1, 1], [-1, 1], [1, -1], [-1, -1]):
        if signs != turned:
            assert misses(lain(signs)) > 2 * pins[0, 2], signs


def test_board_has_everything_on_named_layers(packet):
    layers = {layer for layer, _ in packet.drawing("board.dxf").paths}
    assert len(layers) >= 4
    assert "0" not in layers
