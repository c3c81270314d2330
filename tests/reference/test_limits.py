"""The limits of every pass against offsets by another library, both the path of the cutter's centre
and the area that may be touched."""

import math
import re

import arcs
import lengths
import numpy as np
import pytest
import shapely
from conftest import BOARDS, PROGRAM, ROOT, Packet
import subprocess

# What the limits promise (a path that is as far off as an arc fit may be, moved, stays as far off).
EXACT_MM = 0.005
# Of the judge: chords of its own round corners, 0.0002 mm at the radii here.
QUADRANT = 256

CLEAN_UP = """
[[clean_up]]
at = ["{x} mm", "3 mm"]
size = ["30 mm", "20 mm"]
side = "both"

[[clean_up]]
at = ["40 mm", "14 mm"]
size = ["24 mm", "16 mm"]
side = "top"
cutter = "flat 1/8"
"""


@pytest.fixture(scope="module")
def cleaned(kind, tmp_path_factory):
    """The shipped design with two places to clean up, the second half over the skirt's edge."""
    folder = tmp_path_factory.mktemp(f"limits-{kind}")
    text = (ROOT / f"params/designs/harvest-{kind}.toml").read_text(encoding="utf-8")
    x = 0.8 * lengths.length_mm(lengths.read(ROOT / f"params/designs/harvest-{kind}.toml")["utensil"]["length"])
    design = folder / "design.toml"
    design.write_text(text + CLEAN_UP.format(x=f"{x:.1f}"), encoding="utf-8")
    command = [PROGRAM, "build", design, "--board", ROOT / f"params/boards/{BOARDS[kind]}.toml"]
    command += ["--shop", ROOT / "params/shop.toml", "--out", folder / "out"]
    done = subprocess.run([str(part) for part in command], capture_output=True, text=True)
    assert done.returncode == 0, done.stdout + done.stderr
    return Packet(kind, folder / "out")


class Limits:
    def __init__(self, packet, side):
        self.drawing = packet.drawing(f"{side}/limits.dxf")
        self.outline = self.one(packet.drawing(f"{side}/outline.dxf"), "outline")
        shop = packet.json["shop"]
        self.cutters = {c["name"]: c["diameter_mm"] for c in shop["cutters"]}
        self.work = shop["work"]
        self.skirt = self.cutters[self.work["finish"]] + 1.0

    def one(self, drawing, layer):
        return shapely.union_all([arcs.polygon(path) for name, path in drawing.paths if name == layer])

    def rings(self, layer):
        return [arcs.polygon(path) for name, path in self.drawing.paths if name == layer]

    def area(self, layer):
        return shapely.union_all(self.rings(layer))


def grown(shape, by):
    return shape.buffer(by, quad_segs=QUADRANT)


def same(mine, theirs, what):
    assert not mine.is_empty and not theirs.is_empty, what
    parts = lambda s: len(getattr(s, "geoms", [s]))
    assert parts(mine) == parts(theirs), what
    # Both ways, corner by corner and along the chords.
    far = 0.0
    for a, b in ((mine, theirs), (theirs, mine)):
        line = b.boundary
        for point in shapely.get_coordinates(shapely.segmentize(a.boundary, 0.5)):
            far = max(far, line.distance(shapely.Point(point)))
    assert far < EXACT_MM + 0.0006, f"{what}: {far:.4f} mm off"
    return far


@pytest.mark.parametrize("side", ["top", "bottom"])
def test_rough_and_finish(cleaned, side):
    at = Limits(cleaned, side)
    edge = grown(at.outline, at.skirt)
    for key in ("rough", "finish"):
        radius = at.cutters[at.work[key]] / 2.0
        centre = grown(edge, -radius) if key == "rough" else grown(at.outline, at.skirt - radius)
        same(at.area(f"{key}-centre"), centre, f"{side} {key} centre")
        touched = grown(centre, radius) if key == "rough" else edge
        same(at.area(f"{key}-area"), touched, f"{side} {key} area")
        # A cutter that stays inside the one touches no more than the other.
        beyond = grown(at.area(f"{key}-centre"), radius).difference(grown(at.area(f"{key}-area"), 0.002 + EXACT_MM))
        assert beyond.is_empty, f"{side} {key}: {beyond.area} mm2 too far"


def test_edge_pass(cleaned):
    at = Limits(cleaned, "bottom")
    edge = next(p for p in cleaned.json["workholding"]["passes"] if p["pass"] == "edge")
    diameter = at.cutters[edge["cutter"]]
    same(at.area("edge-centre"), grown(at.outline, diameter / 2.0), "edge centre")
    outer, inner = sorted(at.rings("edge-area"), key=lambda ring: -ring.area)
    same(outer, grown(at.outline, diameter), "edge area, outside")
    same(inner, at.outline, "edge area, inside")
    assert diameter <= at.skirt


