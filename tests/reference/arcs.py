"""Lines and arcs of a DXF polyline as polygons."""

import math

import numpy as np
import shapely


def flattened(vertices, sagitta=0.0002):
    """Corners (x, y, bulge) of a closed path as a list of points, arcs cut to chords within
    `sagitta` of them.

    Bulge = tan(included angle / 4), negative when clockwise; it sits on the segment's first
    vertex (DXF Reference, LWPOLYLINE, group 42)."""
    out = []
    for (x0, y0, bulge), (x1, y1, _) in zip(vertices, vertices[1:] + vertices[:1]):
        out.append((x0, y0))
        chord = math.hypot(x1 - x0, y1 - y0)
        if bulge == 0.0 or chord == 0.0:
            continue
        angle = 4.0 * math.atan(bulge)
        radius = chord / (2.0 * math.sin(abs(angle) / 2.0))
        # Middle of the circle: from the chord's middle, to its left for a small
        # counter-clockwise arc.
        off = radius * math.cos(angle / 2.0) * (1.0 if bulge > 0 else -1.0)
        cx = (x0 + x1) / 2.0 - (y1 - y0) / chord * off
        cy = (y0 + y1) / 2.0 + (x1 - x0) / chord * off
        step = 2.0 * math.acos(max(1.0 - sagitta / radius, 0.0)) if radius > sagitta else 1.0
        count = max(2, math.ceil(abs(angle) / step))
        start = math.atan2(y0 - cy, x0 - cx)
        for k in range(1, count):
            turn = start + angle * k / count
            out.append((cx + radius * math.cos(turn), cy + radius * math.sin(turn)))
    return out


def area(vertices):
    """Signed area of a closed path, in closed form: the polygon's, and the segment of each arc."""
    total = 0.0
    for (x0, y0, bulge), (x1, y1, _) in zip(vertices, vertices[1:] + vertices[:1]):
        total += (x0 * y1 - x1 * y0) / 2.0
        if bulge != 0.0:
            angle = 4.0 * math.atan(bulge)
            chord = math.hypot(x1 - x0, y1 - y0)
            radius = chord / (2.0 * math.sin(abs(angle) / 2.0))
            total += math.copysign(radius**2 / 2.0 * (abs(angle) - math.sin(abs(angle))), bulge)
    return total


def polygon(vertices, sagitta=0.0002):
    """The same as a polygon."""
    return shapely.Polygon(flattened(vertices, sagitta))


def moved(vertices, scale):
    """The path in another unit."""
    return [(x * scale, y * scale, bulge) for x, y, bulge in vertices]


def turns(vertices):
    """Angles in degrees by which the direction breaks at each corner: 0 where arcs are tangent."""
    heads, tails = [], []
    for (x0, y0, bulge), (x1, y1, _) in zip(vertices, vertices[1:] + vertices[:1]):
        chord = math.atan2(y1 - y0, x1 - x0)
        half = 2.0 * math.atan(bulge)
        heads.append(chord - half)
        tails.append(chord + half)
    gaps = np.array(heads) - np.roll(np.array(tails), 1)
    return np.degrees(np.abs((gaps + math.pi) % (2.0 * math.pi) - math.pi))
