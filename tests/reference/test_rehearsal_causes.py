"""Causes that a rehearsal names are right: what it says by how much the zero is off makes the program clean;
what was made for something else is told as that. And pins, packets, kept wood, and what is folded."""

import json
import re
import shutil
import subprocess

import numpy as np
import pytest
from conftest import PROGRAM
from programs import Bench, Program
from test_rehearse import BOARD, WIDE, codes, finished, good, in_plan, put_after, rehearse, roughed, shift, spoon, top  # noqa: F401

# How much of the piece and its tabs a corrected program may touch: nothing.
HARM = {"into-piece", "into-tab", "past-limit", "into-bed", "below-skirt"}


def roughing(bench, **off):
    program = Program(tool=1)
    shift(**off)(program)
    program.rapid(z=bench.lift)
    return bench.rough(program, over=4.0).end().text()


def said(finding):
    """By how much the zero is off, as it is said."""
    return {axis: float(value) for value, axis in re.findall(r"(-?[\d.]+) mm along ([XYZ])", finding["message"])}


@pytest.mark.parametrize("off", [{"x": 3.0}, {"x": 1.2}, {"y": 8.0}, {"z": -0.6}, {"z": -1.0}, {"z": -3.0}, {"x": -2.0, "z": -1.5}], ids=str)
def test_a_roughing_program_is_clean_when_it_is_moved_by_what_is_said(spoon, top, tmp_path, off):  # noqa: F811
    (tmp_path / "off.nc").write_text(roughing(top, **off))
    first = rehearse(spoon, "top", tmp_path / "off.nc")["findings"][0]
    assert first["code"] == "zero-off", first
    found = said(first)
    assert set(found) == {axis.upper() for axis in off}, first["message"]
    right = {axis: value - found[axis.upper()] for axis, value in off.items()}
    assert all(abs(value) < 0.35 for value in right.values()), first["message"]
    (tmp_path / "right.nc").write_text(roughing(top, **right))
    after = rehearse(spoon, "top", tmp_path / "right.nc")
    assert not HARM & set(codes(after)), after["findings"]


@pytest.mark.parametrize(
    "way, off",
    [
        ("zigzag", {"x": -1.21}),
        ("zigzag", {"x": -2.49, "y": -1.58, "z": 1.81}),
        ("contour-parallel", {"x": -1.92, "z": 1.51}),
        ("spiral", {"x": 2.1, "z": -0.12}),
        ("spiral", {"y": -2.45}),
    ],
    ids=str,
)
def test_the_zero_of_a_finishing_program_is_found_within_a_tenth(spoon, top, tmp_path, way, off):  # noqa: F811
    """Said is a tenth, so half of one is rounding."""
    (tmp_path / "off.nc").write_text(finished(top, way=way, inner=shift(**off)).end().text())
    first = rehearse(spoon, "top", tmp_path / "off.nc")["findings"][0]
    assert first["code"] == "zero-off", first
    found = said(first)
    assert all(abs(found.get(axis.upper(), 0.0) - value) < 0.101 for axis, value in off.items()), first["message"]
    assert all(abs(value) < 0.1 for axis, value in found.items() if axis.lower() not in off), first["message"]


def test_no_cause_is_named_for_what_none_explains(spoon, top, tmp_path):  # noqa: F811
    """The board was clamped askew by two degrees, or so the path has it."""
    angle = np.radians(2.0)
    middle = np.array([BOARD, WIDE]) / 2

    def askew(x, y):
        x, y = np.array([x, y]) - middle
        return middle + [x * np.cos(angle) - y * np.sin(angle), x * np.sin(angle) + y * np.cos(angle)]

    for name, text in {"rough": roughing(top), "finish": finished(top).end().text()}.items():
        (tmp_path / f"{name}.nc").write_text(in_plan(text, askew))
        findings = rehearse(spoon, "top", tmp_path / f"{name}.nc")["findings"]
        assert findings[0]["code"] == "wrong-packet", findings[:2]
        assert "the cause isn't known" in findings[0]["message"]


