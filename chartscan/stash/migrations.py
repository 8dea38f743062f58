"""Bringing a ledger of an older schema up to date: named steps, each whole or not at all."""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence

from chartscan.database import transaction
from chartscan.plaintext import code_key, text_key
from chartscan.stash.schema import APPLICATION_ID, STEPS


def teach(connection: sqlite3.Connection) -> None:
    """Give queries the comparing of texts and codes as people do (:mod:`chartscan.plaintext`)."""
    connection.create_function("text_key", 1, text_key, deterministic=True)
    connection.create_function("code_key", 1, code_key, deterministic=True)


def version_of(connection: sqlite3.Connection) -> int:
    """How many of the steps were taken: the file's schema version, 0 for an empty file."""
    return int(connection.execute("PRAGMA user_version").fetchone()[0])


def migrate(
    connection: sqlite3.Connection, moment: str, steps: Sequence[tuple[str, str]] = STEPS
) -> None:
    """Take the steps that ``connection`` lacks, each in one transaction with its record.

    The version is read again inside the transaction: another process may have been quicker.

    Args:
        connection: in autocommit mode.
        moment: the time to note beside each step.
        steps: (name, SQL) in order; all known ones by default.
    """
    teach(connection)
    for number, (name, sql) in enumerate(steps, start=1):
        if version_of(connection) >= number:
            continue
        with transaction(connection):
            if version_of(connection) < number:
                _take(connection, number, name, sql, moment)


def _take(connection: sqlite3.Connection, number: int, name: str, sql: str, moment: str) -> None:
    if number == 1:
        connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
        connection.execute(
            "CREATE TABLE migrations"
            " (number INTEGER PRIMARY KEY, name TEXT NOT NULL UNIQUE, taken TEXT NOT NULL) STRICT"
        )
    for statement in statements(sql):
        connection.execute(statement)
    connection.execute("INSERT INTO migrations VALUES (?, ?, ?)", (number, name, moment))
    connection.execute(f"PRAGMA user_version = {number}")


def statements(sql: str) -> list[str]:
    """The single statements of a script; ``executescript`` would commit between them."""
    found: list[str] = []
    text = ""
    for line in sql.splitlines(keepends=True):
        text += line
        if sqlite3.complete_statement(text):
            found.append(text.strip())
            text = ""
    return [statement for statement in found if statement]
