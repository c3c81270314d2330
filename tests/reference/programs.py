"""Programs for the machine, made from a packet's own files: independent of the Rust, by numpy alone.

A finishing path is the relief lifted by the cutter's form (every place of the form over every place of
the relief), so a right program touches the relief and goes nowhere below it.
"""

import numpy as np
import shapely
from scipy.ndimage import distance_transform_edt
from shapely.geometry import LineString, Polygon

INCH = 25.4


def form(cutter):
    """Height over the tip by distance from the axis, and the radius."""
    radius = cutter["diameter_mm"] / 2
    kind = cutter["form"]
    if kind == "flat":
        return lambda r: np.zeros_like(r), radius
    if kind == "ball":
        return lambda r: radius - np.sqrt(np.maximum(radius**2 - r**2, 0)), radius
    if kind == "bull":
        corner = cutter["corner_mm"]
        out = lambda r: np.maximum(r - (radius - corner), 0)
        return lambda r: corner - np.sqrt(np.maximum(corner**2 - out(r) ** 2, 0)), radius
    slope = 1 / np.tan(np.radians(cutter["angle_deg"] / 2))
    return lambda r: slope * r, radius


class Relief:
    """A relief on square cells: its greatest height in each, so that nothing of it is missed."""

    def __init__(self, triangles, cell, size):
        self.cell = cell
        self.columns, self.rows = (int(np.ceil(s / cell)) for s in size)
        self.z = np.full((self.rows, self.columns), -np.inf)
        for corners in triangles:
            self._draw(corners)

    def _draw(self, corners):
        (x0, y0), (x1, y1) = corners[:, :2].min(0), corners[:, :2].max(0)
        i0, i1 = int(np.floor(x0 / self.cell)), int(np.floor(x1 / self.cell))
        j0, j1 = int(np.floor(y0 / self.cell)), int(np.floor(y1 / self.cell))
        if i0 == i1 and j0 == j1:
            if 0 <= j0 < self.rows and 0 <= i0 < self.columns:
                self.z[j0, i0] = max(self.z[j0, i0], corners[:, 2].max())
            return
        # Places closer together than a cell, all over the triangle.
        longest = max(x1 - x0, y1 - y0)
        n = int(np.ceil(longest / self.cell * 2.5)) + 1
        u, v = np.meshgrid(np.linspace(0, 1, n), np.linspace(0, 1, n))
        keep = u + v <= 1 + 1e-9
        u, v = u[keep], v[keep]
        points = corners[0] + np.outer(u, corners[1] - corners[0]) + np.outer(v, corners[2] - corners[0])
        i = np.clip((points[:, 0] / self.cell).astype(int), 0, self.columns - 1)
        j = np.clip((points[:, 1] / self.cell).astype(int), 0, self.rows - 1)
        np.maximum.at(self.z, (j, i), points[:, 2])

    def tips(self, cutter, leave=0.0):
        """The least height of the tip over each cell's middle with nothing of the relief cut."""
        shape, radius = form(cutter)
        radius = radius + leave
        reach = int(np.ceil(radius / self.cell)) + 1
        out = np.full_like(self.z, -np.inf)
        wide = np.pad(self.z, reach, constant_values=-np.inf)
        for dy in range(-reach, reach + 1):
            for dx in range(-reach, reach + 1):
                # The nearest of the cell to the axis: what is in it may stand anywhere in it.
                away = np.hypot(max(abs(dx) - 0.5, 0), max(abs(dy) - 0.5, 0)) * self.cell
                if away > radius:
                    continue
                inner = max(away - leave, 0.0)
                low = shape(np.array([inner]))[0] - leave
                part = wide[reach + dy : reach + dy + self.rows, reach + dx : reach + dx + self.columns]
                np.maximum(out, part - low, out=out)
        return out


