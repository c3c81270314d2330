"""Sizes of the utensils as a maker would take them, by rays on the mesh."""

import lengths
import measure
import numpy as np
import scipy.spatial
import shapely


def across(packet, x, name="body.stl"):
    """Least and greatest y of the wood at that x: by the outline cut there."""
    x0, y0, x1, y1 = packet_outline(packet).bounds
    line = shapely.LineString([(x, y0 - 1), (x, y1 + 1)])
    cut = packet_outline(packet).intersection(line)
    return cut.bounds[1], cut.bounds[3]


def packet_outline(packet):
    if not hasattr(packet, "_outline"):
        packet._outline = packet.outline()[0]
    return packet._outline


def height_at(packet, x, y, name="body.stl"):
    """Lowest and highest wood at a place."""
    low, high = packet.upright(name).span([(x, y)])
    return float(low[0]), float(high[0])


def rim_plane(packet):
    """Height of the rim land: the middle value of rays a little inside the head's outline."""
    places = land_places(packet, lengths.length_mm(packet.head["rim"]) * 0.4)
    return float(np.median(packet.upright("body.stl").span(places)[1]))


def land_places(packet, inset):
    """Places that far inside the head's outline, away from the neck."""
    ring = packet_outline(packet).buffer(-inset).exterior
    places = np.array([ring.interpolate(t, normalized=True).coords[0] for t in np.linspace(0, 1, 400)])
    head = packet.length - packet.neck
    return places[places[:, 0] > packet.neck + 0.35 * head]


def lowest(packet):
    """The lowest point of the hollow: place and height."""
    x0, y0, x1, y1 = packet_outline(packet).bounds
    x, y = np.meshgrid(np.arange(packet.neck, x1, 0.25), np.arange(y0, y1, 0.25))
    plan = np.column_stack([x.ravel(), y.ravel()])
    plan = plan[shapely.contains_xy(packet_outline(packet).buffer(-2.0), plan[:, 0], plan[:, 1])]
    high = packet.upright("body.stl").span(plan)[1]
    at = int(np.nanargmin(high))
    return plan[at], float(high[at])


def wood_behind(packet, step=0.8):
    """Places over a grid of the hollow: how far in from its edge each lies, and from there to the nearest
    place of the back. The back is known at places 0.2 mm apart."""
    rim = lengths.length_mm(packet.head["rim"])
    outline = packet_outline(packet)
    x0, y0, x1, y1 = outline.bounds

    def grid(step, inside):
        x, y = np.meshgrid(np.arange(packet.neck, x1, step), np.arange(y0, y1, step))
        plan = np.column_stack([x.ravel(), y.ravel()])
        plan = plan[shapely.contains_xy(inside, plan[:, 0], plan[:, 1])]
        return plan, packet.upright("body.stl").span(plan)

    back, (low, _) = grid(0.2, outline.buffer(-0.02))
    tree = scipy.spatial.cKDTree(np.column_stack([back, low])[np.isfinite(low)])
    plan, (_, high) = grid(step, outline.buffer(-rim))
    hollow = rim_plane(packet) - high > 0.2 if not packet.head.get("curve") else np.isfinite(high)
    plan, high = plan[hollow], high[hollow]
    inward = np.array([outline.exterior.distance(shapely.Point(*p)) for p in plan]) - rim
    return inward, tree.query(np.column_stack([plan, high]))[0]


def land_width(packet, at):
    """Width of the rim land at a fraction of the head's length from the neck, on both sides:
    from the outline to where the surface begins to fall, square to the outline."""
    level = rim_plane(packet)
    outline = packet_outline(packet)
    x = packet.neck + at * (packet.length - packet.neck)
    widths = []
    for side in (-1, 1):
        y = across(packet, x)[0 if side < 0 else 1]
        along = outline.exterior.project(shapely.Point(x, y))
        a, b = (np.array(outline.exterior.interpolate(along + d).coords[0]) for d in (-0.5, 0.5))
        tangent = (b - a) / np.linalg.norm(b - a)
        inward = np.array([-tangent[1], tangent[0]])
        foot = np.array([x, y])
        if not outline.contains(shapely.Point(foot + inward)):
            inward = -inward
        d = np.arange(0.05, 9.0, 0.01)
        high = packet.upright("body.stl").span(foot + d[:, None] * inward)[1]
        widths.append(measure.onset(d, level - high))
    return widths


def handle_place(packet, at):
    """x of a station of the handle: 0 where the rounding of its end has died out, 1 the neck."""
    handle = packet.asked["handle"]
    first = lengths.length_mm(handle["width"][0]["size"])
    end = lengths.length_mm(handle["end"]) if "end" in handle else 0.6 * first
    return end + at * (packet.neck - end)
