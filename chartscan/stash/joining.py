"""Bringing two stashes together that parted, on two machines say: what was done there, done here.

Each act of the other that isn't known here is booked anew, with its entries and changes, in its
order. What doesn't go together with what was done here meanwhile is a clash, and asked about.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Collection, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from chartscan.errors import StashError
from chartscan.stash.alike import NEEDS
from chartscan.stash.backup import checked_copy
from chartscan.stash.changes import Value, changes_of, read_row, where_is, words_of
from chartscan.stash.check import audit
from chartscan.stash.counterparts import NUMBERED, Counterparts
from chartscan.stash.entries import FOUND_SHORT, Act, acting, plan_again_what_is_short
from chartscan.stash.ledger import Ledger
from chartscan.stash.parted import answer_to, marks, remember_marks


@dataclass(frozen=True)
class Clash:
    """An act of the other stash that doesn't go together with what was done here.

    Attributes:
        number: of the act, in the other stash.
        time: UTC, ISO 8601.
        what: what was done, and for which project.
        refusal: what stands against it.
    """

    number: int
    time: str
    what: str
    refusal: StashError


@dataclass(frozen=True)
class Joined:
    """What came of joining.

    Attributes:
        acts: how many were taken over; none where a clash is to be asked about.
        known: how many of the other stash were here already.
        clashes: those that don't go together with what is here.
        remarks: what came under another name.
    """

    acts: int
    known: int
    clashes: tuple[Clash, ...]
    remarks: tuple[str, ...]


def join(
    ledger: Ledger,
    other: Path,
    leave: Collection[int] = (),
    *,
    leave_all: bool = False,
    one: Collection[str] = (),
) -> Joined:
    """Take over what was done in another stash since the two parted.

    Args:
        ledger: the stash here.
        other: the other stash, or a backup of it; it isn't touched.
        leave: acts of the other stash that may be left out if they clash.
        leave_all: leave out whatever clashes.
        one: names of projects that were told in both and are one, though they differ; what is told
            of them here stays. Those that don't differ are taken for one anyway.

    Raises:
        StashError: the other can't be read, or is damaged.
    """
    with checked_copy(other) as there:
        try:
            return _joined(ledger, there, other, leave, one, leave_all=leave_all, careful=False)
        except _UncleanError:  # rare: which act it is shows when each is looked at by itself
            return _joined(ledger, there, other, leave, one, leave_all=leave_all, careful=True)


def _joined(
    ledger: Ledger,
    there: Ledger,
    other: Path,
    leave: Collection[int],
    one: Collection[str],
    *,
    leave_all: bool,
    careful: bool,
) -> Joined:
    """Take over all that goes together, or nothing where a clash is to be asked about."""
    try:
        with ledger.atomic():
            joined = _take_over(ledger, there, other.name, one, careful=careful)
            if not leave_all and any(c.number not in leave for c in joined.clashes):
                raise _ClashingError(joined)
            wrong = audit(ledger)
            if wrong:
                raise _UncleanError(f"{other}: doesn't go together with this stash: {wrong[0]}")
    except _ClashingError as error:
        return replace(error.joined, acts=0)
    return joined


class _UncleanError(StashError):
    """What was taken over act by act makes no clean stash as a whole."""


class _ClashingError(StashError):
    """Ends the transaction that found clashes to be asked about."""

    def __init__(self, joined: Joined) -> None:
        super().__init__("acts of the two stashes don't go together")
        self.joined = joined


def _take_over(
    ledger: Ledger, there: Ledger, file: str, one: Collection[str], *, careful: bool
) -> Joined:
    """Book what is new there; if ``careful``, an act that leaves the stash unclean clashes."""
    theirs = marks(there)
    mine = {mark: act for act, known_by in marks(ledger).items() for mark in known_by}
    same = Counterparts(ledger, there)
    new: list[int] = []
    for number, known_by in theirs.items():
        known = next((mark for mark in known_by if mark in mine), None)
        if known is None:
            new.append(number)
        else:
            same.learn(number, mine[known], one=known == known_by[0])
    same.meet_projects(one)
    twice = _told_twice(same, theirs)
    to_book = [number for number in new if number not in twice]
    left = to_book
    clashing: dict[int, StashError] = {}
    while left:  # what clashed may go together with what came after it
        clashing = {}
        for number in left:
            try:
                with _whole_or_not(same):
                    _book(same, number, theirs[number], file)
                    wrong = audit(ledger) if careful else []
                    if wrong:
                        raise StashError(wrong[0])
            except StashError as error:
                clashing[number] = error
        if len(clashing) == len(left):
            break
        left = list(clashing)
    plan_again_what_is_short(ledger)
    clashes = [c for number, error in clashing.items() for c in _clash(there, number, error)]
    known_here = len(theirs) - len(to_book)
    return Joined(len(to_book) - len(clashing), known_here, tuple(clashes), tuple(same.remarks))


TOLD_OF_PROJECTS = ("projects", "project_charts", "choices", "class_threads", *NEEDS)
TOLD = (
    "SELECT id FROM acts a WHERE project = ? AND to_state IS NULL"
    " AND NOT EXISTS (SELECT 1 FROM entries e WHERE e.act = a.id) ORDER BY id"
)


def _told_twice(same: Counterparts, theirs: Mapping[int, Sequence[str]]) -> set[int]:
    """The acts there that told of a project what is told here as well.

    Each side's acts answer to the marks of the other's from now on, in whichever of the two they
    are joined again.
    """
    twice: set[int] = set()
    for there, here in same.met.items():
        told_there = [row["id"] for row in same.there.rows(TOLD, (there,))]
        told_here = [row["id"] for row in same.here.rows(TOLD, (here,))]
        if not told_there or not told_here:
            continue
        for number in told_there:
            answer_to(same.here, told_here[0], theirs[number][:1])
        for act in told_here:
            answer_to(same.here, act, theirs[told_there[0]][:1])
        twice.update(told_there)
    return twice


@contextmanager
def _whole_or_not(same: Counterparts) -> Iterator[None]:
    """Nothing stays of an act that clashes, neither booked nor noted as a counterpart."""
    ledger = same.here
    ledger.execute("SAVEPOINT taking_over")
    try:
        with same.on_trial():
            yield
    except BaseException:
        ledger.execute("ROLLBACK TO taking_over")
        raise
    finally:
        ledger.execute("RELEASE taking_over")


def _clash(there: Ledger, number: int, error: StashError) -> list[Clash]:
    act = _act(there, number)
    if act["name"] == FOUND_SHORT:  # whether something is short is seen from what is here
        return []
    project = there.value("SELECT name FROM projects WHERE id = ?", (act["project"],))
    what = act["name"] + (f" for {project}" if project else "")
    return [Clash(number, act["time"], what, error)]


def _act(there: Ledger, number: int) -> Mapping[str, Any]:
    row = there.row("SELECT * FROM acts WHERE id = ?", (number,))
    assert row is not None
    return dict(row)


# ---------------------------------------------------------------------------- one act


def _book(same: Counterparts, number: int, known_by: Sequence[str], file: str) -> None:
    """Book one act of the other stash here, with its entries and changes.

    Raises:
        StashError: it doesn't go together with what was done here.
    """
    act = _act(same.there, number)
    reverses = None
    if act["reverses"] is not None:
        reverses = same.known("acts", act["reverses"])
        if reverses is None and act["to_state"] is not None:
            raise StashError(f"it takes back entry {act['reverses']}, which was left out")
    project = None if act["project"] is None else same.of("projects", act["project"])
    came = f"{act['time'][:10]}, from {file}"
    with acting(
        same.here,
        act["name"],
        project=project,
        note=f"{act['note']} ({came})" if act["note"] else came,
        move=None if act["to_state"] is None else (act["from_state"], act["to_state"]),
        reverses=reverses,
        more_follows=True,
    ) as new:
        same.set("acts", number, new.number)
        remember_marks(same.here, known_by, new.number)
        for change in changes_of(same.there, number):
            if act["project"] not in same.met or change["place"] not in TOLD_OF_PROJECTS:
                _change(same, change)
        _entries(same, number, new)


def _entries(same: Counterparts, number: int, new: Act) -> None:
    for entry in same.there.rows("SELECT * FROM entries WHERE act = ? ORDER BY id", (number,)):
        reverses = same.known("entries", entry["reverses"])
        if entry["reverses"] is not None and reverses is None:
            raise StashError("it takes back something that was left out")
        stock = same.of("stock", entry["stock"])
        new.put(
            stock,
            entry["kind"],
            owned=entry["owned"],
            promised=entry["promised"],
            reverses=reverses,
        )
        same.set("entries", entry["id"], same.here.value("SELECT max(id) FROM entries"))


def _change(same: Counterparts, change: sqlite3.Row) -> None:
    """Change here what was changed there; what was changed here too, to something else, clashes."""
    table = str(change["place"])
    keys = read_row(change["row"])
    before, after = (read_row(change[name]) for name in ("before", "after"))
    if change["before"] is None:
        _come(same, table, keys, after)
        return
    mine = same.row(table, keys)
    if mine.get("id", 0) is None and _project_of_need(same, table, keys["id"]) in same.met:
        return  # what is told here stays
    there = same.here.row(f"SELECT * FROM {table} WHERE {where_is(mine)}", mine)
    if there is None:
        if change["after"] is not None:
            raise StashError(f"{words_of(same.there, change)}: it isn't here any more")
        return
    _refuse_other(same, change, dict(there), before, after)
    if change["after"] is None:
        same.here.execute(f"DELETE FROM {table} WHERE {where_is(mine)}", mine)
        return
    told = same.row(table, after)
    sets = ", ".join(f"{name} = :new_{name}" for name in told)
    values = {**mine, **{f"new_{name}": value for name, value in told.items()}}
    same.here.execute(f"UPDATE {table} SET {sets} WHERE {where_is(mine)}", values)


def _project_of_need(same: Counterparts, table: str, number: Value) -> int | None:
    """The project there of a need that is still there; None of a wish, too."""
    if table not in NEEDS:
        return None
    found: int | None = same.there.value(f"SELECT project FROM {table} WHERE id = ?", (number,))
    return found


def _come(
    same: Counterparts, table: str, keys: Mapping[str, Value], after: Mapping[str, Value]
) -> None:
    """A need, choice, price, rule or wish that came there."""
    row = same.row(table, after)
    if table in NUMBERED:
        number = keys["id"]
        assert isinstance(number, int)
        same.set(table, number, same.here.insert(table, {**row, "id": None}))
        return
    mine = same.row(table, keys)
    there = same.here.row(f"SELECT * FROM {table} WHERE {where_is(mine)}", mine)
    if there is None:
        same.here.insert(table, row)
    elif any(there[name] != value for name, value in row.items()):
        raise StashError(f"{table.replace('_', ' ')} was told otherwise here")


def _refuse_other(
    same: Counterparts,
    change: sqlite3.Row,
    there: Mapping[str, Value],
    before: Mapping[str, Value],
    after: Mapping[str, Value],
) -> None:
    """StashError where what was changed there was changed here too, to something else."""
    table = str(change["place"])
    was = {name: value for name, value in same.row(table, before).items() if name != "id"}
    told = same.row(table, after) if after else {}
    for name, value in was.items():
        if there[name] != value and not (name in told and there[name] == told[name]):
            raise StashError(f"{words_of(same.there, change)}: it was changed here too")
