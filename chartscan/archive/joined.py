"""Pages joined into one chart in the catalogue, and taken apart again."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from sqlite3 import Row

from chartscan.archive.booking import book_chart, chart_name, forget_chart
from chartscan.archive.catalogue import Catalogue
from chartscan.archive.facts import facts_of
from chartscan.archive.together import Whole, book_whole, wholes
from chartscan.archive.values import Facts
from chartscan.chart import Chart, dump_chart, load_chart
from chartscan.errors import ArchiveError
from chartscan.files import write_text
from chartscan.remedies import Remedy

TOLD = "told by a person"


@dataclass(frozen=True)
class Sheaf:
    """Pages of one chart, in reading order, with where they lie.

    Attributes:
        whole: their numbers in the catalogue, and their layout.
        paths: the file of each page.
        numbers: the page of each in its file, from 1.
        digests: SHA-256 of each file, hex.
    """

    whole: Whole
    paths: tuple[Path, ...]
    numbers: tuple[int, ...]
    digests: tuple[str, ...]


def told_whole(
    catalogue: Catalogue, charts: Sequence[int], layout: tuple[int, int] | None
) -> Whole:
    """What a person means: charts by number, or the one proposal that a single chart is in.

    Raises:
        ArchiveError: there is no such chart or proposal, or the layout doesn't hold so many.
    """
    if len(charts) == 1 and layout is None:
        found = [w for w in wholes(catalogue, "proposed") if charts[0] in w.charts]
        if not found:
            raise ArchiveError(
                f"{catalogue.path}: nothing is proposed that chart {charts[0]} is part of",
                Remedy.NAME_CHARTS,
            )
        return found[0]
    down, across = layout or (1, len(charts))
    if down * across != len(charts) or len({*charts}) < len(charts) or len(charts) < 2:
        raise ArchiveError(
            f"{len(charts)} charts don't fill {down} rows of {across}", Remedy.NAME_CHARTS
        )
    return Whole(tuple(charts), (down, across), "proposed", TOLD)


def sheaf_of(catalogue: Catalogue, whole: Whole) -> Sheaf:
    """Where the pages of a whole lie.

    Raises:
        ArchiveError: one of them is no chart of the catalogue, or was joined already.
    """
    rows = [_row(catalogue, chart) for chart in whole.charts]
    return Sheaf(
        whole,
        tuple(Path(row["path"]) for row in rows),
        tuple(row["number"] for row in rows),
        tuple(row["sha256"] for row in rows),
    )


def _row(catalogue: Catalogue, chart: int) -> Row:
    rows = catalogue.rows(
        "SELECT sha256, number, (SELECT min(path) FROM places WHERE file = files.id) AS path"
        " FROM pages JOIN files ON file = files.id JOIN charts ON charts.page = pages.id"
        " WHERE pages.id = ?",
        (chart,),
    )
    if not rows:
        raise ArchiveError(f"{catalogue.path}: has no chart {chart}", Remedy.SEE_CATALOGUE)
    if _joined(catalogue, chart) is not None:
        raise ArchiveError(
            f"{catalogue.path}: chart {chart} was joined of several pages already",
            Remedy.TAKE_APART,
        )
    return rows[0]


def _joined(catalogue: Catalogue, chart: int) -> int | None:
    """The number of the joined whole that a page belongs to."""
    number = catalogue.value(
        "SELECT wholes.id FROM parts JOIN wholes ON whole = wholes.id"
        " WHERE page = ? AND standing = 'joined'",
        (chart,),
    )
    return None if number is None else int(number)


def book_joined(catalogue: Catalogue, sheaf: Sheaf, chart: Chart, facts: Facts) -> None:
    """Book one chart in place of those of its pages, whose chart files stay as they are."""
    name = _whole_name(chart_name(sheaf.digests[0], sheaf.numbers[0]))
    write_text(catalogue.charts / name, dump_chart(chart))
    pages, (_, across) = sheaf.whole.charts, sheaf.whole.layout
    with catalogue.atomic():
        for page in pages:
            forget_chart(catalogue, page)
        book_chart(catalogue, pages[0], name, facts)
        rows = [pages[n : n + across] for n in range(0, len(pages), across)]
        book_whole(catalogue, rows, "joined", sheaf.whole.why)


def _whole_name(name: str) -> str:
    return f"{name.removesuffix('.json')}-whole.json"


def take_apart(catalogue: Catalogue, chart: int) -> Whole:
    """Give the pages of a joined chart their own back, or let those of a proposal stay apart.

    Raises:
        ArchiveError: the chart is part of nothing; a chart file is gone or broken.
    """
    for whole in (*wholes(catalogue, "joined"), *wholes(catalogue, "proposed")):
        if chart in whole.charts:
            with catalogue.atomic():
                if whole.standing == "joined":
                    _give_back(catalogue, whole)
                _stay_apart(catalogue, whole)
            return whole
    raise ArchiveError(f"{catalogue.path}: chart {chart} is neither joined nor proposed to be")


def _give_back(catalogue: Catalogue, whole: Whole) -> None:
    """Book the charts of single pages again, as their files have them."""
    from chartscan.reading.kept import kept_pages

    for page in whole.charts:
        sql = "SELECT sha256, number FROM pages JOIN files ON file = files.id WHERE pages.id = ?"
        (row,) = catalogue.rows(sql, (page,))
        name = chart_name(row["sha256"], row["number"])
        chart = load_chart(catalogue.charts / name)
        forget_chart(catalogue, page)
        book_chart(catalogue, page, name, facts_of(chart, kept_pages(chart)[0].lattice))
        catalogue.execute("INSERT OR IGNORE INTO compared VALUES (?)", (page,))


def _stay_apart(catalogue: Catalogue, whole: Whole) -> None:
    catalogue.execute(
        "DELETE FROM wholes WHERE standing <> 'apart'"
        " AND id IN (SELECT whole FROM parts WHERE page = ?)",
        (whole.charts[0],),
    )
    _, across = whole.layout
    rows = [whole.charts[n : n + across] for n in range(0, len(whole.charts), across)]
    book_whole(catalogue, rows, "apart", TOLD)
