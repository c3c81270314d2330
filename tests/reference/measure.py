"""Measures on triangle meshes, by rays and cuts written here: nothing of the product's formulas.

Checked against closed forms in `test_closed_forms.py`.
"""

import numpy as np
import shapely
import trimesh
from scipy.spatial import cKDTree


class Upright:
    """Meets upright lines with a mesh: a grid of bins over the plan, then barycentric weights."""

    def __init__(self, points, triangles):
        t = np.asarray(points, float)[np.asarray(triangles)]
        a, b, c = t[:, 0], t[:, 1], t[:, 2]
        area = (b[:, 0] - a[:, 0]) * (c[:, 1] - a[:, 1]) - (b[:, 1] - a[:, 1]) * (c[:, 0] - a[:, 0])
        keep = area != 0.0
        self.a, self.b, self.c, self.area = a[keep], b[keep], c[keep], area[keep]
        normal = np.cross(self.b - self.a, self.c - self.a)
        self.steep = np.abs(normal[:, 2]) / np.linalg.norm(normal, axis=1)
        low = np.minimum(np.minimum(self.a, self.b), self.c)[:, :2]
        high = np.maximum(np.maximum(self.a, self.b), self.c)[:, :2]
        self.origin = low.min(0)
        extent = high.max(0) - self.origin
        self.cell = max(np.sqrt(extent[0] * extent[1] / max(len(low), 1)) * 0.5, extent.max() / 2000)
        self.shape = (np.floor(extent / self.cell) + 1).astype(int)
        i0 = np.floor((low - self.origin) / self.cell).astype(int)
        i1 = np.minimum(np.floor((high - self.origin) / self.cell).astype(int), self.shape - 1)
        spans = i1 - i0 + 1
        count = spans[:, 0] * spans[:, 1]
        owner = np.repeat(np.arange(len(count)), count)
        step = np.arange(count.sum()) - np.repeat(np.cumsum(count) - count, count)
        x = i0[owner, 0] + step // spans[owner, 1]
        y = i0[owner, 1] + step % spans[owner, 1]
        cell = x * self.shape[1] + y
        order = np.argsort(cell, kind="stable")
        self.members = owner[order]
        self.starts = np.searchsorted(cell[order], np.arange(self.shape.prod() + 1))

    def hits(self, plan):
        """For lines at `plan` (n × 2): index of the line, height, |cos| of the slope, per hit."""
        plan = np.atleast_2d(np.asarray(plan, float))
        index = np.floor((plan - self.origin) / self.cell).astype(int)
        inside = ((index >= 0) & (index < self.shape)).all(1)
        lines = np.nonzero(inside)[0]
        cells = index[lines, 0] * self.shape[1] + index[lines, 1]
        count = self.starts[cells + 1] - self.starts[cells]
        line = np.repeat(lines, count)
        step = np.arange(count.sum()) - np.repeat(np.cumsum(count) - count, count)
        tri = self.members[np.repeat(self.starts[cells], count) + step]
        p = plan[line]
        a, b, c, area = self.a[tri], self.b[tri], self.c[tri], self.area[tri]
        v = ((p[:, 0] - a[:, 0]) * (c[:, 1] - a[:, 1]) - (p[:, 1] - a[:, 1]) * (c[:, 0] - a[:, 0])) / area
        w = ((b[:, 0] - a[:, 0]) * (p[:, 1] - a[:, 1]) - (b[:, 1] - a[:, 1]) * (p[:, 0] - a[:, 0])) / area
        u = 1.0 - v - w
        # A line through an edge may meet either side of it: both are right, none would be wrong.
        hit = (u >= -1e-9) & (v >= -1e-9) & (w >= -1e-9)
        z = a[:, 2] * u + b[:, 2] * v + c[:, 2] * w
        return line[hit], z[hit], self.steep[tri[hit]]

    def span(self, plan):
        """Lowest and highest hit of each line; NaN where there is none."""
        plan = np.atleast_2d(np.asarray(plan, float))
        line, z, _ = self.hits(plan)
        low = np.full(len(plan), np.inf)
        high = np.full(len(plan), -np.inf)
        np.minimum.at(low, line, z)
        np.maximum.at(high, line, z)
        missed = ~np.isfinite(low)
        low[missed] = high[missed] = np.nan
        return low, high

    def slopes(self, plan):
        """Least |cos| of the slope among the hits of each line: 1 where flat, 0 where upright."""
        plan = np.atleast_2d(np.asarray(plan, float))
        line, _, steep = self.hits(plan)
        least = np.ones(len(plan))
        np.minimum.at(least, line, steep)
        return least

    def covered(self, x, y):
        """Whether there is wood at each place."""
        return ~np.isnan(self.span(np.column_stack(np.broadcast_arrays(x, y)))[0])


