"""The plan of one project: what it needs, what is there for it, what is promised, what to buy."""

from __future__ import annotations

from dataclasses import dataclass, replace

from chartscan.plaintext import thread_order
from chartscan.stash.allotment import Supply, Take, skeins_for, take
from chartscan.stash.charts import source_of
from chartscan.stash.demand import Demands, NeededThread, ProjectThread, load_demands
from chartscan.stash.fabric_plan import (
    FabricFit,
    FreePieces,
    fabric_needs,
    fit_fabric,
    left_over,
    load_free,
    load_held,
)
from chartscan.stash.ledger import Ledger
from chartscan.stash.notions import SCALE
from chartscan.stash.projects import Project, charts_of, find_project
from chartscan.stash.rules import Rules, load_rules


@dataclass(frozen=True)
class Elsewhere:
    """What another project holds of a thing: skeins and metres of parts, or an amount."""

    project: str
    skeins: float
    part_metres: float = 0.0


@dataclass(frozen=True)
class PlanThread:
    """One thread of a plan.

    Attributes:
        thread: what is known of it.
        need: what the project needs of it.
        skeins: put-ups that the need comes to.
        held: what the project has set apart.
        free: what is promised to nobody, before the stitcher's rules.
        elsewhere: who else holds some.
        taken: what kitting would set apart more.
    """

    thread: NeededThread
    need: ProjectThread
    skeins: int
    held: Supply
    free: Supply
    elsewhere: tuple[Elsewhere, ...]
    taken: Take

    @property
    def to_buy(self) -> int:
        """Put-ups to buy."""
        return self.taken.lack


@dataclass(frozen=True)
class PlanNotion:
    """One notion of a plan; amounts in thousandths of its unit, ``lack`` what is to be bought."""

    stock: int
    name: str
    unit: str
    amount: int
    held: int
    free: int
    elsewhere: tuple[Elsewhere, ...]

    @property
    def lack(self) -> int:
        """The amount to buy."""
        return max(0, self.amount - self.held - self.free)


@dataclass(frozen=True)
class PlanChart:
    """One chart of a plan: a file can be printed at any time, of paper a free copy must be there.

    Attributes:
        stock: its number in the ledger.
        where: title and source in a line.
        in_file: there is a chart file.
        held: the project has a paper copy set apart.
        free: paper copies promised to nobody.
    """

    stock: int
    where: str
    in_file: bool
    held: bool
    free: int

    @property
    def lacking(self) -> bool:
        """Neither file nor paper is there for the project."""
        return not (self.in_file or self.held or self.free)

    @property
    def to_take(self) -> bool:
        """A paper copy goes into the bag where one is free, though a file would do."""
        return not self.held and self.free > 0


@dataclass(frozen=True)
class Plan:
    """Everything one project needs, and where it is."""

    project: Project
    threads: tuple[PlanThread, ...]
    fabrics: tuple[FabricFit, ...]
    notions: tuple[PlanNotion, ...]
    charts: tuple[PlanChart, ...]

    @property
    def missing(self) -> tuple[str, ...]:
        """A line per thing that is missing; empty when everything is there."""
        threads = (
            f"thread {t.thread.label}: {t.to_buy} skein{'s' * (t.to_buy > 1)}"
            for t in self.threads
            if t.to_buy
        )
        return (*threads, *self.missing_besides)

    @property
    def missing_besides(self) -> tuple[str, ...]:
        """The lines of :attr:`missing` that aren't about threads."""
        return (
            *(f"chart {c.where}" for c in self.charts if c.lacking),
            *(fabric_missing(f) for f in self.fabrics if f.lack),
            *(f"{n.name}: {n.lack / SCALE:g} {n.unit}".rstrip() for n in self.notions if n.lack),
        )

    @property
    def empty(self) -> bool:
        """Nothing is known of what the project needs."""
        return not (self.threads or self.fabrics or self.notions)


def fabric_missing(fit: FabricFit) -> str:
    """The fabric that no free piece yields, in words."""
    need = fit.need
    named = " ".join(["fabric", f"{need.count:g} count", need.colour]).rstrip()
    there = "".join(f" (or cut {after} first: {p} leaves enough)" for p, after in fit.offcuts)
    return f"{named}: {fit.lack} of {need.width_mm / 10:g} × {need.height_mm / 10:g} cm{there}"


