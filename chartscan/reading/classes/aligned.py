"""A lattice moved so that the glyphs of each group lie in the same place of every cell.

Where fills and strokes hide the lines, or paper bends between them, a lattice may lie a little
beside the cells there; the glyphs themselves show by how much.

Source: B. D. Lucas and T. Kanade, An iterative image registration technique with an application
to stereo vision, IJCAI 1981: the shift that explains best, by least squares over a window, how
what is seen differs from what it is held against, along the gradients of that.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.classes.usual import FEW, QUIET
from chartscan.reading.filters import smoothed
from chartscan.reading.lattice.model import Lattice
from chartscan.reading.scale import NODES

NEARER = 0.99  # part of the cells that is nearer than the hundredth that is farthest off

Points = NDArray[np.float64]
Labels = NDArray[np.intp]


@dataclass(frozen=True)
class AlignSettings:
    """How far glyphs move a lattice.

    Attributes:
        window: standard deviation of the window that a shift is told from, in cells.
        usual: standard deviation of the shifts before any glyph is seen, in cells.
        glyph: lightness by which a glyph stands out; what less is seen in a group is lines, and
            what bleeds over them from the cells beside.
        same: how alike two means are, from which on they show one glyph.
        aside: how many places that may then lie aside.
        odd: how much more than is usual in its group a cell may differ, as a ratio, to count.
        passes: how many times the shifts tell where the means lie, and these the shifts again; a
            group that lies nearly whole where paper bends takes some ten to follow its neighbours.
        most: shift taken at most, in cells; a glyph's mean tells its slope no farther.
        moved: shift of the hundredth part of the cells that is farthest off, in cells, from which
            on it is worth looking at them anew.
        left: part of such a shift, at most, that is found anew where cells are looked at again. In
            19 of 20 cases on 14 drawn scans, photographs and plates (seeds 1320001 to 1320004) it
            was 0.11 to 0.62; in one, where shifts were cut at ``most``, 0.72.
    """

    window: float = 2.0
    usual: float = 0.05
    glyph: float = 10.0
    same: float = 0.9
    aside: int = 2
    odd: float = 2.0
    passes: int = 12
    most: float = 0.12
    moved: float = 0.015
    left: float = 0.62


@dataclass(frozen=True, eq=False)
class Aligned:
    """A lattice moved by what the glyphs tell.

    Attributes:
        lattice: the lattice.
        settled: whether what would be found next is surely next to nothing.
    """

    lattice: Lattice
    settled: bool


def aligned(
    lattice: Lattice,
    light: NDArray[np.floating],
    labels: Labels,
    inside: float,
    settings: AlignSettings = AlignSettings(),
) -> Aligned | None:
    """The lattice moved by what the glyphs tell; None where that is next to nothing.

    Args:
        lattice: where the cells were looked at.
        light: lightness of even places inside every cell, shape (rows, columns, n, n).
        labels: group of each cell, shape (rows, columns).
        inside: part of a cell's side that those places cover.
        settings: how far glyphs move a lattice.
    """
    shift = _shifts(light, labels, inside, settings)
    size = np.hypot(shift[..., 0], shift[..., 1])
    far = float(np.quantile(size, NEARER))
    if far < settings.moved:
        return None
    moved = _moved(lattice, np.clip(shift, -settings.most, settings.most), settings)
    return Aligned(moved, settled=far * settings.left < settings.moved)


def scatter(light: NDArray[np.floating], labels: Labels) -> float:
    """Sum of the squares by which cells (rows, columns, n, n) differ from their groups' means."""
    cells, numbers = light.reshape(labels.size, -1), labels.ravel()
    groups = (cells[numbers == k] for k in np.flatnonzero(np.bincount(numbers)))
    return float(sum(((here - here.mean(axis=0)) ** 2).sum() for here in groups))


