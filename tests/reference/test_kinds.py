"""A spreader and a scoop: their sections and sizes by rays on the mesh, against closed forms worked out
here, and their B-rep."""

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
BOARDS = {"spreader": "pear", "scoop": "beech"}


class Made(Packet):
    @property
    def asked(self):
        return lengths.read(ROOT / f"params/designs/harvest-{self.kind}.toml")

    @property
    def head(self):
        return self.asked["blade" if self.kind == "spreader" else "bowl"]

    def size(self, key):
        return lengths.length_mm(self.head[key])

    @property
    def edge(self):
        return lengths.length_mm(self.asked["utensil"]["edge"])


@pytest.fixture(scope="module")
def made(once):
    def of(kind):
        def fill(out):
            files = [ROOT / f"params/designs/harvest-{kind}.toml", "--board", ROOT / f"params/boards/{BOARDS[kind]}.toml"]
            files += ["--shop", ROOT / "params/shop.toml", "--tolerance", f"{TOLERANCE} mm", "--out", out]
            done = subprocess.run([str(part) for part in (PROGRAM, "build", *files)], capture_output=True, text=True)
            assert done.returncode == 0, done.stdout + done.stderr

        return Made(kind, once(f"harvest-{kind}", fill))

    return of


@pytest.fixture(scope="module")
def spreader(made):
    return made("spreader")


@pytest.fixture(scope="module")
def scoop(made):
    return made("scoop")


def flat(spreader):
    """A place where the handle has run out and the bevel hasn't begun: where its thickness is told."""
    return spreader.neck + 0.75 * (spreader.length - spreader.neck - spreader.size("bevel"))


def thickness(packet, x, y):
    low, high = packet.upright("body.stl").span(np.column_stack([np.full_like(y, x), y]))
    return high - low


def test_a_spreader_is_thin_on_its_left_and_stout_on_its_right(spreader):
    x = flat(spreader)
    right, left = sizes.across(spreader, x)
    middle, half = 0.5 * (left + right), 0.5 * (left - right)
    stout, mid, thin = thickness(spreader, x, middle + half * np.array([-0.75, 0.0, 0.75]))
    assert mid == pytest.approx(spreader.size("thickness"), abs=TRUE_MM)
    assert thin == pytest.approx(spreader.size("thin"), abs=TRUE_MM)
    assert stout > mid + 0.8 * (mid - thin)
    edge = thickness(spreader, x, middle + (half - 0.01) * np.array([-1.0, 1.0]))
    assert edge == pytest.approx([spreader.edge] * 2, abs=TRUE_MM)


def test_a_spreaders_section_has_the_area_of_its_closed_form(spreader):
    """A wedge's odd part cancels over the width; the easing is an eighth power, with a mean of a ninth."""
    x = flat(spreader)
    right, left = sizes.across(spreader, x)
    y = np.linspace(right + 1e-4, left - 1e-4, 2001)
    area = np.trapezoid(thickness(spreader, x, y), y)
    mid = spreader.size("thickness")
    form = (left - right) * (mid - (mid - spreader.edge) / 9)
    assert area == pytest.approx(form, rel=2e-3)


def test_a_spreaders_front_is_as_thick_as_asked(spreader):
    x = spreader.length - 0.02
    right, left = sizes.across(spreader, x)
    # The bevel has begun to thicken it again, so little behind the tip.
    assert thickness(spreader, x, np.array([0.5 * (left + right)]))[0] == pytest.approx(spreader.size("front"), abs=TRUE_MM)


def test_a_scoops_floor_lies_level_to_its_lip_and_its_rim_comes_down_to_it(scoop):
    long = scoop.length - scoop.neck
    widest = scoop.neck + lengths.percent(scoop.head["widest"]) * long
    front = scoop.length - scoop.size("rim")
    depth = scoop.size("depth")
    x = np.linspace(widest, scoop.length - 0.05, 40)
    floor = scoop.upright("body.stl").span(np.column_stack([x, np.zeros_like(x)]))[1]
    assert floor == pytest.approx(np.full_like(x, 0.5 * scoop.edge - depth), abs=TRUE_MM)
    for at in np.linspace(widest + 1, front - 8, 12):
        t = (at - widest) / (front - widest)
        fallen = depth * t**3 * (10 - 15 * t + 6 * t * t)
        right, left = sizes.across(scoop, at)
        # On the rim land, half a millimetre inside the outline.
        for y in (right + 0.5, left - 0.5):
            assert sizes.height_at(scoop, at, y)[1] == pytest.approx(0.5 * scoop.edge - fallen, abs=TRUE_MM), at


def test_a_scoops_lip_is_as_thick_as_its_edge_and_its_floor_as_the_wall(scoop):
    low, high = sizes.height_at(scoop, scoop.length - 0.3, 0.0)
    assert high - low == pytest.approx(scoop.edge, abs=TRUE_MM)
    widest = scoop.neck + lengths.percent(scoop.head["widest"]) * (scoop.length - scoop.neck)
    low, high = sizes.height_at(scoop, widest, 0.0)
    assert high - low == pytest.approx(scoop.size("wall"), abs=TRUE_MM)


def test_a_scoops_hollow_has_the_area_of_its_closed_form_across(scoop):
    """In front of the widest place a section of the hollow is q (1 + r (1 - q)) with q = 1 - |u|^n."""
    n, r = scoop.head["fullness"], 0.35
    long = scoop.length - scoop.neck
    widest = scoop.neck + lengths.percent(scoop.head["widest"]) * long
    front = scoop.length - scoop.size("rim")
    x = widest + 0.4 * (front - widest)
    right, left = sizes.across(scoop, x)
    t = 0.4
    rim = 0.5 * scoop.edge - scoop.size("depth") * t**3 * (10 - 15 * t + 6 * t * t)
    y = np.linspace(right + 1e-3, left - 1e-3, 4001)
    under = rim - scoop.upright("body.stl").span(np.column_stack([np.full_like(y, x), y]))[1]
    inside = y[under > 0.02]
    half = 0.5 * (inside[-1] - inside[0])
    deep = scoop.size("depth") - (0.5 * scoop.edge - rim)
    # The means of q and q² over the width: 1 - 1/(n+1), 1 - 2/(n+1) + 1/(2n+1).
    mean = (1 + r) * (1 - 1 / (n + 1)) - r * (1 - 2 / (n + 1) + 1 / (2 * n + 1))
    assert np.trapezoid(np.clip(under, 0, None), y) == pytest.approx(2 * half * deep * mean, rel=5e-3)


@pytest.mark.parametrize("kind", sorted(BOARDS))
def test_the_step_file_is_one_valid_solid_with_the_formulas_volume(made, kind):
    packet = made(kind)
    exact = test_step.volume(test_step.read(packet.folder / "body.step"))
    assert packet.json["measured"]["body_volume_mm3"] == pytest.approx(exact, rel=1e-4)
    mesh = packet.mesh("body.stl")
    assert mesh.is_watertight and mesh.volume == pytest.approx(exact, abs=TOLERANCE * mesh.area)

