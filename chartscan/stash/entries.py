"""Acts and what is booked under them: entries of stock, and changes of what is known.

Nothing is ever overwritten: entries add up, and triggers keep what a change replaced
(:mod:`chartscan.stash.schema_changes`).
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Literal

from chartscan.errors import StashError
from chartscan.plaintext import plain
from chartscan.stash.ledger import Ledger, stamp
from chartscan.stash.usual import DEFAULT_PUTUP_MM

EntryKind = Literal[
    "bought", "promised", "released", "used", "lost", "counted", "cut", "opened", "left"
]
State = Literal["planned", "kitted", "in work", "finished", "given up"]

UNDONE = "undone"
REVERSED = "reversed"
FOUND_SHORT = "found short"

# Kitted projects for which less is set apart than they need.
SHORT = f"""
SELECT DISTINCT p.id, p.name FROM projects p JOIN demands n ON n.project = p.id
WHERE p.state = 'kitted' AND n.length_mm > coalesce((
    SELECT sum(h.amount * CASE b.kind WHEN 'skein'
        THEN coalesce(t.putup_mm, {DEFAULT_PUTUP_MM}) ELSE 1 END)
    FROM holdings h JOIN balances b ON b.stock = h.stock JOIN threads t ON t.id = b.thread
    WHERE h.project = p.id AND b.thread = n.thread), 0)
"""


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
    more_follows: bool = False,
) -> Iterator[Act]:
    """Book one act in one transaction; it is acknowledged when the block has ended.

    What changes in the block is kept under the act. A kitted project that lacks something by then
    (a skein turned out shorter, say) is planned again, by an act of its own; its bag stays full.

    Args:
        ledger: an open ledger.
        name: what was done, in a word or two of the trade.
        project: whom it was done for.
        note: as the stitcher typed it.
        move: the project's state before and after, where it changes.
        reverses: the act that this one takes back.
        more_follows: whether something is lacking is looked at by a later act of this transaction.

    Raises:
        StashError: something would be wished for twice by now; nothing is booked.
    """
    before, after = move or (None, None)
    with ledger.atomic():
        number = ledger.execute(
            "INSERT INTO acts (time, name, note, reverses, project, from_state, to_state)"
            " VALUES (?, ?, ?, ?, ?, ?, ?)",
            (stamp(ledger.clock()), name, plain(note), reverses, project, before, after),
        )
        outer = _open_act(ledger)
        _open(ledger, number)
        yield Act(ledger, number)
        _open(ledger, outer)
        _refuse_wished_twice(ledger, number)
        if outer is None and not more_follows:
            plan_again_what_is_short(ledger)


@contextmanager
def joining(ledger: Ledger, name: str, project: int | None = None, note: str = "") -> Iterator[Act]:
    """The act that is being booked, where there is one; else a new one (:func:`acting`)."""
    with ledger.atomic():
        number = _open_act(ledger)
        if number is not None:
            yield Act(ledger, number)
            return
        with acting(ledger, name, project=project, note=note) as act:
            yield act


def _open_act(ledger: Ledger) -> int | None:
    number: int | None = ledger.value("SELECT act FROM open_act")
    return number


def _open(ledger: Ledger, number: int | None) -> None:
    ledger.execute("DELETE FROM open_act")
    if number is not None:
        ledger.execute("INSERT INTO open_act VALUES (?)", (number,))


def _refuse_wished_twice(ledger: Ledger, act: int) -> None:
    """However an act changed the wishes (taken back, joined), each is there once."""
    twice = ledger.row(
        "SELECT coalesce(t.code, w.words) AS what FROM wishes w"
        " LEFT JOIN threads t ON t.id = w.thread"
        " WHERE EXISTS (SELECT 1 FROM changes c WHERE c.act = ? AND c.place = 'wishes')"
        " GROUP BY w.thread, text_key(w.words) HAVING count(*) > 1",
        (act,),
    )
    if twice is not None:
        raise StashError(f"{twice['what']} would be wished for twice; nothing was booked")


def plan_again_what_is_short(ledger: Ledger) -> None:
    """Call kitted projects planned for which less is set apart by now than they need."""
    for project, _ in ledger.rows(SHORT):
        ledger.execute(
            "INSERT INTO acts (time, name, project, from_state, to_state)"
            " VALUES (?, ?, ?, 'kitted', 'planned')",
            (stamp(ledger.clock()), FOUND_SHORT, project),
        )
