"""A chart split over several pages, with repeats of rows and columns, plain or shaded."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from tests.drawing.style import Cells, Design, Style

Rng = np.random.Generator


@dataclass(frozen=True)
class Cut:
    """One page's share: rows ``r0``..``r1`` and columns ``c0``..``c1``, and its repeats.

    ``repeat`` is the number of rows and of columns at its start that the page before has too.
    """

    r0: int
    r1: int
    c0: int
    c1: int
    repeat: tuple[int, int]


def cuts(rows: int, columns: int, layout: tuple[int, int], overlap: tuple[int, int]) -> list[Cut]:
    """Pages of ``layout`` (rows, columns) of nearly equal shares, in reading order."""
    tall = np.linspace(0, rows, layout[0] + 1).round().astype(int)
    wide = np.linspace(0, columns, layout[1] + 1).round().astype(int)
    found = []
    for i in range(layout[0]):
        for j in range(layout[1]):
            down, across = overlap[0] if i else 0, overlap[1] if j else 0
            found.append(
                Cut(
                    int(tall[i]) - down,
                    int(tall[i + 1]),
                    int(wide[j]) - across,
                    int(wide[j + 1]),
                    (down, across),
                )
            )
    return found


def part_of(design: Design, cut: Cut) -> Design:
    """The design's cells on one page."""
    return replace(design, cells=design.cells[cut.r0 : cut.r1, cut.c0 : cut.c1])


def page_style(style: Style, cut: Cut, rows: int, columns: int, shaded: bool, open_: bool) -> Style:
    """``style`` for one page: numbers and bold lines run on from the chart's start."""
    inner = (cut.c0 > 0, cut.r0 > 0, cut.c1 < columns, cut.r1 < rows)
    return replace(
        style,
        first=(cut.c0, cut.r0),
        shade=cut.repeat if shaded else (0, 0),
        open_sides=inner if open_ else (False,) * 4,
    )


def joins_are_told(cells: Cells, found: list[Cut], most: int = 6) -> bool:
    """Whether every join has but one overlap of up to ``most`` at which the cells agree.

    For joins side by side the page to the left, else the page above, is what a page is held
    against; two blank margins agree at any overlap and so tell nothing.
    """
    for cut in found:
        for axis, start in ((1, cut.c0), (0, cut.r0)):
            true = cut.repeat[1] if axis == 1 else cut.repeat[0]
            if start == 0:
                continue
            block = cells[cut.r0 : cut.r1] if axis == 1 else cells[:, cut.c0 : cut.c1].T
            end = start + true  # the page before ends here
            for k in range(1, most + 1):
                before = block[:, end - k : end]
                mine = block[:, start : start + k]
                if before.shape != mine.shape:
                    continue
                agree = bool((before == mine).mean() > 0.97)
                if agree != (k == true):
                    return False
    return True
