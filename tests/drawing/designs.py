"""Invented designs: figures, borders, wallpapers, gradients, confetti, lettering.

Every maker takes a random generator, a size and a number of colours, and gives cells of shape
(rows, columns) with 0 for the ground and 1.. for colours. :func:`design` picks one, drops colours
that fell out and adds the colours' sRGB.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw
from scipy import ndimage

from tests.drawing.assets import font, photograph
from tests.drawing.palettes import colours_apart
from tests.drawing.style import RGB, WHITE, Cells, Design

Rng = np.random.Generator
Maker = Callable[[Rng, int, int, int], Cells]
Field = NDArray[np.float64]

WORDS = ("HOME", "STITCH", "Lily & Fern", "1897", "abc", "Tea for Two", "XOXO", "Noel", "IIII")
SCENES = ("astronaut.png", "chelsea.png", "coffee.png", "rocket.jpg")
FIGURES = "☃♞♜♛✿❀✈☎♣♥★☂☀☘✂♫⚓☠☁⛄♘❄✚☯"


def _grid(rows: int, columns: int) -> tuple[Field, Field]:
    """Row and column of every cell in units of the half size, from -1 to 1."""
    y, x = np.mgrid[0:rows, 0:columns].astype(float)
    return (2 * y + 1) / rows - 1, (2 * x + 1) / columns - 1


def _levels(values: Field, count: int) -> Cells:
    """``values`` cut into 1..count at equal shares of their range."""
    span = float(np.ptp(values)) or 1.0
    part: Cells = ((values - values.min()) / span * count).astype(np.int32)
    return np.clip(part, 0, count - 1) + 1


def _smooth(rng: Rng, rows: int, columns: int, sigma: float) -> Field:
    """A smooth random field."""
    return np.asarray(ndimage.gaussian_filter(rng.normal(size=(rows, columns)), sigma, mode="wrap"))


def blobs(rng: Rng, rows: int, columns: int, count: int) -> Cells:
    """Ellipses and boxes laid over each other on bare ground."""
    y, x = _grid(rows, columns)
    cells = np.zeros((rows, columns), np.int32)
    for i in range(int(rng.integers(count, 3 * count + 3))):
        turn = rng.uniform(0, np.pi)
        dx, dy = x - rng.uniform(-0.7, 0.7), y - rng.uniform(-0.7, 0.7)
        u = (dx * np.cos(turn) + dy * np.sin(turn)) / rng.uniform(0.08, 0.6)
        v = (dy * np.cos(turn) - dx * np.sin(turn)) / rng.uniform(0.08, 0.6)
        norm = (1.0, 2.0, 2.0, 4.0)[int(rng.integers(4))]
        cells[np.abs(u) ** norm + np.abs(v) ** norm < 1] = i % count + 1
    return cells


def figure(rng: Rng, rows: int, columns: int, count: int) -> Cells:
    """A silhouette from a font, outlined in one colour and shaded inside in the others."""
    size = int(min(rows, columns) * 1.1)
    sign = FIGURES[int(rng.integers(len(FIGURES)))]
    image = Image.new("L", (columns, rows))
    ImageDraw.Draw(image).text(
        (columns / 2, rows / 2), sign, 255, font("DejaVuSans.ttf", max(6, size)), anchor="mm"
    )
    inside = np.asarray(image) > 100
    depth = np.asarray(ndimage.distance_transform_edt(inside))
    shade = _levels(depth + 2 * _smooth(rng, rows, columns, 2), max(1, count - 1)) + 1
    cells = np.where(inside, shade, 0)
    cells[inside & (depth <= 1)] = 1
    return np.minimum(cells, count).astype(np.int32)


def landscape(rng: Rng, rows: int, columns: int, count: int) -> Cells:
    """Wavy bands from side to side, ground above."""
    y, x = _grid(rows, columns)
    cells = np.zeros((rows, columns), np.int32)
    for i in range(count):
        top = -0.7 + 1.6 * i / count
        wave = rng.uniform(0.02, 0.2) * np.sin(x * rng.uniform(2, 9) + rng.uniform(0, 6))
        cells[y > top + wave] = i + 1
    cells[:, : max(1, columns // 20)] = 0
    return cells


def border(rng: Rng, rows: int, columns: int, count: int) -> Cells:
    """A small motif repeated round the sides, the middle left bare."""
    motif = rng.integers(0, count + 1, size=(int(rng.integers(3, 8)), int(rng.integers(3, 9))))
    band = np.tile(motif, (1, max(rows, columns) // motif.shape[1] + 1))
    deep = min(motif.shape[0], rows // 3, columns // 3)
    cells = np.zeros((rows, columns), np.int32)
    cells[:deep] = band[:deep, :columns]
    cells[-deep:] = band[:deep, :columns][::-1]
    cells[:, :deep] = band[:deep, :rows].T
    cells[:, -deep:] = band[:deep, :rows].T[:, ::-1]
    return cells


def wallpaper(rng: Rng, rows: int, columns: int, count: int) -> Cells:
    """A tile carried on by mirrors, turns or glides, as in the symmetric wallpaper groups."""
    h, w = int(rng.integers(3, 12)), int(rng.integers(3, 12))
    tile = rng.integers(0, count + 1, size=(h, w))
    kind = int(rng.integers(5))
    if kind == 1:
        tile = np.hstack([tile, tile[:, ::-1]])
    elif kind == 2:
        tile = np.block([[tile, tile[:, ::-1]], [tile[::-1], tile[::-1, ::-1]]])
    elif kind == 3:
        tile = np.hstack([tile, tile[::-1, ::-1]])
    elif kind == 4:
        square = tile[: min(h, w), : min(h, w)]
        tile = np.block([[square, np.rot90(square, 3)], [np.rot90(square), np.rot90(square, 2)]])
    again = (rows // tile.shape[0] + 1, columns // tile.shape[1] + 1)
    return np.tile(tile, again)[:rows, :columns].astype(np.int32)


def confetti(rng: Rng, rows: int, columns: int, count: int) -> Cells:
    """Dithered shades: neighbours mixed cell by cell, inside a rounded shape."""
    y, x = _grid(rows, columns)
    base = _smooth(rng, rows, columns, max(1.5, min(rows, columns) / 8))
    base = base / (np.ptp(base) or 1) + rng.normal(0, 0.12, size=base.shape)
    cells = _levels(base, count)
    cells[np.abs(x) ** 3 + np.abs(y) ** 3 > rng.uniform(0.7, 1.1)] = 0
    return cells


def gradient(rng: Rng, rows: int, columns: int, count: int) -> Cells:
    """Shades one beside the other, straight, slanting or round."""
    y, x = _grid(rows, columns)
    turn = rng.uniform(0, np.pi)
    straight = x * np.cos(turn) + y * np.sin(turn)
    values = straight if rng.random() < 0.6 else -np.hypot(x, y)
    cells = _levels(values, count)
    edge = int(rng.integers(1, max(2, min(rows, columns) // 8)))
    framed = np.zeros_like(cells)
    framed[edge:-edge, edge:-edge] = cells[edge:-edge, edge:-edge]
    return framed


def mirrored(rng: Rng, rows: int, columns: int, count: int) -> Cells:
    """A random growth mirrored left to right (and perhaps top to bottom)."""
    half = _smooth(rng, rows, (columns + 1) // 2, rng.uniform(0.8, 2.5))
    cells = _levels(half, count)
    cells[half < np.quantile(half, rng.uniform(0.3, 0.6))] = 0
    whole = np.hstack([cells, cells[:, : columns // 2][:, ::-1]])
    if rng.random() < 0.3:
        whole[rows - rows // 2 :] = whole[: rows // 2][::-1]
    return whole


def lettering(rng: Rng, rows: int, columns: int, count: int) -> Cells:
    """Words, a colour per line of text."""
    cells = np.zeros((rows, columns), np.int32)
    size = int(np.clip(rows / rng.uniform(2, 6), 7, 60))
    names = (
        "DejaVuSans.ttf",
        "DejaVuSerif.ttf",
        "DejaVuSansMono-Bold.ttf",
        "DejaVuSerif-Italic.ttf",
    )
    letters = font(names[int(rng.integers(len(names)))], size)
    for line, top in enumerate(range(1, rows - 3, size + 2)):
        image = Image.new("1", (columns, rows))
        word = WORDS[int(rng.integers(len(WORDS)))]
        ImageDraw.Draw(image).text((1 + int(rng.integers(4)), top), word, 1, letters)
        cells[np.asarray(image)] = line % count + 1
    return cells


def stars(rng: Rng, rows: int, columns: int, count: int) -> Cells:
    """Polygon stars and diamonds scattered about, some over each other."""
    image = Image.new("I", (columns, rows))
    draw = ImageDraw.Draw(image)
    for i in range(int(rng.integers(count, 4 * count + 4))):
        spikes, big = int(rng.integers(4, 9)), rng.uniform(2, max(3, min(rows, columns) / 4))
        small, turn = big * rng.uniform(0.3, 0.8), rng.uniform(0, 3)
        angle = turn + np.pi * np.arange(2 * spikes) / spikes
        reach = np.where(np.arange(2 * spikes) % 2, small, big)
        cx, cy = rng.uniform(0, columns), rng.uniform(0, rows)
        corners = [
            (float(a), float(b))
            for a, b in zip(cx + reach * np.cos(angle), cy + reach * np.sin(angle), strict=True)
        ]
        draw.polygon(corners, fill=i % count + 1)
    return np.array(image, dtype=np.int32)


def scene(rng: Rng, rows: int, columns: int, count: int) -> Cells:
    """A part of a photograph brought down to so many shades, as picture charts are made."""
    whole = photograph(SCENES[int(rng.integers(len(SCENES)))])
    share = rng.uniform(0.4, 1.0)
    width = min(whole.width, whole.height * columns / rows) * share
    height = width * rows / columns
    left, top = rng.uniform(0, whole.width - width), rng.uniform(0, whole.height - height)
    box = (int(left), int(top), int(left + width), int(top + height))
    small = whole.resize((columns, rows), Image.Resampling.BOX, box)
    cells = np.asarray(small.quantize(count, dither=Image.Dither.NONE), np.int32) + 1
    if rng.random() < 0.6:
        y, x = _grid(rows, columns)
        cells = np.where(x * x + y * y > rng.uniform(0.6, 1.2), 0, cells)
    return cells.astype(np.int32)


MAKERS: tuple[Maker, ...] = (
    blobs,
    figure,
    landscape,
    border,
    wallpaper,
    confetti,
    gradient,
    mirrored,
    lettering,
    stars,
    scene,
)


def finish(cells: Cells, colours: NDArray[np.uint8], ground: RGB = WHITE) -> Design:
    """A design of ``cells``; classes that no cell uses are dropped, the ground stays class 0."""
    used = np.union1d([0], np.unique(cells))
    lookup = np.zeros(int(used.max()) + 1, np.int32)
    lookup[used] = np.arange(len(used))
    table = np.vstack([np.array([ground], np.uint8), colours[: int(used.max())]])
    return Design(lookup[cells].astype(np.int32), table[used])


def design(
    rng: Rng,
    rows: int,
    columns: int,
    count: int,
    apart: float = 12.0,
    ground: RGB = WHITE,
    maker: Maker | None = None,
) -> Design:
    """A random design of up to ``count`` colours at least ``apart`` (ΔE76) from one another."""
    colours = colours_apart(rng, count, apart, ground)
    for _ in range(20):
        chosen = maker or MAKERS[int(rng.integers(len(MAKERS)))]
        cells = chosen(rng, rows, columns, len(colours))
        if (cells > 0).mean() > 0.02 and tells_pitch(cells):
            return finish(cells, colours, ground)
    return finish(blobs(rng, rows, columns, len(colours)), colours, ground)


def tells_pitch(cells: Cells) -> bool:
    """Whether the colour changes alone fix the pitch: their places have no common divisor."""
    for axis in (0, 1):
        change = np.flatnonzero((np.diff(cells, axis=axis) != 0).any(axis=1 - axis))
        if len(change) < 2 or int(np.gcd.reduce(np.diff(change))) != 1:
            return False
    return True
