"""What can be started today, and what the other projects lack. Each is looked at by itself."""

from __future__ import annotations

import sqlite3
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from chartscan.palette.fabric_colour import COUNT_TOLERANCE
from chartscan.stash.allotment import take
from chartscan.stash.demand import load_demands
from chartscan.stash.fabric_plan import suits, yield_of
from chartscan.stash.fabrics import owned_pieces
from chartscan.stash.ledger import Ledger
from chartscan.stash.needs import FabricNeed
from chartscan.stash.notions import SCALE
from chartscan.stash.projects import KITTED, PLANNED
from chartscan.stash.rules import Rules, load_rules
from chartscan.stash.threads import CENTS, DEFAULT_PUTUP_MM


@dataclass(frozen=True)
class Lacks:
    """What keeps one project from being started.

    Attributes:
        threads: colours that are short; ``skeins`` put-ups to buy for them.
        skeins: put-ups to buy.
        fabrics: fabric pieces of the size wanted that no free piece yields.
        notions: notions that are short.
        charts: charts of which there is neither file nor free paper.
        price: hundredths, of what has a price.
        unpriced: things to buy whose price isn't known.
    """

    threads: int = 0
    skeins: int = 0
    fabrics: int = 0
    notions: int = 0
    charts: int = 0
    price: int = 0
    unpriced: int = 0

    @property
    def things(self) -> int:
        """How many different things are lacking."""
        return self.threads + self.fabrics + self.notions + self.charts


@dataclass(frozen=True)
class TodayProject:
    """One project, and whether it can be started today.

    Attributes:
        name: its name.
        state: planned or kitted.
        lacks: what is missing.
        known: something is known of what it needs; without that it is never ready.
        wished_start: ISO date, or "".
        deadline: ISO date, or "".
    """

    name: str
    state: str
    lacks: Lacks
    known: bool
    wished_start: str
    deadline: str

    @property
    def ready(self) -> bool:
        """Every need is there."""
        return self.known and not self.lacks.things

    @property
    def price(self) -> float | None:
        """Price of what is lacking, as far as known; None where nothing of it has a price."""
        if not self.lacks.price and self.lacks.unpriced:
            return None
        return self.lacks.price / CENTS


THREADS = f"""
WITH there AS MATERIALIZED (
    SELECT thread,
        sum(CASE kind WHEN 'skein' THEN owned - promised ELSE 0 END) AS skeins,
        sum(CASE WHEN kind = 'part' AND owned - promised >= :smallest
            THEN owned - promised ELSE 0 END) * :parts AS parts
    FROM balances WHERE thread IS NOT NULL AND owned > promised GROUP BY thread),
free AS MATERIALIZED (
    SELECT thread,
        CASE WHEN :fresh AND skeins <= :fresh THEN 0 ELSE max(0, skeins - :keep) END AS skeins,
        CASE WHEN :fresh AND skeins <= :fresh THEN 0 ELSE parts END AS parts
    FROM there),
held AS MATERIALIZED (
    SELECT h.project, b.thread,
        sum(h.amount * CASE b.kind WHEN 'skein'
            THEN coalesce(t.putup_mm, {DEFAULT_PUTUP_MM}) ELSE 1 END) AS length
    FROM projects p JOIN holdings h ON h.project = p.id JOIN balances b ON b.stock = h.stock
    JOIN threads t ON t.id = b.thread
    WHERE p.state = '{PLANNED}' GROUP BY h.project, b.thread),
needed AS (
    SELECT n.project, n.thread, sum(n.putup_length_mm) AS length
    FROM thread_needs n GROUP BY n.project, n.thread),
lacking AS (
    SELECT n.project, t.price,
        (n.length - coalesce(h.length, 0) - coalesce(f.parts, 0)
            + coalesce(t.putup_mm, {DEFAULT_PUTUP_MM}) - 1)
            / coalesce(t.putup_mm, {DEFAULT_PUTUP_MM}) - coalesce(f.skeins, 0) AS lack
    FROM needed n JOIN threads t ON t.id = n.thread LEFT JOIN free f ON f.thread = n.thread
    LEFT JOIN held h ON h.project = n.project AND h.thread = n.thread)
SELECT project, count(*) AS known, sum(lack > 0) AS threads, sum(max(lack, 0)) AS skeins,
    sum(max(lack, 0) * coalesce(price, 0)) AS price, sum(lack > 0 AND price IS NULL) AS unpriced
FROM lacking GROUP BY project
"""

NOTIONS = """
SELECT project, count(*) AS known, sum(lack > 0) AS lacking,
    sum(max(lack, 0) * coalesce(price, 0)) AS price, sum(lack > 0 AND price IS NULL) AS unpriced
FROM (
    SELECT nn.project, n.price, sum(nn.amount) - coalesce(h.amount, 0)
        - (b.owned - b.promised) AS lack
    FROM notion_needs nn JOIN notions n ON n.stock = nn.notion JOIN balances b ON b.stock = n.stock
    LEFT JOIN holdings h ON h.project = nn.project AND h.stock = nn.notion
    GROUP BY nn.project, nn.notion)
GROUP BY project
"""

CHARTS = """
SELECT pc.project, count(*) AS lacking FROM project_charts pc JOIN charts c ON c.stock = pc.chart
JOIN balances b ON b.stock = c.stock
WHERE c.file = '' AND b.owned <= b.promised AND NOT EXISTS (
    SELECT 1 FROM holdings h WHERE h.project = pc.project AND h.stock = pc.chart)
GROUP BY pc.project
"""


