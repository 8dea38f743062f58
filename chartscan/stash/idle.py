"""What has lain in the drawer for years without anybody touching it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from chartscan.stash.finding import Found, everything
from chartscan.stash.ledger import Ledger, stamp

# When a thing came, and when it last moved: bought, promised, given back, used. A count moves none.
MOVED = """
SELECT coalesce(s.thread, -s.id) AS thing, min(a.time) AS came,
    max(CASE WHEN e.kind <> 'counted' THEN a.time END) AS moved
FROM entries e JOIN acts a ON a.id = e.act JOIN stock s ON s.id = e.stock GROUP BY thing
"""


@dataclass(frozen=True)
class Idle:
    """A thing of which something is free and nothing has moved for long.

    Attributes:
        since: when it last moved, or came; UTC, ISO 8601.
        thing: what it is, and where it lies.
    """

    since: str
    thing: Found


def lying_idle(ledger: Ledger, before: datetime) -> list[Idle]:
    """What is free and hasn't moved since ``before``, the longest first.

    Only the free part of a thing is told; what some planned project needs is told with it.
    """
    things = everything(ledger)
    limit = stamp(before)
    found = [
        Idle(since, things[row["thing"]])
        for row in ledger.rows(MOVED)
        if (since := row["moved"] or row["came"]) < limit
        and row["thing"] in things
        and any(not heap.project for heap in things[row["thing"]].heaps)
    ]
    return sorted(found, key=lambda idle: (idle.since, idle.thing.label))
