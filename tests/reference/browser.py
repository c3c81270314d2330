"""Pages in one headless Chromium for all tests of a run: what a script in a page found, and what a
page prints.

The browser is spoken to by its own protocol over two pipes (`--remote-debugging-pipe`: JSON with a
zero byte after each message, fd 3 in, fd 4 out), so that no port is opened and no library is needed.
Each page is a new one, and closed after its answer.
"""

import atexit
import base64
import json
import os
import select
import shutil
import subprocess
import tempfile
import time
from contextlib import contextmanager
from pathlib import Path

import pytest
from conftest import TARGET

AXE = TARGET / "reference/node/node_modules/axe-core/axe.min.js"
NAMES = ("chromium", "chromium-browser", "google-chrome", "chrome")
PROGRAM = next((found for found in map(shutil.which, NAMES) if found), None)

# Seconds for one answer. A busy machine prints a long sheet slowly.
LONGEST = 300.0


class Browser:
    """Starts with the first page that is asked for, and ends with the run."""

    def __init__(self):
        self.folder = tempfile.TemporaryDirectory()
        to_child, self.out = os.pipe()
        self.back, from_child = os.pipe()
        command = [
            PROGRAM,
            "--headless",
            "--no-sandbox",
            "--disable-gpu",
            "--no-first-run",
            "--disable-background-networking",
            "--disable-component-update",
            "--disable-sync",
            "--window-size=1000,1400",
            f"--user-data-dir={self.folder.name}/profile",
            "--remote-debugging-pipe",
        ]
        # The program wants its pipes at 3 and 4, whatever their numbers are here.
        shell = f'exec "$@" 3<&{to_child} 4>&{from_child}'
        self.log = open(Path(self.folder.name) / "log", "wb")
        self.process = subprocess.Popen(
            ["bash", "-c", shell, "bash", *command],
            pass_fds=(to_child, from_child),
            stdin=subprocess.DEVNULL,
            stdout=self.log,
            stderr=self.log,
        )
        os.close(to_child)
        os.close(from_child)
        self.held, self.asked = b"", 0
        atexit.register(self.close)

    def close(self):
        os.close(self.out)
        self.process.terminate()
        self.process.wait(30)
        os.close(self.back)
        self.log.close()
        self.folder.cleanup()

    def message(self, until):
        """The next message from the browser."""
        while b"\0" not in self.held:
            ready, _, _ = select.select([self.back], [], [], max(until - time.monotonic(), 0.0))
            more = os.read(self.back, 1 << 20) if ready else b""
            if not more:
                log = (Path(self.folder.name) / "log").read_bytes()[-2000:].decode(errors="replace")
                raise RuntimeError(f"Chromium {'gave no answer' if not ready else 'ended'}: {log}")
            self.held += more
        first, _, self.held = self.held.partition(b"\0")
        return json.loads(first)

    def call(self, method, session=None, until_event=None, **fields):
        """The result of a command; with `until_event`, that event of the session is waited for too."""
        self.asked += 1
        said = {"id": self.asked, "method": method, "params": fields}
        if session:
            said["sessionId"] = session
        data = json.dumps(said).encode() + b"\0"
        while data:
            data = data[os.write(self.out, data) :]
        until = time.monotonic() + LONGEST
        result, seen = None, until_event is None
        while result is None or not seen:
            message = self.message(until)
            if message.get("id") == self.asked:
                assert "error" not in message, (method, message["error"])
                result = message["result"]
            elif message.get("method") == until_event and message.get("sessionId") == session:
                seen = True
        return result

    @contextmanager
    def page(self, text):
        """A session with a new page that shows `text`, fully loaded."""
        path = Path(self.folder.name) / "page.html"
        path.write_text(text, encoding="utf-8")
        target = self.call("Target.createTarget", url="about:blank")["targetId"]
        try:
            session = self.call("Target.attachToTarget", targetId=target, flatten=True)["sessionId"]
            self.call("Page.enable", session)
            went = self.call("Page.navigate", session, until_event="Page.loadEventFired", url=path.as_uri())
            assert "errorText" not in went, went
            yield session
        finally:
            self.call("Target.closeTarget", targetId=target)


started = []


def browser():
    if not started:
        started.append(Browser())
    return started[0]


def ask(page, script):
    """Opens `page` (HTML text) and returns what `script` (the body of an async function) returns."""
    with browser().page(page) as session:
        found = browser().call(
            "Runtime.evaluate",
            session,
            expression=f"(async () => {{{script}}})()",
            awaitPromise=True,
            returnByValue=True,
        )
    assert "exceptionDetails" not in found, found
    return found["result"]["value"]


def printed(page, paper):
    """The bytes of the PDF that `page` (HTML text) is printed to, on `A4` or `Letter`."""
    sized = page.replace("</head>", f"<style>@page{{size:{paper}}}</style></head>")
    with browser().page(sized) as session:
        # Without it the page's own size and margins would give way to the protocol's usual ones.
        found = browser().call("Page.printToPDF", session, preferCSSPageSize=True, printBackground=True)
    return base64.b64decode(found["data"])


# The page in frames as wide as phones are: how far it reaches to the right.
PHONES = """
const found = {};
for (const wide of [360, 390, 430, 820]) {
  const frame = document.createElement('iframe');
  frame.style.width = wide + 'px'; frame.style.height = '800px'; frame.style.border = '0';
  const ready = new Promise(done => frame.onload = done);
  frame.srcdoc = PAGE;
  document.body.append(frame);
  await ready;
  const root = frame.contentDocument.documentElement;
  found[wide] = [root.scrollWidth, root.clientWidth];
  frame.remove();
}
return found;
"""


def without_violation(page):
    """Asserts that axe finds nothing against `page` (HTML text)."""
    if not AXE.exists():
        pytest.skip("no npm")
    script = AXE.read_text(encoding="utf-8").replace("</script", "<\\/script")
    found = ask(
        page.replace("</body>", f"<script>{script}</script></body>"),
        "const r = await axe.run(document, {resultTypes: ['violations']});"
        "return {passes: r.passes.length, violations: r.violations.map(v => [v.id, v.help,"
        " v.nodes.map(n => n.html.slice(0, 200))])}",
    )
    assert found["violations"] == []
    assert found["passes"] > 12, "axe did look"


def fits_phones(page):
    """Asserts that `page` (HTML text) is no wider than any phone."""
    text = json.dumps(page).replace("</", "<\\/")
    empty = "<!DOCTYPE html><html lang='en'><title>x</title><body></body></html>"
    found = ask(empty, f"const PAGE = {text};" + PHONES)
    assert set(found) == {"360", "390", "430", "820"}
    for wide, (reached, there) in found.items():
        # The browser's own scroll bar takes a few pixels, which makes it harder.
        assert int(wide) - 20 <= there <= int(wide) and reached <= there, found
