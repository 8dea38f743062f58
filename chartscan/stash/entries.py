"""Acts and their entries: booking, reversing, looking back. Nothing is ever overwritten."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from chartscan.errors import StashError
from chartscan.stash.ledger import Ledger, stamp

EntryKind = Literal[
    "bought", "promised", "released", "used", "lost", "counted", "cut", "opened", "left"
]
State = Literal["planned", "kitted", "in work", "finished", "given up"]

UNDONE = "undone"
REVERSED = "reversed"


@dataclass(frozen=True)
class Act:
    """An act being booked: its number, and :meth:`put` for its entries."""

    ledger: Ledger
    number: int

    def put(
        self,
        stock: int,
        kind: EntryKind,
        *,
        owned: int = 0,
        promised: int = 0,
        reverses: int | None = None,
    ) -> None:
        """Book one entry: how much of ``stock`` comes (+) or goes (-), owned and promised."""
        self.ledger.execute(
            "INSERT INTO entries (act, stock, kind, owned, promised, reverses)"
            " VALUES (?, ?, ?, ?, ?, ?)",
            (self.number, stock, kind, owned, promised, reverses),
        )


@contextmanager
def acting(
    ledger: Ledger,
    name: str,
    *,
    project: int | None = None,
    note: str = "",
    move: tuple[str, str] | None = None,
    reverses: int | None = None,
) -> Iterator[Act]:
    """Book one act in one transaction; it is acknowledged when the block has ended.

    Args:
        ledger: an open ledger.
        name: what was done, in a word or two of the trade.
        project: whom it was done for.
        note: as the stitcher typed it.
        move: the project's state before and after, where it changes.
        reverses: the act that this one takes back.
    """
    before, after = move or (None, None)
    with ledger.atomic():
        number = ledger.execute(
            "INSERT INTO acts (time, name, note, reverses, project, from_state, to_state)"
            " VALUES (?, ?, ?, ?, ?, ?, ?)",
            (stamp(ledger.clock()), name, note, reverses, project, before, after),
        )
        yield Act(ledger, number)


# ---------------------------------------------------------------------------- reversing


def reverse(ledger: Ledger, act: int, place: int | None = None, note: str = "") -> int:
    """Take back an act, or one entry of it, by entries with the opposite sign.

    Args:
        ledger: an open ledger.
        act: its number in the history.
        place: which of its entries, counted from 1; all of them where None.
        note: why.

    Returns:
        The number of the new act.

    Raises:
        StashError: no such act or entry, already reversed, or what it brought is gone since.
    """
    with ledger.atomic():
        row = ledger.row("SELECT * FROM acts WHERE id = ?", (act,))
        if row is None:
            raise StashError(f"there is no entry {act}; `chartscan stash history` lists them")
        if row["project"] is not None:
            return _reverse_for_project(ledger, act, int(row["project"]), place, note)
        entries = _open_entries(ledger, act, place)
        whole = place is None and not ledger.value(
            "SELECT count(*) FROM acts WHERE reverses = ?", (act,)
        )
        with acting(ledger, REVERSED, note=note, reverses=act if whole else None) as new:
            _put_back(new, entries)
        return new.number


def undo(ledger: Ledger, project: int, note: str = "") -> tuple[int, str]:
    """Take back what was done last for ``project``, its move included.

    Returns:
        The number of the act taken back, and its name.

    Raises:
        StashError: there is nothing to undo, or what it left is promised or gone since.
    """
    with ledger.atomic():
        row = ledger.row(
            "SELECT * FROM acts a WHERE project = ? AND reverses IS NULL"
            " AND NOT EXISTS (SELECT 1 FROM acts r WHERE r.reverses = a.id)"
            " ORDER BY id DESC LIMIT 1",
            (project,),
        )
        if row is None:
            raise StashError("there is nothing to undo for this project")
        move = None if row["to_state"] is None else (row["to_state"], row["from_state"])
        entries = _open_entries(ledger, row["id"], None, empty_ok=True)
        with acting(
            ledger, UNDONE, project=project, note=note, move=move, reverses=row["id"]
        ) as new:
            _put_back(new, entries)
        return int(row["id"]), str(row["name"])


def _reverse_for_project(
    ledger: Ledger, act: int, project: int, place: int | None, note: str
) -> int:
    """A project's acts are taken back whole and last first, so that its bag stays true."""
    name = ledger.value("SELECT name FROM projects WHERE id = ?", (project,))
    last = ledger.value(
        "SELECT max(id) FROM acts a WHERE project = ? AND reverses IS NULL"
        " AND NOT EXISTS (SELECT 1 FROM acts r WHERE r.reverses = a.id)",
        (project,),
    )
    if place is not None or act != last:
        raise StashError(
            f"entry {act} belongs to the project {name}, whose acts are taken back whole and"
            f" last first: `chartscan project undo '{name}'`"
        )
    undo(ledger, project, note)
    return int(ledger.value("SELECT max(id) FROM acts"))


