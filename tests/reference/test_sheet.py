"""The job sheet: sound HTML that needs nothing from elsewhere, and the pictures' SVG."""

import html
import io
import re
import shutil
import subprocess
from html.parser import HTMLParser

import pytest
import svgelements
from conftest import BOARDS, ROOT, TARGET

VALIDATE = TARGET / "reference/node/node_modules/.bin/html-validate"


class Links(HTMLParser):
    def __init__(self):
        super().__init__()
        self.links, self.tags, self.handlers = [], [], []

    def handle_starttag(self, tag, attributes):
        self.tags.append(tag)
        for name, value in attributes:
            if name in ("src", "href", "xlink:href", "srcset", "data", "action", "poster"):
                self.links.append(value or "")
            if name.startswith("on"):
                self.handlers.append(name)


@pytest.fixture
def sheet(packet):
    return (packet.folder / "sheet.html").read_text(encoding="utf-8")


def test_html_is_valid(packets, set_folder):
    """Of every shipped job, the set's too; the validator starts once for all."""
    if not VALIDATE.exists():
        assert shutil.which("npm") is None, "npm is there, html-validate is not: run tests/run"
        pytest.skip("no npm")
    sheets = [folder / "sheet.html" for folder in (*(packets(kind).folder for kind in BOARDS), set_folder)]
    done = subprocess.run(
        [VALIDATE, "--config", ROOT / "tests/reference/html-validate.json", *sheets],
        capture_output=True,
        text=True,
    )
    assert done.returncode == 0, done.stdout + done.stderr


def test_nothing_comes_from_elsewhere(packet, sheet):
    links = Links()
    links.feed(sheet)
    assert "script" not in links.tags and "iframe" not in links.tags and not links.handlers
    for link in links.links:
        # Within the page, in the page, or a file of the packet.
        own = link.startswith(("#", "data:")) or link.split("#")[0] in packet.files
        assert own, link
    styles = re.findall(r"url\(\s*['\"]?([^)'\"]*)", sheet)
    assert all(link.startswith(("data:", "#")) for link in styles)
    assert "@import" not in sheet


def test_it_names_the_design_and_its_sizes(packet, sheet):
    assert packet.asked["utensil"]["name"] in sheet
    assert "<title>" in sheet
    # A thing in several formats is one line: `body.3mf .stl`.
    listed = set()
    table = sheet[sheet.index("<h2>Files</h2>") :]
    for line in re.findall(r'<th scope="row"><code>(.*?)</code>', table):
        first, *more = html.unescape(line).split(" ")
        listed.add(first)
        listed.update(first.rsplit(".", 1)[0] + form for form in more)
    assert listed == set(packet.files) - {"sheet.html", "packet.json"}
    for finding in packet.json["findings"]:
        assert finding["code"] in sheet or finding["message"][:30] in sheet


def test_drawings_are_readable_svg(packet, sheet):
    drawings = re.findall(r"<svg\b.*?</svg>", sheet, re.S)
    assert drawings, "a plan and a profile are drawn"
    for text in drawings:
        if "xmlns=" not in text[: text.index(">")]:
            text = text.replace("<svg", '<svg xmlns="http://www.w3.org/2000/svg"', 1)
        parsed = svgelements.SVG.parse(io.StringIO(text))
        shapes = [e for e in parsed.elements() if isinstance(e, svgelements.Shape)]
        assert shapes
        assert all(len(list(svgelements.Path(shape))) > 0 for shape in shapes)


def test_svg_files_are_in_true_size(packet):
    # CSS Values and Units, absolute lengths: 1 in = 96 px = 25.4 mm.
    for name in (n for n in packet.files if n.endswith("outline.svg")):
        parsed = svgelements.SVG.parse(str(packet.folder / name))
        boxes = [e.bbox() for e in parsed.elements() if isinstance(e, svgelements.Path)]
        wide = max(b[2] for b in boxes) - min(b[0] for b in boxes)
        high = max(b[3] for b in boxes) - min(b[1] for b in boxes)
        longest = max(wide, high) * 25.4 / 96
        assert longest == pytest.approx(packet.length, abs=0.1), name
