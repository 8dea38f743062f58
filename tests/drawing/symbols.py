"""Glyphs: masks drawn from fonts or as polygons, named so that truth can name them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import cache

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw
from scipy import ndimage

from tests.drawing.assets import font

Mask = NDArray[np.float64]
Draw = ImageDraw.ImageDraw

_FINE = 8  # masks are drawn this many times larger and averaged down


def _poly(*points: tuple[float, float]) -> Callable[[Draw, int], None]:
    def paint(draw: Draw, size: int) -> None:
        draw.polygon([(x * size, y * size) for x, y in points], fill=255)

    return paint


def _strokes(width: float, *runs: tuple[float, float, float, float]) -> Callable[[Draw, int], None]:
    def paint(draw: Draw, size: int) -> None:
        for x0, y0, x1, y1 in runs:
            ends = [(x0 * size, y0 * size), (x1 * size, y1 * size)]
            draw.line(ends, fill=255, width=max(1, round(width * size)))

    return paint


def _disc(radius: float, hole: float = 0.0) -> Callable[[Draw, int], None]:
    def paint(draw: Draw, size: int) -> None:
        for reach, fill in ((radius, 255), (hole, 0)):
            if reach:
                low, high = (0.5 - reach) * size, (0.5 + reach) * size
                draw.ellipse((low, low, high, high), fill=fill)

    return paint


SHAPES: dict[str, Callable[[Draw, int], None]] = {
    "solid": _poly((0, 0), (1, 0), (1, 1), (0, 1)),
    "cross": _strokes(0.14, (0.05, 0.05, 0.95, 0.95), (0.05, 0.95, 0.95, 0.05)),
    "heavy cross": _strokes(0.3, (0.1, 0.1, 0.9, 0.9), (0.1, 0.9, 0.9, 0.1)),
    "plus": _strokes(0.14, (0.5, 0.0, 0.5, 1.0), (0.0, 0.5, 1.0, 0.5)),
    "heavy plus": _strokes(0.34, (0.5, 0.0, 0.5, 1.0), (0.0, 0.5, 1.0, 0.5)),
    "slash": _strokes(0.16, (0.05, 0.95, 0.95, 0.05)),
    "backslash": _strokes(0.16, (0.05, 0.05, 0.95, 0.95)),
    "upright": _strokes(0.18, (0.5, 0.0, 0.5, 1.0)),
    "dash": _strokes(0.18, (0.0, 0.5, 1.0, 0.5)),
    "large dot": _disc(0.44),
    "small dot": _disc(0.2),
    "ring": _disc(0.46, 0.32),
    "target": _disc(0.46, 0.18),
    "triangle up": _poly((0.5, 0.05), (1, 0.95), (0, 0.95)),
    "triangle down": _poly((0.5, 0.95), (1, 0.05), (0, 0.05)),
    "triangle left": _poly((0.05, 0.5), (0.95, 0), (0.95, 1)),
    "triangle right": _poly((0.95, 0.5), (0.05, 0), (0.05, 1)),
    "diamond": _poly((0.5, 0), (1, 0.5), (0.5, 1), (0, 0.5)),
    "square": _poly((0.2, 0.2), (0.8, 0.2), (0.8, 0.8), (0.2, 0.8)),
    "half left": _poly((0, 0), (0.5, 0), (0.5, 1), (0, 1)),
    "half right": _poly((0.5, 0), (1, 0), (1, 1), (0.5, 1)),
    "half top": _poly((0, 0), (1, 0), (1, 0.5), (0, 0.5)),
    "corner top left": _poly((0, 0), (1, 0), (0, 1)),
    "corner bottom right": _poly((1, 1), (1, 0), (0, 1)),
    "bars": _strokes(0.12, *((0.0, y, 1.0, y) for y in (0.14, 0.38, 0.62, 0.86))),
    "pickets": _strokes(0.12, *((x, 0.0, x, 1.0) for x in (0.14, 0.38, 0.62, 0.86))),
    "hatch": _strokes(0.1, (0, 0.5, 0.5, 0), (0, 1, 1, 0), (0.5, 1, 1, 0.5)),
    "back hatch": _strokes(0.1, (0.5, 0, 1, 0.5), (0, 0, 1, 1), (0, 0.5, 0.5, 1)),
    "box": _strokes(
        0.14, (0.07, 0.0, 0.07, 1), (0.93, 0, 0.93, 1), (0, 0.07, 1, 0.07), (0, 0.93, 1, 0.93)
    ),
    "chevron left": _strokes(0.16, (0.85, 0.05, 0.15, 0.5), (0.15, 0.5, 0.85, 0.95)),
    "chevron right": _strokes(0.16, (0.15, 0.05, 0.85, 0.5), (0.85, 0.5, 0.15, 0.95)),
    "chevron up": _strokes(0.16, (0.05, 0.85, 0.5, 0.15), (0.5, 0.15, 0.95, 0.85)),
    "chevron down": _strokes(0.16, (0.05, 0.15, 0.5, 0.85), (0.5, 0.85, 0.95, 0.15)),
}

# Signs that stay apart from each other and from the shapes at 8 px and above.
SIGNS = "ABCEFGHJKLNPRSTUVYZ234567adeghkmnruy★☆♥♡♠♣♦♀♂♪☀☂☎✂✈✱✿#%&?@$€±÷≈∞∆∇π∑Ωβλ◐◑◒◓⊕⊖☾"


@cache
def mask(name: str, width: int, height: int, face: str = "DejaVuSans.ttf") -> Mask:
    """Coverage 0..1 of glyph ``name`` fitted into ``width`` × ``height`` pixels.

    A name that starts with "white " is that glyph cut out of a solid cell. A name of one letter
    is that character of font ``face`` (or of DejaVu Sans, which has the signs); longer names are
    shapes.
    """
    if name.startswith("white "):
        inner = mask(name[6:], round(width * 0.7), round(height * 0.7), face)
        solid = np.ones((height, width))
        top, left = (height - inner.shape[0]) // 2, (width - inner.shape[1]) // 2
        solid[top : top + inner.shape[0], left : left + inner.shape[1]] -= inner
        return solid
    fine = _FINE * max(width, height)
    image = Image.new("L", (fine, fine))
    draw = ImageDraw.Draw(image)
    if len(name) > 1:
        SHAPES[name](draw, fine)
    else:
        plain = name.isascii() and name.isalnum()
        letters = font(face if plain else "DejaVuSans.ttf", fine)
        x0, y0, x1, y1 = draw.textbbox((0, 0), name, font=letters)
        grow = 1.0 * fine / max(x1 - x0, y1 - y0, 0.55 * fine)
        letters = font(face if plain else "DejaVuSans.ttf", int(fine * grow))
        draw.text((fine / 2, fine / 2), name, 255, letters, anchor="mm")
        image = _centred(image)
    small = image.resize((width, height), Image.Resampling.BOX)
    return np.asarray(small, float) / 255


def _centred(image: Image.Image) -> Image.Image:
    """The ink of ``image`` moved to its middle."""
    box = image.getbbox()
    if box is None:
        return image
    ink = image.crop(box)
    out = Image.new("L", image.size)
    out.paste(ink, ((image.width - ink.width) // 2, (image.height - ink.height) // 2))
    return out


def choose(
    rng: np.random.Generator,
    count: int,
    side: int = 12,
    soft: float = 0.0,
    whole: bool = True,
) -> tuple[str, ...]:
    """``count`` glyph names (or fewer) that can be told apart at ``side`` pixels.

    ``soft`` is the blur in pixels that they must survive; ``whole`` allows glyphs that fill the
    cell, under which no colour could be seen.
    """
    names = [*SHAPES, *SIGNS]
    if whole:
        names += [f"white {n}" for n in ("★", "cross", "small dot", "plus", "♥")]
    else:
        names.remove("solid")
    kept: list[str] = []
    for i in rng.permutation(len(names)):
        if are_told((*kept, names[int(i)]), side, soft):
            kept.append(names[int(i)])
        if len(kept) == count:
            break
    return tuple(kept)


def are_told(names: Sequence[str], side: int, soft: float) -> bool:
    """Whether the last of ``names`` differs enough from the others, and from an empty cell."""
    last = _seen(names[-1], side, soft)
    if soft and np.abs(last).mean() < 0.06:
        return False
    return all(np.abs(last - _seen(n, side, soft)).mean() > 0.11 for n in names[:-1])


def _seen(name: str, side: int, soft: float) -> Mask:
    ink = mask(name, side, side)
    return np.asarray(ndimage.gaussian_filter(ink, soft)) if soft else ink
