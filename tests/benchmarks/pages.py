"""Large pages that reading is timed on: clean charts, a scan that lies aslant, a photograph."""

from __future__ import annotations

import numpy as np
from PIL import Image, ImageFilter

from tests.drawing.symbols import SHAPES, mask


def colours(number: int, rng: np.random.Generator) -> np.ndarray:
    """Colours at least 20 levels apart in some channel, white first."""
    steps = np.arange(15, 240, 32)
    grid = np.stack(np.meshgrid(steps, steps, steps), axis=-1).reshape(-1, 3)
    chosen = rng.permutation(len(grid))[: number - 1]
    return np.concatenate([[[255, 255, 255]], grid[chosen]]).astype(np.uint8)


def draw(
    columns: int, rows: int, pitch: int, number: int, margin: int, *, symbols: bool = False
) -> Image.Image:
    """A chart with thin lines, every tenth bold, in a white margin; a glyph a colour or none."""
    rng = np.random.default_rng(7)
    small = rng.integers(0, number, (rows, columns))
    cells = small[_blocks(rows, rng)[:, None], _blocks(columns, rng)]
    cells[rng.integers(0, rows, 400), rng.integers(0, columns, 400)] = 1
    page = colours(number, rng)[np.kron(cells, np.ones((pitch, pitch), np.intp))]
    if symbols:
        _stamp(page, cells, pitch)
    for turned in (page, page.swapaxes(0, 1)):
        turned[:, ::pitch] = 150
        turned[:, :: 10 * pitch] = 0
        turned[:, -1] = 0
    frame = ((margin, margin), (margin, margin), (0, 0))
    return Image.fromarray(np.pad(page, frame, constant_values=255))


def _blocks(cells: int, rng: np.random.Generator) -> np.ndarray:
    """Which block of one to five cells each cell along a side lies in.

    Were all of three, colours would change at every third line only, and hairlines that a
    photograph hardly shows be all that tells three cells from one.
    """
    return np.repeat(np.arange(cells), rng.integers(1, 6, cells))[:cells]


def _stamp(page: np.ndarray, cells: np.ndarray, pitch: int) -> None:
    """Print a glyph into every cell but those of class 0, black or white, whichever shows."""
    side = pitch // 2
    inset = (pitch - side) // 2
    glyphs = [mask(name, side, side)[..., None] for name in sorted(SHAPES)]
    for row, column in np.argwhere(cells > 0):
        top, left = row * pitch + inset, column * pitch + inset
        inside = page[top : top + side, left : left + side]
        ink = 0 if inside[0, 0].mean() > 110 else 255
        glyph = glyphs[cells[row, column] % len(glyphs)]
        inside[:] = inside * (1 - glyph) + ink * glyph


def scanned(page: Image.Image) -> Image.Image:
    """The page as a flatbed scanner sees it: a little turned, soft, noisy, on cream paper."""
    turned = page.rotate(1.3, resample=Image.Resampling.BICUBIC, fillcolor=(250, 248, 240))
    return noisy(turned.filter(ImageFilter.GaussianBlur(1.5)), 3.0)


def photographed(page: Image.Image, size: tuple[int, int] = (4000, 3000)) -> Image.Image:
    """The page on a table, seen aslant by a telephone held over it: 12 megapixels."""
    width, height = page.size
    lies = np.array([(0.075, 0.083), (0.9125, 0.04), (0.9625, 0.967), (0.0375, 0.917)]) * size
    corners = [(0, 0), (width, 0), (width, height), (0, height)]
    seen = page.transform(
        size,
        Image.Transform.PERSPECTIVE,
        _perspective(lies, np.array(corners, dtype=np.float64)),
        resample=Image.Resampling.BICUBIC,
        fillcolor=(120, 100, 80),
    ).filter(ImageFilter.GaussianBlur(1.6))
    y, x = np.mgrid[0 : size[1], 0 : size[0]].astype(np.float32)
    darker = 1 - 0.25 * ((x / size[0] - 0.5) ** 2 + (y / size[1] - 0.5) ** 2)
    return noisy(Image.fromarray((np.asarray(seen) * darker[..., None]).astype(np.uint8)), 4.0)


def _perspective(seen: np.ndarray, page: np.ndarray) -> tuple[float, ...]:
    """The eight coefficients that Pillow takes a place seen back to the page by."""
    rows, values = [], []
    for (x, y), (u, v) in zip(seen, page, strict=True):
        rows += [(x, y, 1, 0, 0, 0, -u * x, -u * y), (0, 0, 0, x, y, 1, -v * x, -v * y)]
        values += [u, v]
    return tuple(np.linalg.solve(np.array(rows), np.array(values)))


def noisy(page: Image.Image, deviation: float) -> Image.Image:
    """Noise of each pixel, and half as much of each of its channels."""
    rng = np.random.default_rng(3)
    values = np.asarray(page, dtype=np.float32)
    values = values + rng.normal(0, deviation, values.shape[:2]).astype(np.float32)[..., None]
    values += rng.normal(0, deviation / 2, values.shape).astype(np.float32)
    return Image.fromarray(np.clip(values, 0, 255).astype(np.uint8))
