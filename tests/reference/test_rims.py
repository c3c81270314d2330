"""Rim lands that change their width and lands with eased edges, by rays on the mesh square to the outline,
against closed forms worked out here, and their B-rep before an independent kernel."""

import re
import subprocess

import lengths
import numpy as np
import pytest
import shapely
import sizes
import test_handles
import test_step
from conftest import PROGRAM, ROOT, build_design

TRUE_MM = 0.05
# A land of two stations, as shares of the head, with its widths.
TWO = [(0.5, 5.0), (1.0, 2.6)]
WRITTEN = '[{ at = "50 %", size = "5 mm" }, { at = "100 %", size = "2.6 mm" }]'
LEAN = 'sway = [{ at = "50 %", shift = "0 mm" }, { at = "100 %", shift = "7 mm" }]'
RIMS = {
    "fine-tip": ([*TWO], 0.0, f"rim = {WRITTEN}"),
    "eased": ([(0.0, 3.0), (1.0, 3.0)], 0.6, 'rim = "3 mm"\nrim_round = "0.6 mm"'),
    "eased-corner": ([*TWO], 0.5, f'rim = {WRITTEN}\nrim_round = "0.5 mm"\n{LEAN}'),
    # Square in plan, which keeps the outline level for long where the land already narrows.
    "square": ([(0.3, 4.7), (1.0, 2.7)], 0.3, 'rim = [{ at = "30 %", size = "4.7 mm" }, { at = "100 %", size = "2.7 mm" }]\nrim_round = "0.3 mm"\nfullness = 3.4'),
    "eased-deep-behind": ([(0.0, 3.0), (1.0, 3.0)], 0.4, 'rim = "3 mm"\nrim_round = "0.4 mm"\ndeepest = "45 %"'),
}
DEPTH = 13.0


def written(name):
    text = (ROOT / "params/designs/harvest-spoon.toml").read_text().split("[give]")[0]
    for key, value in [("edge", '"2.6 mm"'), ("depth", f'"{DEPTH} mm"')]:
        text, count = re.subn(rf"(?m)^{key} = .*$", f"{key} = {value}", text)
        assert count == 1, key
    if "fullness" in RIMS[name][2]:
        text = re.sub(r"(?m)^fullness = .*\n", "", text)
    text, count = re.subn(r"(?m)^rim = .*$", RIMS[name][2], text)
    assert count == 1
    return text


@pytest.fixture(scope="module")
def made(once):
    return lambda name: test_handles.carved(once, name, f"rim-{name}", written(name))


def ease(t):
    """From 0 to 1 with neither slope nor bend at its ends: 10 t³ − 15 t⁴ + 6 t⁵."""
    t = min(max(t, 0.0), 1.0)
    return t**3 * (10 - 15 * t + 6 * t * t)


def width_asked(name, share):
    (a, one), (b, other) = RIMS[name][0]
    return one + (other - one) * ease((share - a) / (b - a))


def inward(spoon, x, side):
    """A place of the outline there, and the way in, square to it."""
    ring = sizes.packet_outline(spoon).exterior
    if x >= spoon.length - 1e-3:
        # The tip, which a head that leaves the middle has beside it.
        place = max(np.array(ring.coords), key=lambda p: p[0])
    else:
        place = np.array([x, sizes.across(spoon, x)[0 if side < 0 else 1]])
    along = ring.project(shapely.Point(place))
    a, b = (np.array(ring.interpolate((along + d) % ring.length).coords[0]) for d in (-0.3, 0.3))
    way = np.array([a[1] - b[1], b[0] - a[0]]) / np.linalg.norm(b - a)
    if not sizes.packet_outline(spoon).contains(shapely.Point(place + way)):
        way = -way
    return place, way


def profile(spoon, x, side, far=9.0):
    """Heights of the top over distances from the outline, inward."""
    place, way = inward(spoon, x, side)
    d = np.arange(0.01, far, 0.005)
    return d, spoon.upright("body.stl").span(place + d[:, None] * way)[1]


def head_x(spoon, share):
    return spoon.neck + share * (spoon.length - spoon.neck)


def land(spoon, x, side):
    """The land's width: inward until the top has fallen below the outline's edge, which the hollow's edge
    is level with; and the heights over it."""
    d, high = profile(spoon, x, side)
    below = np.flatnonzero(high < high[0] - 0.01)
    return d[below[0]], d, high


PLACES = [0.56, 0.65, 0.75, 0.85, 0.93, 0.98, 1.0]


@pytest.mark.parametrize("name", RIMS)
def test_the_land_is_as_wide_as_asked_square_to_the_outline(made, name):
    spoon = made(name)
    for share in PLACES:
        for side in (-1, 1) if share < 1 else (1,):
            width, _, _ = land(spoon, head_x(spoon, share), side)
            # On the hollow's steep side it falls by 0.01 mm in less than 0.02 mm.
            assert width == pytest.approx(width_asked(name, share), abs=TRUE_MM), (share, side)


@pytest.mark.parametrize("name", RIMS)
def test_what_the_packet_says_of_the_land_is_what_is_found(made, name):
    spoon = made(name)
    found = [land(spoon, head_x(spoon, share), side)[0] for share in PLACES for side in (-1, 1)]
    assert spoon.json["measured"]["rim_least_mm"] == pytest.approx(min(found), abs=TRUE_MM)
    assert spoon.json["measured"]["bowl_depth_mm"] == pytest.approx(DEPTH, abs=TRUE_MM)


