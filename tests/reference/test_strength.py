"""Strength and stiffness against a plane frame of finite elements on sections of the finished mesh.

Straight Euler-Bernoulli frame elements (bending and stretching, six degrees of freedom; the
stiffness matrix as in any text, e.g. J. S. Przemieniecki, Theory of Matrix Structural Analysis,
1968, ch. 5) along the sections' centroids. Sections come from upright lines through body.stl, slots
from slots.dxf; nothing of the product's formulae is used but Hankinson's, which is published (Wood
Handbook, FPL-GTR-282, ch. 5), with its own constants.
"""

import math

import arcs
import numpy as np
import pytest
import shapely
from shapely import affinity

# Wood Handbook, FPL-GTR-282 (2021), Table 5-3b, 12 % moisture: bending strength and stiffness in
# inch-pound units there, 12,300 and 1.49e6 lb/in² for black cherry and so on.
PSI = 6894.757e-6
# Beech (European) and pear stand in no table of it: 118 MPa and 14 GPa, 83.3 MPa and 7.8 GPa are from
# collected tables of the trade, quoted from memory, and only the mechanics are tested with them.
WOOD = {
    "cherry": (12_300 * PSI, 1.49e6 * PSI),
    "beech": (118.0, 14_000.0),
    "pear": (83.3, 7_800.0),
}
ACROSS = 0.04


def hankinson(along, angle, across):
    s, c = math.sin(angle) ** 2, math.cos(angle) ** 2
    return along * across / (s + across * c)


def sections(upright, stations, region):
    """For each station, of an upright cut through what lies in the region of the plan: the centroid's
    height, area, second moment, farthest fibre, and the mean slope of the wood's middle there."""
    step = 0.05
    y = np.arange(region.bounds[1], region.bounds[3], step) + step / 2
    found = []
    for x in stations:
        def cut(x):
            low, high = upright.span(np.column_stack([np.full_like(y, x), y]))
            inside = ~np.isnan(low) & shapely.contains_xy(region, x, y)
            return np.where(inside, low, np.nan), np.where(inside, high, np.nan)

        start, end = max(x - 0.3, region.bounds[0] + 1e-6), min(x + 0.3, region.bounds[2] - 1e-6)
        (l0, h0), (l1, h1) = cut(start), cut(end)
        slope = np.nanmean((l1 + h1 - l0 - h0) / 2) / (end - start)
        low, high = (side[~np.isnan(side)] for side in cut(x))
        area = ((high - low) * step).sum()
        middle = ((high**2 - low**2) / 2 * step).sum() / area
        second = (((high - middle) ** 3 - (low - middle) ** 3) / 3 * step).sum()
        outer = max(high.max() - middle, middle - low.min())
        found.append((middle, area, second, outer, math.atan(slope)))
    return np.array(found).T


def frame(x, cut, wood, grain, force, across=ACROSS):
    """Sag at the free end, and the greatest of stress over strength, of a frame held at its start."""
    middle, area, second, outer, leans = cut
    strength, stiffness = wood
    count = len(x)
    whole = np.zeros((3 * count, 3 * count))
    parts = []
    for i in range(count - 1):
        dx, dz = x[i + 1] - x[i], middle[i + 1] - middle[i]
        long = math.hypot(dx, dz)
        c, s = dx / long, dz / long
        # Where a tine begins its centroid jumps; the grain and the surface do not.
        square = math.cos((leans[i] + leans[i + 1]) / 2)
        angle = math.acos(square * math.cos(grain))
        e = hankinson(stiffness, angle, across)
        # Upright cuts, turned square to the wood.
        a, i2 = (area[i] + area[i + 1]) / 2 * square, (second[i] + second[i + 1]) / 2 * square**3
        ea, b = e * a / long, e * i2 / long**3
        k = np.array(
            [
                [ea, 0, 0, -ea, 0, 0],
                [0, 12 * b, 6 * b * long, 0, -12 * b, 6 * b * long],
                [0, 6 * b * long, 4 * b * long**2, 0, -6 * b * long, 2 * b * long**2],
                [-ea, 0, 0, ea, 0, 0],
                [0, -12 * b, -6 * b * long, 0, 12 * b, -6 * b * long],
                [0, 6 * b * long, 2 * b * long**2, 0, -6 * b * long, 4 * b * long**2],
            ]
        )
        turn = np.zeros((6, 6))
        turn[:3, :3] = turn[3:, 3:] = [[c, s, 0], [-s, c, 0], [0, 0, 1]]
        at = slice(3 * i, 3 * i + 6)
        whole[at, at] += turn.T @ k @ turn
        parts.append((at, k @ turn, square, hankinson(strength, angle, across)))
    load = np.zeros(3 * count)
    load[-2] = -force
    moved = np.zeros(3 * count)
    moved[3:] = np.linalg.solve(whole[3:, 3:], load[3:])
    used = []
    for i, (at, forces, square, bears) in enumerate(parts):
        moment = abs((forces @ moved[at])[2])
        used.append(moment * outer[i] * square / (second[i] * square**3) / bears)
    return -moved[-2], max(used)


