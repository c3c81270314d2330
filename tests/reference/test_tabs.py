"""Tabs: their feet as the ball cutter leaves them, places that the tool chooses, saw lines."""

import re
import subprocess
import tomllib

import arcs
import numpy as np
import pytest
import shapely
from conftest import BOARDS, PROGRAM, ROOT, Packet
from scipy import ndimage
from shapely import affinity

CELL_MM = 0.1


def made(kind, folder, tabs, shop=None):
    """A packet of the shipped design with another [tabs] section."""
    text = (ROOT / f"params/designs/harvest-{kind}.toml").read_text(encoding="utf-8")
    text, count = re.subn(r"\[tabs\].*?\n(?=\[|#)", f"[tabs]\n{tabs}\n\n", text, count=1, flags=re.S)
    # What stood between the section's comments goes with it.
    text = re.sub(r"(\[tabs\]\n.*?\n\n).*?(?=\[give\])", r"\1", text, flags=re.S)
    assert count == 1
    design = folder / "design.toml"
    design.write_text(text, encoding="utf-8")
    command = [PROGRAM, "build", design, "--board", ROOT / f"params/boards/{BOARDS[kind]}.toml"]
    command += ["--shop", shop or ROOT / "params/shop.toml", "--out", folder / "out"]
    done = subprocess.run([str(part) for part in command], capture_output=True, text=True)
    return done, Packet(kind, folder / "out")


@pytest.fixture(scope="module", params=["auto", "auto, 4", "auto, 8", "as shipped"])
def tabbed(request, kind, packets, tmp_path_factory):
    if request.param == "as shipped":
        return packets(kind)
    count = request.param.partition(", ")[2]
    tabs = 'place = "auto"\n' + (f"count = {count}\n" if count else "")
    done, packet = made(kind, tmp_path_factory.mktemp(kind), tabs)
    assert done.returncode == 0, done.stdout + done.stderr
    packet.count = int(count or 0)
    return packet


def paths(packet, side, name, layer):
    return [path for found, path in packet.drawing(f"{side}/{name}.dxf").paths if found == layer]


def region(packet, name, setup="top"):
    """In the design frame."""
    back = np.linalg.inv(packet.to_setup(setup))
    m = [back[0, 0], back[0, 1], back[1, 0], back[1, 1], back[0, 3], back[1, 3]]
    return [affinity.affine_transform(arcs.polygon(p), m) for p in paths(packet, setup, name, name)]


def frame(corners, outline):
    """Middle of a tab's inner edge, the way along it and the way out, in the setup's plan."""
    points = np.array([c[:2] for c in corners])
    for _ in range(4):
        points = np.roll(points, 1, axis=0)
        inner = shapely.LineString(points[:2])
        if outline.buffer(0.2).contains(inner) and not outline.buffer(2.0).contains(shapely.Polygon(points)):
            break
    along = points[1] - points[0]
    width = np.linalg.norm(along)
    out = points[3] - points[0]
    return points[:2].mean(axis=0), along / width, out / np.linalg.norm(out), width


@pytest.mark.parametrize("side", ["top", "bottom"])
def test_the_ball_reaches_each_foot_and_leaves_no_step(tabbed, side):
    shop = tabbed.json["shop"]
    radius = next(c for c in shop["cutters"] if c["name"] == shop["work"]["finish"])["diameter_mm"] / 2.0
    outline = arcs.polygon(paths(tabbed, side, "outline", "outline")[0])
    relief = tabbed.upright(f"{side}/relief.stl")
    stock_top = tabbed.json["setups"][side]["stock_top_mm"]
    steps = int(radius / CELL_MM)
    dx, dy = np.meshgrid(np.arange(-steps, steps + 1), np.arange(-steps, steps + 1))
    far = (dx**2 + dy**2) * CELL_MM**2
    ball = far <= radius**2
    rise = np.where(ball, radius - np.sqrt(np.maximum(radius**2 - far, 0.0)), 0.0)
    for corners in paths(tabbed, side, "tabs", "tabs"):
        foot, along, out, width = frame(corners, outline)
        a = np.arange(-60, 61) * CELL_MM + 1e-4
        s = np.arange(-75, 76) * CELL_MM + 1e-4
        grid = foot + a[None, :, None] * along + s[:, None, None] * out
        model = relief.span(grid.reshape(-1, 2))[1].reshape(len(s), len(a))
        model = np.where(np.isnan(model), stock_top, model)
        tips = ndimage.grey_dilation(model, footprint=ball, structure=-rise)
        left = ndimage.grey_erosion(tips, footprint=ball, structure=-rise)
        core = np.ix_((s > -4.0) & (s < 2.0 * radius + 0.5), np.abs(a) < width / 2 - radius)
        # Square to the surface: on a steep foot the mesh's own 0.02 mm is more than that upright.
        steep = np.hypot(*np.gradient(model, CELL_MM))
        missed = ((left - model) / np.hypot(1.0, steep))[core]
        assert missed.min() > -1e-9
        assert missed.max() < 0.06, f"{missed.max():.3f} mm left at a foot"
        step = np.abs(np.diff(left, axis=0))[core]
        assert step.max() < 6.0 * CELL_MM, f"a step of {step.max():.2f} mm"


def test_saw_lines_cross_each_tab_clear_of_the_body(tabbed):
    for side in ("top", "bottom"):
        outline = arcs.polygon(paths(tabbed, side, "outline", "outline")[0])
        tabs = [arcs.polygon(p) for p in paths(tabbed, side, "tabs", "tabs")]
        lines = [shapely.LineString([c[:2] for c in p]) for p in paths(tabbed, side, "saw", "saw-lines")]
        assert len(lines) == len(tabs) >= 2
        for line, tab in zip(lines, tabs):
            cut = line.intersection(tab)
            assert cut.length == pytest.approx(tabbed.json["design"]["tabs"]["width_mm"], abs=0.01)
            assert 0.4 < line.distance(outline) < 1.5
    board = [name for name, _ in tabbed.drawing("board.dxf").paths]
    assert board.count("saw-lines") == len(tabs)


