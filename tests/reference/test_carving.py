"""A block carved by both setups, by code that knows nothing of the tool's own.

Each setup is a height map in its own frame. What a cutter leaves is the grey-scale closing of the
relief by the cutter's own shape (erosion of the tool's centres, dilation of what they cut), as in
J. Serra, Image Analysis and Mathematical Morphology (1982). The second board is turned back with
the coordinates of the pins alone: the holes of both setups are brought together, not the matrices
of the packet.
"""

import json
import os
import random
import re
import subprocess

import arcs
import lengths
import measure
import numpy as np
import pytest
import shapely
from conftest import BOARDS, PROGRAM, ROOT, Packet
from scipy import ndimage
from shapely import affinity

GRID_MM = 0.2
# The closing is done on a grid: a ball's heights at grid points differ from the ball's own by up
# to the slope times half a step, so that beside steep walls a strip of this width is left out.
WALL_MM = 0.5


def shop_file(folder, turn, zero):
    """The shipped shop with another turn axis and zero."""
    text = (ROOT / "params/shop.toml").read_text(encoding="utf-8")
    text = text.replace('turn = "X"', f'turn = "{turn}"').replace('zero = "bottom"', f'zero = "{zero}"')
    path = folder / f"shop-{turn}-{zero}.toml"
    path.write_text(text, encoding="utf-8")
    return path


def build(kind, shop, out, design=None, board=None):
    command = [PROGRAM, "build", design or ROOT / f"params/designs/harvest-{kind}.toml"]
    command += ["--board", board or ROOT / f"params/boards/{BOARDS[kind]}.toml", "--shop", shop, "--out", out]
    done = subprocess.run([str(part) for part in command], capture_output=True, text=True)
    return done


def circles(packet, name, layer):
    drawing = packet.drawing(name)
    found = [c for c in drawing.document.modelspace().query("CIRCLE") if c.dxf.layer == layer]
    return np.array([[c.dxf.center.x, c.dxf.center.y, c.dxf.radius] for c in found]) * drawing.scale


def footprint(radius, ball):
    """Plan of a cutter as a structuring element, heights over its tip."""
    steps = int(np.floor(radius / GRID_MM))
    x, y = np.meshgrid(np.arange(-steps, steps + 1), np.arange(-steps, steps + 1))
    r2 = (x**2 + y**2) * GRID_MM**2
    inside = r2 <= radius**2
    heights = radius - np.sqrt(np.maximum(radius**2 - r2, 0.0)) if ball else np.zeros_like(r2)
    return inside, np.where(inside, heights, 0.0)


def carve(model, allowed, cutter, start):
    """Heights of the stock when the cutter's tip went everywhere allowed, no lower than it may."""
    rows, columns = (np.nonzero(allowed.any(axis=axis))[0] for axis in (1, 0))
    reach = int(cutter["diameter_mm"] / GRID_MM) + 2
    box = tuple(slice(max(i.min() - reach, 0), i.max() + reach + 1) for i in (rows, columns))
    left = start.copy()
    left[box] = closed(model[box], allowed[box], cutter, start[box])
    return left


def closed(model, allowed, cutter, start):
    """The same on the part of the board that the cutter can touch."""
    inside, heights = footprint(cutter["diameter_mm"] / 2.0, cutter["form"] == "ball")
    # Lowest tip at each place: the greatest of model less cutter, over its plan.
    tip = ndimage.grey_dilation(model, footprint=inside, structure=-heights)
    tip = np.where(allowed, tip, 1e3)
    cut = ndimage.grey_erosion(tip, footprint=inside, structure=-heights)
    return np.minimum(start, cut)


