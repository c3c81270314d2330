"""Hold-downs and spacers against the holders that pass over them, by code of its own.

The hold-down's mesh is stood at its place from the packet's block corners; the holder is a cylinder
over the cutter's stick-out; the tip is at the relief's face, found by rays through the STL. Nothing
of the tool's own envelope is used.
"""

import json
import math
import subprocess

import arcs
import lengths
import measure
import numpy as np
import pytest
import shapely
import trimesh
from conftest import BOARDS, PROGRAM, ROOT, Packet
from test_step import read, volume

# Bolts: clearance hole (normal), flats of the head, head's height, washer, its thickness, in mm.
# ISO 273, ISO 4017, ISO 7089 for metric; ASME B18.2.8, B18.2.1, B18.21.1 for inch. M10, 5/16 in and
# 3/8 in were written down from memory.
BOLTS = {
    "M5": (5.5, 8.0, 3.5, 10.0, 1.0),
    "M6": (6.6, 10.0, 4.0, 12.0, 1.6),
    "M8": (9.0, 13.0, 5.3, 16.0, 1.6),
    "M10": (11.0, 16.0, 6.4, 20.0, 2.0),
    "1/4 in": (9 / 32 * 25.4, 0.438 * 25.4, 0.188 * 25.4, 0.625 * 25.4, 0.065 * 25.4),
    "5/16 in": (11 / 32 * 25.4, 0.5 * 25.4, 0.211 * 25.4, 0.688 * 25.4, 0.065 * 25.4),
    "3/8 in": (13 / 32 * 25.4, 0.5625 * 25.4, 0.243 * 25.4, 0.812 * 25.4, 0.065 * 25.4),
}


def build(folder, kind, shop):
    path = folder / "shop.toml"
    path.write_text(shop, encoding="utf-8")
    out = folder / "packet"
    command = [PROGRAM, "build", ROOT / f"params/designs/harvest-{kind}.toml"]
    command += ["--board", ROOT / f"params/boards/{BOARDS[kind]}.toml", "--shop", path, "--out", out]
    done = subprocess.run([str(part) for part in command], capture_output=True, text=True)
    assert done.returncode == 0, done.stdout + done.stderr
    return Packet(kind, out)


def shop_with(**changes):
    text = (ROOT / "params/shop.toml").read_text(encoding="utf-8")
    for old, new in changes.get("lines", []):
        assert old in text, old
        text = text.replace(old, new)
    return text


LOW = [('form = "stepped"', 'form = "low"')]


@pytest.fixture(scope="module")
def low(tmp_path_factory):
    made = {}

    def get(kind):
        if kind not in made:
            folder = tmp_path_factory.mktemp(f"low-{kind}")
            made[kind] = build(folder, kind, shop_with(lines=LOW))
        return made[kind]

    return get


def held(packet, side):
    downs = packet.json["mounting"]["hold_downs"]
    models = {m["form"]: m for m in downs["models"]}
    setup = next(s for s in downs["setups"] if s["setup"] == side)
    return [(place, models[place["form"]]) for place in setup["places"]]


def stand(packet, place, model):
    """The hold-down's mesh on the board's plan, heights over the bed."""
    mesh = packet.mesh(f"{model['file']}.stl").copy()
    at = np.array(place["at_mm"])
    # Of the block's corners the two over the board are the lip's far ones.
    block, lip = np.array(place["block_mm"]), np.array(place["lip_mm"])
    inward = lip.mean(axis=0) - block.mean(axis=0)
    inward /= np.linalg.norm(inward)
    across = np.array([-inward[1], inward[0]])
    x, y, z = mesh.vertices.T
    plan = at + np.outer(x, inward) + np.outer(y, across)
    return trimesh.Trimesh(np.column_stack([plan, z]), mesh.faces, process=False)


