"""SQLite as all wings use it: transactions that end whole or without trace, and result codes."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def transaction(connection: sqlite3.Connection) -> Iterator[None]:
    """Everything in the block is written, or nothing; the connection must be in autocommit mode.

    Raises:
        sqlite3.Error: another process writes and doesn't end, or the disk refuses.
    """
    connection.execute("BEGIN IMMEDIATE")
    try:
        yield
        connection.execute("COMMIT")
    except BaseException:
        roll_back(connection)
        raise


def roll_back(connection: sqlite3.Connection) -> None:
    """End a transaction without trace; SQLite may have ended it by itself (full disk, say)."""
    if connection.in_transaction:
        connection.execute("ROLLBACK")


def result_code(error: sqlite3.Error) -> int:
    """SQLite's primary result code; 0 where the module raised the error by itself."""
    return int(getattr(error, "sqlite_errorcode", 0)) & 0xFF
