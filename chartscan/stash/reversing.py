"""Taking back: an act, an entry of it, or what was done last for a project."""

from __future__ import annotations

import sqlite3
from dataclasses import dataclass

from chartscan.errors import StashError
from chartscan.remedies import Remedy
from chartscan.stash.changes import changes_of, put_back
from chartscan.stash.entries import (
    FOUND_SHORT,
    REVERSED,
    UNDONE,
    Act,
    EntryKind,
    acting,
    plan_again_what_is_short,
)
from chartscan.stash.ledger import Ledger

# With these a project came into the ledger; they stay.
BEGINNINGS = ("planned", "imported")

LAST = f"""
SELECT * FROM acts a WHERE project = ? AND reverses IS NULL
AND name NOT IN {BEGINNINGS} AND NOT EXISTS (SELECT 1 FROM acts r WHERE r.reverses = a.id)
ORDER BY id DESC
"""


@dataclass(frozen=True)
class TakenBack:
    """What an undo took back.

    Attributes:
        number: the act.
        name: what it was.
        note: as it was typed.
        time: of the act, UTC, ISO 8601.
        by: the act that took it back.
    """

    number: int
    name: str
    note: str
    time: str
    by: int


def reverse(ledger: Ledger, act: int, place: int | None = None, note: str = "") -> int:
    """Take back an act, or one line of it: entries by opposite ones, changes by what was before.

    Args:
        ledger: an open ledger.
        act: its number in the history.
        place: which of its lines, counted from 1, entries before changes; all of them where None.
        note: why.

    Returns:
        The number of the new act.

    Raises:
        StashError: no such act or line, already reversed, or what it brought is gone since.
    """
    with ledger.atomic():
        row = find_act(ledger, act)
        if row["project"] is not None:
            return _reverse_for_project(ledger, act, int(row["project"]), place, note)
        entries, changes = _lines(ledger, act, place)
        whole = place is None and not ledger.value(
            "SELECT count(*) FROM acts WHERE reverses = ?", (act,)
        )
        if not entries and (not changes or (place is None and not whole)):
            raise StashError(f"entry {act} was taken back already")
        with acting(ledger, REVERSED, note=note, reverses=act if whole else None) as new:
            put_back(new, changes)
            _put_back_entries(new, entries)
        return new.number


def find_act(ledger: Ledger, act: int) -> sqlite3.Row:
    """The row of an act; StashError where there is none."""
    row = ledger.row("SELECT * FROM acts WHERE id = ?", (act,))
    if row is None:
        raise StashError(f"there is no entry {act}", Remedy.SEE_HISTORY)
    return row


def undo(ledger: Ledger, project: int, note: str = "") -> TakenBack:
    """Take back what was done last for ``project``, its move and its changes included.

    Raises:
        StashError: there is nothing to undo, or what it left is promised or gone since.
    """
    with ledger.atomic():
        done: list[TakenBack] = []
        for row in _last_acts(ledger, project):
            move = None if row["to_state"] is None else (row["to_state"], row["from_state"])
            entries, changes = _lines(ledger, row["id"], None)
            with acting(
                ledger,
                UNDONE,
                project=project,
                note=note,
                move=move,
                reverses=row["id"],
                more_follows=True,
            ) as new:
                put_back(new, changes)
                _put_back_entries(new, entries)
            done.append(TakenBack(row["id"], row["name"], row["note"], row["time"], new.number))
        plan_again_what_is_short(ledger)
        return done[-1]


def last_act(ledger: Ledger, project: int) -> int:
    """The number of the act that :func:`undo` would take back; StashError where there is none."""
    return int(_last_acts(ledger, project)[-1]["id"])


def _last_acts(ledger: Ledger, project: int) -> list[sqlite3.Row]:
    """What was done last, and first of all that it was found short since, if it was."""
    rows: list[sqlite3.Row] = []
    for row in ledger.rows(LAST, (project,)):
        rows.append(row)
        if row["name"] != FOUND_SHORT:
            return rows
    raise StashError("there is nothing to undo for this project")


def _reverse_for_project(
    ledger: Ledger, act: int, project: int, place: int | None, note: str
) -> int:
    """A project's acts are taken back whole and last first, so that its bag stays true."""
    name = ledger.value("SELECT name FROM projects WHERE id = ?", (project,))
    if place is not None or act != last_act(ledger, project):
        raise StashError(
            f"entry {act} belongs to the project {name}, whose acts are taken back whole and"
            " last first",
            Remedy.UNDO_PROJECT,
            name=str(name),
        )
    return undo(ledger, project, note).by


Reversible = tuple[int, int, EntryKind, int, int]


def _lines(
    ledger: Ledger, act: int, place: int | None
) -> tuple[list[Reversible], list[sqlite3.Row]]:
    """The entries to reverse, (id, stock, kind, owned, promised), last first; and the changes."""
    rows = ledger.rows(
        "SELECT id, stock, kind, owned, promised,"
        " EXISTS (SELECT 1 FROM entries r WHERE r.reverses = e.id) AS gone"
        " FROM entries e WHERE act = ? ORDER BY id",
        (act,),
    )
    changes = changes_of(ledger, act)
    if place is not None:
        lines = len(rows) + len(changes)
        if not 1 <= place <= lines:
            raise StashError(f"entry {act} has {lines} lines; there is no {act}.{place}")
        changes = changes[place - len(rows) - 1 : place - len(rows)] if place > len(rows) else []
        rows = rows[place - 1 : place]
    open_rows = [
        (r["id"], r["stock"], r["kind"], r["owned"], r["promised"]) for r in rows if not r["gone"]
    ]
    return open_rows[::-1], changes


def _put_back_entries(act: Act, entries: list[Reversible]) -> None:
    for number, stock, kind, owned, promised in entries:
        act.put(stock, kind, owned=-owned, promised=-promised, reverses=number)
