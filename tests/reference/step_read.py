"""Reads a STEP file with an independent B-rep kernel and prints what it found as JSON.

    python3 step_read.py FILE [FILE ...]

Needs PyPI cadquery-ocp-novtk (Open CASCADE Technology, LGPL-2.1 with exception; the binding is
Apache-2.0). One JSON object a file: `valid` is BRepCheck_Analyzer's verdict on the whole shape,
`closed` says that no shell has a free edge, lengths are in mm.
"""

import json
import sys

from OCP.Bnd import Bnd_Box
from OCP.BRep import BRep_Tool
from OCP.BRepBndLib import BRepBndLib
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.BRepGProp import BRepGProp
from OCP.GProp import GProp_GProps
from OCP.IFSelect import IFSelect_RetDone
from OCP.STEPControl import STEPControl_Reader
from OCP.ShapeAnalysis import ShapeAnalysis_Shell
from OCP.TopAbs import TopAbs_EDGE, TopAbs_FACE, TopAbs_SHELL, TopAbs_SOLID, TopAbs_VERTEX
from OCP.TopExp import TopExp
from OCP.collections import IndexedMap_TopoDS_Shape_TopTools_ShapeMapHasher as ShapeMap
from OCP.TopoDS import TopoDS

# Relative error of the adaptive integration; the default rule is off by several percent on
# faces of many spans.
EPS = 1e-5


def parts(shape, kind):
    found = ShapeMap()
    TopExp.MapShapes_s(shape, kind, found)
    return [found.FindKey(i + 1) for i in range(found.Extent())]


def cast(name, shape):
    return getattr(TopoDS, name)(shape)


def look(path):
    reader = STEPControl_Reader()
    if reader.ReadFile(path) != IFSelect_RetDone:
        return {"file": path, "valid": False, "error": "unreadable"}
    reader.TransferRoots()
    shape = reader.OneShape()
    if shape is None or shape.IsNull():
        return {"file": path, "valid": False, "error": "empty"}
    volume, area, box = GProp_GProps(), GProp_GProps(), Bnd_Box()
    error = BRepGProp.VolumeProperties_s(shape, volume, EPS, False, False)
    BRepGProp.SurfaceProperties_s(shape, area, EPS, False)
    BRepBndLib.AddOptimal_s(shape, box, False, False)
    tolerances = (
        [BRep_Tool.Tolerance_s(cast("Vertex", v)) for v in parts(shape, TopAbs_VERTEX)]
        + [BRep_Tool.Tolerance_s(cast("Edge", e)) for e in parts(shape, TopAbs_EDGE)]
        + [BRep_Tool.Tolerance_s(cast("Face", f)) for f in parts(shape, TopAbs_FACE)]
    )
    shells = parts(shape, TopAbs_SHELL)
    closed = bool(shells)
    for shell in shells:
        audit = ShapeAnalysis_Shell()
        audit.LoadShells(shell)
        closed = closed and not audit.CheckOrientedShells(shell, True) and not audit.HasFreeEdges()
    return {
        "file": path,
        "valid": BRepCheck_Analyzer(shape).IsValid(),
        "solids": len(parts(shape, TopAbs_SOLID)),
        "shells": len(shells),
        "faces": len(parts(shape, TopAbs_FACE)),
        "edges": len(parts(shape, TopAbs_EDGE)),
        "vertices": len(parts(shape, TopAbs_VERTEX)),
        "closed": closed,
        "volume_mm3": volume.Mass(),
        "volume_error_part": error,
        "area_mm2": area.Mass(),
        "box_mm": [list(box.CornerMin().Coord()), list(box.CornerMax().Coord())],
        "tolerance_least_mm": min(tolerances),
        "tolerance_greatest_mm": max(tolerances),
    }


if __name__ == "__main__":
    if len(sys.argv) < 2:
        sys.exit(__doc__)
    for name in sys.argv[1:]:
        print(json.dumps(look(name)))
