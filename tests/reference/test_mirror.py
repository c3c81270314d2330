"""The left-handed twin: everything about the plan mirrored, and art that can still be read."""

import subprocess

import arcs
import numpy as np
import pytest
import shapely
import shapely.affinity
from conftest import PROGRAM, ROOT, Packet

MIRROR = np.diag([1.0, -1.0, 1.0, 1.0])
# What the two meshes, each within a hundredth of its body, may differ by, upright: on a side of 60 degrees, as the
# hollow's is behind, twice as much as square to it.
NEAR = 0.04


@pytest.fixture(scope="module")
def pair(once):
    def of(name, *changes):
        def build(folder, text):
            folder.parent.mkdir(exist_ok=True)
            # Art and plugs are seen from the design's folder.
            design = ROOT / f"params/designs/{folder.name}-trial.toml"
            design.write_text(text)
            try:
                files = [design, "--board", ROOT / "params/boards/cherry.toml", "--shop", ROOT / "params/shop.toml"]
                command = [str(part) for part in (PROGRAM, "build", *files, "--out", folder)]
                done = subprocess.run(command, capture_output=True, text=True)
                assert done.returncode == 0, done.stdout + done.stderr
            finally:
                design.unlink()

        text = (ROOT / f"params/designs/{name}.toml").read_text()
        for old, new in changes:
            assert old in text
            text = text.replace(old, new, 1)
        twin = text.replace("[utensil]", "[utensil]\nmirror = true", 1)
        one = once(f"mirror-{name}", lambda out: build(out, text))
        other = once(f"mirror-{name}-twin", lambda out: build(out, twin))
        return Packet("spoon", one), Packet("spoon", other)

    return of


def in_design(packet, setup, name, layer=None):
    """Shapes of a drawing, in the design's frame."""
    back = np.linalg.inv(packet.to_setup(setup))
    shapes = []
    for found, path in packet.drawing(name).paths:
        if layer is None or found == layer:
            corners = np.array(arcs.polygon(path).exterior.coords)
            flat = np.column_stack([corners, np.zeros(len(corners)), np.ones(len(corners))]) @ back.T
            shapes.append(shapely.Polygon(flat[:, :2]))
    return shapely.union_all(shapes)


def mirrored(shape):
    return shapely.transform(shape, lambda points: points * [1.0, -1.0])


def same(one, other):
    """Two shapes differ by less than a thin line round them."""
    off = one.symmetric_difference(other).area
    assert one.area > 10 and off < 0.02 * one.length, (one.area, off)


def test_a_corner_spoons_twin_is_the_spoon_in_a_mirror(pair):
    one, other = pair("corner-spoon")
    a, b = one.mesh("body.stl"), other.mesh("body.stl")
    assert a.volume == pytest.approx(b.volume, rel=2e-4)
    chance = np.random.default_rng(7)
    low, high = a.bounds
    plan = chance.uniform(low[:2], high[:2], (4000, 2))
    plan = plan[shapely.contains_xy(one.outline()[0].buffer(-0.2), plan[:, 0], plan[:, 1])]
    assert len(plan) > 800
    here = one.upright("body.stl").span(plan)
    there = other.upright("body.stl").span(plan * [1.0, -1.0])
    for skin in (0, 1):
        assert np.abs(here[skin] - there[skin]).max() < NEAR
    # And it is not its own twin.
    assert abs(a.bounds[1][1] + a.bounds[0][1]) > 2


@pytest.mark.parametrize("setup", ["top", "bottom"])
def test_outlines_and_tabs_are_the_others_in_a_mirror(pair, setup):
    one, other = pair("corner-spoon")
    for name in (f"{setup}/outline.dxf", f"{setup}/tabs.dxf"):
        same(mirrored(in_design(one, setup, name)), in_design(other, setup, name))


def test_openings_are_the_others_in_a_mirror(pair):
    hole = 'at = ["14 mm", "0 mm"]'
    slot = '[[opening]]\nat = ["240 mm", "17 mm"]\nwidth = "3.5 mm"\nlength = "9 mm"\nturn = "30 deg"\n\n[[opening]]'
    one, other = pair("draining-spoon", (hole, 'at = ["14 mm", "1.5 mm"]'), ("[[opening]]", slot))
    name = "bottom/openings.dxf"
    same(mirrored(in_design(one, "bottom", name)), in_design(other, "bottom", name))


def test_art_keeps_its_sense(pair):
    """A twin's ear of wheat lies at the other's place in a mirror, and is not turned over."""
    one, other = pair("wheat-spoon", ('at = ["54 mm", "0 mm"]', 'at = ["54 mm", "1 mm"]'))
    name = "inlay/wheat-ear/recess.dxf"
    here, there = (in_design(packet, "top", name) for packet in (one, other))
    assert one.json["design"]["inlay"][0]["at_mm"][1] == 1.0
    same(shapely.affinity.translate(here, 0.0, -2.0), there)


def test_the_list_repeats_the_file(pair):
    one, other = pair("corner-spoon")
    asked, twin = dict(one.json["design"]), dict(other.json["design"])
    assert (asked.pop("mirror"), twin.pop("mirror")) == (False, True)
    assert asked == twin
