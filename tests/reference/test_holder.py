"""The room of every cutter's holder over all passes, worked out anew from a packet on disk.

The holder is a solid of revolution whose underside is found by rays; it is stood over places of each
pass's limit, the tip on the relief's STL. What it may meet: the frame and the hold-downs by shapely's
distances, and the carved surface with its tabs, by rays on a grid.
"""

import json
import os
import random
import subprocess
from functools import cached_property

import arcs
import lengths
import measure
import numpy as np
import pytest
import shapely
import trimesh
from conftest import BOARDS, PROGRAM, ROOT, Packet

# Places of the axis and of the carved surface are this far apart.
GRID_MM = 0.5
# The tool takes heights 1 mm apart: between two of them a floor that bends within 12.5 mm, as under the
# shipped spoon's keel, dips by 1 / (8 * 12.5).
DIPS_MM = 0.01
# The judge's own places miss the lowest of a slope by so much at most.
MISSES_MM = 0.05
# How much thicker a holder may seem than it is, on cells of 1 mm. The tip's height is that of a place at
# most 1.5 diagonals away, and the axis may be half a diagonal and a little nearer (0.72); of the carved
# surface another 1.5 diagonals, and half a one.
DIAGONAL_MM = 2.0**0.5
THICKER_MM = 1.5 * DIAGONAL_MM + 0.72
THICKER_OVER_PIECE_MM = THICKER_MM + 1.5 * DIAGONAL_MM


class Holder:
    """What hangs over a cutter's tip."""

    def __init__(self, shop, cutter):
        size = cutter["holder"] or shop["holder"]
        self.radius = size["diameter_mm"] / 2.0
        self.stick_out = cutter["stick_out_mm"]
        nose, top = size["nose_mm"] / 2.0, size["length_mm"]
        half = [(0.0, 0.0), (nose, 0.0), (self.radius, top), (0.0, top)]
        solid = trimesh.creation.revolve(half, sections=8)
        # Along an edge of the many-sided solid its radius is the round one's.
        self.away = np.linspace(0.0, self.radius - 1e-7, 4001)
        rays = np.column_stack([self.away, np.zeros_like(self.away)])
        low, _ = measure.Upright(solid.vertices, solid.faces).span(rays)
        self.under = low + self.stick_out
        assert np.isfinite(self.under).all()

    def over(self, away):
        """Height over the tip of its underside so far from the axis; endless beyond it."""
        return np.interp(away, self.away, self.under, right=np.inf)


