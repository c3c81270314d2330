"""Random designs, boards with flaws of all kinds, and shops of every habit: whole packets, each
read back by readers that know nothing of the tool.

A job that can't be made says which of its files is at fault; none says that the tool is. What is made
is read whole: models by trimesh and by crossings of our own, drawings by ezdxf, 3MF by its consortium's
library, pages by Python's own parsers. Where pieces, flaws, pins and hold-downs lie is then judged by
shapely, from the drawings and from the board's text.
"""

import hashlib
import json
import os
import random
import re
import subprocess
import xml.etree.ElementTree as ElementTree
from html.parser import HTMLParser

import arcs
import crossings
import ezdxf
import lengths
import numpy as np
import pytest
import shapely
import threemf_read
from conftest import BOARDS, PROGRAM, Packet
from shapely import affinity
from test_carving import narrow_job, random_job

PACKETS = int(os.environ.get("RANDOM_PACKETS", "2000" if "PROPTEST_CASES" in os.environ else "40"))
FLATTEST_MM = 1e-5
# Arcs of the outlines, and chords here.
CLOSE_MM = 0.02
OF_THE_TOOL = ("mesh-unsound", "relief-not-made", "export-failed")
VOID = {"meta", "link", "img", "input", "br", "hr", "col", "source", "wbr"}


def written(rng, mm):
    """A length as some maker would write it."""
    return rng.choice(
        [f'"{mm:.3f} mm"', f'"{mm / 10:.4f} cm"', f'"{mm / 25.4:.5f} in"', f'"{round(mm)} mm"']
        + ([f'"{round(mm / 25.4 * 64)}/64 in"'] if mm >= 1.0 else [])
    )


def place(rng, x, y):
    return f"[{written(rng, x)}, {written(rng, y)}]"


def random_board(rng, pieces):
    """A board that is mostly large enough, and its flaws."""
    length, width = rng.uniform(340, 700), rng.uniform(95, 150) * (1 if pieces == 1 else 0.75 * pieces)
    thick = rng.uniform(29, 46)
    species = rng.choice(["cherry", "Sugar maple", "beech", "pear", "plywood", "yew", "white oak"])
    text = [f'[board]\nname = "random board"\nspecies = "{species}"']
    text.append(f"length = {written(rng, length)}\nwidth = {written(rng, width)}")
    if rng.random() < 0.7:
        text.append(f'skim_top = "{rng.uniform(0, 0.8):.2f} mm"\nskim_bottom = "{rng.uniform(0, 0.8):.2f} mm"')
    if rng.random() < 0.7:
        text.append(f'grain = "{rng.uniform(0, 6):.1f} deg"')
    for key in ("cup", "bow", "twist"):
        if rng.random() < 0.3:
            text.append(f'{key} = "{rng.uniform(0, 0.6):.2f} mm"')
    if rng.random() < 0.4:
        text.append(f'moisture_now = "{rng.uniform(6, 14):.1f} %"\nmoisture_use = "{rng.uniform(6, 11):.1f} %"')
    for _ in range(rng.randint(1, 9)):
        at = place(rng, rng.uniform(1, length - 1), rng.uniform(1, width - 1))
        text.append(f'[[reading]]\nat = {at}\nthickness = "{thick + rng.uniform(-0.3, 0.3):.2f} mm"')
    for _ in range(rng.choice([0, 0, 1, 2])):
        x = rng.choice([rng.uniform(0, 40), rng.uniform(length - 40, length), rng.uniform(0, length)])
        y = rng.choice([rng.uniform(0, 15), rng.uniform(width - 15, width)])
        if rng.random() < 0.5:
            text.append(f'[[knot]]\ncentre = {place(rng, x, y)}\nradius = "{rng.uniform(1, 12):.2f} mm"')
        else:
            turn, size = rng.uniform(0, 7), rng.uniform(2, 10)
            corners = [
                place(rng, x + size * np.cos(turn + a), y + size * np.sin(turn + a)) for a in (0.0, 1.6, 3.1, 4.7)
            ]
            text.append(f"[[knot]]\npolygon = [{', '.join(corners)}]")
    if rng.random() < 0.4:
        y = rng.uniform(0.05, 0.95) * width
        end = [(0, y), (rng.uniform(8, 40), y + rng.uniform(-1, 1))]
        if rng.random() < 0.5:
            end = [(length - x, y) for x, y in end]
        text.append(f"[[check]]\nline = [{', '.join(place(rng, *p) for p in end)}]")
    if rng.random() < 0.4:
        low = rng.uniform(0, 6)
        line = [(rng.uniform(10, 200), 0), (rng.uniform(210, 300), low), (length, low + 0.5)]
        if rng.random() < 0.5:
            line = [(x, width - y) for x, y in line]
        text.append(f"[[wane]]\nline = [{', '.join(place(rng, *p) for p in line)}]")
    return "\n".join(text) + "\n"


