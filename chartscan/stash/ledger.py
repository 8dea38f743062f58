"""The ledger's file: finding it, opening it, and the one way to write to it.

SQLite with a write-ahead log and full synchronisation: when a write returns, it is on the disk.
Writers take turns (``BEGIN IMMEDIATE``); one that waits too long says so in one line. Keep the
file on a disk of this machine: a write-ahead log doesn't work over a network share.
"""

from __future__ import annotations

import os
import sqlite3
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from types import TracebackType
from typing import Any
from urllib.parse import quote

from chartscan.database import result_code, roll_back, transaction
from chartscan.errors import StashError
from chartscan.files import is_special, real_place, sync_folder
from chartscan.remedies import Remedy
from chartscan.stash.migrations import migrate, teach, version_of
from chartscan.stash.schema import APPLICATION_ID, STEPS

ENVIRONMENT = "CHARTSCAN_STASH"
FILE_NAME = "stash.db"

Clock = Callable[[], datetime]
Parameters = Sequence[Any] | dict[str, Any]


def utc_now() -> datetime:
    """The time now, with its zone."""
    return datetime.now(UTC)


@dataclass(frozen=True)
class LedgerSettings:
    """How a ledger is opened.

    Attributes:
        busy_s: seconds a writer waits for another one; a booking takes milliseconds, so five
            seconds mean that something hangs.
        quick_check_bytes: a file up to this size is checked for damage before it is written to;
            at some 100 MB a second the check of 2 MB isn't noticed. Larger ones: ``check``.
        clock: where the time of an act comes from.
    """

    busy_s: float = 5.0
    quick_check_bytes: int = 2_000_000
    clock: Clock = utc_now


DEFAULTS = LedgerSettings()


class UnusableStashError(StashError):
    """What lies in the ledger's place can't be used; a restored backup takes its place."""


class DamagedStashError(UnusableStashError):
    """The ledger's file is damaged; only a restored backup helps."""


def default_path() -> Path:
    """Where the ledger lies: ``CHARTSCAN_STASH``, else in the user's own data folder."""
    told = os.environ.get(ENVIRONMENT)
    if told:
        return Path(told)
    from platformdirs import user_data_path

    return user_data_path("chartscan", appauthor=False) / FILE_NAME


class Ledger:
    """An open ledger; ``open_ledger`` makes one, and leaving its ``with`` block closes it."""

    def __init__(self, connection: sqlite3.Connection, path: Path, clock: Clock) -> None:
        self.connection = connection
        self.path = path
        self.clock = clock

    def __enter__(self) -> Ledger:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    def close(self) -> None:
        """Close the file; what isn't committed is dropped."""
        self.connection.close()

    def rows(self, sql: str, parameters: Parameters = ()) -> list[sqlite3.Row]:
        """All rows of a query."""
        try:
            return self.connection.execute(sql, parameters).fetchall()
        except sqlite3.DatabaseError as error:
            raise clear_error(self.path, error) from error

    def row(self, sql: str, parameters: Parameters = ()) -> sqlite3.Row | None:
        """The first row of a query, or None."""
        try:
            found: sqlite3.Row | None = self.connection.execute(sql, parameters).fetchone()
        except sqlite3.DatabaseError as error:
            raise clear_error(self.path, error) from error
        return found

    def value(self, sql: str, parameters: Parameters = ()) -> Any:  # noqa: ANN401 - as in SQL
        """The first cell of a query, or None."""
        row = self.row(sql, parameters)
        return None if row is None else row[0]

    def execute(self, sql: str, parameters: Parameters = ()) -> int:
        """Run one statement inside :meth:`atomic`; the id of the row it inserted, if it did."""
        try:
            return self.connection.execute(sql, parameters).lastrowid or 0
        except sqlite3.DatabaseError as error:
            raise clear_error(self.path, error) from error

    def insert(self, table: str, row: Mapping[str, object]) -> int:
        """Insert one row, column by column, inside :meth:`atomic`; its id."""
        marks = ", ".join(f":{name}" for name in row)
        return self.execute(f"INSERT INTO {table} ({', '.join(row)}) VALUES ({marks})", dict(row))

    @contextmanager
    def atomic(self) -> Iterator[None]:
        """Everything in the block is booked, or nothing; blocks within blocks join the outer one.

        Raises:
            StashError: another process writes and doesn't end, or the disk refuses.
        """
        if self.connection.in_transaction:
            yield
            return
        with clear_errors(self.path), transaction(self.connection):
            yield

    @contextmanager
    def snapshot(self) -> Iterator[None]:
        """All queries in the block see one state, whatever others book meanwhile."""
        with clear_errors(self.path):
            self.connection.execute("BEGIN")
            try:
                yield
            finally:
                roll_back(self.connection)


