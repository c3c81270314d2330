"""The bed as it is: bolts in tracks and over inserts, pins where the machine goes.

Bolts and pins are read from `packet.json`, tracks and inserts from `bed.dxf` by ezdxf; whether one lies
in the other is shapely's to say. Bolt and slot are the shop file's own figures.
"""

import json
import random
import subprocess

import ezdxf
import pytest
import shapely
from conftest import PROGRAM, ROOT
from test_clamps import build, shop_with

# The shop's bolt is M6 in a hole of 6.6 mm, ISO 273 medium, printed 0.2 mm wider.
PLAY = (6.6 + 0.2 - 6.0) / 2


def bed_shop(text):
    return shop_with() + text


def anchors(packet):
    drawing = ezdxf.readfile(packet.folder / "bed.dxf")
    found = []
    for entity in drawing.modelspace():
        if entity.dxf.layer == "tracks":
            found.append(shapely.LineString(entity.get_points("xy")))
        if entity.dxf.layer == "inserts":
            found.append(shapely.Point(entity.dxf.center.x, entity.dxf.center.y))
    return shapely.GeometryCollection(found)


def bolts(packet):
    held = packet.json["mounting"]["hold_downs"]["setups"]
    return {
        setup["setup"]: [place["bolt_on_bed_mm"] for place in setup["places"]]
        for setup in held
    }


TRACKS_ACROSS = """
[[track]]
along = "Y"
at = "40 mm"
to = "600 mm"
count = 8
pitch = "95 mm"
"""

# In four rows, where the slots of blocks in front of and behind the board lie at its two positions.
INSERTS = """
[[insert]]
at = [["10 mm", "47 mm"], ["10 mm", "204 mm"], ["10 mm", "306 mm"], ["10 mm", "466 mm"]]
pitch = ["50 mm", "50 mm"]
columns = 14
"""


@pytest.mark.parametrize("text", [TRACKS_ACROSS, INSERTS], ids=["tracks", "inserts"])
def test_each_bolt_stands_in_a_track_or_over_an_insert(tmp_path, text):
    packet = build(tmp_path, "spoon", bed_shop(text))
    everything = anchors(packet)
    assert not everything.is_empty
    for setup, places in bolts(packet).items():
        assert len(places) == 4, setup
        for place in places:
            assert everything.distance(shapely.Point(place)) <= PLAY + 1e-6, (setup, place)


def test_pins_stand_where_the_machine_goes(tmp_path):
    """A random choice of travels that just hold the board, or not quite."""
    pick = random.Random(7)
    reached = refused = 0
    for case in range(12):
        far = pick.uniform(330.0, 560.0)
        text = shop_with(lines=[('x = "800 mm"', f'x = "{far:.2f} mm"')])
        folder = tmp_path / str(case)
        folder.mkdir()
        (folder / "shop.toml").write_text(text, encoding="utf-8")
        command = [PROGRAM, "build", ROOT / "params/designs/harvest-spoon.toml"]
        command += ["--board", ROOT / "params/boards/cherry.toml"]
        command += ["--shop", folder / "shop.toml", "--out", folder / "packet", "--json"]
        done = subprocess.run([str(part) for part in command], capture_output=True, text=True)
        if done.returncode == 0:
            packet = json.loads((folder / "packet/packet.json").read_text(encoding="utf-8"))
            holes = packet["mounting"]["drill_chart"]
            assert all(0 <= hole["on_bed_mm"][0] <= far + 1e-9 for hole in holes), far
            reached += 1
        else:
            codes = {finding["code"] for finding in json.loads(done.stdout)}
            assert "pins-out-of-reach" in codes, codes
            refused += 1
    assert reached and refused, (reached, refused)
