"""Draws the README's pictures of sheet and table: ``python -m tests.worktable.pictures``."""

from __future__ import annotations

import base64
import io
import os
import subprocess
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
SHEET_PX = 700  # across
A4_CM = {"width": 21.0, "height": 29.7}
KIT = ("--palette", "meadowline", "--owned", "stash-example", "--fabric", "28", "--over", "2")
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
                _save(Image.open(io.BytesIO(browser.picture())), made[-1])
    return made


def draw_sheet(folder: Path) -> Path:
    """Print the kit sheet that the README's tour makes, and draw its first page; the file."""
    import pypdfium2

    with tempfile.TemporaryDirectory() as place, chromium() as browser:
        sheet = Path(place) / "kit.html"
        kit = [sys.executable, "-m", "chartscan", "kit", str(EXAMPLE), *KIT, "--sheet", str(sheet)]
        usage = {"CHARTSCAN_USAGE": str(Path(place) / "usage.json")}  # nobody's own records
        subprocess.run(kit, check=True, capture_output=True, env={**os.environ, **usage})
        browser.open(sheet.as_uri())
        printed = base64.b64decode(browser.call("POST", "/print", {"page": A4_CM}))
    with pypdfium2.PdfDocument(printed) as document:
        page = document[0]
        picture = page.render(scale=SHEET_PX / page.get_width()).to_pil()
    _save(picture, folder / "sheet.png")
    return folder / "sheet.png"


def show(browser: Browser, screen: str, chart: str) -> None:
    """Go to a screen and wait until all of it is there."""
    browser.run("location.hash = arguments[0]", f"#/{screen}/{chart}")
    browser.wait("return document.querySelector('#work').dataset.screen === arguments[0]", screen)
    if screen == "papers":
        browser.wait(
            "return !!document.querySelector('iframe')?.contentDocument?.querySelector('h1')"
        )
    if screen == "fabric":  # what each fabric needs comes one by one
        browser.wait(
            "return [...document.querySelectorAll('.cloth [data-part=needs]')]"
            ".every(needs => needs.textContent)"
        )
    time.sleep(2)  # tiles and crops come after the screen


def _save(picture: Image.Image, path: Path) -> None:
    picture.convert("RGB").quantize(COLOURS, dither=Image.Dither.NONE).save(path, optimize=True)


if __name__ == "__main__":
    folder = Path(sys.argv[1]) if len(sys.argv) > 1 else PLACE
    draw_sheet(folder)
    draw(folder)