def open_ledger(path: Path, *, create: bool = False, settings: LedgerSettings = DEFAULTS) -> Ledger:
    """Open the ledger at ``path``; one of an older schema is brought up to date first.

    Args:
        path: the file.
        create: begin a new ledger where there is none.
        settings: waiting, checking and the clock.

    Raises:
        StashError: no ledger there, not one, damaged, of a newer schema, locked or not allowed.
    """
    with clear_errors(path):
        fresh = _look(path)
        if fresh and not create:
            raise StashError(f"{path}: no stash there yet", Remedy.BEGIN_STASH)
        if fresh:
            make_folder(path)
            _begin(real_place(path), settings)
        connection = _connect(path, settings)
        with closing_on_error(connection):
            _refuse_foreign(connection, path)
            _refuse_damaged(connection, path, settings)
            _prepare(connection, settings)
        return Ledger(connection, path, settings.clock)


def _begin(path: Path, settings: LedgerSettings) -> None:
    """Put an empty ledger at ``path``, whole, unless another process has been quicker."""
    made = path.parent / f".chartscan-{os.urandom(8).hex()}.part"
    try:
        connection = sqlite3.connect(made, isolation_level=None)
        try:
            migrate(connection, stamp(settings.clock()))
        finally:
            connection.close()
        with suppress(FileExistsError):
            _name_once(made, path)
        sync_folder(path.parent)
    except OSError as error:
        raise StashError(f"{path}: can't be made ({error.strerror})") from error
    finally:
        made.unlink(missing_ok=True)


def _name_once(made: Path, path: Path) -> None:
    """Give a file its name; FileExistsError where there is one of that name already."""
    try:
        os.link(made, path)
    except FileExistsError:
        raise
    except OSError:  # a disk that knows no second names
        if path.exists():
            raise FileExistsError from None
        made.rename(path)


@contextmanager
def closing_on_error(connection: sqlite3.Connection) -> Iterator[None]:
    """Close ``connection`` if the block fails; else it stays open for its new owner."""
    try:
        yield
    except BaseException:
        connection.close()
        raise


def _look(path: Path) -> bool:
    """Whether a ledger is still to be begun at ``path``; StashError where none can be."""
    try:
        if path.is_dir():
            raise StashError(f"{path}: is a folder", Remedy.OTHER_STASH)
        if is_special(path):
            raise StashError(f"{path}: isn't a plain file", Remedy.OTHER_STASH)
        real = real_place(path)
        journal = real.with_name(real.name + "-wal")
        if journal.exists() and not path.exists():  # in this order: both may be just beginning
            raise UnusableStashError(
                f"{path}: is gone, though its log {journal.name} is there",
                Remedy.PUT_BACK,
                Remedy.RESTORE,
            )
        if path.exists() and path.stat().st_size == 0:
            raise UnusableStashError(
                f"{path}: is empty, as no stash ever is; to begin a new one, delete the empty file",
                Remedy.RESTORE,
            )
        return not path.exists()
    except OSError as error:
        raise StashError(f"{path}: can't be opened ({error.strerror})") from error


def make_folder(path: Path) -> None:
    """Make the folder that ``path`` is to lie in; StashError where it can't be made."""
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise StashError(
            f"{path}: the folder can't be made ({error.strerror})", Remedy.OTHER_STASH
        ) from error


def _connect(path: Path, settings: LedgerSettings) -> sqlite3.Connection:
    """A connection; where neither the file nor its folder may be written, one that only reads."""
    sealed = path.exists() and not (_writable(path) and _writable(path.parent))
    journal = path.with_name(path.name + "-wal")
    # A sealed file without a log can't change under us; with one, its log must be read too.
    mode = "rwc" if not sealed else "ro" if journal.exists() else "ro&immutable=1"
    connection = sqlite3.connect(
        f"file:{quote(str(path.absolute()))}?mode={mode}",
        uri=True,
        timeout=settings.busy_s,
        isolation_level=None,
    )
    connection.row_factory = sqlite3.Row
    teach(connection)
    return connection


def _writable(path: Path) -> bool:
    return os.access(path, os.W_OK, effective_ids=os.access in os.supports_effective_ids)


def _refuse_foreign(connection: sqlite3.Connection, path: Path) -> None:
    mark = connection.execute("PRAGMA application_id").fetchone()[0]
    version = version_of(connection)
    if mark != APPLICATION_ID:
        raise UnusableStashError(
            f"{path}: is a database of something else, not a stash; choose another"
        )
    if version > len(STEPS):
        raise UnusableStashError(
            f"{path}: was written by a newer chartscan (schema {version}, this one knows"
            f" {len(STEPS)}); it was not touched: update chartscan"
        )