def test_the_frame_itself_bends_as_the_closed_form_says():
    # A straight beam of 8 by 6, 50 long, 20 N, E 10.3 GPa, along the grain: F l³ / 3 E I and M c / I.
    x = np.linspace(0, 50, 9)
    one = np.ones_like(x)
    cut = (0 * x, 48 * one, 8 * 6**3 / 12 * one, 3 * one, 0 * x)
    sag, used = frame(x, cut, (100.0, 10_300.0), 0.0, 20.0)
    assert sag == pytest.approx(0.561848256, rel=1e-6)
    assert used == pytest.approx(0.20833333, rel=1e-6)


def test_a_part_of_a_ring_bends_as_castigliano_has_it():
    # R = 80, 60 degrees of it, held where it is level and loaded upright at its other end: the
    # integral of M² ds / E I (Castigliano; S. Timoshenko, Strength of Materials, on curved bars).
    # Stretching is switched off by a huge area.
    turn = np.linspace(0, math.pi / 3, 200)
    radius, height, width, e = 80.0, 2.0, 10.0, 10_000.0
    x, middle = radius * np.sin(turn), radius * (1 - np.cos(turn))
    upright = height / np.cos(turn)
    cut = (middle, 1e5 * np.ones_like(x), width * upright**3 / 12, upright / 2, turn)
    # The closed form knows one stiffness, whatever the lean.
    plain, _ = frame(x, cut, (1.0, e), 0.0, 1.0, across=1.0)
    end = turn[-1]
    second = width * height**3 / 12
    # M = F R (sin end - sin t).
    t = np.linspace(0, end, 200_001)
    closed = np.trapezoid((np.sin(end) - np.sin(t)) ** 2, t) * radius**3 / (e * second)
    assert plain == pytest.approx(closed, rel=2e-3)


def wood_and_grain(packet):
    board = packet.json["board"]
    return WOOD[board["species"].split()[-1].lower()], math.radians(board["grain_deg"])


@pytest.mark.parametrize("many", [120, 480])
def test_the_handle_bends_and_bears_as_the_frame_does(packet, many):
    figures = packet.json["checks"]["figures"]
    wood, grain = wood_and_grain(packet)
    # The hand holds it up to 90 mm from its end; the load lies 2 mm behind the tip.
    x = np.linspace(90.0, packet.json["measured"]["length_mm"] - 2.0, many)
    cut = sections(packet.upright("body.stl"), x, plan(packet).difference(slots(packet)))
    sag, used = frame(x, cut, wood, grain, packet.json["design"]["load"]["tip_n"])
    assert figures["strength_tip_sag_mm"] == pytest.approx(sag, rel=0.02)
    assert 1 / figures["strength_tip_factor"] == pytest.approx(used, rel=0.03)


def test_the_weakest_tine_bears_as_the_frame_does(packets):
    packet = packets("fork")
    figures = packet.json["checks"]["figures"]
    wood, grain = wood_and_grain(packet)
    length = packet.json["measured"]["length_mm"]
    root = length - packet.json["design"]["tines"]["slot_length_mm"]
    ahead = shapely.box(root, -500, 500, 500)
    cut = slots(packet)
    # A slot's round end touches the root's line in one place: its middle parts the tines there.
    middles = [shapely.box(root - 1, s.centroid.y - 1e-4, 500, s.centroid.y + 1e-4) for s in cut.geoms]
    tines = plan(packet).intersection(ahead).difference(shapely.union_all([cut, *middles]))
    assert len(tines.geoms) == packet.json["design"]["tines"]["count"]
    found = []
    for tine in tines.geoms:
        x = np.linspace(root + 0.1, tine.bounds[2] - 2.0, 200)
        cut = sections(packet.upright("body.stl"), x, tine)
        found.append(frame(x, cut, wood, grain, packet.json["design"]["load"]["tine_n"]))
    most = max(used for _, used in found)
    assert 1 / figures["strength_tine_factor"] == pytest.approx(most, rel=0.05)
    # Inner and outer tines may be as weak within what cells and facets leave unsure.
    weakest = [sag for sag, used in found if used > 0.95 * most]
    assert any(figures["strength_tine_sag_mm"] == pytest.approx(sag, rel=0.05) for sag in weakest)


