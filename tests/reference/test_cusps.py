"""Cusps: what packet.json says of them against slopes of the mesh on disk, and the formula against a
real ball over parallel passes, by brute force on fine grids."""

from functools import cached_property

import numpy as np
import pytest
import shapely

# Where the first rounding by hand ends (README of the checks: parts of a side).
EDGE_MM = 1.5
# The rule leaves out the outermost cells, and takes a slope over two of them.
CELL_MM = 0.2
# A grid of its own.
PITCH_MM = 0.23


def formula(radius, step, across=0.0, along=0.0):
    """Height of the ridge over a plane with these slopes across and along the passes: R -
    sqrt(R² - d²/4), where d is the way from track to track, s sqrt(1 + a² / (1 + b²))."""
    apart = step * np.sqrt(1.0 + across**2 / (1.0 + along**2))
    return radius - np.sqrt(np.maximum(radius**2 - apart**2 / 4.0, 0.0))


class Slopes:
    """Slopes of both skins of a body at places inside its outline, by heights of the mesh."""

    def __init__(self, packet):
        self.packet = packet
        shop = packet.json["shop"]
        self.cutter = next(c for c in shop["cutters"] if c["name"] == shop["work"]["finish"])
        self.radius = self.cutter["diameter_mm"] / 2.0
        self.step = self.cutter["step_over_mm"]
        self.limit = shop["limits"]["cusp_mm"]
        self.body = packet.upright("body.stl")
        self.outline = packet.outline()[0]
        low_x, low_y, high_x, high_y = self.outline.bounds
        x, y = np.meshgrid(np.arange(low_x, high_x, PITCH_MM), np.arange(low_y, high_y, PITCH_MM))
        plan = np.column_stack([x.ravel(), y.ravel()])
        # A cell counts when its four neighbours are on the body.
        on = shapely.contains_xy(self.outline, plan[:, 0], plan[:, 1])
        for way in ((CELL_MM, 0), (-CELL_MM, 0), (0, CELL_MM), (0, -CELL_MM)):
            on &= shapely.contains_xy(self.outline, plan[:, 0] + way[0], plan[:, 1] + way[1])
        self.plan = plan[on]
        inner = self.outline.buffer(-EDGE_MM)
        self.at_edge = ~shapely.contains_xy(inner, self.plan[:, 0], self.plan[:, 1])

    def of(self, side, plan):
        """Slope along X and along Y of a side."""
        height = lambda by: self.body.span(plan + by)[1 if side == "top" else 0]
        ways = np.eye(2) * CELL_MM
        return [(height(way) - height(-way)) / (2.0 * CELL_MM) for way in ways]

    @cached_property
    def sides(self):
        return {side: self.of(side, self.plan) for side in ("top", "bottom")}

    def cusps(self, x, y):
        """At worst (passes level along the slope), with passes along the piece, and across it."""
        worst = formula(self.radius, self.step, np.hypot(x, y))
        return worst, formula(self.radius, self.step, y, x), formula(self.radius, self.step, x, y)


@pytest.fixture(scope="session")
def slopes(fine):
    return Slopes(fine)


@pytest.mark.parametrize("side", ["top", "bottom"])
def test_shares_over_the_limit_are_those_of_the_mesh(slopes, side):
    """To 0.3 of a per cent of the side: the limit runs along the edge, where a grid's cell more or
    less is a tenth of a per cent, and the mesh leaves the surface by up to 0.005 mm."""
    figures = slopes.packet.json["checks"]["figures"]
    found = slopes.cusps(*slopes.sides[side])
    for how, cusps in zip(("", "_along", "_across"), found):
        share = 100.0 * (cusps > slopes.limit).mean()
        assert figures[f"cusp_{side}_over_limit{how}_percent"] == pytest.approx(share, abs=0.3), how
    # The shipped handles are steep along their length, so that it matters how the passes run.
    assert 100.0 * (found[1] > slopes.limit).mean() > 1.0 > 100.0 * (found[2] > slopes.limit).mean()


