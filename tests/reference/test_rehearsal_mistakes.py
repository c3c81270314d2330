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


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("way", list(FINISHERS))
def test_a_finishing_program_that_is_run_with_a_flat_cutter_is_told_as_that(benches, run, kind, way):
    bench = benches[kind, "top"]
    made = FINISHERS[way](bench, begun(bench, 3)).end().text()
    first = run(kind, "top", a=made)["findings"][0]
    assert first["code"] == "wrong-cutter" and "made for ball 1/8" in first["message"], first
    assert "its feed of 1800 mm/min" in first["message"]
    # Without any sign but what it does to the wood: the flat cutter's own feed, and no speed.
    bare = re.sub(r"S\d+ M3", "M3", feeds(made, 1000 / 1800))
    first = run(kind, "top", b=bare)["findings"][0]
    assert first["code"] == "wrong-cutter" and "made for ball 1/8" in first["message"], first


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("setup", ["top", "bottom"])
def test_layers_that_are_run_with_too_large_a_cutter_are_told_as_that(benches, text, run, kind, setup):
    bench = benches[kind, setup]
    rough = bench.rough(begun(bench, 1), "flat 1/8", "rough-centre", over=2.5).end().text()
    clear = other_tool(text(kind, setup, "clear"), 1)
    for name, made in {"rough": rough, "clear": clear}.items():
        first = run(kind, setup, **{name: made})["findings"][0]
        assert first["code"] == "wrong-cutter" and "made for flat 1/8, not for flat 1/4" in first["message"], first
        assert first["severity"] == "fault"


@pytest.mark.parametrize("kind", KINDS)
def test_roughing_with_the_finishing_ball_is_a_fault(text, run, kind):
    rough = other_tool(text(kind, "top", "rough"), 2)
    result = run(kind, "top", a=rough)
    first = result["findings"][0]
    assert first["code"] == "wrong-cutter" and "made for flat 1/4, not for ball 1/8" in first["message"]
    assert {f["severity"] for f in result["findings"] if f["code"] in ("wrong-cutter", "pass-deeper")} == {"fault"}
    # On purpose, at its own feed: too deep all the same.
    found = run(kind, "top", b=feeds(rough, 1800 / 2000))["findings"]
    deeper = [f for f in found if f["code"] == "pass-deeper"]
    assert deeper and "layers of 3.2 mm" in deeper[0]["message"], found
    lines = feeds(rough, 1800 / 2000).splitlines()
    assert lines[deeper[0]["line"] - 1].startswith("G1")


def test_shallow_layers_with_the_ball_are_told_to_look_at(text, run):
    found = run("spoon", "top", a=text("spoon", "top", "rough"), b=other_tool(text("spoon", "top", "clear"), 2))["findings"]
    assert [(f["code"], f["severity"]) for f in found] == [("wrong-cutter", "caution")], found
    assert "made for flat 1/8" in found[0]["message"]


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


def test_slots_and_the_edge_come_after_finishing(text, run, turned):
    def told(kind, *names):
        texts = {name: text(kind, "bottom", name) for name in names}
        return run(kind, "bottom", more=turned[kind], **texts)["findings"]

    assert told("fork", "rough", "clear", "finish", "slots", "edge") == []
    found = told("fork", "rough", "clear", "slots", "finish", "edge")
    assert [f["code"] for f in found] == ["out-of-order"], found
    assert "the slots' pass of harvest fork is cut before finishing" in found[0]["message"]
    assert "in finish.nc" in found[0]["message"] and found[0]["program"].endswith("slots.nc") and found[0]["line"] > 0
    found = told("fork", "rough", "clear", "finish", "edge", "slots")
    assert [f["code"] for f in found] == ["out-of-order"] and "the edge of harvest fork is cut before the slots' pass" in found[0]["message"]
    found = told("spoon", "rough", "clear", "edge", "finish")
    assert [f["code"] for f in found] == ["out-of-order"] and "the edge of harvest spoon" in found[0]["message"]


def test_forgotten_slots_are_told_in_the_last_line(packets, text, tmp_path, turned):
    files = []
    for name in ("rough", "clear", "finish", "edge"):
        files.append(tmp_path / f"{name}.nc")
        files[-1].write_text(text("fork", "bottom", name))
    command = [PROGRAM, "rehearse", packets("fork").folder, "bottom", *files, *turned["fork"]]
    for cutter in CUTTERS:
        command += ["--cutter", cutter]
    done = subprocess.run([str(part) for part in command], capture_output=True, text=True)
    assert done.returncode == 0 and "its slots are not cut" in done.stderr, done.stderr


def moved(text, x=0.0, y=0.0, z=0.0):
    by = {"X": x, "Y": y, "Z": z}
    return re.sub(r"([XYZ])(-?[\d.]+)", lambda m: f"{m.group(1)}{float(m.group(2)) + by[m.group(1)]:.4f}", text)


@pytest.mark.parametrize("off", [{"x": 3.0}, {"z": -2.0}], ids=str)
def test_a_cause_is_said_once_for_all_programs_of_a_job(text, run, off):
    texts = {name: moved(text("spoon", "top", name), **off) for name in ("bore", "rough", "clear", "finish")}
    found = run("spoon", "top", **texts)["findings"]
    assert found[0]["code"] == "zero-off" and [f["code"] for f in found].count("zero-off") == 1, found
    assert sorted(name.split("/")[-1] for name in found[0]["programs"]) == ["bore.nc", "clear.nc", "finish.nc", "rough.nc"]
    assert all(f["explained"] for f in found[1:]), found
    ((axis, by),) = off.items()
    assert float(re.search(rf"(-?[\d.]+) mm along {axis.upper()}", found[0]["message"]).group(1)) == pytest.approx(by, abs=0.15)


