"""A page at places between its pixels, by cubic splines (de Boor, A Practical Guide to Splines)."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from chartscan.cores import mapped
from chartscan.reading.lattice.rectified import parts

CUBIC = 3  # order of the splines
STRIP = 128  # rows or columns that are resampled in one go

Levels = NDArray[np.uint8]
Values = NDArray[np.float32]
Places = NDArray[np.floating]


def at_each(levels: Levels, y: Places, x: Places) -> Values:
    """What ``levels`` (height, width) are at places, in their shape; pixels lie at whole ones."""
    from scipy import ndimage

    spline = np.empty(levels.shape, dtype=np.float32)
    found = np.empty(y.shape, dtype=np.float32)

    def bend_down(columns: slice) -> None:
        spline[:, columns] = _bent(levels[:, columns].T).T

    def bend_across(rows: slice) -> None:
        spline[rows] = _bent(spline[rows])

    def look(rows: slice) -> None:
        ndimage.map_coordinates(
            spline, [y[rows], x[rows]], found[rows], order=CUBIC, mode="nearest", prefilter=False
        )

    mapped(bend_down, parts(levels.shape[1], STRIP))
    mapped(bend_across, parts(levels.shape[0], STRIP))
    mapped(look, parts(len(found), STRIP))
    return found


def where_crossing(levels: Levels, down: Places, across: Places) -> Values:
    """The same where rows at places ``down`` cross columns at places ``across``: (down, across).

    One way after the other: four pixels tell a place each way, not sixteen.
    """
    lines = np.empty((len(down), levels.shape[1]), dtype=np.float32)
    found = np.empty((len(down), len(across)), dtype=np.float32)

    def look_down(columns: slice) -> None:
        lines[:, columns] = _along(levels[:, columns].T, down).T

    def look_across(rows: slice) -> None:
        found[rows] = _along(lines[rows], across)

    mapped(look_down, parts(levels.shape[1], STRIP))
    mapped(look_across, parts(len(down), STRIP))
    return found


def _along(rows: NDArray[np.uint8] | Values, places: Places) -> Values:
    """What each of some rows (n, m) is at places along it: (n, places)."""
    spline, last = _bent(rows), rows.shape[1] - 1
    place = np.clip(np.asarray(places, dtype=np.float64), 0, last)
    first = np.floor(place).astype(np.intp) - 1
    found = np.zeros((len(rows), len(place)), dtype=np.float32)
    for tap in range(CUBIC + 1):
        pixel = first + tap
        mirrored = last - np.abs(last - np.abs(pixel))
        found += spline.take(mirrored, axis=1) * _weight(place - pixel)
    return found


def _weight(off: NDArray[np.float64]) -> Values:
    """What a coefficient adds ``off`` pixels from it, less than two: the cubic B-spline."""
    far = np.abs(off)
    near = 2 / 3 - far**2 * (1 - far / 2)
    return np.where(far < 1, near, (2 - far) ** CUBIC / math.factorial(CUBIC)).astype(np.float32)


def _bent(rows: NDArray[np.uint8] | Values) -> Values:
    """The coefficients of the spline through each of some rows (n, m), mirrored at its ends."""
    from scipy import ndimage

    spline = rows.astype(np.float32, order="C")
    ndimage.spline_filter1d(spline, CUBIC, axis=1, output=spline)
    return spline
