"""Looking into a catalogue: charts by conditions, pages that were set aside, how many of each."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from chartscan.archive.catalogue import Catalogue
from chartscan.archive.values import Colour, State

Range = tuple[int | None, int | None]
ANY: Range = (None, None)


@dataclass(frozen=True)
class Conditions:
    """Which charts are wanted; each range holds its ends, None where it is open.

    Attributes:
        columns, rows: cells across and down.
        stitches: whole stitches.
        colours: classes that have stitches.
        doubtful: greatest share of cells that may be doubtful, 0 to 1; None for any.
        within: only files whose path has this in it; None for all.
    """

    columns: Range = ANY
    rows: Range = ANY
    stitches: Range = ANY
    colours: Range = ANY
    doubtful: float | None = None
    within: str | None = None


@dataclass(frozen=True)
class Entry:
    """A chart of a catalogue.

    Attributes:
        number: by which it is called in its catalogue, from 1.
        path: the file of its page, where it was found first.
        page: page of a PDF or TIFF, from 1; None for a plain picture.
        chart_file: the chart as read.
        columns, rows, stitches, marks, doubtful: as :class:`chartscan.archive.values.Facts`.
        colours: those that have stitches, most stitches first.
        questions: what the reader asks of it.
        pitch_px: px per cell of the page, across and down.
        seconds: time that reading took.
        version: of the program that read it.
        pages: from how many it was joined; 1 for a chart of one page.
    """

    number: int
    path: str
    page: int | None
    chart_file: Path
    columns: int
    rows: int
    stitches: int
    marks: int
    doubtful: int
    colours: tuple[Colour, ...]
    questions: tuple[str, ...]
    pitch_px: tuple[float, float]
    seconds: float
    version: str
    pages: int = 1

    @property
    def place(self) -> str:
        """File and page in words, as a person names them."""
        first = self.path if self.page is None else f"{self.path}, page {self.page}"
        return first if self.pages == 1 else f"{first}, with {self.pages - 1} more"


@dataclass(frozen=True)
class Missed:
    """A page that isn't among the charts, and why."""

    path: str
    page: int | None
    state: State
    reason: str


PLACE = "(SELECT min(path) FROM places WHERE file = files.id)"
PAGE = "iif(files.paged, pages.number, NULL)"
CHARTS = f"""
    SELECT pages.id, {PLACE} AS path, {PAGE} AS leaf, charts.*, seconds, version,
        (SELECT json_group_array(json_array(rgb, symbol, stitches)) FROM
            (SELECT * FROM colours WHERE colours.page = pages.id ORDER BY position)) AS shown,
        (SELECT json_group_array(text) FROM
            (SELECT * FROM questions WHERE questions.page = pages.id ORDER BY position)) AS asked,
        max(1, (SELECT count(*) FROM parts JOIN wholes ON whole = wholes.id
            WHERE standing = 'joined' AND whole IN
                (SELECT whole FROM parts AS mine WHERE mine.page = pages.id))) AS joined
    FROM charts JOIN pages ON charts.page = pages.id JOIN files ON pages.file = files.id
    WHERE {{conditions}} ORDER BY path, pages.number
"""
COLUMNS = ("columns", "rows", "stitches", "colours")
TOGETHER = 500  # charts fetched at a time, by number


def charts(catalogue: Catalogue, wanted: Conditions = Conditions()) -> Iterator[Entry]:
    """The charts that meet all conditions, in order of their files and pages."""
    conditions, values = _terms(wanted)
    for row in catalogue.stream(CHARTS.format(conditions=conditions), values):
        yield _entry(catalogue, row)


def count_charts(catalogue: Catalogue, wanted: Conditions = Conditions()) -> int:
    """How many charts meet all conditions."""
    conditions, values = _terms(wanted)
    joined = "charts JOIN pages ON charts.page = pages.id JOIN files ON pages.file = files.id"
    return int(catalogue.value(f"SELECT count(*) FROM {joined} WHERE {conditions}", values))


def _terms(wanted: Conditions) -> tuple[str, dict[str, Any]]:
    """The conditions in SQL, and the values in them."""
    terms = ["1"]
    values: dict[str, Any] = {}
    for name in COLUMNS:
        least, most = getattr(wanted, name)
        values |= {f"{name}_least": least, f"{name}_most": most}
        terms += [f"charts.{name} >= :{name}_least"] if least is not None else []
        terms += [f"charts.{name} <= :{name}_most"] if most is not None else []
    if wanted.doubtful is not None:
        terms.append("doubtful <= :doubtful * columns * rows")
    if wanted.within is not None:
        terms.append("EXISTS (SELECT 1 FROM places WHERE file = files.id AND instr(path, :within))")
    values |= {"doubtful": wanted.doubtful, "within": wanted.within}
    return " AND ".join(terms), values


def numbered(catalogue: Catalogue, numbers: Sequence[int]) -> Iterator[Entry]:
    """The charts of these ``numbers``, in that order; one that is gone is left out."""
    chosen = CHARTS.format(conditions="pages.id IN (SELECT value FROM json_each(:numbers))")
    for first in range(0, len(numbers), TOGETHER):
        some = list(numbers[first : first + TOGETHER])
        rows = {row["id"]: row for row in catalogue.rows(chosen, {"numbers": json.dumps(some)})}
        yield from (_entry(catalogue, rows[number]) for number in some if number in rows)


def _entry(catalogue: Catalogue, row: sqlite3.Row) -> Entry:
    colours = (Colour(unpacked(rgb), symbol, n) for rgb, symbol, n in json.loads(row["shown"]))
    return Entry(
        number=row["id"],
        path=row["path"],
        page=row["leaf"],
        chart_file=catalogue.charts / row["chart_file"],
        columns=row["columns"],
        rows=row["rows"],
        stitches=row["stitches"],
        marks=row["marks"],
        doubtful=row["doubtful"],
        colours=tuple(colours),
        questions=tuple(json.loads(row["asked"])),
        pitch_px=(row["pitch_across_px"], row["pitch_down_px"]),
        seconds=row["seconds"],
        version=row["version"],
        pages=row["joined"],
    )


def unpacked(rgb: int | None) -> tuple[int, int, int] | None:
    """The sRGB of one number, 0xRRGGBB."""
    if rgb is None:
        return None
    red, green, blue = rgb.to_bytes(3)
    return red, green, blue


def missed(catalogue: Catalogue, state: State) -> Iterator[Missed]:
    """The pages of one state, in order of their files and pages."""
    query = (
        f"SELECT {PLACE} AS path, {PAGE} AS page, state, reason"
        " FROM pages JOIN files ON pages.file = files.id WHERE state = ? ORDER BY path, number"
    )
    for row in catalogue.stream(query, (state,)):
        yield Missed(row["path"], row["page"], row["state"], row["reason"])


def tally(catalogue: Catalogue) -> dict[State, int]:
    """How many pages there are of each state."""
    rows = catalogue.rows("SELECT state, count(*) AS pages FROM pages GROUP BY state")
    return {row["state"]: row["pages"] for row in rows}