def _shifts(
    light: NDArray[np.floating], labels: Labels, inside: float, settings: AlignSettings
) -> Points:
    """How far right and down each cell's glyph lies, in cells: (rows, columns, 2).

    A cell tells how far it lies from its group's mean, and that mean lies aside with the cells it
    is made of: of a colour that is stitched only where paper bends its neighbours tell.
    """
    rows, columns, side = light.shape[:3]
    cells, numbers = light.reshape(-1, side, side), labels.ravel()
    square = np.zeros((len(cells), 3))  # of the slopes: across, both, down
    pull = np.zeros((len(cells), 2))
    against = np.arange(int(numbers.max()) + 1)  # the group whose mean each group is held against
    for k, (first, mean) in _references(cells, numbers, settings).items():
        here = numbers == k
        square[here], pull[here] = _normal_equations(cells[here], mean, settings)
        against[k] = first
    step = inside / side  # cells a place
    rest = (step / settings.usual) ** 2 / (4 * np.pi * settings.window**2)
    whole = _windowed(square.reshape(rows, columns, 3), settings.window)
    whole += np.array((rest, 0, rest))
    shift = np.zeros((len(cells), 2))
    for _ in range(settings.passes):
        lies = _means(shift, numbers)[against[numbers]]
        around = (pull + _times(square, lies)).reshape(rows, columns, 2)
        shift = _solved(whole, _windowed(around, settings.window)).reshape(-1, 2)
    return np.asarray(shift.reshape(rows, columns, 2) * step, dtype=np.float64)


def _means(shift: Points, numbers: Labels) -> Points:
    """How far the mean glyph of each group lies aside: that of its cells' shifts (k, 2)."""
    counts = np.maximum(np.bincount(numbers), 1)
    sums = [np.bincount(numbers, weights=along) for along in shift.T]
    return np.asarray(np.stack(sums, axis=1) / counts[:, None])


def _times(square: Points, vectors: Points) -> Points:
    """Symmetric matrices (n, 3: across, both, down) times vectors (n, 2)."""
    (across, both, down), (x, y) = square.T, vectors.T
    return np.stack([across * x + both * y, both * x + down * y], axis=1)


def _solved(square: Points, pull: Points) -> Points:
    """The vectors (..., 2) that symmetric matrices (..., 3) take to ``pull`` (..., 2)."""
    across, both, down = np.moveaxis(square, -1, 0)
    size = across * down - both**2
    right = (down * pull[..., 0] - both * pull[..., 1]) / size
    below = (across * pull[..., 1] - both * pull[..., 0]) / size
    return np.stack([right, below], axis=-1)


def _windowed(values: Points, deviation: float) -> Points:
    """Values (rows, columns, n) summed over a Gaussian window; nought lies beyond."""
    down = smoothed(values, deviation, 0, "constant")
    return np.asarray(smoothed(down, deviation, 1, "constant"))


def _references(
    cells: NDArray[np.floating], numbers: Labels, settings: AlignSettings
) -> dict[int, tuple[int, Points]]:
    """What the cells of each group with a glyph are held against: a group, and its mean (n, n).

    It is their own, or that of a larger group with the same glyph: where the lattice is far off
    they may have been taken for two.
    """
    found = np.flatnonzero(np.bincount(numbers) >= FEW)
    every = [cells[numbers == k].mean(axis=0, dtype=np.float64) for k in found]
    shown = [np.abs(mean - np.median(mean)).max() >= settings.glyph for mean in every]
    if not any(shown):
        return {}
    found, means = found[shown], np.stack(every)[shown]
    # Itself is the last that each can be like: groups before it are as large or larger.
    alike = np.tri(len(means), dtype=np.bool_) & _same_glyph(means, settings)
    firsts = alike.argmax(axis=1)
    return {int(k): (int(found[i]), means[i]) for k, i in zip(found, firsts, strict=True)}


