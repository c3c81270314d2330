"""Handles of other sections and ends, by rays and cuts of the mesh, against closed forms worked out here,
and their B-rep before an independent kernel."""

import math
from functools import cached_property

import lengths
import numpy as np
import pytest
import sizes
import test_step
import trimesh
from conftest import ROOT, Packet, build_design
from scipy import integrate, special

# The mesh is within this of the body.
TOLERANCE = 0.005
# What a maker may find off.
TRUE_MM = 0.05
WIDE, THICK, EDGE, END = 18.0, 16.0, 2.0, 20.0
EVEN = f"""
width = [{{ at = "0 %", size = "{WIDE} mm" }}, {{ at = "100 %", size = "{WIDE} mm" }}]
thickness = [{{ at = "0 %", size = "{THICK} mm" }}, {{ at = "100 %", size = "{THICK} mm" }}]
"""
# Handles that are as wide and as thick all along, so that each is a prism; and one that isn't.
HANDLES = {
    "eight": EVEN + 'facets = { flats = "eight", run = "20 mm" }\nend_shape = "blunt"',
    "six": EVEN + 'facets = { flats = "six", chamfer = "5 mm", from = "10 %", run = "20 mm" }\nend_shape = "pointed"',
    "square": EVEN + 'section = [{ at = "20 %", square = 2 }, { at = "80 %", square = 5 }]\nend_shape = "round"',
    "knob": """
width = [{ at = "0 %", size = "12 mm" }, { at = "100 %", size = "13 mm" }]
thickness = [{ at = "0 %", size = "10 mm" }, { at = "100 %", size = "12 mm" }]
curve = [{ at = "0 %", rise = "-2 mm" }, { at = "55 %", rise = "5 mm" }, { at = "100 %", rise = "1 mm" }]
knob = { width = "26 mm", thickness = "17 mm", length = "44 mm" }
facets = { from = "20 %", to = "95 %", run = "30 mm" }
""",
}


def written(name):
    text = (ROOT / "params/designs/harvest-spoon.toml").read_text()
    before, rest = text.split("[handle]", 1)
    after = rest[rest.index("[tabs]") :]
    assert 'edge = "2 mm"' in before
    edge = "2 mm" if name == "knob" else f"{EDGE} mm"
    # What the fork's slots, gives and cautions say of the shipped handle is not this one's.
    after = after.split("[give]")[0]
    return f'{before.replace(chr(34) + "2 mm" + chr(34), chr(34) + edge + chr(34), 1)}[handle]{HANDLES[name]}\nend = "{END} mm"\n\n{after}'


class Handled(Packet):
    def __init__(self, name, folder, design):
        super().__init__("spoon", folder)
        self.name, self.design = name, design

    @cached_property
    def asked(self):
        return lengths.read(self.design)

    def place(self, share):
        """X of a share of the handle."""
        return END + share * (self.neck - END)

    def thickness(self, x, y):
        low, high = self.upright("body.stl").span(np.column_stack([np.full_like(y, x), y]))
        return high - low

    def cut(self, x):
        """The corners of the section there, as Y and Z, and its area, by cutting the mesh."""
        lines = self.mesh("body.stl").section(plane_origin=[x, 0, 0], plane_normal=[1, 0, 0])
        assert len(lines.discrete) == 1
        ring = lines.discrete[0][:, 1:]
        y, z = ring[:-1, 0], ring[:-1, 1]
        return ring, abs(0.5 * np.sum(y * np.roll(z, -1) - z * np.roll(y, -1)))


def carved(once, name, packet, text):
    """A spoon of a design's text, carved from the cherry board once in a run; `packet` names its folder."""

    def fill(out):
        design = out.parent / f"{packet}.toml"
        design.write_text(text)
        build_design(design, "cherry", out, "--tolerance", f"{TOLERANCE} mm")

    folder = once(packet, fill)
    return Handled(name, folder, folder.parent / f"{packet}.toml")


@pytest.fixture(scope="module")
def made(once):
    return lambda name: carved(once, name, f"handle-{name}", written(name))


