"""Names from the three files may hold any text; none of it becomes markup of any format."""

import json
import re
import subprocess
import unicodedata
import xml.etree.ElementTree as ElementTree
import zipfile
from html.parser import HTMLParser
from pathlib import Path

import browser
import ezdxf
import pytest
from conftest import BOARDS, PROGRAM, ROOT
from pypdf import PdfReader

# Each breaks out of one format if it is written as it comes.
HOSTILE = [
    "</h1><script>window.broken = 1</script>",
    '"><img src=x onerror="window.broken = 1">',
    "'/><svg onload='window.broken = 1'>",
    "]]></text><a href='javascript:window.broken=1'>x</a>",
    ") Tj ET Q /JavaScript (",
    "endstream endobj %%EOF \\",
    "{design} {hole} $INSUNITS EOF",
    "'); ENDSEC; END-ISO-10303-21;",
    "gnp.exe \U0001f944 caf\u00e9 \u6728",
    "&lt;b&gt; &#60;script&#62; %PDF `code` {{x}}",
]

# Each holds something that can't be seen: it ends a line, steers a terminal or turns the writing round.
HIDDEN = [
    "');\nENDSEC;\nEND-ISO-10303-21;",
    "\u202egnp.exe",
    "a\u2066b",
    "a\x00b",
    "a\x1b[31mb",
    "a\x9b31mb",
    "a\x85b",
    "a\tb",
    "a\rb",
    "a\u2028b",
    "\ufeffa",
    "a\u200bb",
    "a\ufffeb",
    "a\U000e0041b",
]


class Tags(HTMLParser):
    def __init__(self):
        super().__init__()
        self.seen, self.bad = {}, []

    def handle_starttag(self, tag, attributes):
        self.seen[tag] = self.seen.get(tag, 0) + 1
        for name, value in attributes:
            if name.startswith("on") or (value or "").strip().lower().startswith("javascript:"):
                self.bad.append((tag, name, value))
            if name in ("src", "href") and not (value or "").startswith(("data:image/png", "#")):
                self.bad.append((tag, name, value))


def hidden(text):
    """Whether a text holds a character that is no letter, mark, figure, sign or blank of its own."""
    joins = "\u200c\u200d"
    return any(unicodedata.category(c) in ("Cc", "Cf", "Cn", "Zl", "Zp") and c not in joins for c in text)


def quoted(text):
    return json.dumps(text, ensure_ascii=False)


def build(folder, name):
    """A fork's packet with `name` wherever the files name something."""
    texts = {
        "design": (ROOT / "params/designs/harvest-fork.toml").read_text(encoding="utf-8"),
        "board": (ROOT / f"params/boards/{BOARDS['fork']}.toml").read_text(encoding="utf-8"),
        "shop": (ROOT / "params/shop.toml").read_text(encoding="utf-8"),
    }
    if name is not None:
        texts["design"] = texts["design"].replace('name = "harvest fork"', f"name = {quoted(name)}")
        texts["board"] = texts["board"].replace('name = "beech, board 2"', f"name = {quoted(name)}")
        texts["board"] = texts["board"].replace(
            'species = "European beech"', f"species = {quoted(name)}"
        )
        shop = texts["shop"].replace('name = "village hall shop"', f"name = {quoted(name)}")
        shop = shop.replace('"flat 1/4"', quoted(name))
        texts["shop"] = shop.replace("notes = [", f"notes = [ {quoted(name)},", 1)
    for key, text in texts.items():
        (folder / f"{key}.toml").write_text(text, encoding="utf-8")
    command = [PROGRAM, "build", "design.toml", "--board", "board.toml", "--shop", "shop.toml"]
    # A date is one line of 40 letters at most; an equals sign, since it may begin with a hyphen.
    date = [] if name is None or hidden(name) else ["--date=" + name[:40].strip()]
    done = subprocess.run(
        [str(part) for part in [*command, *date, "--out", "out"]],
        cwd=folder,
        capture_output=True,
        text=True,
    )
    return done, folder / "out"


@pytest.fixture(scope="module")
def plain(tmp_path_factory):
    done, out = build(tmp_path_factory.mktemp("plain"), None)
    assert done.returncode == 0, done.stderr
    return out


def tags(out):
    found = Tags()
    found.feed((out / "sheet.html").read_text(encoding="utf-8"))
    return found


def entities(path):
    document = ezdxf.readfile(path)
    assert not document.audit().has_errors
    return sorted(entity.dxftype() for entity in document.modelspace())


