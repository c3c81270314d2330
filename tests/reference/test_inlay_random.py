"""Random art on random handles: stars, spirals and letters of strokes, against brute force."""

import os

import inlay_read
import lengths
import letters_font
import numpy as np
import pytest
import shapely
from conftest import ROOT, Packet

MESH_MM = 0.01
FIT_MM = 0.02


def star(rng):
    points = int(rng.integers(3, 9))
    inner = rng.uniform(0.3, 0.75)
    angles = np.arange(2 * points) * np.pi / points + rng.uniform(0, 2)
    radii = np.where(np.arange(2 * points) % 2, inner, 1.0)
    return shapely.Polygon(np.column_stack([np.cos(angles), np.sin(angles)]) * radii[:, None])


def spiral(rng):
    turn = np.linspace(0, rng.uniform(1.3, 2.2) * 2 * np.pi, 160)
    line = np.column_stack([np.cos(turn), np.sin(turn)]) * (0.25 + 0.12 * turn)[:, None]
    return shapely.LineString(line).buffer(rng.uniform(0.16, 0.24), quad_segs=6)


def letters(rng):
    strokes = {
        "A": [[(0, 0), (0.5, 1.4), (1, 0)], [(0.22, 0.5), (0.78, 0.5)]],
        "E": [[(0.9, 0), (0, 0), (0, 1.4), (0.9, 1.4)], [(0, 0.7), (0.7, 0.7)]],
        "K": [[(0, 0), (0, 1.4)], [(0.9, 1.4), (0, 0.6)], [(0.3, 0.8), (0.9, 0)]],
        "R": [[(0, 0), (0, 1.4), (0.7, 1.4), (0.8, 0.9), (0, 0.7)], [(0.3, 0.7), (0.9, 0)]],
    }
    picked = rng.choice(list(strokes), 2, replace=False)
    lines = [
        shapely.LineString([(x + 1.4 * k, y) for x, y in line])
        for k, letter in enumerate(picked)
        for line in strokes[letter]
    ]
    wide = rng.uniform(0.1, 0.14)
    return shapely.union_all([line.buffer(wide, cap_style="square", join_style="mitre") for line in lines])


def svg(shape):
    parts = getattr(shape, "geoms", [shape])
    rings = [ring for part in parts for ring in (part.exterior, *part.interiors)]
    paths = ["M" + "L".join(f"{x:.6f} {-y:.6f}" for x, y in ring.coords[:-1]) + "Z" for ring in rings]
    return f'<svg xmlns="http://www.w3.org/2000/svg"><path d="{"".join(paths)}"/></svg>'


ARTS = {"star": (star, 10), "spiral": (spiral, 11), "letters": (letters, 13)}


def art_keys(kind, rng, folder):
    """What an inlay of that kind has: a drawing, or letters of the font of our own."""
    if kind == "font":
        letters = [str(c) for c in rng.choice(list("AVOQHIT"), int(rng.integers(2, 5)))]
        letters_font.make(folder / "own.ttf", bool(rng.integers(2)))
        return {"text": "".join(letters), "font": "own.ttf"}, round(rng.uniform(6, 9), 2)
    make, size = ARTS[kind]
    (folder / "art.svg").write_text(svg(make(rng)), encoding="utf-8")
    return {"art": "art.svg"}, size


# More of them: INLAY_SEEDS=100 for so many of each kind.
SEEDS = range(5, 5 + int(os.environ.get("INLAY_SEEDS", "0")))
KINDS = ["star", "spiral", "letters", "font"]


@pytest.mark.parametrize(
    ("kind", "seed"),
    [("star", 1), ("spiral", 2), ("letters", 3), ("font", 4), *((kind, seed) for seed in SEEDS for kind in KINDS)],
)
def test_random_art_on_a_random_handle(kind, seed, tmp_path):
    rng = np.random.default_rng([1711, seed])
    shown, size = art_keys(kind, rng, tmp_path)
    keys = shown | {
        "at": [f"{rng.uniform(45, 80):.2f} mm", f"{rng.uniform(-0.5, 0.5):.2f} mm"],
        "size": f"{size} mm",
        "turn": f"{(rng.choice([0, 180]) + rng.uniform(-15, 15) + 180) % 360 - 180:.1f} deg",
        "depth": f"{rng.uniform(0.9, 1.5):.2f} mm",
        "cutter": str(rng.choice(["vee 60", "vee 15"])),
        "board": ROOT / "params/plugs/maple.toml",
    }
    design = inlay_read.with_inlay(tmp_path / "design.toml", keys)
    text = design.read_text(encoding="utf-8")
    for size in ("23 mm", "19.5 mm"):
        text = text.replace(f'size = "{size}"', f'size = "{lengths.length_mm(size) + rng.uniform(0, 3):.2f} mm"')
    text = text.replace("section = 2.2", f"section = {rng.uniform(2, 3):.2f}")
    design.write_text(text, encoding="utf-8")
    shop = inlay_read.with_narrow_vee(tmp_path / "shop.toml")
    inlay_read.build_file(design, tmp_path / "out", shop=shop)
    inlay = inlay_read.Inlay(Packet(kind, tmp_path / "out"), lengths.read(design), tmp_path)
    for name in ("recess.stl", "plug/relief.stl"):
        inlay_read.sound(inlay, name)
    plan = inlay.places(2500, 0.01)
    face = inlay.face(plan)
    deep = inlay.deepest(plan)
    floor = face - inlay.length("depth", "2 mm")
    off = np.abs(inlay.recess(plan) - np.maximum(deep, floor))
    inlay_read.near(off, MESH_MM)
    lift = inlay.length("gap", "0.02 mm") * np.hypot(1, inlay.t) / inlay.t
    under = floor + inlay.length("under", "0.2 mm")
    plug = inlay.plug(plan)
    inside = plug < face
    assert np.abs(plug - np.maximum(deep + lift, under))[inside].max() < FIT_MM
    assert (plug - inlay.recess(plan))[inside].min() > 0.0, "no interference"
