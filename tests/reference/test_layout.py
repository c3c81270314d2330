"""A set's packet, its layout judged by shapely on outlines that ezdxf reads from its DXF files.

Nothing of the program's own geometry is used but what stands in the packet: the drawings, the map
from each setup's frame, and what is claimed.
"""

import json
import math
import subprocess

import dxf_read
import ezdxf
import lengths
import numpy as np
import pytest
from conftest import PROGRAM, ROOT, SET, SET_BOARD
from shapely import affinity
from shapely.geometry import LineString, Point, Polygon, box

DESIGNS, BOARD = SET, SET_BOARD
SHOP = ROOT / "params/shop.toml"
# Half a hundredth for the arcs of the outline, a hundredth for chords here.
CLOSE = 0.02


def run(*arguments):
    return subprocess.run([str(part) for part in (PROGRAM, *arguments)], capture_output=True, text=True)


@pytest.fixture(scope="module")
def folder(set_folder):
    return set_folder


@pytest.fixture(scope="module")
def offer():
    """What `fit` says of the set."""
    done = run("fit", *DESIGNS, "--board", BOARD, "--shop", SHOP, "--json")
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)["offers"][0]


@pytest.fixture(scope="module")
def packet(folder):
    return json.loads((folder / "packet.json").read_text(encoding="utf-8"))


def region(path, layer):
    """The largest closed path of a layer, as chords within a hundredth of a millimetre, in mm."""
    document = ezdxf.readfile(path)
    scale = {1: 25.4, 4: 1.0}[document.header["$INSUNITS"]]
    found = []
    for line in document.modelspace().query(f'LWPOLYLINE[layer=="{layer}"]'):
        flat = ezdxf.path.make_path(line).flattening(0.005 / scale)
        found.append(Polygon([(p.x * scale, p.y * scale) for p in flat]))
    return max(found, key=lambda polygon: polygon.area)


def on_board(piece, polygon):
    """From the top setup's frame onto the board, by the packet's own matrix turned round."""
    matrix = np.array(piece["setups"]["top"]["board_to_setup"], float).reshape(4, 4)
    (a, b), (c, d) = np.linalg.inv(matrix[:2, :2])
    x, y = -np.linalg.inv(matrix[:2, :2]) @ matrix[:2, 3]
    return affinity.affine_transform(polygon, [a, b, c, d, x, y])


@pytest.fixture(scope="module")
def laid(folder, packet):
    """Body and skirt of each piece on the board: the skirt is the limit grown by the ball."""
    ball = next(c for c in lengths.read(SHOP)["cutter"] if c["name"] == lengths.read(SHOP)["work"]["finish"])
    radius = lengths.length_mm(ball["diameter"]) / 2
    pieces = []
    for piece in packet["pieces"]:
        top = folder / piece["folder"] / "top"
        body = on_board(piece, region(top / "outline.dxf", "outline"))
        skirt = on_board(piece, region(top / "limits.dxf", "finish-centre")).buffer(radius, quad_segs=256)
        pieces.append((body, skirt))
    return pieces


def flaws():
    board = lengths.read(BOARD)
    mm = lambda points: [tuple(map(lengths.length_mm, p)) for p in points]
    for name in ("knot", "check", "wane"):
        for flaw in board.get(name, []):
            if "centre" in flaw:
                yield Point(*mm([flaw["centre"]])[0]).buffer(lengths.length_mm(flaw["radius"]), quad_segs=256)
            elif "polygon" in flaw:
                yield Polygon(mm(flaw["polygon"]))
            else:
                yield LineString(mm(flaw["line"]))


def test_the_clearance_that_fit_claims_is_there_and_no_less_is_left(laid, offer):
    claimed = offer["clearance_mm"]
    margin = lengths.length_mm(lengths.read(SHOP)["limits"]["margin"])
    board = lengths.read(BOARD)["board"]
    length, width = lengths.length_mm(board["length"]), lengths.length_mm(board["width"])
    edge = box(0, 0, length, width).exterior
    gaps = []
    for i, (body, skirt) in enumerate(laid):
        assert box(0, 0, length, width).contains(skirt)
        gaps.append(skirt.distance(edge) - margin)
        gaps += [skirt.distance(other) - margin for _, other in laid[:i]]
        gaps += [body.distance(flaw) - 1.0 for flaw in flaws()]
        # The wood's side of the wane is below its line.
        assert body.bounds[3] < 247
    assert min(gaps) == pytest.approx(claimed, abs=CLOSE)