def random_shop(rng, text):
    """The shop with another unit, other hold-downs, positions and stops."""

    def put(old, new):
        nonlocal text
        assert old in text, old
        text = text.replace(old, new, 1)

    if rng.random() < 0.5:
        put('unit = "mm"', 'unit = "in"')
    if rng.random() < 0.5:
        put('# models = "in"', 'models = "in"  ')
    if rng.random() < 0.3:
        put('paper = "A4"', 'paper = "Letter"')
    put('form = "stepped"', f'form = "{rng.choice(["stepped", "low", "either"])}"')
    put('head = "washer"', f'head = "{rng.choice(["flat", "washer", "hex"])}"')
    put('slide = "6 mm"', f'slide = "{rng.uniform(0, 8):.2f} mm"')
    if rng.random() < 0.4:
        put('# rib = "3 mm"', 'rib = "3 mm"')
    if rng.random() < 0.4:
        put('# stack = ["25 mm", "32 mm"]', f'stack = ["{rng.uniform(22, 40):.1f} mm"]')
    if rng.random() < 0.5:
        put('width = "32 mm"', f'width = "{rng.uniform(26, 40):.2f} mm"')
    put('body = "38 mm"', f'body = "{rng.uniform(40, 55):.2f} mm"')
    put('wall = "3 mm"', 'wall = "2.2 mm"')
    head, positions = text.split("[[position]]", 1)
    positions, rest = positions.split("[bolt]", 1)
    some = rng.random()
    if some < 0.3:
        positions = ""
    elif some < 0.6:
        # Roomy enough for a wide board, and stops near it.
        x, y = rng.uniform(60, 120), rng.uniform(60, 120)
        positions = f'[[position]]\nname = "G5{rng.randint(4, 9)}"\nat = [{written(rng, x)}, {written(rng, y)}]\n'
        for side, at in (("left", x), ("front", y)):
            if rng.random() < 0.6:
                positions += f'[[stop]]\nside = "{side}"\nat = "{at - rng.uniform(0, 45):.2f} mm"\n'
    else:
        positions = "[[position]]" + positions
    text = f"{head}{positions}[bolt]{rest}"
    if rng.random() < 0.3:
        put('size = "M6"', f'size = "{rng.choice(["M5", "M8", "1/4 in", "5/16 in"])}"')
    return text


def draw(rng, folder):
    """The files of a random job: one to three pieces."""
    pieces = rng.choice([1, 1, 1, 2, 3])
    designs = []
    for number in range(pieces):
        own = folder / str(number)
        own.mkdir()
        make = narrow_job if rng.random() < 0.3 else random_job
        design, shop = make(rng.choice(list(BOARDS)), rng, own)
        text = design.read_text(encoding="utf-8")
        # Most random sizes are beyond the shipped limits of [give], and thin handles bear thin tabs.
        if rng.random() < 0.7:
            text = re.sub(r"\[give\][^\[]*", "", text)
        if rng.random() < 0.8:
            text = re.sub(r'\nthickness = "[456]\.\d+ mm"', f'\nthickness = "{rng.uniform(2.5, 4):.2f} mm"', text)
        design.write_text(text, encoding="utf-8")
        designs.append(design)
    shop.write_text(random_shop(rng, shop.read_text(encoding="utf-8")), encoding="utf-8")
    board = folder / "board.toml"
    board.write_text(random_board(rng, pieces), encoding="utf-8")
    return designs, board, shop


