"""The clean page: cells, glyphs, lattice, axis, arrows, title and key, exported to pixels."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from tests.drawing.assets import font
from tests.drawing.style import RGB, Design, Pixels, Points, Rule, Style
from tests.drawing.symbols import mask

Edges = NDArray[np.int64]


@dataclass(frozen=True)
class Canvas:
    """A page while it is drawn: ``pixels`` (height, width, 3) and the lattice's edges in pixels."""

    pixels: Pixels
    x: Edges
    y: Edges

    def at(self, points: Points) -> Points:
        """Pixel places of (x, y) ``points`` in cells, between edges by straight interpolation."""
        x = np.interp(points[:, 0], np.arange(len(self.x)), self.x)
        y = np.interp(points[:, 1], np.arange(len(self.y)), self.y)
        return np.stack([x, y], axis=1)


@dataclass(frozen=True)
class Page:
    """A drawn page: ``pixels`` and the pixel places of the lattice's crossings.

    ``crossings`` has shape (rows + 1, columns + 1, 2), x then y; pixel centres lie at whole
    numbers plus a half.
    """

    pixels: Pixels
    crossings: Points

    def centres(self) -> Points:
        """Pixel place of every cell's centre, shape (rows, columns, 2)."""
        c = self.crossings
        return (c[:-1, :-1] + c[1:, :-1] + c[:-1, 1:] + c[1:, 1:]) / 4


def start(design: Design, style: Style) -> Canvas:
    """The page with its cells' fills on it; nothing else yet."""
    left, top, right, bottom = style.margin
    pitch_y = style.pitch_y or style.pitch
    x = left + np.round(np.arange(design.columns + 1) * style.pitch).astype(np.int64)
    y = top + np.round(np.arange(design.rows + 1) * pitch_y).astype(np.int64)
    over = (style.frame.width + 1) // 2 if style.frame and not left else 0
    pixels = np.empty((int(y[-1]) + bottom + over, int(x[-1]) + right + over, 3), np.uint8)
    pixels[:] = style.paper
    colours = design.colours.copy()
    colours[0] = style.ground
    if style.one_ink:
        colours[:] = style.ground
    rows = np.repeat(design.cells, np.diff(y), axis=0)
    area = pixels[y[0] : y[-1], x[0] : x[-1]]
    area[:] = colours[np.repeat(rows, np.diff(x), axis=1)]
    if style.inset:
        _gaps(area, x - x[0], y - y[0], style)
    return Canvas(pixels, x, y)


def _gaps(area: Pixels, x: Edges, y: Edges, style: Style) -> None:
    for edge in x:
        area[:, max(0, edge - style.inset) : edge + style.inset] = style.ground
    for edge in y:
        area[max(0, edge - style.inset) : edge + style.inset] = style.ground


def contrast(colour: NDArray[np.uint8]) -> RGB:
    """Black on light colours, white on dark ones."""
    light = float(np.asarray(colour, float) @ [0.299, 0.587, 0.114])
    return (0, 0, 0) if light > 110 else (255, 255, 255)


def stamp_glyphs(canvas: Canvas, design: Design, style: Style) -> None:
    """Every cell's glyph, in contrast ink on colour or in the page's ink on bare ground."""
    for index in range(1, design.classes):
        name = design.symbol(index)
        if name is None:
            continue
        ink = style.ink if style.one_ink else contrast(design.colours[index])
        rows, columns = np.nonzero(design.cells == index)
        _stamp(canvas, rows, columns, name, ink, style)


def glyph_box(name: str, style: Style) -> tuple[int, int]:
    """Width and height in pixels of a glyph in its cell; solid ones fill it."""
    share = style.solid if name == "solid" or name.startswith("white ") else style.glyph
    pitch_y = style.pitch_y or style.pitch
    return max(3, round(style.pitch * share)), max(3, round(pitch_y * share))


