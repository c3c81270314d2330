"""Art and fonts that are endless, broken or not what they seem: each is answered by a finding that says what is
wrong and what to do, or is built; nothing stops, nothing takes all of the time or the memory, and what is left out
is told."""

import gzip
import json
import os
import resource
import subprocess

import inlay_read
import letters_font
import numpy as np
import pytest
from conftest import PROGRAM, ROOT
from fontTools.ttLib import TTFont

KEYS = {
    "at": ["60 mm", "0 mm"],
    "size": "10 mm",
    "depth": "1.1 mm",
    "cutter": "vee 60",
    "board": ROOT / "params/plugs/maple.toml",
}
# None of these takes three seconds; a run that has not ended by then never would.
ENDS = 30
MEMORY = 2_000_000_000


def told(folder, keys, about=("inlay",)):
    design = inlay_read.with_inlay(folder / "hostile.toml", KEYS | keys)
    command = [PROGRAM, "check", design, "--board", ROOT / "params/boards/cherry.toml"]
    command += ["--shop", ROOT / "params/shop.toml", "--json"]
    done = subprocess.run(
        [str(part) for part in command],
        capture_output=True,
        text=True,
        timeout=ENDS,
        preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY)),
    )
    assert done.returncode in (0, 1), done.stderr
    assert "panicked" not in done.stderr
    found = [f for f in json.loads(done.stdout)["findings"] if f["code"].startswith(about)]
    assert all(len(f["message"]) < 400 and f["help"] for f in found), found
    return [(f["code"], f["message"]) for f in found]


def drawn(inside, head=""):
    return f'{head}<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink">{inside}</svg>'


def zigzag(corners):
    rng = np.random.default_rng(5)
    return "M" + "L".join(f"{x:.4f} {y:.4f}" for x, y in rng.uniform(0, 9, (corners, 2))) + "Z"


def squares(count):
    side = int(np.ceil(np.sqrt(count)))
    return "".join(f"M{k % side} {k // side}h.5v.5h-.5z" for k in range(count))


GOOD = '<path d="M0 0h9v4H0z"/>'
LAUGHS = "".join(f'<!ENTITY a{k} "{f"&a{k - 1};" * 10}">' for k in range(1, 9))

# What an SVG holds, and what is said of it.
REFUSED = {
    "an external entity": (drawn("&x;", '<!DOCTYPE svg [<!ENTITY x SYSTEM "file:///etc/passwd">]>'), "unknown entity"),
    "entities of entities": (drawn("&a8;", f'<!DOCTYPE svg [<!ENTITY a0 "ha">{LAUGHS}]>'), "can't be read as SVG"),
    "an entity of itself": (drawn("&x;", '<!DOCTYPE svg [<!ENTITY x "&x;">]>'), "can't be read as SVG"),
    "a picture": (drawn(GOOD + '<image xlink:href="file:///etc/passwd" width="9" height="9"/>'), "a picture"),
    "a copy of itself": (drawn('<g id="a"><use xlink:href="#a"/></g>'), "a linked copy"),
    "copies of copies": (
        drawn("".join(f'<g id="g{k}">{f"""<use href="#g{k - 1}"/>""" * 10}</g>' for k in range(1, 12))),
        "a linked copy",
    ),
    "deep groups": (drawn("<g>" * 300 + GOOD + "</g>" * 300), "nested deeper"),
    "endlessly deep groups": (drawn("<g>" * 100_000 + GOOD + "</g>" * 100_000), "nested deeper"),
    "groups without end": (drawn("<g>" * 300_000), "can't be read as SVG"),
    "a text": (drawn(GOOD + "<text>Ann</text>"), "a text"),
    "a drawing in a drawing": (drawn('<svg x="3" viewBox="0 0 1 1">' + GOOD + "</svg>"), "a frame of its own"),
    "a turn in a style": (drawn('<path style="transform: rotate(30deg)" d="M0 0h9v4H0z"/>'), "a transform inside a style"),
    "strokes alone": (drawn('<path fill="none" stroke="#000" d="M0 0h9v4H0z"/>' * 3), "3 strokes, which are not cut"),
    "a line alone": (drawn('<line x2="9" stroke="#000"/>'), "a stroke, which are not cut"),
    "nothing": (drawn(""), "no closed outline"),
    "a flat line": (drawn('<path d="M0 0h9"/>'), "encloses nothing"),
    "numbers beyond all": (drawn('<path d="M0 0h1e400v1e400z"/>'), "no numbers"),
    "a scale beyond all": (drawn(f'<g transform="scale(1e200)"><g transform="scale(1e200)">{GOOD}</g></g>'), "no numbers"),
    "far out": (drawn(f'<g transform="translate(1e12 0)">{GOOD}</g>'), "so far out"),
    "no numbers": (drawn('<path d="M0 NaN L inf 3z"/>'), "can't be read as SVG"),
    "points that are none": (drawn('<polygon points="0,0 NaN,3 4,4"/>'), "are none"),
    "an odd point": (drawn('<polygon points="0,0 9,0 4"/>'), "are none"),
    "a width in %": (drawn('<rect width="50%" height="3"/>'), "depends on where it is shown"),
    "more lines than a drawing": (drawn(f'<path d="{squares(30_000)}"/>'), "more than 100000"),
    "more corners than are carved": (drawn(f'<path d="{squares(9_000)}"/>'), "too many corners"),
    "a tangle": (drawn(f'<path d="{zigzag(3000)}"/>'), "cross too often"),
    "another page": ("<!DOCTYPE html><html><p>spoon</html>", "can't be read as SVG"),
    "a page of ours": ("<html xmlns='http://www.w3.org/1999/xhtml'/>", "no <svg>"),
    "half of it": (drawn(GOOD)[:70], "can't be read as SVG"),
}


