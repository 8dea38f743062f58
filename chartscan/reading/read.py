"""The recipe of a reading: page, lattice, cells, classes, marks, chart."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from chartscan.chart import Chart
from chartscan.errors import GridError
from chartscan.progress import Progress, part_of, silent
from chartscan.reading.cells.crops import crops
from chartscan.reading.classes.classify import Told, classify
from chartscan.reading.classes.one_ink import in_one_ink
from chartscan.reading.clues import clues_of
from chartscan.reading.doubt.multiple import as_one
from chartscan.reading.evidence import Evidence
from chartscan.reading.kept import describe_lattice
from chartscan.reading.lattice.located import Located
from chartscan.reading.lattice.model import Lattice
from chartscan.reading.lattice.told import ToldGrid, locate_told
from chartscan.reading.marks import find_marks
from chartscan.reading.marks.marks import Marks
from chartscan.reading.page.page import Page, PageSettings, is_pdf, list_pages, load_page, turned
from chartscan.reading.review.symbols import with_pictures
from chartscan.reading.scale import LEAST_CELLS
from chartscan.reading.settings import ReaderSettings
from chartscan.reading.several import PageTold, refused
from chartscan.remedies import Remedy

if TYPE_CHECKING:
    from chartscan.reading.cells.light import Light
    from chartscan.reading.join.seam import Seam

QUARTER_TURNS = (0, 90, 180, 270)  # degrees


@dataclass(frozen=True)
class ReadSettings:
    """What the stitcher tells the reader, where the page alone can't say it.

    Attributes:
        size: columns and rows of the chart; None to find them.
        area: x, y, width, height in pixels of the upright page that the grid lies in; None for
            the whole page.
        corners: the outermost corners of the grid in pixels of the upright page: top left, top
            right, bottom right, bottom left; None to find them.
        empty: sRGB of the ground that isn't stitched; None to find it.
        no_empty: every cell is stitched; there is no ground.
        colours: number of stitched colours, from the chart's key; None to find it.
        pages: page numbers of a PDF or TIFF, from 1; () for the first.
        layout: rows and columns of pages that make one chart; None for one row, in order.
        each: what is told of each of several pages, in reading order; () for nothing.
        repeats: how many columns, then rows, the pages at each seam have in common: first the
            seams between pages side by side, then those between pages one below the other; None
            for one that is to be found.
        turn: degrees clockwise by which every page is turned before it is read: 0, 90, 180, 270.
        max_pixels: largest page taken, in pixels.
        fixes: a file of corrections (:mod:`chartscan.chart.corrections.table`), or None.
    """

    size: tuple[int, int] | None = None
    area: tuple[float, float, float, float] | None = None
    corners: tuple[tuple[float, float], ...] | None = None
    empty: tuple[int, int, int] | None = None
    no_empty: bool = False
    colours: int | None = None
    pages: tuple[int, ...] = ()
    layout: tuple[int, int] | None = None
    each: tuple[PageTold, ...] = ()
    repeats: tuple[int | None, ...] = ()
    turn: int = 0
    max_pixels: int = PageSettings.max_pixels
    fixes: Path | None = None

    def __post_init__(self) -> None:
        if self.size is not None and min(self.size) < LEAST_CELLS:
            raise ValueError(f"a grid has at least {LEAST_CELLS}×{LEAST_CELLS} cells")
        if self.area is not None and (min(self.area[2:]) <= 0 or min(self.area) < 0):
            raise ValueError("an area is x, y, width, height with a width and height over 0")
        corners = (self.corners, *(page.corners for page in self.each))
        if not all(told is None or _is_convex(told) for told in corners):
            raise ValueError(
                "the corners are four points: top left, top right, bottom right, bottom left"
            )
        if self.empty is not None and self.no_empty:
            raise ValueError("either there is an empty ground or there is none")
        if self.colours is not None and self.colours < 1:
            raise ValueError("a chart has at least one colour")
        if any(number < 1 for number in self.pages):
            raise ValueError("pages are numbered from 1")
        if self.layout is not None and min(self.layout) < 1:
            raise ValueError("a layout has at least one row and one column of pages")
        if any(number is not None and number < 0 for number in self.repeats):
            raise ValueError("pages have no, one or more columns in common")
        if not {self.turn, *(page.turn or 0 for page in self.each)} <= {*QUARTER_TURNS}:
            raise ValueError("a page is turned by 0, 90, 180 or 270 degrees")
        if self.max_pixels < 1:
            raise ValueError("max_pixels is at least 1")

    def of_page(self, place: int, count: int) -> ReadSettings:
        """What is told of one of ``count`` pages, from 0.

        A size that is told of the chart isn't that of one page among several.
        """
        own = self.each[place] if place < len(self.each) else PageTold()
        return replace(
            self,
            size=own.size or (self.size if count == 1 else None),
            corners=own.corners or self.corners,
            turn=self.turn if own.turn is None else own.turn,
            each=(),
            repeats=(),
        )


def _is_convex(corners: Sequence[tuple[float, float]]) -> bool:
    """Whether four points go once around, clockwise on the page (y runs down)."""
    if len(corners) != 4:
        return False
    sides = [
        (corners[(i + 1) % 4][0] - x, corners[(i + 1) % 4][1] - y)
        for i, (x, y) in enumerate(corners)
    ]
    return all(
        sides[i][0] * sides[(i + 1) % 4][1] - sides[i][1] * sides[(i + 1) % 4][0] > 0
        for i in range(4)
    )


@dataclass(frozen=True)
class Reading:
    """A chart and the evidence it was read from, one entry a page."""

    chart: Chart
    warnings: tuple[str, ...] = ()
    evidence: tuple[Evidence, ...] = ()


def read_pages(
    paths: Sequence[Path],
    settings: ReadSettings = ReadSettings(),
    progress: Progress = silent,
) -> Reading:
    """Read one chart from one or several pictures or PDFs.

    Raises:
        Cancelled: ``progress`` raised it, to stop; nothing is left behind.
        PageError: a file can't be opened or is too large.
        PagesRefused: no grid was found, or it doesn't have the size that was told, or not one
            stitch is in it, or pages don't fit together.
    """
    evidence: list[Evidence] = []
    pages = list_pages(paths, settings.pages)
    for place, (path, number) in enumerate(pages):
        told = settings.of_page(place, len(pages))
        partly = part_of(progress, place / len(pages), (place + 1) / len(pages))
        try:
            evidence.append(_read_one(path, number, told, partly, part=len(pages) > 1))
        except GridError as error:
            raise refused(error, place, evidence) from error
    warnings = [warning for read in evidence for warning in read.page.warnings]
    try:
        reading = joined(evidence, warnings, settings)
        _check_whole(reading.chart, settings, evidence)
        _check_stitches(reading.chart, evidence)
    except GridError as error:
        raise refused(error, None, evidence) from error
    reading = replace(reading, chart=with_pictures(reading.chart, reading.evidence))
    if settings.fixes is None:
        return reading
    from chartscan.chart.corrections.replay import replay
    from chartscan.chart.corrections.table import load_corrections

    acts = load_corrections(settings.fixes, reading.chart)
    return replace(reading, chart=replay(reading.chart, acts))


def joined(pages: Sequence[Evidence], warnings: Sequence[str], settings: ReadSettings) -> Reading:
    """All pages as one reading, with what they warn of and how they were joined."""
    if len(pages) == 1 and settings.layout is None:
        return _asked(Reading(pages[0].chart, tuple(warnings), tuple(pages)), settings)
    from chartscan.reading.join.pages import join

    told = settings.no_empty or settings.empty is not None
    whole = join(pages, settings.layout, told, repeats=settings.repeats)
    reading = Reading(whole.chart, (*warnings, *whole.notes), whole.evidence)
    return _asked(reading, settings, whole.seams)


def _asked(reading: Reading, settings: ReadSettings, seams: Sequence[Seam] = ()) -> Reading:
    """The reading with its questions, and with a warning of what was told and isn't so."""
    from chartscan.reading.doubt.ask import ask
    from chartscan.reading.doubt.told import not_borne_out, settled_kinds

    told = settled_kinds(
        size=bool(settings.size or settings.corners),
        ground=settings.no_empty or settings.empty is not None,
        colours=settings.colours is not None,
        layout=settings.layout is not None,
    )
    chart = ask(reading.chart, reading.evidence, told, seams)
    unmet = not_borne_out(chart, settings.empty, settings.colours)
    return replace(reading, chart=chart, warnings=(*reading.warnings, *unmet))


