"""The live page with what its designs name: the drawing of a plan, and art, as they change on disk, and a
form in which the drawing's sizes are not asked for."""

import os
import re
import shutil

import browser
import live_page
import pytest
from conftest import ROOT
from test_live import choose, file, measured, pytestmark, watched  # noqa: F401

DRAWING = ROOT / "tests/suite/plans/drawings/spoon.svg"
DESIGN = (ROOT / "tests/suite/plans/good.toml").read_text(encoding="utf-8")
LOST = "[...document.querySelectorAll('.finding.fault')].some(f => f.textContent.includes('plan-file'))"
NO_FAULT = "!document.querySelector('.finding.fault') && document.getElementById('stale').hidden"


@pytest.fixture
def server(tmp_path):
    (tmp_path / "drawings").mkdir()
    shutil.copy(DRAWING, tmp_path / "drawings/spoon.svg")
    (tmp_path / "spoon.toml").write_text(DESIGN, encoding="utf-8")
    for name in ("boards/cherry.toml", "shop.toml"):
        shutil.copy(ROOT / "params" / name, tmp_path)
    with live_page.served(tmp_path, "spoon.toml", "--board", "cherry.toml", "--shop", "shop.toml") as server:
        server.folder = tmp_path
        yield server
        assert server.end() == 0, "Ctrl-C ends it cleanly"


@pytest.fixture
def page(watched, server):  # noqa: F811
    page = live_page.Page(watched, server.address, still=True)
    page.rest()
    yield page
    assert page.complaints() == []
    page.close()


def bowl(page):
    page.rest()
    return float(measured(page, "width of the bowl").split()[0])


def widened(text, by):
    """The drawing, its bowl wider by so many of its units: all corners of it beyond the neck."""
    return text.replace("248 10", f"248 {10 - by / 2:g}").replace("278 10", f"278 {10 - by / 2:g}").replace(
        "206 10", f"206 {10 - by / 2:g}").replace("248 70", f"248 {70 + by / 2:g}").replace(
        "278 70", f"278 {70 + by / 2:g}").replace("206 70", f"206 {70 + by / 2:g}")


