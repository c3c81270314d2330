"""The packet's meshes before independent libraries."""

import arcs
import manifold3d
import measure
import numpy as np
import pytest
import sizes

SOLIDS = ["body.stl", "finished.stl", "top/relief.stl", "bottom/relief.stl", "workholding/hold-down.stl"]


@pytest.mark.parametrize("name", SOLIDS)
def test_solid_is_closed_and_oriented(packet, name):
    # STL format (Bourke 1999): neighbours share two vertices, right-hand rule, normal outward.
    mesh = packet.mesh(name)
    assert mesh.is_watertight
    assert mesh.is_winding_consistent
    assert mesh.volume > 0.0
    assert mesh.body_count == 1
    solid = manifold3d.Manifold(
        manifold3d.Mesh(
            vert_properties=np.asarray(mesh.vertices, np.float32),
            tri_verts=np.asarray(mesh.faces, np.uint32),
        )
    )
    assert solid.status() == manifold3d.Error.NoError
    assert solid.genus() == (1 if "hold-down" in name else 0)
    # Manifold keeps float32 corners, and may collapse what is shorter than its own tolerance.
    assert solid.volume() == pytest.approx(mesh.volume, rel=1e-5)


@pytest.mark.parametrize("name", SOLIDS)
def test_stl_is_as_long_as_it_says(packet, name):
    # 80 bytes of header, 4 of count, 50 for each facet; the header does not begin with "solid"
    # (STL format, Bourke 1999).
    data = (packet.folder / name).read_bytes()
    count = int.from_bytes(data[80:84], "little")
    assert len(data) == 84 + 50 * count
    assert not data[:5].lower() == b"solid"
    facets = np.frombuffer(data[84:], np.dtype([("f", "<f4", 12), ("attribute", "<u2")]))
    assert not facets["attribute"].any()
    f = facets["f"].astype(float).reshape(-1, 4, 3)
    normal = np.cross(f[:, 2] - f[:, 1], f[:, 3] - f[:, 1])
    size = np.linalg.norm(normal, axis=1)
    assert (size > 0.0).all(), "a facet without area"
    given = np.linalg.norm(f[:, 0], axis=1)
    dot = np.einsum("ij,ij->i", f[:, 0], normal) / (size * np.where(given > 0, given, 1))
    big = (given > 0) & (size > 1e-4)
    assert (dot[big] > 0.99).all(), "a normal that is not by the right-hand rule"


def test_no_slivers(packet):
    mesh = packet.mesh("body.stl")
    least = measure.angle_least(mesh.vertices, mesh.faces)
    print(f"{packet.kind}: least angle {least:.3f}°, {len(mesh.faces)} triangles")
    assert packet.json["mesh"]["triangles"] == len(mesh.faces)
    # Corners in the file are float32: at 300 mm they are moved by up to 1.5e-5 mm.
    assert packet.json["mesh"]["angle_least_deg"] == pytest.approx(least, abs=0.1)
    assert least > 1.0


def test_measured_sizes_are_those_of_the_mesh(packet):
    mesh = packet.mesh("body.stl")
    measured = packet.json["measured"]
    extent = mesh.bounds[1] - mesh.bounds[0]
    for key, size in zip(("length_mm", "width_mm", "height_mm"), extent):
        assert measured[key] == pytest.approx(size, abs=0.05), key
    # A mesh with its corners on the surface differs in volume by at most error × area, whatever
    # the figure in the list was measured on.
    bound = packet.json["mesh"]["error_max_mm"] * mesh.area
    assert measured["body_volume_mm3"] == pytest.approx(mesh.volume, abs=bound)
    assert measured["body_area_mm2"] == pytest.approx(mesh.area, rel=2e-3)