class Scene:
    """A setup's passes and what stands round them, in the setup's plan, heights over the bed."""

    def __init__(self, packet, side):
        info = packet.json
        self.packet, self.side = packet, side
        self.stock = info["stock"]["height_mm"]
        self.bed = info["setups"][side]["stock_bottom_mm"]
        to_setup = np.array(info["setups"][side]["board_to_setup"], float).reshape(4, 4)
        self.from_board = lambda plan: (np.column_stack([plan, np.zeros(len(plan)), np.ones(len(plan))]) @ to_setup.T)[:, :2]
        self.drawing = packet.drawing(f"{side}/limits.dxf")
        self.carved = shapely.union_all(self.rings("finish-area"))
        board = shapely.box(0.0, 0.0, info["board"]["length_mm"], info["board"]["width_mm"])
        self.board, self.frame = board, board.difference(self.carved)
        downs = info["mounting"]["hold_downs"]
        models = {model["form"]: model for model in downs["models"]}
        places = next(s for s in downs["setups"] if s["setup"] == side)["places"]
        # With the bolt's head in a pocket nothing is higher than the block.
        assert all(m["over_mm"] == m["height_mm"] for m in models.values())
        self.hold_downs = [
            (shapely.Polygon(self.from_board(np.array(place["block_mm"]))), models[place["form"]]["height_mm"])
            for place in places
        ]

    def rings(self, layer):
        return [arcs.polygon(path, 0.001) for name, path in self.drawing.paths if name == layer]

    @cached_property
    def relief(self):
        return self.packet.upright(f"{self.side}/relief.stl")

    @cached_property
    def surface(self):
        """Places on a grid over all that is carved, and the height of what is carved there."""
        low, high = np.array(self.carved.bounds[:2]), np.array(self.carved.bounds[2:])
        axes = [np.arange(a, b + GRID_MM, GRID_MM) for a, b in zip(low, high)]
        plan = np.stack(np.meshgrid(*axes, indexing="ij"), -1)
        high = self.relief.span(plan.reshape(-1, 2))[1].reshape(plan.shape[:2]) - self.bed
        return plan, np.where(np.isnan(high), -np.inf, high)

    def passes(self, only=None):
        """Pass, cutter, places of its axis and the tip's height there; of all cutters or of one."""
        info = self.packet.json
        cutters = {c["name"]: c for c in info["shop"]["cutters"]}
        own = [entry for entry in info["workholding"]["passes"] if entry["setup"] == self.side]
        assert len({entry["pass"] for entry in own}) == len(own)
        grid, heights = self.surface
        grid, heights = grid.reshape(-1, 2), heights.ravel()
        for entry in own:
            if only not in (None, entry["cutter"]):
                continue
            rings = self.rings(f"{entry['pass']}-centre")
            assert rings, entry
            plan = np.concatenate([shapely.get_coordinates(ring.segmentize(GRID_MM / 2)) for ring in rings])
            tip = self.relief.span(plan)[1] - self.bed
            # The edge pass runs along its path, the others go everywhere inside theirs.
            if entry["pass"] != "edge":
                inner = shapely.contains_xy(shapely.union_all(rings), grid[:, 0], grid[:, 1])
                plan, tip = np.concatenate([plan, grid[inner]]), np.concatenate([tip, heights[inner]])
            if entry["through"]:
                tip = np.full(len(plan), entry["tip_lowest_mm"])
            known = np.isfinite(tip)
            yield entry["pass"], cutters[entry["cutter"]], plan[known], tip[known]

    def room(self, holder, plan, tip, grow=(0.0, 0.0)):
        """The least room, where the axis is then, and what is met. A holder may be taken as thicker
        all round by some mm, and by some over what is carved."""
        stands = [("frame", self.frame, self.stock), *(("hold-down", *down) for down in self.hold_downs)]
        highest = max(top for *_, top in stands)
        best = (np.inf, None, None)
        order = np.argsort(tip)
        for start in range(0, len(order), 200):
            part = order[start : start + 200]
            # All that follow are higher.
            if tip[part[0]] + holder.stick_out - highest >= best[0]:
                break
            at, points = plan[part], shapely.points(plan[part])
            near = lambda top: tip[part[0]] + holder.stick_out - top < best[0]
            found = [
                (holder.over(np.maximum(shapely.distance(points, shape) - grow[0], 0.0)) - top, name)
                for name, shape, top in stands
                if near(top)
            ]
            if self.carved is not None and near(self.surface[1].max()):
                found.append((self.over_piece(holder, at, grow[1]), "piece"))
            for room, name in found:
                least = (room + tip[part]).argmin()
                if room[least] + tip[part[least]] < best[0]:
                    best = (room[least] + tip[part[least]], at[least], name)
        return best

    def over_piece(self, holder, plan, grow):
        """How far the lowest of a holder lies over what is carved, less the tip's height."""
        grid, heights = self.surface
        origin = grid[0, 0]
        count = int(np.ceil((holder.radius + grow) / GRID_MM)) + 1
        padded = np.pad(heights, count, constant_values=-np.inf)
        windows = np.lib.stride_tricks.sliding_window_view(padded, (2 * count + 1, 2 * count + 1))
        steps = np.arange(-count, count + 1) * GRID_MM
        cell = np.clip(np.rint((plan - origin) / GRID_MM).astype(int), 0, np.array(heights.shape) - 1)
        off = origin + cell * GRID_MM - plan
        away = np.hypot(off[:, 0, None, None] + steps[:, None], off[:, 1, None, None] + steps)
        over = holder.over(np.maximum(away - grow, 0.0))
        return (over - windows[cell[:, 0], cell[:, 1]]).min(axis=(1, 2))