@pytest.mark.parametrize("what", REFUSED)
def test_a_drawing_that_can_not_be_cut_is_told(what, tmp_path):
    text, says = REFUSED[what]
    (tmp_path / "art.svg").write_text(text, encoding="utf-8")
    found = told(tmp_path, {"art": "art.svg"})
    said = [message for code, message in found if code == "inlay-art"]
    assert len(said) == 1 and says in said[0], found


# What is cut but for something, and what is said of that.
LEFT_OUT = {
    "a stroke round a filling": (drawn('<path stroke="#000" d="M0 0h9v4H0z"/>'), "a stroke"),
    "strokes of a group": (drawn(f'<g stroke="#000">{GOOD}<path fill="none" d="M20 0l3 3"/></g>'), "2 strokes"),
    "a style sheet": (drawn(f"<defs><style>path{{fill:none}}</style></defs>{GOOD}"), "a style sheet"),
    "a script": (drawn(f"<script>while(true);</script>{GOOD}"), "a script"),
    "a clip path": (drawn(f'<clipPath id="c"><circle r="1"/></clipPath><g clip-path="url(#c)">{GOOD}</g>'), "a clip path"),
    "a mask": (drawn(f'<g style="mask:url(#m)">{GOOD}</g>'), "a mask"),
    "a foreign object": (drawn(f"<foreignObject><p/></foreignObject>{GOOD}"), "a foreign object"),
}


@pytest.mark.parametrize("what", LEFT_OUT)
def test_what_a_drawing_has_beside_outlines_is_told(what, tmp_path):
    text, says = LEFT_OUT[what]
    (tmp_path / "art.svg").write_text(text, encoding="utf-8")
    found = told(tmp_path, {"art": "art.svg"})
    assert [code for code, _ in found if code in ("inlay-art", "inlay-left-out")] == ["inlay-left-out"], found
    assert says in dict(found)["inlay-left-out"], found


# Odd, but what it encloses is known.
BUILT = {
    "an open path": drawn('<path d="M0 0h9v4H0"/>'),
    "one that crosses itself": drawn('<path d="M0 0L9 4V0L0 4z"/>'),
    "no size of its own": drawn(GOOD).replace("<svg", '<svg viewBox="0 0 0 0" width="0" height="0"'),
    "a mark at its begin": "\ufeff" + drawn(GOOD),
    "an entity of its own": drawn("&x;", f"<!DOCTYPE svg [<!ENTITY x '{GOOD}'>]>"),
    "units of its own": drawn('<rect width="9mm" height="0.2in" rx="2mm" ry="1mm"/>'),
    "far from zero": drawn(f'<g transform="translate(1e6 -1e6)">{GOOD}</g>'),
}


@pytest.mark.parametrize("what", BUILT)
def test_an_odd_drawing_is_cut(what, tmp_path):
    (tmp_path / "art.svg").write_text(BUILT[what], encoding="utf-8")
    found = told(tmp_path, {"art": "art.svg"})
    assert not {"inlay-art", "inlay-left-out"} & {code for code, _ in found}, found


