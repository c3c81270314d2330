"""What must not be hidden, and what must not be told: causes that explain some of the findings, a finish that is too
coarse, passes that no program ran, cutters that are left down."""

import re

import pytest
from programs import Program
from test_rehearsal_mistakes import begun, benches, moved, run, text, turned  # noqa: F401
from test_rehearse import cut_short, rehearse

TOP = ("bore", "rough", "clear", "finish")


@pytest.fixture
def job(text, run):
    """A whole job of the spoon's top with some of its programs replaced; what is told of them."""

    def job(setup="top", more=(), **texts):
        own = {name: text("spoon", setup, name) for name in TOP if setup == "top" or name != "bore"}
        return run("spoon", setup, more=more, **{**own, **texts})["findings"]

    return job


def plain(found):
    """Those that aren't said to come of another one."""
    return [f["code"] for f in found if not f["explained"]]


def put_in(text, lines, share=0.5):
    """Lines put in where the cutter is up."""
    all_lines = text.splitlines()
    lifts = [i for i, line in enumerate(all_lines) if line.startswith("G0 Z4")]
    at = lifts[int(share * len(lifts))]
    return "\n".join([*all_lines[: at + 1], *lines, *all_lines[at + 1 :]]) + "\n"


def test_a_crash_is_not_hidden_under_another_programs_cause(benches, text, job):
    low = moved(text("spoon", "top", "finish"), z=-2.0)
    assert plain(job(finish=low)) == ["zero-off"]
    info = benches["spoon", "top"].packet.json["mounting"]["hold_downs"]["setups"]
    corners = next(one for one in info if one["setup"] == "top")["places"][0]["block_mm"]
    x, y = (sum(axis) / len(corners) for axis in zip(*corners))
    crash = put_in(text("spoon", "top", "rough"), [f"G0 X{x + 40:.3f} Y{y:.3f}", "G0 Z33", f"G1 X{x:.3f} F2000", "G0 Z45"], 0.99)
    found = job(finish=low, rough=crash)
    assert "into-hold-down" in plain(found), found
    cause = next(f for f in found if f["code"] == "zero-off")
    assert [name.split("/")[-1] for name in cause["programs"]] == ["finish.nc"]
    assert all(f["explained"] for f in found if f["program"].endswith("finish.nc") and f is not cause), found


def test_a_crash_is_not_hidden_under_its_own_programs_cause(text, job):
    low = put_in(moved(text("spoon", "top", "finish"), z=-2.0), ["G0 X40 Y120", "G0 Z8", "G0 X300 Y120", "G0 Z43"])
    found = job(finish=low)
    assert "rapid-in-wood" in plain(found) and "zero-off" in plain(found), found
    crash = next(f for f in found if f["code"] == "rapid-in-wood")
    assert low.splitlines()[crash["line"] - 1] in ("G0 Z8", "G0 X300 Y120")


def test_the_other_setups_programs_are_told_as_that_first(text, job):
    found = job(**{name: text("spoon", "bottom", name) for name in ("rough", "clear", "finish")})
    assert found[0]["code"] == "wrong-side" and "`bottom`" in found[0]["help"], found
    assert plain(found) == ["wrong-side"] and len(found[0]["programs"]) == 3, found


def test_numbers_that_count_from_the_last_place_are_told_as_that(text, job):
    found = job(clear=text("spoon", "top", "clear").replace("G90", "G91", 1))
    assert found[0]["code"] == "wrong-distance" and "with G90 it fits" in found[0]["message"], found
    # What finishing meets in the wood that was not cleared comes of it, too.
    assert plain(found) == ["wrong-distance"] and found[0]["line"] == 3
    # A program that counts so and means it.
    steps = ["G91", "G1 X1 F1000", "G90"]
    assert job(clear=put_in(text("spoon", "top", "clear"), steps)) == []


