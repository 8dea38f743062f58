"""Marks over the cells: part stitches, backstitch and French knots, and the cells freed of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from chartscan.chart import ChartClass
from chartscan.reading.cells.sampling import sample
from chartscan.reading.classes.classify import Told
from chartscan.reading.classes.sorting import Sight
from chartscan.reading.lattice.model import Lattice
from chartscan.reading.marks.glance import is_bare
from chartscan.reading.marks.marks import Marks
from chartscan.reading.marks.patches import squared
from chartscan.reading.marks.sight import SightSettings
from chartscan.reading.page.page import Page


def find_marks(
    page: Page,
    lattice: Lattice,
    cells: NDArray[np.int32],
    classes: tuple[ChartClass, ...],
    told: Told = Told(),
    sight: Sight | None = None,
    doubtful: Sequence[tuple[int, int]] = (),
    settings: SightSettings = SightSettings(),
) -> Marks:
    """Find the marks that lie over ``cells`` and take their traces out of the cells.

    ``cells`` (rows × columns, indices into ``classes``) may be wrong where a mark covers a cell; if
    they are at odds with the page all over, they are sorted anew, as ``told``. ``sight``: how they
    were looked at, where the colour of their middle doesn't tell all; ``doubtful``: (row, column)
    of those that might as well be of another class. A page without marks
    comes back as it went in.
    """
    untouched = Marks(cells, classes)
    if min(lattice.pitch) < settings.pitch:
        return untouched
    square = squared(lattice)
    if square is not None:
        tolerance = settings.tolerance(lossless=page.lossless)
        if is_bare(page, square, cells, tolerance):
            return replace(untouched, plain=True)
        marks = _over_fills(page, square, untouched, tolerance, told, settings)
        if marks is not untouched:
            return marks
    unsure = np.zeros(cells.shape, dtype=np.bool_)
    for cell in doubtful:
        unsure[cell] = True
    from chartscan.reading.marks.templates import search_by_templates  # heavy, as search is

    return search_by_templates(page, lattice, untouched, unsure, told, sight) or untouched


def _over_fills(
    page: Page, square: Lattice, given: Marks, tolerance: float, told: Told, settings: SightSettings
) -> Marks:
    """The marks over evenly filled cells; ``given`` itself where there are none, or symbols."""
    from chartscan.reading.marks.search import search  # heavy, and most charts carry no marks

    marks = search(page, square, given, tolerance, told)
    lost = not page.lossless and _loses_a_fill(page, square, given, marks, settings)
    return given if lost else marks


def _loses_a_fill(
    page: Page, lattice: Lattice, before: Marks, after: Marks, settings: SightSettings
) -> bool:
    """Whether cells filled evenly all over are of no class any more: lines don't fill cells.

    On soft pages bold lines beside a fill may be taken for lines drawn in its colour.
    """
    kept = [entry.kind == "stitch" for entry in after.classes]
    bare = ~np.asarray(kept, dtype=np.bool_)[after.cells]
    for entry in before.classes:
        here = before.cells == entry.index
        if entry.kind != "stitch" or entry.rgb is None or not here.any() or not bare[here].all():
            continue
        inside = sample(page, lattice, settings.per_side, settings.inset)[here].astype(np.int16)
        off = np.abs(inside - np.median(inside, axis=(0, 1, 2))).max(axis=3)
        if (off <= settings.fill).mean() >= settings.filled:
            return True
    return False
