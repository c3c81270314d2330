"""The rehearsal's page, of a program that is right and of one that is wrong: sound HTML, axe's rules,
phones, and paper."""

import io
import shutil
import subprocess
import warnings

import browser
import pypdf
import pytest
from conftest import ROOT
from programs import Bench
from test_rehearse import finished, programs_of_top, rehearse, roughed_wood
from test_sheet import VALIDATE


@pytest.fixture(scope="module")
def pages(packets, tmp_path_factory):
    """Files of both pages."""
    folder = tmp_path_factory.mktemp("pages")
    spoon = packets("spoon")
    bench = Bench(spoon, "top")

    def lowered(program):
        program.shift[2] -= 2.0

    wood = roughed_wood(spoon, programs_of_top(bench, folder)[:3], folder)
    found = {}
    for name, program in {"right": finished(bench), "wrong": finished(bench, inner=lowered)}.items():
        page = folder / f"{name}.html"
        result = rehearse(spoon, "top", program.end().write(folder / f"{name}.nc"), more=["--page", page, *wood])
        found[name] = (page, result)
    assert found["right"][1]["findings"] == []
    assert {"into-piece", "zero-off"} <= {finding["code"] for finding in found["wrong"][1]["findings"]}
    return {name: page for name, (page, _) in found.items()}


@pytest.fixture(params=["right", "wrong"])
def page(pages, request):
    if browser.PROGRAM is None:
        warnings.warn("NO CHROMIUM: the rehearsal's page was not looked at in a browser", stacklevel=1)
        pytest.skip("NO CHROMIUM: the rehearsal's page was not looked at in a browser")
    return pages[request.param].read_text(encoding="utf-8")


def test_html_is_valid(pages):
    if not VALIDATE.exists():
        assert shutil.which("npm") is None, "npm is there, html-validate is not: run tests/run"
        pytest.skip("no npm")
    command = [VALIDATE, "--config", ROOT / "tests/reference/html-validate.json", *pages.values()]
    done = subprocess.run(command, capture_output=True, text=True)
    assert done.returncode == 0, done.stdout + done.stderr


def test_axe_finds_no_violation(page):
    browser.without_violation(page)


def test_no_phone_scrolls_sideways(page):
    browser.fits_phones(page)


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_it_prints_without_an_empty_page(page, paper):
    sheets = pypdf.PdfReader(io.BytesIO(browser.printed(page, paper))).pages
    assert 1 <= len(sheets) <= 5
    for sheet in sheets:
        assert sheet.extract_text().strip() or sheet.images, "an empty page"