def test_what_comes_of_another_position_is_told_with_it(text, job):
    found = job(clear=text("spoon", "top", "clear").replace("G54", "G55", 1))
    assert plain(found) == ["wrong-position"], found
    assert "finish-in-solid" in [f["code"] for f in found]


def test_a_lost_retract_is_told_as_one_rapid(text, job):
    rough = text("spoon", "top", "rough").splitlines()
    lifts = [i for i, line in enumerate(rough) if line.startswith("G0 Z4")]
    at = lifts[len(lifts) // 2]
    found = job(rough="\n".join([*rough[:at], *rough[at + 1 :]]) + "\n")
    assert plain(found) == ["rapid-in-wood"] and "No lift stands" in found[0]["help"], found


def coarse(bench, over):
    return bench.finish(begun(bench, 2), over=over).end().text()


def test_rows_that_are_too_far_apart_are_told_with_their_ridges(packets, benches, text, tmp_path):
    before = []
    for name in TOP[:3]:
        before.append(tmp_path / f"{name}.nc")
        before[-1].write_text(text("spoon", "top", name))
    # Rows further apart than these leave what roughing left, which is less than the ball's own ridge.
    for over in (0.5, 2.0):
        (tmp_path / f"{over}.nc").write_text(coarse(benches["spoon", "top"], over))
        found = rehearse(packets("spoon"), "top", *before, tmp_path / f"{over}.nc", apart=())["findings"]
        if over < 1.0:
            assert found == []
            continue
        assert [(f["code"], f["severity"]) for f in found] == [("coarse-finish", "caution")], found
        told = float(re.search(r"about ([\d.]+) mm apart", found[0]["message"]).group(1))
        assert told == pytest.approx(over, rel=0.2)
        # A ball's ridge: what its own circle leaves half-way between two rows.
        ridge = 1.5875 - (1.5875**2 - (over / 2) ** 2) ** 0.5
        assert found[0]["amount"] == pytest.approx(ridge, rel=0.3)


def test_a_cutter_that_is_left_down_and_a_height_that_is_not_said(text, job):
    rough = text("spoon", "top", "rough").splitlines()
    last = max(i for i, line in enumerate(rough) if line.startswith("G0 Z4"))
    found = job(rough="\n".join([*rough[:last], *rough[last + 1 :]]) + "\n")
    assert [(f["code"], f["severity"]) for f in found] == [("ends-low", "caution")], found
    clear = text("spoon", "top", "clear").splitlines()
    first = next(i for i, line in enumerate(clear) if line.startswith("G0 Z4"))
    found = job(clear="\n".join([*clear[:first], *clear[first + 1 :]]) + "\n")
    assert [(f["code"], f["severity"]) for f in found] == [("height-not-said", "caution")], found


@pytest.mark.parametrize("gone, words", [("bore", "bore the pin holes (flat 1/4)"), ("rough", "rough (flat 1/4)"), ("clear", "clear the skirt (flat 1/8)")])
def test_a_pass_that_no_program_ran_is_told(packets, text, tmp_path, gone, words):
    files = []
    for name in TOP:
        if name != gone:
            files.append(tmp_path / f"{name}.nc")
            files[-1].write_text(text("spoon", "top", name))
    result = rehearse(packets("spoon"), "top", *files, apart=("coarse-finish",))
    assert any(f"no program ran: {words}" in f["message"] for f in result["findings"]), result["findings"]
    assert words in result["figures"]["passes_not_run"]


def test_setup_2_tells_of_a_top_that_was_only_roughed(packets, text, run, turned, tmp_path):
    files = []
    for name in TOP[:3]:
        files.append(tmp_path / f"{name}.nc")
        files[-1].write_text(text("spoon", "top", name))
    kept = tmp_path / "roughed.wood"
    rehearse(packets("spoon"), "top", *files, more=["--keep", kept])
    bottom = {name: text("spoon", "bottom", name) for name in TOP[1:]}
    found = run("spoon", "bottom", more=["--from", kept], **bottom)["findings"]
    assert [(f["code"], f["severity"]) for f in found] == [("first-side-behind", "caution")], found
    assert run("spoon", "bottom", more=turned["spoon"], **bottom)["findings"] == []


def test_a_facing_strip_of_ones_own_is_no_other_packet(text, job, run):
    strip = begun_text(["G0 X40 Y66", "G0 Z33", "G1 Z30.3 F600", "G1 X330 F2000", "G1 Y72", "G1 X40", "G1 Y66"])
    for found in (run("spoon", "top", face=strip)["findings"], job(face=strip)):
        told = [f for f in found if f["code"] == "into-piece" and not f["explained"]]
        assert "wrong-packet" not in [f["code"] for f in found] and told and told[0]["program"].endswith("face.nc"), found


def begun_text(lines, tool=1):
    program = Program(tool=tool)
    program.lines += ["G0 Z45", *lines, "G0 Z45"]
    return program.end().text()


def test_a_deep_hole_at_once_is_told(run):
    found = run("spoon", "top", a=begun_text(["G81 X290 Y60 Z25 R33 F300"], tool=3))["findings"]
    deeper = [f for f in found if f["code"] == "pass-deeper"]
    assert deeper and "straight down" in deeper[0]["message"], found


def test_holes_in_wrong_places_are_told_as_that(benches, text, job):
    wide = benches["spoon", "top"].packet.json["board"]["width_mm"]
    bore = text("spoon", "top", "bore")
    mirrored = re.sub(r"Y(-?[\d.]+)", lambda m: f"Y{wide - float(m.group(1)):.4f}", bore)
    mirrored = re.sub(r"^G3", "G2", mirrored, flags=re.M)
    found = job(bore=mirrored)
    assert found[0]["code"] == "mirrored" and "along Y" in found[0]["message"], found
    first = re.search(r"Y(-?[\d.]+)", bore).group(1)
    beside = bore.replace(f"Y{first}", f"Y{float(first) + 2:.4f}")
    found = job(bore=beside)
    assert found[0]["code"] == "pin-hole" and "into-bed" not in [f["code"] for f in found], found


def test_one_wrong_line_is_no_other_packet(text, job):
    rough = text("spoon", "top", "rough").splitlines()
    cuts = [i for i, line in enumerate(rough) if re.match(r"G1 X[\d.]+ Y[\d.]+ Z[\d.]+$", line)]
    at = cuts[len(cuts) // 2]
    rough[at] = rough[at].replace("Y", "Y-")
    found = job(rough="\n".join(rough) + "\n")
    assert "wrong-packet" not in [f["code"] for f in found], found
    told = [f for f in found if f["code"] in ("into-piece", "into-tab", "past-limit") and not f["explained"]]
    assert told and min(f["line"] for f in told) == at + 1, found


def test_a_finishing_program_that_stops_after_its_first_rows_is_told(text, job):
    found = job(finish=cut_short(text("spoon", "top", "finish"), 0.02))
    assert [f["code"] for f in found] == ["not-finished"], found


def test_setup_2_without_its_position_is_carved_at_its_own(text, run, turned):
    made = {name: text("spoon", "bottom", name) for name in TOP[1:]}
    made["rough"] = made["rough"].replace("G55\n", "")
    found = run("spoon", "bottom", more=turned["spoon"], **made)["findings"]
    assert [f["code"] for f in found] == ["position-not-said"], found


def test_a_motion_code_and_a_centre_alone_on_a_line_are_run(text, job):
    rough = text("spoon", "top", "rough")
    alone = re.sub(r"^(G[01]) (.*)$", r"\1\n\2", rough, flags=re.M)
    assert job(rough=alone) == []
    found = job(rough=put_in(rough, ["G0 X40 Y120", "G1", "Z40 F600", "G0", "Z20", "Z45"]))
    assert "rapid-in-wood" in [f["code"] for f in found], found
