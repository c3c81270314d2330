"""The sheet as it is used at the bench: what is entered, loaded and ticked off, read back and compared with
the packet's files and with the shop's own figures."""

import html
import json
import re
import subprocess
import warnings

import browser
import numpy as np
import pytest
from conftest import BOARDS, PROGRAM, ROOT, SET, Packet
from pypdf import PdfReader

SHOP = (ROOT / "params/shop.toml").read_text(encoding="utf-8")
DRILL = """
[[cutter]]
name = "drill 6.4"
form = "drill"
diameter = "6.4 mm"
flute = "50 mm"
stick_out = "60 mm"
feed = "900 mm/min"
plunge = "240 mm/min"
speed = "3000 rpm"

[work] """
INCH = [('unit = "mm" ', 'unit = "in" '), ('# models = "in"', 'models = "in"')]


def shop(folder, edits):
    text = SHOP
    for old, new in edits:
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    path = folder / "shop.toml"
    path.write_text(text, encoding="utf-8")
    return path


def run(kind, folder, edits):
    designs = [ROOT / f"params/designs/harvest-{kind}.toml"]
    board = ROOT / f"params/boards/{BOARDS[kind]}.toml"
    command = [PROGRAM, "build", *designs, "--board", board, "--shop", shop(folder, edits), "--out", folder / "out"]
    return subprocess.run([str(part) for part in command], capture_output=True, text=True)


def made(once, name, kind, edits):
    def fill(folder):
        folder.mkdir()
        done = run(kind, folder, edits)
        assert done.returncode == 0, done.stdout + done.stderr

    return Packet(kind, once(name, fill) / "out")


@pytest.fixture(scope="module")
def drilled(once):
    edits = [("[work]  ", DRILL), ('# pins = "drill 1/4"', 'pins = "drill 6.4"')]
    return made(once, "drilled", "spoon", edits)


@pytest.fixture(scope="module", params=["spoon", "fork"])
def inch(once, request):
    return made(once, f"inch-{request.param}", request.param, INCH)


def sheet_of(packet):
    return (packet.folder / "sheet.html").read_text(encoding="utf-8")


def plain(markup):
    """What a part of the page says, with single spaces."""
    return re.sub(r"\s+", " ", html.unescape(re.sub(r"<[^>]*>", " ", markup))).strip()


def setup_pages(sheet):
    return re.findall(r'<section class="leaf setup[^"]*">(.*?)</section>', sheet, re.S)


def rows(markup, heading):
    """Cells of the first table after a heading."""
    table = markup[markup.index(heading) :]
    table = table[: table.index("</table>")]
    return [[plain(cell) for cell in re.findall(r"<t[hd][^>]*>(.*?)</t[hd]>", row, re.S)] for row in re.findall(r"<tr[^>]*>(.*?)</tr>", table, re.S)]


def figure(text):
    return float(text.replace("\u2212", "-").replace("\u00a0", " ").split()[0])