def plan(packet):
    return shapely.union_all(packet.outline())


def slots(packet):
    """What the slots take out of the plan, in the design frame."""
    if not any(file["name"] == "bottom/slots.dxf" for file in packet.json["files"]):
        return shapely.Polygon()
    back = np.linalg.inv(packet.to_setup("bottom"))
    m = [back[0, 0], back[0, 1], back[1, 0], back[1, 1], back[0, 3], back[1, 3]]
    paths = [path for name, path in packet.drawing("bottom/slots.dxf").paths if name == "slots"]
    return shapely.union_all([affinity.affine_transform(arcs.polygon(path), m) for path in paths])


def hole_in_a_bent_plate(nu):
    """Greatest stress at the free rim of a round hole in a wide thin plate bent one way, over the
    stress far from it: the biharmonic equation of a Kirchhoff plate, w = w0(r) + w2(r) cos 2t, with
    the constants from the rim's two conditions (no bending moment, no effective shear) in each part.
    Radius 1, stiffness 1. Each term r^k is differentiated as such; ln r has its own derivatives."""
    def power(k, n):
        """Radial moment, effective shear and hoop moment at r = 1 of w = r^k cos nt."""
        d1, d2, d3 = k, k * (k - 1), k * (k - 1) * (k - 2)
        return terms(1.0, d1, d2, d3, n)

    def terms(w, d1, d2, d3, n):
        radial = -(d2 + nu * (d1 - n * n * w))
        hoop = -((d1 - n * n * w) + nu * d2)
        # V_r = -d/dr(laplacian) + (1/r) d M_rt / dt, M_rt = -(1 - nu) d/dr(w_t / r).
        laplacian = d3 + (d2 - d1) - n * n * (d1 - 2 * w)
        twist = (1 - nu) * n * n * (d1 - w)
        return radial, -laplacian + twist, hoop

    log = terms(0.0, 1.0, -1.0, 2.0, 0)
    # Far away one moment of 1 about Y: w_xx = -1 / (1 - nu²), w_yy = -nu · w_xx.
    xx = -1 / (1 - nu**2)
    yy = -nu * xx
    even, odd = (xx + yy) / 4, (xx - yy) / 4
    far0, far2 = np.array(power(2, 0)) * even, np.array(power(2, 2)) * odd
    # Dying away outward: ln r, and r^-2 and 1 times cos 2t.
    c = -far0[0] / log[0]
    dying = np.array([power(-2, 2), power(0, 2)]).T
    d, e = np.linalg.solve(dying[:2], -far2[:2])
    hoop0 = far0[2] + c * log[2]
    hoop2 = far2[2] + dying[2] @ [d, e]
    assert abs(far0[1] + c * log[1]) < 1e-12
    return max(hoop0 + hoop2, hoop0 - hoop2)


@pytest.mark.parametrize("nu", [0.0, 0.25, 0.3, 0.4])
def test_stress_gathers_at_a_hole_as_the_plate_equation_has_it(nu):
    assert hole_in_a_bent_plate(nu) == pytest.approx((5 + 3 * nu) / (3 + nu), rel=1e-9)


def test_a_root_has_the_even_stress_of_its_beam_times_that_of_the_plate(packets):
    packet = packets("fork")
    figures = packet.json["checks"]["figures"]
    lower = figures["strength_root_concentration_least_factor"]
    assert lower == pytest.approx(hole_in_a_bent_plate(0.3), rel=1e-6)
    strength, _ = WOOD["beech"]
    even = figures["strength_root_stress_mpa"]
    assert strength / (even * lower) == pytest.approx(figures["strength_root_factor"], rel=0.01)
