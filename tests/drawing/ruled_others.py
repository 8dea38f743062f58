"""Pages that repeat and hold no chart: puzzles, calendars, forms, music, ruled paper."""

from __future__ import annotations

import calendar
from collections.abc import Callable

import numpy as np
from PIL import Image, ImageDraw

from tests.drawing.assets import TEXT_FONTS, font

Rng = np.random.Generator
Draw = ImageDraw.ImageDraw
A4_INCHES = (8.27, 11.69)
MM_IN_INCH = 25.4
LINE = "#333333"


def crossword_page(rng: Rng, dpi: int) -> Image.Image:
    """A crossword of 11 to 19 squares a side, its clues below in columns of lines."""
    page, draw = _sheet(dpi)
    side = int(rng.integers(11, 20))
    cell = int(dpi * rng.uniform(0.2, 0.32))
    left, top = (page.width - side * cell) // 2, dpi
    black = rng.random((side, side)) < rng.uniform(0.12, 0.25)
    black |= black[::-1, ::-1]  # the two halves are alike, as is usual
    small = font("DejaVuSans.ttf", max(6, cell // 4))
    for row in range(side):
        for column in range(side):
            x, y = left + column * cell, top + row * cell
            fill = "#111111" if black[row, column] else None
            draw.rectangle((x, y, x + cell, y + cell), fill=fill, outline=LINE)
            if not fill and rng.random() < 0.25:
                draw.text((x + 2, y + 1), str(int(rng.integers(1, 60))), LINE, small)
    _lines(rng, draw, (dpi // 2, top + side * cell + dpi // 4, page.width - dpi // 2), page, dpi)
    return page


def number_puzzle_page(rng: Rng, dpi: int) -> Image.Image:
    """Two to six number puzzles of nine by nine squares, a third of them filled in."""
    page, draw = _sheet(dpi)
    across, down = 2, int(rng.integers(1, 4))
    cell = int(dpi * rng.uniform(0.24, 0.36))
    face = font("DejaVuSans.ttf", int(cell * 0.6))
    for k in range(across * down):
        left = dpi // 2 + (k % across) * (9 * cell + dpi // 3)
        top = dpi + (k // across) * (9 * cell + dpi // 3)
        for n in range(10):
            width = max(1, dpi // 60) if n % 3 == 0 else 1
            draw.line((left, top + n * cell, left + 9 * cell, top + n * cell), LINE, width)
            draw.line((left + n * cell, top, left + n * cell, top + 9 * cell), LINE, width)
        for row, column in np.argwhere(rng.random((9, 9)) < 0.35):
            place = (left + column * cell + cell // 4, top + row * cell + cell // 8)
            draw.text(place, str(int(rng.integers(1, 10))), LINE, face)
    return page


def calendar_page(rng: Rng, dpi: int) -> Image.Image:
    """A year, twelve months of small numbers, or one month in boxes."""
    page, draw = _sheet(dpi)
    year = int(rng.integers(1950, 2030))
    if rng.random() < 0.5:
        _month(
            draw, (dpi // 2, dpi), (page.width - dpi, page.width), year, int(rng.integers(1, 13))
        )
        return page
    width, height = (page.width - dpi) // 3, (page.height - 2 * dpi) // 4
    for month in range(12):
        corner = (dpi // 2 + month % 3 * width, dpi + month // 3 * height)
        size = (int(width * 0.9), int(height * 0.85))
        _month(draw, corner, size, year, month + 1, boxes=False)
    return page


def _month(
    draw: Draw,
    corner: tuple[int, int],
    size: tuple[int, int],
    year: int,
    month: int,
    boxes: bool = True,
) -> None:
    weeks = calendar.Calendar().monthdayscalendar(year, month)
    step_x, step_y = size[0] / 7, size[1] / (len(weeks) + 1)
    face = font("DejaVuSans.ttf", max(7, int(min(step_x, step_y) * (0.3 if boxes else 0.6))))
    for row, week in enumerate(weeks, start=1):
        for column, day in enumerate(week):
            x, y = corner[0] + column * step_x, corner[1] + row * step_y
            if boxes:
                draw.rectangle((x, y, x + step_x, y + step_y), outline=LINE)
            if day:
                draw.text((x + step_x / 10, y + step_y / 10), str(day), LINE, face)


def form_page(rng: Rng, dpi: int) -> Image.Image:
    """A form or coupon: boxes for letters in rows, lines to write on, captions."""
    page, draw = _sheet(dpi)
    face = font(str(rng.choice(TEXT_FONTS)), max(8, int(dpi * 0.11)))
    box = int(dpi * rng.uniform(0.17, 0.26))
    y = dpi
    while y < page.height - dpi:
        draw.text((dpi // 2, y), "name and place of the sender", LINE, face)
        y += int(dpi * 0.2)
        if rng.random() < 0.6:
            for k in range(int(rng.integers(6, 25))):
                x = dpi // 2 + k * box
                draw.rectangle((x, y, x + box, y + box), outline=LINE)
        else:
            draw.line((dpi // 2, y + box, page.width - dpi // 2, y + box), LINE, 1)
        y += int(dpi * rng.uniform(0.35, 0.6))
    return page


def music_page(rng: Rng, dpi: int) -> Image.Image:
    """Staves of five lines with notes and bars."""
    page, draw = _sheet(dpi)
    step = dpi * rng.uniform(0.06, 0.09)
    for top in np.arange(dpi, page.height - dpi, step * rng.uniform(9, 13)):
        for n in range(5):
            y = int(top + n * step)
            draw.line((dpi // 2, y, page.width - dpi // 2, y), LINE, max(1, dpi // 200))
        x = float(dpi)
        while x < page.width - dpi * 0.6:
            note = float(top + int(rng.integers(-1, 10)) * step / 2)
            draw.ellipse((x, note - step / 2, x + step * 1.3, note + step / 2), fill="#111111")
            draw.line((x + step * 1.25, note, x + step * 1.25, note - step * 3.2), "#111111", 2)
            x += dpi * rng.uniform(0.12, 0.4)
            if rng.random() < 0.2:
                draw.line((x, top, x, top + 4 * step), LINE, 2)
                x += dpi * 0.1
    return page


def ruled_page(rng: Rng, dpi: int) -> Image.Image:
    """Ruled paper, lines to write on 6 to 10 mm apart, with or without writing."""
    page, draw = _sheet(dpi)
    step = dpi * rng.uniform(6, 10) / MM_IN_INCH
    face = font("STIXGeneralItalic.ttf", int(step * 0.7))
    for y in np.arange(dpi, page.height - dpi / 3, step):
        draw.line((0, int(y), page.width, int(y)), "#9db4cc", max(1, dpi // 150))
        if rng.random() < 0.5:
            words = " ".join(_word(rng) for _ in range(9))
            draw.text((dpi // 2, int(y - step * 0.8)), words, "#223355", face)
    draw.line((int(dpi * 0.9), 0, int(dpi * 0.9), page.height), "#cc8888", 2)
    return page


def squared_page(rng: Rng, dpi: int) -> Image.Image:
    """Squared paper, 4 or 5 mm, with writing on it: a grid, but no chart."""
    page, draw = _sheet(dpi)
    step = dpi * float(rng.choice([4, 5])) / MM_IN_INCH
    for y in np.arange(0, page.height, step):
        draw.line((0, int(y), page.width, int(y)), "#b7c9dc", 1)
    for x in np.arange(0, page.width, step):
        draw.line((int(x), 0, int(x), page.height), "#b7c9dc", 1)
    face = font("STIXGeneralItalic.ttf", int(step * 1.4))
    for y in np.arange(dpi, page.height * rng.uniform(0.2, 0.8), 2 * step):
        draw.text((dpi // 2, int(y)), " ".join(_word(rng) for _ in range(7)), "#223355", face)
    return page


def _word(rng: Rng) -> str:
    return "".join(rng.choice(list("aaeeiioubcdfghlmnprstuvw"), int(rng.integers(2, 9))))


def _lines(rng: Rng, draw: Draw, box: tuple[int, int, int], page: Image.Image, dpi: int) -> None:
    left, y, right = box
    face = font("DejaVuSerif.ttf", int(dpi * 0.11))
    width = (right - left) // 3
    while y < page.height - dpi // 3:
        for column in range(3):
            words = f"{int(rng.integers(1, 60))} {_word(rng)} {_word(rng)} ({rng.integers(3, 9)})"
            draw.text((left + column * width, y), words, LINE, face)
        y += int(dpi * 0.15)


def _sheet(dpi: int) -> tuple[Image.Image, Draw]:
    page = Image.new("RGB", (round(A4_INCHES[0] * dpi), round(A4_INCHES[1] * dpi)), "white")
    return page, ImageDraw.Draw(page)


RULED: dict[str, Callable[[Rng, int], Image.Image]] = {
    "crossword": crossword_page,
    "number-puzzle": number_puzzle_page,
    "calendar": calendar_page,
    "form": form_page,
    "music": music_page,
    "ruled": ruled_page,
    "squared": squared_page,
}
