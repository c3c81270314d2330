"""Odd files, through every command that reads them: each is answered by findings a person can act on,
of a length a person can read, in letters that steer no terminal. Nothing is written."""

import json
import os
import random
import subprocess
import unicodedata

import pytest
from conftest import PROGRAM, ROOT

FILES = {
    "design": (ROOT / "params/designs/harvest-spoon.toml").read_text(encoding="utf-8"),
    "board": (ROOT / "params/boards/cherry.toml").read_text(encoding="utf-8"),
    "shop": (ROOT / "params/shop.toml").read_text(encoding="utf-8"),
}
# None of these takes a second; a run that has not ended by then never would.
ENDS = 20


def many(line, count):
    return "".join(line.replace("%", str(n)) for n in range(count))


# What is put in the place of a whole file.
WHOLE = {
    "nothing": b"",
    "a blank": b" \n\n",
    "a byte-order mark alone": b"\xef\xbb\xbf",
    "UTF-16": FILES["design"].encode("utf-16"),
    "UTF-16 without its mark": FILES["design"].encode("utf-16-le"),
    "UTF-32": FILES["design"].encode("utf-32"),
    "Latin-1": "name = \"F\u00fcr\"\n".encode("latin-1"),
    "a cut letter": FILES["design"].encode()[:300] + b"\xe2\x82",
    "a surrogate": b"name = \"\xed\xa0\x80\"\n",
    "zeros": bytes(4000),
    "noise": random.Random(3).randbytes(4000),
    "a picture": (ROOT / "gallery/spoon-top.png").read_bytes(),
    "a page": b"<!DOCTYPE html>\n<title>spoon</title>\n<p>300 mm\n",
    "JSON": b'{"utensil": {"name": "spoon", "length": "300 mm"}}\n',
    "a letter": b"Dear maker,\nthe spoon should be 300 mm long.\n",
    "G-code": b"G21\nG90\nG0 Z10\nM3 S16000\n" * 500,
    "one long line": b"x" * 900_000,
    "a million bytes of brackets": b"[" * 999_999,
    "open tables": b"{a=" * 300_000,
    "deep lists": b"x = " + b"[" * 400_000,
    "deep lists, closed": b"x = " + b"[" * 70 + b"]" * 70,
    "deep tables": b"x = " + b"{a = " * 70 + b"1" + b"}" * 70,
    "deep keys": b".".join([b"a"] * 400_000) + b" = 1\n",
    "seventy deep keys": b".".join([b"a"] * 70) + b" = 1\n",
    "deep sections": b"[" + b".".join([b"a"] * 400_000) + b"]\n",
    "bad lines": b"!\n" * 400_000,
    "bad line": b"! " * 400_000,
    "quotation marks": b'"' * 900_000,
    "texts that don't end": b'x="' * 300_000,
    "equals signs": b"=\n" * 400_000,
    "notes": b"# nothing\n" * 90_000,
    "unknown keys": many("k% = 1\n", 60_000).encode(),
    "unknown sections": many("[k%]\n", 60_000).encode(),
    "unknown lists of tables": many("[[k%]]\n", 60_000).encode(),
    "the same list of tables": b"[[k]]\n" * 150_000,
    "the same key": b"k = 1\n" * 150_000,
    "the same section": b"[k]\n" * 200_000,
    "a long key": b"k" * 900_000 + b" = 1\n",
    "a long text": b'k = "' + b"x" * 900_000 + b'"\n',
    "a long number": b"k = " + b"9" * 900_000 + b"\n",
    "a long list": b"k = [" + b"1, " * 300_000 + b"]\n",
    "a square of lists": b"k = [" + (b"[" + b"1, " * 99 + b"],\n") * 99 + b"]\n",
    "escape sequences in notes": b"# \x1b[31mred\n",
    "a bell": b"name = \"\x07\"\n",
    "a key that turns round": "\"\u202ekey\" = 1\n".encode(),
    "keys of hidden letters": many('"k\\u200b%" = 1\n', 90).encode(),
}


def put(source, old, new):
    assert old in FILES[source], old
    return source, FILES[source].replace(old, new, 1)


def add(source, text):
    return source, FILES[source] + "\n" + text


KNOT = '[[knot]]\ncentre = ["%0 mm", "30 mm"]\nradius = "4 mm"\n'
CUTTER = '[[cutter]]\nname = "more %"\nform = "flat"\ndiameter = "3 mm"\nflute = "20 mm"\nstick_out = "30 mm"\nfeed = "900 mm/min"\nspindle = "16000 rpm"\nstep_over = "1 mm"\n'
CORNERS = "[" + ", ".join(f'["{n} mm", "{n * n} mm"]' for n in range(90)) + "]"

