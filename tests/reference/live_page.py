"""The live page in a real browser: a server of its own on a free port, and pages that are clicked,
typed at and asked what they show.

Everything that a page logs, throws or requests is kept, so that a test can say that there was
nothing to complain about and that nothing left the machine."""

import base64
import json
import re
import select
import shutil
import signal
import subprocess
import time
from contextlib import contextmanager

import browser
from conftest import PROGRAM, ROOT

# Seconds for what a page does by itself. A busy machine is slow.
LONGEST = 60.0


class Watched(browser.Browser):
    """A browser that keeps what happens in its pages."""

    def __init__(self):
        super().__init__()
        self.events = []

    def message(self, until):
        message = super().message(until)
        if "method" in message:
            self.events.append(message)
        return message


class Page:
    """One page of it."""

    def __init__(self, watched, address, wide=1280, high=900, dark=False, still=False):
        self.watched = watched
        # What the browser logs of answers that a test asks for.
        self.expected = []
        self.target = watched.call("Target.createTarget", url="about:blank")["targetId"]
        self.session = watched.call("Target.attachToTarget", targetId=self.target, flatten=True)["sessionId"]
        for domain in ("Page", "Runtime", "Log", "Network"):
            self.call(f"{domain}.enable")
        self.look(wide, high, dark, still)
        self.call("Page.navigate", until_event="Page.loadEventFired", url=address)
        self.until("document.querySelector('#sizes td') !== null")

    def call(self, method, **fields):
        return self.watched.call(method, self.session, **fields)

    def look(self, wide, high=900, dark=False, still=False):
        """The window's size, and what the maker prefers."""
        self.call("Emulation.setDeviceMetricsOverride", width=wide, height=high, deviceScaleFactor=1, mobile=False)
        features = [
            {"name": "prefers-color-scheme", "value": "dark" if dark else "light"},
            {"name": "prefers-reduced-motion", "value": "reduce" if still else "no-preference"},
        ]
        self.call("Emulation.setEmulatedMedia", features=features)

    def ask(self, script):
        """What an expression is in the page."""
        found = self.call("Runtime.evaluate", expression=script, awaitPromise=True, returnByValue=True)
        assert "exceptionDetails" not in found, (script, found["exceptionDetails"])
        return found["result"].get("value")

    def until(self, script, seconds=LONGEST):
        """Waits until an expression holds; how long that took."""
        start = time.monotonic()
        while not self.ask(f"Boolean({script})"):
            assert time.monotonic() - start < seconds, f"never: {script}\n{self.complaints()}"
            time.sleep(0.005)
        return time.monotonic() - start

    def rest(self):
        """Waits until the fine picture of the newest files is shown, and all rules have looked."""
        time.sleep(0.5)
        self.until(
            "(!document.querySelector('#sizes .rough') || !document.getElementById('stale').hidden) &&"
            " !findings.textContent.includes('once your hand rests')"
        )

    def press(self, key, shift=False, ctrl=False):
        held = (8 if shift else 0) + (2 if ctrl else 0)
        text = {"text": key} if len(key) == 1 and not ctrl else {"text": "\r"} if key == "Enter" else {}
        code = {"Enter": 13, "Tab": 9, "Escape": 27, "ArrowLeft": 37, "ArrowUp": 38, "ArrowRight": 39, "ArrowDown": 40, "Home": 36}
        number = code.get(key, ord(key.upper()) if len(key) == 1 else 0)
        for kind in ("keyDown", "keyUp"):
            more = text if kind == "keyDown" else {}
            self.call("Input.dispatchKeyEvent", type=kind, key=key, modifiers=held, windowsVirtualKeyCode=number, **more)

    def write(self, key, text):
        """Puts a text into the field of a key, as a hand does, and leaves the field."""
        self.ask(f"document.getElementById('field-{key}').focus()")
        self.ask("document.activeElement.select?.()")
        self.call("Input.insertText", text=text)
        self.press("Enter")
        self.ask("document.activeElement.blur()")

    def value(self, key):
        return self.ask(f"document.getElementById('field-{key}').value")

    def click(self, selector):
        self.ask(f"document.querySelector({json.dumps(selector)}).click()")

    def drag(self, selector, across, down, steps=6):
        """Drags the middle of an element by so many pixels."""
        x, y = self.ask(
            f"(() => {{ const e = document.querySelector({json.dumps(selector)}); e.scrollIntoView({{block: 'center'}});"
            " const b = e.getBoundingClientRect(); return [b.x + b.width / 2, b.y + b.height / 2]; })()"
        )
        mouse = lambda kind, x, y, **more: self.call("Input.dispatchMouseEvent", type=kind, x=x, y=y, button="left", **more)
        mouse("mousePressed", x, y, buttons=1, clickCount=1)
        for step in range(1, steps + 1):
            mouse("mouseMoved", x + across * step / steps, y + down * step / steps, buttons=1)
        mouse("mouseReleased", x + across, y + down, buttons=0, clickCount=1)

    def shot(self, path=None, whole=False):
        """A picture of the page, as PNG."""
        data = base64.b64decode(self.call("Page.captureScreenshot", captureBeyondViewport=whole)["data"])
        if path:
            path.write_bytes(data)
        return data

    def picture(self):
        """The picture of the piece, as PNG."""
        box = self.ask(
            "new Promise(done => { brief.style.visibility = 'hidden'; scrollTo(0, 0); document.getElementById('tab-piece').click();"
            " requestAnimationFrame(() => requestAnimationFrame(() => setTimeout(() => {"
            " const b = picture.getBoundingClientRect(); done([b.x, b.y, b.width, b.height]); }, 50))); })"
        )
        clip = dict(zip(("x", "y", "width", "height"), box), scale=1)
        return self.call("Page.captureScreenshot", clip=clip)["data"]

    def axe(self):
        """What axe finds against the page as it stands."""
        if not self.ask("Boolean(globalThis.axe)"):
            self.call("Runtime.evaluate", expression=browser.AXE.read_text(encoding="utf-8"))
        return self.ask(
            "axe.run(document, {resultTypes: ['violations']}).then(r => ({passes: r.passes.length,"
            " violations: r.violations.map(v => [v.id, v.help, v.nodes.map(n => n.html.slice(0, 160))])}))"
        )

    def complaints(self):
        """What the page logged as wrong or threw."""
        found = []
        for event in self.watched.events:
            if event.get("sessionId") != self.session:
                continue
            said = event["params"]
            if event["method"] == "Runtime.exceptionThrown":
                found.append(said["exceptionDetails"])
            # "rendering": that this browser draws WebGL without a graphics card.
            elif event["method"] == "Log.entryAdded" and said["entry"]["source"] != "rendering":
                if not any(one in said["entry"]["text"] for one in self.expected):
                    found.append(said["entry"])
            elif event["method"] == "Runtime.consoleAPICalled" and said["type"] in ("error", "warning", "assert"):
                found.append(said)
        return found

    def asked_for(self):
        """All addresses that the page asked for."""
        return [
            event["params"]["request"]["url"]
            for event in self.watched.events
            if event["method"] == "Network.requestWillBeSent" and event.get("sessionId") == self.session
        ]

    def close(self):
        self.watched.call("Target.closeTarget", targetId=self.target)


