"""Recesses whose form is known: on a turner's flat blade and on a handle that is round."""

import inlay_read
import lengths
import numpy as np
import pytest
from conftest import ROOT, Packet

MESH_MM = 0.01
DEPTH, TIP = 1.2, 60.0
T = np.tan(np.radians(TIP / 2))
# Radius of the handle: with an upright edge of 2 mm, a section of exponent 2 that is 16 mm thick is part of a
# circle when it is 16 mm times the root of 1 - (2 / 16)² wide.
HANDLE = 8.0

SHAPES = {
    "disc": '<circle r="4"/>',
    "square": '<rect width="7" height="7"/>',
    "stroke": '<rect width="12" height="1.2"/>',
    "coin": '<circle r="5"/>',
}
PLACES = {"disc": (266, 0, 8), "square": (266, 9.8, 7), "stroke": (266, -8, 12), "coin": (90, 0, 10)}

DESIGN = """
[utensil]
name = "forms"
kind = "turner"
length = "310 mm"
edge = "2 mm"
[blade]
length = "98 mm"
width = "72 mm"
thickness = "5 mm"
front = "2.2 mm"
bevel = "24 mm"
[handle]
width = [{ at = "0 %", size = "15.875 mm" }, { at = "100 %", size = "15.875 mm" }]
thickness = [{ at = "0 %", size = "16 mm" }, { at = "100 %", size = "16 mm" }]
section = 2
[tabs]
width = "9 mm"
thickness = "4 mm"
place = [
    { side = "left", at = "12 %" }, { side = "right", at = "12 %" },
    { side = "left", at = "84 %" }, { side = "right", at = "84 %" },
]
"""


def write(folder):
    text = DESIGN
    for name, (x, y, size) in PLACES.items():
        (folder / f"{name}.svg").write_text(f'<svg xmlns="http://www.w3.org/2000/svg">{SHAPES[name]}</svg>')
        text += f"""
[[inlay]]
art = "{name}.svg"
at = ["{x} mm", "{y} mm"]
size = "{size} mm"
depth = "{DEPTH} mm"
cutter = "vee 60"
board = "{ROOT / "params/plugs/maple.toml"}"
"""
    design = folder / "forms.toml"
    design.write_text(text, encoding="utf-8")
    return design


@pytest.fixture(scope="module")
def forms(tmp_path_factory):
    folder = tmp_path_factory.mktemp("forms")
    design, out = write(folder), folder / "out"
    inlay_read.build_file(design, out, "pear")
    packet = Packet("forms", out)
    asked = lengths.read(design)
    return {name: inlay_read.Inlay(packet, asked, folder, at) for at, name in enumerate(PLACES)}


def flank(name, p):
    """How far a place is inside the outline."""
    x, y, size = PLACES[name]
    u, v = np.abs(p - (x, y)).T
    if name == "disc":
        return size / 2 - np.hypot(u, v)
    wide, high = (size / 2, size / 2) if name == "square" else (size / 2, 0.6)
    return np.minimum(wide - u, high - v)


def volume(name):
    """A frustum of a cone, one of a pyramid, and a groove whose ends are half pyramids."""
    size = PLACES[name][2]
    if name == "disc":
        r, s = size / 2, size / 2 - DEPTH * T
        return np.pi * DEPTH * (r * r + r * s + s * s) / 3
    if name == "square":
        u = size - 2 * DEPTH * T
        return DEPTH * (size * size + size * u + u * u) / 3
    high = 1.2
    deep = high / 2 / T
    assert deep < DEPTH, "a vee groove, without floor"
    return deep * high * (size - high) / 2 + high * high * deep / 3


@pytest.mark.parametrize("name", ["disc", "square", "stroke"])
def test_on_a_flat_face_the_recess_has_its_closed_form(forms, name):
    inlay = forms[name]
    p = inlay.places(4000, 0.0)
    face = inlay.face(p)
    assert np.ptp(face) < 0.005, "the blade is flat there"
    deep = np.minimum(flank(name, p) / T, DEPTH)
    off = np.abs(face - inlay.recess(p) - deep)
    assert off.max() < MESH_MM, (off.max(), p[off.argmax()])
    assert abs(inlay.json["recess_mm3"] - volume(name)) < 0.003 * volume(name)
    assert (deep == DEPTH).any() == (name != "stroke")


@pytest.mark.parametrize("name", ["disc", "square", "stroke"])
def test_on_a_flat_face_the_plug_is_the_same_form_lifted(forms, name):
    inlay = forms[name]
    p = inlay.places(4000, 0.0)
    face = inlay.face(p)
    lift = 0.02 * np.hypot(1, T) / T
    form = np.maximum(-flank(name, p) / T + lift, 0.2 - DEPTH)
    off = np.abs(inlay.plug(p) - face - form)
    assert off.max() < 2 * MESH_MM, (off.max(), p[off.argmax()])


def test_the_share_of_the_floor_that_the_clearing_cutter_reaches(forms):
    """All of a disc, a square but for its corners, nothing of a groove."""
    cutters = [c for c in forms["disc"].packet.json["shop"]["cutters"] if c["form"] == "flat"]
    r = min(c["diameter_mm"] for c in cutters) / 2
    u = PLACES["square"][2] - 2 * DEPTH * T
    square = 1 - (4 - np.pi) * r * r / (u * u)
    for name, share in (("disc", 1.0), ("square", square), ("stroke", 0.0)):
        assert abs(forms[name].json["floor_reached"] - share) < 0.01, name


def test_a_disc_on_a_cylinder(forms):
    """G by its definition on the cylinder's own formula, at 20,000 places of the disc's edge."""
    inlay = forms["coin"]
    x, y, size = PLACES["coin"]
    p = inlay.places(1500, 0.0)
    round_face = np.sqrt(HANDLE**2 - p[:, 1] ** 2)
    assert np.abs(inlay.face(p) - round_face).max() < 0.004, "the handle is round there"
    turn = np.linspace(0, 2 * np.pi, 20_000, endpoint=False)
    q = np.column_stack([x + size / 2 * np.cos(turn), y + size / 2 * np.sin(turn)])
    rim = np.sqrt(HANDLE**2 - q[:, 1] ** 2)
    deepest = np.array([(rim - np.hypot(*(q - one).T) / T).max() for one in p])
    exact = np.maximum(deepest, round_face - DEPTH)
    off = np.abs(inlay.recess(p) - exact)
    assert off.max() < MESH_MM, (off.max(), p[off.argmax()])
    assert (deepest > round_face - DEPTH).mean() > 0.1, "walls too"
    # The floor is a copy of the face: the walls' foot is deeper down at the sides than on the crest.
    assert np.ptp(exact) > 1.0
