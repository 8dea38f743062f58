"""Whether there is anything to explain, and whether the marks found explain it."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.marks.fills import Mask
from chartscan.reading.marks.marks import Marks
from chartscan.reading.marks.patches import difference
from chartscan.reading.marks.templates.flat import Cells, Flat
from chartscan.reading.marks.templates.result import Found
from chartscan.reading.marks.templates.template import template_of
from chartscan.reading.marks.templates.wide import without_wide_lines


@dataclass(frozen=True)
class VerdictSettings:
    """When marks are believed.

    Attributes:
        suspect: part of the cells, and least number, that must be doubtful, of small classes or
            off their class for marks to be looked for. A run of three cells crosses as many.
        more: how many cells may be off the classes that are held for sure, at first, for each that
            was off those given: where it is more, the page is too uneven for pictures of cells.
            As a program drew the page, and on soft ones: there more may be crossed than were off,
            as lines that cross many cells alike make classes of those.
        class_: cells from which on a class is sure to be one: its picture is held against them. As
            a part of all cells and in number, at least and at most: the fewer cells, the fewer are
            crossed alike by chance.
        side: part of a class that lies along one side of the chart, from which on it isn't sure:
            the frame that lies over those cells may have made it.
        mark: what a line, a knot or a split cell costs, in cells that nothing explains; a class
            costs as many as ``class_``. On 19 drawn pages with marks the sum was 16 and more, on
            five without it was below -6.
        split: part of the stitched cells that may be split: part stitches are the exception. Where
            the white of glyphs was taken for pieces of paper, 113 of 120 were.
        under: part of those explained that must lie under marks: it is marks that explain them. It
            was 0.45 and more on 12 drawn pages with marks, and none where a hard scan had none.
        left: what marks explain, as a part of the cells that nothing explains, at least. It was 0.7
            and more on five drawn pages with marks, 0.4 where written digits were taken for knots.
        met: part of the cells under marks that must have been off before on a soft page. It was
            0.4 and more on drawn pages with marks, and 0.02 where the soft edges of fills were
            taken for lines.
        seen: the same, from which on lines seem to be there though they don't explain enough: then
            it is asked. It was 0.2 at most where none were.
    """

    suspect: tuple[float, int] = (0.003, 3)
    more: tuple[float, float] = (4.0, 3.0)
    class_: tuple[float, int, int] = (0.04, 3, 12)
    side: float = 0.9
    mark: float = 0.5
    split: float = 0.5
    under: float = 0.3
    left: float = 0.5
    met: float = 0.05
    seen: float = 0.3

    def sure(self, cells: int) -> int:
        """Cells from which on a class is sure to be one, on a chart of so many ``cells``."""
        part, least, most = self.class_
        return int(np.clip(part * cells, least, most))


def is_suspect(given: Marks, unsure: Mask, settings: VerdictSettings = VerdictSettings()) -> bool:
    """Whether enough cells are ``unsure`` (rows, columns) or of small classes; costs nothing."""
    count = np.bincount(given.cells.ravel(), minlength=len(given.classes))
    return _are_enough(unsure | (count < settings.sure(given.cells.size))[given.cells], settings)


def _are_enough(cells: Mask, settings: VerdictSettings) -> bool:
    share, least = settings.suspect
    return bool(cells.sum() >= max(least, share * cells.size))


@dataclass(frozen=True, eq=False)
class Sighted:
    """The page as the classes first given explain it.

    Attributes:
        flat: the page, wide lines taken out of what is compared.
        off: cells that they don't explain, shape (n,).
    """

    flat: Flat
    off: Mask

    def enough(self, settings: VerdictSettings) -> bool:
        """Whether there is something to explain."""
        return _are_enough(self.off, settings)

    def bears(self, odd: Mask, settings: VerdictSettings) -> bool:
        """Whether the classes that are held for sure leave no more ``odd`` (n,) than marks make.

        That is never half of the cells: a class looks as most of its cells do. On three old prints
        61 to 65 % were, on pages with marks 8 to 16 %.
        """
        if 2 * odd.sum() > odd.size:
            return False
        return bool(odd.any() and odd.sum() <= settings.more[int(self.flat.soft)] * self.off.sum())


def first_sight(flat: Flat, given: Marks, settings: VerdictSettings = VerdictSettings()) -> Sighted:
    """See which cells the ``given`` classes don't explain: they are off the picture of their class.

    So are the cells of small classes, which marks make of larger ones.
    """
    cells = given.cells.ravel()
    count = np.bincount(cells, minlength=len(given.classes))
    beside = _along_sides(given.cells, count) >= settings.side
    sure = ((count >= settings.sure(cells.size)) & ~beside)[cells]
    differs = np.zeros(flat.cells.shape[:3], dtype=np.bool_)
    for number in np.unique(cells[sure]):
        mine = np.flatnonzero(cells == number)
        template = template_of(flat, mine)
        apart = difference(flat.cells[mine], template.picture[None])
        differs[mine] = apart > flat.tolerance + template.spread
    flat = without_wide_lines(flat, differs, sure)
    inside = differs[:, flat.inner]
    covered = flat.covered(np.arange(len(cells)))
    if covered is not None:
        inside &= ~covered
    return Sighted(flat, ~sure | (inside.mean(axis=1) > flat.odd))


def _along_sides(cells: NDArray[np.int32], count: NDArray[np.int_]) -> NDArray[np.float64]:
    """The part of each class (of ``count`` cells) that lies along one and the same side."""
    sides = (cells[0], cells[-1], cells[:, 0], cells[:, -1])
    most = np.max([np.bincount(side, minlength=len(count)) for side in sides], axis=0)
    return np.asarray(most / np.maximum(count, 1), dtype=np.float64)


def accounts(
    flat: Flat, given: Marks, before: Mask, found: Found, settings: VerdictSettings
) -> bool:
    """Whether the marks explain more of what was off ``before`` than they cost.

    Cells that nothing explains, classes and marks are weighed in one sum. Cells of classes that
    are too small to be sure are explained neither by those given nor by those found.
    """
    if not found.count:
        return False
    bare = np.array([chart_class.kind == "empty" for chart_class in given.classes])
    if found.pieces.cells.sum() > settings.split * (~bare[given.cells]).sum():
        return False
    over = found.over(flat)
    which = found.labels.which
    sure = settings.sure(which.size)
    small = np.bincount(which)[which] < sure
    after = found.unread | small & ~over
    explained = before & ~after
    if (explained & over).sum() < settings.under * explained.sum():
        return False
    if flat.soft and (over & before).sum() < settings.met * over.sum():
        return False
    gain = (explained & over).sum() - (after & ~before).sum()
    beside_left = (explained & over).sum() >= settings.left * after.sum()
    if gain <= 0 or not beside_left:  # then no class went by these marks
        return False
    fewer = _fewer(given.cells.ravel(), which, over)
    return bool(gain + sure * fewer > settings.mark * found.count)


def _fewer(before: NDArray[np.int32], after: Cells, over: Mask) -> int:
    """How many classes the marks spare: those that went, less those that are new.

    A class goes where the usual label of its cells is that of a larger one. Only those most of
    whose cells lie under marks count: else the small ones of a page without would be merged.
    """
    pairs = np.zeros((int(before.max()) + 1, int(after.max()) + 1), dtype=np.intp)
    np.add.at(pairs, (before, after), 1)
    count = pairs.sum(axis=1)
    order = np.argsort(-count, kind="stable")[: np.count_nonzero(count)]
    usual = pairs.argmax(axis=1)[order]
    kept, first = np.unique(usual, return_index=True)
    marked = np.bincount(before, over, len(count))[order] > count[order] / 2
    marked[first] = False
    return int(marked.sum()) + len(kept) - int(pairs.any(axis=0).sum())


def unexplained(
    flat: Flat, given: Marks, before: Mask, found: Found, settings: VerdictSettings
) -> Marks | None:
    """The ``given`` marks, cells doubtful that lines seem to lie over; None where none seem to."""
    over = found.over(flat)
    if not found.drawn or (over & before).sum() < settings.seen * over.sum():
        return None
    places = np.argwhere((before & (over | found.unread)).reshape(flat.shape))
    return replace(given, doubtful=tuple((int(row), int(column)) for row, column in places))
