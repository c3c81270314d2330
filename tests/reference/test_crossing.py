"""No mesh of a packet passes through itself, is flat anywhere, or is in two pieces.

Known failures that this would have told: fins of no thickness on the flanks of tabs, up to 0.45 mm
through each other; triangles of 7e-7 mm beside slots.
"""

import os
import random

import crossings
import numpy as np
import pytest
import trimesh
from conftest import BOARDS
from test_carving import drawn, narrow_job, random_job

# What the tool promises: 32-bit floats place a corner 400 mm out to a hundred-thousandth.
FLATTEST_MM = 1e-5
# A plate holds several models.
PLATES = ("print-plate",)


def judge(packet):
    names = [name for name in packet.files if name.endswith(".stl")]
    assert len(names) >= 5, names
    said = []
    for name in names:
        mesh = packet.mesh(name)
        pairs = crossings.crossings(mesh.vertices, mesh.faces)
        least = crossings.heights(mesh.vertices, mesh.faces).min()
        where = mesh.vertices[mesh.faces[pairs[0, 0]]].mean(axis=0) if len(pairs) else ""
        if len(pairs):
            said.append(f"{name}: {len(pairs)} pairs of triangles cross, the first at {where}")
        if least < FLATTEST_MM:
            said.append(f"{name}: a triangle {least:.1e} mm high")
        if not (mesh.is_watertight and mesh.is_winding_consistent and mesh.volume > 0.0):
            said.append(f"{name}: not closed, or inside out")
        if mesh.body_count != 1 and not any(plate in name for plate in PLATES):
            said.append(f"{name}: {mesh.body_count} pieces")
    return said


def test_no_mesh_crosses_itself(packet):
    assert judge(packet) == []


LONG = int(os.environ.get("CROSSING_JOBS", "100" if "PROPTEST_CASES" in os.environ else "4"))


@pytest.mark.parametrize("seed", range(LONG))
def test_no_mesh_of_a_random_job_crosses_itself(seed, tmp_path):
    kind = list(BOARDS)[seed % len(BOARDS)]
    rng = random.Random(7000 + seed)
    job = narrow_job if seed % 2 else random_job
    assert judge(drawn(job, kind, rng, tmp_path)) == []


def found(*meshes):
    """The pairs in several meshes laid together as one."""
    whole = trimesh.util.concatenate(meshes)
    points = np.asarray(whole.vertices, np.float32).astype(float)
    return len(crossings.crossings(points, whole.faces))


def test_the_judge_knows_what_crosses():
    cube = trimesh.creation.box((2, 2, 2))
    ball = trimesh.creation.icosphere(subdivisions=3, radius=0.9)
    assert found(cube) == 0 and found(ball) == 0
    assert found(cube, ball) == 0, "the ball lies in the cube, and does not touch it"
    assert found(cube, ball.copy().apply_translation((0.5, 0, 0))) > 10
    # Just clear, and just not.
    assert found(cube, ball.copy().apply_translation((1.90001, 0, 0))) == 0
    assert found(cube, ball.copy().apply_translation((1.8999, 0, 0))) > 0
    # Face on face: in one plane, and turned in it.
    assert found(cube, cube.copy().apply_translation((2, 0.3, 0.1))) > 0
    assert found(cube, cube.copy().apply_translation((2.0001, 0.3, 0.1))) == 0


def test_the_judge_knows_a_fold():
    points = np.array([[0, 0, 0], [4, 0, 0], [0, 4, 0], [1, 1, 0], [5, 5, 0], [4, 4, 0]], float)
    pairs = lambda *triangles: len(crossings.crossings(points, np.array(triangles)))  # noqa: E731
    assert pairs([0, 1, 2], [1, 0, 3]) == 1, "folded back at an edge"
    assert pairs([0, 1, 2], [2, 1, 4]) == 0, "open at an edge"
    assert pairs([0, 1, 2], [0, 3, 5]) == 1, "across a corner"
    points[5] = (-4, 1, 0)
    points[3] = (-4, -1, 0)
    assert pairs([0, 1, 2], [0, 5, 3]) == 0, "at a corner alone"
    assert pairs([0, 1, 2], [0, 1, 2]) == 1, "one on the other"
