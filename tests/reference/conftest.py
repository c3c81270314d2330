"""Packets of the shipped designs, built once, read by everything else."""

import fcntl
import json
import os
import shutil
import subprocess
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

import ezdxf
import lengths
import measure
import numpy as np
import pytest
import trimesh

ROOT = Path(__file__).resolve().parents[2]
TARGET = Path(os.environ.get("CARGO_TARGET_DIR", ROOT / "target"))
PROGRAM = Path(os.environ.get("TREENWRIGHT", TARGET / "release" / "treenwright"))
BOARDS = {"spoon": "cherry", "fork": "beech", "turner": "pear"}
SET = [ROOT / f"params/designs/harvest-{kind}.toml" for kind in BOARDS]
SET_BOARD = ROOT / "params/boards/pear-wide.toml"

# DXF Reference, header variable $INSUNITS: 1 inches, 4 millimetres.
DXF_UNIT_MM = {1: 25.4, 4: 1.0}


def build(kind, out, *more):
    """One packet of a shipped design by the program itself."""
    return build_design(ROOT / f"params/designs/harvest-{kind}.toml", BOARDS[kind], out, *more)


def build_design(design, board, out, *more):
    """One packet of a design file on a shipped board by the program itself."""
    command = [
        PROGRAM,
        "build",
        design,
        "--board",
        ROOT / f"params/boards/{board}.toml",
        "--shop",
        ROOT / "params/shop.toml",
        "--out",
        out,
        *more,
    ]
    done = subprocess.run([str(part) for part in command], capture_output=True, text=True)
    assert done.returncode == 0, f"{' '.join(map(str, command))}\n{done.stdout}{done.stderr}"
    assert (Path(out) / "packet.json").is_file(), f"{PROGRAM} wrote no packet"
    return out


@dataclass(frozen=True)
class Drawing:
    """A DXF file: closed paths by layer, in mm."""

    document: ezdxf.document.Drawing
    scale: float

    @cached_property
    def polylines(self):
        return list(self.document.modelspace().query("LWPOLYLINE"))

    @cached_property
    def paths(self):
        """Pairs of layer and corners (x, y, bulge) in mm."""
        return [
            (
                line.dxf.layer,
                [(x * self.scale, y * self.scale, b) for x, y, b in line.get_points("xyb")],
            )
            for line in self.polylines
        ]


class Packet:
    """A packet folder and what it was made from."""

    def __init__(self, kind, folder):
        self.kind = kind
        self.folder = Path(folder)
        self._meshes = {}

    @cached_property
    def asked(self):
        """The design file, read here."""
        return lengths.read(ROOT / f"params/designs/harvest-{self.kind}.toml")

    @cached_property
    def json(self):
        return json.loads((self.folder / "packet.json").read_text(encoding="utf-8"))

    @cached_property
    def files(self):
        return sorted(p.relative_to(self.folder).as_posix() for p in self.folder.rglob("*") if p.is_file())

    def mesh(self, name):
        """An STL file with equal corners made one, nothing else touched."""
        if name not in self._meshes:
            soup = trimesh.load_mesh(self.folder / name, process=False)
            corners = np.asarray(soup.vertices, np.float32).reshape(-1, 3)
            points, index = np.unique(corners, axis=0, return_inverse=True)
            triangles = index.reshape(-1)[np.asarray(soup.faces)]
            self._meshes[name] = trimesh.Trimesh(points.astype(float), triangles, process=False)
        return self._meshes[name]

    def upright(self, name):
        key = ("upright", name)
        if key not in self._meshes:
            mesh = self.mesh(name)
            self._meshes[key] = measure.Upright(mesh.vertices, mesh.faces)
        return self._meshes[key]

    def outline(self):
        """The body's plan from the mesh, worked out once: it is a union of all its triangles."""
        return self._outline_parts

    @cached_property
    def _outline_parts(self):
        mesh = self.mesh("body.stl")
        return measure.silhouette(mesh.vertices, mesh.faces)

    def to_setup(self, setup):
        """4 × 4, from the design's frame to the setup's."""
        return np.array(self.json["setups"][setup]["design_to_setup"], float).reshape(4, 4)

    def drawing(self, name):
        document = ezdxf.readfile(self.folder / name)
        return Drawing(document, DXF_UNIT_MM[document.header["$INSUNITS"]])

    @property
    def head(self):
        return self.asked["blade" if self.kind == "turner" else "bowl"]

    @property
    def length(self):
        return lengths.length_mm(self.asked["utensil"]["length"])

    @property
    def neck(self):
        """Where handle and head meet."""
        return self.length - lengths.length_mm(self.head["length"])


@pytest.fixture(scope="session")
def once(tmp_path_factory):
    """Gives the folder of that name, filled by `fill(folder)` once in a run: by whichever worker asks
    first, while the others wait for it."""
    base = tmp_path_factory.getbasetemp()
    shared = (base.parent if "PYTEST_XDIST_WORKER" in os.environ else base) / "once"
    shared.mkdir(exist_ok=True)

    def get(name, fill):
        folder, filled = shared / name, shared / f"{name}.filled"
        with open(shared / f"{name}.lock", "w") as lock:
            fcntl.flock(lock, fcntl.LOCK_EX)
            if not filled.exists():
                shutil.rmtree(folder, ignore_errors=True)
                fill(folder)
                filled.touch()
        return folder

    return get


@pytest.fixture(scope="session")
def packets(once):
    """A packet by kind, at the default tolerance or another; each is built once."""
    made = {}

    def get(kind, tolerance=None):
        if (kind, tolerance) not in made:
            more = ("--tolerance", tolerance) if tolerance else ()
            name = f"{kind}-{(tolerance or 'default').split()[0]}"
            made[kind, tolerance] = Packet(kind, once(name, lambda out: build(kind, out, *more)))
        return made[kind, tolerance]

    return get


@pytest.fixture(scope="session")
def set_folder(once):
    """The packet of all three designs on one board."""
    return once("set", build_set)


def build_set(out):
    command = [PROGRAM, "build", *SET, "--board", SET_BOARD, "--shop", ROOT / "params/shop.toml", "--out", out]
    done = subprocess.run([str(part) for part in command], capture_output=True, text=True)
    assert done.returncode == 0, done.stdout + done.stderr


@pytest.fixture(scope="session", params=list(BOARDS))
def kind(request):
    return request.param


@pytest.fixture(scope="session")
def packet(packets, kind):
    """At the default tolerance."""
    return packets(kind)


@pytest.fixture(scope="session")
def fine(packets, kind):
    """At 0.005 mm, for measures that the mesh's own error should not touch."""
    return packets(kind, "0.005 mm")


@pytest.fixture(scope="session", params=["wheat", "below"])
def inlay(once, request, tmp_path_factory):
    """An inlay: the shipped one, and an apple in the underside."""
    import inlay_read

    design = inlay_read.DESIGN
    if request.param == "below":
        design = inlay_read.with_inlay(tmp_path_factory.mktemp("below") / "below.toml", inlay_read.BELOW)
    folder = once(f"inlay-{request.param}", lambda out: inlay_read.build_file(design, out))
    return inlay_read.Inlay(Packet(request.param, folder), lengths.read(design), design.parent)