def rooms(packet, grow=(0.0, 0.0), only=None):
    """Least room of each cutter, or of one, with the pass, the side, the place and what is met."""
    info = packet.json
    cutters = {c["name"]: c for c in info["shop"]["cutters"]}
    holders = {name: Holder(info["shop"], cutter) for name, cutter in cutters.items()}
    found = []
    for side in ("top", "bottom"):
        scene = Scene(packet, side)
        for key, cutter, plan, tip in scene.passes(only):
            found.append((*scene.room(holders[cutter["name"]], plan, tip, grow), cutter["name"], key, side))
        drilling = info["mounting"]["drilling"]
        if drilling is None or only not in (None, drilling["cutter"]):
            continue
        bore = cutters[info["mounting"]["drilling"]["cutter"]]
        chart = info["mounting"]["drill_chart"]
        for hole in (h for h in chart if h["in"] == "board" and h["setup"] == side):
            # The board is whole then.
            scene.frame, scene.carved = scene.board, None
            turn = np.linspace(0.0, 2.0 * np.pi, 33)
            round_it = (hole["diameter_mm"] - bore["diameter_mm"]) / 2.0
            plan = np.array(hole["at_mm"]) + round_it * np.column_stack([np.cos(turn), np.sin(turn)])
            tip = np.full(len(plan), scene.stock - hole["depth_mm"])
            found.append((*scene.room(holders[bore["name"]], plan, tip, grow), bore["name"], "pins", side))
        for hole in (h for h in chart if h["in"] == "bed"):
            found.append((bore["stick_out_mm"] - hole["depth_mm"], None, "bed", bore["name"], "bed", side))
    least = {}
    for entry in found:
        name = entry[3]
        if name not in least or entry[0] < least[name][0]:
            least[name] = entry
    return least


def figures(checks):
    """Each cutter's figure, by its name as the figure has it."""
    prefix, suffix = "holder_room_least_", "_mm"
    return {name[len(prefix) : -len(suffix)]: value for name, value in checks.items() if name.startswith(prefix)}


def key(name):
    return "".join(c if c.isalnum() else "_" for c in name.lower())


def compare(packet):
    """The tool's figures against the model's. Gives how much less than the model's each is."""
    told = figures(packet.json["checks"]["figures"])
    known = rooms(packet)
    assert set(told) == {key(name) for name in known}
    less = {}
    for name, (room, place, meets, _, step, side) in known.items():
        figure = told[key(name)]
        said = f"{name}: {figure:.4f} mm, but {step} {side} at {place} is {room:.4f} mm off the {meets}"
        assert figure <= room + DIPS_MM, said
        less[name] = room - figure
        if less[name] > DIPS_MM:
            # So much the cells leave open, and no more.
            least = rooms(packet, (THICKER_MM, THICKER_OVER_PIECE_MM), name)[name]
            assert figure >= least[0] - MISSES_MM, f"{said}; the least that could be so is {least}"
    return less


def text_of(path, changes=()):
    text = (ROOT / path).read_text(encoding="utf-8")
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new)
    return text


class Job:
    """Files of a design and a shop, and what the program makes of them."""

    def __init__(self, folder, kind, shop, design=None):
        folder.mkdir(exist_ok=True)
        self.kind, self.folder = kind, folder
        (folder / "shop.toml").write_text(shop, encoding="utf-8")
        design = design or text_of(f"params/designs/harvest-{kind}.toml")
        (folder / "design.toml").write_text(design, encoding="utf-8")

    def run(self, verb, *more):
        command = [PROGRAM, verb, self.folder / "design.toml", "--board", ROOT / f"params/boards/{BOARDS[self.kind]}.toml"]
        command += ["--shop", self.folder / "shop.toml", *more]
        return subprocess.run([str(part) for part in command], capture_output=True, text=True)

    def packet(self):
        """None when a fault keeps it from being made."""
        done = self.run("build", "--out", self.folder / "out")
        assert done.returncode in (0, 1), done.stderr
        return Packet(self.kind, self.folder / "out") if done.returncode == 0 else None

    def check(self):
        return json.loads(self.run("check", "--json").stdout)


def test_a_cone_hangs_as_it_is_drawn():
    """The judge itself: 3 mm from the axis the nose ends, and 10 mm further out it is 40 mm up."""
    size = {"diameter_mm": 26.0, "nose_mm": 6.0, "length_mm": 40.0}
    holder = Holder({"holder": size}, {"holder": None, "stick_out_mm": 30.0})
    over = holder.over(np.array([0.0, 2.9, 3.0, 5.5, 12.9, 13.1]))
    assert np.allclose(over, [30.0, 30.0, 30.0, 40.0, 69.6, np.inf], atol=0.02)


def test_the_shipped_jobs_have_the_room_that_is_said(packet):
    less = compare(packet)
    assert max(less.values()) < 0.01, less
    steps = {entry["pass"] for entry in packet.json["workholding"]["passes"]}
    assert {"rough", "clear", "finish", "edge"} <= steps and ("slots" in steps) == (packet.kind == "fork")


CLEAN_UP = '\n[[clean_up]]\nat = ["{x} mm", "{y} mm"]\nsize = ["{long} mm", "{wide} mm"]\nside = "{side}"\ncutter = "vee 60"\n'


