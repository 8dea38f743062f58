"""What of the stash counts as at hand for matching and kitting: what isn't promised elsewhere."""

from __future__ import annotations

from collections import defaultdict
from pathlib import Path

from chartscan.palette.ownership import Key, Owned
from chartscan.stash.ledger import Ledger, open_ledger
from chartscan.stash.promised import promised_threads
from chartscan.stash.rules import load_rules


def free_threads(path: Path, project: str = "") -> Owned:
    """The free stock of the ledger at ``path``, by the stash's own rules.

    What ``project`` has set apart counts with it.

    What is promised to a project isn't free; part skeins count where the rules let them.

    Raises:
        StashError: there is no ledger at ``path``, or it can't be read.
    """
    with open_ledger(path) as ledger:
        return threads_for(ledger, project)


def threads_for(ledger: Ledger, project: str = "") -> Owned:
    """The free stock, and what a project has set apart already (:func:`free_threads`)."""
    rules = load_rules(ledger)
    rows = ledger.rows(
        "SELECT t.line, t.code, b.kind, s.dye_lot,"
        " sum(b.owned - b.promised + coalesce(h.amount, 0)) AS free"
        " FROM balances b JOIN threads t ON t.id = b.thread JOIN stock s ON s.id = b.stock"
        " LEFT JOIN holdings h ON h.stock = b.stock"
        " AND h.project = (SELECT id FROM projects WHERE name = :project)"
        " WHERE (b.owned > b.promised OR h.amount > 0) AND (b.kind = 'skein' OR h.amount > 0"
        " OR (:parts AND b.owned - b.promised >= :smallest))"
        " GROUP BY t.id, b.kind, s.dye_lot ORDER BY t.line, t.code, s.dye_lot",
        {"project": project, "parts": rules.parts_count, "smallest": rules.smallest_part_mm},
    )
    skeins: dict[Key, float] = defaultdict(float)
    metres: dict[Key, float] = defaultdict(float)
    lots: dict[Key, dict[str, float]] = defaultdict(dict)
    for row in rows:
        key = row["line"], row["code"]
        if row["kind"] == "part":
            metres[key] += row["free"] / 1000
        else:
            skeins[key] += row["free"]
            lots[key][row["dye_lot"]] = float(row["free"])
    promised = {
        key: tuple(e.project for e in others if e.project != project)
        for key, others in promised_threads(ledger).items()
    }
    elsewhere = {key: names for key, names in promised.items() if names}
    return Owned(dict(skeins), dict(metres), dict(lots), elsewhere)