@pytest.mark.parametrize("side", ["top", "bottom"])
def test_the_highest_cusp_is_where_it_is_said_to_be(slopes, side):
    """Within a tenth at its place. Elsewhere the mesh has none that is higher by more: it stands in
    the outermost cells of a steep flank, where 0.01 mm more or less to the edge is as much."""
    figures = slopes.packet.json["checks"]["figures"]
    place = np.array([[figures[f"cusp_{side}_highest_at_{axis}_mm"] for axis in "xy"]])
    most = figures[f"cusp_{side}_highest_mm"]
    there = slopes.cusps(*slopes.of(side, place))[0][0]
    assert most == pytest.approx(there, rel=0.1)
    assert most == pytest.approx(slopes.cusps(*slopes.sides[side])[0].max(), rel=0.15)
    rows = [row for row in slopes.packet.json["checks"]["cusps"] if row["side"] == side]
    assert max(row["highest_mm"] for row in rows) == most


@pytest.mark.parametrize("side", ["top", "bottom"])
def test_parts_have_the_shares_that_the_mesh_has_there(slopes, side):
    """Handle and head, each inside its edge and on it, to two per cent of an edge, which is only
    seven cells wide, and to half a per cent inside it; areas to three per cent."""
    packet = slopes.packet
    rows = {row["part"]: row for row in packet.json["checks"]["cusps"] if row["side"] == side}
    expected = {
        "spoon": {"top": {"neck", "hollow", "rim"}, "bottom": {"neck", "back"}},
        "fork": {"top": {"neck", "hollow", "rim", "tines"}, "bottom": {"neck", "back", "tines"}},
        "turner": {"top": {"neck", "blade", "bevel"}, "bottom": {"neck", "blade"}},
    }[packet.kind][side]
    assert set(rows) == expected | {"handle", "handle edge", "head edge"}
    head = slopes.plan[:, 0] >= packet.neck
    over = slopes.cusps(*slopes.sides[side])[0] > slopes.limit
    for parts, within, near in (
        (["handle"], ~head & ~slopes.at_edge, 0.5),
        (["handle edge"], ~head & slopes.at_edge, 2.0),
        (sorted(expected), head & ~slopes.at_edge, 0.5),
        (["head edge"], head & slopes.at_edge, 2.0),
    ):
        areas = [rows[part]["area_mm2"] for part in parts]
        assert sum(areas) == pytest.approx(within.sum() * PITCH_MM**2, rel=0.03), parts
        share = np.average([rows[part]["over_limit_percent"] for part in parts], weights=areas)
        assert share == pytest.approx(100.0 * over[within].mean(), abs=near), parts


def carved(surface, radius, step, run):
    """What a ball leaves over a surface z = f(x, y), at places round the origin: parallel passes a
    step apart in the plan run along `run`; at every fine step along them the ball goes down until
    it touches, tried on a fine grid under all of it; what it leaves is the lower hull of all its
    places. The places that are looked at reach over one step, so that one ridge is among them."""
    coarse, exact, stride = 0.03, 0.001, 0.015
    run = np.array(run, float) / np.hypot(*run)
    beside = np.array([-run[1], run[0]])

    def disc(reach, by):
        u, v = np.meshgrid(*[np.arange(-int(reach / by), int(reach / by) + 1) * by] * 2)
        return u.ravel(), v.ravel()

    def over(x, y, u, v):
        """How high the ball's middle stands for each place under it to be left whole."""
        room = radius**2 - u**2 - v**2
        return np.where(room > 0.0, surface(x + u, y + v) + np.sqrt(np.maximum(room, 0.0)), -np.inf)

    u, v = disc(radius, coarse)
    near_u, near_v = disc(coarse, exact)
    a, b = np.meshgrid(np.arange(-step / 2.0, step / 2.0, 0.005), np.arange(-0.03, 0.031, 0.01))
    look = a.ravel()[:, None] * beside + b.ravel()[:, None] * run
    left = np.full(len(look), np.inf)
    count = int((radius + step) / step) + 1
    for middle in (np.arange(-count, count) + 0.5) * step:
        for along in np.arange(-radius, radius, stride):
            x, y = middle * beside + along * run
            room = radius**2 - ((look - [x, y]) ** 2).sum(axis=1)
            if (room <= 0.0).all():
                continue
            first = np.argmax(over(x, y, u, v))
            height = over(x, y, u[first] + near_u, v[first] + near_v).max()
            left = np.where(room > 0.0, np.minimum(left, height - np.sqrt(np.maximum(room, 0.0))), left)
    return left - surface(look[:, 0], look[:, 1])


# A sixteenth-inch ball at the shipped step-over, and a coarse one.
BALLS = [(1.5875, 0.3), (3.0, 0.8)]