@pytest.mark.parametrize("name", HOSTILE, ids=range(len(HOSTILE)))
def test_a_name_stays_text_in_every_format(name, plain, tmp_path):
    done, out = build(tmp_path, name)
    assert done.returncode == 0, done.stderr
    assert json.loads((out / "packet.json").read_text(encoding="utf-8"))

    sheet = tags(out)
    assert not sheet.bad and "script" not in sheet.seen
    # The name may hold a pair of backticks, which mean a key in a message.
    count = {tag: n for tag, n in sheet.seen.items() if tag != "code"}
    before = {tag: n for tag, n in tags(plain).seen.items() if tag != "code"}
    # A wood that the tool does not know has no weight, so it has a row less; the shop's name for
    # a cutter and a note more give some.
    for tag in ("script", "iframe", "img", "svg", "section", "a", "h1", "h2", "body"):
        assert count.get(tag) == before.get(tag), tag

    for path in out.rglob("*.svg"):
        names = {element.tag.rsplit("}", 1)[-1] for element in ElementTree.parse(path).iter()}
        assert names <= {"svg", "g", "path", "circle", "text"}, path
    for path in sorted(out.rglob("*.dxf")):
        assert entities(path) == entities(plain / path.relative_to(out)), path

    # The solids: XML in a container, and a text whose sections end where they did.
    for path in sorted(out.rglob("*.3mf")):
        with zipfile.ZipFile(path) as archive, zipfile.ZipFile(plain / path.relative_to(out)) as other:
            assert archive.namelist() == other.namelist()
            for inner in archive.namelist():
                ElementTree.fromstring(archive.read(inner))
    for path in sorted(out.rglob("*.step")):
        before = (plain / path.relative_to(out)).read_bytes()
        assert re.sub(rb"'[^']*'", b"", path.read_bytes()).count(b"ENDSEC;") == 2
        assert before.count(b"ENDSEC;") == 2

    reader = PdfReader(out / "templates.pdf", strict=True)
    assert len(reader.pages) == len(PdfReader(plain / "templates.pdf").pages)
    assert set(reader.trailer["/Root"]) <= {"/Type", "/Pages"}
    assert reader.metadata.title == name
    for page in reader.pages:
        assert set(page) <= {"/Type", "/MediaBox", "/Parent", "/Contents", "/Resources"}


@pytest.mark.parametrize("name", HOSTILE, ids=range(len(HOSTILE)))
def test_a_picture_as_svg_keeps_a_name_as_text(name, tmp_path):
    design = (ROOT / "params/designs/harvest-turner.toml").read_text(encoding="utf-8")
    design = re.sub(r'(?m)^name = ".*?"', lambda _: f"name = {quoted(name)}", design, count=1)
    (tmp_path / "design.toml").write_text(design, encoding="utf-8")
    command = [str(PROGRAM), "picture", "design.toml", "--out", "turner.svg"]
    done = subprocess.run(command, cwd=tmp_path, capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    root = ElementTree.parse(tmp_path / "turner.svg").getroot()
    names = {element.tag.rsplit("}", 1)[-1] for element in root.iter()}
    assert names == {"svg", "title", "clipPath", "g", "path"}
    # Marks that turn the text's direction, and ends of lines, are spaces there.
    plain = "".join(" " if unicodedata.category(c) in ("Cc", "Cf") else c for c in name)
    assert root.get("aria-label") == plain
    for element in root.iter():
        assert not any(key.startswith("on") or "href" in key for key in element.keys())
    assert (tmp_path / "turner.svg").stat().st_size < 100_000


@pytest.mark.parametrize("name", HIDDEN, ids=range(len(HIDDEN)))
def test_a_name_that_holds_what_cannot_be_seen_is_refused(name, tmp_path):
    assert hidden(name)
    done, out = build(tmp_path, name)
    assert done.returncode == 1 and not out.exists()
    # The design's name, the board's and its species, the shop's, its cutter (twice), a note.
    assert done.stderr.count("treenwright explain hidden-character") >= 6
    assert not any(hidden(line) for line in done.stderr.split("\n")), done.stderr
    check = [PROGRAM, "check", "design.toml", "--board", "board.toml", "--shop", "shop.toml", "--json"]
    said = subprocess.run([str(part) for part in check], cwd=tmp_path, capture_output=True, text=True)
    assert said.stderr == "" and not any(hidden(line) for line in said.stdout.split("\n"))
    found = json.loads(said.stdout)["findings"]
    assert {f["key"] for f in found if f["code"] == "hidden-character"} >= {"utensil.name", "board.species", "shop.notes[0]"}
    assert all(f["line"] for f in found if f["code"] == "hidden-character")


def test_no_name_runs_in_a_browser(tmp_path):
    if browser.PROGRAM is None:
        pytest.skip("NO CHROMIUM")
    done, out = build(tmp_path, " ".join(HOSTILE))
    assert done.returncode == 0, done.stderr
    sheet = (Path(out) / "sheet.html").read_text(encoding="utf-8")
    # `</body>` of the names is escaped, so the only one is the page's.
    assert sheet.count("</body>") == 1
    found = browser.ask(sheet, "return {broken: window.broken === undefined ? 0 : 1};")
    assert found == {"broken": 0}