def test_what_was_made_for_another_packet_is_told(packets, spoon, top, tmp_path):  # noqa: F811
    other = Bench(packets("fork"), "top")
    for name, text in {"rough": roughing(other), "finish": finished(other).end().text()}.items():
        (tmp_path / f"{name}.nc").write_text(text)
        result = rehearse(spoon, "top", tmp_path / f"{name}.nc")
        first = result["findings"][0]
        assert first["code"] == "wrong-packet" and "% of the piece" in first["message"], result["findings"][:3]
        assert "zero-off" not in codes(result)
        # What comes of it is marked, and folded on the terminal.
        folded = [finding for finding in result["findings"] if finding["explained"]]
        assert {"into-piece"} <= {finding["code"] for finding in folded}


def test_cutters_that_have_changed_places_are_told(spoon, top, tmp_path):  # noqa: F811
    program = Program(tool=2)
    program.rapid(z=top.lift)
    text = top.rough(program, "flat 1/8", "clear-centre", over=1.5).end().text()
    finish = Program(tool=3)
    finish.rapid(z=top.lift)
    finish = top.finish(finish, over=1.0).end().text()
    # Clearing with the ball, and finishing with the flat one.
    (tmp_path / "a.nc").write_text(text[: text.index("M5")] + finish[finish.index("T3") :])
    first = rehearse(spoon, "top", tmp_path / "a.nc")["findings"][0]
    assert first["code"] == "wrong-cutter" and "changed places" in first["message"], first


def test_forgotten_roughing_is_told_though_the_path_comes_from_the_side(spoon, top, good, tmp_path):  # noqa: F811
    """Passes so close together that each takes little more than a shaving, but as deep as the wood."""
    area = max(top.limits["finish-centre"], key=lambda a: a.area)
    x0, y0, x1, y1 = area.bounds
    program = Program(tool=2)
    program.rapid(z=top.lift)
    text = top.finish(program, over=0.5).end().write(tmp_path / "fine.nc")
    result = rehearse(spoon, "top", good[0], text)
    assert "finish-in-solid" in codes(result), result["findings"]
    # One wrong line is none.
    y = (y0 + y1) / 2
    slip = put_after(finished(top).end().text(), 9, f"G0 X{x0 + 40:.3f} Y{y:.3f}\nG0 Z32\nG1 Z6 F300\nG1 X{x0 + 90:.3f} F900\nG0 Z45")
    (tmp_path / "slip.nc").write_text(slip)
    result = rehearse(spoon, "top", *good[:3], tmp_path / "slip.nc")
    assert "into-piece" in codes(result) and "finish-in-solid" not in codes(result)


def bored(top, folder, name, cycle="G83", tool=1, x=0.0, low=-0.5, more="Q6"):  # noqa: F811
    """The pins, drilled."""
    pins = top.packet.json["mounting"]["pins_mm"]
    lines = [f"{cycle} X{px + (x if n else 0):.3f} Y{py:.3f} Z{low} R33.3 {more} F300" for n, (px, py) in enumerate(pins)]
    text = "\n".join(["G21 G90 G54", f"T{tool} M6", "S9000 M3", "G0 Z45", *lines, "G80", "M5", "M30", ""])
    (folder / f"{name}.nc").write_text(text)
    return folder / f"{name}.nc"


def test_pin_holes_are_judged(spoon, top, tmp_path):  # noqa: F811
    told = lambda program, *more: rehearse(spoon, "top", program, more=more)["findings"]
    assert told(bored(top, tmp_path, "right"), "--keep", tmp_path / "right.wood") == []
    blind = told(bored(top, tmp_path, "blind", low=8), "--keep", tmp_path / "blind.wood")
    assert {f["code"] for f in blind} == {"pin-hole"} and "doesn't go through: 8.0 mm" in blind[0]["message"]
    moved = told(bored(top, tmp_path, "moved", x=10.0), "--keep", tmp_path / "moved.wood")
    words = " | ".join(f["message"] for f in moved if f["code"] == "pin-hole")
    assert "where no pin stands" in words and "a pin has no hole" in words
    assert all("limits.dxf" not in f["help"] for f in moved)
    small = told(bored(top, tmp_path, "small", tool=3))
    words = " | ".join(f["message"] for f in small if f["code"] == "pin-hole")
    assert "flat 1/8 bores the hole of a pin" in words and "too narrow" in words
    at_once = told(bored(top, tmp_path, "at-once", cycle="G81", more=""))
    assert [f["code"] for f in at_once] == ["pass-deeper"] and "pecks of" in at_once[0]["message"]
    # And in setup 2, by the wood that was kept.
    air = "G21 G90 G55\nT2 M6\nS9000 M3\nG0 Z45\nG1 X200 Y66 F900\nG1 Z31 F300\nG0 Z45\nM5\nM30\n"
    (tmp_path / "air.nc").write_text(air)
    (tmp_path / "none.nc").write_text(air.replace("G55", "G54"))
    told(tmp_path / "none.nc", "--keep", tmp_path / "none.wood")
    for wood, words in {"right": None, "none": "no hole", "blind": "doesn't go through", "moved": "no hole"}.items():
        result = rehearse(spoon, "bottom", tmp_path / "air.nc", more=["--from", tmp_path / f"{wood}.wood"])
        found = [f["message"] for f in result["findings"] if f["code"] == "pin-hole"]
        assert bool(found) == bool(words) and (words is None or words in " | ".join(found)), (wood, found)


