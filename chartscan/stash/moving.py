"""A whole stash out into a folder and back in: tables for any program, and its history.

The tables say what there is. ``history.backup`` is the stash itself with every entry; as long as
the tables agree with it, it comes back by that, and knows the stashes that it parted from.
``history.csv`` tells the same to be read; it isn't read back.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from chartscan.csvtable import read_rows, table_text
from chartscan.errors import StashError, TableError
from chartscan.files import real_place, write_text
from chartscan.remedies import Remedy
from chartscan.stash.backup import back_up, checked_copy, put_into
from chartscan.stash.computing import work_out_again
from chartscan.stash.entries import acting
from chartscan.stash.fabrics import mean_for
from chartscan.stash.importing import REQUIRED, book_table, read_table
from chartscan.stash.importing_projects import PROJECT_TABLES
from chartscan.stash.ledger import Ledger
from chartscan.stash.lookback import history
from chartscan.stash.projects import PLANNED, find_project, list_projects
from chartscan.stash.tables import TABLES, export_table, plain
from chartscan.yardage.requirement import Factor
from chartscan.yardage.settings import EstimateSettings

HISTORY = "history.csv"
WHOLE = "history.backup"
HISTORY_HEADER = (
    *("number", "time", "act", "kind", "thing", "owned", "promised", "unit", "project", "note"),
    "taken_back_by",
)


@dataclass(frozen=True)
class Imported:
    """How many rows of each table there were, and whether the history came along."""

    rows: Mapping[str, int]
    with_history: bool


def export_all(ledger: Ledger, folder: Path) -> list[Path]:
    """Every table and the history into ``folder``, all of one moment; the files written.

    Raises:
        StashError: the folder can't be made, or the ledger is damaged.
        OutputError: a file can't be written.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise StashError(f"{folder}: can't be made ({error.strerror})") from error
    back_up(ledger, folder / WHOLE)
    with checked_copy(folder / WHOLE) as copy:
        texts = {f"{table}.csv": export_table(copy, table) for table in TABLES}
        texts[HISTORY] = _history_text(copy)
    for name, text in texts.items():
        write_text(folder / name, text)
    return [folder / name for name in (*texts, WHOLE)]


def exported_files(folder: Path) -> Iterator[Path]:
    """The files of an export that are in ``folder`` already."""
    names = (*(f"{table}.csv" for table in TABLES), HISTORY, WHOLE)
    return (folder / name for name in names if (folder / name).exists())


def _history_text(ledger: Ledger) -> str:
    every = history(ledger, last=-1)
    return table_text(
        HISTORY_HEADER,
        [
            [
                *(e.number, e.time, e.act, e.kind, e.thing, plain(e.owned), plain(e.promised)),
                *(e.unit, e.project, e.note, str(e.reversed_by or "")),
            ]
            for e in every
        ],
    )


# ---------------------------------------------------------------------------- back in


def import_all(
    ledger: Ledger, folder: Path, factor: Factor = EstimateSettings.factor, note: str = ""
) -> Imported:
    """Take a whole export, or tables written by hand, into an empty stash.

    Where the history is beside the tables, all comes back as it was, entry by entry. Without it the
    rows of the tables are booked; without a table of thread needs those of the planned projects
    are worked out from their charts.

    Args:
        ledger: an open ledger.
        folder: holds tables of these names; chart files may be told relative to it.
        factor: the stitcher's own factor for the estimate.
        note: free text.

    Raises:
        TableError: a file can't be read, or rows are wrong: all rows of all files are named.
        StashError: the stash isn't empty, the tables contradict each other or the history.
    """
    read = _read_all(folder)
    rows = {table: len(values) for table, values in read.items()}
    _refuse_full(ledger)
    if (folder / WHOLE).is_file():
        _take_whole(ledger, folder)
        return Imported(rows, with_history=True)
    with ledger.atomic():
        _refuse_full(ledger)
        with acting(ledger, "imported", note=note or folder.name) as act:
            for table in (table for table in REQUIRED if table in read):
                book_table(act, table, read[table], exact=True)
            _book_projects(ledger, read, factor)
    return Imported(rows, with_history=False)


def _refuse_full(ledger: Ledger) -> None:
    if ledger.value(
        "SELECT EXISTS (SELECT 1 FROM acts UNION ALL SELECT 1 FROM projects"
        " UNION ALL SELECT 1 FROM threads)"
    ):
        raise StashError(
            f"{ledger.path}: isn't empty; a whole export goes into a new stash, single tables"
            " into any",
            Remedy.NEW_STASH,
            Remedy.JOIN_STASH,
        )


def _take_whole(ledger: Ledger, folder: Path) -> None:
    """The stash of the folder's history into an empty one, if the tables still say the same."""
    with checked_copy(folder / WHOLE) as copy:
        for table in TABLES:
            path = folder / f"{table}.csv"
            if path.is_file() and _cells(path) != _cells_of(copy, table):
                raise StashError(
                    f"{path}: was changed since it was exported and doesn't agree with the history"
                    f" beside it. To take the tables as they are now, and no history, move {WHOLE}"
                    " out of the folder; to keep the history, export again and change things after"
                    " the import"
                )
        put_into(copy, ledger)


def _cells(path: Path) -> list[list[str]]:
    return [[text.strip() for text in row.cells.values()] for row in read_rows(path, ())]


def _cells_of(ledger: Ledger, table: str) -> list[list[str]]:
    from chartscan.csvtable import TableText

    text = TableText(export_table(ledger, table))
    return [[text.strip() for text in row.cells.values()] for row in read_rows(text, ())]


def _read_all(folder: Path) -> dict[str, list[Any]]:
    """The rows of every table in ``folder``, in the order of :data:`TABLES`."""
    there = [table for table in TABLES if (folder / f"{table}.csv").is_file()]
    if not there:
        raise TableError(f"{folder}: holds none of {', '.join(TABLES)} as .csv")
    read: dict[str, list[Any]] = {}
    bad: list[str] = []
    for table in there:
        try:
            read[table] = read_table(table, folder / f"{table}.csv")
        except TableError as error:
            bad.append(str(error))
    if bad:
        raise TableError("; ".join(bad))
    _find_charts(read, folder)
    return read


def _book_projects(ledger: Ledger, read: Mapping[str, list[Any]], factor: Factor) -> None:
    """Projects, their needs and what is set apart for them; needs not told are computed."""
    for table, how in PROJECT_TABLES.items():
        if table in read:
            how.book(ledger, read[table])
    for piece, name in read.get("fabrics", []):
        if name:
            mean_for(ledger, piece.label, find_project(ledger, name).id)
    if "thread-needs" not in read:
        for project in list_projects(ledger, (PLANNED,)):
            work_out_again(ledger, project, factor)


def _find_charts(read: dict[str, list[Any]], folder: Path) -> None:
    """Make the chart files that are told relative to the folder findable from anywhere."""
    if "charts" in read:
        read["charts"] = [
            (replace(source, file=str(real_place(folder / source.file))), copies)
            if source.file
            else (source, copies)
            for source, copies in read["charts"]
        ]