class Program:
    """Lines of a program; coordinates go in in mm of the setup's frame."""

    def __init__(self, inches=False, decimals=None, position="G54", tool=1, speed=16000, spindle=True, comments="("):
        self.unit = INCH if inches else 1.0
        self.places = decimals or (5 if inches else 4)
        self.comments = comments
        self.lines = ["%"]
        self.note("made for a test")
        self.lines.append(("G20" if inches else "G21") + " G90 G17 G40 G49 G80 G94")
        if position:
            self.lines.append(position)
        if tool is not None:
            self.lines.append(f"T{tool} M6")
        if spindle:
            self.lines.append(f"S{speed} M3")
        self.shift = np.zeros(3)
        self.mirror = None

    def note(self, text):
        self.lines.append(f"({text})" if self.comments == "(" else f"; {text}")

    def say(self, value):
        return f"{value / self.unit:.{self.places}f}"

    def words(self, x=None, y=None, z=None):
        point = []
        for axis, value in zip("XYZ", (x, y, z)):
            if value is None:
                continue
            k = "XYZ".index(axis)
            if self.mirror and k == self.mirror[0]:
                value = self.mirror[1] - value
            point.append(axis + self.say(value + self.shift[k]))
        return " ".join(point)

    def rapid(self, **to):
        self.lines.append("G0 " + self.words(**to))

    def feed(self, f=None, **to):
        self.lines.append("G1 " + self.words(**to) + (f" F{f / self.unit:.3f}" if f else ""))

    def end(self):
        self.lines += ["M5", "M30", "%"]
        return self

    def text(self):
        return "\n".join(self.lines) + "\n"

    def write(self, path):
        path.write_text(self.text())
        return path


class PieceOfSet:
    """One piece of a set's packet, as if it were a packet of its own."""

    def __init__(self, packet, index):
        piece = packet.json["pieces"][index]
        self.whole, self.under, self.name = packet, piece["folder"], piece["design"]["name"]
        self.json = packet.json | {key: piece[key] for key in ("design", "setups", "workholding")}

    def mesh(self, name):
        return self.whole.mesh(f"{self.under}/{name}")

    def drawing(self, name):
        return self.whole.drawing(f"{self.under}/{name}")