@pytest.mark.parametrize("ball", BALLS)
@pytest.mark.parametrize("turn", [0.0, 35.0, 90.0])
@pytest.mark.parametrize("slope", [0.0, 30.0, 55.0])
def test_a_real_ball_on_a_plane_leaves_what_the_formula_says(slope, turn, ball):
    """To one per cent. The plane falls along X; `turn` is from there to the passes."""
    radius, step = ball
    steep = np.tan(np.radians(slope))
    run = np.cos(np.radians(turn)), np.sin(np.radians(turn))
    above = carved(lambda x, y: steep * x, radius, step, run)
    # Square to the plane.
    ridge = above.max() * np.cos(np.radians(slope))
    assert above.min() > -1e-5, "cut into the plane"
    assert ridge == pytest.approx(formula(radius, step, steep * run[1], steep * run[0]), rel=0.01)


class Patch:
    """A smooth surface through the mesh's heights round a place: a polynomial of the fifth degree."""

    POWERS = [(i, j) for i in range(6) for j in range(6 - i)]

    def __init__(self, packet, side, place, reach=2.6):
        x, y = np.meshgrid(*[np.arange(-reach, reach, 0.07)] * 2)
        x, y = x.ravel(), y.ravel()
        low, high = packet.upright("body.stl").span(np.column_stack([x + place[0], y + place[1]]))
        z = high if side == "top" else -low
        self.k, *_ = np.linalg.lstsq(self.terms(x, y), z, rcond=None)
        self.miss = np.abs(self(x, y) - z).max()
        k = dict(zip(self.POWERS, self.k))
        self.slope = np.array([k[1, 0], k[0, 1]])
        self.bend = np.array([[2.0 * k[2, 0], k[1, 1]], [k[1, 1], 2.0 * k[0, 2]]])

    def terms(self, x, y):
        return np.stack([x**i * y**j for i, j in self.POWERS], axis=-1)

    def __call__(self, x, y):
        z = np.zeros_like(x)
        for (i, j), k in zip(self.POWERS, self.k):
            z += k * x**i * y**j
        return z

    def curve(self, run):
        """Curvature square to tracks that run along `run` in the plan; positive in a hollow."""
        run = np.array(run, float) / np.hypot(*run)
        beside = np.array([-run[1], run[0]])
        lift = lambda way: np.append(way, self.slope @ way)
        track, other = lift(run), lift(beside)
        way = beside - (other @ track) / (track @ track) * run
        steep = 1.0 + self.slope @ self.slope
        return way @ self.bend @ way / np.sqrt(steep) / (lift(way) @ lift(way))


# Places of the spoon: side, along it and beside its middle, in mm. None is nearer than the ball's
# radius and a step to the hollow's line, where the patch would not be smooth.
PLACES = [
    ("top", (252.0, 0.0)),
    ("top", (250.0, 21.0)),
    ("top", (232.0, -14.0)),
    ("top", (286.0, 8.0)),
    ("bottom", (255.0, 0.0)),
    ("bottom", (255.0, -26.0)),
    ("bottom", (282.0, 14.0)),
]


@pytest.mark.parametrize("side, place", PLACES)
def test_a_real_ball_in_the_bowl_and_on_its_back(packets, side, place):
    """The formula takes the surface for a plane. Against a ball on the bowl as it is it is right to a
    fifth, since no place of it is rounder than five balls; with the ridge's own factor for the
    curve, 1 + R/r on a back and 1 - R/r in a hollow, to three per cent."""
    packet = packets("spoon", "0.005 mm")
    slopes = Slopes(packet)
    radius, step = slopes.radius, slopes.step
    patch = Patch(packet, side, place)
    assert patch.miss < 0.01, "the patch is the mesh"
    steep = np.hypot(*patch.slope)
    level = (-patch.slope[1], patch.slope[0]) if steep > 1e-3 else (1.0, 0.0)
    for run in ((1.0, 0.0), (0.0, 1.0), level):
        run = np.array(run) / np.hypot(*run)
        across, along = patch.slope @ [-run[1], run[0]], patch.slope @ run
        plane = formula(radius, step, across, along)
        ridge = carved(patch, radius, step, run).max() / np.sqrt(1.0 + steep**2)
        assert ridge == pytest.approx(plane, rel=0.2)
        assert ridge == pytest.approx(plane * (1.0 - radius * patch.curve(run)), rel=0.03)