def passes(packet, side):
    """Cutter, its places on the board and the tip's height over the bed, of each pass."""
    info = packet.json
    cutters = {c["name"]: c for c in info["shop"]["cutters"]}
    mesh = packet.mesh(f"{side}/relief.stl")
    upright = measure.Upright(mesh.vertices, mesh.faces)
    bed = info["setups"][side]["stock_bottom_mm"]
    back = np.linalg.inv(np.array(info["setups"][side]["board_to_setup"], float).reshape(4, 4))
    drawing = packet.drawing(f"{side}/limits.dxf")
    for entry in info["workholding"]["passes"]:
        if entry["setup"] != side:
            continue
        key, cutter = entry["pass"], cutters[entry["cutter"]]
        rings = [arcs.polygon(p) for name, p in drawing.paths if name == f"{key}-centre"]
        assert rings, key
        if key == "edge":
            plan = np.concatenate([np.array(r.segmentize(1.0).exterior.coords) for r in rings])
        else:
            area = shapely.union_all(rings)
            low, high = np.array(area.bounds[:2]), np.array(area.bounds[2:])
            axes = [np.arange(a, b + 1.0, 1.5) for a, b in zip(low, high)]
            plan = np.stack(np.meshgrid(*axes, indexing="ij"), -1).reshape(-1, 2)
            plan = plan[shapely.contains_xy(area, plan[:, 0], plan[:, 1])]
            edge = np.concatenate([np.array(r.segmentize(1.0).exterior.coords) for r in rings])
            plan = np.concatenate([plan, edge])
        tip = upright.span(plan)[1] - bed
        known = ~np.isnan(tip)
        plan, tip = plan[known], tip[known]
        if entry["through"]:
            tip = np.full_like(tip, entry["tip_lowest_mm"])
        flat = np.column_stack([plan, np.zeros(len(plan)), np.ones(len(plan))]) @ back.T
        yield key, cutter, flat[:, :2], tip
    if side == "top":
        # The pins' holes are bored through the board in the first setup.
        pins = np.array(info["mounting"]["pins_mm"])
        yield "pins", cutters[info["mounting"]["drilling"]["cutter"]], pins, np.full(len(pins), -0.5)


def clearance(packet, side, place, model, holder):
    """Least distance in the plan from any holder to what of the hold-down reaches as high as it,
    and of any cutter to the hold-down."""
    solid = stand(packet, place, model)
    levels = np.unique(np.round(solid.vertices[:, 2], 6))
    # What stands above each level, as the hull of the block's plan there and of the bolt's head.
    whole = shapely.MultiPoint(solid.vertices[:, :2]).convex_hull
    head = shapely.Point(place["bolt_mm"]).buffer(BOLTS["M6"][3] / 2 + packet.json["shop"]["hold_down"]["slide_mm"] / 2)
    parts = [(levels[-1], whole), (model["over_mm"], head)]
    nearest, cutting = math.inf, math.inf
    for _, cutter, plan, tip in passes(packet, side):
        points = shapely.points(plan)
        cutting = min(cutting, (shapely.distance(points, whole) - cutter["diameter_mm"] / 2).min())
        face = tip + cutter["stick_out_mm"]
        for top, part in parts:
            low = face < top
            if low.any():
                # A cone over its length: widest where the hold-down is highest.
                share = np.clip((top - face[low]) / holder["length_mm"], 0.0, 1.0)
                radius = (holder["nose_mm"] + (holder["diameter_mm"] - holder["nose_mm"]) * share) / 2
                nearest = min(nearest, (shapely.distance(points[low], part) - radius).min())
    return nearest, cutting


@pytest.mark.parametrize("side", ["top", "bottom"])
def test_no_holder_and_no_cutter_touches_a_hold_down(packet, side):
    shop = packet.json["shop"]
    places = held(packet, side)
    assert len(places) >= 4
    for place, model in places:
        nearest, cutting = clearance(packet, side, place, model, shop["holder"])
        assert nearest >= shop["limits"]["holder_mm"] - 1e-6, place
        assert cutting >= shop["limits"]["margin_mm"] - 1e-3, place


@pytest.mark.parametrize(("kind", "wide"), [("fork", 110.0)])
def test_a_wide_holder_hung_low_moves_the_hold_downs(tmp_path, kind, wide):
    """On short cutters a wide holder comes down beside the piece, so that some of the places that
    do for a narrow one are in its way; those that it gets are clear of it."""
    written = '[holder]                    # the collet nut or holder above the cutter; left out: 35 mm, 40 mm\n'
    lines = [('stick_out = "1-3/4 in"', 'stick_out = "1-1/2 in"'), ('head = "washer"', 'head = "flat"')]
    least = {}
    for diameter in (35.0, wide):
        folder = tmp_path / f"{diameter}"
        folder.mkdir()
        new = [(f'{written}diameter = "35 mm"', f'[holder]\ndiameter = "{diameter} mm"')]
        packet = build(folder, kind, shop_with(lines=lines + new))
        found = {f["code"] for f in packet.json["findings"]}
        gaps = []
        for side in ("top", "bottom"):
            places = held(packet, side)
            assert len(places) == 4 or "few-hold-downs" in found
            holder = {"diameter_mm": wide, "nose_mm": wide, "length_mm": 40.0}
            gaps += [clearance(packet, side, *place, holder)[0] for place in places]
        least[diameter] = min(gaps)
    room = packet.json["shop"]["limits"]["holder_mm"]
    assert least[35.0] < room, "the wide holder would hit"
    assert least[wide] >= room - 1e-6