def _refuse_damaged(connection: sqlite3.Connection, path: Path, settings: LedgerSettings) -> None:
    connection.execute("PRAGMA cell_size_check = ON")
    if path.stat().st_size > settings.quick_check_bytes:
        return
    verdict = connection.execute("PRAGMA quick_check(1)").fetchone()[0]
    if verdict != "ok":
        found = str(verdict).splitlines()[-1]
        raise DamagedStashError(f"{path}: {DAMAGED} ({found})", Remedy.RESTORE)


def _prepare(connection: sqlite3.Connection, settings: LedgerSettings) -> None:
    connection.execute("PRAGMA foreign_keys = ON")
    connection.execute("PRAGMA synchronous = FULL")
    connection.execute("PRAGMA trusted_schema = OFF")
    if version_of(connection) < len(STEPS) or not _is_wal(connection):
        _use_wal(connection, settings)
        migrate(connection, stamp(settings.clock()))


def _is_wal(connection: sqlite3.Connection) -> bool:
    return bool(connection.execute("PRAGMA journal_mode").fetchone()[0] in ("wal", "memory"))


def _use_wal(connection: sqlite3.Connection, settings: LedgerSettings) -> None:
    """Switch to a write-ahead log; SQLite doesn't wait for others here, so this does."""
    end = time.monotonic() + settings.busy_s
    while True:
        try:
            connection.execute("PRAGMA journal_mode = WAL")
        except sqlite3.OperationalError as error:
            if result_code(error) != sqlite3.SQLITE_BUSY or time.monotonic() > end:
                raise
            time.sleep(0.01)
        else:
            return


def stamp(moment: datetime) -> str:
    """A time as the ledger keeps it: UTC, ISO 8601, microseconds, sortable as text."""
    return moment.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%S.%fZ")


# ---------------------------------------------------------------------------- errors

DAMAGED = "the stash is damaged and was not touched; copy the file somewhere safe first"
PROMISED = "promised_within_owned"  # the rule of the schema


@contextmanager
def clear_errors(path: Path) -> Iterator[None]:
    """Turn SQLite's errors into one :class:`StashError` that says what to do."""
    try:
        yield
    except sqlite3.DatabaseError as error:
        raise clear_error(path, error) from error


def clear_error(path: Path, error: sqlite3.DatabaseError) -> StashError:
    """What an error of SQLite's means for the stitcher; of the ledger at ``path``."""
    if isinstance(error, sqlite3.IntegrityError):
        ways = (Remedy.SEE_STASH,) if PROMISED in str(error) else ()
        return StashError(_broken_rule(str(error)), *ways)
    if result_code(error) in (sqlite3.SQLITE_NOTADB, sqlite3.SQLITE_CORRUPT):
        return DamagedStashError(f"{path}: {_reason(error)}", Remedy.RESTORE)
    return StashError(f"{path}: {_reason(error)}")


def _reason(error: sqlite3.DatabaseError) -> str:
    reasons = {
        sqlite3.SQLITE_BUSY: "another chartscan is writing to the stash; nothing was booked,"
        " try again in a moment",
        sqlite3.SQLITE_LOCKED: "another chartscan is writing to the stash; nothing was booked,"
        " try again in a moment",
        sqlite3.SQLITE_FULL: "the disk is full; nothing was booked, free some space and try again",
        sqlite3.SQLITE_READONLY: "the stash may not be written (file or folder is read-only);"
        " nothing was booked",
        sqlite3.SQLITE_PERM: "the stash may not be opened; check who owns the file",
        sqlite3.SQLITE_CANTOPEN: "the stash can't be opened; check the folder and who owns it",
        sqlite3.SQLITE_IOERR: "the disk can't be read or written; nothing was booked, check the"
        " disk and its free space",
        sqlite3.SQLITE_NOTADB: DAMAGED + " (it isn't a database)",
        sqlite3.SQLITE_CORRUPT: DAMAGED,
    }
    return reasons.get(result_code(error), str(error))


def _broken_rule(message: str) -> str:
    rules = {
        "owned_not_negative": "more would be taken than is owned; nothing was booked",
        "promised_not_negative": "more would be released than is promised; nothing was booked",
        PROMISED: "that is promised to a project or already gone; nothing was booked",
        "moved on": "the project has moved on meanwhile; nothing was booked, look at it again",
        "holding_not_negative": "the project doesn't hold that much; nothing was booked",
    }
    kinds = {
        "UNIQUE": "the same is there twice; nothing was booked",
        "NOT NULL": "something that is named isn't in the stash; nothing was booked",
        "FOREIGN KEY": "something that is named isn't in the stash; nothing was booked",
        "CHECK": "a value makes no sense; nothing was booked",
    }
    known = next((text for rule, text in rules.items() if rule in message), None)
    if known:
        return known
    return next(
        (f"{text} ({message})" for kind, text in kinds.items() if message.startswith(kind)), message
    )
