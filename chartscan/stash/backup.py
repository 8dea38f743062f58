"""Backup to one file, and restoring one that was checked first."""

from __future__ import annotations

import gzip
import sqlite3
import time
import zlib
from collections.abc import Callable
from pathlib import Path

from chartscan.errors import StashError
from chartscan.files import real_place, replacing
from chartscan.stash.check import audit
from chartscan.stash.ledger import (
    DEFAULTS,
    DamagedStashError,
    Ledger,
    LedgerSettings,
    UnusableStashError,
    clear_errors,
    closing_on_error,
    make_folder,
    open_ledger,
    stamp,
)
from chartscan.stash.migrations import migrate, teach, version_of
from chartscan.stash.schema import APPLICATION_ID, STEPS

Counts = dict[str, int]

PACKED = b"\x1f\x8b"  # how a gzip file begins (RFC 1952, section 2.3.1)
LEVEL = 6  # of compression; zlib's own balance of time and size
JOURNAL = slice(18, 20)  # SQLite's file format, section 1.3.3: read and write version, 2 for a log


def back_up(ledger: Ledger, target: Path) -> Counts:
    """Write the whole ledger to one file, checked; how much of what it holds.

    Raises:
        StashError: the ledger is damaged; nothing was written.
        OutputError: ``target`` can't be written.
    """
    if target.exists() and target.samefile(ledger.path):
        raise StashError(f"{target}: is the stash itself; give the backup another name")
    with _copy(ledger.connection, ledger.path) as copy:
        _refuse_unclean(copy)
        with replacing(target) as stream:
            stream.write(gzip.compress(copy.connection.serialize(), LEVEL, mtime=0))
        return _counts(copy)


def restore(
    backup: Path, path: Path, settings: LedgerSettings = DEFAULTS
) -> tuple[Counts, Path | None]:
    """Put a backup in the place of the ledger at ``path``, once it is checked.

    Args:
        backup: a file that ``back_up`` wrote, of this schema or an older one, or any ledger.
        path: the ledger; what was there is kept beside it under another name.
        settings: waiting and the clock.

    Returns:
        How much of what the ledger holds now, and where the former one is kept.

    Raises:
        StashError: the backup isn't one, is damaged or newer than this program, or the ledger is
            in use; the ledger at ``path`` stays as it was.
    """
    if not backup.is_file():
        raise StashError(f"{backup}: no such backup")
    if path.exists() and backup.samefile(path):
        raise StashError(f"{backup}: is the stash itself; name the backup")
    path = real_place(path)
    with checked_copy(backup, settings) as copy:
        if path.exists():
            return _counts(copy), _replace(copy, path, settings)
        make_folder(path)
        return _counts(copy), _set_aside(copy, path)


def checked_copy(backup: Path, settings: LedgerSettings = DEFAULTS) -> Ledger:
    """A backup as a ledger in memory, sound; StashError where it isn't."""
    try:
        copy = _load(backup, settings)
        with closing_on_error(copy.connection):
            _refuse_unclean(copy)
    except DamagedStashError as error:
        raise StashError(
            f"{backup}: this backup is damaged; the stash stays as it was: take another backup"
        ) from error
    return copy


def _load(backup: Path, settings: LedgerSettings) -> Ledger:
    """A backup as a ledger in memory, brought up to date; the file itself isn't touched."""
    with clear_errors(backup):
        source = _open(backup)
        try:
            mark = source.execute("PRAGMA application_id").fetchone()[0]
            if mark != APPLICATION_ID:
                raise StashError(f"{backup}: isn't a backup of a stash")
            if version_of(source) > len(STEPS):
                raise StashError(
                    f"{backup}: was written by a newer chartscan; update it, then restore"
                )
            copy = _copy(source, backup)
        finally:
            source.close()
        with closing_on_error(copy.connection):
            copy.connection.execute("PRAGMA foreign_keys = ON")
            migrate(copy.connection, stamp(settings.clock()))
        return copy