def _check_stitches(chart: Chart, evidence: Sequence[Evidence]) -> None:
    """Raise GridError where there is a grid but nothing to stitch in it: it is no chart."""
    if chart.stitches or chart.parts or chart.lines or chart.knots:
        return
    raise GridError(
        f"{evidence[0].page.file}: a grid of {chart.columns}×{chart.rows} cells was found, but not "
        "one stitch in it",
        Remedy.CROP,
        Remedy.TELL_SIZE,
        Remedy.TELL_CORNERS,
        Remedy.TELL_GROUND,
    )


def _check_whole(chart: Chart, settings: ReadSettings, evidence: Sequence[Evidence]) -> None:
    """Raise GridError where pages joined don't come to the size that was told."""
    if settings.size not in (None, (chart.columns, chart.rows)):
        sizes = ", ".join(f"{e.chart.columns}×{e.chart.rows}" for e in evidence)
        raise GridError(
            f"{evidence[0].page.file}: the pages ({sizes}) come to {chart.columns}×{chart.rows} "
            f"cells, not {settings.size[0]}×{settings.size[1]}",
            Remedy.DROP_SIZE,
            Remedy.TELL_REPEATS,
        )


def _read_one(
    path: Path, number: int | None, settings: ReadSettings, progress: Progress, *, part: bool
) -> Evidence:
    """Read one page: a vector PDF from its path objects where they tell all, else its pixels."""
    progress(f"opening {path.name}", 0.0)
    limits = PageSettings(max_pixels=settings.max_pixels)
    by_hand = settings.area or settings.corners or settings.colours or settings.turn
    if is_pdf(path) and not by_hand:
        from chartscan.reading.vector.trace import trace

        traced = trace(path, number, limits, settings.empty, settings.no_empty)
        size = traced and (traced.lattice.columns, traced.lattice.rows)
        if traced is not None and settings.size in (None, size):
            if traced.chart is None:
                return read_page(traced.page, settings, traced.lattice, progress, part=part)
            return Evidence(
                traced.page, traced.lattice, _signed(traced.chart, traced.page, traced.lattice)
            )
    page = turned(load_page(path, limits, number), settings.turn)
    try:
        return read_page(page, settings, progress=progress, part=part)
    except GridError as error:
        from chartscan.reading.page.pdf import FIRST_READ

        # The cover of a pattern, most likely: that there are more pages is the way out.
        more = [note.partition(": ")[2] for note in page.warnings if FIRST_READ in note]
        if not more:
            raise
        reason = f"{error}; it {more[0]}"
        raise GridError(reason, Remedy.PICK_PAGES, *error.remedies) from error


