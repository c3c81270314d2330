"""Rehearsals judged by programs made here, by brute force and by closed forms."""

import json
import subprocess

import numpy as np
import pytest
from conftest import PROGRAM, Packet
from programs import Bench, PieceOfSet, Program, form

CUTTERS = ["1=flat 1/4", "2=ball 1/8", "3=flat 1/8", "4=vee 60"]


# Most programs here are finished in rows that are far apart, for speed, and leave passes out: what is told of that has
# tests of its own.
APART = ("coarse-finish", "pass-missing")


def rehearse(packet, setup, *programs, more=(), cutters=CUTTERS, apart=APART):
    command = [PROGRAM, "rehearse", packet.folder, setup, *programs, "--json", *more]
    for cutter in cutters:
        command += ["--cutter", cutter]
    done = subprocess.run([str(part) for part in command], capture_output=True, text=True)
    assert done.returncode in (0, 1), done.stderr
    assert done.stdout, done.stderr
    result = json.loads(done.stdout)
    result["findings"] = [f for f in result.get("findings", []) if f["code"] not in apart]
    faults = any(f["severity"] == "fault" for f in result["findings"])
    assert done.returncode == (1 if faults else 0)
    return result


def codes(result):
    return [finding["code"] for finding in result["findings"]]


def wood(path):
    """What --keep wrote: its head, tops and floors, row by row."""
    data = path.read_bytes()
    first, head, rest = data.split(b"\n", 2)
    assert first == b"treenwright wood 2"
    head = json.loads(head)
    values = np.frombuffer(rest, "<f4").reshape(2, head["rows"], head["columns"])
    return head, values[0], values[1]


@pytest.fixture(scope="module")
def spoon(packets):
    return packets("spoon")


@pytest.fixture(scope="module")
def top(spoon):
    return Bench(spoon, "top")


@pytest.fixture(scope="module")
def bottom(spoon):
    return Bench(spoon, "bottom")


FINISHERS = {"zigzag": Bench.finish, "contour-parallel": Bench.contours, "spiral": Bench.spiral}


def finished(bench, tool=2, inner=None, way="zigzag", **keys):
    """A finishing program, with whatever `inner` does to it before its cuts."""
    program = Program(tool=tool, position=keys.pop("position", "G54" if bench.setup == "top" else "G55"), **keys)
    if inner:
        inner(program)
    program.rapid(z=bench.lift)
    return FINISHERS[way](bench, program)


def programs_of_top(top, folder):
    """The top's programs in their order."""
    bore, rough, clear = Program(tool=1), Program(tool=1, comments=";"), Program(tool=3)
    bore.rapid(z=top.lift)
    rough.rapid(z=top.lift)
    clear.rapid(z=top.lift)
    return [
        top.bore(bore).end().write(folder / "bore.nc"),
        top.rough(rough, over=4.0).end().write(folder / "rough.nc"),
        top.rough(clear, "flat 1/8", "clear-centre", over=1.5).end().write(folder / "clear.nc"),
        finished(top).end().write(folder / "finish.nc"),
    ]


def roughed_wood(packet, programs, folder):
    """What the sheet has before finishing, kept: the arguments that begin with it."""
    before = rehearse(packet, "top", *programs, more=["--keep", folder / "roughed.wood"])
    assert before["findings"] == []
    return ["--from", folder / "roughed.wood"]


@pytest.fixture(scope="module")
def good(top, tmp_path_factory):
    return programs_of_top(top, tmp_path_factory.mktemp("good"))


@pytest.fixture(scope="module")
def roughed(spoon, good, tmp_path_factory):
    return roughed_wood(spoon, good[:3], tmp_path_factory.mktemp("roughed"))


def test_right_programs_of_both_sides_have_no_finding(spoon, bottom, good, tmp_path):
    kept = tmp_path / "first.wood"
    first = rehearse(spoon, "top", *good, more=["--keep", kept])
    assert first["findings"] == []
    assert first["figures"]["below_mm2"] == 0
    assert first["figures"]["tip_lowest_mm"] == pytest.approx(-0.5, abs=1e-3)
    _, tops, floors = wood(kept)
    rough = Program(tool=1, position="G55")
    rough.rapid(z=bottom.lift)
    rough = bottom.rough(rough, over=4.0).end().write(tmp_path / "rough.nc")
    clear = Program(tool=3, position="G55")
    clear.rapid(z=bottom.lift)
    clear = bottom.rough(clear, "flat 1/8", "clear-centre", over=1.5).end().write(tmp_path / "clear.nc")
    finish = finished(bottom).end().write(tmp_path / "finish.nc")
    second = rehearse(spoon, "bottom", rough, clear, finish, more=["--from", kept, "--keep", tmp_path / "second.wood"])
    assert second["findings"] == []
    _, tops2, floors2 = wood(tmp_path / "second.wood")
    # The wood of setup 1 lies under that of setup 2, turned about X.
    np.testing.assert_allclose(floors2, bottom.top - tops[::-1], atol=1e-4)
    assert [piece["progress"] for piece in first["pieces"] + second["pieces"]] == ["finished"] * 2
    # With both sides carved, the piece's own wood is all there: nowhere thinner than the body.
    assert (tops2 > floors2).mean() > 0.5


