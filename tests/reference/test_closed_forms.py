"""The judge judged: its own measures on shapes whose measures are known in closed form."""

import math

import arcs
import lengths
import measure
import numpy as np
import pytest
import shapely
from scipy import integrate, special


def height_field(top, bottom, a, b, rings=160, spokes=240, power=0.5):
    """A closed mesh over an ellipse a × b, between two heights that meet or not at its edge."""
    r = np.linspace(0, 1, rings + 1)[1:] ** power
    t = np.linspace(0, 2 * math.pi, spokes, endpoint=False)
    x = np.concatenate([[0.0], (a * r[:, None] * np.cos(t)).ravel()])
    y = np.concatenate([[0.0], (b * r[:, None] * np.sin(t)).ravel()])
    n = len(x)
    points = np.concatenate([np.column_stack([x, y, top(x, y)]), np.column_stack([x, y, bottom(x, y)])])
    at = lambda i, j: 1 + i * spokes + j % spokes
    up = [[0, at(0, j), at(0, j + 1)] for j in range(spokes)]
    for i in range(rings - 1):
        for j in range(spokes):
            up += [[at(i, j), at(i + 1, j), at(i + 1, j + 1)], [at(i, j), at(i + 1, j + 1), at(i, j + 1)]]
    up = np.array(up)
    down = up[:, ::-1] + n
    rim = [at(rings - 1, j) for j in range(spokes)]
    wall = []
    for p, q in zip(rim, rim[1:] + rim[:1]):
        wall += [[p, p + n, q + n], [p, q + n, q]]
    return points, np.concatenate([up, down, np.array(wall)])


def half_ellipsoid_hollow():
    """A block over an ellipse 55 × 40, 25 mm high, with the half ellipsoid 50 / 35 / 18 taken out."""
    def top(x, y):
        s = 1 - (x / 50) ** 2 - (y / 35) ** 2
        return -18 * np.sqrt(np.clip(s, 0, None))
    return height_field(top, lambda x, y: np.full_like(x, -25.0), 55, 40, rings=400)


def test_half_ellipsoid_has_its_volume():
    # 2/3 π a b c; the value is the closed form's, recomputed here by quadrature.
    exact = 65973.445725
    by_quadrature, _ = integrate.quad(lambda z: math.pi * 50 * 35 * (1 - (z / 18) ** 2), 0, 18)
    assert by_quadrature == pytest.approx(exact, rel=1e-9)
    ray = measure.Upright(*half_ellipsoid_hollow())
    g = 0.25
    x, y = np.meshgrid(np.arange(-50, 50, g) + g / 2, np.arange(-35, 35, g) + g / 2)
    _, high = ray.span(np.column_stack([x.ravel(), y.ravel()]))
    assert -np.nansum(high) * g * g == pytest.approx(exact, rel=2e-3)
    assert -np.nanmin(high) == pytest.approx(18.0, abs=0.01)


def test_spherical_cap_has_its_volume_and_area():
    # R 40, h 12: π h² (3R − h) / 3; 2 π R h; rim √(2Rh − h²).
    rim = math.sqrt(2 * 40 * 12 - 144)
    assert rim == pytest.approx(28.565714, abs=1e-6)
    cap = height_field(
        lambda x, y: np.sqrt(1600 - x**2 - y**2) - 28, lambda x, y: np.zeros_like(x), rim, rim
    )
    assert measure.volume(*cap) == pytest.approx(16286.016316, rel=3e-4)
    assert measure.area(*cap) == pytest.approx(3015.928947 + math.pi * rim**2, rel=3e-4)