class Carved:
    """A board carved by both setups and turned back by its pins."""

    def __init__(self, packet):
        self.packet = packet
        info = packet.json
        self.size = np.array([info["board"]["length_mm"], info["board"]["width_mm"]])
        self.height = info["stock"]["height_mm"]
        shop = info["shop"]
        self.cutters = {c["name"]: c for c in shop["cutters"]}
        self.work = shop["work"]
        # The board is bored with its top up; bottom up, the pins of the bed stand in these holes.
        mounts = {m["setup"]: m for m in info["mounting"]["mounts"]}
        zero = np.array([mounts["bottom"]["enter_x_mm"], mounts["bottom"]["enter_y_mm"], 0.0])
        self.pins = {
            "top": circles(packet, "top/pins.dxf", "pins"),
            "bottom": circles(packet, "bed/pins.dxf", "pins-bottom") - zero,
        }
        counts = np.ceil(self.size / GRID_MM).astype(int)
        self.axes = [(np.arange(n) + 0.5) * GRID_MM + 1e-4 for n in counts]
        x, y = np.meshgrid(*self.axes, indexing="ij")
        self.shape = x.shape
        self.plan = np.column_stack([x.ravel(), y.ravel()])
        self.left = {s: self.setup(s) for s in ("top", "bottom")}
        self.over, self.under = self.together()

    def setup(self, side):
        """Heights over the stock's lower face as it lies, in the setup's own plan."""
        mesh = self.packet.mesh(f"{side}/relief.stl")
        zero = self.packet.json["setups"][side]["stock_bottom_mm"]
        low, high = mesh.bounds
        near = ((self.plan > low[:2] - 1.0) & (self.plan < high[:2] + 1.0)).all(axis=1)
        model = np.full(len(self.plan), self.height)
        span = measure.Upright(mesh.vertices, mesh.faces).span(self.plan[near])[1] - zero
        model[near] = np.where(np.isnan(span), self.height, span)
        model = model.reshape(self.shape)
        stock = np.full(self.shape, self.height)
        drawing = self.packet.drawing(f"{side}/limits.dxf")
        for key, name in (("rough", self.work["rough"]), ("finish", self.work["finish"])):
            allowed = self.inside(drawing, f"{key}-centre")
            stock = carve(model, allowed, self.cutters[name], stock)
        return stock

    def inside(self, drawing, layer):
        rings = [arcs.polygon(path) for name, path in drawing.paths if name == layer]
        assert rings, f"no path on layer {layer}"
        area = shapely.union_all(rings)
        return shapely.contains_xy(area, self.plan[:, 0], self.plan[:, 1]).reshape(self.shape)

    def turn(self):
        """Sign of X and Y of the half turn that brings the bottom's pins onto the top's."""
        top, bottom = self.pins["top"][:, :2], self.pins["bottom"][:, :2]
        ways = []
        for sx, sy in ((1, -1), (-1, 1), (1, 1), (-1, -1)):
            moved = np.where([sx > 0, sy > 0], bottom, self.size - bottom)
            order = [np.argmin(np.linalg.norm(moved - p, axis=1)) for p in top]
            miss = np.linalg.norm(moved[order] - top, axis=1).max()
            ways.append((miss, sx, sy))
        return sorted(ways)

    def together(self):
        """The upper and lower face of what is left, over the stock's underside top up."""
        ways = self.turn()
        self.miss = ways
        _, sx, sy = ways[0]
        bottom = self.left["bottom"]
        x = self.axes[0] if sx > 0 else self.size[0] - self.axes[0]
        y = self.axes[1] if sy > 0 else self.size[1] - self.axes[1]
        grid = np.stack(np.meshgrid(x, y, indexing="ij"), axis=-1) / GRID_MM - 0.5 - 1e-4 / GRID_MM
        turned = ndimage.map_coordinates(bottom, np.moveaxis(grid, -1, 0), order=1, mode="nearest")
        return self.left["top"], self.height - turned

    def ball_cusp(self):
        """Cusp at the step-over that the shop asks for: R - sqrt(R² - s²/4), square to the surface."""
        ball = self.cutters[self.work["finish"]]
        radius = ball["diameter_mm"] / 2.0
        return radius - np.sqrt(radius**2 - ball["step_over_mm"] ** 2 / 4.0)