def random_job(folder, rng, kind):
    """The shipped shop and design with other holders, stick-outs, turn, zero and a place to clean up."""
    wide, long = rng.uniform(20, 60), rng.uniform(15, 50)
    nose = wide * rng.choice([1.0, rng.uniform(0.25, 1.0)])
    lines = []
    for line in text_of("params/shop.toml").splitlines():
        name = line.split("=")[0].strip()
        if name == "stick_out":
            line = f'stick_out = "{rng.uniform(29, 46):.2f} mm"'
        elif name == "flute":
            line = 'flute = "10 mm"'
        elif name == "turn":
            line = f'turn = "{rng.choice("XY")}"'
        elif name == "zero":
            line = f'zero = "{rng.choice(["top", "bottom"])}"'
        elif line.startswith('diameter = "35 mm"'):
            line = f'diameter = "{wide:.2f} mm"\nnose = "{nose:.2f} mm"'
        elif line.startswith('length = "40 mm"'):
            line = f'length = "{long:.2f} mm"'
        elif line.startswith('holder = "2 mm"'):
            line = 'holder = "0 mm"'
        elif line.startswith('step_over = "1.2 mm"') and rng.random() < 0.5:
            own = rng.uniform(12, 40)
            sizes = own, own * rng.uniform(0.4, 1.0), rng.uniform(10, 40)
            line += '\nholder = {{ diameter = "{:.2f} mm", nose = "{:.2f} mm", length = "{:.2f} mm" }}'.format(*sizes)
        lines.append(line)
    design = text_of(f"params/designs/harvest-{kind}.toml")
    length = lengths.length_mm(lengths.read(ROOT / f"params/designs/harvest-{kind}.toml")["utensil"]["length"])
    design += CLEAN_UP.format(
        x=round(length * rng.uniform(0.1, 0.9)),
        y=rng.randint(-8, 8),
        long=rng.randint(14, 40),
        wide=rng.randint(14, 30),
        side=rng.choice(["top", "bottom", "both"]),
    )
    return Job(folder, kind, "\n".join(lines) + "\n", design)


@pytest.mark.parametrize("seed", range(int(os.environ.get("HOLDER_JOBS", "5"))))
def test_other_holders_have_the_room_that_is_said(seed, tmp_path):
    rng = random.Random(seed)
    kind = list(BOARDS)[seed % len(BOARDS)]
    # A job whose holders hit is drawn again.
    packet = None
    for attempt in range(12):
        packet = packet or random_job(tmp_path / str(attempt), rng, kind).packet()
    print(kind, seed, {name: round(by, 4) for name, by in compare(packet).items()})


def named(text, name, **fields):
    """A shop file with other values for one cutter."""
    head, _, rest = text.partition(f'name = "{name}"')
    body, sep, tail = rest.partition("[[cutter]]")
    lines = [
        f'{line.split("=")[0].strip()} = "{fields[line.split("=")[0].strip()]}"' if line.split("=")[0].strip() in fields else line
        for line in body.splitlines()
    ]
    return f'{head}name = "{name}"' + "\n".join(lines) + "\n" + sep + tail


def for_slots(diameter):
    """Lines of the shop for another cutter than the usual one in slots."""
    name = f"flat {diameter}"
    cutter = f"""
[[cutter]]
name = "{name}"
form = "flat"
diameter = "{diameter} mm"
flute = "20 mm"
stick_out = "38 mm"
feed = "1000 mm/min"
speed = "18000 rpm"
step_over = "1 mm"

[work] """
    return [("\n[work] ", cutter), ('slots = "flat 1/8"', f'slots = "{name}"')]


# For the edge pass alone: the clearing pass takes the thickest that fits. And for slots alone: too
# thick for the skirt, so that the edge is left to the ball.
EDGE, SLOTS = for_slots(3), for_slots(5)

# Kind, changes of the shop, cutter and how far it sticks out, and the pass in which that is too near.
SHORT = [
    ("spoon", [], "ball 1/8", 28.2, "finish", "finishing"),
    ("turner", EDGE, "flat 1/8", 24.7, "clear", "clearing the skirt"),
    ("turner", EDGE, "flat 3", 24.7, "edge", "going round the edge"),
    ("fork", SLOTS, "flat 5", 15.2, "slots", "cutting slots"),
    ("spoon", [], "vee 60", 16.5, "clean-up", "cleaning up"),
]


