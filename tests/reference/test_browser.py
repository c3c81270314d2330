"""The job sheet in a real browser: axe's rules, phones, and figures that stand in the way."""

import json
import warnings

import browser
import pytest

# Boxes of an SVG's words, as the browser draws them, that overlap each other or leave the drawing.
# Two pixels of 1000 are less than the room between a letter and its box.
OVERLAPS = """
const off = [];
for (const svg of document.querySelectorAll('svg')) {
  const paper = svg.getBoundingClientRect();
  const words = [...svg.querySelectorAll('text')].map(t => [t.textContent, t.getBoundingClientRect()]);
  words.forEach(([word, box], i) => {
    if (box.left < paper.left - 1 || box.right > paper.right + 1 ||
        box.top < paper.top - 1 || box.bottom > paper.bottom + 1) off.push([word, 'leaves the drawing']);
    for (const [other, next] of words.slice(i + 1)) {
      const wide = Math.min(box.right, next.right) - Math.max(box.left, next.left);
      const high = Math.min(box.bottom, next.bottom) - Math.max(box.top, next.top);
      if (wide > 2 && high > 4) off.push([word, other, wide, high]);
    }
  });
}
return {off, drawings: document.querySelectorAll('svg').length};
"""

# The smallest letters of the drawings on a phone of 390 pixels, in pixels.
LETTERS = """
const frame = document.createElement('iframe');
frame.style.width = '390px'; frame.style.height = '800px'; frame.style.border = '0';
const ready = new Promise(done => frame.onload = done);
frame.srcdoc = SHEET;
document.body.append(frame);
await ready;
const sizes = [...frame.contentDocument.querySelectorAll('svg')].flatMap(svg => {
  const scale = svg.getBoundingClientRect().width / svg.viewBox.baseVal.width;
  return [...svg.querySelectorAll('text')].map(text => scale * text.getAttribute('font-size'));
});
return {least: Math.min(...sizes), count: sizes.length};
"""


@pytest.fixture
def sheet(packet):
    if browser.PROGRAM is None:
        warnings.warn("NO CHROMIUM: the job sheet was not looked at in a browser", stacklevel=1)
        pytest.skip("NO CHROMIUM: the job sheet was not looked at in a browser")
    return (packet.folder / "sheet.html").read_text(encoding="utf-8")


def test_axe_finds_no_violation(sheet):
    browser.without_violation(sheet)


def test_words_of_the_drawings_stand_free(sheet):
    found = browser.ask(sheet, OVERLAPS)
    assert found["drawings"] >= 5
    assert found["off"] == []


def test_no_phone_scrolls_sideways(sheet):
    browser.fits_phones(sheet)


def test_letters_of_the_drawings_can_be_read_on_a_phone(sheet):
    text = json.dumps(sheet).replace("</", "<\\/")
    page = "<!DOCTYPE html><html lang='en'><title>x</title><body></body></html>"
    found = browser.ask(page, f"const SHEET = {text};" + LETTERS)
    assert found["count"] > 30
    # About 9 pixels, with the 15 that this browser's own scroll bar takes from the width.
    assert found["least"] > 8.7
