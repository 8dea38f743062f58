"""Pages that make one chart: found among neighbours in a folder or file, and proposed."""

from __future__ import annotations

import json
import re
from collections import deque
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby
from pathlib import PurePath
from sqlite3 import Row
from typing import Literal

from chartscan.archive.catalogue import Catalogue
from chartscan.archive.fitting import Fit, FitSettings, fits
from chartscan.archive.layouts import layouts
from chartscan.chart import Chart, load_chart
from chartscan.errors import ChartError

Standing = Literal["proposed", "joined", "apart"]
REACH = 4  # charts of a folder or file that come after one and may go on from it: a layout's width


@dataclass(frozen=True)
class Whole:
    """Pages that make one chart, or seem to.

    Attributes:
        charts: their numbers in the catalogue, row by row.
        layout: rows and columns of pages.
        standing: proposed; joined by a person; or told to stay apart.
        why: what speaks for it, in words.
    """

    charts: tuple[int, ...]
    layout: tuple[int, int]
    standing: Standing
    why: str


# ---------------------------------------------------------------------------- what there is

WHOLES = """
    SELECT wholes.*, json_group_array(page) AS pages FROM wholes JOIN
        (SELECT * FROM parts ORDER BY whole, position) ON whole = wholes.id
    WHERE {condition} GROUP BY wholes.id ORDER BY wholes.id
"""


def wholes(catalogue: Catalogue, standing: Standing) -> Iterator[Whole]:
    """All of one standing, in the order in which they were found."""
    for row in catalogue.stream(WHOLES.format(condition="standing = ?"), (standing,)):
        layout = (row["down"], row["across"])
        yield Whole(tuple(json.loads(row["pages"])), layout, row["standing"], row["why"])


# ---------------------------------------------------------------------------- proposing

NEIGHBOURS = """
    SELECT pages.id, path, number, files.pages > 1 AS paged, chart_file, columns, rows,
        pitch_across_px, pitch_down_px, pages.id IN (SELECT page FROM compared) AS compared,
        iif(files.pages > 1, path, folder_of(path)) AS place
    FROM charts JOIN pages ON charts.page = pages.id JOIN files ON pages.file = files.id
        JOIN (SELECT file, min(path) AS path FROM places GROUP BY file) USING (file)
    WHERE pages.id NOT IN
        (SELECT page FROM parts JOIN wholes ON whole = wholes.id WHERE standing = 'joined')
    ORDER BY place
"""


def propose(catalogue: Catalogue, settings: FitSettings = FitSettings()) -> int:
    """Compare charts that lie side by side in a folder or file; how many wholes are proposed now.

    Pairs that were compared before aren't compared again.
    """
    catalogue.connection.create_function("folder_of", 1, _folder, deterministic=True)
    rows = catalogue.stream(NEIGHBOURS)
    for _, together in groupby(rows, key=lambda row: row["place"]):
        shelf = sorted(together, key=_order)
        if len(shelf) > 1 and not all(row["compared"] for row in shelf):
            found = list(_compared(catalogue, shelf, settings))
            _book(catalogue, shelf, found)
    return int(catalogue.value("SELECT count(*) FROM wholes WHERE standing = 'proposed'"))


def _folder(path: str) -> str:
    return str(PurePath(path).parent)


def _order(row: Row) -> tuple[object, ...]:
    """As a person sorts files: page 2 before page 10."""
    parts = re.split(r"(\d+)", PurePath(row["path"]).name.lower())
    return ([(int(p), "") if p.isdigit() else (0, p) for p in parts], row["path"], row["number"])


def _compared(
    catalogue: Catalogue, shelf: Sequence[Row], settings: FitSettings
) -> Iterator[tuple[int, int, Fit]]:
    """How the charts of one folder or file go on in one another."""
    near: deque[tuple[Row, Chart]] = deque(maxlen=REACH)
    for row in shelf:
        try:
            chart = load_chart(catalogue.charts / row["chart_file"])
        except ChartError:
            continue  # whoever lists it is told
        for before, other in near:
            if not (before["compared"] and row["compared"]) and _may_fit(before, row, settings):
                yield from ((before["id"], row["id"], fit) for fit in fits(other, chart))
        near.append((row, chart))