def test_each_pass_has_its_heights_and_they_are_the_models(packet):
    info = packet.json
    leave = info["shop"]["work"]["leave_mm"]
    assert leave == 0.5
    highest = max(m["over_mm"] for m in info["mounting"]["hold_downs"]["models"])
    for side in ("top", "bottom"):
        setup = info["setups"][side]
        bed, top = setup["stock_bottom_mm"], setup["stock_top_mm"]
        z = packet.mesh(f"{side}/relief.stl").vertices[:, 2]
        lowest = z[z > bed + 1e-4].min()
        own = {p["pass"]: p for p in info["workholding"]["passes"] if p["setup"] == side}
        assert {"rough", "finish"} <= set(own)
        for name, one in own.items():
            assert one["start_z_mm"] == pytest.approx(top, abs=1e-4)
            assert one["lift_z_mm"] >= max(top, bed + highest) + 5 - 1e-4
            leaves = leave if name in ("rough", "clear") else 0.0
            assert one["leaves_mm"] == leaves
            end = bed + one["tip_lowest_mm"] if one["through"] else lowest + leaves
            assert one["end_z_mm"] == pytest.approx(end, abs=1e-3), name
            assert (one["pass_depth_mm"] is None) == (name in ("finish", "clean-up"))
        if "edge" in own:
            # The tabs' upper face is the model's, on the tabs' places.
            tabs = [p for _, p in packet.drawing(f"{side}/tabs.dxf").paths]
            middles = np.array([np.mean([[x, y] for x, y, _ in path], axis=0) for path in tabs])
            over = packet.upright(f"{side}/relief.stl").span(middles)[1]
            assert own["edge"]["over_tabs_z_mm"] > np.nanmax(over)
            assert own["edge"]["over_tabs_z_mm"] < top
    # And the sheet says them.
    for page, side in zip(setup_pages(sheet_of(packet)), ("top", "bottom")):
        told = {row[0].split(". ")[1]: row for row in rows(page[page.index("Step-over") - 900 :], "<thead") if len(row) == 10 and ". " in row[0]}
        rough = next(p for p in info["workholding"]["passes"] if p["setup"] == side and p["pass"] == "rough")
        assert figure(told["rough"][7]) == pytest.approx(rough["start_z_mm"], abs=0.006)
        assert figure(told["rough"][8]) == pytest.approx(rough["end_z_mm"], abs=0.006)
        assert figure(told["rough"][9]) == 0.5


def test_the_bolt_of_each_hold_down_stands_on_the_sheet(packet):
    for page, setup in zip(setup_pages(sheet_of(packet)), packet.json["mounting"]["hold_downs"]["setups"]):
        told = {row[0].split()[0]: row for row in rows(page, "Places, mm")[1:]}
        matrix = np.array(packet.json["setups"][setup["setup"]]["board_to_setup"]).reshape(4, 4)
        for number, place in enumerate(setup["places"], 1):
            row = told[f"H{number}"]
            assert row[0].startswith(f"H{number} bolt")
            lain = (matrix @ [*place["bolt_mm"], 0, 1])[:2]
            assert [figure(c) for c in row[1:3]] == pytest.approx(lain, abs=0.006)
            assert [figure(c) for c in row[3:5]] == pytest.approx(place["bolt_on_bed_mm"], abs=0.006)
        assert "middle of its bolt" in plain(page) and "board\u2019s left end" in plain(page)


def test_dowels_stay_under_the_board_and_the_holes_are_bored_once(packet):
    mounting = packet.json["mounting"]
    dowel, stock = mounting["dowel"], packet.json["stock"]["height_mm"]
    assert dowel["length_mm"] == pytest.approx(dowel["in_bed_mm"] + dowel["in_board_mm"])
    assert 2 - 1e-6 <= stock - dowel["in_board_mm"] < 3.5
    assert dowel["in_bed_mm"] == packet.json["shop"]["pin"]["depth_mm"]
    steps = [step["key"] for step in mounting["steps"]]
    assert steps.index("finish-top") < steps.index("dowels") < steps.index("turn")
    told = next(step["what"] for step in mounting["steps"] if step["key"] == "dowels")
    assert f"{dowel['length_mm']:g} mm long" in told
    board = packet.drawing("top/pins.dxf").document.modelspace().query("CIRCLE")
    assert len(board) == dowel["count"]
    # The bed's holes by their own file, where the chart has them.
    for side in ("top", "bottom"):
        bed = packet.drawing("bed/pins.dxf").document.modelspace().query(f'CIRCLE[layer=="pins-{side}"]')
        chart = [h["on_bed_mm"] for h in mounting["drill_chart"] if h["in"] == "bed" and h["setup"] == side]
        assert np.array(sorted([*c.dxf.center][:2] for c in bed)) == pytest.approx(np.array(sorted(chart)), abs=1e-4)


