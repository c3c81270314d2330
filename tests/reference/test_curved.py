"""A head that curves, measured by rays as a maker would: a straightedge across the rim, a caliper."""

import subprocess

import lengths
import numpy as np
import pytest
import sizes
import test_step
from conftest import PROGRAM, ROOT, Packet

NAME = "cranked-spoon"
# The mesh is within this of the body; a ray on a slope of one in four sees hardly more.
TOLERANCE = 0.005


class Cranked(Packet):
    asked = lengths.read(ROOT / f"params/designs/{NAME}.toml")


@pytest.fixture(scope="module")
def made(once):
    """The packet at a tolerance in mm."""

    def at(tolerance):
        def fill(out):
            files = [ROOT / f"params/designs/{NAME}.toml", "--board", ROOT / "params/boards/cherry.toml"]
            files += ["--shop", ROOT / "params/shop.toml", "--tolerance", f"{tolerance} mm", "--out", out]
            command = [str(part) for part in (PROGRAM, "build", *files)]
            done = subprocess.run(command, capture_output=True, text=True)
            assert done.returncode == 0, done.stdout + done.stderr

        return Cranked("spoon", once(f"{NAME}-{tolerance}", fill))

    return at


@pytest.fixture(scope="module")
def cranked(made):
    return made(TOLERANCE)


def land(packet, x):
    """Height of the rim land right and left at a place along the spoon, a little inside the outline."""
    low, high = sizes.across(packet, x)
    return [sizes.height_at(packet, x, y)[1] for y in (low + 0.5, high - 0.5)]


def test_the_rim_rises_as_the_stations_say_and_lies_level_across(cranked):
    edge = lengths.length_mm(cranked.asked["utensil"]["edge"])
    head = cranked.length - cranked.neck
    middle, tip = cranked.head["curve"]
    x = cranked.neck + lengths.percent(middle["at"]) * head
    right, left = land(cranked, x)
    assert right == pytest.approx(left, abs=2 * TOLERANCE)
    assert right - edge / 2 == pytest.approx(lengths.length_mm(middle["rise"]), abs=2 * TOLERANCE)
    # At the very tip there is nothing to lay a rule on: the land just behind it, drawn on to there.
    assert lengths.percent(tip["at"]) == 1.0
    d = np.linspace(0.3, 2.3, 9)
    z = [sizes.height_at(cranked, cranked.length - each, 0.0)[1] for each in d]
    rise = np.polynomial.Polynomial.fit(d, z, 2)(0.0) - edge / 2
    assert rise == pytest.approx(lengths.length_mm(tip["rise"]), abs=0.03)


def test_the_hollow_is_as_deep_as_asked_under_a_straightedge_across_the_rim(cranked):
    head = cranked.length - cranked.neck
    places = np.linspace(cranked.neck + 0.4 * head, cranked.length - 8, 60)
    deep = [np.mean(land(cranked, x)) - sizes.height_at(cranked, x, 0.0)[1] for x in places]
    assert max(deep) == pytest.approx(lengths.length_mm(cranked.head["depth"]), abs=0.03)
    x = cranked.neck + lengths.percent(cranked.head["widest"]) * head
    # Square to the middle line, which climbs there: a caliper lies across the wood.
    step = 0.5
    ends = cranked.upright("body.stl").span([(x - step, 0.0), (x, 0.0), (x + step, 0.0)])
    slope = float(ends[1][2] - ends[1][0]) / (2 * step)
    thick = float(ends[1][1] - ends[0][1]) / np.hypot(1, slope)
    assert thick == pytest.approx(lengths.length_mm(cranked.head["wall"]), abs=0.06)


def test_the_step_file_is_one_valid_solid_with_the_volume_that_two_meshes_go_to(cranked, made):
    # As of the level designs: what a mesh leaves out goes with 1 / triangles, so two of them say how much.
    exact = test_step.volume(test_step.read(cranked.folder / "body.step"))
    coarse, fine = cranked.mesh("body.stl"), made(0.002).mesh("body.stl")
    n, m = len(coarse.faces), len(fine.faces)
    limit = (m * fine.volume - n * coarse.volume) / (m - n)
    assert limit == pytest.approx(exact, rel=1e-4)
    # And with the formula's own, by quadrature.
    assert cranked.json["measured"]["body_volume_mm3"] == pytest.approx(exact, rel=1e-4)
