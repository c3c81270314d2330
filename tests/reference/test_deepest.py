"""A hollow that is deepest elsewhere than where the bowl is widest, by upright rays along its middle."""

import re

import numpy as np
import pytest
import sizes
import test_handles
import test_step
from conftest import ROOT

TRUE_MM = 0.05
# As parts of the head; it is widest at 54 %.
PLACES = [0.45, 0.62, 0.7]


def written(share):
    text = (ROOT / "params/designs/harvest-spoon.toml").read_text().split("[give]")[0]
    if share is None:
        return text
    text, count = re.subn(r"(?m)^(rim = .*)$", rf'\1\ndeepest = "{100 * share:.0f} %"', text)
    assert count == 1
    return text


@pytest.fixture(scope="module")
def made(once):
    def of(share):
        name = "deepest-where-widest" if share is None else f"deepest-{100 * share:.0f}"
        return test_handles.carved(once, name, name, written(share))

    return of


def hollow(spoon):
    """Places along the middle from neck to tip, in mm, how far the top lies below a straightedge across the rim, and
    how thick the wood is there. The rim is level, so its height at the tip does for all."""
    x = np.arange(spoon.neck + 0.02, spoon.length - 0.05, 0.05)
    low, high = spoon.upright("body.stl").span(np.column_stack([x, np.zeros_like(x)]))
    rim = high[-1]
    return x, rim - high, high - low


@pytest.mark.parametrize("share", PLACES)
def test_it_is_deepest_where_asked_and_as_deep_as_asked(made, share):
    spoon = made(share)
    x, below, _ = hollow(spoon)
    depth = below.max()
    # On a floor this flat, a hundredth of a millimetre is a place give or take a millimetre.
    level = x[below > depth - 0.01]
    at = spoon.neck + share * (spoon.length - spoon.neck)
    assert 0.5 * (level[0] + level[-1]) == pytest.approx(at, abs=1.0)
    asked = spoon.json["design"]["bowl"]["depth_mm"]
    assert depth == pytest.approx(asked, abs=TRUE_MM)
    assert spoon.json["measured"]["bowl_depth_mm"] == pytest.approx(asked, abs=TRUE_MM)


@pytest.mark.parametrize("share", PLACES)
def test_it_stays_as_full(made, share):
    """No ramp: along the middle it has the area that the plain one has, nearly."""
    areas = [np.maximum(hollow(made(which))[1], 0.0).sum() for which in (share, None)]
    assert areas[0] == pytest.approx(areas[1], rel=0.06)


@pytest.mark.parametrize("share", PLACES)
def test_it_falls_to_its_deepest_place_and_rises_after_it(made, share):
    x, below, _ = hollow(made(share))
    deepest = int(np.argmax(below))
    assert (np.diff(below[:deepest]) > -0.001).all() and (np.diff(below[deepest:]) < 0.001).all()


@pytest.mark.parametrize("share", PLACES)
def test_the_neck_stays_whole_and_the_wall_as_thick_as_asked(made, share):
    spoon = made(share)
    x, below, thick = hollow(spoon)
    asked = spoon.json["design"]["bowl"]["wall_mm"]
    # Upright, wood is no thinner than square to the hollow.
    inside = below > 1.0
    assert thick[inside].min() > asked - TRUE_MM
    before = x < x[inside][0]
    assert thick[before].min() > thick[0] - TRUE_MM
    # Square to the hollow it is that thick or more where it has had room to grow from the hollow's edge.
    inward, wood = sizes.wood_behind(spoon)
    whole = wood[inward > asked / 0.18]
    assert len(whole) > 200 and whole.min() > asked - TRUE_MM


@pytest.mark.parametrize("share", PLACES[:2])
def test_it_is_one_valid_solid(made, share):
    spoon = made(share)
    exact = spoon.json["measured"]["body_volume_mm3"]
    assert test_step.volume(test_step.read(spoon.folder / "body.step")) == pytest.approx(exact, rel=1e-4)
    assert spoon.mesh("body.stl").volume == pytest.approx(exact, rel=5e-4)
