"""Charts in the ledger: the chart file, and where the paper is (book, issue, page, folder)."""

from __future__ import annotations

import sqlite3
from dataclasses import dataclass
from pathlib import Path

from chartscan.errors import StashError
from chartscan.plaintext import plain, text_key
from chartscan.remedies import Remedy
from chartscan.stash.entries import Act, EntryKind
from chartscan.stash.ledger import Ledger


@dataclass(frozen=True)
class ChartSource:
    """A chart as it stands on the shelf.

    Attributes:
        title: its own name in the stash.
        file: path of the chart file; "" where there is paper only.
        book: book or magazine; ``issue`` and ``page`` in it.
        issue: number or date of a magazine.
        page: page or pages.
        place: folder, box or shelf.
        note: free text.
    """

    title: str
    file: str = ""
    book: str = ""
    issue: str = ""
    page: str = ""
    place: str = ""
    note: str = ""

    @property
    def where(self) -> str:
        """Title and source in a line, as it goes on a label."""
        parts = [
            self.book,
            self.issue and f"issue {self.issue}",
            self.page and f"page {self.page}",
            self.place,
            "" if self.book or self.place else Path(self.file).name,
        ]
        return ", ".join([self.title, *(part for part in parts if part)])


def know_chart(ledger: Ledger, source: ChartSource) -> int:
    """The stock id of a chart; what is told anew replaces what was known, the rest stays."""
    title = plain(source.title)
    if not title:
        raise StashError("a chart has a title")
    found = _titled(ledger, title)
    names = ("book", "issue", "page", "place", "note")
    told = {"file": source.file, **{name: plain(getattr(source, name)) for name in names}}
    if found is None:
        stock = ledger.insert("stock", {"kind": "chart"})
        ledger.insert(
            "charts", {"stock": stock, "title": title, "title_key": text_key(title), **told}
        )
        return stock
    sets = ", ".join(f"{name} = coalesce(nullif(:{name}, ''), {name})" for name in told)
    ledger.execute(
        f"UPDATE charts SET {sets}, gone = 0 WHERE stock = :stock",
        {**told, "stock": found["stock"]},
    )
    return int(found["stock"])


def _titled(ledger: Ledger, title: str) -> sqlite3.Row | None:
    """The chart of that title as people compare titles; the one that is written so comes first."""
    return ledger.row(
        "SELECT * FROM charts WHERE title_key = :key ORDER BY gone, title <> :title",
        {"title": plain(title), "key": text_key(title)},
    )


def add_chart(act: Act, source: ChartSource, copies: int = 1, kind: EntryKind = "bought") -> int:
    """Book paper copies of a chart (0 for a file that is printed when needed); its stock id."""
    stock = know_chart(act.ledger, source)
    if copies:
        act.put(stock, kind, owned=copies)
    return stock


def find_chart(ledger: Ledger, title: str) -> sqlite3.Row:
    """The row of a known chart by its title; StashError where there is none."""
    row = _titled(ledger, title)
    if row is None or row["gone"]:
        raise StashError(f"no chart {title!r} in the stash", Remedy.SEE_CHARTS)
    return row


def source_of(row: sqlite3.Row) -> ChartSource:
    """The chart that a row of the table says."""
    names = ("title", "file", "book", "issue", "page", "place", "note")
    return ChartSource(**{name: row[name] for name in names})


def owned_charts(ledger: Ledger) -> list[ChartSource]:
    """Every chart of which there is a file or paper, by title."""
    return [
        source_of(row)
        for row in ledger.rows(
            "SELECT c.* FROM charts c JOIN balances b ON b.stock = c.stock"
            " WHERE c.file <> '' OR b.owned > 0 ORDER BY c.title"
        )
    ]


def known_title(ledger: Ledger, file: str) -> str | None:
    """The title of the chart whose file lies at ``file``; None where none does."""
    title: str | None = ledger.value("SELECT title FROM charts WHERE file = ?", (file,))
    return title
