"""The paper templates, read back by pypdf and measured on their path operators."""

import numpy as np
import pytest
import shapely
import svgelements
from pypdf import PdfReader
from pypdf.generic import ContentStream

# ISO 32000-1, 8.3.2.3: a user unit is 1/72 inch.
MM = 25.4 / 72
# ISO 216; ANSI/ASME Y14.1.
PAPERS = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}


class Page:
    """Paths of a page in mm: line width in points, closed or not, corners."""

    def __init__(self, reader, page):
        self.size = (float(page.mediabox.width) * MM, float(page.mediabox.height) * MM)
        self.paths, self.window = [], None
        width, path, box = 1.0, [], None
        for operands, operator in ContentStream(page.get_contents(), reader).operations:
            numbers = [float(v) for v in operands] if operator in (b"m", b"l", b"w", b"re") else None
            if operator == b"w":
                width = numbers[0]
            elif operator == b"re":
                box = numbers
            elif operator == b"W":
                x, y, w, h = (v * MM for v in box)
                self.window = shapely.box(x, y, x + w, y + h)
            elif operator == b"m":
                path = [numbers]
            elif operator == b"l":
                path.append(numbers)
            elif operator in (b"h", b"S", b"s", b"n"):
                if operator == b"h":
                    path.append(path[0])
                elif path:
                    if operator != b"n":
                        self.paths.append((width, np.array(path) * MM))
                    path = []
        self.text = page.extract_text()


@pytest.fixture
def pages(packet):
    reader = PdfReader(packet.folder / "templates.pdf")
    return [Page(reader, page) for page in reader.pages]


def outline(page):
    """The widest closed line with many corners, if the page has it."""
    closed = [p for w, p in page.paths if w > 0.85 and len(p) > 100 and np.allclose(p[0], p[-1])]
    return shapely.Polygon(max(closed, key=len)) if closed else None


def ticks(page):
    """X of the upright strokes that stand on or hang from one foot line, by their height."""
    found = {}
    for _, p in page.paths:
        if len(p) == 2 and abs(p[0][0] - p[1][0]) < 1e-6 and abs(p[0][1] - p[1][1]) < 3.1:
            found.setdefault(round(float(p[1][1] - p[0][1]), 2), []).append(float(p[0][0]))
    return found


def test_pages_are_of_the_shops_paper(pages, packet):
    paper = packet.json["shop"]["paper"]
    for page in pages:
        assert sorted(page.size) == pytest.approx(PAPERS[paper], abs=0.01)


def test_the_bar_of_each_page_is_true(pages):
    for page in pages:
        bars = [p for _, p in page.paths if len(p) == 2 and p[0][1] == p[1][1]]
        assert any(abs(np.ptp(p[:, 0]) - 101.6) < 0.05 for p in bars), "a foot line of 4 in"
        found = ticks(page)
        metric = sorted(x for high, xs in found.items() if high > 0 for x in xs)
        inches = sorted(x for high, xs in found.items() if high < 0 for x in xs)
        assert metric[-1] - metric[0] == pytest.approx(100, abs=0.05)
        assert np.diff(metric) == pytest.approx(10, abs=0.05)
        assert inches[-1] - inches[0] == pytest.approx(101.6, abs=0.05)
        assert "100 mm" in page.text and "4 in" in page.text


def test_the_outline_is_the_bodys(pages, packet):
    tiles = [(page, outline(page)) for page in pages if outline(page) is not None]
    assert tiles
    body = packet.outline()[0]
    low = np.array(body.bounds[:2])
    seen = []
    for page, drawn in tiles:
        shift = low - np.array(drawn.bounds[:2])
        moved = shapely.affinity.translate(drawn, *shift)
        assert moved.hausdorff_distance(body) < 0.05
        window = shapely.affinity.translate(page.window, *shift)
        assert window.area > 0
        seen.append(window)
    # All of it is on the pages, and neighbours share a strip.
    assert shapely.unary_union(seen).contains(moved)
    for first, second in zip(seen, seen[1:]):
        assert first.intersection(second).area > 1000


def test_gauges_have_the_sections_sizes(pages, packet):
    """The first gauge is the handle's at 0 %, as wide and as thick as the file asks."""
    import lengths

    handle = packet.asked["handle"]
    wide = lengths.length_mm(handle["width"][0]["size"])
    thick = lengths.length_mm(handle["thickness"][0]["size"])
    page = next(page for page in pages if "A:" in page.text)
    closed = [p for _, p in page.paths if len(p) > 100 and np.allclose(p[0], p[-1])]
    sizes = [np.ptp(p, axis=0) for p in closed]
    assert any(np.allclose(s, (wide, thick), atol=0.05) for s in sizes), sizes


def test_svg_is_in_true_size(packet):
    parsed = svgelements.SVG.parse(str(packet.folder / "templates.svg"))
    # CSS Values and Units: 96 px to the inch.
    px = 25.4 / 96
    by_id = {e.values.get("id"): e for e in parsed.elements() if isinstance(e, svgelements.Group)}
    box = by_id["outline"].bbox()
    assert (box[2] - box[0]) * px == pytest.approx(packet.length, abs=0.05)
    bar = by_id["scale-bar"].bbox()
    assert (bar[2] - bar[0]) * px == pytest.approx(101.6, abs=0.05)
