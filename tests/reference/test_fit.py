"""The fit to a thickness against scipy's optimisers, on random gives, heights and weights.

The program is asked for heights, margins and walls of single designs only (`examples/fit_oracle.rs`;
other tests hold these against meshes); bounds, objective and search are scipy's and this file's own.
"""

import copy
import json
import os
import random
import subprocess

import lengths
import numpy as np
import pytest
from conftest import ROOT, TARGET
from scipy import optimize

CASES = int(os.environ.get("FIT_CASES", "40"))
# The shop's least wall, in mm; where the design itself has less, that.
WALL = lengths.length_mm(lengths.read(ROOT / "params/shop.toml")["limits"]["wall"])
# By design: keys that may give, with bounds as shares of what is asked.
KEYS = {
    "spoon": ["bowl.depth", "bowl.wall", "handle.curve", "handle.thickness", "utensil.edge", "bowl.length"],
    "fork": ["bowl.depth", "bowl.wall", "handle.curve", "handle.thickness", "utensil.length"],
    "turner": ["blade.thickness", "handle.curve", "handle.thickness", "blade.length"],
}
FIELD = {"handle.curve": "rise", "handle.thickness": "size"}


def toml(design):
    """A design as text, every section an inline table."""
    def value(v):
        if isinstance(v, dict):
            return "{ " + ", ".join(f'"{k}" = {value(w)}' for k, w in v.items()) + " }"
        if isinstance(v, list):
            return "[" + ", ".join(map(value, v)) + "]"
        return json.dumps(v)
    return "".join(f"{name} = {value(section)}\n" for name, section in design.items())


def moved(design, changes):
    """The design with dimensions changed by shares of what is asked."""
    design = copy.deepcopy(design)
    for key, change in changes.items():
        section, name = key.split(".")
        if key in FIELD:
            for station in design[section][name]:
                size = lengths.length_mm(station[FIELD[key]]) * (1 + change)
                station[FIELD[key]] = f"{size:.12f} mm"
        else:
            size = lengths.length_mm(design[section][name]) * (1 + change)
            design[section][name] = f"{size:.12f} mm"
    return design


class Oracle:
    def __init__(self):
        program = os.environ.get("FIT_ORACLE", TARGET / "release/examples/fit_oracle")
        if not os.path.exists(program):
            subprocess.run(
                ["cargo", "build", "--release", "--locked", "--quiet", "--example", "fit_oracle"], cwd=ROOT, check=True
            )
        self.process = subprocess.Popen([str(program)], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True)

    def ask(self, design, height=None):
        question = {"design": toml(design)}
        if height is not None:
            question["height"] = height
        self.process.stdin.write(json.dumps(question) + "\n")
        self.process.stdin.flush()
        return json.loads(self.process.stdout.readline())


@pytest.fixture(scope="module")
def oracle():
    oracle = Oracle()
    yield oracle
    oracle.process.stdin.close()
    oracle.process.wait()


def case(number):
    """A design with gives, and the height to lose."""
    dice = random.Random(number)
    kind = dice.choice(list(KEYS))
    design = lengths.read(ROOT / f"params/designs/harvest-{kind}.toml")
    keys = dice.sample(KEYS[kind], dice.randint(1, len(KEYS[kind])))
    bounds = {key: (dice.uniform(0.55, 0.95), dice.choice([1.0, dice.uniform(1.0, 1.2)])) for key in keys}
    weights = {key: round(10 ** dice.uniform(-1, 1), 3) for key in keys}
    design["give"] = {
        key: {"least": f"{100 * low:.9f} %", "most": f"{100 * high:.9f} %", "weight": weights[key]}
        for key, (low, high) in bounds.items()
    }
    return design, keys, bounds, weights, dice.uniform(0.1, 4.0)


def best(oracle, design, keys, bounds, weights, height, wall):
    """scipy's least cost, or None."""
    plain = {name: section for name, section in design.items() if name != "give"}
    known = {}

    def look(x):
        at = tuple(x)
        if at not in known:
            said = oracle.ask(moved(plain, dict(zip(keys, x))))
            if "heights" not in said:
                known[at] = [-10.0, -10.0, -10.0]
            else:
                low, high = said["heights"]
                now = said["wall"] if said["wall"] is not None else wall + 1
                known[at] = [height - (high - low), said["margin"], now - wall]
        return np.array(known[at])

    cost = lambda x: sum(weights[key] * change**2 for key, change in zip(keys, x))
    slope = lambda x: [2 * weights[key] * change for key, change in zip(keys, x)]
    limits = [(bounds[key][0] - 1, bounds[key][1] - 1) for key in keys]
    found = None
    ends = [np.array([end[i] for end in limits]) for i in (0, 1)]
    for start in (np.zeros(len(keys)), ends[0], 0.5 * ends[0]):
        result = optimize.minimize(
            cost, start, jac=slope, bounds=limits, method="SLSQP",
            constraints=[{"type": "ineq", "fun": look}], options={"maxiter": 200, "ftol": 1e-12},
        )
        if look(result.x).min() > -1e-6 and (found is None or result.fun < found):
            found = result.fun
    return found


@pytest.mark.parametrize("number", range(CASES))
def test_no_independent_optimiser_changes_less(oracle, number):
    design, keys, bounds, weights, less = case(number)
    asked = oracle.ask({name: section for name, section in design.items() if name != "give"})
    low, high = asked["heights"]
    height = high - low - less
    wall = min(WALL, asked["wall"]) if asked["wall"] is not None else 0.0
    ours = oracle.ask(design, height)
    independent = best(oracle, design, keys, bounds, weights, height, wall)
    if ours["lowest"] is not None:
        assert independent is None, f"said to be impossible, and scipy does it at {independent}"
        assert ours["lowest"] > height - 1e-6
        return
    changes = {key: ours["shares"].get(key, 0.0) for key in keys}
    for key, change in changes.items():
        assert bounds[key][0] - 1 - 1e-9 <= change <= bounds[key][1] - 1 + 1e-9
    fitted = oracle.ask({k: v for k, v in moved(design, changes).items() if k != "give"})
    # The text has 12 places, and each size its own rounding.
    assert fitted["heights"][1] - fitted["heights"][0] <= height + 1e-9
    assert fitted["margin"] >= -1e-9
    assert fitted["wall"] is None or fitted["wall"] >= wall - 1e-6
    assert ours["cost"] == pytest.approx(sum(weights[k] * c**2 for k, c in changes.items()), rel=1e-6, abs=1e-15)
    if independent is not None:
        assert ours["cost"] <= independent * 1.001 + 1e-12
