"""A real Chromium, driven by WebDriver (W3C Recommendation) with the standard library alone."""

from __future__ import annotations

import base64
import json
import os
import shutil
import subprocess
import tempfile
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

PATIENCE_S = 300.0  # until something that is waited for must have come; machines are shared
FLAGS = (
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--disable-dev-shm-usage",
)
ELEMENT = "element-6066-11e4-a52e-4f735466cecf"  # the key of an element, WebDriver 12.1

KEYS = {"Enter": "\ue007", "Tab": "\ue004", "Escape": "\ue00c", "Space": " ", "Shift": "\ue008"}
KEYS |= {"Left": "\ue012", "Up": "\ue013", "Right": "\ue014", "Down": "\ue015"}


def missing_browser() -> str:
    """What isn't there of a browser that can be driven; "" where all is."""
    lacking = [name for name in ("chromium", "chromedriver") if shutil.which(name) is None]
    return f"there is no {' and no '.join(lacking)} here" if lacking else ""


class Browser:
    """One window of Chromium."""

    def __init__(self, driver: str, session: str) -> None:
        self._base = f"{driver}/session/{session}"
        self.strokes = 0

    def call(self, method: str, path: str, body: object = None) -> Any:  # noqa: ANN401 - JSON
        """One WebDriver command."""
        return _call(method, f"{self._base}{path}", body)

    def open(self, address: str) -> None:
        """Go to ``address``."""
        self.call("POST", "/url", {"url": address})

    def run(self, script: str, *arguments: object) -> Any:  # noqa: ANN401 - as the script says
        """The value of a script: the body of a function of ``arguments``."""
        return self.call("POST", "/execute/sync", {"script": script, "args": list(arguments)})

    def run_async(self, script: str, *arguments: object) -> Any:  # noqa: ANN401 - as above
        """The value that a script's promise comes to."""
        wrapped = (
            "const done = arguments[arguments.length - 1];"
            f"(async function() {{ {script} }}).apply(null, [...arguments].slice(0, -1))"
            ".then(value => done({ value }), error => done({ error: String(error) }));"
        )
        told = self.call("POST", "/execute/async", {"script": wrapped, "args": list(arguments)})
        if "error" in told:
            raise AssertionError(told["error"])
        return told.get("value")

    def wait(self, script: str, *arguments: object, patience_s: float = PATIENCE_S) -> Any:  # noqa: ANN401 - as above
        """The first value of a script that is true, tried until patience ends."""
        ends = time.monotonic() + patience_s
        while True:
            found = self._try(script, *arguments)
            if found:
                return found
            assert time.monotonic() < ends, f"waited in vain for: {script} {arguments}"
            time.sleep(0.05)

    def _try(self, script: str, *arguments: object) -> Any:  # noqa: ANN401 - as above
        """The value of a script; None where the page was drawn anew under it."""
        try:
            return self.run(script, *arguments)
        except AssertionError as error:
            if "stale element" not in str(error):
                raise
            return None

    def find(self, selector: str) -> str:
        """The id of the first element; waits for it."""
        found = self.wait("return document.querySelector(arguments[0])", selector)
        return str(found[ELEMENT])

    def text(self, selector: str) -> str:
        """The text of the first element."""
        return str(self.call("GET", f"/element/{self.find(selector)}/text"))

    def click(self, selector: str) -> None:
        """Click on the first element: one stroke."""
        self.strokes += 1
        self._on(selector, "click", {})

    def type(self, selector: str, text: str) -> None:
        """Type into the first element: a stroke a sign."""
        self.strokes += len(text)
        self._on(selector, "value", {"text": text})

    def choose_file(self, selector: str, *paths: Path) -> None:
        """Give files to an input: one stroke, as dropping them is."""
        self.strokes += 1
        self._on(selector, "value", {"text": "\n".join(map(str, paths))})

    def _on(self, selector: str, what: str, told: dict[str, str]) -> None:
        """Do something with the first element; once more where the page drew it anew meanwhile."""
        try:
            self.call("POST", f"/element/{self.find(selector)}/{what}", told)
        except AssertionError as error:
            if "stale element" not in str(error):
                raise
            self.call("POST", f"/element/{self.find(selector)}/{what}", told)

    def press(self, *names: str, held: str = "") -> None:
        """Press keys one after the other, each a stroke; ``held`` is down all the while."""
        steps: list[dict[str, str]] = []
        for name in names:
            key = KEYS.get(name, name)
            steps += [{"type": "keyDown", "value": key}, {"type": "keyUp", "value": key}]
        if held:
            down = {"type": "keyDown", "value": KEYS[held]}
            steps = [down, *steps, {"type": "keyUp", "value": KEYS[held]}]
        self.strokes += len(names)
        self.call("POST", "/actions", {"actions": [{"type": "key", "id": "k", "actions": steps}]})

    def drag(
        self, start: tuple[float, float], end: tuple[float, float], kind: str = "mouse"
    ) -> None:
        """Drag from one point of the window to another: one stroke."""
        self.strokes += 1
        middle = tuple((a + b) / 2 for a, b in zip(start, end, strict=True))
        points = [
            {"type": "pointerMove", "duration": 0, "x": round(x), "y": round(y)}
            for x, y in (start, middle, end)
        ]
        steps = [
            points[0],
            {"type": "pointerDown", "button": 0},
            *points[1:],
            {"type": "pointerUp", "button": 0},
        ]
        action = {
            "type": "pointer",
            "id": kind,
            "parameters": {"pointerType": kind},
            "actions": steps,
        }
        self.call("POST", "/actions", {"actions": [action]})

    def size(self, width: int, height: int, *, dark: bool = False, touch: bool = False) -> None:
        """Take a window of that size, in light or dark."""
        metrics = {"width": width, "height": height, "deviceScaleFactor": 1, "mobile": touch}
        self.devtools("Emulation.setDeviceMetricsOverride", metrics)
        scheme = {"name": "prefers-color-scheme", "value": "dark" if dark else "light"}
        self.devtools("Emulation.setEmulatedMedia", {"features": [scheme]})

    def devtools(self, command: str, told: dict[str, Any]) -> Any:  # noqa: ANN401 - JSON
        """One command of the DevTools protocol."""
        return self.call("POST", "/goog/cdp/execute", {"cmd": command, "params": told})

    def picture(self) -> bytes:
        """The window as it looks, PNG."""
        return base64.b64decode(self.call("GET", "/screenshot"))

    def complaints(self) -> list[str]:
        """What the console said that is an error or a warning, since it was last asked."""
        entries = self.call("POST", "/se/log", {"type": "browser"})
        return [e["message"] for e in entries if e["level"] in ("SEVERE", "WARNING")]