def test_error_is_within_the_tolerance(packet, packets):
    assert packet.json["mesh"]["error_max_mm"] <= packet.json["mesh"]["tolerance_mm"] == 0.02
    fine = packets(packet.kind, "0.002 mm")
    assert fine.json["mesh"]["error_max_mm"] <= 0.002
    # The corners of the mesh at 0.002 mm lie on the surface; how far they are from the nearest
    # triangle of the coarse mesh is its error.
    coarse = packet.mesh("body.stl")
    points = np.asarray(fine.mesh("body.stl").vertices)
    rng = np.random.default_rng(1)
    points = points[rng.permutation(len(points))[:40000]]
    miss = measure.distance(points, coarse.vertices, coarse.faces, enough=0.02)
    print(f"{packet.kind}: greatest distance {miss.max():.5f} mm")
    # Corners are float32: 1.5e-5 mm at 300 mm.
    assert miss.max() <= 0.0201


def test_slots_take_wood_away_and_nothing_else(packet):
    body, finished = packet.mesh("body.stl"), packet.mesh("finished.stl")
    if packet.kind == "fork":
        assert finished.volume < body.volume - 500.0
    else:
        assert finished.volume == pytest.approx(body.volume, rel=1e-6)
    assert (finished.bounds[0] >= body.bounds[0] - 1e-4).all()
    assert (finished.bounds[1] <= body.bounds[1] + 1e-4).all()


def solid(mesh):
    return manifold3d.Manifold(
        manifold3d.Mesh(
            vert_properties=np.asarray(mesh.vertices, np.float32),
            tri_verts=np.asarray(mesh.faces, np.uint32),
        )
    )


@pytest.mark.parametrize("tolerance", [None, "0.005 mm", "0.1 mm"])
def test_finished_is_the_body_less_the_slots_prisms(packets, tolerance):
    packet = packets("fork", tolerance)
    body, finished = packet.mesh("body.stl"), packet.mesh("finished.stl")
    # The mesh's own chords: the slots' arcs are cut to within 0.01 mm.
    back = np.linalg.inv(packet.to_setup("bottom"))
    left = solid(body)
    slots = [path for name, path in packet.drawing("bottom/slots.dxf").paths if name == "slots"]
    assert len(slots) == packet.asked["tines"]["count"] - 1
    for path in slots:
        flat = np.array(arcs.flattened(path, 0.01))
        flat = (np.column_stack([flat, np.zeros(len(flat)), np.ones(len(flat))]) @ back.T)[:, :2]
        prism = manifold3d.CrossSection([flat], manifold3d.FillRule.NonZero).extrude(400.0)
        prism = prism if prism.volume() > 0 else manifold3d.CrossSection([flat[::-1]]).extrude(400.0)
        left -= prism.translate([0.0, 0.0, -200.0])
    made = solid(finished)
    assert made.status() == manifold3d.Error.NoError
    assert made.genus() == left.genus() == 0 and len(made.decompose()) == 1
    off = finished.volume / left.volume() - 1.0
    print(f"{tolerance}: {off:.1e} of the volume")
    assert abs(off) < 1e-6


@pytest.mark.parametrize("tolerance", [None, "0.005 mm", "0.1 mm"])
def test_slots_leave_no_triangle_without_height(packets, tolerance):
    # Round them there were triangles 7e-7 mm high in the file's 32-bit floats.
    mesh = packets("fork", tolerance).mesh("finished.stl")
    sides = np.linalg.norm(np.diff(mesh.triangles[:, [0, 1, 2, 0]], axis=1), axis=2)
    height = 2.0 * mesh.area_faces / sides.max(1)
    print(f"{tolerance}: least height {height.min():.2e} mm")
    assert height.min() > 1e-5


def test_capacity_is_what_the_hollow_holds(packet):
    if packet.kind != "spoon":
        assert "capacity_ml" not in packet.json["measured"]
        return
    # Summed over a grid of rays: what lies under the plane of the lowest rim.
    ray = packet.upright("body.stl")
    outline = packet.outline()[0]
    g = 0.25
    x0, y0, x1, y1 = outline.bounds
    x, y = np.meshgrid(np.arange(packet.neck, x1, g) + g / 2, np.arange(y0, y1, g) + g / 2)
    plan = np.column_stack([x.ravel(), y.ravel()])
    _, high = ray.span(plan)
    level = sizes.rim_plane(packet)
    held = np.clip(level - high, 0.0, None)
    assert packet.json["measured"]["capacity_ml"] == pytest.approx(np.nansum(held) * g * g / 1000, rel=0.02)
