"""Two stashes of one beginning, each with acts that the other lacks: which they are.

An act is known by its mark, wherever it was booked first: when, what, and which amounts. One that
was taken over from another stash keeps the mark that it had there; one that says what acts of
another stash said as well answers to their marks, too (both in ``settings``).
"""

from __future__ import annotations

import sqlite3
from collections import defaultdict
from collections.abc import Sequence
from hashlib import blake2b

from chartscan.stash.ledger import Ledger

JOINED = "joined."  # a setting per act that came from another stash: its mark there, and its number
ALSO = "also."  # a setting per further mark of an act: its number, the mark; and the number again
MARK_BYTES = 12  # among a million acts two are alike by chance once in 10^16 stashes


def marks(ledger: Ledger) -> dict[int, list[str]]:
    """The marks of every act, in the order of booking; the one of its origin comes first."""
    elsewhere = {
        int(row["value"]): str(row["key"]).removeprefix(JOINED)
        for row in ledger.rows("SELECT key, value FROM settings WHERE key GLOB ?", (f"{JOINED}*",))
    }
    also: dict[int, list[str]] = defaultdict(list)
    for row in ledger.rows("SELECT key, value FROM settings WHERE key GLOB ?", (f"{ALSO}*",)):
        also[int(row["value"])].append(str(row["key"]).rpartition(".")[2])
    amounts: dict[int, list[str]] = defaultdict(list)
    for act, kind, owned, promised in ledger.rows(
        "SELECT act, kind, owned, promised FROM entries ORDER BY id"
    ):
        amounts[act].append(f"{kind} {owned} {promised}")
    return {
        row["id"]: [elsewhere.get(row["id"]) or _mark(row, amounts[row["id"]]), *also[row["id"]]]
        for row in ledger.rows("SELECT * FROM acts ORDER BY id")
    }


def remember_marks(ledger: Ledger, of_origin: Sequence[str], act: int) -> None:
    """Keep the marks that an act had in the stash that it came from."""
    first, *more = of_origin
    ledger.insert("settings", {"key": JOINED + first, "value": str(act)})
    answer_to(ledger, act, more)


def answer_to(ledger: Ledger, act: int, of_others: Sequence[str]) -> None:
    """Keep that an act says what acts of another stash, with these marks, said as well."""
    for mark in of_others:
        ledger.execute(
            "INSERT OR IGNORE INTO settings VALUES (?, ?)", (f"{ALSO}{act}.{mark}", str(act))
        )


def _mark(act: sqlite3.Row, amounts: list[str]) -> str:
    told = (act["time"], act["name"], act["note"], act["from_state"], act["to_state"], *amounts)
    return blake2b("\n".join(map(str, told)).encode(), digest_size=MARK_BYTES).hexdigest()