@contextmanager
def chromium(*flags: str) -> Iterator[Browser]:
    """A Chromium with a profile of its own, gone afterwards."""
    with (
        tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as folder,
        _driver(Path(folder) / "driver.log") as driver,
    ):
        options = {
            "binary": shutil.which("chromium"),
            "args": [*FLAGS, f"--user-data-dir={folder}/profile", *flags],
        }
        patience = dict.fromkeys(("script", "pageLoad"), int(PATIENCE_S * 1000))  # ms
        wanted = {
            "goog:chromeOptions": options,
            "goog:loggingPrefs": {"browser": "ALL"},
            "timeouts": patience,
        }
        made = _call("POST", f"{driver}/session", {"capabilities": {"alwaysMatch": wanted}})
        browser = Browser(driver, made["sessionId"])
        try:
            yield browser
        finally:
            browser.call("DELETE", "")


@contextmanager
def _driver(log: Path) -> Iterator[str]:
    """The address of a chromedriver that runs for the block."""
    with log.open("wb") as stream:
        process = subprocess.Popen(
            [str(shutil.which("chromedriver")), "--port=0"],
            stdout=stream,
            stderr=subprocess.STDOUT,
            env={**os.environ, "NO_PROXY": "127.0.0.1"},
        )
        try:
            yield f"http://127.0.0.1:{_port_in(log)}"
        finally:
            process.terminate()
            process.wait(10)


def _port_in(log: Path) -> str:
    """The port that chromedriver says it listens on."""
    ends = time.monotonic() + PATIENCE_S
    while time.monotonic() < ends:
        _, found, rest = log.read_text().partition("started successfully on port ")
        if found:
            return rest.split(".")[0]
        time.sleep(0.05)
    raise AssertionError(f"chromedriver didn't start: {log.read_text()}")


def _call(method: str, address: str, body: object = None) -> Any:  # noqa: ANN401 - JSON
    data = None if body is None else json.dumps(body).encode()
    request = urllib.request.Request(address, data, method=method)
    opener = urllib.request.build_opener(urllib.request.ProxyHandler({}))
    try:
        with opener.open(request, timeout=PATIENCE_S) as answer:
            return json.load(answer)["value"]
    except urllib.error.HTTPError as error:
        raise AssertionError(json.load(error)["value"]["message"].splitlines()[0]) from None
