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
