"""An inlay judged apart: its art read by other libraries, its surfaces by brute force.

Nothing here knows how the product finds G: the art is read by svgelements and put together by shapely, the
face is sampled by rays on the body's mesh, and G is the greatest over all samples of the outline.
"""

import io
import json
import subprocess
from functools import cached_property

import crossings
import lengths
import letters_font
import measure
import numpy as np
import shapely
import svgelements
from conftest import PROGRAM, ROOT
from shapely import affinity

DESIGN = ROOT / "params/designs/wheat-spoon.toml"
# What the body's mesh is off, which is the face here.
FINE = "0.002 mm"

# The shipped one's place taken by an apple with its seeds on the underside, its plug of end grain.
BELOW = {
    "art": ROOT / "params/art/apple.svg",
    "at": ["60 mm", "0.5 mm"],
    "size": "12 mm",
    "turn": "70 deg",
    "side": "bottom",
    "depth": "1.2 mm",
    "cutter": "vee 60",
    "board": ROOT / "params/plugs/maple.toml",
    "grain": "end",
}

# Samples of the outline, in mm.
STEP_MM = 0.02


def with_inlay(design, keys):
    """The shipped design with another inlay, as a file."""
    text = DESIGN.read_text(encoding="utf-8")
    start, end = text.index("[[inlay]]"), text.index("[give]")
    text = text[: text.index("# Cautions that you accept")]
    lines = "".join(f"{key} = {json.dumps(value, default=str)}\n" for key, value in keys.items())
    design.write_text(f"{text[:start]}[[inlay]]\n{lines}\n{text[end:]}", encoding="utf-8")
    return design


def build_file(design, out, board="cherry", fine=FINE, shop=ROOT / "params/shop.toml"):
    command = [PROGRAM, "build", design, "--board", ROOT / f"params/boards/{board}.toml"]
    command += ["--shop", shop, "--out", out, "--tolerance", fine]
    done = subprocess.run([str(part) for part in command], capture_output=True, text=True)
    assert done.returncode == 0, done.stdout + done.stderr
    return out


def art_of(path):
    """The art of an SVG, even-odd, its box round the origin with a longer side of 1, Y up."""
    svg = svgelements.SVG.parse(io.StringIO(path.read_text(encoding="utf-8")), reify=True)
    found = shapely.Polygon()
    for element in svg.elements():
        if not isinstance(element, svgelements.Shape):
            continue
        for sub in svgelements.Path(element).as_subpaths():
            corners = []
            for segment in svgelements.Path(sub):
                if isinstance(segment, svgelements.Line | svgelements.Close):
                    corners += [segment.start, segment.end]
                elif not isinstance(segment, svgelements.Move):
                    corners += [segment.point(t) for t in np.linspace(0, 1, 200)]
            corners = [(p.x, -p.y) for p in corners if p is not None]
            found = found.symmetric_difference(shapely.make_valid(shapely.Polygon(corners)))
    x0, y0, x1, y1 = found.bounds
    found = affinity.translate(found, -(x0 + x1) / 2, -(y0 + y1) / 2)
    longer = max(x1 - x0, y1 - y0)
    return affinity.scale(found, 1 / longer, 1 / longer, origin=(0, 0))


def near(off, most):
    """All places are within that."""
    print(f"99 of 100 within {np.quantile(off, 0.99):.4f} mm, all within {off.max():.4f} mm")
    assert off.max() < most, off.max()


def sound(inlay, name):
    """A model of the inlay is closed, one piece, and passes through itself nowhere; as the file has it."""
    mesh = inlay.packet.mesh(f"{inlay.folder}/{name}")
    assert mesh.is_watertight and mesh.is_winding_consistent and mesh.volume > 0, name
    assert mesh.body_count == 1, name
    pairs = crossings.crossings(mesh.vertices, mesh.faces)
    assert not len(pairs), (name, len(pairs), mesh.triangles[pairs[0][0]].tolist())


def with_narrow_vee(path):
    """The shop with a vee of 15 degrees beside the other."""
    shop = (ROOT / "params/shop.toml").read_text(encoding="utf-8")
    start = shop.index('[[cutter]]\nname = "vee 60"')
    own = shop[start : shop.index("\n\n", start) + 2]
    for old, new in (("vee 60", "vee 15"), ("60 deg", "15 deg"), ("1/2 in", "1/8 in")):
        assert old in own
        own = own.replace(old, new, 1)
    path.write_text(shop[:start] + own + shop[start:], encoding="utf-8")
    return path


def same_art(inlay, setup):
    """The art in `recess.dxf` is what the design asks for, where it asks for it."""
    paths = inlay.packet.drawing(f"{inlay.folder}/recess.dxf").paths
    own = shapely.Polygon()
    for layer, corners in paths:
        if layer == "art":
            own = own.symmetric_difference(shapely.Polygon([(x, y) for x, y, _ in corners]))
    asked = shapely.transform(inlay.art, lambda p: p @ setup[:2, :2].T + setup[:2, 3])
    assert own.symmetric_difference(asked).area < 2e-3 * asked.length
    assert own.hausdorff_distance(asked) < 0.01


