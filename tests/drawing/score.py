"""How right a reading is: the judging of a chart against its truth.

Classes are paired one to one so that most cells agree; empty goes with empty only. A reading of
another size is laid over the truth where it fits best, and cells outside the overlap are wrong.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy import optimize, signal
from skimage.color import deltaE_ciede2000, rgb2lab

from tests.drawing.score_marks import MarkScore, score_marks

Grid = NDArray[np.int64]

WHITE = 255


@dataclass(frozen=True)
class Score:
    """The figures of one reading.

    Attributes:
        size: whether columns and rows are both right. accuracy: share of cells right, 0..1.
        perfect: size right and every cell right. wrong: number of wrong cells in the overlap.
        wrong_flagged: how many of these are listed as doubtful.
        flagged: share of all cells that is.
        classes: (read, true) number of stitch classes. shift: (rows, columns) of the best fit.
        marks: per kind, where the truth has marks.
        off: CIEDE2000 of the class farthest from the colour it was drawn in; None where no class
            has one, as in one ink.
    """

    size: bool
    accuracy: float
    perfect: bool
    wrong: int
    wrong_flagged: int
    flagged: float
    classes: tuple[int, int]
    shift: tuple[int, int]
    marks: Mapping[str, MarkScore]
    off: float | None = None


@dataclass(frozen=True)
class _Fit:
    shift: tuple[int, int]
    right: int
    union: int
    pairs: dict[int, int]

    @property
    def accuracy(self) -> float:
        return self.right / self.union


def stitch_grid(cells: Sequence[Sequence[int]], classes: Sequence[Mapping[str, Any]]) -> Grid:
    """Cells with every empty class as 0 and stitch class i as i + 1."""
    lookup = np.array([0 if c["kind"] == "empty" else c["index"] + 1 for c in classes], np.int64)
    return np.asarray(lookup[np.asarray(cells, np.int64)])


def score(truth: Mapping[str, Any], chart: Mapping[str, Any]) -> Score:
    """The figures of ``chart`` (a decoded chart file) against ``truth``."""
    full = stitch_grid(truth["cells"], truth["classes"])
    got = stitch_grid(chart["cells"], chart["classes"])
    forms = [full if f == "full" else _trimmed(full) for f in truth.get("accept", ["full"])]
    fits = [_best_fit(form, got) for form in forms]
    form, fit = max(zip(forms, fits, strict=True), key=lambda pair: pair[1].accuracy)
    ours, theirs = _overlap(form.shape, got.shape, fit.shift)
    lookup = np.full(max(int(got.max()), max(fit.pairs.values(), default=0)) + 1, -1)
    lookup[0] = 0
    for true, read in fit.pairs.items():
        lookup[read] = true
    wrong = form[ours] != lookup[got[theirs]]
    doubtful = np.zeros(got.shape, bool)
    for row, column in chart.get("doubtful") or ():
        doubtful[row, column] = True
    size = form.shape == got.shape
    pairs = {t - 1: r - 1 for t, r in fit.pairs.items()}
    marks = score_marks(truth, chart, fit.shift, pairs) if "lines" in truth else {}
    return Score(
        size=size,
        accuracy=fit.accuracy,
        perfect=bool(size and fit.shift == (0, 0) and fit.right == form.size),
        wrong=int(wrong.sum()),
        wrong_flagged=int((wrong & doubtful[theirs]).sum()),
        flagged=float(doubtful.mean()),
        classes=(_stitch_classes(chart), _stitch_classes(truth)),
        shift=fit.shift,
        marks=marks,
        off=_colours_off(truth["classes"], chart["classes"], pairs),
    )


def _colours_off(
    true: Sequence[Mapping[str, Any]], read: Sequence[Mapping[str, Any]], pairs: Mapping[int, int]
) -> float | None:
    """The largest CIEDE2000 of paired classes that have a colour in both; None without any."""
    colours = [(true[t].get("rgb"), read[r].get("rgb")) for t, r in pairs.items()]
    told = np.array([both for both in colours if None not in both], dtype=np.float64)
    if not len(told):
        return None
    drawn, seen = (rgb2lab(told[:, side] / WHITE) for side in (0, 1))
    return float(deltaE_ciede2000(drawn, seen).max())


def _stitch_classes(chart: Mapping[str, Any]) -> int:
    return sum(c["kind"] == "stitch" for c in chart["classes"])


def _trimmed(grid: Grid) -> Grid:
    rows, columns = np.nonzero(grid)
    return grid[rows.min() : rows.max() + 1, columns.min() : columns.max() + 1]


def _overlap(
    ours: tuple[int, ...], theirs: tuple[int, ...], shift: tuple[int, int]
) -> tuple[tuple[slice, slice], tuple[slice, slice]]:
    """Slices of the two grids where they lie over each other, theirs moved by ``shift``."""
    a, b = [], []
    for n, m, move in zip(ours, theirs, shift, strict=True):
        low, high = max(0, move), max(max(0, move), min(n, m + move))
        a.append(slice(low, high))
        b.append(slice(low - move, high - move))
    return (a[0], a[1]), (b[0], b[1])


def _fit(truth: Grid, got: Grid, shift: tuple[int, int]) -> _Fit:
    """Pair classes at one shift."""
    ours, theirs = _overlap(truth.shape, got.shape, shift)
    a, b = truth[ours].ravel(), got[theirs].ravel()
    width = int(got.max()) + 1
    height = int(truth.max()) + 1
    table = np.bincount(a * width + b, minlength=height * width).reshape(height, width)
    stitches = table[1:, 1:]
    rows, columns = optimize.linear_sum_assignment(-stitches)
    right = int(table[0, 0]) + int(stitches[rows, columns].sum())
    pairs = {int(r) + 1: int(c) + 1 for r, c in zip(rows, columns, strict=True) if stitches[r, c]}
    return _Fit(shift, right, truth.size + got.size - a.size, pairs)


def _best_fit(truth: Grid, got: Grid) -> _Fit:
    """The best of no shift and the shifts at which colour changes fall together."""
    best = _fit(truth, got, (0, 0))
    if best.right == best.union:
        return best
    for shift in _likely_shifts(truth, got):
        fit = _fit(truth, got, shift)
        if fit.accuracy > best.accuracy:
            best = fit
    return best


def _likely_shifts(truth: Grid, got: Grid, number: int = 12) -> list[tuple[int, int]]:
    total: NDArray[np.float64] | None = None
    for axis in (0, 1):
        maps = []
        for grid in (truth, got):
            change = np.zeros(grid.shape)
            inner = (slice(0, -1), slice(None)) if axis == 0 else (slice(None), slice(0, -1))
            change[inner] = np.diff(grid, axis=axis) != 0
            maps.append(change - change.mean())
        fit = signal.fftconvolve(maps[0], maps[1][::-1, ::-1])
        total = fit if total is None else total + fit
    if total is None:
        return []
    best = np.argsort(-total, axis=None)[:number]
    rows, columns = np.unravel_index(best, total.shape)
    return [
        (int(r) - got.shape[0] + 1, int(c) - got.shape[1] + 1)
        for r, c in zip(rows, columns, strict=True)
    ]
