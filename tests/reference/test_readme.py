"""The README's commands do what it says.

A block that begins with ```` ```sh tested ```` is run, line after line, in a folder that has
`params/` in it and the built program on the path."""

import os
import re
import shutil
import subprocess

from conftest import PROGRAM, ROOT

# Builds and this test itself: run by whoever runs this.
NOT_HERE = ("cargo ", "tests/run", "git ", "cd ")


def blocks():
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    return re.findall(r"^```sh tested\n(.*?)^```", text, re.S | re.M)


def test_the_sample_of_the_checks_is_what_the_tool_says():
    text = (ROOT / "docs/checks.md").read_text(encoding="utf-8")
    sample = re.search(r"For the harvest spoon on the cherry board:\n\n```\n(.*?)\n```", text, re.S)[1]
    files = ["params/designs/harvest-spoon.toml", "--board", "params/boards/cherry.toml", "--shop", "params/shop.toml"]
    done = subprocess.run([PROGRAM, "check", *files], cwd=ROOT, capture_output=True, text=True)
    assert sample in done.stdout + done.stderr


def test_there_are_commands():
    assert blocks(), "the README has no block that begins with ```sh tested"


def test_commands_run(tmp_path):
    shutil.copytree(ROOT / "params", tmp_path / "params")
    path = f"{PROGRAM.parent}{os.pathsep}{os.environ['PATH']}"
    for block in blocks():
        joined = block.replace("\\\n", " ")
        for line in filter(None, (line.strip() for line in joined.splitlines())):
            if line.startswith(("#", *NOT_HERE)):
                continue
            done = subprocess.run(
                ["bash", "-ec", line.replace("target/release/treenwright", "treenwright").replace("./treenwright", "treenwright")],
                cwd=tmp_path,
                env={**os.environ, "PATH": path},
                capture_output=True,
                text=True,
            )
            assert done.returncode == 0, f"{line}\n{done.stdout}{done.stderr}"


def test_pictures_are_there():
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    for link in re.findall(r"!\[[^\]]*\]\(([^)\s]+)", text):
        if not link.startswith("http"):
            assert (ROOT / link).is_file(), link