def superellipse(n):
    """Area of |u|ⁿ + |v|ⁿ = 1: 4 Γ(1 + 1/n)² / Γ(1 + 2/n)."""
    return 4 * special.gamma(1 + 1 / n) ** 2 / special.gamma(1 + 2 / n)


def section(n):
    """Area of a superellipse that is widened until an edge stands at both sides, and cut off there."""
    wide = WIDE / 2 / (1 - (EDGE / THICK) ** n) ** (1 / n)
    beyond, _ = integrate.quad(lambda y: THICK * max(1 - (y / wide) ** n, 0) ** (1 / n), WIDE / 2, wide)
    whole = superellipse(n) * wide * THICK / 2
    assert beyond < 0.01 * whole
    return whole - 2 * beyond


@pytest.mark.parametrize("at, n", [(0.05, 2.0), (0.2, 2.0), (0.5, 3.5), (0.8, 5.0), (0.97, 5.0)])
def test_a_section_runs_from_an_ellipse_into_a_square_one(made, at, n):
    """Level beyond the stations; half-way between two it is half-way from the one to the other."""
    handle = made("square")
    _, area = handle.cut(handle.place(at))
    assert area == pytest.approx(section(n), rel=5e-4)


def test_an_octagon_has_its_corners_and_its_area(made):
    handle = made("eight")
    # Of a regular octagon of that height, so many times over it, a side is √2 − 1.
    reach = THICK * (1 - math.sqrt(0.5))
    assert THICK - 2 * reach == pytest.approx(THICK * (math.sqrt(2) - 1), abs=1e-12)
    for at in (0.2, 0.5, 0.8):
        ring, area = handle.cut(handle.place(at))
        assert area == pytest.approx(WIDE * THICK - 2 * reach**2, rel=2e-4), at
        corners = [(y * a, z * b) for y, z in [(WIDE / 2 - reach, THICK / 2), (WIDE / 2, THICK / 2 - reach)] for a in (-1, 1) for b in (-1, 1)]
        for corner in corners:
            assert np.min(np.linalg.norm(ring - corner, axis=1)) < TRUE_MM / 5, (at, corner)
    assert handle.thickness(handle.place(0.5), np.array([0.0, WIDE / 2 - reach - 0.02, 0.02 - WIDE / 2])) == pytest.approx(
        [THICK, THICK, THICK - 2 * (reach - 0.02)], abs=TRUE_MM
    )


def test_a_prism_of_a_chamfered_octagon_has_its_volume(made):
    handle = made("eight")
    reach = THICK * (1 - math.sqrt(0.5))
    from_x, to_x = handle.place(0.25), handle.place(0.75)
    piece = handle.mesh("body.stl")
    for x, way in [(from_x, 1), (to_x, -1)]:
        piece = trimesh.intersections.slice_mesh_plane(piece, [way, 0, 0], [x, 0, 0], cap=True)
    assert piece.is_watertight
    assert piece.volume == pytest.approx((WIDE * THICK - 2 * reach**2) * (to_x - from_x), rel=2e-4)


def test_a_hexagon_meets_at_the_edge(made):
    handle = made("six")
    reach = 5.0
    _, area = handle.cut(handle.place(0.5))
    assert area == pytest.approx(WIDE * THICK - 2 * reach * 0.5 * (THICK - EDGE), rel=2e-4)
    y = np.array([0.0, WIDE / 2 - reach, WIDE / 2 - reach / 2, WIDE / 2 - 1e-3])
    slope = THICK - (THICK - EDGE) * np.array([0.0, 0.0, 0.5, 1 - 1e-3 / reach])
    assert handle.thickness(handle.place(0.5), y) == pytest.approx(slope, abs=TRUE_MM)


def test_flats_come_and_go_without_a_step(made):
    """Along the flank the thickness goes from the round section's to the flats' and back, and no piece of
    it is steeper than a quintic of that length and height can be."""
    handle = made("eight")
    x = np.linspace(END + 0.5, handle.neck - 0.5, 800)
    y = np.full_like(x, WIDE / 2 - 0.4)
    low, high = handle.upright("body.stl").span(np.column_stack([x, y]))
    thick = high - low
    run = 20.0
    most = 1.875 * (thick.max() - thick.min()) / run
    assert np.abs(np.gradient(thick, x)).max() < 1.35 * most
    full = (x > END + run + 1) & (x < handle.neck - run - 1)
    assert np.ptp(thick[full]) < 2 * TOLERANCE + 0.02


