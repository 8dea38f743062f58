"""Fonts and photographs that matplotlib and scikit-image ship, found without importing them.

Nothing of them is in this project; they are installed with the extra ``test``. Licences: DejaVu and
STIX fonts, see ``LICENSE_DEJAVU`` and ``LICENSE_STIX`` beside them (free, STIX under the SIL Open
Font Licence, from memory); ``cm*`` are the BaKoMa fonts, free to use (from memory). Photographs, as
scikit-image's ``skimage.data`` says of each: astronaut and rocket are in the public domain;
chelsea, coffee, gravel, grass and brick are CC0.
"""

from __future__ import annotations

from functools import cache
from importlib.util import find_spec
from pathlib import Path

from PIL import Image, ImageFont

TEXT_FONTS = (
    "DejaVuSans.ttf",
    "DejaVuSerif.ttf",
    "DejaVuSansMono.ttf",
    "DejaVuSans-Oblique.ttf",
    "STIXGeneral.ttf",
    "STIXGeneralItalic.ttf",
    "cmr10.ttf",
    "cmss10.ttf",
)


@cache
def font_folder() -> Path:
    """The folder of matplotlib's own TrueType fonts."""
    spec = find_spec("matplotlib")
    if spec is None or not spec.submodule_search_locations:
        raise RuntimeError(
            "the drawing of test charts needs matplotlib's fonts: pip install .[test]"
        )
    return Path(spec.submodule_search_locations[0]) / "mpl-data" / "fonts" / "ttf"


@cache
def font(name: str, size: int) -> ImageFont.FreeTypeFont:
    """Font file ``name`` at ``size`` pixels."""
    return ImageFont.truetype(str(font_folder() / name), size)


@cache
def photograph(name: str) -> Image.Image:
    """One of the free pictures that scikit-image ships."""
    spec = find_spec("skimage")
    if spec is None or not spec.submodule_search_locations:
        raise RuntimeError("the drawing of test charts needs scikit-image: pip install .[test]")
    path = Path(spec.submodule_search_locations[0]) / "data" / name
    return Image.open(path).convert("RGB")
