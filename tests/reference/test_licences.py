"""Every dependency is under a permissive licence and from crates.io, by deny.toml's own list."""

import json
import re
import subprocess
import tomllib

import pytest
from conftest import ROOT

RULES = tomllib.loads((ROOT / "deny.toml").read_text(encoding="utf-8"))
ALLOWED = set(RULES["licenses"]["allow"])


def allowed(expression):
    """Whether an SPDX expression can be met with the allowed licences. "/" is an old "OR"."""
    tokens = re.findall(r"\(|\)|AND|OR|[\w.+-]+(?: WITH [\w.-]+)?", expression.replace("/", " OR "))
    place = 0

    def one():
        nonlocal place
        token = tokens[place]
        place += 1
        if token != "(":
            return token in ALLOWED
        value = either()
        place += 1
        return value

    def both():
        nonlocal place
        value = one()
        while place < len(tokens) and tokens[place] == "AND":
            place += 1
            value = one() and value
        return value

    def either():
        nonlocal place
        value = both()
        while place < len(tokens) and tokens[place] == "OR":
            place += 1
            value = both() or value
        return value

    value = either()
    assert place == len(tokens), expression
    return value


@pytest.fixture(scope="session")
def packages():
    done = subprocess.run(
        ["cargo", "metadata", "--format-version", "1", "--locked"], cwd=ROOT, capture_output=True, text=True
    )
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)["packages"]


def test_expressions_are_read():
    assert allowed("MIT OR GPL-3.0")
    assert allowed("(MIT OR Apache-2.0) AND Unicode-3.0")
    assert allowed("MIT/Apache-2.0")
    assert allowed("Apache-2.0 WITH LLVM-exception")
    assert not allowed("MIT AND GPL-3.0")
    assert not allowed("LGPL-2.1-or-later")


def test_licences_are_permissive(packages):
    bad = [f"{p['name']}: {p['license']}" for p in packages if not p["license"] or not allowed(p["license"])]
    assert bad == []


def test_sources_are_crates_io(packages):
    registry = f"registry+{RULES['sources']['allow-registry'][0]}"
    bad = [p["name"] for p in packages if p["source"] not in (None, registry)]
    assert bad == []
    own = [p["name"] for p in packages if p["source"] is None]
    assert own == ["treenwright"]


def test_no_wildcard_versions(packages):
    own = next(p for p in packages if p["source"] is None)
    assert [d["name"] for d in own["dependencies"] if d["req"] == "*"] == []


def test_both_licences_are_here():
    assert "MIT" in (ROOT / "LICENSE-MIT").read_text() and "Apache License" in (ROOT / "LICENSE-APACHE").read_text()