def _open_entries(
    ledger: Ledger, act: int, place: int | None, *, empty_ok: bool = False
) -> list[tuple[int, int, EntryKind, int, int]]:
    """(id, stock, kind, owned, promised) of the entries to reverse, last first."""
    rows = ledger.rows(
        "SELECT id, stock, kind, owned, promised,"
        " EXISTS (SELECT 1 FROM entries r WHERE r.reverses = e.id) AS gone"
        " FROM entries e WHERE act = ? ORDER BY id",
        (act,),
    )
    if place is not None:
        if not 1 <= place <= len(rows):
            raise StashError(f"entry {act} has {len(rows)} lines; there is no {act}.{place}")
        rows = [rows[place - 1]]
    found = [
        (r["id"], r["stock"], r["kind"], r["owned"], r["promised"]) for r in rows if not r["gone"]
    ]
    if not found and not empty_ok:
        raise StashError(f"entry {act} was taken back already")
    return found[::-1]


def _put_back(act: Act, entries: list[tuple[int, int, EntryKind, int, int]]) -> None:
    for number, stock, kind, owned, promised in entries:
        act.put(stock, kind, owned=-owned, promised=-promised, reverses=number)


# ---------------------------------------------------------------------------- looking back


@dataclass(frozen=True)
class HistoryEntry:
    """One line of the history.

    Attributes:
        number: "12.1": the act and the place of the entry in it.
        time: UTC, ISO 8601.
        act: what was done.
        kind: what happened to the thing.
        thing: the thing in words.
        owned: change of what is owned, in ``unit``.
        promised: change of what is promised, in ``unit``.
        unit: skeins, m, pieces, copies or the notion's own.
        project: for whom, or "".
        note: as the stitcher typed it.
        reversed_by: the act that took it back, or None.
    """

    number: str
    time: str
    act: str
    kind: str
    thing: str
    owned: float
    promised: float
    unit: str
    project: str
    note: str
    reversed_by: int | None


NAMED_STOCK = """
SELECT s.id AS stock, s.kind AS kind,
    CASE s.kind
        WHEN 'piece' THEN 'fabric ' || p.label
        WHEN 'notion' THEN n.name
        WHEN 'chart' THEN 'chart ' || c.title
        ELSE trim(t.line || ' ' || t.code)
            || CASE s.dye_lot WHEN '' THEN '' ELSE ' lot ' || s.dye_lot END
    END AS thing,
    CASE s.kind WHEN 'skein' THEN 'skeins' WHEN 'part' THEN 'm' WHEN 'piece' THEN 'pieces'
        WHEN 'chart' THEN 'copies' ELSE n.unit END AS unit,
    CASE s.kind WHEN 'part' THEN 1000.0 WHEN 'notion' THEN 1000.0 ELSE 1.0 END AS scale
FROM stock s
LEFT JOIN threads t ON t.id = s.thread
LEFT JOIN pieces p ON p.stock = s.id
LEFT JOIN notions n ON n.stock = s.id
LEFT JOIN charts c ON c.stock = s.id
"""


def history(
    ledger: Ledger, *, project: int | None = None, stock: tuple[int, ...] = (), last: int = 50
) -> list[HistoryEntry]:
    """The last entries, oldest first; of one project or of some things where told."""
    where, parameters = "1", list[int]()
    if project is not None:
        where, parameters = "a.project = ?", [project]
    if stock:
        where += f" AND e.stock IN ({', '.join('?' * len(stock))})"
        parameters += stock
    rows = ledger.rows(
        f"WITH shown AS (SELECT e.* FROM entries e JOIN acts a ON a.id = e.act WHERE {where}"
        f" ORDER BY e.id DESC LIMIT ?), named AS ({NAMED_STOCK})"
        " SELECT e.act || '.' || (SELECT count(*) FROM entries f"
        "   WHERE f.act = e.act AND f.id <= e.id) AS number,"
        " a.time, a.name AS act, e.kind, s.thing, e.owned / s.scale AS owned,"
        " e.promised / s.scale AS promised, s.unit, coalesce(p.name, '') AS project, a.note,"
        " (SELECT r.act FROM entries r WHERE r.reverses = e.id) AS reversed_by"
        " FROM shown e JOIN acts a ON a.id = e.act JOIN named s ON s.stock = e.stock"
        " LEFT JOIN projects p ON p.id = a.project ORDER BY e.id",
        [*parameters, last],
    )
    return [HistoryEntry(**dict(row)) for row in rows]


@dataclass(frozen=True)
class Standing:
    """What there was of one thing at some time, in its unit."""

    kind: str
    thing: str
    owned: float
    promised: float
    unit: str


def as_of(ledger: Ledger, moment: datetime) -> list[Standing]:
    """What was owned and promised at ``moment``: the sum of the entries up to it."""
    rows = ledger.rows(
        "WITH sums AS (SELECT e.stock, sum(e.owned) AS owned, sum(e.promised) AS promised"
        " FROM entries e JOIN acts a ON a.id = e.act WHERE a.time <= ? GROUP BY e.stock"
        f" HAVING sum(e.owned) <> 0), named AS ({NAMED_STOCK})"
        " SELECT s.kind, s.thing, sums.owned / s.scale AS owned,"
        " sums.promised / s.scale AS promised, s.unit"
        " FROM sums JOIN named s ON s.stock = sums.stock ORDER BY s.kind, s.thing",
        (stamp(moment),),
    )
    return [Standing(**dict(row)) for row in rows]