def _same_glyph(means: Points, settings: AlignSettings) -> NDArray[np.bool_]:
    """Which of the means (k, n, n) show the same glyph, a few places aside: (k, k)."""
    aside = range(-settings.aside, settings.aside + 1)
    same = np.eye(len(means), dtype=np.bool_)
    for down, right in ((down, right) for down in aside for right in aside):
        moved, back = _overlap(means, down, right), _overlap(means, -down, -right)
        same |= _correlation(moved, back) >= settings.same
    return same


def _overlap(glyphs: Points, down: int, right: int) -> Points:
    """The part of glyphs (..., n, n) that is left where they are moved by whole places."""
    height, width = glyphs.shape[-2:]
    rows = slice(max(0, -down), height - max(0, down))
    return glyphs[..., rows, max(0, -right) : width - max(0, right)]


def _correlation(ones: Points, others: Points) -> Points:
    """How alike glyphs (k, n, m) are: 1 where they are equal, shade aside: (k, k)."""
    a, b = (part.reshape(len(part), -1) for part in (ones, others))
    a, b = (part - part.mean(axis=1, keepdims=True) for part in (a, b))
    squares = (a**2).sum(axis=1)[:, None] + (b**2).sum(axis=1)
    return np.asarray(2 * (a @ b.T) / np.maximum(squares, 1e-9))


def _normal_equations(
    cells: NDArray[np.floating], mean: Points, settings: AlignSettings
) -> tuple[Points, Points]:
    """What each cell of a group (k, n, n) tells of its shift from a mean, in units of noise."""
    slopes = np.stack([np.gradient(mean, axis=k).ravel() for k in (1, 0)])
    slopes -= slopes.mean(axis=1, keepdims=True)
    off = (cells - mean).reshape(len(cells), -1)
    off -= off.mean(axis=1, keepdims=True)
    along, _ = np.linalg.qr(slopes.T)
    rest = np.maximum((off**2).sum(axis=1) - ((off @ along) ** 2).sum(axis=1), 0)
    amount = np.sqrt(rest / off.shape[1])  # of what no shift explains: noise, specks of dust
    usual = max(float(np.median(amount)), QUIET)
    weight = (amount <= settings.odd * usual) / usual**2
    xx, xy, yy = slopes[0] @ slopes[0], slopes[0] @ slopes[1], slopes[1] @ slopes[1]
    # A glyph that lies to the right of the mean's is darker where the mean's slope rises.
    return weight[:, None] * (xx, xy, yy), -weight[:, None] * (off @ slopes.T)


def _moved(lattice: Lattice, shift: Points, settings: AlignSettings) -> Lattice:
    """The lattice with cells moved by ``shift``, in cells."""
    nx, ny = (max(2, int(np.ceil(n / NODES)) + 1) for n in (lattice.columns, lattice.rows))
    u, v = np.linspace(0, lattice.columns, nx), np.linspace(0, lattice.rows, ny)
    nodes = np.stack(np.meshgrid(u, v), axis=-1)
    at = np.clip(nodes, 0.5, np.subtract((lattice.columns, lattice.rows), 0.5)) - 0.5
    step = _between(shift, at)
    flat = replace(lattice, residual=np.zeros((0, 0, 2)))
    residual = lattice.to_pixels(nodes + step) - flat.to_pixels(nodes)
    return replace(lattice, residual=residual)


def _between(values: Points, at: Points) -> Points:
    """Values (rows, columns, 2) at places (..., 2) between the middles of cells, bilinear."""
    rows, columns = values.shape[:2]
    first = np.minimum(at.astype(np.intp), np.maximum(np.subtract((columns, rows), 2), 0))
    part = at - first
    (i, j), (s, t) = np.moveaxis(first, -1, 0), np.moveaxis(part, -1, 0)[..., None]
    right, below = np.minimum(i + 1, columns - 1), np.minimum(j + 1, rows - 1)
    top = values[j, i] * (1 - s) + values[j, right] * s
    bottom = values[below, i] * (1 - s) + values[below, right] * s
    return np.asarray(top * (1 - t) + bottom * t)
