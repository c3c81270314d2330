"""The job sheet as Chromium prints it, read back by pypdf: each setup on one page, nothing cut."""

import html
import io
import re
import unicodedata
import warnings

import browser
import pytest
from pypdf import PdfReader

# ISO 216; ANSI/ASME Y14.1. In mm.
PAPERS = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}


def words(text):
    """Letters and digits alone: a line's end, a hyphen and a ligature are the printer's own."""
    return "".join(re.findall(r"[^\W_]", unicodedata.normalize("NFKC", text)))


def told(pattern, sheet):
    """What stands between tags, without those within."""
    found = re.findall(pattern, sheet, re.S)
    return [words(html.unescape(re.sub(r"<[^>]*>", " ", text))) for text in found]


@pytest.fixture
def sheet(packet):
    if browser.PROGRAM is None:
        warnings.warn("NO CHROMIUM: the job sheet was not printed", stacklevel=1)
        pytest.skip("NO CHROMIUM: the job sheet was not printed")
    return (packet.folder / "sheet.html").read_text(encoding="utf-8")


@pytest.mark.parametrize("paper", PAPERS)
def test_nothing_is_cut_by_the_end_of_a_page(sheet, paper):
    reader = whole(sheet, paper, 13)
    # The four pictures of the piece stand together.
    assert 4 in [len(page.images) for page in reader.pages]


@pytest.mark.parametrize("paper", PAPERS)
def test_nothing_is_cut_in_a_set(set_folder, paper):
    if browser.PROGRAM is None:
        pytest.skip("NO CHROMIUM: the job sheet was not printed")
    whole((set_folder / "sheet.html").read_text(encoding="utf-8"), paper, 19)


def whole(sheet, paper, most):
    """Prints a sheet and looks whether all of it is on some page, in no more pages than `most`."""
    reader = PdfReader(io.BytesIO(browser.printed(sheet, paper)))
    pages = [words(page.extract_text()) for page in reader.pages]
    for page in reader.pages:
        size = [float(page.mediabox.width) * 25.4 / 72, float(page.mediabox.height) * 25.4 / 72]
        assert size == pytest.approx(PAPERS[paper], abs=0.5)
    assert len(pages) <= most
    assert all(len(page) > 150 for page in pages), "no page is all but empty"

    def page_of(text):
        found = [i for i, page in enumerate(pages) if text in page]
        assert found, f"no page has it whole: {text}"
        return found[0]

    # Each step, with its reason and its caution, is on one page; so is each row of a table.
    steps = told(r"<li>(.*?)</li>", sheet)
    assert len(steps) > 25
    for step in steps:
        page_of(step)
    for row in told(r"<tr>(.*?)</tr>", sheet):
        page_of(row[:60])
    for item in told(r"<div><dt>(.*?)</dd></div>", sheet):
        page_of(item)

    # Each setup begins a page, which has all that mounts the board; what is cut stands on it as well or,
    # where a setup has too many passes for that, goes on on the next.
    setups = re.findall(r'<section class="leaf setup[^"]*">(.*?)</section>', sheet, re.S)
    assert len(setups) == 2
    places = []
    for setup in setups:
        title = told(r"<h2>(.*?)</h2>", setup)[0]
        heading = next(i for i, page in enumerate(pages) if page.startswith(title))
        mount, cut = setup.split("<h3>Cut, in this order</h3>")
        assert words("Cut, in this order") in pages[heading] + pages[heading + 1]
        for text, at in ((mount, [heading]), (cut, [heading, heading + 1])):
            for part in [*told(r"<h3>(.*?)</h3>", text), *told(r'<p class="small">(.*?)</p>', text)]:
                assert any(part in pages[i] for i in at), part
            for row in told(r"<tr[^>]*>(.*?)</tr>", text):
                assert any(row[:40] in pages[i] for i in at), row
        places.append(heading)
    assert places[0] != places[1]
    return reader
