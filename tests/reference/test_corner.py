"""Heads with an outline and a middle of their own, measured by rays: a spoon with a corner, a turner that
leans."""

import subprocess

import lengths
import numpy as np
import pytest
import sizes
import test_step
from conftest import PROGRAM, ROOT, Packet

# The mesh is within this of the body.
TOLERANCE = 0.005
# What a maker may find off.
TRUE_MM = 0.05
OUTLINE = '[{ at = "25 %", size = "40 mm" }, { at = "60 %", size = "58 mm" }, { at = "92 %", size = "60 mm" }]'
SWAY = '[{ at = "40 %", shift = "-1 mm" }, { at = "100 %", shift = "-9 mm" }]'


class Own(Packet):
    def __init__(self, kind, folder, design):
        super().__init__(kind, folder)
        self.design = design

    @property
    def asked(self):
        return lengths.read(self.design)


@pytest.fixture(scope="module")
def made(once):
    def of(name, design, board, tolerance=TOLERANCE):
        def fill(out):
            design(out.parent / f"{name}.toml")
            files = [out.parent / f"{name}.toml", "--board", ROOT / f"params/boards/{board}.toml"]
            files += ["--shop", ROOT / "params/shop.toml", "--tolerance", f"{tolerance} mm", "--out", out]
            command = [str(part) for part in (PROGRAM, "build", *files)]
            done = subprocess.run(command, capture_output=True, text=True)
            assert done.returncode == 0, done.stdout + done.stderr

        folder = once(f"{name}-{tolerance}", fill)
        return Own("turner" if "turner" in name else "spoon", folder, folder.parent / f"{name}.toml")

    return of


def spoon(path):
    path.write_text((ROOT / "params/designs/corner-spoon.toml").read_text())


def turner(path):
    text = (ROOT / "params/designs/harvest-turner.toml").read_text()
    path.write_text(text.replace("[blade]", f"[blade]\noutline = {OUTLINE}\nsway = {SWAY}", 1))


@pytest.fixture(scope="module", params=["spoon", "turner"])
def own(request, made):
    if request.param == "spoon":
        return made("corner-spoon", spoon, "cherry")
    return made("leaning-turner", turner, "pear")


def edges(packet, x, inside):
    """Right and left edge of the wood at an x, each by rays that go in between one that meets wood and one
    that meets none."""
    rays = packet.upright("body.stl")
    found = []
    for side in (-1, 1):
        near, far = inside, inside + side * 80.0
        for _ in range(40):
            middle = 0.5 * (near + far)
            if np.isfinite(rays.span([(x, middle)])[1][0]):
                near = middle
            else:
                far = middle
        found.append(near)
    return found


def test_the_head_is_as_wide_and_lies_as_far_to_the_left_as_its_stations_say(own):
    long = own.length - own.neck
    stations = {lengths.percent(row["at"]): {"size": lengths.length_mm(row["size"])} for row in own.head["outline"]}
    for row in own.head["sway"]:
        stations.setdefault(lengths.percent(row["at"]), {})["shift"] = lengths.length_mm(row["shift"])
    stations[lengths.percent(own.head["widest"])] = {"size": lengths.length_mm(own.head["width"])}
    assert len(stations) >= 5
    for at, asked in stations.items():
        # At the very tip its last fiftieth of a millimetre: the tip is round, its middle is the tip.
        x = own.neck + at * long - (0.02 if at == 1.0 else 0.0)
        right, left = edges(own, x, np.mean(sizes.across(own, x)))
        if "size" in asked:
            assert left - right == pytest.approx(asked["size"], abs=TRUE_MM), at
        if "shift" in asked:
            assert 0.5 * (left + right) == pytest.approx(asked["shift"], abs=TRUE_MM), at


def test_the_rim_land_is_as_wide_on_either_side(own):
    if own.kind == "turner":
        pytest.skip("a turner has no rim land")
    rim = lengths.length_mm(own.head["rim"])
    for at in (lengths.percent(own.head["widest"]), 0.6, 0.7, 0.8, 0.9):
        for width in sizes.land_width(own, at):
            assert width == pytest.approx(rim, abs=TRUE_MM), f"at {at:.0%} of the head"


def test_the_hollow_is_as_deep_as_asked_at_the_middle_of_the_widest_place(own):
    if own.kind == "turner":
        pytest.skip("a turner has no hollow")
    place, low = sizes.lowest(own)
    assert sizes.rim_plane(own) - low == pytest.approx(lengths.length_mm(own.head["depth"]), abs=TRUE_MM)
    x = own.neck + lengths.percent(own.head["widest"]) * (own.length - own.neck)
    assert place[0] == pytest.approx(x, abs=2.0)
    assert place[1] == pytest.approx(np.mean(sizes.across(own, x)), abs=1.0)
    bottom, top = sizes.height_at(own, *place)
    assert top - bottom == pytest.approx(lengths.length_mm(own.head["wall"]), abs=TRUE_MM)


def test_a_leaning_blade_is_as_thick_as_asked_along_its_own_middle(own):
    if own.kind != "turner":
        pytest.skip("no blade")
    long, bevel = own.length - own.neck, lengths.length_mm(own.head["bevel"])
    x = own.neck + 0.75 * (long - bevel)
    bottom, top = sizes.height_at(own, x, np.mean(sizes.across(own, x)))
    assert top - bottom == pytest.approx(lengths.length_mm(own.head["thickness"]), abs=TRUE_MM)


def test_the_step_file_is_one_valid_solid_with_the_formulas_volume(own):
    exact = test_step.volume(test_step.read(own.folder / "body.step"))
    assert own.json["measured"]["body_volume_mm3"] == pytest.approx(exact, rel=1e-4)
    # A mesh lies inside its hollows' chords and outside its humps' by less than its tolerance.
    mesh = own.mesh("body.stl")
    assert mesh.volume == pytest.approx(exact, abs=TOLERANCE * mesh.area)
