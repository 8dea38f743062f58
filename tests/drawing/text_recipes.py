"""Recipes of small grids among text, as in a newspaper or a leaflet's column."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from PIL import Image, ImageDraw

from tests.drawing import photo
from tests.drawing.assets import font
from tests.drawing.common import single
from tests.drawing.render import Canvas, export, rule_lines, stamp_glyphs, start
from tests.drawing.sample import Group, Rng, Sample
from tests.drawing.style import BLACK, Design, Rule, Style
from tests.drawing.styles import grey, pick

SIGNS = ("cross", "plus", "ring", "triangle up", "square", "slash", "large dot", "diamond", "dash")
LETTERS = "aaabcdeeeeefghiiiklmnooprsssttuuvwy"
SMALLEST, LARGEST = 8, 16  # cells a side


def _words(rng: Rng, count: int) -> str:
    """``count`` letters in words of two to nine, as they look in print."""
    letters = "".join(LETTERS[int(k)] for k in rng.integers(0, len(LETTERS), count))
    words, at = [], 0
    while at < count:
        length = int(rng.integers(2, 10))
        words.append(letters[at : at + length])
        at += length
    return " ".join(words)


def _text_around(rng: Rng, canvas: Canvas, size: int) -> Canvas:
    """Lines of print over the whole page, but for the grid and a gap around it."""
    image = Image.fromarray(canvas.pixels)
    draw = ImageDraw.Draw(image)
    letters = font("DejaVuSerif.ttf", size)
    gap = int(size * rng.uniform(0.6, 2.0))
    height, width = canvas.pixels.shape[:2]
    for top in range(size // 2, height - size, round(1.3 * size)):
        draw.text((size // 2, top), _words(rng, 3 * width // size), BLACK, letters)
    drawn = np.array(image)
    rows = slice(canvas.y[0] - gap, canvas.y[-1] + gap)
    columns = slice(canvas.x[0] - gap, canvas.x[-1] + gap)
    drawn[rows, columns] = canvas.pixels[rows, columns]
    if rng.random() < 0.5:  # a box of the column next to it
        ImageDraw.Draw(image := Image.fromarray(drawn)).line(
            [(canvas.x[-1] + 2 * gap, 0), (canvas.x[-1] + 2 * gap, height)], fill=BLACK, width=2
        )
        drawn = np.array(image)
    return Canvas(drawn, canvas.x, canvas.y)


def grid_in_text(rng: Rng) -> Sample:
    """A grid of few cells, a third of them with a sign, photographed with the text around it."""
    rows, columns = (int(rng.integers(SMALLEST, LARGEST + 1)) for _ in range(2))
    if rng.random() < 0.5:
        rows = columns = 9
    cells = rng.integers(1, len(SIGNS) + 1, (rows, columns)) * (rng.random((rows, columns)) < 0.35)
    colours = np.zeros((len(SIGNS) + 1, 3), np.uint8)
    chart = Design(cells.astype(np.int32), colours, (None, *SIGNS))
    pitch = int(rng.integers(22, 46))
    left, top, right, bottom = (int(pitch * rng.uniform(1, 7)) for _ in range(4))
    paper = int(rng.integers(215, 250))
    minor = Rule(max(1, pitch // 16), grey(rng, 0, 110))
    style = Style(
        pitch=pitch, minor=minor, bold=None, frame=Rule(max(2, pitch // 9), BLACK),
        one_ink=True, glyph=0.6, ground=(paper, paper, paper - 6), paper=(paper, paper, paper - 6),
        margin=(left, top, right, bottom),
    )  # fmt: skip
    if rng.random() < 0.6:
        style = replace(style, bold=Rule(minor.width + 2, BLACK), bold_every=3)
    canvas = start(chart, style)
    stamp_glyphs(canvas, chart, style)
    rule_lines(canvas, style)
    canvas = _text_around(rng, canvas, int(pitch * rng.uniform(0.3, 0.7)))
    make = pick(rng, photo.mild, photo.medium, photo.hard)
    how = make(rng)
    page = photo.photographed(rng, export(canvas, style), how)
    return single(page, chart, style, "JPEG", how.quality)


TEXT_GROUPS: dict[str, Group] = {"grid-in-text": grid_in_text}