@pytest.mark.parametrize("name", [name for name in RIMS if RIMS[name][1]])
def test_an_eased_land_rises_from_both_edges_to_a_crest(made, name):
    """A parabola across: three quarters of its height a quarter of the way in, from either edge."""
    spoon, fall = made(name), RIMS[name][1]
    for share in PLACES:
        for side in (-1, 1) if share < 1 else (1,):
            width, d, high = land(spoon, head_x(spoon, share), side)
            over = high - high[0]
            assert over[d < width].max() == pytest.approx(fall, abs=0.03), (share, side)
            for part, of in [(0.25, 0.75), (0.5, 1.0), (0.75, 0.75)]:
                assert np.interp(part * width, d, over) == pytest.approx(of * fall, abs=TRUE_MM), (share, side, part)


@pytest.mark.parametrize("name", [name for name in RIMS if RIMS[name][1]])
def test_it_runs_out_into_the_shoulder_without_a_step(made, name):
    spoon, fall = made(name), RIMS[name][1]
    for share in (0.3, 0.36, 0.42, 0.48):
        for side in (-1, 1):
            # As far in as the hollow's flank, where no ray of the surface is steeper than about 60 degrees.
            _, high = profile(spoon, head_x(spoon, share), side, far=6.0)
            assert np.abs(np.diff(high)).max() < 0.005 * 2.5 + 0.002, (share, side)
    crest = lambda share: sizes_crest(spoon, head_x(spoon, share))
    # By the widest place on it is whole, and the crest is level from there to the tip.
    assert np.ptp([crest(share) for share in (0.6, 0.75, 0.9)]) < 0.02
    assert fall > 0


def sizes_crest(spoon, x):
    """How high a straightedge lies across the head."""
    right, left = sizes.across(spoon, x)
    y = np.arange(right + 0.01, left, 0.02)
    return np.nanmax(spoon.upright("body.stl").span(np.column_stack([np.full_like(y, x), y]))[1])


@pytest.mark.parametrize("name", RIMS)
def test_the_hollow_is_as_deep_as_asked_below_a_straightedge(made, name):
    spoon = made(name)
    place, low = sizes.lowest(spoon)
    assert sizes_crest(spoon, place[0]) - low == pytest.approx(DEPTH, abs=TRUE_MM)


@pytest.mark.parametrize("name", RIMS)
def test_it_is_one_valid_solid_that_keeps_to_the_formula(made, name):
    """The mesh's corners lie on the formula; the kernel says how far they are from its own faces."""
    spoon = made(name)
    mesh = spoon.mesh("body.stl")
    assert mesh.is_watertight and mesh.is_winding_consistent
    solid = test_step.read(spoon.folder / "body.step")
    exact = spoon.json["measured"]["body_volume_mm3"]
    assert test_step.volume(solid) == pytest.approx(exact, rel=1e-4)
    assert mesh.volume == pytest.approx(exact, rel=5e-4)
    corners = mesh.vertices[mesh.vertices[:, 0] > spoon.neck]
    chosen = corners[np.random.default_rng(16).choice(len(corners), 200, replace=False)]
    off = test_step.off_faces(solid, chosen)
    assert max(off) < 0.01, (max(off), chosen[int(np.argmax(off))])


def test_the_rim_is_said_to_be_too_thin_by_its_least_station(tmp_path):
    design = tmp_path / "spoon.toml"
    text = (ROOT / "params/designs/harvest-spoon.toml").read_text()
    at = 'rim = [{ at = "50 %", size = "4 mm" }, { at = "100 %", size = "1 mm" }]'
    design.write_text(re.sub(r"(?m)^rim = .*$", at, text))
    command = ["check", design, "--board", ROOT / "params/boards/cherry.toml", "--shop", ROOT / "params/shop.toml"]

    def said():
        done = subprocess.run([str(part) for part in (PROGRAM, *command)], capture_output=True, text=True)
        return " ".join((done.stdout + done.stderr).split())

    help = re.search(r"Write ([\d.]+ mm) or more for every size in bowl.rim", said())
    assert help, said()
    design.write_text(design.read_text().replace('"1 mm"', f'"{help[1]}"', 1))
    assert "The rim land is only" not in said()
    assert lengths.length_mm(help[1]) == 1.5


def test_a_land_on_a_climbing_rim_is_as_wide_as_asked(tmp_path):
    """A refused design: where a head climbs, its rim isn't as straight as a mesh's edges, and the land was said to be
    0.36 mm wide."""
    design, out = tmp_path / "spoon.toml", tmp_path / "out"
    text = (ROOT / "params/designs/harvest-spoon.toml").read_text().split("[give]")[0]
    curve = 'curve = [{ at = "65 %", rise = "1 mm" }, { at = "100 %", rise = "-3 mm" }]'
    text, count = re.subn(r"(?m)^rim = .*$", f'rim = "5 mm"\n{curve}', text)
    assert count == 1
    design.write_text(text)
    build_design(design, "cherry", out)
    spoon = test_handles.Handled("climbing", out, design)
    # By how far the top lies below the same place of the outline: a little way in from it the land is level across.
    for share in (0.6, 0.75, 0.9):
        x = head_x(spoon, share)
        for side, y in zip((1, -1), sizes.across(spoon, x)):
            heights = [sizes.height_at(spoon, x, y + side * d)[1] for d in (0.3, 2.0, 3.5)]
            assert np.ptp(heights) < 0.05, (share, side)
    assert spoon.json["measured"]["rim_least_mm"] == pytest.approx(5.0, abs=0.1)