class Page(HTMLParser):
    """Every tag is closed, none runs anything, and nothing is fetched."""

    def __init__(self):
        super().__init__()
        self.open = []

    def handle_starttag(self, tag, attrs):
        assert tag not in ("script", "iframe", "object"), tag
        for name, value in attrs:
            assert not name.startswith("on"), name
            if name in ("src", "href"):
                assert (value or "").startswith(("data:", "#")), value[:80]
        if tag not in VOID:
            self.open.append(tag)

    def handle_endtag(self, tag):
        if tag not in VOID:
            assert self.open and self.open.pop() == tag, tag


def solids(packet, deep):
    unit = 25.4 if packet.json["shop"]["models"] == "in" else 1.0
    plates = [plate["count"] for plate in packet.json["mounting"]["plates"]]
    for name in (name for name in packet.files if name.endswith(".stl")):
        mesh = packet.mesh(name)
        mm = 1.0 if name.startswith("workholding/") else unit
        assert mesh.is_watertight and mesh.is_winding_consistent and mesh.volume > 0.0, name
        least = crossings.heights(mesh.vertices, mesh.faces).min() * mm
        assert least >= FLATTEST_MM, f"{name}: a triangle {least:.1e} mm high"
        number = name.removeprefix("workholding/print-plate").removesuffix(".stl").removeprefix("-")
        count = plates[int(number or 1) - 1] if "print-plate" in name else 1
        assert mesh.body_count == count, f"{name}: {mesh.body_count} pieces"
        if deep:
            pairs = crossings.crossings(mesh.vertices, mesh.faces)
            assert len(pairs) == 0, f"{name}: {len(pairs)} pairs of triangles cross"
    for name in (name for name in packet.files if name.endswith(".3mf")):
        seen = threemf_read.main(str(packet.folder / name))
        assert seen["valid"] and not seen["warnings"], f"{name}: {seen}"


def pages(packet):
    for name in packet.files:
        path = packet.folder / name
        data = path.read_bytes()
        ending = name.rsplit(".", 1)[-1]
        if ending == "svg":
            root = ElementTree.fromstring(data)
            assert b"NaN" not in data and b"inf" not in data, name
            assert root.tag.endswith("svg"), name
        elif ending == "html":
            page = Page()
            page.feed(data.decode("utf-8"))
            assert not page.open, page.open
        elif ending == "dxf":
            document = ezdxf.readfile(path)
            audit = document.audit()
            assert not audit.errors and not audit.fixes, f"{name}: {audit.errors} {audit.fixes}"
        else:
            first = {"pdf": b"%PDF-", "png": b"\x89PNG", "step": b"ISO-10303-21", "3mf": b"PK", "json": b"{"}
            assert ending in (*first, "stl"), name
            assert data.startswith(first.get(ending, b"")), name


def listed(packet):
    files = {entry["name"]: entry for entry in packet.json["files"]}
    assert set(files) == set(packet.files) - {"packet.json"}
    for name, entry in files.items():
        data = (packet.folder / name).read_bytes()
        assert entry["bytes"] == len(data) and entry["sha256"] == hashlib.sha256(data).hexdigest(), name


def flaws(board, size):
    """The flaws as regions, from the board's own text; of a wane's line what it cuts off."""

    def at(points):
        return [tuple(lengths.length_mm(value) for value in point) for point in points]

    whole = shapely.box(0, 0, *size)
    for kind in ("knot", "check", "wane"):
        for flaw in board.get(kind, []):
            if "centre" in flaw:
                yield kind, shapely.Point(*at([flaw["centre"]])[0]).buffer(lengths.length_mm(flaw["radius"]), 64)
            elif "polygon" in flaw:
                yield kind, shapely.Polygon(at(flaw["polygon"]))
            elif kind == "check":
                yield kind, shapely.LineString(at(flaw["line"]))
            else:
                line = at(flaw["line"])
                edge = 0.0 if line[0][1] < size[1] / 2 else size[1]
                cut = shapely.Polygon([*line, (line[-1][0], edge)])
                yield kind, cut.intersection(whole)


