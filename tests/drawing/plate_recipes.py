"""Recipes of old printed plates: one ink, a lattice drawn by hand, crosses of varying weight."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw
from scipy import ndimage

from tests.drawing import light as L
from tests.drawing import warp as W
from tests.drawing.assets import font
from tests.drawing.common import fewer, single
from tests.drawing.designs import Maker, border, design, mirrored, wallpaper
from tests.drawing.render import Canvas, Page, export, rule_lines, stamp_glyphs, start
from tests.drawing.sample import Group, Rng, Sample
from tests.drawing.style import BLACK, Design, Pixels, Rule, Style
from tests.drawing.styles import pick

DENSE = ("cross", "solid", "white ★", "white small dot", "hatch", "square", "white plus")
MAKERS: tuple[Maker, ...] = (border, mirrored, wallpaper)


@dataclass(frozen=True)
class Ruled:
    """A plate of crosses on a finely ruled ground.

    Attributes:
        pitch: cell in pixels. threads: ruled threads in a cell each way.
        heavy: share of a cell that the dark lines at cell edges take.
        weights: thickness of each class's cross, in cells.
    """

    pitch: int
    threads: int
    heavy: float
    weights: tuple[float, ...]


def dense(rng: Rng) -> tuple[Design, Page]:
    """Every cell filled: blacks, crosses, hatches, white signs on black, a drawn lattice."""
    pitch = int(rng.integers(18, 26))
    rows, columns = (int(rng.integers(25, 60)) for _ in range(2))
    chart = design(rng, rows, columns, 5, 3.0, maker=MAKERS[int(rng.integers(3))])
    names = [DENSE[int(i)] for i in rng.permutation(len(DENSE))]
    chart = fewer(chart, min(chart.classes - 1, len(names)))
    chart = replace(chart, symbols=(None, *names[: chart.classes - 1]))
    line = Rule(1, BLACK)
    style = Style(
        pitch=pitch, minor=line, bold=None, frame=line, one_ink=True,
        glyph=0.8, solid=(pitch - 3) / pitch, margin=(50, 40, 45, 60),
    )  # fmt: skip
    canvas = start(chart, style)
    stamp_glyphs(canvas, chart, style)
    rule_lines(canvas, style)
    return chart, export(canvas, style)


def crosses(rng: Rng) -> tuple[Design, Page]:
    """Crosses from corner to corner on ruled ground, shades told by their weight."""
    pitch = int(rng.integers(14, 24))
    rows, columns = (int(rng.integers(25, 70)) for _ in range(2))
    shades = int(pick(rng, 1, 1, 2, 3))
    chart = design(rng, rows, columns, shades, 3.0, maker=MAKERS[int(rng.integers(3))])
    weights = {1: (0.2,), 2: (0.1, 0.28), 3: (0.09, 0.2, 0.36)}[chart.classes - 1]
    chart = replace(chart, symbols=(None, *(f"weight {w}" for w in weights)))
    ruled = Ruled(pitch, int(rng.integers(3, 5)), rng.uniform(0.14, 0.2), weights)
    return chart, _ruled_page(chart, ruled, (70, 30, 35, 70))


def _ruled_page(chart: Design, ruled: Ruled, margin: tuple[int, int, int, int]) -> Page:
    style = Style(pitch=ruled.pitch, minor=None, bold=None, frame=None, one_ink=True)
    canvas = start(chart, replace(style, margin=margin))
    tile = _thread_tile(ruled)
    tiles = [tile, *(_cross_tile(ruled.pitch, w) for w in ruled.weights)]
    x0, y0 = int(canvas.x[0]), int(canvas.y[0])
    picture = np.array(tiles)[chart.cells].transpose(0, 2, 1, 3)
    area = canvas.pixels[y0 : int(canvas.y[-1]), x0 : int(canvas.x[-1])]
    area[:] = picture.reshape(*area.shape[:2])[:, :, None]
    return export(_numbered(canvas, chart), style)


def _thread_tile(ruled: Ruled) -> Pixels:
    """One empty cell: a weave of fine lines, heavier where cells meet."""
    n = ruled.pitch * 8
    place = np.arange(n) / n
    thread = (place * ruled.threads) % 1
    dark = (np.abs(thread - 0.5) > 0.36) | (np.minimum(place, 1 - place) < ruled.heavy / 2)
    tile = np.where(dark[:, None] | dark[None, :], 60, 255).astype(np.uint8)
    small = Image.fromarray(tile).resize((ruled.pitch, ruled.pitch), Image.Resampling.BOX)
    return np.asarray(small)


def _cross_tile(pitch: int, weight: float) -> Pixels:
    """One stitched cell: two strokes from corner to corner, thinner at the middle."""
    n = pitch * 8
    image = Image.new("L", (n, n), 255)
    draw = ImageDraw.Draw(image)
    end, mid = weight * n * 0.7, weight * n * 0.35
    stroke = [
        (0.0, 0.0), (end, 0.0), (n / 2 + mid, n / 2 - mid), (n, n - end),
        (n, n), (n - end, n), (n / 2 - mid, n / 2 + mid), (0.0, end),
    ]  # fmt: skip
    draw.polygon(stroke, fill=0)
    draw.polygon([(n - x, y) for x, y in stroke], fill=0)
    return np.asarray(image.resize((pitch, pitch), Image.Resampling.BOX))


def _numbered(canvas: Canvas, chart: Design) -> Canvas:
    """Numbers every ten cells at the left and below, counted from the bottom left corner."""
    image = Image.fromarray(canvas.pixels)
    draw = ImageDraw.Draw(image)
    size = 18
    letters = font("DejaVuSerif.ttf", size)
    left, low = int(canvas.x[0]), int(canvas.y[-1])
    for i in range(10, chart.columns + 1, 10):
        x = int(canvas.x[i])
        draw.line((x, low, x, low + 8), BLACK, 2)
        draw.text((x, low + 10 + size), str(i), BLACK, letters, anchor="ms")
    for i in range(10, chart.rows + 1, 10):
        y = int(canvas.y[len(canvas.y) - 1 - i])
        draw.line((left - 8, y, left, y), BLACK, 2)
        draw.text((left - 12, y), str(i), BLACK, letters, anchor="rm")
    return Canvas(np.array(image), canvas.x, canvas.y)


def printed(rng: Rng, page: Page, pitch: float) -> Page:
    """Hand and press: lines wander, ink spreads and fails, edges are rough."""
    height, width = page.pixels.shape[:2]
    size = (width, height)
    far = W.wander(rng, size, rng.uniform(1, 3), 8 * pitch)
    near = W.wander(rng, size, rng.uniform(0.4, 1.2), 2 * pitch)
    bent = W.bend(page, W.chain(far, W.chain(near, W.turned(page, rng.uniform(-0.6, 0.6)))))
    lit = L.to_light(bent.pixels)[:, :, 0]
    rough: NDArray[np.float64] = ndimage.gaussian_filter(rng.normal(size=lit.shape), 0.8)
    rough *= rng.uniform(0.03, 0.1) / rough.std()
    worn: NDArray[np.float64] = ndimage.gaussian_filter(rng.normal(size=lit.shape), 25)
    worn *= 0.08 / worn.std()
    value = ndimage.gaussian_filter(lit, 0.7) + rough + worn
    ink = np.clip((value - 0.5) * rng.uniform(3, 8) + 0.5, 0, 1)
    grey = L.to_pixels(np.asarray(0.03 + 0.95 * ink, np.float32))
    return Page(np.repeat(grey[:, :, None], 3, axis=2), bent.crossings)


def plate(rng: Rng) -> Sample:
    """An old plate of one of the two kinds."""
    chart, page = dense(rng) if rng.random() < 0.4 else crosses(rng)
    pitch = float(page.crossings[0, 1, 0] - page.crossings[0, 0, 0])
    page = printed(rng, page, pitch)
    style = Style(one_ink=True)
    return single(page, chart, style, "JPEG", int(rng.integers(80, 93)))


PLATE_GROUPS: dict[str, Group] = {"plate": plate}