def volume(points, triangles):
    """By the divergence theorem."""
    t = np.asarray(points, float)[np.asarray(triangles)]
    return np.einsum("ij,ij->i", t[:, 0], np.cross(t[:, 1], t[:, 2])).sum() / 6.0


def area(points, triangles):
    """Of the surface."""
    t = np.asarray(points, float)[np.asarray(triangles)]
    return np.linalg.norm(np.cross(t[:, 1] - t[:, 0], t[:, 2] - t[:, 0]), axis=1).sum() / 2.0


def angle_least(points, triangles):
    """The least angle of any triangle, in degrees."""
    t = np.asarray(points, float)[np.asarray(triangles)]
    least = np.inf
    for k in range(3):
        u = t[:, (k + 1) % 3] - t[:, k]
        v = t[:, (k + 2) % 3] - t[:, k]
        angle = np.arctan2(np.linalg.norm(np.cross(u, v), axis=1), np.einsum("ij,ij->i", u, v))
        least = min(least, angle.min())
    return float(np.degrees(least))


def distance(points, corners, triangles, enough):
    """Distance of each point from the nearest triangle, among those whose middles are nearest:
    never less than the true one. A point that seems further than `enough` is looked at again
    among more."""
    t = np.asarray(corners, float)[np.asarray(triangles)]
    tree = cKDTree(t.mean(1))
    best = np.full(len(points), np.inf)
    for count in (8, 60, 600):
        todo = np.flatnonzero(best > enough)
        if not len(todo):
            break
        _, near = tree.query(points[todo], k=min(count, len(t)))
        for start in range(0, len(todo), 2000):
            part = todo[start : start + 2000]
            rows = near[start : start + 2000]
            repeated = np.repeat(points[part], rows.shape[1], axis=0)
            foot = trimesh.triangles.closest_point(t[rows.ravel()], repeated)
            apart = np.linalg.norm(foot - repeated, axis=1).reshape(rows.shape)
            best[part] = np.minimum(best[part], apart.min(1))
    return best


def silhouette(points, triangles):
    """The plan of a mesh as polygons, largest first: all its upward triangles laid down and made
    one. Gaps and chips under a thousandth of a mm² are the rounding of float32."""
    t = np.asarray(points, float)[np.asarray(triangles)][:, :, :2]
    u, v = t[:, 1] - t[:, 0], t[:, 2] - t[:, 0]
    up = u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0] > 0.0
    laid = shapely.union_all(shapely.polygons(t[up]))
    parts = [laid] if laid.geom_type == "Polygon" else list(laid.geoms)
    parts = [
        shapely.Polygon(part.exterior, [r for r in part.interiors if shapely.Polygon(r).area > 1e-3])
        for part in parts
        if part.area > 1e-3
    ]
    return sorted(parts, key=lambda part: -part.area)


def crossing(inside, outside, test, steps=60):
    """The place between the two where `test` changes, by halving."""
    for _ in range(steps):
        middle = (inside + outside) / 2.0
        if test(middle):
            inside = middle
        else:
            outside = middle
    return (inside + outside) / 2.0


def onset(distance, fall, least=0.02, most=0.3):
    """Where a fall begins, when it is seen surely only from `least` on: fall = A (d - d0)^p through
    the samples between `least` and `most`, p from 1 (an edge) to 3."""
    use = (fall > least) & (fall < most)
    first = np.argmax(fall >= most) if (fall >= most).any() else len(fall)
    use &= np.arange(len(fall)) < first
    d, f = distance[use], fall[use]
    if len(d) < 5:
        raise ValueError("too few samples in the fall")
    best = None
    for start in np.linspace(d[0] - 1.5, d[0] - 1e-4, 3000):
        x = np.log(d - start)
        power, offset = _line(x, np.log(f))
        if not 0.95 <= power <= 3.0:
            continue
        miss = np.square(np.exp(offset + power * x) - f).sum()
        if best is None or miss < best[0]:
            best = (miss, start)
    if best is None:
        raise ValueError("no onset fits")
    return best[1]


def _line(x, y):
    xm, ym = x.mean(), y.mean()
    slope = ((x - xm) * (y - ym)).sum() / np.square(x - xm).sum()
    return slope, ym - slope * xm