def in_design(packet, plan):
    """Places on the board in the design frame, and z of the stock's underside there. A piece may
    lie askew or turned end for end."""
    m = np.array(packet.json["setups"]["top"]["design_to_setup"], float).reshape(4, 4)
    zero = packet.json["setups"]["top"]["stock_bottom_mm"]
    return (plan - m[:2, 3]) @ np.linalg.inv(m[:2, :2]).T, m[2, 3] - zero


def check(packet):
    carved = Carved(packet)
    # One way only, by the pins: every other way misses by more than a pin's play.
    play = packet.json["mounting"]["pin_hole_mm"] - packet.json["shop"]["pin"]["diameter_mm"]
    assert carved.miss[0][0] < 1e-3
    axis = packet.json["shop"]["turn"]
    assert carved.miss[0][1:] == ((1, -1) if axis == "x" else (-1, 1))
    assert carved.miss[1][0] > play

    plan, lift = in_design(packet, carved.plan)
    body = packet.upright("body.stl")
    outline = region(packet, "outline")
    low, high = outline.bounds[:2], outline.bounds[2:]
    near = ((plan > np.array(low) - 6) & (plan < np.array(high) + 6)).all(axis=1)
    over, under = carved.over.ravel(), carved.under.ravel()

    at = near.copy()
    at[near] = shapely.contains_xy(outline.buffer(-WALL_MM), plan[near, 0], plan[near, 1])
    tabs = region(packet, "tabs")
    free = at.copy()
    # A tab's fillet lies on the body as far as two of its radii.
    fillet = 1.1 * carved.cutters[carved.work["finish"]]["diameter_mm"]
    free[at] = ~shapely.contains_xy(tabs.buffer(fillet + WALL_MM), plan[at, 0], plan[at, 1])
    bottom, top = body.span(plan[free])
    slope = body.slopes(plan[free])
    # Never cut into the body.
    gouge = np.maximum((top + lift) - over[free], under[free] - (bottom + lift)) * slope
    # Nor beside a tab, where more is left on it.
    by_tab = at & ~free
    bottom_by, top_by = body.span(plan[by_tab])
    slope_by = body.slopes(plan[by_tab])
    deep = np.maximum((top_by + lift) - over[by_tab], under[by_tab] - (bottom_by + lift)) * slope_by
    assert deep.max() < 0.02, f"{deep.max():.3f} mm cut into the body beside a tab"
    # What is left on it: cusp, what a ball can't reach, and the grid's own error.
    proud = np.maximum(over[free] - (top + lift), (bottom + lift) - under[free]) * slope
    figures = {
        "gouge_mm": float(gouge.max()),
        "proud_mm": float(np.quantile(proud, 0.999)),
        "proud_most_mm": float(proud.max()),
    }
    assert gouge.max() < 0.02, figures
    # A larger ball does not reach all of a hollow or an inner bend, which the sheet's maps tell.
    if carved.cutters[carved.work["finish"]]["diameter_mm"] < 3.2:
        assert np.quantile(proud, 0.99) < 0.02 + carved.ball_cusp(), figures

    # Beside it, inside the skirt, nothing is left but tabs.
    ball = carved.cutters[carved.work["finish"]]["diameter_mm"]
    beside = near.copy()
    ring = outline.buffer(ball).difference(outline.buffer(WALL_MM)).difference(tabs.buffer(ball / 2 + WALL_MM))
    beside[near] = shapely.contains_xy(ring, plan[near, 0], plan[near, 1])
    thick = over[beside] - under[beside]
    assert (thick <= 0.0).mean() > 0.999, f"{thick.max():.3f} mm of wood beside the piece"

    # Tabs stand.
    within = near.copy()
    core = tabs.difference(outline.buffer(ball)).buffer(-0.4)
    core = core if not core.is_empty else tabs.buffer(-1.0)
    within[near] = shapely.contains_xy(core, plan[near, 0], plan[near, 1])
    assert within.sum() > 20
    asked = packet.json["design"]["tabs"]["thickness_mm"]
    assert (over[within] - under[within]).min() > asked - 0.1

    # The frame is whole: under every lip, round every pin, and everywhere past the skirt.
    whole = (over > carved.height - 1e-9) & (under < 1e-9)
    for lip in lips(packet):
        touched = shapely.contains_xy(lip, carved.plan[:, 0], carved.plan[:, 1])
        assert touched.sum() > 100 and whole[touched].all(), "a lip bears on carved wood"
    for x, y, r in carved.pins["top"]:
        round_it = np.hypot(carved.plan[:, 0] - x, carved.plan[:, 1] - y) < r + 1.0
        assert whole[round_it].all(), "a pin's hole is carved into"
    skirt = outline.buffer(ball + 1.0 + 0.3)
    frame = ~shapely.contains_xy(skirt, plan[:, 0], plan[:, 1])
    assert whole[frame].all(), "the frame is cut past the skirt"
    return figures