def test_edges_and_slots_share_the_cause_of_their_job(text, run, turned):
    names = ("rough", "clear", "finish", "slots", "edge")
    found = run("fork", "bottom", more=turned["fork"], **{name: moved(text("fork", "bottom", name), x=3.0) for name in names})["findings"]
    assert [f["code"] for f in found if not f["explained"]] == ["zero-off"], found
    assert len(found[0]["programs"]) == len(names)


def test_roughing_of_another_packet_is_no_guess_beside_finishing(text, run):
    found = run("spoon", "top", **{name: text("fork", "top", name) for name in ("rough", "clear", "finish")})["findings"]
    causes = [f for f in found if not f["explained"]]
    assert [f["code"] for f in causes] == ["wrong-packet"], causes
    assert len(causes[0]["programs"]) == 3


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


def test_a_zero_that_is_shifted_is_tied_to_what_comes_of_it(text, run):
    finish = text("spoon", "top", "finish").splitlines()
    lifts = [i for i, line in enumerate(finish) if line.startswith("G0 Z45")]
    middle = lifts[len(lifts) // 2]
    lines = [*finish[: middle + 1], "G92 Z50", *finish[middle + 1 :]]
    found = run("spoon", "top", rough=text("spoon", "top", "rough"), clear=text("spoon", "top", "clear"), a="\n".join(lines) + "\n")["findings"]
    assert found[0]["code"] == "zero-shifted" and found[0]["severity"] == "fault", found[:3]
    assert found[0]["line"] == middle + 2 and "comes of it" in found[0]["message"]
    left = text("spoon", "top", "rough").replace("M5\n", "G92 X0 Y0\nM5\n")
    found = run("spoon", "top", left=left, clear=text("spoon", "top", "clear"))["findings"]
    assert [(f["code"], f["severity"]) for f in found] == [("zero-shifted", "fault")]
    assert "still in force at the end, so clear.nc begins with it" in found[0]["message"]


def test_a_speed_that_is_not_the_cutters_is_told(text, run):
    before = {name: text("spoon", "top", name) for name in ("rough", "clear")}
    for speed, severity in ((18000, None), (24000, "caution"), (60000, "fault"), (9000, "caution")):
        finish = text("spoon", "top", "finish").replace("S16000", f"S{speed}")
        found = run("spoon", "top", **before, finish=finish)["findings"]
        assert [(f["code"], f["severity"]) for f in found] == ([("speed-off", severity)] if severity else []), found


@pytest.mark.parametrize("kind", KINDS)
def test_missing_layers_of_roughing_are_told(benches, text, run, turned, kind):
    """In the second setup the lower half of the layers is in the skirt alone, which clearing takes as well."""
    rough = text(kind, "top", "rough").splitlines()
    middle = benches[kind, "top"].top / 2
    heights = [(i, re.search(r"Z(-?[\d.]+)", line)) for i, line in enumerate(rough) if line.startswith("G1")]
    deep = next(i for i, height in heights if height and float(height.group(1)) < middle)
    last = max(i for i in range(deep) if rough[i].startswith("G0 Z4"))
    short = "\n".join([*rough[: last + 1], "M5", "M30", ""])
    found = run(kind, "top", rough=short)["findings"]
    assert [f["code"] for f in found] == ["not-finished"], found
    assert "is not roughed to its depth" in found[0]["message"] and found[0]["program"].endswith("rough.nc")
    for setup, more in (("top", []), ("bottom", turned[kind])):
        assert run(kind, setup, more=more, whole=text(kind, setup, "rough"))["findings"] == []


def test_a_piece_that_is_roughed_in_part_is_told(benches, run):
    found = run("spoon", "top", a=adaptive(benches["spoon", "top"]))["findings"]
    assert [f["code"] for f in found] == ["not-finished"] and "is not roughed to its depth" in found[0]["message"], found


def test_not_finished_names_the_program_that_stopped(text, run, turned):
    texts = {name: text("spoon", "bottom", name) for name in ("rough", "clear", "finish", "edge")}
    texts["finish"] = cut_short(texts["finish"], 0.6)
    found = run("spoon", "bottom", more=turned["spoon"], **texts)["findings"]
    assert [f["code"] for f in found] == ["not-finished"] and found[0]["program"].endswith("finish.nc"), found


def test_a_mode_that_is_not_said_is_taken_and_told(text, run):
    found = run("spoon", "top", a=text("spoon", "top", "rough").replace(" G90", ""))["findings"]
    assert [(f["code"], f["severity"]) for f in found] == [("distance-not-said", "caution")]
    assert "absolute (G90)" in found[0]["message"]


def test_the_deepest_cut_has_its_place(text, run):
    rough = text("spoon", "top", "rough")
    figures = run("spoon", "top", a=rough)["figures"]
    assert figures["cut_deepest_program"].endswith("a.nc") and len(figures["cut_deepest_at_mm"]) == 3
    assert rough.splitlines()[figures["cut_deepest_line"] - 1].startswith("G1")


def test_a_folder_to_keep_wood_in_is_told_as_one(packets, text, tmp_path):
    (tmp_path / "a.nc").write_text(text("spoon", "top", "rough"))
    command = [PROGRAM, "rehearse", packets("spoon").folder, "top", tmp_path / "a.nc", "--keep", tmp_path]
    done = subprocess.run([str(part) for part in command], capture_output=True, text=True)
    assert done.returncode == 1 and "it is a folder" in done.stderr
