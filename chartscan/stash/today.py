"""What can be started today, and what the other projects lack. Each is looked at by itself."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from chartscan.cloth import COUNT_TOLERANCE
from chartscan.plaintext import text_key
from chartscan.stash.allotment import lacking
from chartscan.stash.demand import load_demands
from chartscan.stash.ledger import Ledger
from chartscan.stash.notions import SCALE
from chartscan.stash.plan import make_plan
from chartscan.stash.projects import KITTED, PLANNED
from chartscan.stash.rectangles import yield_of
from chartscan.stash.rules import Rules, load_rules
from chartscan.stash.threads import CENTS
from chartscan.stash.usual import DEFAULT_PUTUP_MM


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


# One pass over the threads and what is free of each, then one over the demands in the same order.
THREADS = f"""
WITH held AS MATERIALIZED (
    SELECT h.project, b.thread,
        sum(h.amount * CASE b.kind WHEN 'skein'
            THEN coalesce(t.putup_mm, {DEFAULT_PUTUP_MM}) ELSE 1 END) AS length_mm
    FROM projects p JOIN holdings h ON h.project = p.id JOIN balances b ON b.stock = h.stock
    JOIN threads t ON t.id = b.thread
    WHERE p.state = '{PLANNED}' GROUP BY h.project, b.thread),
there AS (
    SELECT t.id, t.price, coalesce(t.putup_mm, {DEFAULT_PUTUP_MM}) AS putup_mm,
        sum(CASE WHEN b.kind = 'skein' THEN b.owned - b.promised ELSE 0 END) AS skeins,
        sum(CASE WHEN b.kind = 'part' AND b.owned - b.promised >= :smallest
            THEN b.owned - b.promised ELSE 0 END) AS parts_mm
    FROM threads t LEFT JOIN balances b ON b.thread = t.id AND b.owned > b.promised
    GROUP BY t.id),
free AS MATERIALIZED (
    SELECT id, price, putup_mm,
        CASE WHEN :fresh AND skeins <= :fresh THEN 0 ELSE max(0, skeins - :keep) END AS skeins,
        CASE WHEN :fresh AND skeins <= :fresh THEN 0 ELSE parts_mm * :parts END AS parts_mm
    FROM there)
SELECT d.project, f.price,
    (d.length_mm - coalesce(h.length_mm, 0) - f.parts_mm + f.putup_mm - 1) / f.putup_mm
        - f.skeins AS lack
FROM free f CROSS JOIN demands d ON d.thread = f.id
LEFT JOIN held h ON h.project = d.project AND h.thread = d.thread
WHERE lack > 0
"""

NOTIONS = """
SELECT nn.project, n.price, sum(nn.amount) - coalesce(h.amount, 0)
    - (b.owned - b.promised) AS lack
FROM notion_needs nn JOIN notions n ON n.stock = nn.notion JOIN balances b ON b.stock = n.stock
LEFT JOIN holdings h ON h.project = nn.project AND h.stock = nn.notion
GROUP BY nn.project, nn.notion HAVING lack > 0
"""

CHARTS = """
SELECT pc.project FROM project_charts pc JOIN charts c ON c.stock = pc.chart
JOIN balances b ON b.stock = c.stock
WHERE c.file = '' AND b.owned <= b.promised AND NOT EXISTS (
    SELECT 1 FROM holdings h WHERE h.project = pc.project AND h.stock = pc.chart)
"""

PROJECTS = """
SELECT id, name, state, wished_start, deadline,
    EXISTS (SELECT 1 FROM demands WHERE project = p.id)
    OR EXISTS (SELECT 1 FROM fabric_needs WHERE project = p.id)
    OR EXISTS (SELECT 1 FROM notion_needs WHERE project = p.id) AS known