class Inlay:
    """One inlay of a packet, with its design file's figures."""

    def __init__(self, packet, asked, design_folder, number=0):
        self.packet = packet
        self.design_folder = design_folder
        self.asked = asked["inlay"][number]
        self.json = packet.json["inlays"][number]
        self.folder = self.json["folder"]
        self.side = self.asked.get("side", "top")
        if "text" in self.asked:
            art = letters_font.art_of(design_folder / self.asked["font"], self.asked["text"])
        else:
            art = art_of(design_folder / self.asked["art"])
        size = lengths.length_mm(self.asked["size"])
        turn = float(self.asked.get("turn", "0 deg").split()[0])
        x, y = (lengths.length_mm(part) for part in self.asked["at"])
        art = affinity.scale(art, size, size, origin=(0, 0))
        art = affinity.rotate(art, turn, origin=(0, 0))
        # On the bottom the art is seen from below: Y is turned round.
        art = affinity.translate(art, x, -y if self.side == "bottom" else y)
        self.art = affinity.scale(art, 1, -1, origin=(0, 0)) if self.side == "bottom" else art

    def length(self, key, usual):
        return lengths.length_mm(self.asked.get(key, usual))

    @cached_property
    def t(self):
        name = self.asked["cutter"]
        vee = next(c for c in self.packet.json["shop"]["cutters"] if c["name"] == name)
        return np.tan(np.radians(vee["angle_deg"] / 2))

    @cached_property
    def up(self):
        """1 for the top, -1 for the bottom: what makes heights grow out of the face."""
        return 1.0 if self.side == "top" else -1.0

    def face(self, plan):
        low, high = self.packet.upright("body.stl").span(plan)
        return high if self.up > 0 else -low

    @cached_property
    def outline(self):
        """Samples of the art's outline with the face's height there, and the next one of each on its ring."""
        lines = self.art.boundary
        lines = lines.geoms if hasattr(lines, "geoms") else [lines]
        # Every corner is a sample: a flank turns round it, and a chord past it would cut it off.
        rings = [shapely.get_coordinates(shapely.segmentize(line, STEP_MM))[:-1] for line in lines]
        plan = np.vstack(rings)
        first = np.cumsum([0] + [len(ring) for ring in rings])
        after = np.concatenate([start + np.roll(np.arange(len(ring)), -1) for start, ring in zip(first, rings)])
        return plan, self.face(plan), after

    def deepest(self, plan):
        """G at places inside the art: the best of all samples, and then of all places between it and its
        neighbours, since a flank that is nearer than the samples are to each other passes between them."""
        q, h, after = self.outline
        before = np.argsort(after)
        part = np.linspace(0, 1, 21)[:, None, None]
        out = np.empty(len(plan))
        for start in range(0, len(plan), 200):
            p = plan[start : start + 200]
            far = np.hypot(p[:, None, 0] - q[None, :, 0], p[:, None, 1] - q[None, :, 1])
            says = h[None, :] - far / self.t
            at = says.argmax(1)
            best = says[np.arange(len(p)), at]
            for other in (before[at], after[at]):
                on = q[at] + part * (q[other] - q[at])
                high = h[at] + part[..., 0] * (h[other] - h[at])
                between = high - np.hypot(*np.moveaxis(p - on, 2, 0)) / self.t
                best = np.maximum(best, between.max(0))
            out[start : start + 200] = best
        return out

    def forks(self, plan, reach):
        """Whether a place is within `reach` of an inner corner's valley, or may be: two banks of the outline, seen
        70 degrees apart at least, say as much of it but for what the two cones change over that way."""
        q, h, _ = self.outline
        found = np.zeros(len(plan), bool)
        for start in range(0, len(plan), 200):
            p = plan[start : start + 200]
            away = q[None] - p[:, None]
            far = np.hypot(*np.moveaxis(away, 2, 0))
            says = h[None, :] - far / self.t
            way = away / np.maximum(far, 1e-9)[..., None]
            best = way[np.arange(len(p)), says.argmax(1)]
            apart = np.einsum("ijk,ik->ij", way, best) < np.cos(np.radians(70))
            close = says >= says.max(1, keepdims=True) - 2 * reach / self.t
            found[start : start + 200] = (apart & close).any(1)
        return found

    def places(self, count, inset, seed=1711):
        """Random places inside the art, `inset` from its outline."""
        rng = np.random.default_rng(seed)
        inner = self.art.buffer(-inset)
        x0, y0, x1, y1 = self.art.bounds
        found = np.empty((0, 2))
        while len(found) < count:
            p = rng.uniform((x0, y0), (x1, y1), (4 * count, 2))
            found = np.vstack([found, p[shapely.contains_xy(inner, p[:, 0], p[:, 1])]])
        return found[:count]

    def mesh(self, name, matrix):
        """A mesh of the inlay, back in the design's frame, as upright rays meet it."""
        mesh = self.packet.mesh(f"{self.folder}/{name}")
        back = np.linalg.inv(np.array(matrix, float).reshape(4, 4))
        assert np.linalg.det(back[:3, :3]) > 0.999, "a turn, not a mirror"
        points = mesh.vertices @ back[:3, :3].T + back[:3, 3]
        return mesh, measure.Upright(points, mesh.faces)

    def recess(self, plan):
        """The recess's surface, out of the face."""
        _, rays = self.mesh("recess.stl", self.packet.to_setup(self.side))
        low, high = rays.span(plan)
        return high if self.up > 0 else -low

    def plug(self, plan):
        """The plug's underside in its place, out of the face."""
        _, rays = self.mesh("plug/relief.stl", self.json["plug"]["design_to_plug"])
        low, high = rays.span(plan)
        return low if self.up > 0 else -high