@pytest.mark.parametrize(
    ("name", "says"),
    [
        ("lost.svg", "no such file"),
        ("folder.svg", "no plain file"),
        ("pipe.svg", "no plain file"),
        ("huge.svg", "larger than 16 MB"),
        ("large.svg", "more than 100000"),
        ("large.dxf", "more than 100000"),
        ("packed.svg", "packed"),
        ("packed.svgz", "packed"),
        ("art.png", "neither SVG nor DXF"),
        ("art", "neither SVG nor DXF"),
        ("wide.svg", "not UTF-8"),
        ("drawing.dxf", "can't be read as DXF"),
        ("zeros.dxf", "can't be read as DXF"),
    ],
)
def test_a_file_that_is_no_drawing_is_told(name, says, tmp_path):
    path = tmp_path / name
    match name:
        case "folder.svg":
            path.mkdir()
        case "pipe.svg":
            os.mkfifo(path)
        case "huge.svg":
            with path.open("wb") as file:
                file.truncate(100_000_000)
        case "large.svg":
            path.write_text(drawn(GOOD + " " * 9_000_000))
        case "large.dxf":
            path.write_text("0\nSECTION\n2\nENTITIES\n" + "0\nLINE\n" * 1_000_000)
        case "packed.svg" | "packed.svgz":
            path.write_bytes(gzip.compress(drawn(GOOD).encode()))
        case "wide.svg":
            path.write_text(drawn(GOOD), encoding="utf-16")
        case "zeros.dxf":
            path.write_bytes(bytes(4000))
        case "lost.svg":
            pass
        case _:
            path.write_text(drawn(GOOD))
    found = told(tmp_path, {"art": name})
    assert [code for code, _ in found] == ["inlay-art"] and says in found[0][1], found


def dxf(*entities):
    pairs = [(0, "SECTION"), (2, "ENTITIES"), *(pair for entity in entities for pair in entity), (0, "ENDSEC"), (0, "EOF")]
    return "".join(f"{code}\n{value}\n" for code, value in pairs)


def line(a, b):
    return [(0, "LINE"), (8, "0"), (10, a[0]), (20, a[1]), (30, 0), (11, b[0]), (21, b[1]), (31, 0)]


CIRCLE = [(0, "CIRCLE"), (8, "0"), (10, 0), (20, 0), (30, 0), (40, 3)]
RING = [(np.cos(a), np.sin(a)) for a in np.linspace(0, 2 * np.pi, 20_000, endpoint=False)]
DRAWINGS = {
    "an open outline": (dxf(line((0, 0), (9, 0)), line((9, 0), (9, 4)), line((9, 4), (0, 0.5))), "inlay-art", "does not close: it ends at"),
    "a block": (dxf(CIRCLE, [(0, "INSERT"), (8, "0"), (2, "B"), (10, 0), (20, 0)]), "inlay-art", "a block"),
    "a spline": (dxf(CIRCLE, [(0, "SPLINE"), (8, "0"), (70, 8), (71, 3)]), "inlay-art", "a spline"),
    "a text": (dxf(CIRCLE, [(0, "TEXT"), (8, "0"), (10, 0), (20, 0), (40, 2), (1, "Ann")]), "inlay-art", "a text"),
    "a point": (dxf(CIRCLE, [(0, "POINT"), (8, "0"), (10, 0), (20, 0)]), "inlay-left-out", "a point"),
    "a hatch": (dxf(CIRCLE, [(0, "HATCH"), (8, "0"), (10, 0), (20, 0)]), "inlay-left-out", "a hatch"),
    "a circle of nothing": (dxf([*CIRCLE[:-1], (40, 0)]), "inlay-art", "no closed outline"),
    "a circle beyond all": (dxf([*CIRCLE[:-1], (40, "1e308")], CIRCLE), "inlay-art", "no numbers"),
    "lines of no length": (dxf(line((3, 3), (3, 3)), line((3, 3), (3, 3))), "inlay-art", "no numbers"),
    "twenty thousand lines, mixed": (
        dxf(*(line(RING[k], RING[(k + 1) % len(RING)]) for k in np.random.default_rng(2).permutation(len(RING)))),
        None,
        "",
    ),
}


@pytest.mark.parametrize("what", DRAWINGS)
def test_a_dxf_is_cut_or_told(what, tmp_path):
    text, code, says = DRAWINGS[what]
    (tmp_path / "art.dxf").write_text(text)
    found = [one for one in told(tmp_path, {"art": "art.dxf"}) if one[0] in ("inlay-art", "inlay-left-out")]
    assert [one for one, _ in found] == ([code] if code else []), found
    assert not code or says in found[0][1], found