def _may_fit(before: Row, row: Row, settings: FitSettings) -> bool:
    """Whether two charts are of one size along a side, and printed alike."""
    sides = (before["columns"] == row["columns"], before["rows"] == row["rows"])
    pairs = ((before[name], row[name]) for name in ("pitch_across_px", "pitch_down_px"))
    alike = all(max(pair) <= settings.pitch * min(pair) for pair in pairs)
    return any(sides) and alike


def _book(
    catalogue: Catalogue, shelf: Sequence[Row], found: Sequence[tuple[int, int, Fit]]
) -> None:
    """Book how the charts of a folder fit, and what that makes of them."""
    pages = [row["id"] for row in shelf]
    with catalogue.atomic():
        catalogue.many("INSERT OR IGNORE INTO compared VALUES (?)", [(page,) for page in pages])
        catalogue.many(
            "INSERT OR REPLACE INTO fits VALUES (?, ?, ?, ?, ?, ?)",
            [(a, b, f.way, f.repeated, f.agreed, f.compared) for a, b, f in found],
        )
        _forget_proposals(catalogue, pages)
        best = {way: _neighbours(catalogue, pages, way) for way in ("right", "below")}
        right, below = ({a: b for a, (b, _) in best[way].items()} for way in best)
        for rows in layouts(pages, right, below):
            whole = [page for row in rows for page in row]
            if _apart(catalogue, whole):
                continue
            told = [best["right"][a][1] for a in whole if a in best["right"]]
            told += [best["below"][a][1] for a in whole if a in best["below"]]
            book_whole(catalogue, rows, "proposed", _why(told))


def _forget_proposals(catalogue: Catalogue, pages: Sequence[int]) -> None:
    catalogue.many(
        "DELETE FROM wholes WHERE standing = 'proposed'"
        " AND id IN (SELECT whole FROM parts WHERE page = ?)",
        [(page,) for page in pages],
    )


def _neighbours(catalogue: Catalogue, pages: Sequence[int], way: str) -> dict[int, tuple[int, Row]]:
    """For each page the one that goes on from it best, with how they fit; each page once."""
    rows = catalogue.rows(
        "SELECT * FROM fits WHERE way = ? AND first IN (SELECT value FROM json_each(?))"
        " ORDER BY repeated > 0 DESC, agreed * 1.0 / compared DESC, compared DESC",
        (way, json.dumps(list(pages))),
    )
    best: dict[int, tuple[int, Row]] = {}
    taken: set[int] = set()
    for row in rows:
        if row["first"] not in best and row["second"] not in taken:
            best[row["first"]] = (row["second"], row)
            taken.add(row["second"])
    return best


def _apart(catalogue: Catalogue, whole: Sequence[int]) -> bool:
    """Whether a person told that two of these don't belong together."""
    told = catalogue.value(
        "SELECT max(n) FROM (SELECT count(*) AS n FROM parts JOIN wholes ON whole = wholes.id"
        " WHERE standing = 'apart' AND page IN (SELECT value FROM json_each(?)) GROUP BY whole)",
        (json.dumps(list(whole)),),
    )
    return bool(told and told > 1)


def _why(told: Sequence[Row]) -> str:
    """What speaks for a whole: what repeats, and how much of it agrees."""
    agreed = sum(row["agreed"] for row in told)
    compared = sum(row["compared"] for row in told)
    repeats = [row["repeated"] for row in told if row["repeated"]]
    what = "the design runs on across the seams"
    if repeats:
        least, most = min(repeats), max(repeats)
        number = str(most) if least == most else f"{least} to {most}"
        lines = "column or row is" if most == 1 else "columns or rows are"
        what = f"{number} {lines} on both pages of a seam"
        what += "; at others the design runs on" if len(repeats) < len(told) else ""
    return f"{what}; {agreed} of {compared} cells agree"


def book_whole(
    catalogue: Catalogue, rows: Sequence[Sequence[int]], standing: Standing, why: str
) -> int:
    """Book pages, row by row, as one chart, inside ``atomic``; the number of the whole."""
    whole = catalogue.execute(
        "INSERT INTO wholes (down, across, standing, why) VALUES (?, ?, ?, ?)",
        (len(rows), len(rows[0]), standing, why),
    )
    pages = [page for row in rows for page in row]
    catalogue.many(
        "INSERT INTO parts VALUES (?, ?, ?)", [(whole, n, page) for n, page in enumerate(pages)]
    )
    return whole