# What is changed in a good file.
CHANGED = {
    "knots": add("board", many(KNOT, 10_000)),
    "a hundred knots": add("board", many(KNOT, 100)),
    "flaws of many corners": add("board", many(f"[[knot]]\npolygon = {CORNERS}\n", 60)),
    "readings": add("board", many('[[reading]]\nat = ["%0 mm", "30 mm"]\nthickness = "31 mm"\n', 9_000)),
    "cutters": add("shop", many(CUTTER, 4_000)),
    "cutters of one name": add("shop", many(CUTTER.replace("%", ""), 90)),
    "stops": add("shop", many('[[stop]]\nside = "left"\nat = "% mm"\n', 20_000)),
    "positions": add("shop", many('[[position]]\nname = "G54"\nx = "1 mm"\ny = "1 mm"\n', 9_000)),
    "accepts": add("design", "[accept]\n" + many('code-% = "because"\n', 10_000)),
    "accepts that hide": add("design", '[accept]\n"too-\\u001bthick" = "because"\n'),
    "gives": add("design", many('[give."bowl.depth%"]\nleast = "1 mm"\nmost = "20 mm"\n', 5_000)),
}
for name, value in {
    "nan": "nan",
    "inf": "-inf",
    "1e308": "1e308",
    "a text of nan": '"nan mm"',
    "a text of inf": '"inf mm"',
    "1e308 mm": '"1e308 mm"',
    "many nines": '"' + "9" * 400 + ' mm"',
    "a lakh of nines": '"' + "9" * 100_000 + ' mm"',
    "minus": '"-300 mm"',
    "minus nothing": '"-0 mm"',
    "a comma": '"300,5 mm"',
    "a fraction of nothing": '"1/0 in"',
    "hexadecimal": "0xffffffffffffffff",
    "octal": "0o777",
    "a bare number": "300",
    "a date": "2026-01-01",
    "true": "true",
    "a table": "{ a = 1 }",
    "a list": '["300 mm"]',
    "an empty text": '""',
    "Arabic digits": '"\u0663\u0660\u0660 mm"',
    "full-width digits": '"\uff13\uff10\uff10 mm"',
    "a long dash": '"\u2212300 mm"',
    "a unit that looks right": '"300 \u043c\u043c"',
    "curly quotation marks": "\u201c300 mm\u201d",
    "a text of many lines": '"""300\nmm"""',
    "a path": '"C:\\spoons"',
    "no value": "",
    "no quotation marks": "300 mm",
    "one quotation mark": '"300 mm',
    "a hidden letter": '"300\u200b mm"',
    "a no-break space": '"300\u00a0mm"',
    "an escape": '"300 mm\\u001b[2J"',
}.items():
    CHANGED[f"length: {name}"] = put("design", 'length = "300 mm"', f"length = {value}")
for name, value in {
    "empty": "",
    "blanks": "   ",
    "500 letters": "x" * 500,
    "a lakh of letters": "x" * 100_000,
    "a line break": "a\\nb",
    "a zero": "a\\u0000b",
    "an escape": "a\\u001b[31mb",
    "C1": "a\u009b31mb",
    "turned round": "a\u202eb",
    "isolated": "a\u2066b",
    "a mark inside": "a\ufeffb",
    "nothing wide": "\u200b",
    "a separator": "a\u2028b",
    "no character": "a\\uffffb",
    "tags": "a\U000e0041b",
    "soft hyphens": "\u00ad" * 100,
}.items():
    CHANGED[f"name: {name}"] = put("design", 'name = "harvest spoon"', f'name = "{value}"')
    CHANGED[f"cutter: {name}"] = put("shop", 'name = "flat 1/4"', f'name = "{value}"')

# These are well-formed, and may be taken.
GOOD = {"a hundred knots", "flaws of many corners", "length: minus nothing", "length: a no-break space"}


def unseen(text):
    return [c for c in text if c != "\n" and unicodedata.category(c) in ("Cc", "Cf", "Cn", "Zl", "Zp")]


def run(folder, *args):
    command = [str(PROGRAM), *args]
    return subprocess.run(command, cwd=folder, capture_output=True, timeout=ENDS, stdin=subprocess.DEVNULL)


def commands(names):
    design, board, shop = (names[source] for source in FILES)
    rest = ["--board", board, "--shop", shop]
    return {
        "check": ["check", design, *rest],
        "build": ["build", design, *rest, "--out", "out"],
        "fit": ["fit", design, *rest],
        "picture": ["picture", design, *rest, "--size", "64x64", "--out", "out.png"],
    }


def answered(folder, names, source, may_do):
    before = sorted(os.listdir(folder))
    for name, args in commands(names).items():
        if may_do and name != "check":
            continue
        done = run(folder, *args)
        said = done.stderr.decode("utf-8")
        assert done.returncode == 1 or (may_do and done.returncode == 0), (name, done.returncode, said[:2000])
        assert "panicked" not in said and not unseen(said), (name, said[:2000])
        assert len(said) < 40_000, (name, len(said))
        if done.returncode == 1:
            assert "FAULT" in said and "To do" in said, (name, said[:2000])
            # A line that is shown is cut to what can be read.
            assert max(map(len, said.splitlines())) < 400, name
    assert sorted(os.listdir(folder)) == before
    done = run(folder, *commands(names)["check"], "--json")
    text = done.stdout.decode("utf-8")
    assert done.stderr == b"" and not unseen(text) and len(text) < 100_000, len(text)
    findings = [f for f in json.loads(text)["findings"] if f["source"] == source and f["severity"] == "fault"]
    assert findings or may_do
    for finding in findings:
        assert len(finding["message"]) < 400 and 10 < len(finding["help"]) < 1500, finding


