"""The STEP files before an independent B-rep kernel (OCCT, through OCP)."""

import re

import pytest
from OCP.BRep import BRep_Builder, BRep_Tool
from OCP.BRepBndLib import BRepBndLib
from OCP.Bnd import Bnd_Box
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeVertex
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.BRepExtrema import BRepExtrema_DistShapeShape
from OCP.BRepGProp import BRepGProp
from OCP.GProp import GProp_GProps
from OCP.IFSelect import IFSelect_ReturnStatus
from OCP.STEPControl import STEPControl_Reader
from OCP.TopAbs import TopAbs_ShapeEnum
from OCP.TopExp import TopExp_Explorer
from OCP.TopoDS import TopoDS_Compound
from OCP.gp import gp_Pnt


def parts(shape, kind):
    explorer = TopExp_Explorer(shape, kind)
    found = []
    while explorer.More():
        found.append(explorer.Current())
        explorer.Next()
    return found


def read(path):
    """The one solid of a file."""
    reader = STEPControl_Reader()
    assert reader.ReadFile(str(path)) == IFSelect_ReturnStatus.IFSelect_RetDone
    reader.TransferRoots()
    shape = reader.OneShape()
    solids = parts(shape, TopAbs_ShapeEnum.TopAbs_SOLID)
    assert len(solids) == 1
    shells = parts(shape, TopAbs_ShapeEnum.TopAbs_SHELL)
    assert len(shells) == 1
    assert BRep_Tool.IsClosed_s(shells[0])
    assert BRepCheck_Analyzer(shape).IsValid()
    return solids[0]


def volume(solid):
    # The default integration errs by 1e-3 on these surfaces; 1e-5 is asked for instead.
    properties = GProp_GProps()
    BRepGProp.VolumeProperties_s(solid, properties, 1e-5, False, False)
    return properties.Mass()


def off_faces(solid, points):
    """How far each point is from the solid's faces, as the kernel has it."""
    faces, builder = TopoDS_Compound(), BRep_Builder()
    builder.MakeCompound(faces)
    for face in parts(solid, TopAbs_ShapeEnum.TopAbs_FACE):
        builder.Add(faces, face)
    vertex = lambda p: BRepBuilderAPI_MakeVertex(gp_Pnt(*map(float, p))).Vertex()
    return [BRepExtrema_DistShapeShape(vertex(point), faces).Value() for point in points]


@pytest.fixture(scope="session")
def body(packet):
    return read(packet.folder / "body.step")


def test_body_is_one_valid_solid_of_the_mesh_size(packet, body):
    box = Bnd_Box()
    BRepBndLib.AddOptimal_s(body, box, False, False)
    low, high = box.CornerMin(), box.CornerMax()
    least, most = packet.mesh("body.stl").bounds
    assert (low.X(), low.Y(), low.Z()) == pytest.approx(tuple(least), abs=0.03)
    assert (high.X(), high.Y(), high.Z()) == pytest.approx(tuple(most), abs=0.03)


def test_volume_agrees_with_a_fine_mesh(packet, packets, body):
    # A mesh with its corners on the surface is short where the surface bulges and over where it is
    # hollow; the difference goes with the square of the edges, so with 1 / triangles. Two meshes
    # give what is left out.
    coarse, fine = (packets(packet.kind, t).mesh("body.stl") for t in ("0.005 mm", "0.002 mm"))
    n, m = len(coarse.faces), len(fine.faces)
    limit = (m * fine.volume - n * coarse.volume) / (m - n)
    exact = volume(body)
    print(f"{packet.kind}: STEP {exact:.3f}, mesh {fine.volume:.3f}, drawn out {limit:.3f} mm³")
    assert fine.volume == pytest.approx(exact, rel=5e-4)
    assert limit == pytest.approx(exact, rel=1e-4)


def test_volume_agrees_with_the_list(packet, body):
    # Within the mesh's error times its area: the list may have been measured on the mesh.
    bound = packet.json["mesh"]["error_max_mm"] * packet.json["measured"]["body_area_mm2"]
    assert packet.json["measured"]["body_volume_mm3"] == pytest.approx(volume(body), abs=bound)


def test_hold_down_is_one_valid_solid(packet):
    solid = read(packet.folder / "workholding/hold-down.step")
    mesh = packet.mesh("workholding/hold-down.stl")
    # The hole's chords lie inside the circle, so the mesh keeps a little more wood.
    assert volume(solid) == pytest.approx(mesh.volume, rel=2e-3)
    assert len(parts(solid, TopAbs_ShapeEnum.TopAbs_FACE)) >= 9


@pytest.mark.parametrize("name", ["body.step", "workholding/hold-down.step"])
def test_header_is_in_order(packet, name):
    # ISO 10303-21:2016, 8.2: FILE_DESCRIPTION, FILE_NAME, FILE_SCHEMA, one of each, in that order.
    text = (packet.folder / name).read_bytes().decode("ascii")
    assert text.startswith("ISO-10303-21;")
    header = text[text.index("HEADER;") : text.index("ENDSEC;")]
    found = re.findall(r"(FILE_\w+)\s*\(", header)
    assert found == ["FILE_DESCRIPTION", "FILE_NAME", "FILE_SCHEMA"]
    assert "AUTOMOTIVE_DESIGN" in header, "AP214's schema"
    assert text.rstrip().endswith("END-ISO-10303-21;")
