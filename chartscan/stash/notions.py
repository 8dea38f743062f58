"""Notions in the ledger: beads, metallics, pearl cotton, charms, needles, under free names."""

from __future__ import annotations

import sqlite3
from dataclasses import dataclass

from chartscan.errors import StashError
from chartscan.plaintext import plain, text_key
from chartscan.remedies import Remedy
from chartscan.stash.entries import Act, EntryKind
from chartscan.stash.ledger import Ledger

MOST = 1e9  # of anything; more is a slip of the finger
SCALE = 1000  # amounts are kept in thousandths of the unit, so that sums are exact


@dataclass(frozen=True)
class NotionInfo:
    """What is known of a notion; ``price`` of one unit in hundredths, None where not known."""

    name: str
    unit: str = ""
    price: int | None = None
    note: str = ""


def know_notion(ledger: Ledger, info: NotionInfo) -> int:
    """The stock id of a notion; what is told anew replaces what was known."""
    name, unit = plain(info.name), plain(info.unit)
    if not name:
        raise StashError("a notion has a name")
    found = ledger.row(
        "SELECT * FROM notions WHERE name_key = :key"
        " AND text_key(unit) = text_key(:unit) ORDER BY name <> :name, unit <> :unit",
        {"key": text_key(name), "name": name, "unit": unit},
    )
    if found is None:
        stock = ledger.insert("stock", {"kind": "notion"})
        told = {"name": name, "name_key": text_key(name), "unit": unit, "price": info.price}
        told["note"] = plain(info.note)
        ledger.insert("notions", {"stock": stock, **told})
        return stock
    ledger.execute(
        "UPDATE notions SET price = coalesce(?, price), note = coalesce(nullif(?, ''), note),"
        " gone = 0 WHERE stock = ?",
        (info.price, plain(info.note), found["stock"]),
    )
    return int(found["stock"])


def find_notion(ledger: Ledger, name: str, unit: str | None = None) -> sqlite3.Row:
    """The row of a known notion; StashError where it isn't known or its unit is ambiguous."""
    rows = ledger.rows(
        "SELECT * FROM notions WHERE name_key = text_key(:name)"
        " AND (:unit IS NULL OR text_key(unit) = text_key(:unit)) AND NOT gone",
        {"name": name, "unit": unit},
    )
    if len({text_key(row["unit"]) for row in rows}) < len(rows):  # written in two ways
        rows = [row for row in rows if row["name"] == plain(name)] or rows
    if not rows:
        raise StashError(f"no notion {name!r} in the stash", Remedy.SEE_NOTIONS)
    if len(rows) > 1:
        units = ", ".join(repr(row["unit"]) for row in rows)
        raise StashError(f"{name!r} is kept in several units ({units})", Remedy.SAY_UNIT)
    return rows[0]


def scaled(amount: float) -> int:
    """An amount as the ledger keeps it; StashError where it is negative or too fine to keep."""
    if not 0 <= amount <= MOST or abs(round(amount * SCALE) - amount * SCALE) > 1e-6 * max(
        1, amount
    ):
        raise StashError(f"amount {amount:g}: give one of 0 or more with at most three decimals")
    return round(amount * SCALE)


def add_notion(act: Act, info: NotionInfo, amount: float, kind: EntryKind = "bought") -> int:
    """Book an amount that came; the notion's stock id."""
    stock = know_notion(act.ledger, info)
    if scaled(amount):
        act.put(stock, kind, owned=scaled(amount))
    return stock


def take_notion(act: Act, stock: int, amount: float, kind: EntryKind) -> None:
    """Book a free amount that went (used, lost)."""
    act.put(stock, kind, owned=-scaled(amount))


def count_notion(act: Act, stock: int, amount: float) -> None:
    """Book what a count found free; what is set apart in bags isn't counted."""
    free = act.ledger.value("SELECT owned - promised FROM balances WHERE stock = ?", (stock,))
    act.put(stock, "counted", owned=scaled(amount) - free)


def owned_notions(ledger: Ledger) -> list[sqlite3.Row]:
    """Every notion with any owned, with ``owned`` and ``promised`` in its unit, by name."""
    return ledger.rows(
        f"SELECT n.*, b.owned / {SCALE}.0 AS owned, b.promised / {SCALE}.0 AS promised"
        " FROM notions n JOIN balances b ON b.stock = n.stock WHERE b.owned > 0"
        " ORDER BY n.name, n.unit"
    )