def test_each_clearance_is_what_shapely_finds_and_its_ends_lie_on_both(laid, offer):
    board = lengths.read(BOARD)["board"]
    length, width = lengths.length_mm(board["length"]), lengths.length_mm(board["width"])
    edge, known = box(0, 0, length, width).exterior, list(flaws())
    clearances = offer["clearances"]
    for clear in clearances:
        body, skirt = laid[clear["piece"]]
        ours = body if clear["to"] == "flaw" else skirt
        theirs = {"edge": lambda _: edge, "flaw": known.__getitem__, "piece": lambda i: laid[i][1]}
        other = theirs[clear["to"]](clear["number"])
        assert ours.distance(other) == pytest.approx(clear["gap_mm"], abs=CLOSE), clear
        near, far = map(Point, clear["ends_mm"])
        assert ours.exterior.distance(near) < CLOSE, clear
        assert (other.exterior if other.geom_type == "Polygon" else other).distance(far) < CLOSE, clear
        assert near.distance(far) == pytest.approx(clear["gap_mm"], abs=1e-5), clear
    # Each piece has its edge and every flaw, each two have each other.
    count = len(laid)
    assert len(clearances) == count * (1 + len(known)) + count * (count - 1) // 2


def test_no_pin_is_near_a_skirt_or_a_flaw(packet, laid):
    hole = packet["mounting"]["pin_hole_mm"] / 2
    for pin in packet["mounting"]["pins_mm"]:
        at = Point(pin)
        assert all(skirt.distance(at) > hole + 1 for _, skirt in laid)
        assert all(flaw.distance(at) > hole + 1 - 1e-6 for flaw in flaws())


def test_handles_lie_within_their_lean_of_the_grain(packet):
    grain = lengths.degrees(lengths.read(BOARD)["board"]["grain"])
    for piece in packet["pieces"]:
        matrix = np.array(piece["setups"]["top"]["design_to_setup"], float).reshape(4, 4)
        turn = math.degrees(math.atan2(matrix[1, 0], matrix[0, 0]))
        assert (piece["placement"]["angle_deg"] - turn + 180) % 360 == pytest.approx(180, abs=1e-4)
        off = (turn - grain) % 180
        assert min(off, 180 - off) <= 8 + 1e-6


def test_board_dxf_has_every_piece_and_each_shared_thing_once(folder, packet, laid):
    document = ezdxf.readfile(folder / "board.dxf")
    assert not document.audit().errors
    space = document.modelspace()
    assert len(space.query('LWPOLYLINE[layer=="outline"]')) == len(laid)
    assert len(space.query('CIRCLE[layer=="pins"]')) == len(packet["mounting"]["pins_mm"])
    assert dxf_read.MM[document.header["$INSUNITS"]] == 1.0
    drawn = sorted(
        Polygon([(p.x, p.y) for p in ezdxf.path.make_path(line).flattening(0.005)]).area
        for line in space.query('LWPOLYLINE[layer=="outline"]')
    )
    assert drawn == pytest.approx(sorted(body.area for body, _ in laid), rel=1e-5)


def test_each_listed_file_is_there_and_no_other(folder, packet):
    listed = {file["name"] for file in packet["files"]} | {"packet.json"}
    found = {p.relative_to(folder).as_posix() for p in folder.rglob("*") if p.is_file()}
    assert listed == found


def test_every_reading_and_formula_gives_the_usable_height(packet):
    # docs/fit.md: the least reading less cup, bow, half the twist and both skims.
    board = lengths.read(BOARD)
    mm = lambda key: lengths.length_mm(board["board"].get(key, "0 mm"))
    least = min(lengths.length_mm(reading["thickness"]) for reading in board["reading"])
    usable = least - mm("cup") - mm("bow") - mm("twist") / 2 - mm("skim_top") - mm("skim_bottom")
    for piece in packet["pieces"]:
        assert piece["stock"]["usable_mm"] == pytest.approx(usable, abs=1e-5)


def test_movement_is_the_handbooks(packet):
    # Wood Handbook, FPL-GTR-282 (2021), eq. 4-5 and 13-3; pear's shrinkage is not in it: 3.9 and
    # 11.3 % by published species sheets.
    t, h = 20.0, 0.40
    w = 349 + 1.29 * t + 0.0135 * t**2
    k = 0.805 + 0.000736 * t - 0.00000273 * t**2
    k1 = 6.27 - 0.00938 * t - 0.000303 * t**2
    k2 = 1.91 + 0.0407 * t - 0.000293 * t**2
    kh = k * h
    one, two = k1 * kh, k1 * k2 * kh**2
    use = 1800 / w * (kh / (1 - kh) + (one + 2 * two) / (1 + one + two))
    assert packet["board"]["moisture_use_percent"] == pytest.approx(use, rel=1e-6)
    now = packet["board"]["moisture_now_percent"]
    for piece in packet["pieces"]:
        assert piece["movement"]
        for size in piece["movement"]:
            for way, shrinkage in (("radial", 3.9), ("tangential", 11.3)):
                change = (use - now) / (30 * 100 / shrinkage - 30 + now)
                assert size[f"use_{way}_mm"] == pytest.approx(size["now_mm"] * (1 + change), abs=2e-5)