def read_page(
    page: Page,
    settings: ReadSettings = ReadSettings(),
    lattice: Lattice | None = None,
    progress: Progress = silent,
    rooms: ReaderSettings = ReaderSettings(),
    *,
    part: bool = False,
    marked: bool = True,
) -> Evidence:
    """Read the chart on one page, or its ``part`` there; ``lattice`` where it is known already.

    ``settings`` are what the stitcher tells, ``rooms`` how the reader itself goes about it. Where
    it isn't ``marked``, no part stitches, lines or knots are looked for.
    """
    shares = rooms.shares
    told = ToldGrid(settings.size, settings.area, settings.corners)
    located = (
        locate_told(page, told, part_of(progress, shares.opened, shares.located), rooms.lattice)
        if lattice is None
        else Located(lattice)
    )
    lattice = located.lattice
    _check_size(page, lattice, settings)
    by_hand = Told(settings.empty, settings.no_empty, settings.colours, part)
    sorting = part_of(progress, shares.located, shares.sorted)
    classes = classify(page, lattice, by_hand, rooms.classes, sorting)
    coarser = as_one(located, classes.cells)
    if coarser is not None:
        located, lattice = coarser, coarser.lattice
        again = part_of(progress, shares.sorted, shares.sorted)
        classes = classify(page, lattice, by_hand, rooms.classes, again)
    lattice = classes.sight.lattice if classes.sight else lattice
    marks = Marks(classes.cells, classes.classes)
    if marked:
        progress("looking for marks", shares.sorted)
        marks = find_marks(
            page,
            lattice,
            classes.cells,
            classes.classes,
            by_hand,
            classes.sight,
            classes.doubtful,
            rooms.marks,
        )
    chart = Chart(
        marks.cells,
        marks.classes,
        marks.parts,
        marks.lines,
        marks.knots,
        tuple(sorted({*classes.doubtful} - {*marks.settled} | {*marks.doubtful})),
    )
    chart = in_one_ink(page, lattice, chart, classes.sight.light if classes.sight else None)
    glyphs = crops(page, lattice, chart)
    light = classes.sight.light if classes.sight else None
    clues = clues_of(located, classes, marks)
    signed = _signed(chart, page, lattice, light)
    return Evidence(page, lattice, signed, glyphs, clues=clues)


def _signed(chart: Chart, page: Page, lattice: Lattice, light: Light | None = None) -> Chart:
    """The chart with a note of where it comes from and how its grid lay."""
    source: dict[str, object] = {"file": page.file, "sha256": page.sha256, "page": page.number}
    if page.turn:
        source["turn"] = page.turn
    return replace(chart, lattice=describe_lattice(lattice, page.size, light), source=source)


def _check_size(page: Page, lattice: Lattice, settings: ReadSettings) -> None:
    size = (lattice.columns, lattice.rows)
    if settings.size is not None and size != settings.size:
        wanted = "×".join(map(str, settings.size))
        raise GridError(
            f"{page.file}: the grid found is {size[0]}×{size[1]}, not {wanted}",
            Remedy.TELL_CORNERS,
            Remedy.CROP,
        )
    if min(size) < LEAST_CELLS:
        raise GridError(
            f"{page.file}: the grid found is only {size[0]}×{size[1]} cells, too small to be "
            f"sure of; at least {LEAST_CELLS}×{LEAST_CELLS} is needed"
        )