@pytest.mark.parametrize(("kind", "lines", "cutter", "stick_out", "step", "doing"), SHORT, ids=[s[4] for s in SHORT])
def test_what_comes_too_near_is_found_where_it_is(kind, lines, cutter, stick_out, step, doing, tmp_path):
    shop = named(text_of("params/shop.toml", lines), cutter, stick_out=f"{stick_out} mm", flute="8 mm")
    design = text_of(f"params/designs/harvest-{kind}.toml")
    if step == "clean-up":
        design += CLEAN_UP.format(x=250, y=0, long=60, wide=60, side="bottom")
    found = Job(tmp_path / "near", kind, shop, design).check()
    assert found["verdict"] == "fault"
    (finding,) = [f for f in found["findings"] if f["code"] == "holder-hits"]
    assert f'"{cutter}"' in finding["message"] and f" when {doing}, " in finding["message"]
    room = figures(found["pieces"][0]["figures"])[key(cutter)]
    assert room < 2.0
    # The same job in a shop that asks for no room, for its files.
    packet = Job(tmp_path / "far", kind, shop.replace('holder = "2 mm"', 'holder = "0 mm"'), design).packet()
    assert figures(packet.json["checks"]["figures"])[key(cutter)] == room
    compare(packet)
    # Right there, as near as the cells say where that is, and over the named side.
    spot = finding["on_piece"]
    scene = Scene(packet, spot["side"])
    place = packet.to_setup(spot["side"]) @ [spot["along_mm"], spot["left_mm"], 0.0, 1.0]
    ((own, plan, tip),) = [(c, plan, tip) for name, c, plan, tip in scene.passes() if name == step]
    assert own["name"] == cutter
    near = np.hypot(*(plan - place[:2]).T) < 1.5
    there, _, _ = scene.room(Holder(packet.json["shop"], own), plan[near], tip[near])
    assert there == pytest.approx(room, abs=0.05)


@pytest.mark.parametrize(
    ("lines", "stick_out", "room", "said"),
    [
        ([], 33.0, 33.0 - 31.3 - 0.5, "the board when boring the board's holes"),
        ([('depth = "12 mm"', 'depth = "43 mm"')], 44.45, 1.45, "the bed when boring the bed's holes"),
    ],
    ids=["board", "bed"],
)
def test_a_boring_cutter_too_short_for_its_holes_is_found(lines, stick_out, room, said, tmp_path):
    shop = named(text_of("params/shop.toml", lines), "flat 1/4", stick_out=f"{stick_out} mm", flute="20 mm")
    found = Job(tmp_path, "spoon", shop).check()
    (finding,) = [f for f in found["findings"] if f["code"] == "holder-hits"]
    assert f"{said}; the shop" in finding["message"] and finding["on_piece"] is None
    assert figures(found["pieces"][0]["figures"])["flat_1_4"] == pytest.approx(room, abs=0.01)


def test_hold_downs_keep_clear_of_cleaning_up(tmp_path):
    """A short cutter under a wide holder comes down beside the head; the hold-down that would do for
    every other pass stands further off."""
    shop = named(text_of("params/shop.toml", [('diameter = "35 mm"', 'diameter = "60 mm"')]), "vee 60", stick_out="24 mm")
    clean_up = CLEAN_UP.format(x=250, y=0, long=40, wide=110, side="bottom")
    design = text_of("params/designs/harvest-spoon.toml") + clean_up
    packet = Job(tmp_path, "spoon", shop, design).packet()
    scene = Scene(packet, "bottom")
    ((cutter, plan, tip),) = [(c, plan, tip) for name, c, plan, tip in scene.passes() if name == "clean-up"]
    holder = Holder(packet.json["shop"], cutter)
    for shape, top in scene.hold_downs:
        assert (tip + holder.over(shapely.distance(shapely.points(plan), shape)) - top).min() >= 2.0
    compare(packet)


@pytest.mark.parametrize(("flute", "short"), [(13.7, False), (13.6, True)])
def test_slots_want_edges_as_long_as_they_are_deep(flute, short, tmp_path):
    # 13.15 mm from the stock's bottom to the top of the tines on this board, half a millimetre past it.
    shop = named(text_of("params/shop.toml", SLOTS), "flat 5", flute=f"{flute} mm")
    found = Job(tmp_path / "edges", "fork", shop, text_of("params/designs/harvest-fork.toml")).check()
    said = [f["message"] for f in found["findings"] if f["code"] == "flute-too-short"]
    assert ([m for m in said if '"flat 5"' in m] != []) == short, said
