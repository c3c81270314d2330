"""Letters of a font: their outlines by fontTools, their recess and plug by brute force, and fonts that are none."""

import json
import os
import subprocess

import inlay_read
import lengths
import letters_font
import numpy as np
import pytest
import trimesh
from conftest import PROGRAM, ROOT, Packet

HIGH = 7.0
KEYS = {
    "at": ["60 mm", "0.4 mm"],
    "size": f"{HIGH} mm",
    "turn": "3 deg",
    "depth": "1.1 mm",
    "cutter": "vee 60",
    "board": ROOT / "params/plugs/maple.toml",
    "font": "own.ttf",
}


def lettered(folder, text, quadratic=True, kern="GPOS", keys=None):
    letters_font.make(folder / "own.ttf", quadratic, kern)
    design = inlay_read.with_inlay(folder / "letters.toml", KEYS | {"text": text} | (keys or {}))
    inlay_read.build_file(design, folder / "out")
    return inlay_read.Inlay(Packet(text, folder / "out"), lengths.read(design), folder)


@pytest.mark.parametrize(
    ("quadratic", "kern", "side"),
    [(True, "GPOS", "top"), (False, "GPOS", "top"), (True, "kern", "bottom"), (True, None, "top")],
)
def test_the_letters_are_the_font_s(tmp_path, quadratic, kern, side):
    if kern is None:
        # Without kerning the same letters stand further apart.
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(letters_font, "KERN", {})
            compare(lettered(tmp_path, "AVOIT", quadratic, kern, {"side": side}))
    else:
        compare(lettered(tmp_path, "AVOIT", quadratic, kern, {"side": side}))


def compare(inlay):
    setup = inlay.packet.to_setup(inlay.side)
    inlay_read.same_art(inlay, setup)
    _, low, _, high = inlay.art.bounds
    assert high - low > HIGH, "turned and round letters are a little higher than a capital"


def test_recess_and_plug_of_letters_that_overlap_and_touch(tmp_path):
    """The Q's tail lies over its bowl and its counter, two I stand edge to edge, the A's bar over its legs."""
    inlay = lettered(tmp_path, "QÁII")
    inlay_read.same_art(inlay, inlay.packet.to_setup(inlay.side))
    for name in ("recess.stl", "plug/relief.stl"):
        mesh = inlay.packet.mesh(f"{inlay.folder}/{name}")
        assert trimesh.Trimesh(mesh.vertices, mesh.faces, process=True).is_watertight, name
    plan = inlay.places(4000, 0.01)
    face, deep = inlay.face(plan), inlay.deepest(plan)
    floor = face - inlay.length("depth", "2 mm")
    inlay_read.near(np.abs(inlay.recess(plan) - np.maximum(deep, floor)), 0.01)
    plug, recess = inlay.plug(plan), inlay.recess(plan)
    inside = plug < face
    assert (plug - recess)[inside].min() > -0.02
    lift = inlay.length("gap", "0.02 mm") * np.hypot(1, inlay.t) / inlay.t
    exact = np.maximum(deep + lift, floor + inlay.length("under", "0.2 mm"))
    assert np.abs(plug - exact)[inside].max() < 0.02


def findings(folder, keys):
    design = inlay_read.with_inlay(folder / "letters.toml", KEYS | keys)
    command = [PROGRAM, "check", design, "--board", ROOT / "params/boards/cherry.toml"]
    command += ["--shop", ROOT / "params/shop.toml", "--json"]
    done = subprocess.run([str(part) for part in command], capture_output=True, text=True, timeout=60)
    assert done.returncode in (0, 1), done.stderr
    return [(f["code"], f["message"]) for f in json.loads(done.stdout)["findings"] if f["code"].startswith("inlay")]


@pytest.mark.parametrize("font", ["lost", "folder", "pipe", "empty", "words", "cut", "huge", "twisted"])
def test_what_is_no_font_is_told(tmp_path, font):
    whole = letters_font.make(tmp_path / "whole.ttf").read_bytes()
    path = tmp_path / "own.ttf"
    match font:
        case "folder":
            path.mkdir()
        case "pipe":
            os.mkfifo(path)
        case "empty":
            path.write_bytes(b"")
        case "words":
            path.write_text("a letter\n" * 400)
        case "cut":
            path.write_bytes(whole[:300])
        case "huge":
            with path.open("wb") as file:
                file.truncate(17_000_000)
        case "twisted":
            # All offsets of the tables' directory point nowhere.
            count = int.from_bytes(whole[4:6], "big")
            broken = bytearray(whole)
            for at in range(count):
                broken[12 + 16 * at + 8 : 12 + 16 * at + 12] = b"\xff\xff\xff\xf0"
            path.write_bytes(bytes(broken))
    told = findings(tmp_path, {"text": "AV"})
    assert [code for code, _ in told] == ["inlay-font"], told


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("AxV", '"x" (U+0078)'),
        ("abcdefg", "and 3 more"),
        ("A\u0301", "a mark of its own"),
        ("\u05d0", "right to left"),
        ("A" * 61, "more than 60"),
    ],
)
def test_what_a_font_can_not_write_is_told(tmp_path, text, says):
    letters_font.make(tmp_path / "own.ttf")
    told = findings(tmp_path, {"text": text})
    assert [code for code, _ in told] == ["inlay-letters"], told
    assert says in told[0][1], told


def test_a_font_damaged_anywhere_is_refused_or_read(tmp_path):
    """Each byte in turn is another: a finding or an inlay comes of it, never a stop."""
    whole = letters_font.make(tmp_path / "whole.ttf").read_bytes()
    rng = np.random.default_rng(1711)
    for _ in range(40):
        broken = bytearray(whole)
        for at in rng.integers(0, len(whole), 6):
            broken[at] = rng.integers(0, 256)
        (tmp_path / "own.ttf").write_bytes(bytes(broken))
        findings(tmp_path, {"text": "AVOQ"})
