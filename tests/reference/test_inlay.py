"""Recess and plug against brute force: no formula of the product's, its files only."""

import re

import ezdxf
import inlay_read
import lengths
import numpy as np
import shapely
import trimesh
from conftest import DXF_UNIT_MM

# What both meshes may be off together, upright: the inlay's own and the body's.
MESH_MM = 0.01
FIT_MM = 0.02


def test_the_art_lies_where_the_design_says(inlay):
    inlay_read.same_art(inlay, inlay.packet.to_setup(inlay.side))


def test_the_recess_is_the_deepest_that_a_vee_may_go(inlay):
    plan = inlay.places(6000, 0.01)
    floor = inlay.face(plan) - inlay.length("depth", "2 mm")
    exact = np.maximum(inlay.deepest(plan), floor)
    off = np.abs(inlay.recess(plan) - exact)
    inlay_read.near(off, MESH_MM)
    assert (exact > floor + 0.05).sum() > 300 and (exact <= floor).sum() > 300, "walls and floor"


def test_outside_the_art_the_recess_is_the_face(inlay):
    x0, y0, x1, y1 = inlay.art.bounds
    rng = np.random.default_rng(3)
    plan = rng.uniform((x0 - 1, y0 - 1), (x1 + 1, y1 + 1), (3000, 2))
    plan = plan[~shapely.contains_xy(inlay.art.buffer(0.02), plan[:, 0], plan[:, 1])]
    off = np.abs(inlay.recess(plan) - inlay.face(plan))
    assert np.isfinite(off).sum() > 500
    assert np.nanmax(off) < MESH_MM


def test_the_plug_goes_into_its_recess_with_the_gaps_asked_for(inlay):
    plan = inlay.places(6000, 0.02)
    recess, plug, face = inlay.recess(plan), inlay.plug(plan), inlay.face(plan)
    inside = plug < face
    assert inside.mean() > 0.9, "the plug fills the recess"
    gap = (plug - recess)[inside]
    assert gap.min() > -FIT_MM, "no interference"
    depth, under = inlay.length("depth", "2 mm"), inlay.length("under", "0.2 mm")
    floor = face - depth
    deep = inlay.deepest(plan)
    # Square to a flank of half angle a, an upright gap counts by sin a.
    sine = inlay.t / np.hypot(1, inlay.t)
    lift = inlay.length("gap", "0.02 mm") / sine
    flank = inside & (deep > floor + under)
    foot = inside & (deep + lift < floor)
    assert flank.sum() > 500 and foot.sum() > 500
    square = (plug - recess)[flank] * sine
    assert np.abs(square - inlay.length("gap", "0.02 mm")).max() < FIT_MM
    assert np.abs((plug - recess)[foot] - under).max() < FIT_MM
    said = inlay.json["plug"]
    assert abs(said["flank_gap_least_mm"] - square.min()) < FIT_MM
    assert abs(said["foot_gap_most_mm"] - (plug - recess)[foot].max()) < FIT_MM


def test_a_vee_along_its_line_and_a_flat_cutter_leave_the_recess(inlay):
    """A height map of what the tipped vee sweeps along vee.dxf, never lower than the recess."""
    document = ezdxf.readfile(inlay.packet.folder / inlay.folder / "vee.dxf")
    scale = DXF_UNIT_MM[document.header["$INSUNITS"]]
    back = np.linalg.inv(inlay.packet.to_setup(inlay.side))
    tips = []
    for line in document.modelspace().query("POLYLINE"):
        assert line.is_3d_polyline
        corners = np.array([v.dxf.location for v in line.vertices], float) * scale
        corners = corners @ back[:3, :3].T + back[:3, 3]
        if line.is_closed:
            corners = np.vstack([corners, corners[:1]])
        for a, b in zip(corners, corners[1:]):
            count = max(int(np.hypot(*(b - a)[:2]) / 0.02), 1)
            tips.append(a + (b - a) * np.linspace(0, 1, count, endpoint=False)[:, None])
    tips = np.vstack(tips)
    half = inlay.length("tip", "0.1 mm") / 2
    plan = inlay.places(2500, 0.05)
    left = inlay.face(plan).copy()
    for start in range(0, len(plan), 200):
        p = plan[start : start + 200]
        far = np.hypot(p[:, None, 0] - tips[None, :, 0], p[:, None, 1] - tips[None, :, 1])
        swept = (tips[None, :, 2] * inlay.up + np.maximum(far - half, 0) / inlay.t).min(1)
        left[start : start + 200] = np.minimum(left[start : start + 200], swept)
    recess = inlay.recess(plan)
    # On a floor that slopes, the flat of the tip digs in on one side by half its width times the slope.
    step = 0.05
    slope = np.hypot(
        *(inlay.face(plan + way) - inlay.face(plan - way) for way in (np.array([step, 0]), np.array([0, step])))
    ) / (2 * step)
    assert (left - recess + half * slope).min() > -FIT_MM, "the vee cuts nothing that should stay"
    # The walls are done; on the floor the flat cutter follows.
    wall = inlay.deepest(plan) > inlay.face(plan) - inlay.length("depth", "2 mm") + 0.05
    over = (left - recess)[wall]
    assert over.max() <= inlay.json["tip_leaves_mm"] + FIT_MM
    assert np.median(over) < FIT_MM, "only corners are left to the tip"