def region(packet, layer):
    """What a layer of the top setup's file of that name encloses, in the design frame."""
    back = np.linalg.inv(packet.to_setup("top"))
    m = [back[0, 0], back[0, 1], back[1, 0], back[1, 1], back[0, 3], back[1, 3]]
    paths = [path for name, path in packet.drawing(f"top/{layer}.dxf").paths if name == layer]
    return shapely.union_all([affinity.affine_transform(arcs.polygon(path), m) for path in paths])


def lips(packet):
    paths = [path for name, path in packet.drawing("board.dxf").paths if name.startswith("hold-downs")]
    assert paths
    return [arcs.polygon(path) for path in paths]


@pytest.mark.parametrize("turn", ["X", "Y"])
@pytest.mark.parametrize("zero", ["top", "bottom"])
def test_both_setups_meet(kind, turn, zero, tmp_path):
    done = build(kind, shop_file(tmp_path, turn, zero), tmp_path / "out")
    assert done.returncode == 0, done.stdout + done.stderr
    print(kind, turn, zero, json.dumps(check(Packet(kind, tmp_path / "out"))))


def random_job(kind, rng, folder):
    """The shipped design with most of its figures changed, by text, and any turn and zero."""
    text = (ROOT / f"params/designs/harvest-{kind}.toml").read_text(encoding="utf-8")

    def scaled(match, low, high):
        return f'{lengths.length_mm(match) * rng.uniform(low, high):.3f} mm'

    lines, section = [], ""
    for line in text.splitlines():
        key, _, rest = line.partition("=")
        key = key.strip()
        if line.startswith("["):
            section = line.strip("[] ").split("]")[0]
        if section == "tabs" and not line.startswith("["):
            continue
        if section in ("utensil", "bowl", "blade", "tines") and '"' in rest and "{" not in rest:
            low, high = {
                "length": (0.88, 1.04), "depth": (0.75, 1.0), "wall": (0.85, 1.15), "edge": (0.7, 1.2),
                "width": (0.85, 1.05), "rim": (0.9, 1.3), "thickness": (0.9, 1.15),
            }.get(key, (1.0, 1.0))
            if low != high:
                figure = rest.split('"')[1]
                line = f'{key}= "{scaled(figure, low, high)}"'
        elif section == "handle" and "at =" in line:
            field = "rise" if "rise" in line else "shift" if "shift" in line else "size"
            before, _, after = line.partition(f'{field} = "')
            figure, _, after = after.partition('"')
            if figure:
                line = f'{before}{field} = "{scaled(figure, 0.6 if field == "rise" else 0.92, 1.05)}"{after}'
        elif section == "handle" and key == "sway" and rng.random() < 0.5:
            line = f'sway = [{{ at = "0 %", shift = "{rng.uniform(-5, 5):.2f} mm" }}, {{ at = "100 %", shift = "0 mm" }}]'
        lines.append(line)
        if section == "tabs":
            lines += random_tabs(rng)
    design = folder / "design.toml"
    design.write_text("\n".join(lines) + "\n", encoding="utf-8")
    shop = shop_file(folder, rng.choice("XY"), rng.choice(["top", "bottom"]))
    return design, shop