@pytest.mark.parametrize("name", ["fork", "turner"])
def test_right_programs_of_a_fork_and_a_turner_have_no_finding(packets, tmp_path, name):
    packet = packets(name)
    kept = []
    for setup, position in (("top", "G54"), ("bottom", "G55")):
        bench = Bench(packet, setup)
        def program(tool):
            begun = Program(tool=tool, position=position)
            begun.rapid(z=bench.lift)
            return begun

        files = [
            bench.rough(program(1), over=4.0).end().write(tmp_path / f"{setup}-rough.nc"),
            bench.rough(program(3), "flat 1/8", "clear-centre", over=1.5).end().write(tmp_path / f"{setup}-clear.nc"),
            finished(bench).end().write(tmp_path / f"{setup}-finish.nc"),
        ]
        if setup == "top":
            files.insert(0, bench.bore(program(1)).end().write(tmp_path / "bore.nc"))
        if "slots" in bench.passes:
            files.append(bench.slots(program(3)).end().write(tmp_path / "slots.nc"))
        if "edge" in bench.passes:
            files.append(bench.edge(program(3)).end().write(tmp_path / "edge.nc"))
        more = ["--keep", tmp_path / f"{setup}.wood"] + [part for file in kept for part in ("--from", file)]
        result = rehearse(packet, setup, *files, more=more)
        assert result["findings"] == [], (setup, result["findings"])
        kept = [tmp_path / f"{setup}.wood"]


def test_a_set_is_carved_end_to_end(set_folder, tmp_path):
    """Three pieces on one board, each with its own programs, its slots and its edge."""
    packet = Packet("spoon", set_folder)
    pieces = [PieceOfSet(packet, index) for index in range(3)]
    kept = []
    for setup, position in (("top", "G54"), ("bottom", "G55")):
        benches = [Bench(piece, setup) for piece in pieces]
        files = []

        def program(name, tool, make):
            begun = Program(tool=tool, position=position)
            begun.rapid(z=benches[0].lift)
            files.append(make(begun).end().write(tmp_path / f"{setup}-{name}.nc"))

        if setup == "top":
            program("bore", 1, benches[0].bore)
        for piece, bench in zip(pieces, benches):
            program(f"{piece.under}-rough", 1, lambda begun: bench.rough(begun, over=4.0))
            program(f"{piece.under}-clear", 3, lambda begun: bench.rough(begun, "flat 1/8", "clear-centre", over=1.5))
            program(f"{piece.under}-finish", 2, bench.finish)
        for piece, bench in zip(pieces, benches):
            for last in ("slots", "edge"):
                if last in bench.passes:
                    program(f"{piece.under}-{last}", 3, getattr(bench, last))
        more = ["--keep", tmp_path / f"{setup}.wood", *kept]
        result = rehearse(packet, setup, *files, more=more)
        assert result["findings"] == [], (setup, result["findings"])
        assert [piece["progress"] for piece in result["pieces"]] == ["finished"] * 3
        assert [piece["name"] for piece in result["pieces"]] == [piece.name for piece in pieces]
        if setup == "top":
            # One piece was forgotten.
            short = rehearse(packet, setup, *[file for file in files if "turner" not in file.name])
            assert codes(short) == ["not-finished"]
            assert "nothing of harvest turner is carved" in short["findings"][0]["message"]
            assert [piece["progress"] for piece in short["pieces"]] == ["finished", "finished", "untouched"]
        else:
            closed = [piece["slots_closed_percent"] for piece in result["pieces"]]
            assert closed[0] is None and closed[1] < 10 and closed[2] is None
        kept = ["--from", tmp_path / f"{setup}.wood"]


@pytest.mark.parametrize("keys", [{"inches": True}, {"comments": ";"}, {"decimals": 3}])
def test_other_ways_to_write_it_change_nothing(spoon, top, roughed, tmp_path, keys):
    plain = rehearse(spoon, "top", finished(top).end().write(tmp_path / "plain.nc"), more=roughed)
    other = rehearse(spoon, "top", finished(top, **keys).end().write(tmp_path / "other.nc"), more=roughed)
    assert codes(plain) == codes(other) == []
    for key in ("removed_mm3", "left_most_mm", "time_s"):
        assert other["figures"][key] == pytest.approx(plain["figures"][key], rel=1e-3)


def incremental(text):
    """The same program with G91: written anew from its own coordinates."""
    at = {"X": 0.0, "Y": 0.0, "Z": 0.0}
    out, moved = [], False
    for line in text.splitlines():
        words = line.split()
        if words and words[0] in ("G0", "G1"):
            told = []
            for word in words[1:]:
                if word[0] in at:
                    value = float(word[1:])
                    if moved:
                        told.append(f"{word[0]}{round(value - at[word[0]], 4):.4f}")
                    at[word[0]] = value
                    if not moved:
                        told.append(word)
                else:
                    told.append(word)
            out.append(" ".join([words[0], *told]))
            if not moved and all(at.values()):
                moved = True
                out.append("G91")
            continue
        out.append(line)
    return "\n".join(out) + "\n"


def test_incremental_moves_lead_to_the_same_places(spoon, top, roughed, tmp_path):
    text = finished(top).end().text()
    (tmp_path / "a.nc").write_text(text)
    (tmp_path / "b.nc").write_text(incremental(text))
    a, b = (rehearse(spoon, "top", tmp_path / f"{n}.nc", more=roughed) for n in "ab")
    assert codes(a) == codes(b) == []
    assert b["figures"]["removed_mm3"] == pytest.approx(a["figures"]["removed_mm3"], rel=1e-4)


def shift(x=0.0, y=0.0, z=0.0):
    def inner(program):
        program.shift = np.array([x, y, z])

    return inner


def edit(change):
    """A right program with its text changed."""
    return lambda bench: change(finished(bench).end().text())


def put_after(text, nth, line, start="G0"):
    """A line after the n-th that begins so."""
    lines = text.splitlines()
    places = [i for i, l in enumerate(lines) if l.startswith(start)]
    lines.insert(places[nth] + 1, line)
    return "\n".join(lines) + "\n"


def across_a_clamp(text):
    return put_after(text, 0, "G0 X94 Y5\nG0 Z30\nG0 Z50")


