"""A reading held against its page: what the page shows that the chart doesn't explain."""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from chartscan.chart import Chart
from chartscan.reading.classes.sorting import REASONS, UNLIKE
from chartscan.reading.clues import Clues
from chartscan.reading.doubt.runs_on import RunSettings, runs_on
from chartscan.reading.evidence import Evidence
from chartscan.reading.lattice.model import Lattice
from chartscan.reading.page.page import Page
from chartscan.reading.scale import BOLD

Mask = NDArray[np.bool_]


@dataclass(frozen=True)
class AgainstSettings:
    """How a reading is held against its page.

    Attributes:
        runs: when ink runs on from cell to cell.
        reach: cells within which of a line that was read a cell is under it: half a pen's width,
            and what its ends are off.
        class_: cells from which on a class is sure to be one, so that its cells look alike.
        odd: part of the cells that ink runs on from that must be odd besides for it to be a line:
            all cells of a symbol that reaches the sides of its cell are alike. Of two charts with
            lines it was 0.7 and 1, of two with such symbols 0 (seeds below 131003).
        along: part of a row or column from which on its cells are off by what runs along it, a
            frame or a bold line, which is no mark.
        frame: the same of an outermost one, whatever lies over its cells.
        bold: the same of ``recurring`` and more that lie as far apart as bold lines do.
        recurring: see ``bold``.
        crossing: as ``recurring``, for lines of which half the cells are off, where there are bold
            lines the other way: a small chart has no third.
        most: samples from which on a page isn't looked at, for the memory it takes.
    """

    runs: RunSettings = field(default_factory=RunSettings)
    reach: float = 0.3
    class_: int = 5
    odd: float = 0.15
    along: float = 0.7
    frame: float = 0.4
    bold: float = 0.25
    recurring: int = 3
    crossing: int = 2
    most: int = 30_000_000


@dataclass(frozen=True, eq=False)
class Against:
    """What the page shows and the chart doesn't explain.

    Attributes:
        runs_on: cells out of which ink runs on into another, and no line was read there:
            (rows, columns).
        unlike: cells that don't look as others of their class do: (rows, columns).
    """

    runs_on: Mask
    unlike: Mask

    @property
    def unexplained(self) -> Mask:
        """Either of the two."""
        return self.runs_on | self.unlike


def held_against(evidence: Evidence, settings: AgainstSettings = AgainstSettings()) -> Against:
    """Hold what was read from a page against it, cell by cell.

    Nothing is found where the page was read from its paths, or where every cell is one colour.
    """
    page, lattice, chart = evidence.page, evidence.lattice, evidence.chart
    nothing = np.zeros(chart.cells.shape, dtype=np.bool_)
    if evidence.clues is None or evidence.clues.plain:
        return Against(nothing, nothing)
    known = under_marks(chart, settings)
    unlike = _unlike(page, lattice, chart, known, settings) | _motley(
        evidence.clues, chart, settings
    )
    unlike &= ~known
    odd = unlike | _odd(chart, settings)
    looked_at = chart.cells.size * settings.runs.places**2
    if not odd.any() or looked_at > settings.most:  # nothing that runs on would be believed
        return Against(nothing, unlike)
    running = runs_on(page, lattice, chart, known, settings.runs)
    if (running & odd).sum() <= settings.odd * running.sum():
        running = nothing
    return Against(running, unlike)


def _motley(clues: Clues, chart: Chart, settings: AgainstSettings) -> Mask:
    """The cells of classes half of whose cells are unlike, in units of the page's noise."""
    none = np.zeros(chart.cells.shape, dtype=np.bool_)
    if clues.unsure is None or clues.unsure.reason.shape != none.shape:
        return none
    unlike = clues.unsure.reason == REASONS.index(UNLIKE)
    number = len(chart.classes)
    count = np.bincount(chart.cells.ravel(), minlength=number)
    of_these = np.bincount(chart.cells[unlike], minlength=number)
    motley = (count >= settings.class_) & (of_these > count / 2)
    return np.asarray(unlike & motley[chart.cells], dtype=np.bool_)


def _odd(chart: Chart, settings: AgainstSettings) -> Mask:
    """The cells of a class of very few, and those that might as well be of another."""
    count = np.bincount(chart.cells.ravel(), minlength=len(chart.classes))
    odd = (count < settings.class_)[chart.cells]
    odd[tuple(np.array(chart.doubtful, dtype=np.intp).reshape(-1, 2).T)] = True
    return np.asarray(odd, dtype=np.bool_)


