"""The catalogue: one SQLite file, and beside it a folder of chart files.

One process books at a time; others may look meanwhile. A write-ahead log with normal
synchronisation: a power cut can't damage it, and the last pages that it may cost are read again.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import Any
from urllib.parse import quote

from chartscan.archive.schema import APPLICATION_ID, STEPS
from chartscan.database import result_code, transaction
from chartscan.errors import ArchiveError
from chartscan.files import is_special, lock_file
from chartscan.remedies import Remedy

Parameters = Sequence[Any] | Mapping[str, Any]
BUSY_S = 5.0  # seconds that a writer waits for another one; a booking takes milliseconds


class Catalogue:
    """An open catalogue; :func:`opened` and :func:`begun` make one."""

    def __init__(self, connection: sqlite3.Connection, path: Path) -> None:
        self.connection = connection
        self.path = path

    @property
    def charts(self) -> Path:
        """The folder of chart files."""
        return charts_folder(self.path)

    def rows(self, sql: str, parameters: Parameters = ()) -> list[sqlite3.Row]:
        """All rows of a query."""
        return list(self.stream(sql, parameters))

    def stream(self, sql: str, parameters: Parameters = ()) -> Iterator[sqlite3.Row]:
        """The rows of a query, one after the other."""
        with clear_errors(self.path):
            yield from self.connection.execute(sql, parameters)

    def value(self, sql: str, parameters: Parameters = ()) -> Any:  # noqa: ANN401 - as in SQL
        """The first cell of a query, or None."""
        rows = self.rows(sql, parameters)
        return rows[0][0] if rows else None

    def execute(self, sql: str, parameters: Parameters = ()) -> int:
        """Run one statement inside :meth:`atomic`; the id of the row it inserted, if it did."""
        return self.connection.execute(sql, parameters).lastrowid or 0

    def many(self, sql: str, rows: Sequence[Sequence[Any]]) -> None:
        """Run one statement for each of ``rows``, inside :meth:`atomic`."""
        self.connection.executemany(sql, rows)

    @contextmanager
    def atomic(self) -> Iterator[None]:
        """Everything in the block is booked, or nothing.

        Raises:
            ArchiveError: the disk is full or refuses.
        """
        with clear_errors(self.path), transaction(self.connection):
            yield


def charts_folder(path: Path) -> Path:
    """Where the chart files of the catalogue ``path`` lie: beside it, called after it."""
    return path.with_name(f"{path.stem}-charts")


@contextmanager
def opened(path: Path) -> Iterator[Catalogue]:
    """The catalogue at ``path``, to look into.

    Raises:
        ArchiveError: there is none, or what lies there is none.
    """
    if not path.exists():
        raise ArchiveError(f"{path}: no catalogue there", Remedy.READ_ARCHIVE)
    with _connected(path) as catalogue:
        _refuse_foreign(catalogue)
        yield catalogue


@contextmanager
def begun(path: Path) -> Iterator[Catalogue]:
    """The catalogue at ``path``, to book into; begun where there is none.

    Raises:
        ArchiveError: another process books into it, it is none, or it can't be made.
    """
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with lock_file(path.with_name(f"{path.name}-lock")) as mine:
            if not mine:
                raise ArchiveError(
                    f"{path}: an archive is being read into it", Remedy.WAIT_FOR_ARCHIVE
                )
            with _connected(path) as catalogue:
                _prepare(catalogue)
                yield catalogue
    except OSError as error:
        raise ArchiveError(f"{path}: can't be written ({error.strerror or error})") from error


@contextmanager
def _connected(path: Path) -> Iterator[Catalogue]:
    if path.is_dir() or is_special(path):
        raise ArchiveError(f"{path}: isn't a plain file; give the catalogue a file name")
    with clear_errors(path):
        address = f"file:{quote(str(path.absolute()))}"
        connection = sqlite3.connect(address, uri=True, timeout=BUSY_S, isolation_level=None)
    try:
        connection.row_factory = sqlite3.Row
        with clear_errors(path):
            connection.execute("PRAGMA foreign_keys = ON")
            connection.execute("PRAGMA trusted_schema = OFF")
        yield Catalogue(connection, path)
    finally:
        connection.close()


def _refuse_foreign(catalogue: Catalogue) -> int:
    """The schema's version; ArchiveError for a database of something else, or a newer one."""
    mark, version = (catalogue.value(f"PRAGMA {n}") for n in ("application_id", "user_version"))
    if mark != APPLICATION_ID:
        raise ArchiveError(f"{catalogue.path}: is something else, not a catalogue; choose another")
    if version > len(STEPS):
        raise ArchiveError(
            f"{catalogue.path}: was written by a newer chartscan (schema {version}, this one knows"
            f" {len(STEPS)}); it was not touched: update chartscan"
        )
    return int(version)


def _prepare(catalogue: Catalogue) -> None:
    """Make it a catalogue where it is an empty file, and bring an older one up to date."""
    with clear_errors(catalogue.path):
        empty = not catalogue.value("SELECT count(*) FROM sqlite_schema")
        version = 0 if empty else _refuse_foreign(catalogue)
        catalogue.connection.execute("PRAGMA journal_mode = WAL")
        catalogue.connection.execute("PRAGMA synchronous = NORMAL")
        for number, (_, sql) in enumerate(STEPS[version:], start=version + 1):
            with catalogue.atomic():
                catalogue.execute(f"PRAGMA application_id = {APPLICATION_ID}")
                for statement in sql.split(";\n"):  # a script would be a transaction of its own
                    catalogue.execute(statement)
                catalogue.execute(f"PRAGMA user_version = {number}")


def now() -> str:
    """This moment as the catalogue keeps it: UTC, ISO 8601."""
    return datetime.now(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")


# ---------------------------------------------------------------------------- errors

REASONS = {
    sqlite3.SQLITE_FULL: "the disk is full; what was read so far is kept: free some space and call"
    " it again, it goes on from there",
    sqlite3.SQLITE_BUSY: "another process is writing to the catalogue; try again in a moment",
    sqlite3.SQLITE_READONLY: "the catalogue may not be written (file or folder is read-only)",
    sqlite3.SQLITE_CANTOPEN: "the catalogue can't be opened; check the folder and who owns it",
    sqlite3.SQLITE_IOERR: "the disk can't be read or written; what was read so far is kept: check"
    " the disk and its free space, and call it again",
    sqlite3.SQLITE_NOTADB: "is something else, not a catalogue; choose another",
    sqlite3.SQLITE_CORRUPT: "the catalogue is damaged; its chart files are still there: put it"
    " aside and read the archive into a new one",
}


@contextmanager
def clear_errors(path: Path) -> Iterator[None]:
    """Turn SQLite's errors into one :class:`ArchiveError` that says what to do."""
    try:
        yield
    except sqlite3.Error as error:
        raise ArchiveError(f"{path}: {REASONS.get(result_code(error), error)}") from error
