"""Draws the example chart, ``lighthouse.png``, and its true counts, ``lighthouse-counts.csv``.

The design is the project's own. The page is laid out as chart pages are: a title, numbers every ten
stitches, a grid with every tenth line bold, a key with swatches.

Run ``python examples/draw.py`` from the project's folder to draw both again.
"""

from __future__ import annotations

import csv
import io
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont

RGB = tuple[int, int, int]
Cells = NDArray[np.int32]

COLUMNS, ROWS = 80, 100
PITCH = 13  # pixels per cell
LEFT, TOP = 70, 96  # of the grid on the page

COLOURS: tuple[tuple[str, RGB], ...] = (
    ("bare fabric", (255, 255, 255)),
    ("tower, light side", (240, 232, 214)),
    ("tower, shaded side", (226, 200, 154)),
    ("red bands, light side", (202, 56, 50)),
    ("red bands, shaded side", (154, 34, 40)),
    ("lantern and door", (60, 65, 82)),
    ("lamp", (220, 172, 82)),
    ("beam", (224, 208, 158)),
    ("gulls and foam", (186, 203, 214)),
    ("sea, far", (106, 153, 168)),
    ("sea, near", (36, 116, 152)),
    ("sea, deep", (32, 82, 122)),
    ("rock, light", (152, 144, 136)),
    ("rock, dark", (98, 91, 86)),
    ("sea pinks", (200, 126, 156)),
    ("grass", (114, 152, 100)),
)


def design() -> Cells:
    """The lighthouse, class per cell, shape (100, 80)."""
    cells = np.zeros((ROWS, COLUMNS), np.int32)
    row, column = np.mgrid[0:ROWS, 0:COLUMNS]
    _sea(cells, row, column)
    _rock(cells, row, column)
    _beam(cells, row, column)
    _tower(cells, row, column)
    for top, left in ((9, 11), (37, 14), (6, 60), (46, 63), (52, 8)):
        _gull(cells, top, left)
    return cells


def _sea(cells: Cells, row: Cells, column: Cells) -> None:
    """Three waving bands of water, foam on their crests."""
    for colour, top, height, length in (
        (9, 68, 1.0, 9.0),
        (10, 77, 1.6, 13.0),
        (11, 87, 2.2, 17.0),
    ):
        crest = np.rint(top + height * np.sin(column * 2 * np.pi / length + colour))
        cells[row >= crest] = colour
        cells[(row == crest) & (column % int(length) < length * 0.55)] = 8


def _rock(cells: Cells, row: Cells, column: Cells) -> None:
    """The rock the tower stands on, grass and flowers at its top."""
    edge = 71 + ((column - 40) / 22.0) ** 4 * 9 + 1.2 * np.sin(column * 0.9)
    inside = (
        (row >= np.rint(edge)) & (np.abs(column - 40) < 26) & (row < 93 + 2 * np.sin(column * 0.7))
    )
    cells[inside] = 12
    cells[inside & ((column - 40) * 0.8 + 10 * np.sin(row * 0.35) > 2)] = 13
    turf = inside & (row < np.rint(edge) + 2)
    cells[turf] = 15
    cells[turf & ((column * 5 + row * 3) % 11 == 0)] = 14


def _beam(cells: Cells, row: Cells, column: Cells) -> None:
    """Light to both sides of the lamp."""
    spread = np.abs(column - 40) * 0.22
    lit = (np.abs(row - 23) <= spread) & (np.abs(column - 40) > 7) & ((row + column) % 2 == 0)
    cells[lit & (np.abs(column - 40) < 34)] = 7