@pytest.mark.parametrize("what", WHOLE)
@pytest.mark.parametrize("source", FILES)
def test_a_file_of_something_else_is_answered(source, what, tmp_path):
    for name, text in FILES.items():
        (tmp_path / f"{name}.toml").write_bytes(WHOLE[what] if name == source else text.encode())
    answered(tmp_path, {name: f"{name}.toml" for name in FILES}, source, False)


@pytest.mark.parametrize("what", CHANGED)
def test_an_odd_value_is_answered(what, tmp_path):
    source, changed = CHANGED[what]
    for name, text in FILES.items():
        (tmp_path / f"{name}.toml").write_text(changed if name == source else text, encoding="utf-8")
    answered(tmp_path, {name: f"{name}.toml" for name in FILES}, source, what in GOOD)


def test_a_mark_and_other_line_ends_are_no_fault(tmp_path):
    for name, text in FILES.items():
        (tmp_path / f"{name}.toml").write_bytes(b"\xef\xbb\xbf" + text.replace("\n", "\r\n").encode())
    done = run(tmp_path, *commands({name: f"{name}.toml" for name in FILES})["check"])
    assert done.returncode == 0, done.stderr.decode()


@pytest.mark.parametrize("what", ["missing", "folder", "pipe", "device", "loop", "unreadable", "hostile name", "too long a name"])
def test_what_is_no_file_is_answered(what, tmp_path):
    for name, text in FILES.items():
        (tmp_path / f"{name}.toml").write_text(text, encoding="utf-8")
    path = "odd.toml"
    if what == "folder":
        (tmp_path / path).mkdir()
    elif what == "pipe":
        os.mkfifo(tmp_path / path)
    elif what == "device":
        path = "/dev/zero"
    elif what == "loop":
        os.symlink(path, tmp_path / path)
    elif what == "unreadable":
        (tmp_path / path).write_text("")
        (tmp_path / path).chmod(0)
        if os.access(tmp_path / path, os.R_OK):
            pytest.skip("this user may read every file")
    elif what == "hostile name":
        path = "a\x1b[31m\u202e\x9b\nb.toml"
    elif what == "too long a name":
        path = "x" * 5000
    for source in FILES:
        names = {name: path if name == source else f"{name}.toml" for name in FILES}
        for args in commands(names).values():
            done = run(tmp_path, *args)
            said = done.stderr.decode("utf-8")
            assert done.returncode == 1 and "panicked" not in said and not unseen(said), (args, said)
            assert "FAULT" in said and f"The {source}" in said or f"for the {source}" in said, (args, said)


@pytest.mark.parametrize("out", ["file", "link", "others", "none/out", "long", ".", "..", "/", "read-only"])
def test_a_place_that_is_not_ours_is_refused_and_left_alone(out, tmp_path):
    for name, text in FILES.items():
        (tmp_path / f"{name}.toml").write_text(text, encoding="utf-8")
    (tmp_path / "file").write_text("mine")
    (tmp_path / "others").mkdir()
    (tmp_path / "others/letter.txt").write_text("mine")
    os.symlink(tmp_path / "others", tmp_path / "link")
    target = "x" * 250 if out == "long" else "/proc/out" if out == "read-only" else out
    before = sorted(str(path) for path in tmp_path.rglob("*"))
    args = commands({name: f"{name}.toml" for name in FILES})["build"]
    args[-1] = target
    done = run(tmp_path, *args)
    said = done.stderr.decode()
    assert done.returncode == 1 and "FAULT" in said and "To do" in said, said
    assert "planning" not in said and said.endswith("nothing written\n")
    assert sorted(str(path) for path in tmp_path.rglob("*")) == before


def test_a_killed_build_leaves_nothing_that_the_next_does_not_remove(tmp_path):
    for name, text in FILES.items():
        (tmp_path / f"{name}.toml").write_text(text, encoding="utf-8")
    args = commands({name: f"{name}.toml" for name in FILES})["build"]
    command = [str(PROGRAM), *args]
    killed = 0
    for _ in range(40):
        building = subprocess.Popen(command, cwd=tmp_path, stderr=subprocess.DEVNULL)
        while building.poll() is None:
            if any(".new-" in name and any((tmp_path / name).glob("*.stl")) for name in os.listdir(tmp_path)):
                building.kill()
                break
        building.wait()
        left = [name for name in os.listdir(tmp_path) if ".new-" in name]
        killed += bool(left)
        if left:
            break
    assert killed, "no build was stopped half-way"
    done = subprocess.run(command, cwd=tmp_path, capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    assert sorted(os.listdir(tmp_path)) == ["board.toml", "design.toml", "out", "shop.toml"]
