"""Two stashes of one beginning, each with acts that the other lacks: which they are.

An act is known by its mark, wherever it was booked first: when, what, and which amounts. One that
was taken over from another stash keeps the mark that it had there (in ``settings``).
"""

from __future__ import annotations

import sqlite3
from collections import defaultdict
from hashlib import blake2b

from chartscan.stash.ledger import Ledger

JOINED = "joined."  # a setting per act that came from another stash: its mark there, and its number
MARK_BYTES = 12  # among a million acts two are alike by chance once in 10^16 stashes


def marks(ledger: Ledger) -> dict[str, int]:
    """The mark of every act, and the act's number, in the order of booking."""
    elsewhere = {
        int(row["value"]): str(row["key"]).removeprefix(JOINED)
        for row in ledger.rows("SELECT key, value FROM settings WHERE key GLOB ?", (f"{JOINED}*",))
    }
    amounts: dict[int, list[str]] = defaultdict(list)
    for act, kind, owned, promised in ledger.rows(
        "SELECT act, kind, owned, promised FROM entries ORDER BY id"
    ):
        amounts[act].append(f"{kind} {owned} {promised}")
    return {
        elsewhere.get(row["id"]) or _mark(row, amounts[row["id"]]): int(row["id"])
        for row in ledger.rows("SELECT * FROM acts ORDER BY id")
    }


def remember_mark(ledger: Ledger, mark: str, act: int) -> None:
    """Keep the mark that an act had where it was booked first."""
    ledger.insert("settings", {"key": JOINED + mark, "value": str(act)})


def _mark(act: sqlite3.Row, amounts: list[str]) -> str:
    told = (act["time"], act["name"], act["note"], act["from_state"], act["to_state"], *amounts)
    return blake2b("\n".join(map(str, told)).encode(), digest_size=MARK_BYTES).hexdigest()