def make_plan(ledger: Ledger, name: str, rules: Rules | None = None) -> Plan:
    """The plan of the project ``name``; by the rules of the stash unless others are told.

    Raises:
        StashError: no such project.
    """
    project = find_project(ledger, name)
    rules = rules or load_rules(ledger)
    demands = load_demands(ledger, [project.id])

    def place(need: ProjectThread) -> tuple[str, str]:
        thread = demands.threads[need.thread]
        return thread_order(thread.line, thread.code)

    return Plan(
        project,
        tuple(_plan_thread(demands, need, rules) for need in sorted(demands.needs, key=place)),
        tuple(_plan_fabric(ledger, project)),
        tuple(_plan_notions(ledger, project)),
        tuple(_plan_charts(ledger, project)),
    )


def _plan_thread(demands: Demands, need: ProjectThread, rules: Rules) -> PlanThread:
    thread = demands.threads[need.thread]
    held, free = demands.held_by(need.project, need.thread), demands.free_of(need.thread)
    elsewhere = tuple(
        Elsewhere(demands.names[project], supply.skeins, supply.parts_mm / 1000)
        for (project, number), supply in demands.held.items()
        if number == need.thread and project != need.project
    )
    return PlanThread(
        thread=thread,
        need=need,
        skeins=skeins_for(need.length_mm, thread.putup_mm),
        held=held,
        free=free,
        elsewhere=elsewhere,
        taken=take(need.length_mm, thread.putup_mm, held, free, rules),
    )


def _plan_fabric(ledger: Ledger, project: Project) -> list[FabricFit]:
    needs = fabric_needs(ledger, [project.id])[project.id]
    if not needs:
        return []
    held = load_held(ledger, [project.id])[project.id]
    free = load_free(ledger, needs)
    fits = fit_fabric(project.id, needs, held, free)
    if not any(fit.lack for fit in fits):
        return fits
    free = FreePieces(free.pieces, offcuts=left_over(ledger))
    with_rests = fit_fabric(project.id, needs, held, free, name=project.name)
    return [
        replace(fit, offcuts=other.offcuts) if fit.lack and not other.lack else fit
        for fit, other in zip(fits, with_rests, strict=True)
    ]


def _plan_notions(ledger: Ledger, project: Project) -> list[PlanNotion]:
    rows = ledger.rows(
        "SELECT n.stock, n.name, n.unit, sum(nn.amount) AS amount, b.owned - b.promised AS free,"
        " coalesce(h.amount, 0) AS held"
        " FROM notion_needs nn JOIN notions n ON n.stock = nn.notion"
        " JOIN balances b ON b.stock = n.stock"
        " LEFT JOIN holdings h ON h.project = nn.project AND h.stock = n.stock"
        " WHERE nn.project = ? GROUP BY n.stock ORDER BY n.name, n.unit",
        (project.id,),
    )
    return [PlanNotion(**dict(r), elsewhere=_holders(ledger, r["stock"], project)) for r in rows]


def _holders(ledger: Ledger, stock: int, project: Project) -> tuple[Elsewhere, ...]:
    return tuple(
        Elsewhere(r["name"], r["amount"] / SCALE)
        for r in ledger.rows(
            "SELECT p.name, h.amount FROM holdings h JOIN projects p ON p.id = h.project"
            " WHERE h.stock = ? AND h.project <> ? ORDER BY p.name",
            (stock, project.id),
        )
    )


def _plan_charts(ledger: Ledger, project: Project) -> list[PlanChart]:
    found: list[PlanChart] = []
    for row in charts_of(ledger, project.id):
        held = ledger.value(
            "SELECT amount FROM holdings WHERE project = ? AND stock = ?",
            (project.id, row["stock"]),
        )
        free = ledger.value(
            "SELECT owned - promised FROM balances WHERE stock = ?", (row["stock"],)
        )
        source = source_of(row)
        found.append(PlanChart(row["stock"], source.where, bool(source.file), bool(held), free))
    return found
