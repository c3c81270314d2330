#!/usr/bin/env python3
"""Reads a DXF with ezdxf (an independent DXF library), audits it, and prints what is in it as JSON.

Usage: dxf_read.py FILE.dxf [...]

For each file: release, units ($INSUNITS), measurement ($MEASUREMENT), audit (errors and fixes), and
for each layer its polylines (closed, vertices, arcs, bulge_most, area, length, bounds,
crosses_itself, valid, segment_least), circles and texts. Lengths and areas are in the file's own unit.
Areas and lengths of arcs are exact (circle segments on top of the chords' polygon); crossings are
judged by shapely on chords within a thousandth of a millimetre of the arcs.

Needs: ezdxf, shapely. Exit status 1 if an audit finds errors.
"""

import json
import math
import sys

import ezdxf
import ezdxf.math
from shapely.geometry import LinearRing, LineString, Polygon

MM = {1: 25.4, 4: 1.0}


def polyline(entity, unit):
    points = [(x, y, bulge) for x, y, bulge in entity.get_points("xyb")]
    closed = bool(entity.closed)
    ends = list(zip(points, points[1:] + points[:1])) if closed else list(zip(points, points[1:]))
    area = length = 0.0
    arcs = 0
    chords = []
    error = 0.001 / MM.get(unit, 1.0)
    for (x0, y0, bulge), (x1, y1, _) in ends:
        chord = math.hypot(x1 - x0, y1 - y0)
        area += (x0 * y1 - x1 * y0) / 2
        chords.append((x0, y0))
        if bulge == 0:
            length += chord
            continue
        arcs += 1
        centre, start, end, radius = ezdxf.math.bulge_to_arc((x0, y0), (x1, y1), bulge)
        sweep = 4 * math.atan(bulge)
        length += abs(sweep) * radius
        area += radius * radius / 2 * (sweep - math.sin(sweep))
        from_angle = math.atan2(y0 - centre.y, x0 - centre.x)
        step = 2 * math.acos(max(0.0, 1 - min(1.0, error / radius)))
        count = max(1, math.ceil(abs(sweep) / max(step, 1e-6)))
        for k in range(1, count):
            angle = from_angle + sweep * k / count
            chords.append((centre.x + radius * math.cos(angle), centre.y + radius * math.sin(angle)))
    if not closed and points:
        chords.append(points[-1][:2])
    line = None
    if closed and len(chords) > 2:
        line = LinearRing(chords)
    elif len(chords) > 1:
        line = LineString(chords)
    return {
        "closed": closed,
        "vertices": len(points),
        "arcs": arcs,
        "bulge_most": max((abs(p[2]) for p in points), default=0.0),
        "area": area if closed else 0.0,
        "length": length,
        "bounds": list(line.bounds) if line is not None else None,
        "crosses_itself": not line.is_simple if line is not None else None,
        "valid": Polygon(chords).is_valid if closed and len(chords) > 2 else None,
        "segment_least": min((math.hypot(b[0] - a[0], b[1] - a[1]) for a, b in ends), default=0.0),
    }


def read(path):
    document = ezdxf.readfile(path)
    audit = document.audit()
    unit = document.header.get("$INSUNITS", 0)
    layers = {
        layer.dxf.name: {"polylines": [], "circles": [], "texts": [], "others": []}
        for layer in document.layers
    }
    for entity in document.modelspace():
        declared = entity.dxf.layer in layers
        layer = layers.setdefault(
            entity.dxf.layer, {"polylines": [], "circles": [], "texts": [], "others": []}
        )
        layer["declared"] = declared
        kind = entity.dxftype()
        if kind == "LWPOLYLINE":
            layer["polylines"].append(polyline(entity, unit))
        elif kind == "CIRCLE":
            centre = entity.dxf.center
            layer["circles"].append({"centre": [centre.x, centre.y], "radius": entity.dxf.radius})
        elif kind == "TEXT":
            at = entity.dxf.insert
            words = ezdxf.decode_dxf_unicode(entity.dxf.text)
            layer["texts"].append(
                {"at": [at.x, at.y], "height": entity.dxf.height, "text": words}
            )
        else:
            layer["others"].append(kind)
    return {
        "file": path,
        "release": document.dxfversion,
        "units": unit,
        "measurement": document.header.get("$MEASUREMENT"),
        "audit": {
            "errors": [f"{e.code}: {e.message}" for e in audit.errors],
            "fixes": [f"{e.code}: {e.message}" for e in audit.fixes],
        },
        "layers": layers,
    }


def main():
    files = [read(path) for path in sys.argv[1:]]
    json.dump(files if len(files) != 1 else files[0], sys.stdout, indent=1, ensure_ascii=False)
    print()
    return 1 if any(f["audit"]["errors"] for f in files) else 0


if __name__ == "__main__":
    sys.exit(main())
