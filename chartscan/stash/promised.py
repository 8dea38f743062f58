"""Who holds what of the threads: the promises of the whole drawer in one look."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping

from chartscan.stash.ledger import Ledger
from chartscan.stash.plan import Elsewhere

METRE_MM = 1000


def promised_threads(ledger: Ledger) -> Mapping[tuple[str, str], tuple[Elsewhere, ...]]:
    """For each thread (line, code) that is promised: the projects that hold it, by name."""
    found: dict[tuple[str, str], list[Elsewhere]] = defaultdict(list)
    for line, code, project, skeins, parts_mm in ledger.rows(
        "SELECT t.line, t.code, p.name, total(CASE s.kind WHEN 'skein' THEN h.amount END),"
        " total(CASE s.kind WHEN 'part' THEN h.amount END)"
        " FROM holdings h JOIN stock s ON s.id = h.stock JOIN threads t ON t.id = s.thread"
        " JOIN projects p ON p.id = h.project WHERE h.amount > 0"
        " GROUP BY t.id, p.id ORDER BY p.name"
    ):
        found[line, code].append(Elsewhere(project, skeins, parts_mm / METRE_MM))
    return {thread: tuple(projects) for thread, projects in found.items()}