class Bench:
    """A packet's setup, for making programs. `scale` makes them of models that were read in a wrong unit."""

    def __init__(self, packet, setup, cell=0.25, scale=1.0):
        self.packet, self.setup = packet, setup
        info = packet.json
        self.size = (info["board"]["length_mm"], info["board"]["width_mm"])
        self.top = info["setups"][setup]["stock_top_mm"] * max(1.0, scale)
        self.cutters = {c["name"]: c for c in info["shop"]["cutters"]}
        self.passes = {p["pass"]: p for p in info["workholding"]["passes"] if p["setup"] == setup}
        mesh = packet.mesh(f"{setup}/relief.stl")
        self.scale = scale
        size = tuple(scale * s for s in self.size)
        self.relief = Relief(np.asarray(mesh.triangles) * scale, cell, size)
        self.limits = {}
        for layer, points in packet.drawing(f"{setup}/limits.dxf").paths:
            self.limits.setdefault(layer, []).append(self.limit(points))
        self.lift = next(iter(self.passes.values()))["lift_z_mm"] * max(1.0, scale) + 1
        self._tips = {}

    def limit(self, points):
        return Polygon([(x * self.scale, y * self.scale) for x, y, _ in points]).buffer(-0.06 * min(1.0, self.scale))

    def tips(self, name, leave):
        if (name, leave) not in self._tips:
            self._tips[name, leave] = self.relief.tips(self.cutters[name], leave)
        return self._tips[name, leave]

    def inside(self, layer, y):
        area = shapely.union_all(self.limits[layer])
        cut = area.intersection(LineString([(-10, y), (self.size[0] * max(1.0, self.scale) + 10, y)]))
        parts = getattr(cut, "geoms", [cut])
        return [(p.bounds[0], p.bounds[2]) for p in parts if not p.is_empty and p.length > 0.5 * min(1.0, self.scale)]

    def finish(self, program, over=2.0, name="ball 1/8", layer="finish-centre", leave=0.0, lower=0.0):
        """A raster along X over all of the relief inside a limit."""
        cutter = self.cutters[name]
        tips = self.tips(name, leave)
        low = self.passes["finish"]["end_z_mm"] * self.scale + leave
        for y in self.rows(over):
            for a, b in self.inside(layer, y):
                xs = self.columns(a, b)
                zs = self.along(tips, xs, y, low) - lower
                program.rapid(x=xs[0], y=y)
                program.rapid(z=self.top + 1)
                program.feed(z=zs[0], f=cutter["feed_mm_min"] / 3.2)
                self.follow(program, cutter, np.column_stack([xs, np.full(len(xs), y)]), zs)
                program.rapid(z=self.lift)
        return program

    def follow(self, program, cutter, points, zs):
        """Along places at the shop's feed, and down steep ways at its plunge; what lies evenly in line is one move."""
        steps = np.diff(np.column_stack([points, zs]), axis=0)
        turns = np.abs(np.diff(steps, axis=0)).max(axis=1) > 1e-9 if len(steps) > 1 else []
        keep = np.concatenate([[True], turns, [True]]).astype(bool)
        points, zs, last = np.asarray(points)[keep], np.asarray(zs)[keep], None
        for p0, z0, p1, z1 in zip(points, zs, points[1:], zs[1:]):
            f = cutter["feed_mm_min"] / (3.2 if z0 - z1 > 0.8 * np.hypot(*(p1 - p0)) else 1)
            program.feed(x=p1[0], y=p1[1], z=z1, f=f if f != last else None)
            last = f

    def along(self, tips, xs, y, low):
        """Heights along a row of cells' middles: the highest of a cell and its two neighbours."""
        j = int(np.clip(y / self.relief.cell, 0, tips.shape[0] - 1))
        padded = np.pad(tips[j], 1, constant_values=-np.inf)
        i = np.clip((np.asarray(xs) / self.relief.cell).astype(int), 0, tips.shape[1] - 1)
        return np.clip(np.max([padded[i + k] for k in range(3)], axis=0), low, self.top + 1)

    def rows(self, over):
        """Middles of rows of cells, about so far apart."""
        cell = self.relief.cell
        return (np.arange(max(1, round(over / cell)), self.relief.rows, max(1, round(over / cell))) + 0.5) * cell

    def columns(self, a, b):
        """Middles of cells between two places."""
        cell = self.relief.cell
        return (np.arange(np.ceil(a / cell - 0.5), np.floor(b / cell - 0.5) + 1) + 0.5) * cell

    def rough(self, program, name="flat 1/4", layer="rough-centre", over=2.5, leave=0.5):
        """In layers, each a raster that stays over the relief."""
        cutter = self.cutters[name]
        kind = self.passes[layer.split("-")[0]]
        depth = kind["pass_depth_mm"]
        levels = np.arange(self.top - depth, kind["end_z_mm"], -depth)
        levels = np.append(levels, kind["end_z_mm"])
        tips = self.tips(name, leave)
        edges = [line for area in self.limits[layer] for line in (area.exterior, *area.interiors)]
        edges = [np.array(shapely.segmentize(line, 0.9 * self.relief.cell).coords) for line in edges]
        for n, level in enumerate(levels):
            above = self.top if n == 0 else levels[n - 1]
            # Round the limit first, so that no strip is left between the last row and it.
            for points in edges:
                self.layer(program, cutter, points, self.over(name, leave, points), level, above)
            for y in self.rows(over):
                for a, b in self.inside(layer, y):
                    xs = self.columns(a, b)
                    points = np.column_stack([xs, np.full(len(xs), y)])
                    self.layer(program, cutter, points, self.along(tips, xs, y, kind["end_z_mm"]), level, above)
        return program

    def over(self, name, leave, points):
        """The lowest of the tip at places anywhere: the highest of a cell and all round it."""
        if ("around", name, leave) not in self._tips:
            wide = np.pad(self.tips(name, leave), 1, constant_values=-np.inf)
            rows, columns = self.relief.z.shape
            parts = [wide[j : j + rows, i : i + columns] for j in range(3) for i in range(3)]
            self._tips["around", name, leave] = np.max(parts, axis=0)
        around = self._tips["around", name, leave]
        at = (np.asarray(points) / self.relief.cell).astype(int)
        return around[np.clip(at[:, 1], 0, around.shape[0] - 1), np.clip(at[:, 0], 0, around.shape[1] - 1)]

    def over_line(self, program, cutter, line, low):
        """Over the relief along any line in the plan, at the plunge feed where it goes down steeply."""
        points = np.array(shapely.segmentize(line, 0.9 * self.relief.cell).coords)
        zs = np.clip(self.over(cutter["name"], 0.0, points), low, self.top + 1)
        program.rapid(x=points[0][0], y=points[0][1])
        program.rapid(z=self.top + 1)
        program.feed(z=zs[0], f=cutter["feed_mm_min"] / 3.2)
        self.follow(program, cutter, points, zs)
        program.rapid(z=self.lift)

    def rings(self, layer, over):
        """Closed lines inside a limit, each so far inside the one before: contour-parallel."""
        area = shapely.union_all(self.limits[layer])
        while not area.is_empty:
            for part in getattr(area, "geoms", [area]):
                yield from (LineString(ring.coords) for ring in (part.exterior, *part.interiors))
            area = area.buffer(-over)

    def turns(self, layer, over):
        """A spiral from the limit's middle outwards, where it is inside."""
        area = shapely.union_all(self.limits[layer])
        x0, y0, x1, y1 = area.bounds
        reach = np.hypot(x1 - x0, y1 - y0) / 2
        # Places along it are about as far apart everywhere.
        share = np.sqrt(np.linspace(0, 1, int(np.pi * reach**2 / over / self.relief.cell)))
        angle = 2 * np.pi * reach / over * share
        spokes = np.column_stack([np.cos(angle), np.sin(angle)]) * (reach * share)[:, None]
        line = LineString(spokes + [(x0 + x1) / 2, (y0 + y1) / 2])
        for part in getattr(area.intersection(line), "geoms", []):
            if part.length > 1.0:
                yield part

    def contours(self, program, over=2.0, name="ball 1/8", layer="finish-centre"):
        """Finishing along the limit's contours, over all of the relief."""
        return self.lines(program, self.rings(layer, over), name)

    def spiral(self, program, over=2.0, name="ball 1/8", layer="finish-centre"):
        """Finishing along a spiral."""
        return self.lines(program, self.turns(layer, over), name)

    def lines(self, program, lines, name):
        cutter, low = self.cutters[name], self.passes["finish"]["end_z_mm"]
        for line in lines:
            self.over_line(program, cutter, line, low)
        return program

    def adaptive(self, program, name="flat 1/4", layer="rough-centre", leave=0.5, over=1.2):
        """Roughing that never bites wide: in each layer down a helix where there is most room, and out of it
        in circles that grow by `over`, joined by half circles."""
        cutter, kind = self.cutters[name], self.passes[layer.split("-")[0]]
        feed = cutter["feed_mm_min"]
        cell = self.relief.cell
        rows, columns = self.relief.z.shape
        x, y = np.meshgrid((np.arange(columns) + 0.5) * cell, (np.arange(rows) + 0.5) * cell)
        inside = shapely.contains_xy(shapely.union_all(self.limits[layer]), x, y)
        above = self.top
        for level in self.levels(kind):
            free = inside & (self.tips(name, leave) <= level)
            room = distance_transform_edt(np.pad(free, 1))[1:-1, 1:-1] * cell - 2 * cell
            at = np.unravel_index(np.argmax(room), room.shape)
            cx, cy, most = x[at], y[at], room[at]
            if most < 2.5:
                break
            radius = min(2.0, most)
            program.rapid(x=cx + radius, y=cy)
            program.rapid(z=above + 1)
            program.feed(z=above, f=feed / 3.2)
            for z in np.linspace(above, level, 5)[1:]:
                program.lines.append(f"G2 {program.words(x=cx + radius, y=cy, z=z)} I{program.say(-radius)} J0 F{feed / 4 / program.unit:.3f}")
            while True:
                program.lines.append(f"G2 {program.words(x=cx + radius, y=cy)} I{program.say(-radius)} J0 F{feed / program.unit:.3f}")
                if radius >= most:
                    break
                wider = min(radius + over, most)
                # Half a circle to the far side of the next one, and half of that one back.
                half = (radius + wider) / 2
                program.lines.append(f"G2 {program.words(x=cx - wider, y=cy)} I{program.say(-half)} J0")
                program.lines.append(f"G2 {program.words(x=cx + wider, y=cy)} I{program.say(wider)} J0")
                radius = wider
            program.rapid(z=self.lift)
            above = level
        return program

    def layer(self, program, cutter, points, tips, level, above):
        """One layer along a line, only where something is left to take in it; in on a slope, there and back
        over a few millimetres."""
        zs = np.maximum(tips, level)
        runs = np.flatnonzero(np.diff(np.concatenate([[0], (zs < above - 0.01).astype(int), [0]])))
        for s, e in zip(runs[::2], runs[1::2]):
            if e - s < 5:
                continue
            p, z = points[s:e], zs[s:e]
            program.rapid(x=p[0][0], y=p[0][1])
            program.rapid(z=above + 1)
            m = min(16, len(p) - 1)
            program.feed(z=above, f=cutter["feed_mm_min"] / 3.2)
            slope = above + (level - above) * np.arange(m + 1) / m
            self.follow(program, cutter, p[: m + 1], np.maximum(z[: m + 1], slope))
            self.follow(program, cutter, p[m::-1], z[m::-1])
            self.follow(program, cutter, p, z)
            program.rapid(z=self.lift)

    def bore(self, program):
        """The pins' holes, by helices round their middles."""
        info = self.packet.json["mounting"]
        drilling = info["drilling"]
        round_mm, pitch = drilling["path_mm"], drilling["turn_mm"]
        feed = self.cutters[drilling["cutter"]]["feed_mm_min"]
        for x, y in info["pins_mm"]:
            program.rapid(x=x + round_mm, y=y)
            program.rapid(z=self.top + 1)
            program.feed(z=self.top, f=drilling["plunge_mm_min"])
            z = self.top
            while z > drilling["board"]["end_z_mm"]:
                z = max(z - pitch, drilling["board"]["end_z_mm"])
                program.lines.append(f"G3 {program.words(x=x + round_mm, y=y, z=z)} I{program.say(-round_mm)} J0 F{feed / 4 / program.unit:.3f}")
            program.lines.append(f"G3 {program.words(x=x + round_mm, y=y)} I{program.say(-round_mm)} J0")
            program.rapid(z=self.lift)
        return program

    def levels(self, kind):
        """Heights of a pass's layers."""
        down = np.arange(self.top - kind["pass_depth_mm"], kind["end_z_mm"], -kind["pass_depth_mm"])
        return np.append(down, kind["end_z_mm"])

    def ring(self, program, cutter, points, heights):
        """Once round, in at the plunge feed and then at the shop's."""
        program.rapid(x=points[0][0], y=points[0][1])
        program.feed(z=heights[0], f=cutter["feed_mm_min"] / 3.2)
        program.feed(x=points[1][0], y=points[1][1], z=heights[1], f=cutter["feed_mm_min"] / 3.2)
        for (x, y), z in zip(points[2:], heights[2:]):
            program.feed(x=x, y=y, z=z, f=cutter["feed_mm_min"])
        program.rapid(z=self.lift)

    def slots(self, program, name="flat 1/8"):
        """Round inside each slot's limit, layer by layer; slots are no wider than two cutters."""
        cutter, kind = self.cutters[name], self.passes["slots"]
        for area in self.limits["slots-centre"]:
            points = list(area.exterior.coords)
            for level in self.levels(kind):
                self.ring(program, cutter, points, [level] * len(points))
        return program

    def edge(self, program, name="flat 1/8"):
        """Round the outline in layers, lifted over the tabs."""
        cutter, kind = self.cutters[name], self.passes["edge"]
        radius = cutter["diameter_mm"] / 2
        outline = max(self.closed("outline.dxf"), key=lambda area: area.area)
        tabs = shapely.union_all(self.closed("tabs.dxf")).buffer(radius + 0.5)
        line = shapely.segmentize(outline.buffer(radius + 0.15, quad_segs=32).exterior, 0.5)
        points = list(line.coords)
        over = [tabs.covers(shapely.Point(point)) for point in points]
        for level in self.levels(kind):
            heights = [max(level, kind["over_tabs_z_mm"] + 0.1) if up else level for up in over]
            self.ring(program, cutter, points, heights)
        return program

    def closed(self, name):
        """Closed lines of one of the setup's drawings, as areas."""
        paths = self.packet.drawing(f"{self.setup}/{name}").paths
        return [Polygon([(x, y) for x, y, _ in points]) for _, points in paths if len(points) > 2]