def test_slots(cleaned):
    if cleaned.kind != "fork":
        return
    at = Limits(cleaned, "bottom")
    radius = at.cutters[at.work["slots"]] / 2.0
    slots = at.one(cleaned.drawing("bottom/slots.dxf"), "slots")
    same(at.area("slots-area"), slots, "slots area")
    same(at.area("slots-centre"), grown(slots, -radius), "slots centre")


def test_slots_go_through_the_wood_and_not_through_the_stock(packets):
    packet = packets("fork")
    own = next(p for p in packet.json["workholding"]["passes"] if p["pass"] == "slots")
    assert own["setup"] == "bottom" and own["through"]
    slots = shapely.union_all([arcs.polygon(p) for n, p in packet.drawing("bottom/slots.dxf").paths if n == "slots"])
    back = np.linalg.inv(packet.to_setup("bottom"))
    plan = np.random.default_rng(3).uniform(slots.bounds[:2], slots.bounds[2:], (4000, 2))
    plan = plan[shapely.contains_xy(slots, plan[:, 0], plan[:, 1])]
    flat = (np.column_stack([plan, np.zeros(len(plan)), np.ones(len(plan))]) @ back.T)[:, :2]
    low, high = packet.upright("body.stl").span(flat)
    wood = ~np.isnan(high)
    assert wood.sum() > 500
    ends = []
    for z in (low, high):
        points = np.column_stack([flat, z, np.ones(len(z))])[wood]
        ends.append((points @ packet.to_setup("bottom").T)[:, 2])
    under = np.min(ends) - packet.json["setups"]["bottom"]["stock_bottom_mm"]
    # The overlap of the shop under the wood; the highest of the tines may be beside the slots.
    spare = under - own["tip_lowest_mm"]
    overlap = packet.json["shop"]["limits"]["overlap_mm"]
    assert overlap - 0.02 < spare < overlap + 1.0
    deep = packet.json["stock"]["height_mm"] - own["tip_lowest_mm"]
    step = next(s for s in packet.json["mounting"]["steps"] if s["key"] == "slots")
    stated = float(re.search(r"down to ([\d.]+) mm", step["what"])[1])
    assert stated == pytest.approx(deep, abs=0.006)


@pytest.mark.parametrize("side", ["top", "bottom"])
def test_places_to_clean_up(cleaned, side):
    at = Limits(cleaned, side)
    to_setup = cleaned.to_setup(side)
    edge = grown(at.outline, at.skirt)
    wanted = {"top": 2, "bottom": 1}[side]
    centres, areas = at.rings("clean-up-centre"), at.rings("clean-up-area")
    assert len(centres) == wanted and len(areas) == wanted
    for place in cleaned.json["design"]["clean_up"]:
        if place["side"] not in (side, "both"):
            continue
        radius = at.cutters[place["cutter"] or at.work["finish"]] / 2.0
        (x, y), (long, wide) = place["at_mm"], place["size_mm"]
        inner = [(x + sx * (long / 2 - radius), y + sy * (wide / 2 - radius)) for sx, sy in ((-1, -1), (1, -1), (1, 1), (-1, 1))]
        m = to_setup
        turned = shapely.Polygon([(m[0, 0] * a + m[0, 1] * b + m[0, 3], m[1, 0] * a + m[1, 1] * b + m[1, 3]) for a, b in inner])
        centre = turned.intersection(grown(edge, -radius))
        mine = min(centres, key=lambda ring: ring.centroid.distance(centre.centroid))
        same(mine, centre, f"{side} clean-up centre")
        mine = min(areas, key=lambda ring: ring.centroid.distance(centre.centroid))
        same(mine, grown(centre, radius), f"{side} clean-up area")
        assert mine.difference(grown(edge, 2 * EXACT_MM)).is_empty, "it would cut the frame"


@pytest.mark.parametrize("side", ["top", "bottom"])
def test_arcs_are_kept(cleaned, side):
    """A path of chords within 0.005 mm of these would have hundreds of corners."""
    drawing = cleaned.drawing(f"{side}/limits.dxf")
    for name, path in drawing.paths:
        if name.startswith(("rough", "finish", "edge")):
            bulges = sum(abs(b) > 1e-9 for *_, b in path)
            assert bulges >= 0.5 * len(path), name
        if name == "clean-up-area":
            assert sum(abs(b) > math.tan(math.pi / 16) for *_, b in path) >= 3, "round corners"
