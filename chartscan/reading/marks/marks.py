"""The marks that were found, and the cells without what they did to them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chartscan.chart import ChartClass, Knot, Line, Part
from chartscan.reading.classes.classify import Classes


@dataclass(frozen=True, eq=False)
class Marks:
    """The cells without what marks did to them, and the marks.

    Attributes:
        cells: class index per cell, shape (rows, columns); split cells are empty.
        classes: classes in use, in order, with a ``line`` or ``knot`` class per ink of each kind.
        parts, lines, knots: the marks, with class indices into ``classes``.
        doubtful: (row, column) of cells with something over them that is none of these.
        settled: (row, column) of cells whose fill the marks over them left plain, whatever was in
            doubt before.
        anew: the classes the cells were sorted into once marks were known; None where they stayed
            in those they had.
        plain: whether every cell was seen to be one colour and every grid line to run on unchanged.
    """

    cells: NDArray[np.int32]
    classes: tuple[ChartClass, ...]
    parts: tuple[Part, ...] = ()
    lines: tuple[Line, ...] = ()
    knots: tuple[Knot, ...] = ()
    doubtful: tuple[tuple[int, int], ...] = ()
    settled: tuple[tuple[int, int], ...] = ()
    anew: Classes | None = None
    plain: bool = False