def test_the_estimate_is_there_and_says_so(tabbed):
    held = tabbed.json["workholding"]["tabs"]
    assert "beam" in held["estimate"]
    load = tabbed.json["shop"]["tabs"]
    sheet = (tabbed.folder / "sheet.html").read_text(encoding="utf-8")
    assert "the weakest tab bears" in sheet
    weak = [f for f in tabbed.json["findings"] if f["code"] == "tab-weak"]
    enough = min(e["bears_factor"] for e in held["each"]) >= load["safety"] and held["gives_way_mm"] <= load["sag_mm"]
    assert enough != bool(weak)
    for each in held["each"]:
        # Averages of the handbook or the species sheets, across the grain a twenty-fifth.
        assert each["bears_factor"] == pytest.approx(each["strength_mpa"] / each["stress_mpa"], rel=1e-4)
        assert 2.0 < each["strength_mpa"] < 120.0


def test_places_that_the_tool_chose(tabbed):
    asked = tabbed.json["design"]["tabs"]
    if asked["placed_by"] != "tool":
        return
    held = tabbed.json["workholding"]["tabs"]
    tabs = region(tabbed, "tabs")
    assert len(tabs) == len(asked["place"]) == len(held["each"])
    assert tabbed.count in (0, len(tabs)) and 2 <= len(tabs) <= 8
    # The supports enclose the middle of the body's mass, as another library has it.
    middle = tabbed.mesh("body.stl").center_mass
    hull = shapely.union_all(tabs).convex_hull
    assert hull.contains(shapely.Point(middle[:2]))
    assert held["middle_inside_supports_mm"] > 0.0
    body = tabbed.upright("body.stl")
    for tab, each in zip(tabs, held["each"]):
        assert tab.distance(shapely.Point(each["foot_mm"])) < 0.5
        # Stout: as thick as the tab 3 mm inside.
        inward = np.array(middle[:2]) - each["foot_mm"]
        outline = tabbed.outline()[0]
        ring = outline.buffer(-3.0).boundary.intersection(tab.buffer(4.0))
        points = shapely.get_coordinates(ring)
        low, high = body.span(points)
        near = [np.linalg.norm(p - np.array(each["foot_mm"])) < 3.5 for p in points]
        assert (high - low)[near].min() > each["thickness_mm"] - 0.05, inward
    # Away from the hollow and the slots.
    if tabbed.kind == "fork":
        slots = shapely.union_all(region(tabbed, "slots", "bottom"))
        assert min(tab.distance(slots) for tab in tabs) > 8.0
    # Clear of hold-downs by the shop's margin.
    lips = [arcs.polygon(p) for n, p in tabbed.drawing("board.dxf").paths if n.startswith("hold-downs")]
    on_board = [arcs.polygon(p) for n, p in tabbed.drawing("board.dxf").paths if n == "tabs"]
    margin = tabbed.json["shop"]["limits"]["margin_mm"]
    assert min(tab.distance(lip) for tab in on_board for lip in lips) >= margin - 0.01


def test_a_harder_push_is_answered_with_more_wood(tmp_path):
    wood = []
    for push in ("3 N", "30 N"):
        folder = tmp_path / push.split()[0]
        folder.mkdir()
        shop = folder / "shop.toml"
        text = (ROOT / "params/shop.toml").read_text(encoding="utf-8").replace('push = "10 N"', f'push = "{push}"')
        shop.write_text(text, encoding="utf-8")
        done, packet = made("spoon", folder, 'place = "auto"', shop)
        assert done.returncode == 0, done.stderr
        tabs = packet.json["design"]["tabs"]
        wood.append(len(tabs["place"]) * tabs["thickness_mm"])
    assert wood[0] < wood[1], wood


def keys(table, path=""):
    for key, value in table.items():
        if isinstance(value, dict):
            yield from keys(value, f"{path}{key}.")
        elif isinstance(value, list) and value and isinstance(value[0], dict):
            for item in value:
                yield from keys(item, f"{path}{key}.")
        else:
            yield f"{path}{key}"


def test_the_packet_repeats_every_key_of_the_shop_and_of_the_design(packet):
    """A key of the shipped file, with or without a unit behind it, stands in packet.json."""
    other = {"shop.name": "name", "cutter.": "cutters.", "position.": "positions.", "printer.": "printer_", "stop.": "stops."}
    for name, file in (("shop", "shop.toml"), ("design", f"designs/harvest-{packet.kind}.toml")):
        asked = tomllib.loads((ROOT / "params" / file).read_text(encoding="utf-8"))
        have = set(keys(packet.json[name]))
        flat = {re.sub(r"_(mm|deg|percent|rpm|mm_min|min|n|factor)$", "", key) for key in have} | have
        for key in set(keys(asked)):
            for old, new in other.items():
                key = key.replace(old, new) if key.startswith(old) else key
            key = re.sub(r"^(shop|utensil)\.", "", key)
            key = key.replace("feed", "feed_mm_min").replace("speed", "speed_rpm") if key.startswith("cutters") else key
            if key.startswith(("give.", "accept.")):
                continue
            key = key.replace("curve.rise", "curve.size").replace("sway.shift", "sway.size").replace("slot.", "slot_")
            alike = {key, f"{key}_mm", f"{key}_n", f"{key}_deg", f"{key}_percent"}
            assert alike & (flat | have), f"{name}: {key} is not in packet.json"