def under_marks(chart: Chart, settings: AgainstSettings = AgainstSettings()) -> Mask:
    """The cells with a line, a part stitch or a knot over them, shape (rows, columns)."""
    known: Mask = np.zeros(chart.cells.shape, dtype=np.bool_)
    for part in chart.parts:
        known[part.row, part.column] = True
    points = [np.array([[knot.x, knot.y] for knot in chart.knots]).reshape(-1, 2)]
    for line in chart.lines:
        ways = np.array(line.points)
        for start, end in pairwise(ways):
            number = int(np.ceil(np.linalg.norm(end - start) / settings.reach)) + 1
            points.append(np.linspace(start, end, number))
    every = np.concatenate(points)
    rows, columns = chart.rows, chart.columns
    for right in (-settings.reach, settings.reach):
        for down in (-settings.reach, settings.reach):
            x = np.clip(np.floor(every[:, 0] + right).astype(np.intp), 0, columns - 1)
            y = np.clip(np.floor(every[:, 1] + down).astype(np.intp), 0, rows - 1)
            known[y, x] = True
    return known


def _unlike(
    page: Page, lattice: Lattice, chart: Chart, known: Mask, settings: AgainstSettings
) -> Mask:
    """The cells off the picture of their class, on pages that show it to the pixel.

    Those under ``known`` marks have no part in that picture. Where half of all symbols are off
    theirs, they lie at parts of a pixel, each at another, and a picture is that of none.
    """
    from chartscan.reading.marks.marks import Marks
    from chartscan.reading.marks.templates.flat import is_exact, lay_flat
    from chartscan.reading.marks.templates.verdict import VerdictSettings, first_sight

    cells = chart.cells
    off = np.zeros(cells.shape, dtype=np.bool_)
    side = float(max(lattice.pitch))
    if (
        not is_exact(page, lattice)
        or side < settings.runs.sight.pitch
        or cells.size * side**2 > settings.most
    ):
        return off
    free = np.where(known, len(chart.classes), cells).astype(np.int32)
    sure = np.bincount(free.ravel(), minlength=len(chart.classes) + 1) >= settings.class_
    flat = lay_flat(page, lattice)
    verdict = VerdictSettings(class_=(0.0, settings.class_, settings.class_))
    seen = first_sight(flat, Marks(free, chart.classes), verdict)
    off = seen.off.reshape(cells.shape) & sure[free] & ~known
    symbols = np.array([each.symbol is not None for each in chart.classes])[cells] & sure[free]
    if (off & symbols).sum() > symbols.sum() / 2:
        off &= ~symbols
    off[off.mean(axis=1) >= settings.along] = False
    off[:, off.mean(axis=0) >= settings.along] = False
    return off


def beside_lines(off: Mask, settings: AgainstSettings = AgainstSettings()) -> Mask:
    """The rows and columns of cells ``off`` by a frame or a bold line beside them, not by marks."""
    shares = off.mean(axis=0), off.mean(axis=1)
    columns, rows = (_bold(share, settings.bold, settings.recurring) for share in shares)
    if columns.any() or rows.any():  # a chart has bold lines both ways
        for found, share in zip((columns, rows), shares, strict=True):
            found |= _bold(share, 0.5, settings.crossing)
    for found, share in zip((columns, rows), shares, strict=True):
        found[[0, -1]] |= share[[0, -1]] >= settings.frame
    return rows[:, None] | columns[None, :]


def _bold(share: NDArray[np.float64], least: float, recurring: int) -> Mask:
    """The lines of cells beside bold lines: ``least`` of the cells of each are off, and they recur.

    ``share`` is the part of each that is off, ``recurring`` how many there are at least.
    """
    found = np.zeros(share.shape, dtype=np.bool_)
    every = min(BOLD)  # every tenth is every fifth as well
    for first in range(every):
        alike = share[first::every] >= least
        if alike.sum() >= recurring:
            found[first::every] |= alike
    return found


def lay(whole: Mask, origin: tuple[int, int], part: Mask) -> None:
    """Add a page's cells to those of the ``whole`` chart, from ``origin`` (row, column) on."""
    row, column = origin
    place = whole[row : row + part.shape[0], column : column + part.shape[1]]
    place |= part[: place.shape[0], : place.shape[1]]
