"""The rules of carving and use, against scipy, and what docs/checks.md says that they say."""

import json
import os
import subprocess

import lengths
import numpy as np
import pytest
from conftest import PROGRAM, ROOT, TARGET
from scipy import integrate, ndimage


def closing_program():
    program = TARGET / "release/examples/closing"
    if not program.is_file():
        command = ["cargo", "build", "--release", "--locked", "--quiet", "--example", "closing"]
        subprocess.run(command, cwd=ROOT, check=True, env=os.environ)
    return program


def leave(design, face, cell, form, diameter, out):
    """Heights of a side, and what the product says that the cutter leaves of it."""
    command = [closing_program(), ROOT / f"params/designs/{design}.toml", face, cell, form, diameter, out]
    subprocess.run([str(part) for part in command], check=True)
    head, data = out.read_bytes().split(b"\n", 1)
    columns, rows, cell = head.split()
    grids = np.frombuffer(data, "<f4").astype(float).reshape(2, int(rows), int(columns))
    return grids[0], grids[1], float(cell)


@pytest.mark.parametrize(
    "design, face, cell, form, diameter",
    [
        ("harvest-spoon", "top", "0.5 mm", "ball", "1/8 in"),
        ("harvest-spoon", "top", "0.5 mm", "ball", "1 in"),
        ("harvest-fork", "bottom", "0.5 mm", "ball", "1/2 in"),
        ("harvest-turner", "top", "0.5 mm", "flat", "1/4 in"),
    ],
)
def test_what_a_cutter_leaves_is_scipys_grey_closing(tmp_path, design, face, cell, form, diameter):
    ground, left, cell = leave(design, face, cell, form, diameter, tmp_path / "grid")
    body = ground > -1e8
    assert body.sum() > 10_000
    radius = lengths.length_mm(diameter) / 2
    reach = int(radius / cell * (1 + 1e-12))
    y, x = np.mgrid[-reach : reach + 1, -reach : reach + 1] * cell
    away = np.hypot(x, y)
    under = away <= radius * (1 + 1e-12)
    # The tool upside down: scipy takes the structure as what is added.
    tool = np.zeros_like(away)
    if form == "ball":
        tool[under] = -(radius - np.sqrt(np.maximum(radius**2 - away[under] ** 2, 0.0)))
    # Far below every surface, but near enough that a float keeps a micrometre.
    deep = np.where(body, ground, -1e5)
    known = ndimage.grey_closing(deep, footprint=under, structure=tool)
    worst = np.abs(known - left)[body].max()
    assert worst < 1e-3, f"{worst} mm apart"


def test_balance_point_is_the_meshs_centroid(packet):
    figures = packet.json["checks"]["figures"]
    centroid = packet.mesh("finished.stl").center_mass
    assert figures["balance_point_mm"] == pytest.approx(centroid[0], abs=0.2)


def test_it_rests_on_the_hull_under_its_balance_point(packet):
    from scipy.spatial import ConvexHull

    figures = packet.json["checks"]["figures"]
    points = packet.mesh("body.stl").vertices[:, [0, 2]]
    hull = points[ConvexHull(points).vertices]
    centroid = packet.mesh("finished.stl").center_mass[0]
    edges = zip(hull, np.roll(hull, -1, axis=0))
    # Counter-clockwise, so that the lower edges run towards the tip.
    under = [edge for edge in edges if edge[0][0] <= centroid <= edge[1][0]]
    (rear, front), = under
    assert figures["rest_rear_mm"] == pytest.approx(rear[0], abs=2.0)
    assert figures["rest_front_mm"] == pytest.approx(front[0], abs=2.0)


def test_the_finishing_time_is_path_length_over_feed(packet):
    """Skins by the mesh's own area, less the rim wall; the skirt is a small part."""
    figures = packet.json["checks"]["figures"]
    cutter = next(c for c in packet.json["shop"]["cutters"] if c["name"] == packet.json["shop"]["work"]["finish"])
    mesh = packet.mesh("body.stl")
    skins = mesh.area_faces[np.abs(mesh.face_normals[:, 2]) > 1e-6].sum()
    least = skins / (cutter["step_over_mm"] * cutter["feed_mm_min"])
    assert least * 0.9 < figures["time_finishing_min"] < least * 1.6
    assert figures["time_least_min"] < figures["time_most_min"]


