"""Her own table of substitutes: which thread of one range she takes for which of another.

CSV ``line,code,becomes_line,becomes_code,date,remark``; it can be read and kept like any table.
It is read both ways: what A becomes in B, and what of A becomes what B has. Where a range tells no
line, the name of its file stands for it.
"""

from __future__ import annotations

import os
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from chartscan.colour import ciede2000_matrix
from chartscan.csvtable import Row, parse_rows, read_rows, table_text
from chartscan.errors import TableError
from chartscan.files import write_text
from chartscan.palette.remarks import label, listed
from chartscan.palette.thread import Palette, Thread
from chartscan.plaintext import code_key, text_key

ENVIRONMENT = "CHARTSCAN_SUBSTITUTES"
COLUMNS = ("line", "code", "becomes_line", "becomes_code", "date", "remark")

Place = tuple[str, str]  # line and code of a thread


@dataclass(frozen=True)
class Substitute:
    """A thread that she takes for another.

    Attributes:
        called: line and code of the thread called for.
        becomes: line and code of the one that she takes.
        date: ISO date on which she chose it, or "".
        remark: in her own words.
    """

    called: Place
    becomes: Place
    date: str = ""
    remark: str = ""

    @property
    def words(self) -> str:
        """That it is her own choice, since when and why."""
        since = f" since {self.date}" if self.date else ""
        return f"yours{since}" + (f": {self.remark}" if self.remark else "")


@dataclass(frozen=True)
class Remembered:
    """What her table says of threads of one range in another.

    Attributes:
        taken: the thread to take, by thread called for, and the row that says so.
        notes: where her table leaves a choice, a line each.
    """

    taken: Mapping[Thread, tuple[Thread, Substitute]]
    notes: tuple[str, ...] = ()


def table_path() -> Path:
    """Where her table lies: ``CHARTSCAN_SUBSTITUTES``, else in the user's own data folder."""
    told = os.environ.get(ENVIRONMENT)
    if told:
        return Path(told)
    from platformdirs import user_data_path

    return user_data_path("chartscan", appauthor=False) / "substitutes.csv"


def load_substitutes(path: Path) -> tuple[Substitute, ...]:
    """The rows of her table; none where there is no such file yet.

    Raises:
        TableError: it can't be read, or rows are wrong; all of them are named.
    """
    if not path.exists():
        return ()
    return tuple(parse_rows(path, read_rows(path, ("code", "becomes_code")), _substitute))


def save_substitutes(rows: Sequence[Substitute], path: Path) -> None:
    """Write her table, whole or not at all; its folder is made where it is missing."""
    cells = [(*s.called, *s.becomes, s.date, s.remark) for s in rows]
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise TableError(f"{path.parent}: can't be made ({error.strerror})") from error
    write_text(path, table_text(COLUMNS, cells))


def remember(rows: Sequence[Substitute], new: Substitute) -> tuple[Substitute, ...]:
    """The table with a new row, in place of what stood there for the same thread and range."""
    kept = [
        s
        for s in rows
        if _key(s.called) != _key(new.called) or text_key(s.becomes[0]) != text_key(new.becomes[0])
    ]
    return (*kept, new)


def forget(rows: Sequence[Substitute], code: str) -> tuple[Substitute, ...]:
    """The table without what stands there for the thread ``code``, of any line.

    Raises:
        TableError: nothing stands there for it.
    """
    kept = tuple(s for s in rows if code_key(s.called[1]) != code_key(code))
    if len(kept) == len(rows):
        raise TableError(f"your table of substitutes has no row for {code}")
    return kept


def recall(
    rows: Sequence[Substitute], called_for: Sequence[Thread], before: Palette, after: Palette
) -> Remembered:
    """What her table says of threads of one range in another, either way round.

    A row that says it outright goes before rows that say it the other way round; of several of
    those the nearest in colour is taken, and that is said.
    """
    offered = {_key(place_of(t, after)): t for t in after.threads}
    forth: dict[Place, tuple[Thread, Substitute]] = {}
    back: dict[Place, list[tuple[Thread, Substitute]]] = defaultdict(list)
    for row in rows:
        called, becomes = _key(row.called), _key(row.becomes)
        if becomes in offered:
            forth[called] = (offered[becomes], row)
        if called in offered:
            back[becomes].append((offered[called], row))
    taken: dict[Thread, tuple[Thread, Substitute]] = {}
    notes = []
    for thread in dict.fromkeys(called_for):
        place = _key(place_of(thread, before))
        others = back.get(place, [])
        if place in forth:
            taken[thread] = forth[place]
        elif others:
            taken[thread] = _nearest(thread, others)
            if len(others) > 1:
                names = listed([label(other) for other, _ in others])
                notes.append(
                    f"{label(thread)} is what you take for {names};"
                    f" {label(taken[thread][0])} is the nearest of them"
                )
    return Remembered(taken, tuple(notes))


def place_of(thread: Thread, palette: Palette) -> Place:
    """Line and code of a thread; the name of the range's file where it tells no line."""
    return thread.line or Path(palette.source).stem, thread.code


def _nearest(
    thread: Thread, others: Sequence[tuple[Thread, Substitute]]
) -> tuple[Thread, Substitute]:
    lab = np.array([other.lab for other, _ in others])
    return others[int(np.argmin(ciede2000_matrix(np.array([thread.lab]), lab)[0]))]


def _key(place: Place) -> Place:
    return text_key(place[0]), code_key(place[1])


def _substitute(row: Row) -> Substitute:
    return Substitute(
        (row.text("line"), row.need("code")),
        (row.text("becomes_line"), row.need("becomes_code")),
        row.text("date"),
        row.text("remark"),
    )
