"""Every number that a design file asks for, measured on the mesh. A size is true within 0.05 mm:
about what a caliper with a vernier tells in wood, and a tenth of what a pass with sandpaper takes."""

import lengths
import measure
import numpy as np
import pytest
import sizes

TRUE_MM = 0.05


def test_length(packet):
    low, high = packet.mesh("body.stl").bounds
    assert low[0] == pytest.approx(0.0, abs=TRUE_MM)
    assert high[0] == pytest.approx(packet.length, abs=TRUE_MM)


def test_head_width(packet):
    xs = np.linspace(packet.neck + 5, packet.length - 1, 500)
    widest = max(np.ptp(sizes.across(packet, x)) for x in xs)
    assert widest == pytest.approx(lengths.length_mm(packet.head["width"]), abs=TRUE_MM)


def test_handle_widths(packet):
    for at, size in lengths.stations(packet.asked["handle"]["width"], "size"):
        x = sizes.handle_place(packet, at)
        assert np.ptp(sizes.across(packet, x)) == pytest.approx(size, abs=TRUE_MM), f"at {at:.0%}"


def test_handle_thicknesses(packet):
    for at, size in lengths.stations(packet.asked["handle"]["thickness"], "size"):
        x = sizes.handle_place(packet, at)
        low, high = sizes.height_at(packet, x, np.mean(sizes.across(packet, x)))
        assert high - low == pytest.approx(size, abs=TRUE_MM), f"at {at:.0%}"


def test_handle_rise(packet):
    for at, rise in lengths.stations(packet.asked["handle"].get("curve", []), "rise"):
        x = sizes.handle_place(packet, at)
        middle = np.mean(sizes.height_at(packet, x, np.mean(sizes.across(packet, x))))
        assert middle == pytest.approx(rise, abs=TRUE_MM), f"at {at:.0%}"


def test_handle_sway(packet):
    rows = packet.asked["handle"].get("sway", [])
    for row in rows:
        key = next(key for key in row if key != "at")
        x = sizes.handle_place(packet, lengths.percent(row["at"]))
        assert np.mean(sizes.across(packet, x)) == pytest.approx(lengths.length_mm(row[key]), abs=TRUE_MM)
    if not rows:
        xs = np.linspace(5, packet.neck, 40)
        assert max(abs(np.mean(sizes.across(packet, x))) for x in xs) < TRUE_MM


def test_hollow_depth_and_wall(packet):
    if packet.kind == "turner":
        pytest.skip("a turner has no hollow")
    place, floor = sizes.lowest(packet)
    assert sizes.rim_plane(packet) - floor == pytest.approx(
        lengths.length_mm(packet.head["depth"]), abs=TRUE_MM
    )
    low, high = sizes.height_at(packet, *place)
    assert high - low == pytest.approx(lengths.length_mm(packet.head["wall"]), abs=TRUE_MM)


def test_the_wall_is_what_a_caliper_finds_inside_the_rim(packet):
    """The nearest place of the back, from anywhere in the hollow. At its edge there is what the rim land
    has; half a millimetre in it begins to grow, by about a fifth of the way in, until it is the wall."""
    if packet.kind == "turner":
        pytest.skip("a turner has no hollow")
    wall = lengths.length_mm(packet.head["wall"])
    inward, wood = sizes.wood_behind(packet)
    at_edge = wood[inward < 1.0].min()
    across_rim = [lengths.length_mm(size) for size in (packet.head["rim"], packet.asked["utensil"]["edge"])]
    assert at_edge > 0.95 * min(wall, np.hypot(*across_rim))
    assert (wood - np.minimum(wall, at_edge + 0.18 * (inward - 0.5))).min() > -TRUE_MM
    whole = wood[at_edge + 0.18 * (inward - 0.5) >= wall]
    assert len(whole) > 0.3 * len(wood)
    assert whole.min() == pytest.approx(wall, abs=TRUE_MM)


def test_rim_land_is_flat_and_as_wide_as_asked(fine):
    if fine.kind == "turner":
        pytest.skip("a turner has no rim land")
    level = sizes.rim_plane(fine)
    rim = lengths.length_mm(fine.head["rim"])
    for inset in (0.1, 0.5 * rim, 0.85 * rim):
        heights = fine.upright("body.stl").span(sizes.land_places(fine, inset))[1]
        assert np.abs(heights - level).max() < 0.01, f"{inset} mm inside the outline"
    widest = lengths.percent(fine.head.get("widest", "54 %"))
    for at in (widest, 0.6, 0.7, 0.8, 0.9):
        for width in sizes.land_width(fine, at):
            assert width == pytest.approx(rim, abs=TRUE_MM), f"at {at:.0%} of the head"
    # Towards the neck the hollow rounds off before the outline does: the land widens, never thins.
    for at in (0.3, 0.4, 0.5):
        for width in sizes.land_width(fine, at):
            assert width > rim - TRUE_MM, f"at {at:.0%} of the head"