def lies(packet, board):
    """Pieces on sound wood, apart from each other, their skirts on the board; pins and hold-downs clear."""
    drawing = packet.drawing("board.dxf")
    layers = {}
    for name, path in (pair for pair in drawing.paths if len(pair[1]) > 2):
        layers.setdefault(name, []).append(shapely.Polygon(arcs.flattened(path, 0.002)).buffer(0))
    size = tuple(lengths.length_mm(board["board"][key]) for key in ("length", "width"))
    pieces = packet.json.get("pieces") or [packet.json]
    ball = {c["name"]: c for c in packet.json["shop"]["cutters"]}[packet.json["shop"]["work"]["finish"]]
    bodies = layers[next(name for name in layers if name.startswith("outline"))]
    assert len(bodies) == len(pieces), sorted(layers)
    skirts = [body.buffer(ball["diameter_mm"] + 1.0, 64) for body in bodies]
    margin = packet.json["shop"]["limits"]["margin_mm"]
    whole = shapely.box(0, 0, *size)
    for number, skirt in enumerate(skirts):
        assert whole.buffer(-margin + CLOSE_MM).contains(skirt), f"piece {number} leaves the board"
        for kind, flaw in flaws(board, size):
            assert bodies[number].distance(flaw) > 0.0, f"piece {number} lies on a {kind}"
        for other in skirts[:number]:
            assert skirt.distance(other) > 0.0, "two pieces touch"
    for name, lips in layers.items():
        if name.startswith("hold-downs"):
            for lip in lips:
                assert all(lip.distance(skirt) > 0.0 for skirt in skirts), f"{name}: a hold-down in a skirt"
    holes = [c for c in drawing.document.modelspace().query("CIRCLE") if c.dxf.layer.startswith("pins")]
    assert len(holes) >= 2
    for hole in holes:
        centre = shapely.Point(hole.dxf.center.x * drawing.scale, hole.dxf.center.y * drawing.scale)
        disc = centre.buffer(hole.dxf.radius * drawing.scale, 64)
        assert whole.contains(disc), "a pin beside the board"
        assert all(disc.distance(skirt) > 0.0 for skirt in skirts), "a pin in a skirt"


def fits(packet):
    """Each body, moved into its setup by the packet's own matrix, lies within the stock."""
    entries = packet.json.get("pieces") or [packet.json]
    unit = 25.4 if packet.json["shop"]["models"] == "in" else 1.0
    folders = [name[: -len("body.stl")] for name in packet.files if name.endswith("body.stl")]
    assert len(folders) == len(entries)
    for folder, entry in zip(folders, sorted(entries, key=lambda e: e.get("folder", ""))):
        body = packet.mesh(f"{folder}body.stl").vertices * unit
        for side in ("top", "bottom"):
            matrix = np.array(entry["setups"][side]["design_to_setup"], float).reshape(4, 4)
            z = body @ matrix[2, :3] + matrix[2, 3]
            low = entry["setups"][side]["stock_bottom_mm"]
            high = low + entry["stock"]["height_mm"]
            assert z.min() > low - 0.01 and z.max() < high + 0.01, f"{folder}{side}"


@pytest.mark.parametrize("seed", range(PACKETS))
def test_a_random_packet_reads_back(seed, tmp_path):
    rng = random.Random(90_000 + seed)
    for attempt in range(20):
        folder = tmp_path / str(attempt)
        folder.mkdir()
        designs, board, shop = draw(rng, folder)
        out = folder / "out"
        command = [PROGRAM, "build", *designs, "--board", board, "--shop", shop, "--out", out]
        command += ["--tolerance", "0.1 mm", "--json"]
        done = subprocess.run([str(part) for part in command], capture_output=True, text=True)
        assert done.returncode in (0, 1), f"{folder}: {done.stderr}"
        said = json.loads(done.stdout)
        own = [f for f in said if f["code"] in OF_THE_TOOL]
        assert not own, f"{folder}: {own}"
        faults = [f for f in said if f["severity"] == "fault"]
        assert (done.returncode == 1) == bool(faults), f"{folder}: {said} {done.stderr}"
        assert out.exists() == (done.returncode == 0), folder
        if done.returncode == 0:
            break
        print(attempt, sorted({f["code"] for f in faults}))
    else:
        pytest.fail("twenty jobs in a row that can't be made")
    packet = Packet("random", out)
    listed(packet)
    # Crossings take a while: every fourth.
    solids(packet, deep=seed % 4 == 0)
    pages(packet)
    lies(packet, lengths.read(board))
    fits(packet)