def _open(backup: Path) -> sqlite3.Connection:
    """A backup to read from: unpacked into memory, or the file itself where it isn't packed."""
    try:
        with backup.open("rb") as stream:
            packed = stream.read(len(PACKED)) == PACKED
        if not packed:
            logged = backup.with_name(
                backup.name + "-wal"
            ).exists()  # a stash in use: its log counts
            how = "mode=ro" if logged else "mode=ro&immutable=1"
            return sqlite3.connect(f"{backup.absolute().as_uri()}?{how}", uri=True)
        content = bytearray(gzip.decompress(backup.read_bytes()))
    except (EOFError, gzip.BadGzipFile, zlib.error) as error:
        raise DamagedStashError(f"{backup}: is cut short or damaged") from error
    except OSError as error:
        raise StashError(f"{backup}: can't be read ({error.strerror})") from error
    content[JOURNAL] = b"\x01\x01"  # a ledger in memory has no write-ahead log
    source = sqlite3.connect(":memory:")
    source.deserialize(bytes(content))
    return source


def _copy(source: sqlite3.Connection, path: Path) -> Ledger:
    with clear_errors(path):
        memory = sqlite3.connect(":memory:", isolation_level=None)
        memory.row_factory = sqlite3.Row
        teach(memory)
        with closing_on_error(memory):
            source.backup(memory)
        return Ledger(memory, path, DEFAULTS.clock)


def _refuse_unclean(copy: Ledger) -> None:
    wrong = audit(copy)
    if wrong:
        more = f" (and {len(wrong) - 1} more)" if len(wrong) > 1 else ""
        raise StashError(f"{copy.path}: doesn't pass its check: {wrong[0]}{more}; nothing written")


def _counts(ledger: Ledger) -> Counts:
    tables = ("threads", "pieces", "notions", "charts", "projects", "entries")
    return {table: ledger.value(f"SELECT count(*) FROM {table}") for table in tables}


def _replace(copy: Ledger, path: Path, settings: LedgerSettings) -> Path | None:
    """Keep the ledger that is there, then write ``copy`` over it in one transaction."""
    kept = _free_name(path, "before-restore")
    try:
        with open_ledger(path, settings=settings) as there:
            with _copy(there.connection, path) as former, replacing(kept) as stream:
                stream.write(former.connection.serialize())
            put_into(copy, there, settings)
    except UnusableStashError:
        return _set_aside(copy, path)
    return kept


def put_into(copy: Ledger, there: Ledger, settings: LedgerSettings = DEFAULTS) -> None:
    """Write everything that ``copy`` holds over what ``there`` holds, in one transaction."""
    with clear_errors(there.path):
        watch = _patience(there.path, settings)
        copy.connection.backup(there.connection, progress=watch, sleep=0.05)


def _set_aside(copy: Ledger, path: Path) -> Path | None:
    """Rename what is left of an unusable ledger, its log included, and put ``copy`` in its place.

    A log without its ledger would be written into the one that comes.
    """
    kept = _free_name(path, "damaged")
    there = False
    try:
        for ending in ("-wal", "-shm", ""):
            beside = path.with_name(path.name + ending)
            if beside.exists():
                beside.rename(kept.with_name(kept.name + ending))
                there = True
    except OSError as error:
        raise StashError(f"{path}: can't be set aside ({error.strerror})") from error
    with replacing(path) as stream:
        stream.write(copy.connection.serialize())
    return kept if there else None


def _free_name(path: Path, word: str) -> Path:
    number = 1
    while (name := path.with_name(f"{path.stem}.{word}-{number}{path.suffix}")).exists():
        number += 1
    return name


def _patience(path: Path, settings: LedgerSettings) -> Callable[[int, int, int], None]:
    """A progress callback that gives up when another process doesn't let go of the file."""
    end = time.monotonic() + settings.busy_s

    def watch(status: int, remaining: int, total: int) -> None:
        if status in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED) and time.monotonic() > end:
            raise StashError(f"{path}: another chartscan is writing to the stash; try again")

    return watch