def _tower(cells: Cells, row: Cells, column: Cells) -> None:
    """The tower with its bands, gallery, lantern, roof, windows and door."""
    half = 7 + (row - 30) * 0.085
    body = (row >= 30) & (row < 74) & (np.abs(column - 40) <= half)
    shaded = column > 42
    red = (row - 30) // 9 % 2 == 1
    cells[body] = np.where(red, np.where(shaded, 4, 3), np.where(shaded, 2, 1))[body]
    cells[(row >= 27) & (row < 30) & (np.abs(column - 40) <= 9)] = 5
    cells[(row >= 19) & (row < 27) & (np.abs(column - 40) <= 5)] = 6
    cells[(row >= 19) & (row < 27) & np.isin(column, (35, 40, 45))] = 5
    cells[(row >= 12) & (row < 19) & (np.abs(column - 40) <= row - 12)] = 4
    cells[(row >= 8) & (row < 12) & (column == 40)] = 5
    cells[(row >= 66) & (row < 74) & (np.abs(column - 40) <= 2)] = 5
    for top in (34, 43, 52):
        cells[top : top + 4, 39:41] = 5


def _gull(cells: Cells, top: int, left: int) -> None:
    """A gull far off: two strokes that meet."""
    for step, (down, along) in enumerate(((0, 0), (0, 1), (1, 2), (2, 3), (1, 4), (0, 5), (0, 6))):
        cells[top + down, left + along] = 8
        if step == 3:
            cells[top + down - 1, left + along] = 8


def page(cells: Cells) -> Image.Image:
    """The chart page of ``cells``."""
    height, width = cells.shape
    image = Image.new("RGB", (LEFT + width * PITCH + 330, TOP + height * PITCH + 60), "white")
    draw = ImageDraw.Draw(image)
    draw.text((LEFT, 26), "The Lighthouse", fill="black", font=ImageFont.load_default(36))
    for (r, c), index in np.ndenumerate(cells):
        x, y = LEFT + c * PITCH, TOP + r * PITCH
        draw.rectangle((x, y, x + PITCH - 1, y + PITCH - 1), fill=COLOURS[index][1])
    _grid(draw, width, height)
    _key(draw, cells, LEFT + width * PITCH + 40)
    return image


def _grid(draw: ImageDraw.ImageDraw, width: int, height: int) -> None:
    """Lines between the cells and numbers along two sides."""
    small = ImageFont.load_default(15)
    right, bottom = LEFT + width * PITCH, TOP + height * PITCH
    for bold in (False, True):
        look: tuple[str, int] = ("#333333", 2) if bold else ("#aaaaaa", 1)
        for n in range(width + 1):
            if (n % 10 == 0) == bold:
                x = LEFT + n * PITCH
                draw.line((x, TOP, x, bottom), fill=look[0], width=look[1])
        for n in range(height + 1):
            if (n % 10 == 0) == bold:
                y = TOP + n * PITCH
                draw.line((LEFT, y, right, y), fill=look[0], width=look[1])
    for n in range(10, width + 1, 10):
        draw.text((LEFT + n * PITCH, TOP - 8), str(n), fill="black", font=small, anchor="mb")
    for n in range(10, height + 1, 10):
        draw.text((LEFT - 8, TOP + n * PITCH), str(n), fill="black", font=small, anchor="rm")


def _key(draw: ImageDraw.ImageDraw, cells: Cells, left: int) -> None:
    """Swatches with the name of what they are for."""
    font = ImageFont.load_default(17)
    for place, index in enumerate(used(cells)):
        y = TOP + 12 + place * 34
        draw.rectangle((left, y, left + 30, y + 22), fill=COLOURS[index][1], outline="black")
        draw.text((left + 42, y + 11), COLOURS[index][0], fill="black", font=font, anchor="lm")


def used(cells: Cells) -> list[int]:
    """Colours that are stitched, in the key's order."""
    return [int(index) for index in np.unique(cells) if index]


def counts_csv(cells: Cells) -> str:
    """The true counts: ``hex,stitches,what``."""
    stream = io.StringIO()
    writer = csv.writer(stream, lineterminator="\n")
    writer.writerow(["hex", "stitches", "what"])
    for index in used(cells):
        name, rgb = COLOURS[index]
        writer.writerow(["#{:02x}{:02x}{:02x}".format(*rgb), int((cells == index).sum()), name])
    return stream.getvalue()


if __name__ == "__main__":
    folder = Path(__file__).parent
    page(design()).save(folder / "lighthouse.png", optimize=True)
    (folder / "lighthouse-counts.csv").write_text(counts_csv(design()), encoding="utf-8")
