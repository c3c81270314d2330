"""Where a mesh passes through itself, by code of its own: boxes by shapely's tree, signs of
volumes in floats with a bound on their error, and in whole numbers where that does not decide.

Corners are those of the file, 32-bit floats, so every answer is exact.
"""

from fractions import Fraction

import numpy as np
import shapely


def volume_sign(a, b, c, d, exact=True):
    """Sign of the volume of tetrahedra, for arrays of corners (n × 3) that 32-bit floats hold.
    Not exact: 0 where floats do not decide."""
    u, v, w = a - d, b - d, c - d
    terms = [
        u[:, i] * v[:, j] * w[:, k]
        for i, j, k in ((0, 1, 2), (1, 2, 0), (2, 0, 1), (0, 2, 1), (1, 0, 2), (2, 1, 0))
    ]
    total = terms[0] + terms[1] + terms[2] - terms[3] - terms[4] - terms[5]
    # Each of the twenty roundings is within 2^-53 of something no greater than this.
    bound = 32.0 * 2.0**-53 * sum(np.abs(t) for t in terms)
    sign = np.sign(total)
    unsure = np.flatnonzero(np.abs(total) <= bound)
    if not exact:
        sign[unsure] = 0
    elif len(unsure):
        sign[unsure] = exact_sign(*whole([p[unsure] for p in (a, b, c, d)]))
    return sign.astype(int)


def whole(corners):
    """The same places in whole numbers, all by one scale."""
    # A router's lengths are whole numbers of 2^-40 mm, but for those that are all but nothing.
    scaled = [points * 2.0**40 for points in corners]
    if all((np.abs(p) < 2.0**62).all() and (p == np.rint(p)).all() for p in scaled):
        return [p.astype(np.int64).astype(object) for p in scaled]
    # The least 32-bit float is 2^-149.
    exact = np.vectorize(lambda value: int(Fraction(float(value)) * 2**149), otypes=[object])
    return [exact(points) for points in corners]


def exact_sign(a, b, c, d):
    u, v, w = a - d, b - d, c - d
    total = (
        u[:, 0] * (v[:, 1] * w[:, 2] - v[:, 2] * w[:, 1])
        + u[:, 1] * (v[:, 2] * w[:, 0] - v[:, 0] * w[:, 2])
        + u[:, 2] * (v[:, 0] * w[:, 1] - v[:, 1] * w[:, 0])
    )
    return np.array([(t > 0) - (t < 0) for t in total])


def heights(points, triangles):
    """Of each triangle over its longest edge."""
    t = np.asarray(points, float)[np.asarray(triangles)]
    edges = np.linalg.norm(t - np.roll(t, 1, axis=1), axis=2)
    twice = np.linalg.norm(np.cross(t[:, 1] - t[:, 0], t[:, 2] - t[:, 0]), axis=1)
    return twice / np.maximum(edges.max(axis=1), 1e-300)


def candidates(corners):
    """Pairs of triangles whose boxes meet."""
    low, high = corners.min(axis=1), corners.max(axis=1)
    boxes = shapely.box(low[:, 0], low[:, 1], high[:, 0], high[:, 1])
    one, other = shapely.STRtree(boxes).query(boxes)
    keep = one < other
    one, other = one[keep], other[keep]
    keep = (low[one, 2] <= high[other, 2]) & (low[other, 2] <= high[one, 2])
    return one[keep], other[keep]


def crossings(points, triangles):
    """Pairs of triangles that have more in common than corners or an edge that both own."""
    points, triangles = np.asarray(points, float), np.asarray(triangles)
    corners = points[triangles]
    one, other = candidates(corners)
    same = triangles[one][:, :, None] == triangles[other][:, None, :]
    shared = same.sum(axis=(1, 2))
    found = [np.column_stack([one, other])[shared == 3]]
    for count, look in ((0, strangers), (1, cornered), (2, folded)):
        at = np.flatnonzero(shared == count)
        for part in np.array_split(at, len(at) // 200_000 + 1):
            # The corners that they share come first in both.
            a = points[turned(triangles[one[part]], same[part].any(axis=2))]
            b = points[turned(triangles[other[part]], same[part].any(axis=1))]
            near = np.flatnonzero(~beside(a, b, count) & ~beside(b, a, count))
            hit = near[look(a[near], b[near])]
            found.append(np.column_stack([one, other])[part[hit]])
    return np.concatenate(found)


def beside(a, b, shared):
    """Pairs of which surely all corners of one that are not shared lie on one side of the other."""
    sides = np.array([volume_sign(a[:, 0], a[:, 1], a[:, 2], b[:, i], exact=False) for i in range(shared, 3)])
    return (sides > 0).all(axis=0) | (sides < 0).all(axis=0)


def turned(triangles, mark):
    """Marked corners first, the same corner first in both triangles."""
    order = np.lexsort((triangles, ~mark), axis=1)
    return np.take_along_axis(triangles, order, axis=1)


def met(p, q, t):
    """Whether edges meet triangles that they don't lie in the plane of."""
    from_, to = (volume_sign(t[:, 0], t[:, 1], t[:, 2], end) for end in (p, q))
    through = (from_ * to <= 0) & ((from_ != 0) | (to != 0))
    hit = np.zeros(len(p), bool)
    at = np.flatnonzero(through)
    if len(at):
        turns = np.array([volume_sign(p[at], q[at], t[at, i], t[at, (i + 1) % 3]) for i in range(3)])
        hit[at] = (turns >= 0).all(axis=0) | (turns <= 0).all(axis=0)
    return hit


def flat(a, b):
    """Which pairs lie in one plane."""
    return np.all([volume_sign(a[:, 0], a[:, 1], a[:, 2], b[:, i]) == 0 for i in range(3)], axis=0)


def strangers(a, b):
    hit = np.zeros(len(a), bool)
    for i in range(3):
        hit |= met(a[:, i], a[:, (i + 1) % 3], b) | met(b[:, i], b[:, (i + 1) % 3], a)
    level = np.flatnonzero(~hit & flat(a, b))
    hit[level] = [not one.disjoint(other) for one, other in zip(*laid(a[level], b[level]))]
    return hit


def cornered(a, b):
    hit = met(a[:, 1], a[:, 2], b) | met(b[:, 1], b[:, 2], a)
    level = np.flatnonzero(~hit & flat(a, b))
    # Sharing a corner, their common part is that one point or more.
    hit[level] = [one.intersection(other).length > 1e-9 for one, other in zip(*laid(a[level], b[level]))]
    return hit


def folded(a, b):
    hit = np.zeros(len(a), bool)
    level = np.flatnonzero(volume_sign(a[:, 0], a[:, 1], a[:, 2], b[:, 2]) == 0)
    hit[level] = [one.intersection(other).area > 0.0 for one, other in zip(*laid(a[level], b[level]))]
    return hit


def laid(a, b):
    """Pairs of triangles in one plane as polygons, along the two axes in which they have most
    area."""
    normal = np.abs(np.cross(a[:, 1] - a[:, 0], a[:, 2] - a[:, 0]))
    axes = np.array([[1, 2], [0, 2], [0, 1]])[normal.argmax(axis=1)] if len(a) else np.empty((0, 2), int)
    return [shapely.polygons(np.take_along_axis(t, axes[:, None, :], axis=2)) for t in (a, b)]