def _stamp(canvas: Canvas, rows: Edges, columns: Edges, name: str, ink: RGB, style: Style) -> None:
    if not len(rows):
        return
    width, height = glyph_box(name, style)
    cover = mask(name, width, height, style.font)[None, :, :, None]
    left = (canvas.x[columns] + canvas.x[columns + 1] - width + 1) // 2
    top = (canvas.y[rows] + canvas.y[rows + 1] - height + 1) // 2
    yy = top[:, None, None] + np.arange(height)[None, :, None]
    xx = left[:, None, None] + np.arange(width)[None, None, :]
    np.clip(yy, 0, canvas.pixels.shape[0] - 1, out=yy)
    np.clip(xx, 0, canvas.pixels.shape[1] - 1, out=xx)
    for part in np.array_split(np.arange(len(rows)), 1 + len(rows) * width * height // 4_000_000):
        under = canvas.pixels[yy[part], xx[part]]
        canvas.pixels[yy[part], xx[part]] = under + cover * (np.array(ink, float) - under)


def rule_lines(canvas: Canvas, style: Style) -> None:
    """Minor lines, then bold ones, then centre lines, then the frame."""
    first_x, first_y = style.first
    every, phase = style.bold_every, style.bold_phase
    for edges, first, upright in ((canvas.x, first_x, True), (canvas.y, first_y, False)):
        inner = range(1, len(edges) - 1)
        bold = [i for i in inner if (i + first - phase) % every == 0]
        middle = [len(edges) // 2] if style.centre else []
        for rule, which in (
            (style.minor, [*inner, 0, len(edges) - 1]),
            (style.bold, bold),
            (style.centre, middle),
        ):
            for i in which if rule else ():
                _rule(canvas, int(edges[i]), upright, rule)
    if style.frame:
        sides = (
            (canvas.x, 0, True),
            (canvas.y, 0, False),
            (canvas.x, -1, True),
            (canvas.y, -1, False),
        )
        for (edges, end, upright), is_open in zip(sides, style.open_sides, strict=True):
            if not is_open:
                _rule(canvas, int(edges[end]), upright, style.frame)


def _rule(canvas: Canvas, at: int, upright: bool, rule: Rule | None) -> None:
    """One line along the whole lattice, ``at`` a pixel edge."""
    if rule is None:
        return
    low = max(0, at - rule.width // 2)
    high = low + rule.width
    other = canvas.y if upright else canvas.x
    from_, to = max(0, int(other[0]) - rule.width // 2), int(other[-1]) + (rule.width + 1) // 2
    along = np.arange(from_, to)
    if rule.dash:
        along = along[(along - from_) // rule.dash % 2 == 0]
    along = along[along < canvas.pixels.shape[0 if upright else 1]]
    if upright:
        canvas.pixels[along[:, None], np.arange(low, min(high, canvas.pixels.shape[1]))] = (
            rule.colour
        )
    else:
        canvas.pixels[np.arange(low, min(high, canvas.pixels.shape[0]))[:, None], along] = (
            rule.colour
        )


def shade_repeats(canvas: Canvas, style: Style) -> None:
    """Grey over the first rows and columns that repeat another page."""
    rows, columns = style.shade
    grey = np.zeros(canvas.pixels.shape[:2], bool)
    grey[canvas.y[0] : canvas.y[rows], canvas.x[0] : canvas.x[-1]] = True
    grey[canvas.y[0] : canvas.y[-1], canvas.x[0] : canvas.x[columns]] = True
    canvas.pixels[grey] = (canvas.pixels[grey] * 0.85).astype(np.uint8)


def letter_page(canvas: Canvas, design: Design, style: Style) -> Canvas:
    """Title, axis numbers, arrows and key; none of them is a cell."""
    image = Image.fromarray(canvas.pixels)
    draw = ImageDraw.Draw(image)
    x, y = canvas.x, canvas.y
    size = int(np.clip(style.pitch * 0.8, 8, 40))
    if style.title:
        big = font(style.font, int(size * 1.8))
        draw.text((int(x[0]), max(2, int(y[0]) - 5 * size)), style.title, style.ink, big)
    if style.axis:
        _axis(draw, canvas, style, size)
    if style.arrows:
        _arrows(draw, canvas, style, size)
    if style.legend != "none":
        _legend(draw, canvas, design, style)
    return Canvas(np.array(image), x, y)


def _axis(draw: ImageDraw.ImageDraw, canvas: Canvas, style: Style, size: int) -> None:
    letters = font(style.font, size)
    for edges, first, upright in (
        (canvas.x, style.first[0], True),
        (canvas.y, style.first[1], False),
    ):
        for i in range(1, len(edges)):
            number = i + first
            if number % style.axis:
                continue
            if upright:
                spot, anchor = (int(edges[i]), int(canvas.y[0]) - size // 2), "ms"
            else:
                spot, anchor = (int(canvas.x[0]) - size // 2, int(edges[i])), "rm"
            draw.text(spot, str(number), style.ink, letters, anchor=anchor)


def _arrows(draw: ImageDraw.ImageDraw, canvas: Canvas, style: Style, size: int) -> None:
    x, y = canvas.x, canvas.y
    cx, cy = (int(x[0]) + int(x[-1])) / 2, (int(y[0]) + int(y[-1])) / 2
    half, gap = size * 0.5, size * 2.2
    for tip, back in (
        ((cx, y[0] - gap), (0, -1)),
        ((cx, y[-1] + gap), (0, 1)),
        ((x[0] - gap, cy), (-1, 0)),
        ((x[-1] + gap, cy), (1, 0)),
    ):
        tx, ty, (bx, by) = float(tip[0]), float(tip[1]), back
        base = (tx + bx * size, ty + by * size)
        wing = (by * half, bx * half)
        draw.polygon(
            [
                (tx, ty),
                (base[0] + wing[0], base[1] + wing[1]),
                (base[0] - wing[0], base[1] - wing[1]),
            ],
            fill=style.ink,
        )


_NAMES = ("Clay", "Moss", "Sky", "Rust", "Plum", "Sand", "Slate", "Fern", "Coral", "Ink")


def key_side(style: Style) -> int:
    """Side of the key's swatches in pixels."""
    return int(np.clip(style.pitch, 9, 24))


def key_spot(canvas: Canvas, style: Style, place: int) -> tuple[int, int]:
    """Top left of swatch number ``place``: in columns to the right, or in rows below."""
    side = key_side(style)
    width, height = side * 8, side * 3 // 2
    if style.legend == "right":
        x0, y0 = int(canvas.x[-1]) + 5 * side, int(canvas.y[0])
        down = max(1, (canvas.pixels.shape[0] - y0) // height)
        return x0 + place // down * width, y0 + place % down * height
    x0, y0 = int(canvas.x[0]), int(canvas.y[-1]) + 4 * side
    across = max(1, (int(canvas.x[-1]) - x0) // width)
    return x0 + place % across * width, y0 + place // across * height


def _legend(draw: ImageDraw.ImageDraw, canvas: Canvas, design: Design, style: Style) -> None:
    """A swatch, a number and a name per class, to the right in a column or below in rows."""
    side = key_side(style)
    letters = font(style.font, max(8, int(side * 0.8)))
    for place, index in enumerate(range(1, design.classes)):
        x, y = key_spot(canvas, style, place)
        colour = design.colours[index]
        fill = style.ground if style.one_ink else (int(colour[0]), int(colour[1]), int(colour[2]))
        draw.rectangle((x, y, x + side, y + side), fill=fill, outline=style.ink)
        name = design.symbol(index)
        if name is not None:
            box = max(3, round(side * style.glyph))
            cover = Image.fromarray((mask(name, box, box, style.font) * 255).astype(np.uint8))
            ink = style.ink if style.one_ink else contrast(colour)
            gap = (side - box + 1) // 2
            draw.bitmap((x + gap, y + gap), cover, fill=ink)
        text = f"{index:02d} {_NAMES[index * 7 % len(_NAMES)]}"
        draw.text((x + side * 3 // 2, y + side // 2), text, style.ink, letters, anchor="lm")


def export(canvas: Canvas, style: Style) -> Page:
    """The page resampled to its final size, with the crossings' places there."""
    height, width = canvas.pixels.shape[:2]
    columns, rows = (np.arange(len(e), dtype=float) for e in (canvas.x, canvas.y))
    grid = np.stack(np.meshgrid(columns, rows), axis=-1).reshape(-1, 2)
    places = canvas.at(grid)
    pixels = canvas.pixels
    if style.scale != (1.0, 1.0):
        size = (max(1, round(width * style.scale[0])), max(1, round(height * style.scale[1])))
        how = Image.Resampling[style.resample.upper()]
        pixels = np.array(Image.fromarray(pixels).resize(size, how))
        places = places * (np.array(size) / (width, height))
    return Page(pixels, places.reshape(len(rows), len(columns), 2))


def draw_page(design: Design, style: Style) -> Page:
    """The clean page of ``design`` in ``style``, without marks."""
    canvas = start(design, style)
    if design.symbols:
        stamp_glyphs(canvas, design, style)
    rule_lines(canvas, style)
    if any(style.shade):
        shade_repeats(canvas, style)
    return export(letter_page(canvas, design, style), style)
