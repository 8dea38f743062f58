"""Draws the pictures of the table that the README shows: ``python -m tests.worktable.pictures``."""

from __future__ import annotations

import io
import sys
import tempfile
import time
from pathlib import Path

from PIL import Image

from tests.worktable.browser import Browser, chromium
from tests.worktable.making import EXAMPLE, lay_out, spoil
from tests.worktable.serving import serving

PLACE = EXAMPLE.parent / "pictures"
SCREENS = ("check", "fabric")
SIZE = (1280, 800)
COLOURS = 128  # of the palette: a quarter of the bytes, and no difference at this size


def draw(folder: Path, screens: tuple[str, ...] = SCREENS) -> list[Path]:
    """Photograph the table's screens with the example on it into ``folder``; the files."""
    made = []
    with tempfile.TemporaryDirectory() as place:
        table = Path(place)
        chart = lay_out(table, EXAMPLE)
        spoil(table, chart)
        with serving(table) as served, chromium() as browser:
            browser.size(*SIZE)
            browser.open(served.address)
            browser.find(".card")
            for screen in screens:
                show(browser, screen, chart)
                made.append(folder / f"table-{screen}.png")
                _save(browser.picture(), made[-1])
    return made


def show(browser: Browser, screen: str, chart: str) -> None:
    """Go to a screen and wait until all of it is there."""
    browser.run("location.hash = arguments[0]", f"#/{screen}/{chart}")
    browser.wait("return document.querySelector('#work').dataset.screen === arguments[0]", screen)
    if screen == "papers":
        browser.wait(
            "return !!document.querySelector('iframe')?.contentDocument?.querySelector('h1')"
        )
    time.sleep(2)  # tiles and crops come after the screen


def _save(data: bytes, path: Path) -> None:
    picture = Image.open(io.BytesIO(data)).convert("RGB")
    picture.quantize(COLOURS, dither=Image.Dither.NONE).save(path, optimize=True)


if __name__ == "__main__":
    draw(Path(sys.argv[1]) if len(sys.argv) > 1 else PLACE)