@pytest.mark.parametrize("side", ["top", "bottom"])
def test_lips_bear_on_full_height_wood(packet, side):
    board = packet.json["board"]
    shop = packet.json["shop"]
    drawing = packet.drawing("board.dxf")
    rectangle = shapely.box(0, 0, board["length_mm"], board["width_mm"])
    limits = packet.drawing(f"{side}/limits.dxf")
    carved = [arcs.polygon(p) for name, p in limits.paths if name.endswith("-area")]
    back = np.linalg.inv(np.array(packet.json["setups"][side]["board_to_setup"], float).reshape(4, 4))
    carved = [shapely.transform(p, lambda q: (np.column_stack([q, np.zeros(len(q)), np.ones(len(q))]) @ back.T)[:, :2]) for p in carved]
    holes = [shapely.Point(p).buffer(packet.json["mounting"]["pin_hole_mm"] / 2) for p in packet.json["mounting"]["pins_mm"]]
    drawn = {tuple(np.round(shapely.Polygon(arcs.polygon(p)).centroid.coords[0], 3)) for name, p in drawing.paths if name == f"hold-downs-{side}"}
    for place, _ in held(packet, side):
        lip = shapely.Polygon(place["lip_mm"])
        assert tuple(np.round(lip.centroid.coords[0], 3)) in drawn
        assert rectangle.buffer(1e-6).contains(lip)
        assert lip.area == pytest.approx(shop["hold_down"]["lip_mm"] * shop["hold_down"]["width_mm"], abs=0.01)
        for other in carved:
            assert lip.distance(other) >= shop["limits"]["margin_mm"] - 0.01
        assert all(lip.distance(hole) > 1.0 for hole in holes)
        for flaw in board["flaws"]:
            if "centre_mm" in flaw:
                shape = shapely.Point(flaw["centre_mm"]).buffer(flaw["radius_mm"])
            elif "polygon_mm" in flaw:
                shape = shapely.Polygon(flaw["polygon_mm"])
            else:
                shape = shapely.LineString(flaw["line_mm"])
            assert lip.disjoint(shape), flaw


def test_the_load_of_a_pull_is_what_the_lever_says(packet):
    """Least squares cannot do this, a linear programme can: the greatest load of the loaded side
    over all pulls on the skirt, for hold-downs that only pull down and a bed that only pushes up."""
    scipy = pytest.importorskip("scipy.optimize")
    drawing = packet.drawing("board.dxf")
    for side in ("top", "bottom"):
        setup = next(s for s in packet.json["mounting"]["hold_downs"]["setups"] if s["setup"] == side)
        lips = np.array([np.mean(p["lip_mm"], axis=0) for p in setup["places"]])
        hull = shapely.MultiPoint(lips).convex_hull
        at = np.array(setup["lift_at_mm"])
        if hull.contains(shapely.Point(at)):
            assert setup["lift_load_factor"] == 1.0
            continue
        # The side over which the board would tip: the hull's edge that the place is furthest past.
        corners = np.array(hull.exterior.coords)[:-1]
        worst = 1.0
        for a, b in zip(corners, np.roll(corners, -1, axis=0)):
            way = (b - a) / np.linalg.norm(b - a)
            normal = np.array([-way[1], way[0]])
            past = (at - a) @ normal
            depth = (corners - a) @ normal
            if past > 1e-9 and abs(depth.max()) < 1e-9 or past < -1e-9 and abs(depth.min()) < 1e-9:
                worst = max(worst, 1.0 + abs(past) / np.abs(depth).max())
        assert setup["lift_load_factor"] == pytest.approx(worst, abs=1e-4)
        assert setup["lift_load_factor"] <= 1.5
    assert drawing.paths and scipy


