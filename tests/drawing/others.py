"""Pages of an archive that hold no chart: text, adverts, photographs, tables, as scanned pages."""

from __future__ import annotations

import io
from collections.abc import Callable
from dataclasses import replace

import numpy as np
from PIL import Image, ImageDraw

from tests.drawing import scan
from tests.drawing.assets import TEXT_FONTS, font, photograph
from tests.drawing.corpus import draw
from tests.drawing.render import Page
from tests.drawing.ruled_others import RULED

Rng = np.random.Generator
A4_INCHES = (8.27, 11.69)
PHOTOGRAPHS = ("astronaut.png", "coffee.png", "chelsea.png", "rocket.jpg")
WORDS = (
    *("the", "thread", "a", "stitch", "of", "cloth", "and", "over", "in", "two", "needle", "with"),
    *("colour", "ground", "from", "each", "first", "row", "then", "work", "centre", "across"),
    *("count", "linen", "edge", "hem", "fold", "wash", "press", "border", "motif", "corner"),
)

Draw = ImageDraw.ImageDraw


def text_page(rng: Rng, dpi: int) -> Image.Image:
    """Columns of text under a title, sometimes with a picture in them."""
    page, draw = _sheet(rng, dpi)
    left, top, right, bottom = _title(rng, page, draw)
    columns = int(rng.integers(1, 4))
    width = (right - left) // columns
    for column in range(columns):
        x = left + column * width
        y = top
        if rng.random() < 0.3:
            y = _picture(rng, page, (x, y, x + width - dpi // 8, y + width * 2 // 3)) + dpi // 10
        _text(rng, draw, (x, y, x + width - dpi // 8, bottom), dpi)
    return page


def advert_page(rng: Rng, dpi: int) -> Image.Image:
    """Boxes with headlines, prices and pictures, some on colour."""
    page, draw = _sheet(rng, dpi)
    across, down = int(rng.integers(1, 4)), int(rng.integers(2, 6))
    margin = dpi // 3
    width = (page.width - 2 * margin) // across
    height = (page.height - 2 * margin) // down
    for row in range(down):
        for column in range(across):
            x, y = margin + column * width, margin + row * height
            box = (x + 4, y + 4, x + width - 8, y + height - 8)
            fill = tuple(int(v) for v in rng.integers(150, 256, 3)) if rng.random() < 0.4 else None
            draw.rectangle(box, fill=fill, outline="#333333", width=int(rng.integers(1, 5)))
            inner = (box[0] + dpi // 12, box[1] + dpi // 12, box[2] - dpi // 12, box[3] - dpi // 12)
            if rng.random() < 0.4:
                _picture(rng, page, inner)
            else:
                head = font(str(rng.choice(TEXT_FONTS)), max(10, height // 8))
                draw.text(inner[:2], str(rng.choice(WORDS)).upper(), "#222222", head)
                _text(rng, draw, (inner[0], inner[1] + height // 5, *inner[2:]), dpi)
    return page


def photograph_page(rng: Rng, dpi: int) -> Image.Image:
    """A finished piece, a portrait, a room: a picture that fills the page or most of it."""
    page, draw = _sheet(rng, dpi)
    margin = int(rng.choice([0, dpi // 3]))
    foot = page.height - margin - int(rng.choice([0, dpi]))
    _picture(rng, page, (margin, margin, page.width - margin, foot))
    if foot < page.height - dpi // 2:
        _text(rng, draw, (dpi // 2, foot + dpi // 10, page.width - dpi // 2, page.height), dpi)
    return page


def table_page(rng: Rng, dpi: int) -> Image.Image:
    """A ruled table of threads or prices: rows all alike, columns of different widths."""
    page, draw = _sheet(rng, dpi)
    left, top, right, bottom = _title(rng, page, draw)
    columns = int(rng.integers(3, 9))
    shares = rng.uniform(1, 4, columns)
    edges = left + np.round(np.cumsum([0.0, *shares]) / shares.sum() * (right - left)).astype(int)
    step = int(dpi * rng.uniform(0.16, 0.4))
    size = max(7, int(step * 0.6))
    face = font(str(rng.choice(TEXT_FONTS)), size)
    ys = range(top, bottom - step, step)
    for y in ys:
        draw.line((left, y, right, y), fill="#444444", width=int(dpi > 180) + 1)
        for start in edges[:-1]:
            word = str(rng.choice(WORDS)) if rng.random() < 0.6 else str(rng.integers(1, 4000))
            draw.text((int(start) + size // 3, y + step // 6), word[:step], "#222222", face)
    if rng.random() < 0.6:
        for x in edges:
            draw.line((int(x), top, int(x), ys[-1]), fill="#444444", width=1)
    return page


def _sheet(rng: Rng, dpi: int) -> tuple[Image.Image, Draw]:
    page = Image.new("RGB", (round(A4_INCHES[0] * dpi), round(A4_INCHES[1] * dpi)), "white")
    return page, ImageDraw.Draw(page)


def _title(rng: Rng, page: Image.Image, draw: Draw) -> tuple[int, int, int, int]:
    """A headline; the box that is left below it."""
    margin = page.width // int(rng.integers(9, 16))
    size = page.width // int(rng.integers(14, 30))
    head = font(str(rng.choice(TEXT_FONTS)), size)
    draw.text((margin, margin), " ".join(rng.choice(WORDS, 3)).title(), "#111111", head)
    return margin, margin + 2 * size, page.width - margin, page.height - margin


def _text(rng: Rng, draw: Draw, box: tuple[int, int, int, int], dpi: int) -> None:
    """Lines of words, with paragraphs, from the top of ``box`` to its end."""
    size = max(8, int(dpi * rng.uniform(0.1, 0.17)))  # 7 to 12 points
    face = font(str(rng.choice(TEXT_FONTS)), size)
    x, y, right, bottom = box
    while y + size < bottom:
        line = ""
        while draw.textlength(line, face) < right - x:
            line += f"{rng.choice(WORDS)} "
        if rng.random() < 0.12:
            line = line[: len(line) // 2]
        draw.text((x, y), line.rsplit(" ", 2)[0], "#1a1a1a", face)
        y += int(size * 1.25)


def _picture(rng: Rng, page: Image.Image, box: tuple[int, int, int, int]) -> int:
    """A photograph fitted into ``box``; where it ends below."""
    picture = photograph(str(rng.choice(PHOTOGRAPHS)))
    width, height = max(box[2] - box[0], 8), max(box[3] - box[1], 8)
    part = rng.uniform(0.4, 1.0)
    cut = (int(picture.width * part), int(picture.height * part))
    left = int(rng.integers(0, picture.width - cut[0] + 1))
    top = int(rng.integers(0, picture.height - cut[1] + 1))
    part_of_it = picture.crop((left, top, left + cut[0], top + cut[1]))
    shown = part_of_it.resize((width, height))
    page.paste(shown, box[:2])
    return box[1] + height


OTHERS: dict[str, Callable[[Rng, int], Image.Image]] = {
    "text": text_page,
    "advert": advert_page,
    "photograph": photograph_page,
    "table": table_page,
    **RULED,
}
DPI = (150, 200, 300)
WIDEST = 800  # px of a chart that is put among text


def draw_other(kind: str, seed: int, *, dpi: int | None = None) -> bytes:
    """Page ``seed`` of a kind, scanned well or badly, as JPEG; by number, the same."""
    rng = np.random.default_rng([seed, *kind.encode()])
    return _scanned(rng, OTHERS[kind](rng, dpi or int(rng.choice(DPI))))


def draw_among_text(seed: int) -> bytes:
    """A chart that takes a quarter of the width of a page of text, or up to half of it, as JPEG."""
    rng = np.random.default_rng([seed, *b"among text"])
    chart = _clean_chart(seed)
    for more in range(1, 100):
        if chart.width <= WIDEST:
            break
        chart = _clean_chart(100 * seed + more)
    width = max(A4_INCHES[0] * min(DPI), chart.width / rng.uniform(0.25, 0.5))
    page = text_page(rng, round(width / A4_INCHES[0]))
    left = int(rng.integers(0, page.width - chart.width))
    top = int(rng.integers(0, max(page.height - chart.height, 1)))
    page.paste(chart, (left, top))
    return _scanned(rng, page)


def _clean_chart(seed: int) -> Image.Image:
    (picture,) = draw("clean", seed).files.values()
    return Image.open(io.BytesIO(picture)).convert("RGB")


def _scanned(rng: Rng, page: Image.Image) -> bytes:
    how = scan.medium(rng) if rng.random() < 0.3 else scan.mild(rng)
    nowhere = np.zeros((2, 2, 2))
    got = scan.scanned(rng, Page(np.asarray(page), nowhere), replace(how, gutter=0.0))
    made = io.BytesIO()
    Image.fromarray(got.pixels).save(made, "JPEG", quality=how.quality)
    return made.getvalue()