def random_tabs(rng):
    if rng.random() < 0.5:
        return ['place = "auto"', *([f"count = {rng.randint(3, 8)}"] if rng.random() < 0.5 else []), ""]
    low, high = rng.uniform(8, 25), rng.uniform(72, 88)
    place = [f'    {{ side = "{side}", at = "{at + rng.uniform(-2, 2):.1f} %" }},' for at in (low, high) for side in ("left", "right")]
    sizes = [f'width = "{rng.uniform(7, 11):.2f} mm"', f'thickness = "{rng.uniform(4, 6):.2f} mm"']
    return [*sizes, "place = [", *place, "]", ""]


BALLS = ["1/16 in", "1/8 in", "3/16 in", "1/4 in", "8 mm", "10 mm", "12 mm", "14 mm", "16 mm", "3/4 in"]


def narrow_job(kind, rng, folder):
    """The same with a handle from 6 mm wide, steeper, and a ball of any size."""
    design, shop = random_job(kind, rng, folder)
    text = design.read_text(encoding="utf-8")
    head, _, rest = text.partition("[handle]")
    widths, _, rest = rest.partition("thickness = [")
    least = min(lengths.length_mm(size) for size in re.findall(r'size = "([^"]+)"', widths))
    share = rng.uniform(6.0, 1.1 * least) / least
    widths = re.sub(
        r'size = "([^"]+)"', lambda m: f'size = "{lengths.length_mm(m[1]) * share:.3f} mm"', widths
    )
    steep = rng.uniform(1.0, 2.0)
    rest = re.sub(
        r'rise = "([^"]+)"', lambda m: f'rise = "{lengths.length_mm(m[1]) * steep:.3f} mm"', rest
    )
    design.write_text(f"{head}[handle]{widths}thickness = [{rest}", encoding="utf-8")
    ball = rng.choice(BALLS)
    # It must still go down past the piece, and stay under its holder.
    text = re.sub(
        r'(name = "ball 1/8"\nform = "ball"\n)diameter = "[^"]+"\nflute = "[^"]+"\nstick_out = "[^"]+"',
        rf'\1diameter = "{ball}"\nflute = "60 mm"\nstick_out = "70 mm"',
        shop.read_text(encoding="utf-8"),
    )
    assert f'diameter = "{ball}"' in text
    shop.write_text(text, encoding="utf-8")
    return design, shop


LONG = int(os.environ.get("CARVING_JOBS", "200" if "PROPTEST_CASES" in os.environ else "0"))


def drawn(job, kind, rng, tmp_path):
    """A packet of a random job. A design that can't be made is drawn again."""
    for attempt in range(12):
        folder = tmp_path / str(attempt)
        folder.mkdir()
        design, shop = job(kind, rng, folder)
        done = build(kind, shop, folder / "out", design=design)
        assert done.returncode in (0, 1), done.stderr
        for code in ("mesh-unsound", "relief-not-made", "export-failed"):
            assert code not in done.stdout + done.stderr, done.stderr
        if done.returncode == 0:
            break
    assert done.returncode == 0, done.stderr
    return Packet(kind, folder / "out")


@pytest.mark.parametrize("seed", range(LONG))
def test_random_jobs_meet(seed, tmp_path):
    kind = list(BOARDS)[seed % len(BOARDS)]
    print(kind, seed, json.dumps(check(drawn(random_job, kind, random.Random(seed), tmp_path))))


@pytest.mark.parametrize("seed", range(LONG))
def test_narrow_handles_and_other_balls_meet(seed, tmp_path):
    # The strip of a tab's fillet once reached across a narrow handle into the far side's skirt,
    # and left up to 4.4 mm of wood there.
    kind = list(BOARDS)[seed % len(BOARDS)]
    rng = random.Random(5000 + seed)
    print(kind, seed, json.dumps(check(drawn(narrow_job, kind, rng, tmp_path))))