def test_printing_needs_no_support(packet):
    plate = packet.mesh("workholding/print-plate.stl")
    assert plate.is_watertight and plate.is_winding_consistent
    size = packet.json["shop"]["printer_plate_mm"]
    low, high = plate.bounds
    assert low[2] == pytest.approx(0.0, abs=1e-5)
    assert (low[:2] >= 0).all() and (high[:2] <= size).all()
    parts = plate.split(only_watertight=True)
    assert len(parts) == packet.json["mounting"]["plates"][0]["count"] >= 4
    for part in parts:
        assert part.bounds[0, 2] == pytest.approx(0.0, abs=1e-5), "each lies on the printer's bed"
    on_bed = plate.triangles[:, :, 2].max(axis=1) < 1e-5
    down = plate.face_normals[:, 2] < -math.sin(math.radians(45.1))
    assert plate.area_faces[down & ~on_bed].sum() == 0.0
    boxes = [shapely.box(*p.bounds[0, :2], *p.bounds[1, :2]) for p in parts]
    for i, a in enumerate(boxes):
        assert all(a.distance(b) > 3.0 for b in boxes[:i])


def test_a_low_one_bears_in_its_rebate(low):
    for kind in BOARDS:
        packet = low(kind)
        info = packet.json
        stock, shop = info["stock"]["height_mm"], info["shop"]["hold_down"]
        downs = info["mounting"]["hold_downs"]
        assert downs["rebate_mm"] == shop["rebate_mm"] == 10.0
        assert [m["form"] for m in downs["models"]] == ["low"]
        mesh = packet.mesh("workholding/hold-down-low.stl")
        under = measure.Upright(mesh.vertices, mesh.faces).span(np.array([[shop["lip_mm"] / 2, 1.0]]))
        assert under[0][0] == pytest.approx(stock - 10.0 - shop["squeeze_mm"], abs=1e-4)
        # Nothing of it stands over the stock: the lip is 8 thick in a rebate of 10.
        assert mesh.bounds[1, 2] <= stock
        all_rebates = []
        for side in ("top", "bottom"):
            drawing = packet.drawing(f"{side}/rebates.dxf")
            rings = [arcs.polygon(p) for name, p in drawing.paths if name == "rebates"]
            places = held(packet, side)
            assert len(rings) == len(places) == 4
            to_setup = np.array(info["setups"][side]["board_to_setup"], float).reshape(4, 4)
            for place, _ in places:
                rebate = shapely.Polygon(place["rebate_mm"])
                assert rebate.buffer(1e-6).contains(shapely.Polygon(place["lip_mm"]))
                all_rebates.append(rebate)
                corners = np.array(place["rebate_mm"])
                moved = (np.column_stack([corners, np.zeros(4), np.ones(4)]) @ to_setup.T)[:, :2]
                assert any(r.symmetric_difference(shapely.Polygon(moved)).area < 0.01 for r in rings)
        for i, a in enumerate(all_rebates):
            assert all(a.distance(b) > 1.0 for b in all_rebates[:i])
        steps = [s["key"] for s in info["mounting"]["steps"]]
        assert steps.index("rebates") < steps.index("mount-top")


@pytest.mark.parametrize("size", list(BOLTS))
@pytest.mark.parametrize("head", ["flat", "washer", "hex"])
def test_each_bolt_and_its_head_fit(tmp_path, size, head):
    lines = [('size = "M6" ', f'size = "{size}" '), ('head = "washer"', f'head = "{head}"')]
    lines += [('body = "38 mm"', 'body = "60 mm"'), ('width = "32 mm"', 'width = "52 mm"')]
    packet = build(tmp_path, "turner", shop_with(lines=lines))
    hole, flats, high, washer, thick = BOLTS[size]
    model = packet.json["mounting"]["hold_downs"]["models"][0]
    mesh = packet.mesh("workholding/hold-down.stl")
    centre = np.array(model["hole_at_mm"])
    top = mesh.bounds[1, 2]

    def gap(z):
        """How far from the hole's middle the plastic begins at a height, at either end of the slot."""
        cut = mesh.section(plane_origin=[0, 0, z], plane_normal=[0, 0, 1])
        loops = [shapely.Polygon(np.asarray(loop)[:, :2]) for loop in cut.discrete]
        outside = max(loops, key=lambda s: s.area)
        holes = [s for s in loops if s is not outside and s.contains(shapely.Point(centre))]
        assert len(holes) == 1
        slide = model["slide_mm"] / 2
        return min(shapely.Point(centre + [d, 0]).distance(holes[0].exterior) for d in (-slide, slide))

    assert gap(0.3 * top) == pytest.approx((hole + 0.2) / 2, abs=0.012)
    if head == "flat":
        assert model["over_mm"] == pytest.approx(top + high + thick, abs=1e-4)
        return
    assert model["over_mm"] == pytest.approx(top, abs=1e-4)
    if head == "washer":
        assert gap(top - 0.5) == pytest.approx((washer + 0.2) / 2, abs=0.012)
        assert gap(top - high - thick - 0.3) < washer / 2, "the washer has a floor"
    else:
        # The corners of the head pass, the flats keep it from turning.
        assert gap(top - 0.5) == pytest.approx((flats + 0.2) / 2, abs=1e-3)
        assert gap(top - high - 0.3) < flats / 2