def test_the_models_are_sound_and_their_volumes_are_as_told(inlay):
    for name in ("recess.stl", "plug/relief.stl"):
        mesh = inlay.packet.mesh(f"{inlay.folder}/{name}")
        assert trimesh.Trimesh(mesh.vertices, mesh.faces, process=True).is_watertight, name
        assert mesh.volume > 0
    plan = inlay.places(40000, 0.0, seed=7)
    deep = inlay.face(plan) - inlay.recess(plan)
    estimate = deep.mean() * inlay.art.area
    assert abs(inlay.json["recess_mm3"] - estimate) < 0.02 * estimate


def test_what_is_sawn_off_clears_the_face(inlay):
    """The plate's underside lies over the whole body by what is proud and a kerf at least."""
    plug = inlay.packet.mesh(f"{inlay.folder}/plug/relief.stl")
    back = np.linalg.inv(np.array(inlay.json["plug"]["design_to_plug"], float))
    points = plug.vertices @ back[:3, :3].T + back[:3, 3]
    heights = np.round(points[:, 2] * inlay.up, 4)
    # All border corners of the underside lie on the plate.
    levels, counts = np.unique(heights, return_counts=True)
    plate = levels[:-1][counts[:-1].argmax()]
    x0, y0 = points.min(0)[:2]
    x1, y1 = points.max(0)[:2]
    x, y = np.meshgrid(np.arange(x0, x1, 0.5), np.arange(y0, y1, 0.5))
    face = inlay.face(np.column_stack([x.ravel(), y.ravel()]))
    proud = inlay.length("proud", "1 mm")
    assert np.nanmax(face) + proud + 0.5 < plate
    lowest = heights.min()
    assert abs((plate - lowest) - inlay.json["plug"]["deep_mm"]) < 0.01


def test_the_plug_s_board_is_held_at_both_ends(inlay):
    """The bolts stand off the board, in the middle of its ends, and nothing that is carved comes near the lips."""
    plug = inlay.json["plug"]
    board = lengths.read(inlay.design_folder / inlay.asked["board"])["board"]
    long, wide = (lengths.length_mm(board[key]) for key in ("length", "width"))
    (x0, y0), (x1, y1) = plug["bolts_mm"]
    assert x0 < -3 and x1 > long + 3, "beside the board"
    assert abs(x0 + x1 - long) < 1e-3 and y0 == y1 and abs(y0 - wide / 2) < 2.001
    lip = inlay.packet.json["shop"]["hold_down"]["lip_mm"]
    carved = inlay.packet.drawing(f"{inlay.folder}/plug/limit.dxf").paths
    xs = [x for _, corners in carved for x, _, _ in corners]
    assert min(xs) > lip and max(xs) < long - lip


def test_the_sheet_shows_plug_and_recess_cut_across(inlay):
    """To scale: the saw's line over the face by what is said, the recess as deep as it was asked."""
    page = (inlay.packet.folder / "sheet.html").read_text(encoding="utf-8")
    drawing = re.search(r'<svg[^>]*aria-label="Cut across the piece through the plug[^"]*"[^>]*>.*?</svg>', page, re.S)
    assert drawing, "the cut is there"
    text = drawing.group()
    scale = float(re.search(r"Scale (\d+) : 1", text).group(1))
    dashed = re.findall(r'<path d="(M[^"]*)" stroke-width="0.25" stroke-dasharray="([^"]*)"', text)

    def points(d):
        return np.array([[float(v) for v in p.split()] for p in re.findall(r"[ML]([-\d. ]+)", d)])

    face = points(next(d for d, dashes in dashed if dashes == "3 .75"))
    saw = points(next(d for d, dashes in dashed if dashes.startswith("6 .75 .125 .75 .125")))
    proud, depth = inlay.length("proud", "1 mm"), inlay.length("depth", "2 mm")
    assert np.ptp(saw[:, 1]) == 0
    # The plate clears the highest face under all of it; here it may be lower.
    over = (face[:, 1].min() - saw[0, 1]) / scale
    said = float(re.search(r"proud here ([\d.]+)", text).group(1))
    assert over > proud - 0.01 and abs(over - said) < 0.06, (over, said)
    width = np.ptp(face[:, 0]) / scale
    cut = re.search(r"Cut at ([\d.]+)", text)
    assert cut and 5 < width < 40
    # The recess is as deep as asked: the lowest of the wide line under the face.
    wide = [points(d) for d in re.findall(r'<path d="(M[^"]*Z)" stroke-width="0.5"', text)]
    piece = wide[0]
    on = np.interp(piece[:, 0], face[::-1, 0], face[::-1, 1]) if face[0, 0] > face[-1, 0] else np.interp(
        piece[:, 0], face[:, 0], face[:, 1]
    )
    upper = piece[: len(face)]
    deepest = (upper[:, 1] - on[: len(face)]).max() / scale
    assert abs(deepest - depth) < 0.02, deepest
