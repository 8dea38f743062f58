"""Bending a drawn page: turns, perspective, lens, paper that isn't flat.

Every warp is a pair of functions on points: ``back`` takes places on the finished picture to
places on the flat page (that is how pixels are fetched), ``forth`` the other way (that is how
truth moves).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PIL import Image
from scipy import ndimage

from tests.drawing.render import Page
from tests.drawing.style import RGB, Pixels, Points

Move = Callable[[Points], Points]
_MESH = 20  # pixels between places at which the warp is computed; straight in between


@dataclass(frozen=True)
class Warp:
    """A bend: picture ``size`` (width, height) afterwards, ``back`` and ``forth`` as above."""

    size: tuple[int, int]
    back: Move
    forth: Move


def by_matrix(matrix: NDArray[np.float64], size: tuple[int, int]) -> Warp:
    """A projective warp; ``matrix`` (3, 3) takes page to picture."""
    inverse = np.asarray(np.linalg.inv(matrix), np.float64)

    def move(m: NDArray[np.float64]) -> Move:
        def moved(points: Points) -> Points:
            h = points @ m[:, :2].T + m[:, 2]
            return np.asarray(h[:, :2] / h[:, 2:])

        return moved

    return Warp(size, move(inverse), move(matrix))


def by_shift(shift: Move, size: tuple[int, int]) -> Warp:
    """A small smooth warp: a picture place p shows the page at p + ``shift(p)``."""

    def back(points: Points) -> Points:
        return points + shift(points)

    def forth(points: Points) -> Points:
        found = points.copy()
        for _ in range(12):
            found = points - shift(found)
        return found

    return Warp(size, back, forth)


def lens(k1: float, k2: float, size: tuple[int, int]) -> Warp:
    """Radial lens distortion round the picture's middle; radii in half diagonals.

    D. C. Brown, "Decentering distortion of lenses", Photogrammetric Engineering 32 (1966); from
    memory.
    """
    middle = np.array(size) / 2
    reach = float(np.hypot(*middle))

    def shift(points: Points) -> Points:
        out = (points - middle) / reach
        square = (out**2).sum(axis=1, keepdims=True)
        return np.asarray(out * (k1 * square + k2 * square**2) * reach)

    return by_shift(shift, size)


def wander(rng: np.random.Generator, size: tuple[int, int], amount: float, grain: float) -> Warp:
    """Smooth random wandering of up to about ``amount`` pixels, with features ``grain`` wide."""
    width, height = size
    step = max(2.0, grain / 4)
    rows, columns = int(height / step) + 4, int(width / step) + 4
    fields = [ndimage.gaussian_filter(rng.normal(size=(rows, columns)), 2.0) for _ in range(2)]
    fields = [amount * f / (np.abs(f).max() or 1.0) for f in fields]

    def shift(points: Points) -> Points:
        where = points[:, ::-1].T / step + 1
        parts = [ndimage.map_coordinates(f, where, order=3, mode="nearest") for f in fields]
        return np.stack(parts, axis=1)

    return by_shift(shift, size)


def fold(at: float, depth: float, wide: float, size: tuple[int, int], upright: bool) -> Warp:
    """A fold or gutter at ``at`` pixels: the paper dips, so that lines draw together near it."""
    axis = 0 if upright else 1

    def shift(points: Points) -> Points:
        away = (points[:, axis] - at) / wide
        out = np.zeros_like(points)
        out[:, axis] = depth * away * np.exp(-(away**2))
        out[:, 1 - axis] = 0.35 * depth * np.exp(-(away**2))
        return out

    return by_shift(shift, size)


def turned(page: Page, degrees: float) -> Warp:
    """A turn about the middle, the picture grown to hold the whole page."""
    height, width = page.pixels.shape[:2]
    a = np.radians(degrees)
    c, s = np.cos(a), np.sin(a)
    new = (int(width * abs(c) + height * abs(s)) + 1, int(width * abs(s) + height * abs(c)) + 1)
    matrix = np.array(
        [
            [c, -s, new[0] / 2 - c * width / 2 + s * height / 2],
            [s, c, new[1] / 2 - s * width / 2 - c * height / 2],
            [0, 0, 1],
        ]
    )
    return by_matrix(matrix, new)


def tilted(page: Page, tilt: float, toward: float, roll: float, distance: float = 2.2) -> Warp:
    """Perspective of a camera held ``tilt`` degrees off the page's normal, ``toward`` a side.

    ``roll`` turns the picture; ``distance`` is the camera's distance in page diagonals.
    """
    height, width = page.pixels.shape[:2]
    far = distance * float(np.hypot(width, height))
    t, d, r = np.radians([tilt, toward, roll])
    axis = np.array([np.cos(d), np.sin(d), 0.0])
    cross = np.array([[0, 0, axis[1]], [0, 0, -axis[0]], [-axis[1], axis[0], 0]])
    turn = np.eye(3) + np.sin(t) * cross + (1 - np.cos(t)) * cross @ cross
    spin = np.array([[np.cos(r), -np.sin(r), 0], [np.sin(r), np.cos(r), 0], [0, 0, 1]])
    place = spin @ turn
    flat = np.column_stack([place[:, 0], place[:, 1], [0, 0, far]])
    camera = (
        np.diag([far, far, 1.0])
        @ flat
        @ np.array([[1, 0, -width / 2], [0, 1, -height / 2], [0, 0, 1.0]])
    )
    corners = np.array([[0, 0], [width, 0], [0, height], [width, height]], float)
    seen = by_matrix(camera, (1, 1)).forth(corners)
    room = 0.08 * np.ptp(seen, axis=0)
    low = seen.min(axis=0) - room
    new = np.ceil(seen.max(axis=0) + room - low).astype(int)
    move = np.array([[1, 0, -low[0]], [0, 1, -low[1]], [0, 0, 1]])
    return by_matrix(move @ camera, (int(new[0]), int(new[1])))


def bend(page: Page, warp: Warp, fill: RGB = (255, 255, 255)) -> Page:
    """The page seen through ``warp``; ``fill`` where there is no page."""
    pixels = _fetch(Image.fromarray(page.pixels), warp, fill)
    flat = page.crossings.reshape(-1, 2)
    return Page(pixels, warp.forth(flat).reshape(page.crossings.shape))


def covered(page: Page, warp: Warp) -> NDArray[np.float32]:
    """How much of each picture pixel is page, 0..1, shape (height, width)."""
    full = Image.new("L", (page.pixels.shape[1], page.pixels.shape[0]), 255)
    return np.asarray(_fetch(full, warp, 0), np.float32) / np.float32(255)


def chain(first: Warp, second: Warp) -> Warp:
    """``first``, then ``second``, in one fetch of pixels."""
    return Warp(
        second.size,
        lambda points: first.back(second.back(points)),
        lambda points: second.forth(first.forth(points)),
    )


def _fetch(image: Image.Image, warp: Warp, fill: RGB | int) -> Pixels:
    width, height = warp.size
    xs, ys = (np.append(np.arange(0, n, _MESH), n) for n in (width, height))
    nodes = np.stack(np.meshgrid(xs, ys), axis=-1).reshape(-1, 2).astype(float)
    source = warp.back(nodes).reshape(len(ys), len(xs), 2)
    mesh = []
    for i in range(len(ys) - 1):
        for j in range(len(xs) - 1):
            box = (int(xs[j]), int(ys[i]), int(xs[j + 1]), int(ys[i + 1]))
            quad = np.array(
                [source[i, j], source[i + 1, j], source[i + 1, j + 1], source[i, j + 1]]
            )
            mesh.append((box, tuple(float(v) for v in quad.ravel())))
    how = Image.Resampling.BICUBIC
    out = image.transform(warp.size, Image.Transform.MESH, mesh, how, fillcolor=fill)
    return np.array(out)