def test_a_drawing_damaged_anywhere_is_refused_or_cut(tmp_path):
    rng = np.random.default_rng(1711)
    own = dxf(CIRCLE, line((5, 5), (9, 5)), line((9, 5), (9, 9)), line((9, 9), (5, 5)))
    for name, whole in (("art.svg", (ROOT / "params/art/apple.svg").read_bytes()), ("art.dxf", own.encode())):
        for _ in range(12):
            broken = bytearray(whole)
            for at in rng.integers(0, len(whole), 4):
                broken[at] = rng.integers(0, 256)
            (tmp_path / name).write_bytes(bytes(broken))
            told(tmp_path, {"art": name})


def composite(font, name, parts):
    from fontTools.ttLib.tables._g_l_y_f import Glyph, GlyphComponent

    glyph = Glyph()
    glyph.numberOfContours = -1
    glyph.components = []
    for part in parts:
        own = GlyphComponent()
        own.glyphName, own.x, own.y, own.flags = part, 0, 0, 0x0002
        glyph.components.append(own)
    font["glyf"].glyphs[name] = glyph


@pytest.mark.parametrize("what", ["letters of letters", "a letter of itself", "a thousand letters", "a letter of two"])
def test_a_font_of_letters_of_letters_ends(what, tmp_path):
    # Nothing is worked out anew: that would not end here either.
    font = TTFont(letters_font.make(tmp_path / "own.ttf"), recalcBBoxes=False, recalcTimestamp=False)
    match what:
        case "letters of letters":
            # Each of the next letter, sixty times over: 60^7 outlines.
            chain = ["V", "A", "O", "Q", "T", "I", "Aacute", "H"]
            for one, next_ in zip(chain, chain[1:]):
                composite(font, one, [next_] * 60)
        case "a letter of itself":
            composite(font, "V", ["V", "A"])
        case "a thousand letters":
            composite(font, "V", ["O"] * 1100)
        case "a letter of two":
            composite(font, "V", ["I", "T"])
    for glyph in font["glyf"].glyphs.values():
        if getattr(glyph, "numberOfContours", 0) == -1:
            glyph.xMin = glyph.yMin = 0
            glyph.xMax = glyph.yMax = 700
    font.save(tmp_path / "own.ttf")
    found = told(tmp_path, {"text": "V", "font": "own.ttf", "size": "7 mm"})
    fonts = [message for code, message in found if code == "inlay-font"]
    assert fonts if what != "a letter of two" else not fonts, found
    assert what == "a letter of two" or "endlessly many parts" in fonts[0], found


@pytest.mark.parametrize(("times", "ends"), [(60, False), (2, True)])
def test_a_font_of_programs_that_call_programs_ends(times, ends, tmp_path):
    """Cubic curves: nine programs deep, each calls the next so many times."""
    from fontTools.cffLib import SubrsIndex
    from fontTools.misc.psCharStrings import T2CharString

    path = letters_font.make(tmp_path / "own.ttf", quadratic=False)
    font = TTFont(path, recalcBBoxes=False, recalcTimestamp=False)
    top = font["CFF "].cff.topDictIndex[0]
    deep = 9
    private = top.Private
    private.Subrs = SubrsIndex()
    for k in range(deep):
        last = k == deep - 1
        program = ["return"] if last else [k + 1 - 107, "callsubr"] * times + ["return"]
        private.Subrs.append(T2CharString(program=program, private=private, globalSubrs=font["CFF "].cff.GlobalSubrs))
    own = top.CharStrings["V"]
    own.decompile()
    own.program = [*own.program[:-1], -107, "callsubr", "endchar"]
    font.save(path)
    found = told(tmp_path, {"text": "V", "font": "own.ttf", "size": "7 mm"})
    assert ("inlay-font" in {code for code, _ in found}) != ends, found


@pytest.mark.parametrize(
    ("letters", "code"), [(10_000, "text-too-long"), (300, "inlay-letters"), (60, "inlay-off-face")]
)
def test_a_long_text_ends(letters, code, tmp_path):
    letters_font.make(tmp_path / "own.ttf")
    found = told(tmp_path, {"text": "A" * letters, "font": "own.ttf", "size": "7 mm"}, ("inlay", "text"))
    assert [one for one, _ in found] == [code], found
