"""What a project took out of the drawer for good, and what that was worth."""

from __future__ import annotations

from dataclasses import dataclass

from chartscan.stash.ledger import Ledger
from chartscan.stash.lookback import NAMED_STOCK
from chartscan.stash.projects import Project, find_project
from chartscan.stash.threads import CENTS
from chartscan.stash.usual import DEFAULT_PUTUP_MM

# What went less what was left of it, thing by thing; a skein that was opened counts by its length.
TAKEN = f"""
WITH named AS ({NAMED_STOCK})
SELECT s.kind IN ('skein', 'part') AS thread, t.line, t.code, t.name, t.price, n.thing, n.unit,
    coalesce(t.putup_mm, {DEFAULT_PUTUP_MM}) AS putup_mm, m.price AS notion_price,
    -sum(CASE s.kind WHEN 'skein' THEN e.owned * coalesce(t.putup_mm, {DEFAULT_PUTUP_MM})
        ELSE e.owned END) AS amount, n.scale
FROM entries e JOIN acts a ON a.id = e.act JOIN stock s ON s.id = e.stock
JOIN named n ON n.stock = s.id LEFT JOIN threads t ON t.id = s.thread
LEFT JOIN notions m ON m.stock = s.id
WHERE a.project = ? AND e.owned <> 0
GROUP BY coalesce(s.thread, -s.id) HAVING amount <> 0 ORDER BY thread DESC, t.line, t.code, n.thing
"""
MOVES = "SELECT time, to_state FROM acts WHERE project = ? AND to_state IS NOT NULL ORDER BY id"


@dataclass(frozen=True)
class Taken:
    """One thing that a project took.

    Attributes:
        thing: its label.
        name: its colour name, or "".
        amount: in ``unit``; less than nothing where it came back as more (pieces that were cut).
        unit: m of a thread, pieces, or a notion's own.
        skeins: the same in skeins of a thread; None for other things.
        price: what it was worth; None where no price is known.
    """

    thing: str
    name: str
    amount: float
    unit: str
    skeins: float | None
    price: float | None


@dataclass(frozen=True)
class Took:
    """What a project took.

    Attributes:
        project: the project.
        begun: when it was last taken into work; UTC, ISO 8601, or "".
        ended: when it was finished or given up; "" where it goes on.
        things: threads first.
        price: of those with a price; None where none has one.
    """

    project: Project
    begun: str
    ended: str
    things: tuple[Taken, ...]
    price: float | None


def what_it_took(ledger: Ledger, name: str) -> Took:
    """What was used for a project, as booked when it ended; StashError where there is none."""
    project = find_project(ledger, name)
    begun = ended = ""
    for row in ledger.rows(MOVES, (project.id,)):
        begun = row["time"] if row["to_state"] == "in work" else begun
        ended = row["time"] if row["to_state"] in ("finished", "given up") else ""
    things: list[Taken] = []
    for row in ledger.rows(TAKEN, (project.id,)):
        if row["thread"]:
            skeins = row["amount"] / row["putup_mm"]
            price = None if row["price"] is None else skeins * row["price"] / CENTS
            label = f"{row['line']} {row['code']}".strip()
            things.append(Taken(label, row["name"], row["amount"] / 1000, "m", skeins, price))
            continue
        amount = row["amount"] / row["scale"]
        each = row["notion_price"]
        price = None if each is None else amount * each / CENTS
        things.append(Taken(row["thing"], "", amount, row["unit"], None, price))
    prices = [thing.price for thing in things if thing.price is not None]
    return Took(project, begun, ended, tuple(things), round(sum(prices), 2) if prices else None)
