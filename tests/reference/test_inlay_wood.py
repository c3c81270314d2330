"""Inlays as wood: recess and plug carved by their true cutters and put together, and what is left after the
clean-up. Height maps, written here."""

import numpy as np
import shapely

FIT_MM = 0.02
CELL_MM = 0.05
# The window that is carved, and what cutters may reach in from beyond it.
HALF_MM, ROUND_MM = 2.4, 1.7


def swept(model, reach, rise, up):
    """The least (up) or greatest over a cutter's form: `rise(r)` is how far its edge is over its tip."""
    cells = int(reach / CELL_MM)
    wide = np.pad(model, cells, mode="edge")
    out = np.full(model.shape, np.inf if up else -np.inf)
    rows, columns = model.shape
    for j in range(-cells, cells + 1):
        for i in range(-cells, cells + 1):
            far = np.hypot(i, j) * CELL_MM
            if far > reach:
                continue
            part = wide[cells + j : cells + j + rows, cells + i : cells + i + columns]
            if up:
                np.minimum(out, part + rise(far), out=out)
            else:
                np.maximum(out, part - rise(far), out=out)
    return out


def carved(model, inlay):
    """What the vee with its tip's flat and the flat cutter leave of a model, when each goes as deep as it can
    without cutting into it."""
    half = inlay.length("tip", "0.1 mm") / 2
    vee = (ROUND_MM, lambda far: max(far - half, 0.0) / inlay.t)
    name = inlay.asked.get("clear")
    flats = [c for c in inlay.packet.json["shop"]["cutters"] if c["form"] == "flat"]
    flat = next((c for c in flats if c["name"] == name), min(flats, key=lambda c: c["diameter_mm"]))
    flat = (flat["diameter_mm"] / 2, lambda far: 0.0)
    left = [swept(swept(model, *cutter, up=False), *cutter, up=True) for cutter in (vee, flat)]
    return np.minimum(*left)


def test_carved_by_their_cutters_recess_and_plug_mate(inlay):
    # Round the place of the outline where it turns most: its corners are what a tip's flat can't follow.
    outer = max(getattr(inlay.art, "geoms", [inlay.art]), key=lambda part: part.area).exterior.simplify(0.02)
    corners = np.array(outer.coords)[:-1]
    before, after = corners - np.roll(corners, 1, 0), np.roll(corners, -1, 0) - corners
    turn = np.arctan2(
        before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0], (before * after).sum(1)
    )
    for at in (corners[turn.argmax()], corners[turn.argmin()]):
        steps = np.arange(-HALF_MM - ROUND_MM, HALF_MM + ROUND_MM, CELL_MM)
        x, y = np.meshgrid(at[0] + steps, at[1] + steps)
        plan = np.column_stack([x.ravel(), y.ravel()])
        recess, plug, face = (map_(plan).reshape(x.shape) for map_ in (inlay.recess, inlay.plug, inlay.face))
        # Over the face the plug is sawn off; carved deeper than this the window would have to be larger.
        deep = np.nanmin(plug) + inlay.length("depth", "2 mm") + 1.0
        window = (np.abs(x - at[0]) < HALF_MM) & (np.abs(y - at[1]) < HALF_MM)
        window &= shapely.contains_xy(inlay.art, x, y) & np.isfinite(face) & np.isfinite(recess)
        own = carved(np.where(np.isfinite(recess), recess, np.nanmin(recess)), inlay)
        # Turned over, and back.
        other = -carved(-np.minimum(np.nan_to_num(plug, nan=deep), deep), inlay)
        window &= (other < face) & (own < face + FIT_MM)
        gap = (other - own)[window]
        assert window.sum() > 200
        # The tip's flat can't go into corners: there both are in each other's way, sideways by half of its width
        # at most. (A cell stands for its middle: on a flank the next one is this much higher.)
        cell = 0.5 * CELL_MM / inlay.t
        half = inlay.length("tip", "0.1 mm") / 2
        assert gap.min() * inlay.t > -half - cell * inlay.t - FIT_MM
        # In corners only: within half of the tip's width, and a cell, of a valley of the recess, or of a corner of
        # the outline, which is a valley of the plug where it turns away from the art.
        reach = half + 1.5 * CELL_MM
        hits = np.column_stack([x[window], y[window]])[gap < -FIT_MM]
        sharp = corners[np.abs(turn) > np.radians(20)]
        beside = np.array([np.hypot(*(sharp - p).T).min() for p in hits])
        lost = ~inlay.forks(hits, reach) & (beside > reach) if len(hits) else np.zeros(0, bool)
        print(f"{len(hits)} of {window.sum()} cells are in each other's way, {lost.sum()} of them in no corner")
        assert not lost.any(), hits[lost][:5]
        wanted = (plug - recess)[window]
        assert np.median(np.abs(gap - wanted)) < FIT_MM, "elsewhere both are as their models"


def test_after_the_clean_up_the_face_is_the_body_again(inlay):
    side = inlay.side
    name = inlay.packet.json["shop"]["work"]["finish"]
    cutter = next(c for c in inlay.packet.json["shop"]["cutters"] if c["name"] == name)
    assert cutter["form"] == "ball"
    radius = cutter["diameter_mm"] / 2
    # Where the cutter's centre goes: all over the art.
    setup = inlay.packet.to_setup(side)
    drawing = inlay.packet.drawing(f"{side}/limits.dxf")
    rings = [corners for layer, corners in drawing.paths if layer == "inlay-trim-centre"]
    assert len(rings) == 1
    region = shapely.Polygon([(px, py) for px, py, _ in rings[0]])
    art = shapely.transform(inlay.art, lambda p: p @ setup[:2, :2].T + setup[:2, 3])
    assert region.buffer(1e-3).contains(art)
    # The tip of the ball over the face, and what it leaves at places of the art.
    plan = inlay.places(250, 0.0, seed=5)
    turns = np.linspace(0, 2 * np.pi, 24, endpoint=False)
    rings = np.linspace(0.0, 0.95, 12) * radius
    around = np.array([(r * np.cos(a), r * np.sin(a)) for r in rings for a in turns])
    rise = radius - np.sqrt(radius**2 - (around**2).sum(1))

    def tip(centre):
        places = centre[:, None, :] + around[None]
        under = inlay.face(places.reshape(-1, 2)).reshape(len(centre), -1)
        return np.nanmax(under - rise, axis=1)

    best = np.full(len(plan), np.inf)
    for by, up in list(zip(around, rise))[::3]:
        best = np.minimum(best, tip(plan + by) + up)
    left = best - inlay.face(plan)
    assert left.max() < FIT_MM, "the ball comes down to the face all over the art"
    assert left.min() > -FIT_MM
    # And what it meets there is the plug: but for the room for glue at its flanks it fills all of the art.
    plan = inlay.places(6000, 0.0, seed=6)
    line = inlay.length("gap", "0.02 mm") * np.hypot(1, inlay.t)
    edge = shapely.distance(inlay.art.boundary, shapely.points(plan))
    missing = inlay.plug(plan) > inlay.face(plan)
    assert edge[missing].max(initial=0.0) < line + FIT_MM
    assert (edge < line).sum() > 20, "the line of glue was looked at"
