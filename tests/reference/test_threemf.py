"""The 3MF files before the format's own reference library (lib3mf)."""

import zipfile

import lib3mf
import numpy as np
import pytest

FILES = ["body.3mf", "workholding/hold-down.3mf"]


@pytest.mark.parametrize("name", FILES)
def test_reads_without_a_warning_as_one_closed_object(packet, name):
    model = lib3mf.get_wrapper().CreateModel()
    reader = model.QueryReader("3mf")
    reader.SetStrictModeActive(True)
    reader.ReadFromFile(str(packet.folder / name))
    assert [reader.GetWarning(i) for i in range(reader.GetWarningCount())] == []
    # 3MF Core Specification 1.4.0, 3.4: unit.
    assert model.GetUnit() == lib3mf.ModelUnit.MilliMeter
    objects = model.GetMeshObjects()
    assert objects.Count() == 1
    objects.MoveNext()
    mesh = objects.GetCurrentMeshObject()
    # 4.1: each edge shared by exactly one other triangle, in opposite order.
    assert mesh.IsManifoldAndOriented()
    items = model.GetBuildItems()
    assert items.Count() == 1
    points = np.array([p.Coordinates for p in mesh.GetVertices()])
    triangles = np.array([t.Indices for t in mesh.GetTriangleIndices()])
    assert len(np.unique(points, axis=0)) == len(points), "4.1.3: duplicate vertices"
    t = points[triangles].astype(float)
    volume = np.einsum("ij,ij->i", t[:, 0], np.cross(t[:, 1], t[:, 2])).sum() / 6
    stl = packet.mesh(name.replace(".3mf", ".stl"))
    assert volume == pytest.approx(stl.volume, rel=1e-6)
    assert len(triangles) == len(stl.faces)


@pytest.mark.parametrize("name", FILES)
def test_package_has_its_parts(packet, name):
    # 3MF Core Specification 1.4.0, 2.1.1: the 3D Model part, reached from the package's root.
    with zipfile.ZipFile(packet.folder / name) as package:
        assert package.testzip() is None
        names = package.namelist()
        assert "[Content_Types].xml" in names and "_rels/.rels" in names
        assert any(n.endswith(".model") for n in names)
        # The same bytes on every run: no clock in the archive.
        assert len({info.date_time for info in package.infolist()}) == 1
