"""Mistakes of the bench, each put into right programs of the shipped spoon and fork: another cutter in the spindle,
another tool's length, passes in the wrong order, programs that stop, and what programs of one job have in common."""

import re
import subprocess

import pytest
from conftest import PROGRAM
from programs import Bench, Program
from test_rehearse import CUTTERS, FINISHERS, codes, cut_short, rehearse

KINDS = ["spoon", "fork"]


@pytest.fixture(scope="module")
def benches(packets):
    return {(kind, setup): Bench(packets(kind), setup) for kind in KINDS for setup in ("top", "bottom")}


def begun(bench, tool, **keys):
    program = Program(tool=tool, position="G54" if bench.setup == "top" else "G55", **keys)
    program.rapid(z=bench.lift)
    return program


# A right program of each pass: with which tool, and how it is made.
PASSES = {
    "bore": (1, lambda bench, program: bench.bore(program)),
    "rough": (1, lambda bench, program: bench.rough(program, over=4.0)),
    "clear": (3, lambda bench, program: bench.rough(program, "flat 1/8", "clear-centre", over=1.5)),
    "finish": (2, lambda bench, program: bench.finish(program)),
    "slots": (3, lambda bench, program: bench.slots(program)),
    "edge": (3, lambda bench, program: bench.edge(program)),
}


@pytest.fixture(scope="module")
def text(benches):
    """The text of a right program, made once."""
    made = {}

    def text(kind, setup, name):
        if (kind, setup, name) not in made:
            bench = benches[kind, setup]
            tool, make = PASSES[name]
            made[kind, setup, name] = make(bench, begun(bench, tool)).end().text()
        return made[kind, setup, name]

    return text


@pytest.fixture
def run(packets, tmp_path):
    """Rehearses texts by their names, in their order."""

    def run(kind, setup, more=(), **texts):
        files = []
        for name, content in texts.items():
            files.append(tmp_path / f"{name}.nc")
            files[-1].write_text(content)
        return rehearse(packets(kind), setup, *files, more=more)

    return run


def other_tool(text, tool):
    return re.sub(r"T\d+ M6", f"T{tool} M6", text)


def feeds(text, factor):
    return re.sub(r" F([\d.]+)", lambda m: f" F{float(m.group(1)) * factor:.3f}", text)


def joined(text, kind, lengths):
    """Roughing, clearing and finishing in one file, each with a G43 or with none."""
    parts = []
    for name, length in lengths.items():
        part = text(kind, "top", name).replace("%\n", "").replace("M30\n", "").replace(" G49", "")
        given = f"\nG43 H{length}" if length else ""
        parts.append(re.sub(r"(S\d+ M3)", rf"\1{given}", part, count=1))
    return "%\n" + "".join(parts) + "M30\n%\n"


def test_the_length_of_another_tool_is_a_fault_with_its_line(text, run):
    right = joined(text, "spoon", {"rough": 1, "clear": 3, "finish": 2})
    assert run("spoon", "top", right=right)["findings"] == []
    kept = joined(text, "spoon", {"rough": 1, "clear": None, "finish": None})
    found = run("spoon", "top", kept=kept)["findings"]
    assert [(f["code"], f["severity"]) for f in found] == [("tool-length", "fault")] * 2
    lines = kept.splitlines()
    for finding, tool in zip(found, (3, 2)):
        assert f"tool {tool} works with the length of tool 1" in finding["message"]
        change = lines.index(f"T{tool} M6")
        assert 0 < finding["line"] - 1 - change < 8
    swapped = joined(text, "spoon", {"rough": 1, "clear": 2, "finish": 3})
    assert codes(run("spoon", "top", swapped=swapped)) == ["tool-length"] * 2


@pytest.fixture(scope="module")
def turned(packets, text, tmp_path_factory):
    """The wood after setup 1."""
    kept = {}
    for kind in KINDS:
        folder = tmp_path_factory.mktemp(kind)
        files = []
        for name in ("bore", "rough", "clear", "finish"):
            files.append(folder / f"{name}.nc")
            files[-1].write_text(text(kind, "top", name))
        kept[kind] = ["--from", folder / "first.wood"]
        done = rehearse(packets(kind), "top", *files, more=["--keep", folder / "first.wood"])
        assert done["findings"] == []
    return kept


def moved(text, x=0.0, y=0.0, z=0.0):
    by = {"X": x, "Y": y, "Z": z}
    return re.sub(r"([XYZ])(-?[\d.]+)", lambda m: f"{m.group(1)}{float(m.group(2)) + by[m.group(1)]:.4f}", text)


def test_what_follows_the_end_is_told(text, run):
    rough = text("spoon", "top", "rough").replace("%\n", "")
    found = run("spoon", "top", a=rough + text("spoon", "top", "clear").replace("%\n", ""))["findings"]
    assert [(f["code"], f["severity"]) for f in found] == [("program-goes-on", "fault")]
    assert found[0]["line"] == len(rough.splitlines()) + 2


def adaptive(bench):
    return bench.adaptive(begun(bench, 1)).end().text()


def absolute_centres(text):
    at, out = [0.0, 0.0], []
    for line in text.splitlines():
        words, start = line.split(), list(at)
        for word in words:
            if words[0] in ("G0", "G1", "G2", "G3") and word[0] in "XY":
                at["XY".index(word[0])] = float(word[1:])
        if words and words[0] in ("G2", "G3"):
            for k, letter in enumerate("IJ"):
                line = re.sub(rf"{letter}(-?[\d.]+)", lambda m: f"{letter}{float(m.group(1)) + start[k]:.4f}", line)
        out.append(line)
    return "\n".join(out) + "\n"


def test_arcs_with_one_fault_are_one_finding_that_says_what_was_meant(benches, run):
    right = adaptive(benches["spoon", "top"])
    for name, made, words in [
        ("absolute", absolute_centres(right), "counted from the zero (G90.1)"),
        ("sign", re.sub(r"I(-?[\d.]+)", lambda m: f"I{-float(m.group(1)):.4f}", right), "of the other sign"),
    ]:
        found = [f for f in run("spoon", "top", **{name: made})["findings"] if f["code"] == "program-rule"]
        meant = [f for f in found if words in f["message"]]
        assert len(meant) == 1 and meant[0]["times"] > 20, (name, [(f["times"], f["message"]) for f in found])


def test_a_mode_that_is_not_said_is_taken_and_told(text, run):
    found = run("spoon", "top", a=text("spoon", "top", "rough").replace(" G90", ""))["findings"]
    assert [(f["code"], f["severity"]) for f in found] == [("distance-not-said", "caution")]
    assert "absolute (G90)" in found[0]["message"]


def test_a_folder_to_keep_wood_in_is_told_as_one(packets, text, tmp_path):
    (tmp_path / "a.nc").write_text(text("spoon", "top", "rough"))
    command = [PROGRAM, "rehearse", packets("spoon").folder, "top", tmp_path / "a.nc", "--keep", tmp_path]
    done = subprocess.run([str(part) for part in command], capture_output=True, text=True)
    assert done.returncode == 1 and "it is a folder" in done.stderr
