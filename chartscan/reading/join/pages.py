"""Several pages made into one chart: repeats found, checked and counted once, classes unified."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import chain, pairwise, repeat
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from chartscan.chart import Chart, ChartClass
from chartscan.errors import GridError
from chartscan.reading.evidence import Evidence
from chartscan.reading.join.classes import unify
from chartscan.reading.join.ground import with_ground
from chartscan.reading.join.marks import Region, joined_marks
from chartscan.reading.join.overlap import (
    Overlap,
    OverlapSettings,
    Sheet,
    find_overlap,
    told_overlap,
)
from chartscan.reading.join.own import own_part
from chartscan.reading.join.seam import Seam
from chartscan.reading.join.signs import number_signs
from chartscan.reading.lattice.bold import find_bold
from chartscan.remedies import Remedy


@dataclass(frozen=True, eq=False)
class Joined:
    """One chart from several pages.

    Attributes:
        chart: the whole chart.
        evidence: the pages, with their places in it and its class indices.
        notes: what was found at each seam, in words.
        seams: where pages meet.
    """

    chart: Chart
    evidence: tuple[Evidence, ...]
    notes: tuple[str, ...]
    seams: tuple[Seam, ...] = ()


def join(
    pages: Sequence[Evidence],
    layout: tuple[int, int] | None = None,
    told: bool = False,
    settings: OverlapSettings = OverlapSettings(),
    repeats: Sequence[int | None] = (),
) -> Joined:
    """Join ``pages``, given in reading order.

    Args:
        pages: each page with its own chart.
        layout: rows and columns of pages; None for one row.
        told: whether the stitcher says what is bare fabric; none is looked for then.
        settings: how repeated columns and rows are found.
        repeats: how many the stitcher says there are, a seam each (those across, then those
            down); None, or left out at the end, for one that is to be found.

    Raises:
        GridError: the number of pages doesn't fit the layout, or a page doesn't fit its neighbour.
    """
    if len(pages) == 1 and layout in (None, (1, 1)):
        return Joined(pages[0].chart, (pages[0],), ())
    down, across = layout or (1, len(pages))
    if down * across != len(pages):
        raise GridError(
            f"{len(pages)} pages don't fill {down} rows of {across}",
            Remedy.NAME_ALL_PAGES,
            Remedy.TELL_LAYOUT,
        )
    table = np.arange(len(pages)).reshape(down, across)
    _check_sizes(pages, table)
    signs = number_signs(pages)
    by_seam = chain(repeats, repeat(None))
    seams_across = _seams(_sheets(pages, signs, axis=0), table.T, by_seam, settings)
    seams_down = _seams(_sheets(pages, signs, axis=1), table, by_seam, settings)
    notes = _notes(pages, table.T, seams_across, "column", settings)
    notes += _notes(pages, table, seams_down, "row", settings)
    regions = _regions(pages, table, seams_across, seams_down)
    chart, evidence = _assemble(pages, regions)
    seams = (
        *_described(pages, table.T, seams_across, "column", settings),
        *_described(pages, table, seams_down, "row", settings),
    )
    whole = chart if told else with_ground(chart, pages)
    return Joined(whole, evidence, tuple(notes), seams)


# ------------------------------------------------------------------------- fitting


def _name(page: Evidence) -> str:
    number = page.page.number
    return page.page.file + (f" page {number}" if number is not None else "")


def _check_sizes(pages: Sequence[Evidence], table: NDArray[np.intp]) -> None:
    """Pages side by side have as many rows, pages above each other as many columns."""
    for lines, what in ((table, "rows"), (table.T, "columns")):
        for line in lines:
            first = pages[line[0]]
            for page in (pages[i] for i in line[1:]):
                mine, wanted = getattr(page.chart, what), getattr(first.chart, what)
                if mine != wanted:
                    raise GridError(
                        f"{_name(page)}: has {mine} {what}, but {_name(first)} beside it has "
                        f"{wanted}",
                        Remedy.ORDER_PAGES,
                        Remedy.TELL_LAYOUT,
                    )


def _sheets(
    pages: Sequence[Evidence], signs: Sequence[NDArray[np.int32]], axis: int
) -> list[Sheet]:
    """Pages as they are compared side by side (``axis`` 0) or, transposed, one below the other."""
    return [
        Sheet.of(
            page.chart,
            numbers,
            axis,
            find_bold(page.page, page.lattice, axis) if page.lattice.drawn else None,
            exact=page.page.lossless,
            name=_name(page),
        )
        for page, numbers in zip(pages, signs, strict=True)
    ]


def _seams(
    sheets: Sequence[Sheet],
    lines: NDArray[np.intp],
    repeats: Iterator[int | None],
    settings: OverlapSettings,
) -> list[Overlap]:
    """The overlap of each line of pages with the next; all pages along a seam decide together.

    Of ``repeats`` one is taken a seam: what the stitcher says of it.
    """
    found = []
    for before, after in pairwise(lines):
        pairs = [(sheets[a], sheets[b]) for a, b in zip(before, after, strict=True)]
        told = next(repeats)
        found.append(
            find_overlap(pairs, settings) if told is None else told_overlap(pairs, told, settings)
        )
    return found


def _notes(
    pages: Sequence[Evidence],
    lines: NDArray[np.intp],
    seams: Sequence[Overlap],
    what: str,
    settings: OverlapSettings,
) -> list[str]:
    """A sentence per seam; GridError where pages contradict each other."""
    notes = []
    for before, after, seam in zip(lines, lines[1:], seams, strict=False):
        names = f"{_name(pages[before[0]])} and {_name(pages[after[0]])}"
        if seam.share < settings.agree_told and not seam.by_hand:
            wrong = seam.first_wrong or (0, 0)
            along, across = ("row", "column") if what == "column" else ("column", "row")
            raise GridError(
                f"{names} don't fit: {seam.columns} {what}s should repeat, but only {seam.agreed} "
                f"of {seam.compared} cells agree (first wrong: {along} {wrong[0] + 1}, "
                f"{across} {wrong[1] + 1} of the repeat)",
                Remedy.ORDER_PAGES,
                Remedy.TELL_LAYOUT,
                Remedy.TELL_REPEATS,
            )
        if seam.columns == 0:
            notes.append(f"{names}: no repeated {what}s; joined edge to edge")
            continue
        plural = what if seam.columns == 1 else what + "s"
        how = " (shaded)" if seam.shaded else ""
        notes.append(
            f"{names}: {seam.columns} {plural} repeated{how}, counted once; "
            f"{seam.agreed} of {seam.compared} cells agree"
        )
    return notes


def _described(
    pages: Sequence[Evidence],
    lines: NDArray[np.intp],
    seams: Sequence[Overlap],
    what: Literal["column", "row"],
    settings: OverlapSettings,
) -> list[Seam]:
    """The seams with where they lie, and what else was near."""
    sizes = [getattr(pages[line[0]].chart, f"{what}s") for line in lines]
    starts = _spans(sizes, seams)[0]
    return [
        Seam(
            names=f"{_name(pages[before[0]])} and {_name(pages[after[0]])}",
            what=what,
            at=start,
            count=seam.columns,
            # Edge to edge nothing is compared: it stands as long as no overlap agrees well enough.
            share=seam.share if seam.columns and not seam.by_hand else settings.agree,
            rival=f"{seam.rival} {what}{'s' if seam.rival != 1 else ''}",
            rival_share=seam.rival_share,
            told=seam.told,
        )
        for before, after, start, seam in zip(lines, lines[1:], starts[1:], seams, strict=False)
    ]


def _regions(
    pages: Sequence[Evidence],
    table: NDArray[np.intp],
    seams_across: Sequence[Overlap],
    seams_down: Sequence[Overlap],
) -> list[Region]:
    """Where each page lies in the whole, and which of its cells count."""
    lefts, column_spans = _spans([pages[i].chart.columns for i in table[0]], seams_across)
    tops, row_spans = _spans([pages[i].chart.rows for i in table[:, 0]], seams_down)
    return [
        Region(top, left, *rows, *columns)
        for top, rows in zip(tops, row_spans, strict=True)
        for left, columns in zip(lefts, column_spans, strict=True)
    ]


def _spans(
    sizes: Sequence[int], seams: Sequence[Overlap]
) -> tuple[list[int], list[tuple[int, int]]]:
    """Start of each page in the whole, and its own (first, end) that count, along one direction.

    Of a repeat the page before counts, unless it is the one that prints it shaded.
    """
    starts, spans = [0], [(0, size) for size in sizes]
    for i, seam in enumerate(seams):
        starts.append(starts[i] + sizes[i] - seam.columns)
        if seam.shaded == "before":
            spans[i] = (spans[i][0], sizes[i] - seam.columns)
        else:
            spans[i + 1] = (seam.columns, spans[i + 1][1])
    return starts, spans


# ------------------------------------------------------------------------ assembly


def _assemble(
    pages: Sequence[Evidence], regions: Sequence[Region]
) -> tuple[Chart, tuple[Evidence, ...]]:
    rows = max(r.top + r.last_row for r in regions)
    columns = max(r.left + r.last_column for r in regions)
    own = [own_part(page, region) for page, region in zip(pages, regions, strict=True)]
    classes, mappings = unify(own, number_signs(own), regions)
    cells = np.zeros((rows, columns), dtype=np.int32)
    doubtful: list[tuple[int, int]] = []
    evidence = []
    for page, region, mapping in zip(pages, regions, mappings, strict=True):
        whole = mapping[page.chart.cells]
        own_rows = slice(region.first_row, region.last_row)
        own_columns = slice(region.first_column, region.last_column)
        cells[
            region.top + region.first_row : region.top + region.last_row,
            region.left + region.first_column : region.left + region.last_column,
        ] = whole[own_rows, own_columns]
        doubtful += [
            (region.top + row, region.left + column)
            for row, column in page.chart.doubtful
            if region.owns(row, column)
        ]
        evidence.append(_in_place(page, region, classes, mapping))
    parts, lines, knots = joined_marks(pages, regions, mappings)
    chart = Chart(
        cells,
        classes,
        parts,
        lines,
        knots,
        tuple(sorted(doubtful)),
        lattice={"pages": [dict(page.chart.lattice) for page in pages]},
        source={
            "file": pages[0].page.file,
            "sha256": pages[0].page.sha256,
            "page": pages[0].page.number,
            "pages": [
                {**page.chart.source, "row": region.top, "column": region.left}
                for page, region in zip(pages, regions, strict=True)
            ],
        },
    )
    return chart, tuple(evidence)


def _in_place(
    page: Evidence,
    region: Region,
    classes: tuple[ChartClass, ...],
    mapping: NDArray[np.int32],
) -> Evidence:
    """The page as evidence for the whole: its place, and its symbols under the whole's indices."""
    glyphs = {int(mapping[index]): picture for index, picture in page.glyphs.items()}
    return replace(page, glyphs=glyphs, origin=(region.top, region.left))