def test_blade(fine):
    if fine.kind != "turner":
        pytest.skip("no blade")
    blade = fine.asked["blade"]
    # From the front edge back, in the middle.
    d = np.arange(0.05, 0.8 * lengths.length_mm(blade["length"]), 0.05)
    line = np.column_stack([fine.length - d, np.zeros_like(d)])
    low, high = fine.upright("body.stl").span(line)
    thick = high - low
    bevel = lengths.length_mm(blade["bevel"])
    rest = thick[d > 1.3 * bevel]
    middle = lengths.length_mm(blade["thickness"])
    at = np.argmin(np.abs(d - lengths.length_mm(blade["length"]) / 2))
    assert thick[at] == pytest.approx(middle, abs=TRUE_MM)
    near = d < 0.3
    slope, front = np.polyfit(d[near], thick[near], 1)
    assert front == pytest.approx(lengths.length_mm(blade["front"]), abs=TRUE_MM)
    # The bevel begins where the top begins to fall towards the front.
    flat = np.median(high[(d > 1.1 * bevel) & (d < 1.4 * bevel)])
    order = np.argsort(-d[d < 1.4 * bevel])
    back = d[d < 1.4 * bevel][order]
    fall = flat - high[d < 1.4 * bevel][order]
    begin = back[0] - measure.onset(back[0] - back, fall, least=0.01, most=0.4)
    assert begin == pytest.approx(bevel, abs=TRUE_MM)
    assert rest.min() > front


def test_slots(fine):
    if fine.kind != "fork":
        pytest.skip("no slots")
    tines = fine.asked["tines"]
    slot = tines["slot"]
    width, deep = lengths.length_mm(slot["width"]), lengths.length_mm(slot["length"])
    taper = np.radians(lengths.degrees(slot.get("taper", "0 deg")))
    ray = fine.upright("finished.stl")
    root = fine.length - deep

    def gaps(x):
        """Slots at that x: their two edges, found by halving."""
        y0, y1 = sizes.across(fine, x)
        ys = np.arange(y0 + 0.05, y1 - 0.05, 0.1)
        solid = ray.covered(x, ys)
        found, start = [], None
        for k in range(1, len(ys)):
            if solid[k] != solid[k - 1]:
                wood, air = (ys[k], ys[k - 1]) if solid[k] else (ys[k - 1], ys[k])
                edge = measure.crossing(wood, air, lambda y: bool(ray.covered(x, y)[0]), 20)
                if solid[k]:
                    found.append((start, edge))
                start = edge
        return found

    # Past the rounded root the sides run straight: width at x grows by 2 tan(taper / 2).
    begin = root + width / 2
    for x in np.linspace(begin + 1.0, fine.length - 0.35 * deep, 4):
        cuts = gaps(x)
        assert len(cuts) == tines["count"] - 1, f"slots at x = {x:.1f}"
        for low, high in cuts:
            asked = width + 2 * np.tan(taper / 2) * (x - begin)
            assert high - low == pytest.approx(asked, abs=TRUE_MM), f"at x = {x:.1f}"
    for low, high in gaps(begin + 1.0):
        y = (low + high) / 2
        end = measure.crossing(root - 3.0, begin, lambda x: bool(ray.covered(x, y)[0]), 30)
        assert end == pytest.approx(root, abs=TRUE_MM)


def test_no_tine_is_thinner_than_the_list_says(fine):
    if fine.kind != "fork":
        pytest.skip("no tines")
    ray = fine.upright("finished.stl")
    slot = fine.asked["tines"]["slot"]
    root = fine.length - lengths.length_mm(slot["length"]) + lengths.length_mm(slot["width"]) / 2
    listed = fine.json["measured"]["tine_width_least_mm"]
    for x in np.linspace(root, fine.length - 12, 12):
        y0, y1 = sizes.across(fine, x)
        ys = np.arange(y0 - 0.02, y1 + 0.02, 0.01)
        solid = np.concatenate([[False], ray.covered(x, ys), [False]])
        change = np.flatnonzero(np.diff(solid.astype(int)))
        widths = (change[1::2] - change[::2]) * 0.01
        # The two outer tines round off towards their ends, which the list leaves out.
        counted = widths if x < root + 15 else widths[1:-1]
        assert counted.min() >= listed - TRUE_MM, f"at x = {x:.1f}: {widths}"