class Server:
    """`treenwright live` on a free port."""

    def __init__(self, folder, *arguments):
        command = [PROGRAM, "live", *arguments, "--no-browser"]
        self.process = subprocess.Popen(
            [str(part) for part in command], cwd=folder, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
        )
        ready, _, _ = select.select([self.process.stdout], [], [], LONGEST)
        line = self.process.stdout.readline() if ready else ""
        assert line.startswith("http://127.0.0.1:"), line + self.process.stderr.read()
        self.address = line.strip()
        self.port, self.token = re.match(r"http://127\.0\.0\.1:(\d+)/([0-9a-f]{32})/$", self.address).groups()

    def end(self):
        """Ends it as Ctrl-C does; its exit status."""
        if self.process.poll() is None:
            self.process.send_signal(signal.SIGINT)
        return self.process.wait(LONGEST)


@contextmanager
def served(folder, *arguments):
    server = Server(folder, *arguments)
    try:
        yield server
    finally:
        server.end()
        server.process.stdout.close()
        server.process.stderr.close()


def bench(folder):
    """The shipped spoon, its board and shop, in a folder, and the arguments for them."""
    for name in ("designs/harvest-spoon.toml", "boards/cherry.toml", "shop.toml"):
        shutil.copy(ROOT / "params" / name, folder)
    return ["harvest-spoon.toml", "--board", "cherry.toml", "--shop", "shop.toml"]