@pytest.mark.parametrize(
    "n, factor",
    [(2, 3.141592654), (2.3, 3.298701864), (2.5, 3.380935363), (3, 3.533277501), (4, 3.708149355)],
)
def test_superellipse_area(n, factor):
    # 4 Γ(1 + 1/n)² / Γ(1 + 2/n), against a polygon of many corners.
    assert 4 * special.gamma(1 + 1 / n) ** 2 / special.gamma(1 + 2 / n) == pytest.approx(factor, rel=1e-9)
    t = np.linspace(0, 2 * math.pi, 40000, endpoint=False)
    c, s = np.cos(t), np.sin(t)
    ring = np.column_stack([50 * np.sign(c) * np.abs(c) ** (2 / n), 35 * np.sign(s) * np.abs(s) ** (2 / n)])
    assert shapely.Polygon(ring).area == pytest.approx(factor * 50 * 35, rel=1e-6)


def test_silhouette_of_an_ellipse():
    rings = measure.silhouette(*half_ellipsoid_hollow())
    assert len(rings) == 1
    assert rings[0].area == pytest.approx(math.pi * 55 * 40, rel=3e-4)
    assert rings[0].bounds == pytest.approx((-55, -40, 55, 40), abs=0.01)


@pytest.mark.parametrize(
    "degrees, bulge", [(45, 0.198912367), (90, 0.414213562), (180, 1.0), (270, 2.414213562)]
)
def test_bulge_is_the_tangent_of_a_quarter(degrees, bulge):
    # DXF Reference, LWPOLYLINE, group 42.
    assert math.tan(math.radians(degrees) / 4) == pytest.approx(bulge, abs=1e-9)
    # An arc of that angle, radius 10, closed by its chord: a segment of known area.
    theta = math.radians(degrees)
    path = [(10.0, 0.0, bulge), (10 * math.cos(theta), 10 * math.sin(theta), 0.0)]
    segment = 50 * (theta - math.sin(theta))
    assert arcs.area(path) == pytest.approx(segment, rel=1e-8)
    # Chords lose at most two thirds of sagitta × length of the arc.
    assert arcs.polygon(path).area == pytest.approx(segment, abs=10 * theta * 0.0002)
    clockwise = [(path[1][0], path[1][1], -bulge), (10.0, 0.0, 0.0)]
    assert arcs.area(clockwise) == pytest.approx(-segment, rel=1e-8)


def test_hexagon_of_bulges_is_a_circle():
    # Six arcs of 60° on a circle of radius 10: tan(15°) each; area π r².
    bulge = math.tan(math.radians(15))
    path = [(10 * math.cos(k * math.pi / 3), 10 * math.sin(k * math.pi / 3), bulge) for k in range(6)]
    assert arcs.area(path) == pytest.approx(100 * math.pi, rel=1e-12)
    assert arcs.polygon(path).area == pytest.approx(100 * math.pi, rel=1e-4)
    assert arcs.turns(path).max() < 1e-9
    assert arcs.turns([(x, y, 0.0) for x, y, _ in path]) == pytest.approx([60.0] * 6)


@pytest.mark.parametrize("power", [1.0, 1.5, 2.0])
def test_onset_of_a_fall(power):
    d = np.arange(0, 8, 0.01)
    rough = 0.004 * np.sin(d * 9.0)
    fall = 0.8 * np.clip(d - 2.5, 0, None) ** power + rough
    assert measure.onset(d, fall) == pytest.approx(2.5, abs=0.03 if power < 2 else 0.06)


def test_lengths_are_read():
    assert lengths.length_mm("1-1/4 in") == 31.75
    assert lengths.length_mm("7/8 in") == pytest.approx(22.225, abs=1e-12)
    assert lengths.length_mm("31.75 mm") == 31.75
    assert lengths.length_mm("-3 mm") == -3.0
    assert lengths.percent("55 %") == 0.55


def test_spoonfuls():
    # US gallon 231 in³ (NIST Handbook 44, Appendix C): a tablespoon is 1/256 of it.
    cubic_inch_ml = 25.4**3 / 1000
    assert 231 * cubic_inch_ml / 256 == pytest.approx(14.78676478125, abs=1e-11)
    assert 231 * cubic_inch_ml / 768 == pytest.approx(4.92892159375, abs=1e-11)
