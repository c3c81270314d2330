"""The packet as a whole: what is in it, what its list says, and that it is the same every time."""

import hashlib
import math
import re

from conftest import build

# In every packet.
ALWAYS = {
    "packet.json",
    "sheet.html",
    "body.stl",
    "body.3mf",
    "body.step",
    "finished.stl",
    "board.dxf",
    "bed.dxf",
    "bed/pins.dxf",
    "top/pins.dxf",
    "workholding/hold-down.stl",
    "workholding/hold-down.3mf",
    "workholding/hold-down.step",
    *(f"{s}/{f}" for s in ("top", "bottom") for f in ("relief.stl", "outline.dxf", "tabs.dxf", "limits.dxf")),
}


def content(folder):
    return {
        p.relative_to(folder).as_posix(): p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()
    }


def test_all_files_are_there_and_listed(packet):
    have = set(packet.files)
    assert ALWAYS <= have, ALWAYS - have
    listed = {entry["name"]: entry for entry in packet.json["files"]}
    assert set(listed) == have - {"packet.json"}
    for name, entry in listed.items():
        data = (packet.folder / name).read_bytes()
        assert entry["bytes"] == len(data), name
        assert entry["sha256"] == hashlib.sha256(data).hexdigest(), name
        assert entry["role"], name


def test_numbers_say_their_unit_and_are_finite(packet):
    units = re.compile(r"_(mm|mm2|mm3|ml|g|deg|percent|rpm|mm_min|kg_m3|px|n|min|mpa|factor|tablespoons|teaspoons)$")
    without = {"format", "bytes", "triangles", "count", "fullness", "root", "stop", "section", "weight", "safety", "pin", "rest_on_lip", "slot_passes", "pieces", "design_to_setup", "board_to_setup"}

    def walk(value, key, path):
        if isinstance(value, dict):
            for k, v in value.items():
                walk(v, k, f"{path}.{k}")
        elif isinstance(value, list):
            for v in value:
                walk(v, key, path)
        elif isinstance(value, (int, float)) and not isinstance(value, bool):
            assert math.isfinite(value), path
            assert units.search(key) or key in without, f"{path} has no unit in its name"

    walk(packet.json, "", "")
    assert packet.json["format"] == 2
    for key in ("design", "measured", "mesh", "stock", "changes", "findings", "files", "mounting"):
        assert key in packet.json, key


def test_shipped_designs_have_no_fault(packet):
    assert [f for f in packet.json["findings"] if f["severity"] == "fault"] == []
    for finding in packet.json["findings"]:
        assert finding["code"] and finding["message"] and finding["help"]


def test_the_same_input_gives_the_same_bytes(packet, tmp_path):
    again = content(build(packet.kind, tmp_path / "again"))
    first = content(packet.folder)
    assert set(again) == set(first)
    assert [name for name in first if first[name] != again[name]] == []


def test_one_thread_gives_the_same_bytes(packet, tmp_path, monkeypatch):
    monkeypatch.setenv("RAYON_NUM_THREADS", "1")
    again = content(build(packet.kind, tmp_path / "again"))
    first = content(packet.folder)
    assert [name for name in first if first[name] != again.get(name)] == []
