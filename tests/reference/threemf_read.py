"""Reads a 3MF file with the 3MF Consortium's own library (PyPI `lib3mf`, BSD) and says what it saw.

    python threemf_read.py FILE -> one JSON object on standard output

Exit status 0 when the file was read without a warning and every object is closed and oriented.
Volume and bounds are summed here from the points that the library read, in the file's unit.
"""

import json
import sys

import lib3mf

UNITS = {0: "micron", 1: "millimeter", 2: "centimeter", 3: "inch", 4: "foot", 5: "meter"}


def main(path):
    wrapper = lib3mf.get_wrapper()
    model = wrapper.CreateModel()
    reader = model.QueryReader("3mf")
    reader.SetStrictModeActive(True)
    out = {"file": path, "valid": False, "warnings": []}
    try:
        reader.ReadFromFile(path)
    except Exception as error:  # the library's own error type, with its code in the text
        out["error"] = str(error)
        return out
    for i in range(reader.GetWarningCount()):
        out["warnings"].append(str(reader.GetWarning(i)))
    unit = model.GetUnit()
    out["unit"] = UNITS.get(getattr(unit, "value", unit), str(unit))
    objects = []
    meshes = model.GetMeshObjects()
    while meshes.MoveNext():
        mesh = meshes.GetCurrentMeshObject()
        points = [tuple(p.Coordinates) for p in mesh.GetVertices()]
        volume = 0.0
        for triangle in mesh.GetTriangleIndices():
            a, b, c = (points[i] for i in triangle.Indices)
            volume += (
                a[0] * (b[1] * c[2] - b[2] * c[1])
                - a[1] * (b[0] * c[2] - b[2] * c[0])
                + a[2] * (b[0] * c[1] - b[1] * c[0])
            ) / 6.0
        objects.append(
            {
                "name": mesh.GetName(),
                "manifold_and_oriented": mesh.IsManifoldAndOriented(),
                "points": mesh.GetVertexCount(),
                "triangles": mesh.GetTriangleCount(),
                "volume": volume,
                "low": [min(p[k] for p in points) for k in range(3)],
                "high": [max(p[k] for p in points) for k in range(3)],
            }
        )
    items = 0
    build = model.GetBuildItems()
    while build.MoveNext():
        items += 1
    out.update(objects=objects, build_items=items)
    out["valid"] = (
        not out["warnings"] and bool(objects) and all(o["manifold_and_oriented"] for o in objects)
    )
    return out


if __name__ == "__main__":
    if len(sys.argv) != 2:
        sys.exit("usage: threemf_read.py FILE")
    seen = main(sys.argv[1])
    print(json.dumps(seen, indent=1))
    sys.exit(0 if seen["valid"] else 1)