def test_step_of_low_ribbed_and_hexagonal_is_one_valid_solid(tmp_path):
    lines = LOW + [('head = "washer"', 'head = "hex"'), ('# rib = "3 mm" ', 'rib = "3 mm" ')]
    lines += [('body = "38 mm"', 'body = "70 mm"')]
    packet = build(tmp_path, "spoon", shop_with(lines=lines))
    solid = read(packet.folder / "workholding/hold-down-low.step")
    mesh = packet.mesh("workholding/hold-down-low.stl")
    assert mesh.is_watertight
    # The mesh leaves the bolt's round wall by 0.01 mm, outwards.
    assert volume(solid) == pytest.approx(mesh.volume, rel=2e-4)
    exact = 32 * (70 * mesh.bounds[1, 2] + 10 * 8)
    assert mesh.volume < 0.8 * exact, "hollowed"


def test_spacers_are_as_long_as_the_way_and_marked(packet):
    info = packet.json
    mounts = {m["setup"]: m for m in info["mounting"]["mounts"]}
    stops = info["shop"]["stops"]
    spacers = info["mounting"]["spacers"]
    assert len(spacers) == 4
    for spacer in spacers:
        stop = stops[spacer["stop"] - 1]
        axis = 0 if spacer["side"] == "left" else 1
        low = mounts[spacer["setup"]]["board_low_mm"]
        assert spacer["size_mm"] == pytest.approx(low[axis] - stop["at_mm"])
        if spacer["make"] == "print":
            mesh = packet.mesh(f"workholding/spacer-{spacer['setup']}-{spacer['side']}.stl")
            assert np.ptp(mesh.bounds[:, 0]) == pytest.approx(spacer["size_mm"], abs=1e-5)
            # The strokes of the mark are 0.6 mm deep in the far side.
            depth = mesh.bounds[1, 1] - np.unique(np.round(mesh.vertices[:, 1], 4))
            assert 0.6 in np.round(depth, 4)
            assert float(spacer["mark"]) == pytest.approx(spacer["size_mm"], abs=0.005)
        # The pins are as far from the stop as the holes in the bed are.
        holes = [h for h in info["mounting"]["drill_chart"] if h["in"] == "bed" and h["setup"] == spacer["setup"]]
        for hole, way in zip(holes, spacer["pins_from_stop_mm"]):
            assert way == pytest.approx(hole["on_bed_mm"][axis] - stop["at_mm"], abs=1e-4)


def test_a_stack_gives_a_set_for_each_height(tmp_path):
    lines = [('# stack = ["25 mm", "32 mm"]', 'stack = ["25 mm", "1-1/4 in"]')]
    packet = build(tmp_path, "spoon", shop_with(lines=lines))
    downs = packet.json["mounting"]["hold_downs"]
    assert [m["stock_mm"] for m in downs["stack"]] == [25.0, 31.75]
    parts = []
    for number in range(1, len(packet.json["mounting"]["plates"]) + 1):
        stem = "print-plate" if number == 1 else f"print-plate-{number}"
        parts += list(packet.mesh(f"workholding/{stem}.stl").split(only_watertight=True))
    # Lying on their side, the blocks' height runs along Y; spacers are lower.
    high = [round(float(np.ptp(p.bounds[:, 1])), 2) for p in parts]
    squeeze, lip = 0.3, 8.0
    for stock in (25.0, 31.75, packet.json["stock"]["height_mm"]):
        assert high.count(round(stock - squeeze + lip, 2)) == 4, (stock, high)


def test_the_sheet_says_what_to_enter(packet):
    text = (packet.folder / "sheet.html").read_text(encoding="utf-8")
    for mount in packet.json["mounting"]["mounts"]:
        assert mount["position"] in text
    assert json.dumps(packet.json["mounting"]["mounts"][0]["enter_x_mm"]).rstrip("0").rstrip(".") in text
    for line in ("1 \u00d7 the spacer marked 40 at the left stop", "2 \u00d7 the spacer marked 40 at the front stop"):
        assert line in text
    assert "Remove the spacers once the board is clamped." in text
    assert lengths.length_mm("20 mm") == 20.0