def head_change(tmp_path, now, later):
    """What `check` says that the spoon's head widens by on the cherry board, in mm."""
    board = (ROOT / "params/boards/cherry.toml").read_text(encoding="utf-8")
    for key, asked, given in (("now", "9 %", now), ("use", "8 %", later)):
        assert f'moisture_{key} = "{asked}"' in board
        board = board.replace(f'moisture_{key} = "{asked}"', f'moisture_{key} = "{given} %"')
    (tmp_path / "board.toml").write_text(board, encoding="utf-8")
    design = ROOT / "params/designs/harvest-spoon.toml"
    told = subprocess.run(
        [PROGRAM, "check", design, "--board", tmp_path / "board.toml"]
        + ["--shop", ROOT / "params/shop.toml", "--json"],
        capture_output=True,
        text=True,
    )
    (piece,) = json.loads(told.stdout)["pieces"]
    return piece["figures"]["moisture_head_width_change_mm"]


@pytest.mark.parametrize(("now", "later"), [(9, 8), (6, 14)])
def test_between_6_and_14_per_cent_the_head_moves_by_the_printed_coefficient(packets, tmp_path, now, later):
    """Wood Handbook, FPL-GTR-282, eq. 13-2, with C_T 0.00248 of Table 13-5 for black cherry."""
    width = lengths.length_mm(packets("spoon").head["width"])
    found = head_change(tmp_path, now, later)
    assert found == pytest.approx(width * 0.00248 * (later - now), abs=1e-6)


@pytest.mark.parametrize(("now", "later"), [(18, 8), (9, 5.9)])
def test_moisture_by_quadrature(packets, tmp_path, now, later):
    """Wood Handbook eq. 13-3 is the exact integral of constant shrinkage per cent of moisture.

    dD/dM = D_green * S / (30 * 100), D(M) = D_green * (1 - S/100 * (30 - M) / 30).
    """
    shrinkage = 7.1
    size = lambda m: 1 - shrinkage / 100 * (30 - m) / 30
    rate = lambda m: shrinkage / 3000 / size(now)
    part, _ = integrate.quad(rate, now, later)
    width = lengths.length_mm(packets("spoon").head["width"])
    assert head_change(tmp_path, now, later) == pytest.approx(width * part, abs=1e-4)


def test_a_packet_says_one_change_of_the_head(packet):
    """The rule's figure is that of the sizes across the grain: the change along the rings."""
    figure = packet.json["checks"]["figures"]["moisture_head_width_change_mm"]
    (head,) = [size for size in packet.json["movement"] if size["what"] == "head width"]
    assert figure == pytest.approx(head["use_tangential_mm"] - head["now_mm"], abs=2e-5)


def test_the_reach_maps_are_pictures_with_something_on_them(packet):
    for face in ("top", "bottom"):
        data = (packet.folder / f"reach-{face}.png").read_bytes()
        assert data[:8] == b"\x89PNG\r\n\x1a\n"
        assert len(data) > 1500


def test_each_rule_has_a_line_and_the_examples_no_fault(packet):
    rules = packet.json["checks"]["rules"]
    assert len(rules) >= 10
    assert {rule["verdict"] for rule in rules} <= {"good", "caution", "accepted"}
    assert all(rule["says"] for rule in rules)


@pytest.mark.parametrize("name", ["comb-fork", "deep-ladle", "paper-turner"])
def test_the_notes_say_what_each_failing_design_is_told(name):
    design = ROOT / f"params/designs/failing/{name}.toml"
    told = subprocess.run(
        [PROGRAM, "check", design, "--board", ROOT / "params/boards/cherry.toml"]
        + ["--shop", ROOT / "params/shop.toml", "--json"],
        capture_output=True,
        text=True,
    )
    assert told.returncode == 1, told.stderr
    findings = json.loads(told.stdout)["findings"]
    said = (ROOT / "docs/checks.md").read_text(encoding="utf-8").split(f"**{name}**")[1].split("**")[0]
    lines = [line for line in said.splitlines() if line.startswith("- ")]
    assert lines == [f"- {f['severity']} `{f['code']}`: {f['message']}" for f in findings]
