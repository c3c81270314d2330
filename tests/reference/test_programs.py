"""Programs read by an interpreter of another hand, pygcode: where each line ends, at which feed, in which
unit. What it finds stands in `read/*.ends`, which `tests/programs.rs` holds against the one in src/program."""

from pathlib import Path

import pytest
from programs import INCH
from pygcode import Line, Machine
from pygcode.gcodes import GCodeMotion

FOLDER = Path(__file__).parent / "read"


def ends(text):
    """A row for each line that moves: its number, x, y, z in mm, the feed in mm/min, the motion's code."""
    machine, rows = Machine(), []
    for number, line in enumerate(text.splitlines(), 1):
        block = Line(line.strip().removeprefix("%")).block
        machine.process_block(block)
        moves = block.modal_params or any(isinstance(word, GCodeMotion) for word in block.gcodes)
        motion = machine.mode.motion
        # G80 is one of its motions, too.
        if not moves or str(motion) not in ("G00", "G01", "G02", "G03"):
            continue
        unit = INCH if str(machine.mode.units) == "G20" else 1.0
        at = machine.abs_pos
        feed = machine.mode.feed_rate.word.value * unit if str(motion) != "G00" else 0.0
        rows.append(f"{number} {at.X * unit:.6f} {at.Y * unit:.6f} {at.Z * unit:.6f} {feed:.4f} {motion}".replace("-0.000000", "0.000000"))
    return "\n".join(rows) + "\n"


@pytest.mark.parametrize("path", sorted(FOLDER.glob("*.nc")), ids=lambda path: path.stem)
def test_the_ends_are_what_another_reader_finds(path):
    found = ends(path.read_text(encoding="utf-8"))
    assert found.count("\n") >= 10
    assert path.with_suffix(".ends").read_text(encoding="utf-8") == found


def test_inches_arcs_and_modes_are_among_them():
    text = "\n".join(path.read_text(encoding="utf-8") for path in FOLDER.glob("*.nc"))
    for word in ("G20", "G21", "G90", "G91", "G18", "G19", " R", " I", "G55", "G59", ";", "(", "N10"):
        assert word in text, word