def test_a_drill_bores_and_does_nothing_else(drilled, tmp_path):
    drilling = drilled.json["mounting"]["drilling"]
    assert (drilling["cutter"], drilling["way"], drilling["path_mm"]) == ("drill 6.4", "drill", None)
    assert drilling["peck_mm"] == 6.4 and drilling["plunge_mm_min"] == 240
    # A point of 118 degrees on 6.4 mm is 3.2 / tan 59 high.
    point = 3.2 / np.tan(np.radians(59))
    for hole in drilled.json["mounting"]["drill_chart"]:
        assert hole["tip_depth_mm"] - hole["depth_mm"] == pytest.approx(point, abs=1e-4)
    stock = drilled.json["stock"]["height_mm"]
    board = drilling["board"]
    assert board["start_z_mm"] - board["end_z_mm"] == pytest.approx(stock + 0.5 + point, abs=1e-4)
    assert all(p["cutter"] != "drill 6.4" for p in drilled.json["workholding"]["passes"])
    page = plain(setup_pages(sheet_of(drilled))[0])
    assert "Drill straight down." in page and "drill 6.4" in page
    for key in ("rough", "slots"):
        named = [("[work]  ", DRILL), (f'{key} = "flat 1/{4 if key == "rough" else 8}"', f'{key} = "drill 6.4"')]
        folder = tmp_path / key
        folder.mkdir()
        done = run("spoon", folder, named)
        assert done.returncode == 1 and "cutter-unfit" in done.stderr + done.stdout, key


def test_each_file_to_load_has_its_unit_beside_it(packet, inch):
    for made in (packet, inch):
        sheet = sheet_of(made)
        listed = {file["name"]: file["unit"] for file in made.json["files"]}
        loads = re.findall(r'<span class="file"><code>([^<]*)</code>(?: \(<b>(\w+)</b>\))?', sheet)
        assert len(loads) > 10
        for name, unit in loads:
            assert listed[name] == unit, name


def test_models_come_in_inches_where_the_shop_asks_for_it(inch, packets):
    metric = packets(inch.kind)
    units = {file["name"]: file["unit"] for file in inch.json["files"]}
    for name in ("body.stl", "finished.stl", "top/relief.stl", "bottom/relief.stl"):
        assert units[name] == "in", name
        assert inch.mesh(name).bounds * 25.4 == pytest.approx(metric.mesh(name).bounds, abs=1e-4)
    for name in ("body.3mf", "body.step", "workholding/hold-down.stl"):
        assert units[name] == "mm", name
    held = "workholding/hold-down.stl"
    assert inch.mesh(held).bounds == pytest.approx(metric.mesh(held).bounds, abs=1e-5)


def test_an_inch_shop_is_told_inches_first(inch):
    sheet = sheet_of(inch)
    told = plain(re.sub(r"<style>.*?</style>", "", sheet, flags=re.S).split("<h2>Files</h2>")[0])
    # Millimetres stand behind the inches, in brackets or under them in a drawing, and nowhere else.
    in_drawings = [t for svg in re.findall(r"<svg\b.*?</svg>", sheet, re.S) for t in re.findall(r"<text[^>]*>([^<]*)</text>", svg)]
    for text in in_drawings:
        told = told.replace(plain(text), " ", 1)
    in_brackets = re.sub(r"\([^()]*mm[^()]*\)", "", told)
    left = [in_brackets[max(0, m.start() - 60) : m.end()] for m in re.finditer(r"\d\u00a0?\s?mm\b", in_brackets)]
    # The printer's files are in mm, and say so.
    left = [text for text in left if "print-plate" not in text]
    assert left == []
    for text in in_drawings:
        assert not re.search(r"\d mm$", text) or any(re.search(r"\d in$", other) for other in in_drawings)
    assert "under 0 in" not in told and "0 in." not in told.replace("X0", "")
    for finding in inch.json["findings"]:
        bare = re.sub(r"\([^()]*mm[^()]*\)", "", finding["message"])
        assert not re.search(r"\d mm\b", bare), finding["message"]
    for step in inch.json["mounting"]["steps"]:
        assert not re.search(r"\d mm\b", step["what"]), step["what"]


