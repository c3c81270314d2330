"""Tips and splay of tines: the plan of the finished mesh and the drawing of the slots, measured with an
independent library."""

import math
import subprocess

import arcs
import measure
import numpy as np
import pytest
import shapely
from conftest import PROGRAM, ROOT, Packet

SPLAY = 7.0
COUNT = 4


class Cut(Packet):
    @property
    def tip(self):
        return self.json["design"]["tines"]["tip"]


@pytest.fixture(scope="module", params=["square", "round", "pointed"])
def cut(request, once):
    def fill(out):
        text = (ROOT / "params/designs/salad-fork.toml").read_text()
        assert 'tip = "round"' in text and f'splay = "{SPLAY:.0f} deg"' in text
        design = out.parent / f"tines-{request.param}.toml"
        design.write_text(text.replace('tip = "round"', f'tip = "{request.param}"'))
        files = [design, "--board", ROOT / "params/boards/cherry.toml", "--shop", ROOT / "params/shop.toml"]
        done = subprocess.run([str(part) for part in (PROGRAM, "build", *files, "--out", out)], capture_output=True, text=True)
        assert done.returncode == 0, done.stdout + done.stderr

    return Cut("fork", once(f"tines-{request.param}", fill))


@pytest.fixture(scope="module")
def slots(cut):
    """The slots of the drawing in the design's frame, from the right to the left."""
    back = np.linalg.inv(cut.to_setup("bottom"))

    def placed(path):
        corners = np.array(arcs.polygon(path).exterior.coords)
        flat = np.column_stack([corners, np.zeros(len(corners)), np.ones(len(corners))]) @ back.T
        return shapely.Polygon(flat[:, :2])

    found = [placed(path) for _, path in cut.drawing("bottom/slots.dxf").paths]
    return sorted(found, key=lambda shape: shape.centroid.y)


def across(shape, x):
    """Least and greatest y of a shape on the line at an x."""
    line = shapely.LineString([(x, -200), (x, 200)]).intersection(shape)
    return line.bounds[1], line.bounds[3]


def root(slots):
    return min(shape.bounds[0] for shape in slots)


def test_the_slots_fan_out_evenly_by_their_angle(slots):
    assert len(slots) == COUNT - 1
    behind, ahead = root(slots) + 6, root(slots) + 20
    turns = []
    for shape in slots:
        middles = [np.mean(across(shape, x)) for x in (behind, ahead)]
        turns.append(math.degrees(math.atan2(middles[1] - middles[0], ahead - behind)))
    assert turns == pytest.approx([-SPLAY / 2, 0.0, SPLAY / 2], abs=0.05)


def test_the_tines_are_equally_wide_at_their_roots(cut, slots):
    wood = cut.outline()[0]
    # Where the round of the roots has its middle.
    x = root(slots) + 2.5
    edges = [across(wood, x)[0], *(y for shape in slots for y in across(shape, x)), across(wood, x)[1]]
    widths = np.diff(edges)[::2]
    assert len(widths) == COUNT and widths.max() - widths.min() < 0.05


def test_tips_are_left_as_wide_as_their_kind_says(cut, slots):
    """The inner tines at the front and behind it: of the tine's width a round one keeps a tenth, a pointed one
    a quarter, a square one all."""
    wood = cut.outline()[0]
    pairs = list(zip(slots, slots[1:]))
    for one, other in pairs:
        # How wide it would be at the front with straight sides.
        gaps = [across(other, root(slots) + x)[0] - across(one, root(slots) + x)[1] for x in (6, 20)]
        gap = shapely.box(one.centroid.x - 60, one.centroid.y, other.centroid.x + 60, other.centroid.y)
        tine = wood.difference(shapely.union_all(slots)).intersection(gap)
        front = tine.intersection(wood.exterior.buffer(0.02))
        front = max(shapely.get_parts(front), key=lambda part: part.bounds[2])
        left = front.bounds[3] - front.bounds[1]
        base = gaps[0] + (front.bounds[2] - root(slots) - 6) * (gaps[1] - gaps[0]) / 14
        share = {"square": 1.0, "round": 1 - 2 * 0.45, "pointed": 0.25}[cut.tip]
        if cut.tip == "square":
            assert left == pytest.approx(base, abs=0.15) and left > gaps[0] + 1
        elif cut.tip == "round":
            # A tenth, and what the tine is wider at its front than where the first of its sides ends.
            assert share * base - 0.1 < left < (share + 0.06) * base
        else:
            # A quarter of its width at the front, give or take what a leaning front takes of one side.
            assert left == pytest.approx(share * base, abs=0.06 * base)


def test_outer_points_end_before_they_are_thorns(cut, slots):
    """By the widest circle that goes into the wood: at the end of each outer tine it is still nearly a quarter of
    the tine's width."""
    if cut.tip != "pointed":
        pytest.skip("points only")
    wood = cut.outline()[0].difference(shapely.union_all(slots))
    root_wide = across(slots[1], root(slots) + 2.5)[0] - across(slots[0], root(slots) + 2.5)[1]
    # What no circle of that width reaches, beside the corners that any such end has.
    thick = 0.9 * 0.25 * root_wide
    reached = wood.buffer(-thick / 2, quad_segs=32).buffer(thick / 2, quad_segs=32)
    ends = [part for part in shapely.get_parts(wood.difference(reached)) if part.bounds[0] > root(slots)]
    assert ends and max(part.area for part in ends) < 0.5 * thick**2


def test_points_are_even(cut, slots):
    """Both sides of an inner point begin level with each other."""
    if cut.tip != "pointed":
        pytest.skip("points only")
    for one, other in zip(slots, slots[1:]):
        # Where the slots' own sides end: the last corners before they turn into the tines.
        turns = []
        for shape, side in ((one, 1), (other, -1)):
            x = np.arange(root(slots) + 6, shape.bounds[2] - 4, 0.05)
            y = np.array([across(shape, at)[1 if side > 0 else 0] for at in x])
            bend = side * np.diff(y, 2)
            turns.append(x[1 + int(np.argmax(bend))])
        assert turns[0] == pytest.approx(turns[1], abs=2.0)


def test_the_mesh_has_just_these_tines(cut, slots):
    wood = cut.outline()[0].difference(shapely.union_all(slots))
    mesh = cut.mesh("finished.stl")
    assert mesh.is_watertight
    rings = measure.silhouette(mesh.vertices, mesh.faces)
    assert len(rings) == 1
    assert rings[0].symmetric_difference(wood).area < 2e-3 * wood.area


def test_a_cutter_gets_into_every_mouth_and_the_slots_keep_apart(cut, slots):
    shop = cut.json["shop"]
    cutter = next(c for c in shop["cutters"] if c["name"] == shop["work"]["slots"])["diameter_mm"]
    wood = cut.outline()[0]
    for shape in slots:
        # What the cutter leaves of the slot in the wood: at the end of a round corner, beside the front, half a
        # millimetre for a file.
        reached = shape.buffer(-cutter / 2 * 0.999, quad_segs=64).buffer(cutter / 2 * 0.999, quad_segs=64)
        assert shape.difference(reached).intersection(wood).buffer(-0.3).is_empty
        assert max(wood.distance(shapely.Point(p)) for p in shape.exterior.coords) >= cutter / 2 - 0.01
    assert not any(a.distance(b) < 0.3 for i, a in enumerate(slots) for b in slots[:i])