ENDS = {"eight": ("blunt", 3.5), "square": ("round", 2.0)}


@pytest.mark.parametrize("name", ENDS)
def test_an_end_is_half_a_superellipse(made, name):
    _, power = ENDS[name]
    handle = made(name)
    # At the very end the outline stands square to the length, where a mesh error is all of it.
    x = np.linspace(0.02, END, 1201)
    widths = np.array([np.subtract(*sizes.across(handle, each)[::-1]) for each in x])
    form = WIDE * (1 - (1 - x / END) ** power) ** (1 / power)
    assert widths == pytest.approx(form, abs=TRUE_MM)
    assert np.trapezoid(widths, x) == pytest.approx(superellipse(power) * END * WIDE / 4, rel=2e-3)


def test_a_pointed_end_comes_to_an_eased_point(made):
    handle = made("six")
    share = lambda u: np.sqrt((1 - u**2) * (1 - 0.88 * u**2))
    x = np.linspace(2e-3, END, 1201)
    widths = np.array([np.subtract(*sizes.across(handle, each)[::-1]) for each in x])
    assert widths == pytest.approx(WIDE * share(1 - x / END), abs=TRUE_MM)
    area, _ = integrate.quad(share, 0, 1)
    assert np.trapezoid(widths, x) == pytest.approx(WIDE * END * area, rel=2e-3)
    # Narrower than an ellipse, and eased: a circle of 0.12 half² / end lies in its point.
    radius = 0.12 * (WIDE / 2) ** 2 / END
    assert (widths[3] / 2) ** 2 / (2 * x[3]) == pytest.approx(radius, rel=0.15)


def test_a_knob_is_as_large_as_asked_and_gone_where_it_ends(made):
    handle = made("knob")
    right, left = sizes.across(handle, END)
    assert left - right == pytest.approx(26.0, abs=TRUE_MM)
    low, high = sizes.height_at(handle, END, 0.5 * (left + right))
    assert high - low == pytest.approx(17.0, abs=TRUE_MM)
    # It swells from there to neither side.
    for x in (END - 2, END + 2):
        assert np.subtract(*sizes.across(handle, x)[::-1]) < 26.0
    # Past it the handle's own smooth line holds: its logarithm is straight between two stations.
    for x in (44.0, 60.0, 150.0):
        t = (x - END) / (handle.neck - END)
        assert np.subtract(*sizes.across(handle, x)[::-1]) == pytest.approx(12 * (13 / 12) ** t, abs=TRUE_MM)
        low, high = sizes.height_at(handle, x, 0.0)
        assert high - low == pytest.approx(10 * 1.2**t, abs=TRUE_MM)


@pytest.mark.parametrize("name", HANDLES)
def test_it_is_one_valid_solid_of_the_formulas_volume(made, name):
    handle = made(name)
    mesh = handle.mesh("body.stl")
    assert mesh.is_watertight and mesh.is_winding_consistent
    solid = test_step.read(handle.folder / "body.step")
    # The quadrature of the formula, and a mesh that is within its error of it.
    exact = handle.json["measured"]["body_volume_mm3"]
    assert test_step.volume(solid) == pytest.approx(exact, rel=1e-4)
    assert mesh.volume == pytest.approx(exact, rel=5e-4)


@pytest.mark.parametrize("name", HANDLES)
def test_its_spline_faces_keep_to_the_formula(made, name):
    """The mesh's corners lie on the formula; the kernel says how far they are from its own faces."""
    handle = made(name)
    solid = test_step.read(handle.folder / "body.step")
    corners = handle.mesh("body.stl").vertices
    corners = corners[corners[:, 0] < handle.neck]
    chosen = corners[np.random.default_rng(16).choice(len(corners), 160, replace=False)]
    off = test_step.off_faces(solid, chosen)
    assert max(off) < 0.01, (max(off), chosen[int(np.argmax(off))])