FROM projects p WHERE state IN (?, ?)
"""


@dataclass
class _Tally:
    """The lacks of one project while they are added up."""

    threads: int = 0
    skeins: int = 0
    fabrics: int = 0
    notions: int = 0
    charts: int = 0
    price: int = 0
    unpriced: int = 0

    def pay(self, price: int | None) -> None:
        """Add what something costs, or that nobody knows."""
        if price is None:
            self.unpriced += 1
        else:
            self.price += price


def what_today(ledger: Ledger) -> list[TodayProject]:
    """Planned and kitted projects: the ready ones first, then those that lack the least.

    The free stock is offered to each project as if it were alone; two that are both ready may
    want the same skein. Kitted ones have their things set apart already.
    """
    tallies: dict[int, _Tally] = defaultdict(_Tally)
    _add_threads(tallies, ledger, load_rules(ledger))
    _add_fabrics(tallies, ledger)
    for project, price, lack in ledger.rows(NOTIONS):
        tallies[project].notions += 1
        tallies[project].pay(None if price is None else round(lack * price / SCALE))
    for (project,) in ledger.rows(CHARTS):
        tallies[project].charts += 1
    nothing = Lacks()
    found = [
        TodayProject(
            name,
            state,
            Lacks(**vars(tallies[number])) if state == PLANNED and number in tallies else nothing,
            bool(known) or state == KITTED,
            wished_start,
            deadline,
        )
        for number, name, state, wished_start, deadline, known in ledger.rows(
            PROJECTS, (PLANNED, KITTED)
        )
    ]
    return sorted(found, key=_order)


def begun_short(ledger: Ledger) -> list[tuple[str, tuple[str, ...]]]:
    """The projects in work that were begun a skein short and still lack something, and what."""
    found = [
        (row["name"], make_plan(ledger, row["name"]).missing)
        for row in ledger.rows(
            "SELECT p.name FROM projects p WHERE p.state = 'in work' AND (SELECT from_state"
            " FROM acts a WHERE a.project = p.id AND a.to_state = 'in work' ORDER BY id DESC"
            " LIMIT 1) = 'planned' ORDER BY p.name"
        )
    ]
    return [(name, missing) for name, missing in found if missing]


def _order(p: TodayProject) -> tuple[object, ...]:
    late = p.deadline or "9999"
    if p.ready:
        return (0, p.state != KITTED, late, p.name)
    return (1 if p.known else 2, p.lacks.things, p.lacks.price, late, p.name)


def _add_threads(tallies: dict[int, _Tally], ledger: Ledger, rules: Rules) -> None:
    lacking = _by_lot(ledger, rules) if rules.same_dye_lot else _by_sums(ledger, rules)
    for project, price, lack in lacking:
        tally = tallies[project]
        tally.threads += 1
        tally.skeins += lack
        tally.pay(None if price is None else lack * price)


def _by_sums(ledger: Ledger, rules: Rules) -> Iterable[Iterable[int]]:
    return ledger.rows(
        THREADS,
        {
            "smallest": rules.smallest_part_mm,
            "parts": int(rules.parts_count),
            "fresh": rules.fresh_unless_more_than,
            "keep": rules.keep_back,
        },
    )


def _by_lot(ledger: Ledger, rules: Rules) -> Iterable[tuple[int, int | None, int]]:
    """With dye lots the arithmetic isn't a sum any more; each need is looked at by itself."""
    planned = [r["id"] for r in ledger.rows("SELECT id FROM projects WHERE state = ?", (PLANNED,))]
    demands = load_demands(ledger, planned)
    for need in demands.needs:
        thread = demands.threads[need.thread]
        held = demands.held_by(need.project, need.thread)
        free = demands.free_of(need.thread)
        lack = lacking(need.length_mm, thread.putup_mm, held, free, rules)
        if lack:
            yield need.project, thread.price, lack


# ---------------------------------------------------------------------------- fabric

Sized = tuple[int, int]
Fabrics = dict[tuple[float, str], list[Sized]]


def _add_fabrics(tallies: dict[int, _Tally], ledger: Ledger) -> None:
    free: Fabrics = defaultdict(list)
    for count, colour, *size in ledger.rows(
        "SELECT p.count, text_key(p.colour), p.width_mm, p.height_mm FROM pieces p"
        " JOIN balances b ON b.stock = p.stock WHERE b.owned > b.promised"
    ):
        free[count, colour].append((size[0], size[1]))
    held: dict[int, Fabrics] = defaultdict(lambda: defaultdict(list))
    for project, count, colour, *size in ledger.rows(
        "SELECT h.project, p.count, text_key(p.colour), p.width_mm, p.height_mm FROM projects j"
        " JOIN holdings h ON h.project = j.id JOIN pieces p ON p.stock = h.stock"
        " WHERE j.state = ?",
        (PLANNED,),
    ):
        held[project][count, colour].append((size[0], size[1]))
    prices = {
        (count, text_key(colour)): price
        for count, colour, price in ledger.rows("SELECT * FROM fabric_prices")
    }
    serving: dict[tuple[float, str], list[Sized]] = {}
    for project, count, colour, width, height, pieces in ledger.rows(
        "SELECT project, count, text_key(colour), width_mm, height_mm, pieces FROM fabric_needs"
    ):
        if (count, colour) not in serving:
            serving[count, colour] = _suiting(free, count, colour)
        sizes = serving[count, colour]
        if project in held:
            sizes = [*_suiting(held[project], count, colour), *sizes]
        lack = _pieces_lacking(sizes, (width, height), pieces)
        if lack:
            tallies[project].fabrics += lack
            price = prices.get((count, colour))
            tallies[project].pay(
                None if price is None else round(lack * width * height / 1e6 * price)
            )


def _suiting(pieces: Fabrics, count: float, colour: str) -> list[Sized]:
    """Sizes of the pieces of a count (by its label) and a colour ("": any), the largest first."""
    found = [
        size
        for (their_count, their_colour), sizes in pieces.items()
        if abs(their_count - count) <= COUNT_TOLERANCE and colour in ("", their_colour)
        for size in sizes
    ]
    return sorted(found, key=lambda size: -size[0] * size[1])


def _pieces_lacking(sizes: Iterable[Sized], cut: Sized, wanted: int) -> int:
    for size in sizes:
        wanted -= yield_of(size, cut)
        if wanted <= 0:
            return 0
    return wanted