def without_a_retract(text):
    lines = text.splitlines()
    lifts = [i for i, l in enumerate(lines) if l.startswith("G0 Z45")]
    middle = lifts[len(lifts) // 2]
    # And the way to the next row goes at that height too.
    del lines[middle : middle + 1]
    return "\n".join(lines) + "\n"


def inch_numbers(text):
    """Numbers in inches under G21."""
    return text.replace("G20", "G21")


# Length and width of the spoon's board, in mm.
BOARD, WIDE = 470.0, 132.0


def in_plan(text, move):
    """A program whose places in the plan are moved; each line is given both."""
    at, out = [0.0, 0.0], []
    for line in text.splitlines():
        words = line.split()
        if words and words[0] in ("G0", "G1"):
            rest = [word for word in words[1:] if word[0] not in "XY"]
            for word in words[1:]:
                if word[0] in "XY":
                    at["XY".index(word[0])] = float(word[1:])
            if len(rest) < len(words) - 1:
                x, y = move(*at)
                line = " ".join([words[0], f"X{x:.4f}", f"Y{y:.4f}", *rest])
        out.append(line)
    return "\n".join(out) + "\n"


def mirrored(program):
    program.mirror = (0, BOARD)


DEFECTS = {
    "zero on the top": (lambda b: finished(b, inner=shift(z=-b.top)).end().text(), "zero-off", "top of the stock"),
    "zero in the middle": (
        lambda b: finished(b, inner=shift(x=-b.size[0] / 2, y=-b.size[1] / 2)).end().text(),
        "zero-off",
        "middle of the board",
    ),
    "zero in the back left corner": (
        lambda b: finished(b, inner=shift(y=-b.size[1])).end().text(),
        "zero-off",
        "back left corner",
    ),
    "zero in the front right corner": (
        lambda b: finished(b, inner=shift(x=-b.size[0])).end().text(),
        "zero-off",
        "front right corner",
    ),
    "zero off by 2 mm in X": (lambda b: finished(b, inner=shift(x=2.0)).end().text(), "zero-off", "along X"),
    "zero off by 3 mm in Y": (lambda b: finished(b, inner=shift(y=-3.0)).end().text(), "zero-off", "along Y"),
    "zero too low by 1 mm": (lambda b: finished(b, inner=shift(z=-1.0)).end().text(), "zero-off", "along Z"),
    "inches read as millimetres": (lambda b: inch_numbers(finished(b, inches=True).end().text()), "wrong-unit", "inches"),
    "millimetres read as inches": (
        lambda b: finished(b).end().text().replace("G21", "G20"),
        "wrong-unit",
        "millimetres",
    ),
    "a tool that is too large": (lambda b: finished(b, tool=1).end().text(), "wrong-cutter", "made for ball 1/8"),
    "another position": (lambda b: finished(b, position="G55").end().text(), "wrong-position", "G55"),
    "a position that is not there": (lambda b: finished(b, position="G58").end().text(), "wrong-position", "G58"),
    "no retract": (edit(without_a_retract), "rapid-in-wood", "rapid"),
    "spindle off": (lambda b: finished(b, spindle=False).end().text(), "spindle-off", "spindle"),
    "spindle stopped": (edit(lambda t: put_after(t, 9, "M5")), "spindle-off", "spindle"),
    "rapid through a block": (edit(across_a_clamp), "into-hold-down", "hold-down"),
    "into the bed": (edit(lambda t: put_after(t, 9, "G0 X200 Y10\nG0 Z32\nG1 Z-2 F300\nG0 Z45")), "into-bed", "bed"),
    "into the piece": (edit(lambda t: put_after(t, 9, "G0 X100 Y66\nG0 Z32\nG1 Z15 F300\nG0 Z45")), "into-piece", "piece"),
    "into a tab": (edit(lambda t: put_after(t, 9, "G0 X75 Y79\nG0 Z32\nG1 Z8 F300\nG0 Z45")), "into-tab", "tab"),
    "limit left by 1 mm": (lambda b: past_the_limit(b), "past-limit", "limit"),
    "beyond the machine": (edit(lambda t: put_after(t, 0, "G0 X900")), "past-travel", "along X"),
    "plunge at full feed": (lambda b: plunging(b), "plunge-fast", "plunge"),
    "feed in inches": (edit(lambda t: t.replace("F1800.000", "F70.866").replace("F562.500", "F22.146")), "feed-off", "in/min"),
    "feed too fast": (edit(lambda t: t.replace("F1800.000", "F2600")), "feed-off", "shop's feed"),
    "unit left out": (edit(lambda t: t.replace("G21 ", "")), "unit-not-said", "unit"),
    "no feed": (edit(lambda t: __import__("re").sub(r" F[\d.]+", "", t)), "program-rule", "feed"),
    "a tool that is not there": (lambda b: finished(b, tool=9).end().text(), "cutter-not-said", "tool 9"),
    "no tool": (lambda b: finished(b, tool=None).end().text(), "cutter-not-said", "no tool"),
    "an unknown word": (edit(lambda t: put_after(t, 4, "G187 P1")), "program-word", "G187"),
    "cutter compensation": (edit(lambda t: put_after(t, 4, "G41 D2")), "program-word", "G41"),
    "a parameter": (edit(lambda t: put_after(t, 4, "G1 X#5")), "program-word", "parameter"),
    "two codes of a group": (edit(lambda t: put_after(t, 4, "G0 G1 X5")), "program-rule", "group"),
    "an arc that is none": (edit(lambda t: put_after(t, 4, "G2 X100 Y50 I3 J0")), "program-rule", "arc"),
    "a file of another kind": (edit(lambda t: "PK\x03\x04 hello!\n" + t), "program-text", "P has no number"),
    "a rapid that is low": (edit(lambda t: put_after(t, 0, "G0 X200 Y40\nG0 Z33\nG0 X220\nG0 Z45")), "rapid-low", "rapid"),
    "a cutter without a pass": (edit(lambda t: put_after(t, 9, "T4 M6\nM3\nG0 X100 Y66\nG0 Z32\nG1 Z31 F300\nG1 X110\nG0 Z45\nT2 M6\nM3")), "cutter-without-pass", "vee"),
    "nothing cut": (lambda b: in_the_air(), "nothing-cut", "no wood"),
    "mirrored": (lambda b: finished(b, inner=mirrored).end().text(), "mirrored", "along X"),
    "a feed of zero": (edit(lambda t: put_after(t, 4, "G1 X100 F0")), "program-rule", "F0"),
    "pecks without their depth": (edit(lambda t: put_after(t, 4, "G83 X100 Y66 Z30 R33")), "program-rule", "needs Q"),
    "a drawing": (lambda b: (b.packet.folder / "top/limits.dxf").read_text(encoding="utf-8"), "program-none", "not a program"),
    "an empty file": (lambda b: "%\n(nothing here)\n%\n", "program-empty", "nothing in the program"),
    "cut short": (edit(lambda t: cut_short(t, 0.6)), "not-finished", "is not finished"),
    "zero too high by 0.3 mm": (lambda b: finished(b, inner=shift(z=0.3)).end().text(), "zero-off", "0.3 mm along Z"),
    "zero too high by 5 mm": (lambda b: finished(b, inner=shift(z=5.0)).end().text(), "zero-off", "5 mm along Z"),
    "zero too low by 0.3 mm": (lambda b: finished(b, inner=shift(z=-0.3)).end().text(), "zero-off", "-0.3 mm along Z"),
    "zero off by 0.5 mm in X": (lambda b: finished(b, inner=shift(x=0.5)).end().text(), "zero-off", "0.5 mm along X"),
    "turned end for end": (edit(lambda t: in_plan(t, lambda x, y: (BOARD - x, WIDE - y))), "mirrored", "or it is turned end for end"),
    "X and Y swapped": (edit(lambda t: in_plan(t, lambda x, y: (y, x))), "turned", "X and Y are swapped"),
    "spindle backwards": (edit(lambda t: t.replace("M3\n", "M4\n")), "spindle-backwards", "M4"),
    "no end": (edit(lambda t: t[: t.index("M5\n")]), "program-unended", "no end"),
    "a zero that is shifted": (edit(lambda t: t.replace("M5\n", "G92 X0 Y0\nM5\n")), "zero-shifted", "G92"),
    "feed 25 times too fast": (edit(lambda t: t.replace("F1800.000", "F45720")), "feed-off", "25.4 times"),
    "feed in mm/s": (edit(lambda t: t.replace("F1800.000", "F30.000").replace("F562.500", "F9.375")), "feed-off", "30 mm/s"),
    "a speed that is far too high": (edit(lambda t: t.replace("S16000", "S60000")), "speed-off", "shop's speed"),
    "neither G90 nor G91": (edit(lambda t: t.replace(" G90", "")), "distance-not-said", "absolute (G90)"),
    "lines after the end": (edit(lambda t: t + "G0 X5\n"), "program-goes-on", "after the program's end"),
    "another tool's length": (edit(lambda t: put_after(t, 0, "G43 H1")), "tool-length", "with the length of tool 1"),
    "nothing cut by one cutter": (edit(lambda t: t.replace("M5\n", "T3 M6\nS9000 M3\nG0 X100 Y60\nG1 X200 F900\nM5\n")), "nothing-cut", "flat 1/8"),
}


def in_the_air():
    program = Program(tool=2)
    program.rapid(x=50, y=60, z=45)
    program.feed(x=200, f=1000)
    return program.end().text()


def plunging(bench):
    """Roughing, the only program that goes down into solid wood: straight down at full feed."""
    program = Program(tool=1)
    program.rapid(z=bench.lift)
    text = bench.rough(program, over=4.0).end().text()
    return put_after(text, 0, "G0 X100 Y66\nG0 Z32\nG1 Z28.2 F1800\nG0 Z45")


def past_the_limit(bench):
    """One straight cut in the skirt that goes on 1 mm past the limit."""
    area = max(bench.limits["finish-centre"], key=lambda a: a.area).buffer(0.06)
    x0, y0, x1, y1 = area.bounds
    x, y = next((x, y) for x, y in area.exterior.coords if abs(x - x1) < 1e-6)
    text = finished(bench).end().text()
    return put_after(text, 9, f"G0 X{x - 1:.3f} Y{y:.3f}\nG0 Z32\nG1 Z28 F400\nG1 X{x + 1:.3f} F1500\nG0 Z45")


# The same mistakes in paths of other kinds: what to do to the program, and what is said.
ELSEWHERE = {
    "zero on the top": (lambda b, w: finished(b, way=w, inner=shift(z=-b.top)).end().text(), "zero-off", "top of the stock"),
    "zero off by 3 mm in Y": (lambda b, w: finished(b, way=w, inner=shift(y=-3.0)).end().text(), "zero-off", "along Y"),
    "inches read as millimetres": (lambda b, w: inch_numbers(finished(b, way=w, inches=True).end().text()), "wrong-unit", "inches"),
    "a tool that is too large": (lambda b, w: finished(b, way=w, tool=1).end().text(), "wrong-cutter", "made for ball 1/8"),
    "spindle off": (lambda b, w: finished(b, way=w, spindle=False).end().text(), "spindle-off", "spindle"),
    "mirrored": (lambda b, w: finished(b, way=w, inner=mirrored).end().text(), "mirrored", "along X"),
}

# Of those in DEFECTS, what can only be seen in solid wood.
IN_SOLID = {"plunge at full feed"}


def table(spoon, top, folder, rows, more):
    """Rehearses each, prints what is found first, and gives back what is not as it should be."""
    wrong = []
    for number, (name, make, code, words) in enumerate(rows):
        path = folder / f"{number}.nc"
        path.write_text(make())
        found = rehearse(spoon, "top", path, more=[] if name in IN_SOLID else more)["findings"]
        first = found[0] if found else {"code": "-", "line": 0, "message": "nothing", "at_mm": None}
        print(f"{name:34} {first['code']:18} line {first['line']:<7} {first['message']}")
        where = not first["at_mm"] or (first["line"] > 0 and first["on_board_mm"])
        if first["code"] != code or words not in first["message"] or not where:
            wrong.append((name, code, [(f["code"], f["line"], f["message"]) for f in found]))
    return wrong


@pytest.mark.parametrize("half", [0, 1])
def test_each_mistake_is_found_first_and_named(spoon, top, roughed, tmp_path, half):
    rows = [(name, lambda make=make: make(top), code, words) for name, (make, code, words) in DEFECTS.items()]
    assert len(rows) >= 40
    assert table(spoon, top, tmp_path, rows[half::2], roughed) == []


@pytest.mark.parametrize("way", ["contour-parallel", "spiral"])
def test_mistakes_are_found_whatever_the_path(spoon, top, roughed, tmp_path, way):
    right = rehearse(spoon, "top", finished(top, way=way).end().write(tmp_path / "right.nc"), more=roughed)
    assert right["findings"] == [] and right["pieces"][0]["progress"] == "finished"
    rows = [(name, lambda make=make: make(top, way), code, words) for name, (make, code, words) in ELSEWHERE.items()]
    assert table(spoon, top, tmp_path, rows, roughed) == []


def adaptively(bench, inner=None, **keys):
    """Roughing out of helices and growing circles, and then a raster over what is left."""
    program = Program(tool=1, **keys)
    if inner:
        inner(program)
    program.rapid(z=bench.lift)
    return bench.rough(bench.adaptive(program), over=4.0)


def test_roughing_in_circles_is_read_and_its_mistakes_are_found(spoon, top, tmp_path):
    right = rehearse(spoon, "top", adaptively(top).end().write(tmp_path / "right.nc"))
    assert right["findings"] == [] and right["pieces"][0]["progress"] == "roughed"
    arcs = adaptively(top).end().text().count("G2 ")
    assert arcs > 30, arcs
    rows = [
        ("another position", lambda: adaptively(top, position="G55").end().text(), "wrong-position", "G55"),
        ("spindle off", lambda: adaptively(top, spindle=False).end().text(), "spindle-off", "spindle"),
        ("too low by 4 mm", lambda: adaptively(top, inner=shift(z=-4.0)).end().text(), "zero-off", "along Z"),
        ("an arc that is none", lambda: put_after(adaptively(top).end().text(), 9, "G2 X100 Y50 I3 J0"), "program-rule", "arc"),
        ("a layer is left out", lambda: without_a_layer(adaptively(top).end().text()), "rapid-in-wood", "rapid"),
    ]
    assert table(spoon, top, tmp_path, rows, []) == []


def without_a_layer(text):
    """Without the first layer's circles: the second comes down by a rapid to where that should have been."""
    lines = text.splitlines()
    lifts = [i for i, line in enumerate(lines) if line.startswith("G0 Z45")]
    return "\n".join(lines[: lifts[0] + 1] + lines[lifts[1] + 1 :]) + "\n"


def test_finishing_in_solid_wood_is_told(spoon, top, good, roughed, tmp_path):
    """The roughing program was forgotten."""
    for way in FINISHERS:
        alone = finished(top, way=way).end().write(tmp_path / f"{way}.nc")
        result = rehearse(spoon, "top", alone)
        assert codes(result) == ["finish-in-solid"], way
        told = result["findings"][0]
        lines = alone.read_text(encoding="utf-8").splitlines()
        assert told["severity"] == "fault" and lines[told["line"] - 1].startswith("G1")
        # Half of the stock is above the piece's middle, and what is usual is a layer and what is left.
        assert 8.0 < told["amount"] < top.top
        usual = top.passes["rough"]["pass_depth_mm"] + top.passes["rough"]["leaves_mm"]
        assert f"{usual:.1f} mm at most" in told["message"]
        assert codes(rehearse(spoon, "top", alone, more=roughed)) == []
    # Without the clearing of the skirt there is solid wood in it yet.
    assert "finish-in-solid" in codes(rehearse(spoon, "top", good[1], good[3]))


def cut_short(text, share):
    """A program that stopped: its first lines."""
    lines = text.splitlines()
    return "\n".join([*lines[: int(len(lines) * share)], "G0 Z45", "M30", ""])


def test_what_is_not_finished_is_told(spoon, top, good, roughed, tmp_path):
    (tmp_path / "short.nc").write_text(cut_short(good[3].read_text(encoding="utf-8"), 0.5))
    result = rehearse(spoon, "top", tmp_path / "short.nc", more=roughed)
    assert codes(result) == ["not-finished"]
    piece = result["pieces"][0]
    assert piece["progress"] == "partly" and 30 < piece["standing_percent"] < 70
    assert f"{piece['standing_percent']:.0f} %" in result["findings"][0]["message"]
    assert piece["standing_most_mm"] > top.passes["rough"]["leaves_mm"]
    # Half of the roughing, and none of the rest.
    (tmp_path / "rough.nc").write_text(cut_short(good[1].read_text(encoding="utf-8"), 0.1))
    assert "not-finished" in codes(rehearse(spoon, "top", tmp_path / "rough.nc"))
    # What only bores, or only roughs, is as it is meant to be.
    for programs, progress in ((good[:1], "untouched"), (good[1:3], "roughed")):
        result = rehearse(spoon, "top", *programs)
        assert (codes(result), result["pieces"][0]["progress"]) == ([], progress)


def test_a_model_in_the_wrong_unit_is_named(spoon, tmp_path):
    for scale, cell, over, words in ((1 / 25.4, 0.03, 0.06, "25.4 times too small"), (25.4, 6.0, 18.0, "25.4 times too large")):
        bench = Bench(spoon, "top", cell=cell, scale=scale)
        program = Program(tool=2)
        program.rapid(z=bench.lift)
        result = rehearse(spoon, "top", bench.finish(program, over=over).end().write(tmp_path / "a.nc"))
        first = result["findings"][0]
        assert first["code"] == "wrong-unit" and words in first["message"], result["findings"][:3]


def refused(folder, *more):
    """What is said on the terminal of a rehearsal."""
    command = [PROGRAM, "rehearse", *folder, *more]
    done = subprocess.run([str(part) for part in command], capture_output=True, text=True)
    assert done.returncode == 1, done.stderr
    return done.stderr


def test_what_is_no_program_is_one_finding(spoon, tmp_path):
    junk = np.random.default_rng(5).integers(0, 256, 20000, dtype=np.uint8).tobytes()
    files = {
        "noise": (junk, "program-none"),
        "picture": ((spoon.folder / "reach-top.png").read_bytes(), "program-none"),
        "drawing": ((spoon.folder / "top/limits.dxf").read_bytes(), "program-none"),
        "page": ((spoon.folder / "sheet.html").read_bytes()[:200_000], "program-none"),
        "wide": (("G21 G90\nG0 X1\n" * 9).encode("utf-16"), "program-none"),
        "nothing": (b"", "program-empty"),
        "comments": (b"%\n(nothing)\n; here\n\n%\n", "program-empty"),
    }
    for name, (text, code) in files.items():
        (tmp_path / f"{name}.nc").write_bytes(text)
        result = rehearse(spoon, "top", tmp_path / f"{name}.nc")
        assert codes(result) == [code], (name, result["findings"])
    assert "nothing in the program" in result["findings"][0]["message"]


def test_lines_are_counted_and_not_places(spoon, top, roughed, tmp_path):
    text = put_after(finished(top).end().text(), 0, "G0 X2000\nG0 X2100\nG0 X100")
    (tmp_path / "a.nc").write_text(text)
    past = [f for f in rehearse(spoon, "top", tmp_path / "a.nc", more=roughed)["findings"] if f["code"] == "past-travel"]
    # Out, further out, and back in: all three lines are beyond it somewhere.
    assert [f["times"] for f in past] == [3]


def test_what_a_line_lacks_is_said_in_its_own_words(spoon, tmp_path):
    def told(line):
        (tmp_path / "a.nc").write_text(f"G21 G90 G54\nT1 M6\nS9000 M3\nG0 Z45\n{line}\nG0 Z45\nM30\n")
        return " | ".join(f["message"] for f in rehearse(spoon, "top", tmp_path / "a.nc")["findings"])

    assert "G83 needs Q" in told("G83 X50 Y10 Z20 R32 F300")
    assert "not over zero" in told("G83 X50 Y10 Z20 R32 Q0 F300")
    assert "takes 120000 pecks" in told("G83 X50 Y10 Z20 R32 Q0.0001 F300")
    assert "a feed of zero: F0" in told("G1 X50 Y10 Z40 F0")
    assert "no F before it" in told("G1 X50 Y10 Z40")
    assert "under G93 each line" in told("G93 G1 X50 Y10 Z40")
    assert "no T before it" in told("G0 X1") + " " + told_without_t(spoon, tmp_path)


def told_without_t(spoon, tmp_path):
    (tmp_path / "b.nc").write_text("G21 G90 G54\nM6\nS9000 M3\nG0 Z45\nM30\n")
    return " | ".join(f["message"] for f in rehearse(spoon, "top", tmp_path / "b.nc")["findings"])


def test_two_cutters_for_one_number_are_refused(spoon, good):
    words = refused([spoon.folder, "top", good[0]], "--cutter", "2=ball 1/8", "--cutter", "2=flat 1/8")
    assert "twice" in words and "ball 1/8" in words and "flat 1/8" in words
    words = refused([spoon.folder, "top", good[0]], "--cutter", "ball 1/8", "--cutter", "flat 1/8")
    assert "twice" in words and "name none" in words


def test_the_other_sides_program_is_named(spoon, top, bottom, tmp_path):
    wrong = finished(bottom, position="G54").end().write(tmp_path / "bottom.nc")
    assert codes(rehearse(spoon, "top", wrong))[0] == "wrong-side"
    wrong = finished(top, position="G55").end().write(tmp_path / "top.nc")
    assert codes(rehearse(spoon, "bottom", wrong))[0] == "wrong-side"


def test_a_mirrored_program_is_named(spoon, top, tmp_path):
    def inner(program):
        program.mirror = (0, top.size[0])

    wrong = finished(top, inner=inner).end().write(tmp_path / "mirror.nc")
    assert codes(rehearse(spoon, "top", wrong))[0] == "mirrored"


def test_a_dowel_and_a_deep_layer_are_told(spoon, bottom, tmp_path):
    x, y = spoon.json["mounting"]["pins_mm"][0]
    y = bottom.size[1] - y
    text = put_after(finished(bottom).end().text(), 9, f"G0 X{x} Y{y}\nG0 Z32\nG1 Z20 F300\nG0 Z45")
    (tmp_path / "dowel.nc").write_text(text)
    assert codes(rehearse(spoon, "bottom", tmp_path / "dowel.nc"))[0] == "into-dowel"
    deep = Program(tool=1, position="G55")
    deep.rapid(x=180, y=66)
    deep.rapid(z=32)
    deep.feed(z=31.3, f=400)
    deep.feed(x=200, z=27, f=1500)
    deep.feed(x=180)
    (tmp_path / "deep.nc").write_text(deep.end().text())
    assert "pass-deeper" in codes(rehearse(spoon, "bottom", tmp_path / "deep.nc"))


# Carving against brute force and closed forms.

SHAPES = {
    "ball along a line": ("ball 1/8", "G0 X40 Y20 Z35\nG1 Z29 F500\nG1 X70.3 Y41.7 Z27.5 F1000"),
    "flat along an arc": ("flat 1/4", "G0 X60 Y40 Z35\nG1 Z28 F500\nG2 X80 Y20 I0 J-20 F1000"),
    "ball round a circle": ("ball 1/8", "G0 X60 Y40 Z35\nG1 Z30 F500\nG3 X60 Y40 I-9.3 J4 F1000"),
    "flat down a helix": ("flat 1/8", "G0 X60 Y40 Z35\nG1 Z31.3 F300\nG3 Z29 I-4 F900\nG3 Z27 I-4\nG3 I-4"),
    "ball down a helix": ("ball 1/8", "G0 X60 Y40 Z35\nG1 Z31.3 F300\nG2 X56 Y36 Z26 I-4 J0 F900"),
    "vee down a slope": ("vee 60", "G0 X40 Y60 Z35\nG1 Z31 F300\nG1 X80 Y70 Z26 F900"),
    "flat down a slope": ("flat 1/4", "G0 X40 Y60 Z35\nG1 Z31 F300\nG1 X52 Y55 Z24 F900\nG1 X60 Z30"),
    "upright arc": ("ball 1/8", "G0 X40 Y60 Z32\nG1 Z31.3 F300\nG18 G2 X60 Z31.3 I10 K8 F900"),
}


def swept(cutter, places, xs, ys, top):
    """The least of the form at every place, by brute force."""
    shape, radius = form(cutter)
    z = np.full((len(ys), len(xs)), top)
    for x, y, tip in places:
        i0, i1 = np.searchsorted(xs, [x - radius, x + radius])
        j0, j1 = np.searchsorted(ys, [y - radius, y + radius])
        r = np.hypot(*np.meshgrid(xs[i0:i1] - x, ys[j0:j1] - y))
        left = np.where(r <= radius, tip + shape(np.minimum(r, radius)), np.inf)
        np.minimum(z[j0:j1, i0:i1], left, out=z[j0:j1, i0:i1])
    return z


def sampled(text, step=0.005):
    """Places along the moves of one of SHAPES, read here."""
    at, mode, plane, out = np.array([0.0, 0.0, 100.0]), "G0", "G17", []
    for line in text.splitlines():
        words = {w[0]: float(w[1:]) for w in line.split() if w[0] != "G"}
        for word in line.split():
            if word in ("G0", "G1", "G2", "G3"):
                mode = word
            elif word in ("G17", "G18"):
                plane = word
        to = np.array([words.get(axis, at[k]) for k, axis in enumerate("XYZ")])
        if mode in ("G0", "G1"):
            n = int(np.linalg.norm(to - at) / step) + 2
            out += list(at + np.outer(np.linspace(0, 1, n), to - at))
        else:
            a, b, c = (0, 1, 2) if plane == "G17" else (2, 0, 1)
            centre = at.copy()
            for axis, letter in enumerate("IJK"):
                centre[axis] += words.get(letter, 0.0)
            start = np.arctan2(at[b] - centre[b], at[a] - centre[a])
            end = np.arctan2(to[b] - centre[b], to[a] - centre[a])
            radius = np.hypot(at[a] - centre[a], at[b] - centre[b])
            turn = (end - start) % (2 * np.pi) if mode == "G3" else -((start - end) % (2 * np.pi))
            if abs(turn) < 1e-9:
                turn = 2 * np.pi if mode == "G3" else -2 * np.pi
            n = int(radius * abs(turn) / step) + 2
            for share in np.linspace(0, 1, n):
                p = np.zeros(3)
                p[a] = centre[a] + radius * np.cos(start + turn * share)
                p[b] = centre[b] + radius * np.sin(start + turn * share)
                p[c] = at[c] + (to[c] - at[c]) * share
                out.append(p)
        at = to
    return out


@pytest.mark.parametrize("name", list(SHAPES))
def test_the_carved_heights_agree_with_brute_force(spoon, top, tmp_path, name):
    cutter, moves = SHAPES[name]
    number = [c.split("=")[0] for c in CUTTERS if c.endswith(cutter)][0]
    (tmp_path / "a.nc").write_text(f"G21 G90 G54\nT{number} M6\nS9000 M3\n{moves}\nM30\n")
    rehearse(spoon, "top", tmp_path / "a.nc", more=["--keep", tmp_path / "a.wood"])
    head, tops, _ = wood(tmp_path / "a.wood")
    xs = head["first_mm"][0] + head["cell_mm"] * np.arange(head["columns"])
    ys = head["first_mm"][1] + head["cell_mm"] * np.arange(head["rows"])
    brute = swept(top.cutters[cutter], sampled(moves), xs, ys, top.top)
    # Brute force passes by the very rim of a cutter by up to a step: there the height may jump.
    rim = np.zeros_like(brute, bool)
    rim[1:-1, 1:-1] = np.ptp([brute[1:-1, 1:-1], brute[2:, 1:-1], brute[:-2, 1:-1], brute[1:-1, 2:], brute[1:-1, :-2]], axis=0) > 0.6
    apart = np.abs(tops - brute)
    assert (brute < top.top - 0.01).sum() > 500
    assert apart[~rim].max() < 0.01, apart[~rim].max()
    # On the rim the exact sweep is never higher, and no more than a few cells differ.
    assert (tops - brute).max() < 0.01
    assert (apart[rim] > 0.01).mean() < 0.05


def test_volumes_are_those_of_closed_forms(spoon, top, tmp_path):
    def removed(number, moves):
        (tmp_path / "a.nc").write_text(f"G21 G90 G54\nT{number} M6\nS9000 M3\n{moves}\nM30\n")
        return rehearse(spoon, "top", tmp_path / "a.nc", more=["--cell", "0.1 mm"])["figures"]["removed_mm3"]

    surface = top.top
    # A round-bottomed groove of depth 1 and length 50 by a ball of radius r, and its two round ends.
    r, deep = 3.175 / 2, 1.0
    segment = r**2 * np.arccos((r - deep) / r) - (r - deep) * np.sqrt(2 * r * deep - deep**2)
    cap = np.pi * deep**2 * (3 * r - deep) / 3
    got = removed(2, f"G0 X40 Y30 Z35\nG1 Z{surface - deep} F300\nG1 X90 F900")
    assert got == pytest.approx(segment * 50 + cap, rel=3e-3)
    # A bore by a helix with a flat cutter: a cylinder, once its floor has been gone round.
    got = removed(3, f"G0 X64 Y40 Z35\nG1 Z{surface} F300\n" + "".join(f"G3 Z{surface - k} I-1.4 F500\n" for k in range(1, 6)) + "G3 I-1.4")
    # Cells of a circle differ from its area by some roots of its perimeter (the circle problem).
    bore = 3.175 / 2 + 1.4
    cells = 2 * np.sqrt(2 * np.pi * bore / 0.1) * 0.1**2 * 5
    assert got == pytest.approx(np.pi * bore**2 * 5, abs=cells)
    # A ring by a flat cutter round a circle.
    got = removed(1, f"G0 X80 Y40 Z35\nG1 Z{surface - 2} F300\nG2 I-15 F900")
    assert got == pytest.approx(np.pi * ((15 + 3.175) ** 2 - (15 - 3.175) ** 2) * 2, rel=2e-3)
    # A cone by a vee that only plunges.
    got = removed(4, f"G0 X80 Y40 Z35\nG1 Z{surface - 4} F300")
    assert got == pytest.approx(np.pi * (4 * np.tan(np.radians(30))) ** 2 * 4 / 3, rel=1e-2)


def test_what_else_is_told(spoon, top, bottom, tmp_path):
    def told(setup, tool, moves, position):
        text = f"G21 G90 {position}\nT{tool} M6\nS9000 M3\n{moves}\nM30\n"
        (tmp_path / "a.nc").write_text(text)
        return codes(rehearse(spoon, setup, tmp_path / "a.nc"))

    # So low that the holder, 38.1 mm over the tip, goes below the board's top.
    deep = told("top", 2, "G0 X200 Y10 Z45\nG1 Z-8 F300\nG0 Z45", "G54")
    assert {"holder-in-wood", "flute-passed", "into-bed"} <= set(deep)
    assert "position-not-said" in told("bottom", 2, "G0 X200 Y66 Z45\nG1 Z30 F300\nG0 Z45", "")
    # In the skirt beside the handle, below its floor.
    area = max(top.limits["finish-centre"], key=lambda a: a.area)
    x0, y0, x1, y1 = area.bounds
    low = told("top", 2, f"G0 X{x0 + 0.2:.3f} Y66 Z45\nG1 Z4 F300\nG0 Z45", "G54")
    assert "below-skirt" in low


def test_a_folder_or_wood_that_is_not_the_packets_is_refused(spoon, top, tmp_path):
    program = finished(top).end().write(tmp_path / "a.nc")
    (tmp_path / "other.wood").write_bytes(b"treenwright wood 2\n{}\n")
    for folder, more, code in [
        (tmp_path, [], "packet-unfit"),
        (spoon.folder, ["--from", tmp_path / "other.wood"], "wood-unfit"),
    ]:
        command = [PROGRAM, "rehearse", folder, "top", program, "--cutter", "2=ball 1/8", *more]
        done = subprocess.run([str(part) for part in command], capture_output=True, text=True)
        assert done.returncode == 1 and code in done.stderr, done.stderr


def test_every_code_of_a_rehearsal_is_met_here():
    import re
    from pathlib import Path

    root = Path(__file__).parents[2] / "src"
    names = set()
    for file in (root / "rehearse/codes.rs", root / "program/remark.rs"):
        text = file.read_text(encoding="utf-8")
        names |= set(re.findall(r'name: "([a-z-]+)"', text)) | set(re.findall(r'code!\(\s*[A-Z_]+,\s*"([a-z-]+)"', text))
    assert len(names) > 30
    here = Path(__file__).parent
    text = "".join((here / name).read_text(encoding="utf-8") for name in ("test_rehearse.py", "test_rehearsal_causes.py", "test_rehearsal_mistakes.py", "test_rehearsal_told.py"))
    assert [name for name in sorted(names) if f'"{name}"' not in text] == []


def test_the_page_is_whole_and_nothing_is_replaced(spoon, top, tmp_path):
    program = finished(top).end().write(tmp_path / "a<b>.nc")
    page = tmp_path / "rehearsal.html"
    rehearse(spoon, "top", program, more=["--page", page])
    text = page.read_text(encoding="utf-8")
    # The board and three maps. An empty map is none: where nothing is cut too deep, the page says so.
    assert "<script" not in text and "a&lt;b&gt;.nc" in text and text.count("data:image/png;base64,") == 4
    assert "Nowhere is anything cut too deep." in text and 'class="patterns"' in text and "to 0.5\u00a0mm" in text
    low = finished(top, inner=shift(z=-1.0)).end().write(tmp_path / "low.nc")
    rehearse(spoon, "top", low, more=["--page", tmp_path / "low.html"])
    text = (tmp_path / "low.html").read_text(encoding="utf-8")
    assert text.count("data:image/png;base64,") == 5 and "Nowhere is anything cut too deep." not in text
    command = [PROGRAM, "rehearse", spoon.folder, "top", program, "--cutter", "2=ball 1/8", "--page", page]
    text = page.read_text(encoding="utf-8")
    again = subprocess.run([str(part) for part in command], capture_output=True, text=True)
    assert again.returncode == 1 and "already there" in again.stderr
    assert page.read_text(encoding="utf-8") == text
