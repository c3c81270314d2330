"""Both relief models put back into the design's frame carve the body, its tabs and nothing else."""

import arcs
import lengths
import measure
import numpy as np
import pytest
import shapely
from shapely import affinity

GRID_MM = 0.4


class Kept:
    """What the two setups leave, on a grid over the plan."""

    def __init__(self, packet):
        self.packet = packet
        self.outline = packet.outline()[0]
        back = {s: np.linalg.inv(packet.to_setup(s)) for s in ("top", "bottom")}
        rays = {}
        for setup, matrix in back.items():
            assert np.linalg.det(matrix[:3, :3]) == pytest.approx(1.0), "a turn, not a mirror"
            mesh = packet.mesh(f"{setup}/relief.stl")
            points = mesh.vertices @ matrix[:3, :3].T + matrix[:3, 3]
            rays[setup] = measure.Upright(points, mesh.faces)
        x0, y0, x1, y1 = self.outline.bounds
        reach = 12.0
        x, y = np.meshgrid(
            np.arange(x0 - reach, x1 + reach, GRID_MM) + 0.013,
            np.arange(y0 - reach, y1 + reach, GRID_MM) + 0.017,
        )
        self.plan = np.column_stack([x.ravel(), y.ravel()])
        # The setup that lies top up leaves what is under its skin; the other what is over its own.
        self.top = rays["top"].span(self.plan)[1]
        self.bottom = rays["bottom"].span(self.plan)[0]
        self.slope = np.minimum(rays["top"].slopes(self.plan), rays["bottom"].slopes(self.plan))
        self.carved = ~np.isnan(self.top) & ~np.isnan(self.bottom)
        self.tabs = shapely.union_all(self.tab_outlines(back["top"]))
        shop = packet.json["shop"]
        ball = next(c for c in shop["cutters"] if c["name"] == shop["work"]["finish"])["diameter_mm"]
        # As far as a fillet reaches, from the tab over the body and from the frame over the tab.
        self.fillet = 0.55 * ball

    def tab_outlines(self, back):
        m = [back[0, 0], back[0, 1], back[1, 0], back[1, 1], back[0, 3], back[1, 3]]
        paths = self.packet.drawing("top/tabs.dxf").paths
        return [affinity.affine_transform(arcs.polygon(path), m) for _, path in paths]

    def within(self, shape):
        return shapely.contains_xy(shape, self.plan[:, 0], self.plan[:, 1])


@pytest.fixture(scope="session")
def kept(packet):
    return Kept(packet)


def test_reliefs_cover_the_body_and_its_skirt(kept):
    inside = kept.within(kept.outline)
    assert kept.carved[inside].all()
    shop = kept.packet.json["shop"]
    ball = next(c for c in shop["cutters"] if c["name"] == shop["work"]["finish"])["diameter_mm"]
    assert kept.carved[kept.within(kept.outline.buffer(ball))].all(), "no room for the ball beside the edge"


def test_between_them_they_leave_the_body(kept):
    at = kept.within(kept.outline.buffer(-0.05)) & ~kept.within(kept.tabs.buffer(2.0 * kept.fillet))
    plan = kept.plan[at]
    low, high = kept.packet.upright("body.stl").span(plan)
    slope = kept.packet.upright("body.stl").slopes(plan)
    # Along Z times the slope's cosine: the distance between the two surfaces.
    for mine, theirs in ((low, kept.bottom[at]), (high, kept.top[at])):
        assert (np.abs(mine - theirs) * slope).max() < 0.02


def test_beside_a_tab_wood_is_left_on_the_body_but_none_is_missing(kept):
    at = kept.within(kept.outline.buffer(-0.05)) & kept.within(kept.tabs.buffer(2.0 * kept.fillet))
    plan = kept.plan[at]
    low, high = kept.packet.upright("body.stl").span(plan)
    over, under = kept.top[at] - high, low - kept.bottom[at]
    assert min(over.min(), under.min()) > -0.02
    # No higher than a ball between the two could leave it.
    assert max(over.max(), under.max()) < 5.0


def test_nothing_is_left_beside_it_but_tabs(kept):
    beside = kept.carved & ~kept.within(kept.outline.buffer(0.05)) & ~kept.within(kept.tabs.buffer(0.05))
    assert beside.sum() > 1000
    left = kept.top[beside] - kept.bottom[beside]
    # The skirts pass each other by the overlap, so that no ridge stands where they meet.
    assert left.max() < 0.0, f"{left.max():.3f} mm of wood in the skirt"


def test_tabs_are_as_thick_as_asked(kept):
    asked = lengths.length_mm(kept.packet.asked["tabs"]["thickness"])
    inner = kept.tabs.buffer(-0.3).difference(kept.outline.buffer(0.3))
    at = kept.within(inner) & kept.carved
    assert at.sum() > 50
    assert (kept.top[at] - kept.bottom[at]).min() > asked - 0.05
    # Flat between the fillet at the body and the one at the frame.
    middle = inner.difference(kept.outline.buffer(kept.fillet)).intersection(kept.outline.buffer(kept.fillet + 0.6))
    at = kept.within(middle) & kept.carved
    assert at.sum() > 10
    thick = kept.top[at] - kept.bottom[at]
    assert thick == pytest.approx(np.full(at.sum(), asked), abs=0.06)


def test_reliefs_lie_in_the_stock_at_the_shops_zero(packet):
    height = packet.json["stock"]["height_mm"]
    zero = packet.json["shop"]["zero"]
    low, high = (-height, 0.0) if zero == "top" else (0.0, height)
    for setup in ("top", "bottom"):
        z0, z1 = packet.mesh(f"{setup}/relief.stl").bounds[:, 2]
        assert z0 >= low - 1e-3 and z1 <= high + 1e-3, setup