def test_a_set_is_bored_once_and_its_templates_have_no_empty_page(set_folder):
    listed = json.loads((set_folder / "packet.json").read_text(encoding="utf-8"))
    names = [file["name"] for file in listed["files"]]
    assert [n for n in names if n.endswith("pins.dxf")] == ["bed/pins.dxf", "top/pins.dxf"]
    assert [n for n in names if n.endswith("slots.dxf")] == ["harvest-fork/bottom/slots.dxf"]
    steps = {step["key"]: step for step in listed["mounting"]["steps"]}
    assert steps["slots"]["pieces"] == [1] and steps["rough-top"]["pieces"] == [0, 1, 2]
    assert steps["bore-pins"]["files"] == ["top/pins.dxf"]
    assert not any("steps" in piece["workholding"] for piece in listed["pieces"])
    for piece in (design.stem for design in SET):
        reader = PdfReader(set_folder / piece / "templates.pdf")
        shown = [page for page in reader.pages if "Cut in two" not in page.extract_text()]
        # As many as the piece itself takes, 290 to 300 mm long, on A4 lying level.
        assert len(shown) == 2, piece
        assert all(page.mediabox.width > page.mediabox.height for page in shown), "the handle is whole"


@pytest.fixture
def page(packet):
    if browser.PROGRAM is None:
        warnings.warn("NO CHROMIUM: the job sheet was not looked at in a browser", stacklevel=1)
        pytest.skip("NO CHROMIUM: the job sheet was not looked at in a browser")
    return sheet_of(packet)


TAPS = """
const frame = document.createElement('iframe');
frame.style.width = WIDE + 'px'; frame.style.height = '800px'; frame.style.border = '0';
const ready = new Promise(done => frame.onload = done);
frame.srcdoc = SHEET;
document.body.append(frame);
await ready;
const inner = frame.contentDocument;
const boxes = [...inner.querySelectorAll('input[type=checkbox]')];
const small = boxes.map(b => b.closest('label').getBoundingClientRect()).filter(r => r.height < 24 || r.width < 24);
boxes.forEach(b => b.closest('label').click());
const wide = [...inner.querySelectorAll('table, .drawing, p, li')].filter(
  e => e.getBoundingClientRect().right > inner.documentElement.clientWidth + 1).map(e => e.className);
return {boxes: boxes.length, ticked: boxes.filter(b => b.checked).length, small: small.length, wide};
"""


@pytest.mark.parametrize("wide", [390, 1000])
def test_every_box_can_be_tapped_and_no_table_leaves_the_page(page, wide):
    text = json.dumps(page).replace("</", "<\\/")
    empty = "<!DOCTYPE html><html lang='en'><title>x</title><body></body></html>"
    found = browser.ask(empty, f"const SHEET = {text}; const WIDE = {wide};" + TAPS)
    assert found["boxes"] > 35 and found["ticked"] == found["boxes"]
    assert found["wide"] == []
    if wide == 390:
        assert found["small"] == 0


def test_drawings_of_setups_fill_the_page_in_letters_of_nine_points(page):
    for setup in setup_pages(page):
        svg = re.search(r"<svg\b.*?</svg>", setup, re.S)[0]
        box = [float(v) for v in re.search(r'viewBox="([^"]*)"', svg)[1].split()]
        # A millimetre of the drawing is one of A4 between margins of 15 mm; a point is 0.3528 mm.
        assert box[2] == 180
        sizes = [float(v) for v in re.findall(r'<text[^>]* font-size="([\d.]+)"', svg)]
        assert min(sizes) >= 9 * 25.4 / 72 - 0.01
        words = [html.unescape(t) for t in re.findall(r"<text[^>]*>([^<]*)</text>", svg)]
        for word in ("P1", "P2", "H1", "S1", "X", "Y", "0"):
            assert word in words
        assert sum(bool(re.search(r"\d mm$", word)) for word in words) == 2, "the board's length and width"


def test_what_comes_first_at_the_bench_comes_first(page):
    order = ["Before you begin", "Order of work", "Setup 1: top up", "Setup 2: bottom up", "Sanding", "Finishing", "The finished piece", "Sizes", "Drawing", "Files"]
    places = [page.index(f"<h2>{heading}</h2>") for heading in order]
    assert places == sorted(places)
    assert page.count("P100") <= 2, "sanding is told once, beside the words on the maps"
