"""Openings, measured on the finished mesh by rays and in the drawing by an independent reader: a slotted
turner and a draining spoon."""

import math
import subprocess

import lengths
import numpy as np
import pytest
import shapely
from conftest import PROGRAM, ROOT, Packet
from ezdxf import path

BOARDS = {"slotted-turner": "pear", "draining-spoon": "cherry"}
# A ray meets the mesh's chords, which leave the arcs by a hundredth at most.
TRUE_MM = 0.05


class Opened(Packet):
    def __init__(self, name, folder):
        super().__init__("turner" if "turner" in name else "spoon", folder)
        self.name = name

    @property
    def asked(self):
        return lengths.read(ROOT / f"params/designs/{self.name}.toml")


@pytest.fixture(scope="module", params=sorted(BOARDS))
def opened(request, once):
    name = request.param

    def fill(out):
        files = [ROOT / f"params/designs/{name}.toml", "--board", ROOT / f"params/boards/{BOARDS[name]}.toml"]
        files += ["--shop", ROOT / "params/shop.toml", "--out", out]
        done = subprocess.run([str(part) for part in (PROGRAM, "build", *files)], capture_output=True, text=True)
        assert done.returncode == 0, done.stdout + done.stderr

    return Opened(name, once(name, fill))


def asked(packet):
    """Every opening by itself, worked out here: a middle, a width, a length along X."""
    for row in packet.asked["opening"]:
        at = np.array([lengths.length_mm(part) for part in row["at"]])
        width = lengths.length_mm(row["width"])
        length = lengths.length_mm(row["length"]) if "length" in row else width
        if "ring" in row:
            turns = np.arange(row["count"]) * 2 * math.pi / row["count"]
            middles = [at + lengths.length_mm(row["ring"]) * np.array([math.cos(t), math.sin(t)]) for t in turns]
        else:
            pitch = [lengths.length_mm(part) for part in row.get("pitch", ["0 mm", "0 mm"])]
            counts = [row.get("along", 1), row.get("across", 1)]
            offsets = [pitch[i] * (np.arange(counts[i]) - (counts[i] - 1) / 2) for i in (0, 1)]
            middles = [at + np.array([dx, dy]) for dx in offsets[0] for dy in offsets[1]]
        for middle in middles:
            yield middle, width, length


def edge(rays, middle, way):
    """How far from a place in the air it is to the wood, by rays."""
    near, far = 0.0, 0.0
    while not np.isfinite(rays.span([middle + far * way])[1][0]):
        far += 0.5
        assert far < 60
    for _ in range(30):
        half = 0.5 * (near + far)
        if np.isfinite(rays.span([middle + half * way])[1][0]):
            far = half
        else:
            near = half
    return far


def test_the_finished_piece_is_open_where_it_is_asked_and_as_wide(opened):
    rays = opened.upright("finished.stl")
    count = 0
    for middle, width, length in asked(opened):
        for way, size in [((0, 1), width), ((0, -1), width), ((1, 0), length), ((-1, 0), length)]:
            assert edge(rays, middle, np.array(way, float)) == pytest.approx(size / 2, abs=TRUE_MM), middle
        count += 1
    assert count == {"slotted-turner": 5, "draining-spoon": 8}[opened.name]


def test_the_finished_piece_is_one_closed_body_with_so_many_holes(opened):
    mesh = opened.mesh("finished.stl")
    assert mesh.is_watertight and mesh.is_winding_consistent
    assert mesh.body_count == 1
    # A body with g holes through it has the Euler number 2 - 2 g.
    assert mesh.euler_number == 2 - 2 * len(list(asked(opened)))


def test_what_is_missing_is_the_wood_over_the_openings(opened):
    whole, finished = opened.mesh("body.stl"), opened.mesh("finished.stl")
    # By rays through the whole body over a fine grid in each opening.
    gone, cell = 0.0, 0.1
    for middle, width, length in asked(opened):
        half = (length - width) / 2
        shape = shapely.LineString([middle - [half, 0], middle + [half, 0]]) if half > 0 else shapely.Point(middle)
        shape = shape.buffer(width / 2, quad_segs=64)
        x0, y0, x1, y1 = shape.bounds
        x, y = np.meshgrid(np.arange(x0, x1, cell) + cell / 2, np.arange(y0, y1, cell) + cell / 2)
        plan = np.column_stack([x.ravel(), y.ravel()])
        plan = plan[shapely.contains_xy(shape, plan[:, 0], plan[:, 1])]
        low, high = opened.upright("body.stl").span(plan)
        gone += float((high - low).mean()) * shape.area
    assert whole.volume - finished.volume == pytest.approx(gone, rel=5e-3)


def test_the_drawing_has_them_and_they_are_cut_last_with_the_bottom_up(opened):
    drawing = opened.drawing("bottom/openings.dxf")
    polygons = []
    for entity in drawing.polylines:
        assert entity.dxf.layer == "openings" and entity.closed
        line = [(p.x * drawing.scale, p.y * drawing.scale) for p in path.make_path(entity).flattening(0.001)]
        polygons.append(shapely.Polygon(line))
    expected = list(asked(opened))
    assert len(polygons) == len(expected)
    matrix = opened.to_setup("bottom")
    for middle, width, length in expected:
        place = shapely.Point((matrix @ [*middle, 0.0, 1.0])[:2])
        nearest = min(polygons, key=lambda polygon: polygon.centroid.distance(place))
        assert nearest.centroid.distance(place) < 0.01
        area = (length - width) * width + math.pi * width**2 / 4
        assert nearest.area == pytest.approx(area, rel=2e-3)
    assert not (opened.folder / "top/openings.dxf").exists()
    keys = [step["key"] for step in opened.json["mounting"]["steps"]]
    assert keys.index("finish-bottom") < keys.index("openings") < keys.index("tabs-off")
    assert keys.index("openings") < keys.index("edge")
    # The pass goes through the lowest wood there is of it, seen from the stock's upper face.
    own = [row for row in opened.json["workholding"]["passes"] if row["pass"] == "openings"]
    assert [row["setup"] for row in own] == ["bottom"]