def run(*parts):
    done = subprocess.run([str(part) for part in (PROGRAM, "rehearse", *parts)], capture_output=True, text=True)
    assert done.returncode == 1, done.stderr
    return done


def test_a_changed_packet_is_refused(spoon, good, tmp_path):  # noqa: F811
    copy = tmp_path / "packet"
    shutil.copytree(spoon.folder, copy)
    shutil.copy(copy / "bottom/relief.stl", copy / "top/relief.stl")
    done = run(copy, "top", good[0], "--json")
    finding = json.loads(done.stdout)["findings"][0]
    assert finding["code"] == "packet-changed" and "top/relief.stl" in finding["message"]
    shutil.copy(spoon.folder / "top/relief.stl", copy / "top/relief.stl")
    text = (copy / "packet.json").read_text(encoding="utf-8")
    (copy / "packet.json").write_text(text.replace('"leaves_mm": 0.5', '"leaves_mm": 0.1', 1), encoding="utf-8")
    assert "packet.json is not as the packet was built" in run(copy, "top", good[0]).stderr


def test_what_is_refused_is_json_too_and_kept_wood_is_told_apart(packets, spoon, top, good, tmp_path):  # noqa: F811
    for parts in ([spoon.folder, "top", tmp_path / "none.nc"], [tmp_path, "top", good[0]]):
        finding = json.loads(run(*parts, "--json").stdout)["findings"][0]
        assert finding["severity"] == "fault" and finding["message"] and finding["help"]
    (tmp_path / "broken.wood").write_bytes(b"treenwright wood 2\n{}\n")
    fork = packets("fork")
    rehearse(fork, "top", bored(Bench(fork, "top"), tmp_path, "fork"), more=["--keep", tmp_path / "fork.wood"])
    for name, words in {"broken": "not a file that --keep wrote", "fork": "of another packet"}.items():
        said = run(spoon.folder, "top", good[0], "--from", tmp_path / f"{name}.wood").stderr
        assert words in said and "treenwright explain wood-unfit" in " ".join(said.split()), said


def test_tools_that_are_not_known_are_told_at_once(spoon, tmp_path):  # noqa: F811
    cut = "".join(f"T{t} M6\nS9000 M3\nG0 X200 Y66\nG1 Z31 F300\nG0 Z45\n" for t in (7, 8))
    (tmp_path / "a.nc").write_text(f"G21 G90 G54\nG0 Z45\n{cut}M5\nM30\n")
    found = rehearse(spoon, "top", tmp_path / "a.nc")["findings"]
    assert [f["code"] for f in found] == ["cutter-not-said"] and "tools 7, 8" in found[0]["message"]
    assert "--cutter" in found[0]["help"] and "build the packet again" in found[0]["help"]


def test_a_cause_is_said_last_and_what_comes_of_it_is_folded(spoon, top, tmp_path):  # noqa: F811
    (tmp_path / "low.nc").write_text(roughing(top, z=-3.0))
    numbers = ["--cutter", "1=flat 1/4"]
    short = run(spoon.folder, "top", tmp_path / "low.nc", *numbers).stderr
    long = run(spoon.folder, "top", tmp_path / "low.nc", *numbers, "--all").stderr
    assert "more that come" in short and "--all shows them" in short and "into-piece" not in short
    assert "into-piece" in long and "--all shows them" not in long
    assert "First put this right: most likely the program's zero is off" in " ".join(short.splitlines()[-3:])