def test_a_drawing_that_is_saved_again_is_drawn_again(server, page):
    path = server.folder / "drawings/spoon.svg"
    drawn = path.read_text(encoding="utf-8")
    scale = 300 / 292
    assert abs(bowl(page) - 60 * scale) < 0.05
    before = page.picture()
    # Written into the file that is there.
    path.write_text(widened(drawn, 4), encoding="utf-8")
    page.until(f"document.getElementById('sizes').textContent.includes('{64 * scale:.2f}')")
    assert abs(bowl(page) - 64 * scale) < 0.05
    assert page.picture() != before
    # Put in its place, as most drawing programs do.
    beside = path.with_name(".spoon.svg.new")
    beside.write_text(widened(drawn, -4), encoding="utf-8")
    os.replace(beside, path)
    page.until(f"document.getElementById('sizes').textContent.includes('{56 * scale:.2f}')")
    assert abs(bowl(page) - 56 * scale) < 0.05
    # Away, half written, and back; in between it is told, and the picture stays.
    path.unlink()
    page.until(f"{LOST} && !document.getElementById('stale').hidden")
    assert measured(page, "width of the bowl") == f"{56 * scale:.2f} mm"
    path.write_text(drawn[: len(drawn) // 2], encoding="utf-8")
    page.rest()
    assert page.ask(LOST)
    path.write_text(drawn, encoding="utf-8")
    page.until(NO_FAULT)
    assert abs(bowl(page) - 60 * scale) < 0.05
    assert page.picture() == before
    # With its folder.
    aside = server.folder / "aside"
    path.parent.rename(aside)
    page.until(LOST)
    aside.rename(path.parent)
    page.until(NO_FAULT)
    path.write_text(widened(drawn, 4), encoding="utf-8")
    page.until(f"document.getElementById('sizes').textContent.includes('{64 * scale:.2f}')")
    assert page.ask("document.getElementById('saved').textContent") == "All is saved"
    assert file(server, "spoon.toml") == DESIGN


def test_a_drawing_in_a_folder_that_comes_later_is_found(server, page):
    page.write("utensil.plan", "later/mine.svg")
    page.until(LOST)
    (server.folder / "later").mkdir()
    page.rest()
    shutil.copy(DRAWING, server.folder / "later/mine.svg")
    page.until(NO_FAULT)


def test_art_that_is_saved_again_is_let_in_again(watched, tmp_path):  # noqa: F811
    shutil.copytree(ROOT / "params", tmp_path / "params")
    design = tmp_path / "params/designs/wheat-fork.toml"
    art = (design.parent / re.search(r'art = "([^"]*)"', design.read_text())[1]).resolve()
    params = tmp_path / "params"
    with live_page.served(tmp_path, design, "--board", params / "boards/cherry.toml", "--shop", params / "shop.toml") as server:
        page = live_page.Page(watched, server.address, still=True)
        page.rest()
        let_in = "[...document.querySelectorAll('#lines-drawn .art')].map((one) => one.getAttribute('d')).join('')"
        page.until(f"{let_in}.length > 100")
        wheat = page.ask(let_in)
        shutil.copy(params / "art/apple.svg", art)
        page.until(f"{let_in} !== {wheat!r} && document.getElementById('looking').hidden")
        assert page.complaints() == []
        page.close()


def test_what_the_drawing_says_is_not_asked_for(server, page):
    for key in ("handle.width", "handle.sway", "handle.knob.width", "bowl.width", "bowl.outline", "bowl.widest", "bowl.fullness"):
        says = page.ask(f"document.getElementById('field-{key}').querySelector('.drawn').textContent")
        assert says == ("none: its end is drawn" if "knob" in key else "as drawn"), key
        assert page.ask(f"document.getElementById('field-{key}').querySelectorAll('input, select, button').length") == 0, key
    assert page.ask("document.getElementById('field-handle.thickness[0].size').value") == "9 mm"
    may = page.ask("[...document.querySelectorAll('#add-give option')].map(o => o.value)")
    assert "bowl.depth" in may and "handle.curve" in may
    assert not {"bowl.width", "handle.width", "handle.sway", "bowl.fullness"} & set(may), may
    # A size that the drawing says leads to where that stands.
    page.ask("[...document.querySelectorAll('#sizes button')].find(b => b.textContent === 'width of the bowl').click()")
    page.until("document.activeElement.id === 'field-bowl.width'")
    assert "as drawn in drawings/spoon.svg" in page.ask("document.getElementById('lines-drawn').textContent")
    # Without the drawing they are needed again, and begin from the form.
    page.write("utensil.plan", "")
    page.until("document.querySelector('.finding.fault')")
    assert page.ask("document.getElementById('field-bowl.width').required") is True
    choose(page, "field-handle\\\\.width", "Give it a width")
    page.until("document.getElementById('field-handle.width[0].size')")
    page.write("bowl.width", "61 mm")
    page.until(NO_FAULT)
    assert bowl(page) == 61


def test_a_drawing_for_a_design_that_has_widths(watched, tmp_path):  # noqa: F811
    shutil.copytree(DRAWING.parent, tmp_path / "drawings")
    with live_page.served(tmp_path, *live_page.bench(tmp_path)) as server:
        page = live_page.Page(watched, server.address, still=True)
        page.rest()
        page.write("utensil.plan", "drawings/spoon.svg")
        page.until("document.getElementById('drawing-says')")
        page.rest()
        assert page.axe()["violations"] == []
        # What can't stand beside it stays in sight until it is taken out.
        assert page.value("bowl.width") == "65 mm"
        says = page.ask("document.querySelector('.besides').textContent")
        assert "handle width" in says and "bowl fullness" in says
        page.click("#drawing-says")
        page.until("!document.getElementById('drawing-says') && document.activeElement.id === 'field-utensil.plan'")
        page.until(NO_FAULT)
        assert abs(bowl(page) - 60 * 300 / 292) < 0.05
        # Another head has its sizes from the drawing, too.
        page.ask("(k => { k.value = 'turner'; k.dispatchEvent(new Event('change')); })(document.getElementById('field-utensil.kind'))")
        page.until("document.getElementById('field-blade.width')")
        assert "as drawn" in page.ask("document.getElementById('field-blade.width').textContent")
        page.rest()
        assert page.ask("document.querySelector('#findings').textContent.includes('plan-clash')") is False
        page.click("#undo")
        page.until("document.getElementById('field-bowl.width')")
        page.click("#undo")
        page.until("document.getElementById('field-bowl.width').value === '65 mm'")
        page.until("document.getElementById('drawing-says')")
        page.close()


@pytest.mark.parametrize("wide", [390, 1280])
def test_the_form_of_a_drawn_design_can_be_used_by_all(server, page, wide):
    page.look(wide, 900, still=True)
    page.ask("document.querySelectorAll('#form details').forEach(d => d.open = true)")
    assert page.axe()["violations"] == []
    reached = page.ask("[document.documentElement.scrollWidth, document.documentElement.clientWidth]")
    assert reached[0] <= reached[1]
    assert browser.PROGRAM is not None
