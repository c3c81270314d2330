"""A page in headless Chromium, through its command line alone: what a script in it found."""

import html
import json
import re
import shutil
import subprocess
import tempfile
from pathlib import Path

NAMES = ("chromium", "chromium-browser", "google-chrome", "chrome")
PROGRAM = next((found for found in map(shutil.which, NAMES) if found), None)


def quiet(folder):
    """The program without a window, with a profile of its own in that folder and no traffic of its own."""
    return [
        PROGRAM,
        "--headless",
        "--no-sandbox",
        "--disable-gpu",
        "--no-first-run",
        "--disable-background-networking",
        "--disable-component-update",
        "--disable-sync",
        f"--user-data-dir={folder}/profile",
    ]


def ask(page, script):
    """Opens `page` (HTML text) with `script` (the body of an async function) and returns what it
    returns."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "page.html"
        ask = (
            "<script>(async () => {let found; try {found = await (async () => {"
            + script
            + "})()} catch (error) {found = {error: String(error)}}"
            "const out = document.createElement('pre'); out.id = 'found';"
            "out.textContent = JSON.stringify(found); document.body.append(out)})()</script>"
        )
        path.write_text(page.replace("</body>", ask + "</body>"), encoding="utf-8")
        done = subprocess.run(
            [
                *quiet(folder),
                "--window-size=1000,1400",
                "--virtual-time-budget=60000",
                "--dump-dom",
                path.as_uri(),
            ],
            capture_output=True,
            text=True,
            timeout=300,
        )
        found = re.search(r'<pre id="found">(.*?)</pre>', done.stdout, re.S)
        assert found, done.stdout[-500:] + done.stderr[-2000:]
        answer = json.loads(html.unescape(found[1]))
        assert not (isinstance(answer, dict) and "error" in answer), answer
        return answer


def printed(page, paper):
    """The bytes of the PDF that `page` (HTML text) is printed to, on `A4` or `Letter`."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "page.html"
        sized = page.replace("</head>", f"<style>@page{{size:{paper}}}</style></head>")
        path.write_text(sized, encoding="utf-8")
        out = Path(folder) / "page.pdf"
        subprocess.run(
            [
                *quiet(folder),
                "--no-pdf-header-footer",
                f"--print-to-pdf={out}",
                path.as_uri(),
            ],
            check=True,
            capture_output=True,
            timeout=300,
        )
        return out.read_bytes()
