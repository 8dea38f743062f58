"""A large picture for the browser: halved again and again, and cut into tiles, as files.

::

    flat/about.json    width, height, side of a tile, number of levels, and what else is told
         0-3-5.jpg     level 0 (full size), fourth tile across, sixth down
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from PIL import Image

SIDE = 512  # px: a page is then some hundreds of tiles, a screen a dozen
QUALITY = 88  # of JPEG: thin lines and small symbols stay clean
ABOUT = "about.json"


def write_tiles(picture: Image.Image, folder: Path, about: Mapping[str, Any]) -> None:
    """Write ``picture`` (mode RGB) into ``folder``, which is made; ``about`` goes with it."""
    folder.mkdir(parents=True)
    level, halved = 0, picture
    while True:
        _write_level(halved, folder, level)
        if max(halved.size) <= SIDE:
            break
        level, halved = level + 1, halved.reduce(2)
    told = {"width": picture.width, "height": picture.height, "side": SIDE, "levels": level + 1}
    (folder / ABOUT).write_text(json.dumps({**told, **about}), encoding="utf-8")


def tile_name(level: int, across: int, down: int) -> str:
    """The file name of a tile."""
    return f"{level}-{across}-{down}.jpg"


def _write_level(picture: Image.Image, folder: Path, level: int) -> None:
    for down in range(-(-picture.height // SIDE)):
        for across in range(-(-picture.width // SIDE)):
            left, top = across * SIDE, down * SIDE
            box = (left, top, min(left + SIDE, picture.width), min(top + SIDE, picture.height))
            path = folder / tile_name(level, across, down)
            picture.crop(box).save(path, "JPEG", quality=QUALITY, subsampling=0)