def what_today(ledger: Ledger) -> list[TodayProject]:
    """Planned and kitted projects: the ready ones first, then those that lack the least.

    The free stock is offered to each project as if it were alone; two that are both ready may
    want the same skein. Kitted ones have their things set apart already.
    """
    rules = load_rules(ledger)
    threads = _threads(ledger, rules)
    notions = {row["project"]: row for row in ledger.rows(NOTIONS)}
    charts = {row["project"]: row["lacking"] for row in ledger.rows(CHARTS)}
    fabrics = _fabrics(ledger)
    found = [
        _today(row, threads.get(row["id"]), notions.get(row["id"]), fabrics, charts)
        for row in ledger.rows(
            "SELECT id, name, state, wished_start, deadline FROM projects WHERE state IN (?, ?)",
            (PLANNED, KITTED),
        )
    ]
    return sorted(found, key=_order)


def _order(p: TodayProject) -> tuple[object, ...]:
    late = p.deadline or "9999"
    if p.ready:
        return (0, p.state != KITTED, late, p.name)
    return (1 if p.known else 2, p.lacks.things, p.lacks.price, late, p.name)


def _today(
    row: sqlite3.Row,
    threads: Lacks | None,
    notions: sqlite3.Row | None,
    fabrics: Mapping[int, Lacks],
    charts: Mapping[int, int],
) -> TodayProject:
    number = row["id"]
    known = number in fabrics or threads is not None or notions is not None
    lacks = Lacks()
    if row["state"] == PLANNED:
        fabric, thread = fabrics.get(number, lacks), threads or lacks
        lacks = Lacks(
            threads=thread.threads,
            skeins=thread.skeins,
            fabrics=fabric.fabrics,
            notions=notions["lacking"] if notions else 0,
            charts=charts.get(number, 0),
            price=thread.price + fabric.price + (notions["price"] // SCALE if notions else 0),
            unpriced=thread.unpriced + fabric.unpriced + (notions["unpriced"] if notions else 0),
        )
    return TodayProject(
        row["name"], row["state"], lacks, known, row["wished_start"], row["deadline"]
    )


def _threads(ledger: Ledger, rules: Rules) -> dict[int, Lacks]:
    if rules.same_dye_lot:
        return _threads_by_lot(ledger, rules)
    rows = ledger.rows(
        THREADS,
        {
            "smallest": rules.smallest_part_mm,
            "parts": int(rules.parts_count),
            "fresh": rules.fresh_unless_more_than,
            "keep": rules.keep_back,
        },
    )
    return {
        row["project"]: Lacks(
            threads=row["threads"],
            skeins=row["skeins"],
            price=row["price"],
            unpriced=row["unpriced"],
        )
        for row in rows
    }


def _threads_by_lot(ledger: Ledger, rules: Rules) -> dict[int, Lacks]:
    """With dye lots the arithmetic isn't a sum any more; each need is looked at by itself."""
    planned = [r["id"] for r in ledger.rows("SELECT id FROM projects WHERE state = ?", (PLANNED,))]
    demands = load_demands(ledger, planned)
    found: dict[int, Lacks] = defaultdict(Lacks)
    for need in demands.needs:
        thread = demands.threads[need.thread]
        held = demands.held_by(need.project, need.thread)
        lack = take(need.length_mm, thread.putup_mm, held, demands.free_of(need.thread), rules).lack
        before = found[need.project]
        found[need.project] = Lacks(
            threads=before.threads + (lack > 0),
            skeins=before.skeins + lack,
            price=before.price + lack * (thread.price or 0),
            unpriced=before.unpriced + (lack > 0 and thread.price is None),
        )
    return found


# ---------------------------------------------------------------------------- fabric


def _fabrics(ledger: Ledger) -> dict[int, Lacks]:
    """Per project the fabric pieces that are lacking; an entry for every project that needs any."""
    held: dict[int, list[sqlite3.Row]] = defaultdict(list)
    free: dict[float, list[sqlite3.Row]] = defaultdict(list)
    for row in owned_pieces(ledger, "(b.promised = 0 OR j.state = ?)", (PLANNED,)):
        if row["promised"]:
            held[row["holder"]].append(row)
        else:
            free[row["count"]].append(row)
    for rows in free.values():
        rows.sort(key=lambda r: -r["width_mm"] * r["height_mm"])
    prices = {
        (row["count"], row["colour"].lower()): row["price_per_m2"]
        for row in ledger.rows("SELECT * FROM fabric_prices")
    }
    found: dict[int, Lacks] = defaultdict(Lacks)
    for row in ledger.rows("SELECT * FROM fabric_needs ORDER BY project"):
        need = FabricNeed(
            row["count"], row["width_mm"], row["height_mm"], row["pieces"], row["colour"]
        )
        near = [rows for count, rows in free.items() if abs(count - need.count) <= COUNT_TOLERANCE]
        there = [*held[row["project"]], *(r for rows in near for r in rows)]
        lack = _pieces_lacking(there, need)
        price = prices.get((need.count, need.colour.lower()))
        before = found[row["project"]]
        found[row["project"]] = Lacks(
            fabrics=before.fabrics + lack,
            price=before.price + _price(lack, need, price),
            unpriced=before.unpriced + (lack > 0 and price is None),
        )
    return found


def _price(lack: int, need: FabricNeed, per_m2: int | None) -> int:
    return round(lack * need.width_mm * need.height_mm * (per_m2 or 0) / 1e6)


def _pieces_lacking(rows: Sequence[sqlite3.Row], need: FabricNeed) -> int:
    wanted = need.pieces
    cut = (need.width_mm, need.height_mm)
    for row in rows:
        if suits(row, need):
            wanted -= yield_of((row["width_mm"], row["height_mm"]), cut)
            if wanted <= 0:
                return 0
    return wanted
